"""A piece: what was seen on it, what that says, what to look at next, and what to do with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from pathlib import Path
from typing import Any

from starlette.responses import Response

from markrules.catalogue.amounts import show_price
from markrules.catalogue.records import Piece
from markrules.catalogue.watching import last_at, version_of
from markrules.frozen import dataclass
from markrules.inference.reading import Citation, MakerShare
from markrules.knowledge.observation import Accounted
from markrules.tasks.accounting import standing
from markrules.tasks.own_makers import (
    FILE,
    LONGEST,
    OwnMaker,
    OwnMakerProblem,
    WrittenMaker,
    add_maker,
    take_out_maker,
)
from markrules.telling.words import capital, chance
from markrules.web.added_rules import AddedMaker, last_standing
from markrules.web.desk import Refused, Visit
from markrules.web.drawing import curve_of
from markrules.web.pages.box import record_purchase, tray_values
from markrules.web.seeing import (
    Change,
    answer_words,
    change_in_address,
    change_told,
    keep_seen,
    not_known,
    passed_over,
    question_in,
    read_piece,
)
from markrules.web.tray import address_of, near, own_row, sorting_of, title_of
from markrules.web.worth import worth_of

LEAST_BITS = 0.05
"""A clue that tells less than this is folded away."""


@dataclass
class Sources:
    """The sources of a page; `numbers` gives theirs to a run of citations."""

    all: list[Citation] = field(default_factory=list)

    def numbers(self, cites: Iterable[Citation]) -> list[int]:
        """The number of each citation, a new one where it was not met before."""
        return [self._number(each) for each in cites]

    def _number(self, cite: Citation) -> int:
        known = [(each.source, each.place) for each in self.all]
        key = (cite.source, cite.place)
        if key not in known:
            self.all.append(cite)
            return len(self.all)
        return known.index(key) + 1


def piece(visit: Visit) -> Response:
    """The page of a piece."""
    return show(visit, visit.piece(), change_told(visit))


def show(visit: Visit, found: Piece, change: Change | None = None) -> Response:
    """The page of a piece beside the list of its box, or the part of it that answers change."""
    box = visit.catalogue.boxes.by_id(found.box)
    if visit.fragment == "list":
        values = tray_values(visit, box, found)
        return visit.part("tray.html", here=f"/piece/{found.uid}", **values)
    beside: dict[str, Any]
    if visit.fragment:
        row, decided, total = own_row(visit, box, found)
        beside = {"own": row, "decided": decided, "total": total}
    else:
        beside = {"own": None, **tray_values(visit, box, found)}
    beside["near"] = near(visit, box, found)
    return visit.page("piece.html", box=box, **beside, **_values(visit, found, change))


def _values(visit: Visit, found: Piece, change: Change | None) -> dict[str, Any]:
    passed = passed_over(visit, found)
    reading = read_piece(visit, visit.evidence(found), passed)
    with visit.desk.locked():
        reader = visit.desk.reader
        metals = reader.metals(reading.observations)
        account = reader.understand(found.note).account
        findings = reader.findings_said(reading)
    curve = curve_of(reading)
    best = reading.makers[0] if reading.makers else None
    return {
        "piece": found,
        "title": title_of(found),
        "reading": reading,
        "metals": metals,
        "own_maker": own_maker(visit, reading.makers),
        "shared": visit.desk.settings.shared,
        "findings": findings,
        "account": account,
        "curve": curve,
        "telling": [each for each in curve.strips if abs(each.clue.bits) >= LEAST_BITS],
        "quiet": [each for each in curve.strips if abs(each.clue.bits) < LEAST_BITS],
        "makers": [each for each in reading.makers if each.probability >= 0.01][:6],
        "best": best,
        "best_chance": capital(chance(visit.base, best.probability)) if best else "",
        "question": question_in(visit, reading, passed, single=True),
        "passed": passed,
        "seen": visit.catalogue.log.seen_on(found),
        "photos": visit.catalogue.photos.of(found),
        "features": visit.base.features,
        "certainties": list(visit.base.certainty_levels),
        "change": change,
        "sources": Sources(),
        "acquired": visit.catalogue.money.acquisitions(found),
        "show_price": show_price,
        "fellows": fellows(visit, found),
        "standing": standing(visit.catalogue, found),
        "worth": worth_of(visit, found),
        "decisions": visit.catalogue.decisions.of(found),
        "words": answer_words,
        "more": address_of(sorting_of(visit)),
        "here": f"/piece/{found.uid}",
        "version": version_of(visit.catalogue, found),
    }


def fellows(visit: Visit, found: Piece) -> tuple[str, tuple[Piece, ...]]:
    """The name of the set that a piece belongs to, and the others of it; empty without one."""
    name = next((each.name for each in visit.catalogue.sets.all() if each.id == found.set), "")
    if not found.set or not name:
        return "", ()
    others = visit.catalogue.sets.pieces_of_set(found.set)
    return name, tuple(each for each in others if each.id != found.id)


def alone(visit: Visit) -> Response:
    """The piece belongs to its set no longer."""
    found = visit.piece()
    visit.catalogue.pieces.change(found, set=0, who=visit.who)
    return visit.go(f"/piece/{found.uid}#note", told="It stands for itself again.")


def see(visit: Visit) -> Response:
    """Keep an answer, and show what it changed."""
    found = visit.piece()
    if not_known(visit, found):
        return _back(visit, found, f"{address_of(sorting_of(visit))}#next")
    change = keep_seen(visit, found)
    if visit.fragment:
        return show(visit, visit.piece(), change)
    more = address_of(sorting_of(visit))
    joined = f"{more}&" if more else "?"
    told = f"Not understood: {', '.join(change.unknown)}." if change.unknown else ""
    return visit.go(f"/piece/{found.uid}{joined}{change_in_address(change)}#answer", told=told)


def heard(visit: Visit) -> Response:
    """How a line that is being typed would be understood. Nothing is kept."""
    words = visit.query.get("words", "")[:2_000]
    account: tuple[Accounted, ...] = ()
    if words.strip():
        with visit.desk.locked():
            account = visit.desk.reader.understand(words).account
    return visit.part("chips.html", account=account)


def now(visit: Visit) -> Response:
    """What the piece stands at, for pages that are open on it, and who was last at it."""
    found = visit.piece()
    who = last_at(visit.catalogue, found) or "Somebody"
    return Response(f"{version_of(visit.catalogue, found)}\n{who}", media_type="text/plain")


def set_aside(visit: Visit) -> Response:
    """Set a phrase aside that no rule knows: it is not told any more."""
    found = visit.piece()
    phrase = visit.form.text("phrase", 20_000)
    left = [each for each in found.not_understood if each.strip() != phrase]
    visit.catalogue.log.set_unknown(found, left, visit.who)
    return _back(visit, found, "#say")


def withdraw(visit: Visit) -> Response:
    """Take a line of the log back."""
    found = visit.piece()
    visit.catalogue.log.withdraw(found, visit.form.number("line"), visit.who)
    visit.desk.keeper.later([found.id])
    return _back(visit, found, "#seen")


def _back(visit: Visit, found: Piece, place: str) -> Response:
    """The part of the page that changed, or the way back to the page."""
    if visit.fragment:
        return show(visit, visit.piece())
    return visit.go(f"/piece/{found.uid}{place}")


def describe(visit: Visit) -> Response:
    """Set the title, the owner's own number, and what was told."""
    found = visit.piece()
    title, told = visit.form.text("title", 200), visit.form.text("told")
    # A form of an older page has no such field, and changes none.
    own = visit.form.text("own_number", 60) if "own_number" in visit.form.fields else None
    visit.catalogue.pieces.change(found, title=title, told=told, own_number=own, who=visit.who)
    return visit.go(f"/piece/{found.uid}")


def came(visit: Visit) -> Response:
    """Record how the piece came in."""
    found = visit.piece()
    record_purchase(visit, found)
    return visit.go(f"/piece/{found.uid}#money", told="Kept.")


def leave(visit: Visit) -> Response:
    """Let the piece leave its box, or take it back in."""
    found = visit.piece()
    if found.gone:
        visit.catalogue.pieces.put_back(found, visit.who)
        return visit.go(f"/piece/{found.uid}")
    visit.catalogue.pieces.take_out(found, visit.form.text("why", 300), visit.who)
    return visit.go(f"/box/{found.box}")


def know_maker(visit: Visit) -> Response:
    """Write the maker of an unlisted mark into the person's own rules, and read the piece again."""
    found, form = visit.piece(), visit.form
    _own_table(visit)
    maker = OwnMaker(
        form.text("name", LONGEST),
        form.text("mark", LONGEST),
        form.text("years", 60),
        form.text("country", LONGEST),
        form.text("known_from", LONGEST),
    )
    try:
        written = add_maker(visit.desk.reader.base, maker)
    except OwnMakerProblem as problem:
        raise Refused(400, str(problem), problem.field) from None
    if written.done != "known":
        visit.desk.added.append(
            AddedMaker(written.entry, maker.mark or maker.name, last_standing(visit))
        )
    visit.desk.renew()
    visit.desk.keeper.later([found.id])
    return visit.go(f"/piece/{found.uid}#signed", told=_told_of(written, maker.name))


def _told_of(written: WrittenMaker, name: str) -> str:
    """What is told where a maker was written, beyond what the page of the piece shows."""
    if written.done == "extended":
        return f"The mark is added to {name}, which you have added before."
    if written.done == "known":
        return f"{name} stands in your own rules with that mark already."
    if written.beside:
        return f"The rules know a {name}, too; yours stands beside it."
    return ""


def forget_maker(visit: Visit) -> Response:
    """Take a maker out of the person's own rules again."""
    found = visit.piece()
    _own_table(visit)
    try:
        take_out_maker(visit.form.text("entry", LONGEST), mark=visit.form.text("mark", LONGEST))
    except OwnMakerProblem as problem:
        raise Refused(400, str(problem)) from None
    visit.desk.renew()
    visit.desk.keeper.later([found.id])
    return visit.go(f"/piece/{found.uid}#signed")


def _own_table(visit: Visit) -> None:
    """Refuse to change rules where other people's browsers are let in."""
    if visit.desk.settings.shared:
        raise Refused(403, "while the table is shared, own rules are changed at the computer only")


def own_maker(visit: Visit, makers: Iterable[MakerShare]) -> str:
    """The first of the makers that stands in the person's own file, by its entry; else empty."""
    known = visit.desk.reader.base.makers
    for share in makers:
        entry = known.get(share.maker)
        if entry is not None and Path(entry.span.file).name == FILE:
            return share.maker
    return ""


ROUTES = (
    ("GET", "/piece/{uid}", piece),
    ("POST", "/piece/{uid}/know-maker", know_maker),
    ("POST", "/piece/{uid}/forget-maker", forget_maker),
    ("GET", "/piece/{uid}/heard", heard),
    ("GET", "/piece/{uid}/now", now),
    ("POST", "/piece/{uid}/see", see),
    ("POST", "/piece/{uid}/set-aside", set_aside),
    ("POST", "/piece/{uid}/withdraw", withdraw),
    ("POST", "/piece/{uid}/describe", describe),
    ("POST", "/piece/{uid}/came", came),
    ("POST", "/piece/{uid}/leave", leave),
    ("POST", "/piece/{uid}/alone", alone),
)
