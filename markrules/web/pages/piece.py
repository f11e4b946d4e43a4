"""A piece: what was seen on it, what that says, and what to look at next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field
from pathlib import Path

from starlette.responses import Response

from markrules.catalogue.prices import parse_price, show_price
from markrules.catalogue.records import Piece
from markrules.frozen import dataclass
from markrules.inference.reading import Citation, MakerShare
from markrules.tasks.own_makers import (
    FILE,
    LONGEST,
    OwnMaker,
    OwnMakerProblem,
    add_maker,
    take_out_maker,
)
from markrules.web.desk import Refused, Visit
from markrules.web.drawing import curve_of
from markrules.web.pages.box import title_of
from markrules.web.seeing import (
    Change,
    answer_words,
    change_in_address,
    change_told,
    keep_seen,
    passed_over,
    question_in,
    read_piece,
)
from markrules.web.worth import worth_of


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
    """The page of a piece, or the part of it that answers change."""
    passed = passed_over(visit)
    reading = read_piece(visit, visit.evidence(found), passed)
    with visit.desk.locked():
        metals = visit.desk.reader.metals(reading.observations)
        account = visit.desk.reader.understand(found.note).account
    return visit.page(
        "piece.html",
        piece=found,
        title=title_of(found),
        box=visit.catalogue.box_by_id(found.box),
        reading=reading,
        own_maker=own_maker(visit, reading.makers),
        shared=visit.desk.settings.shared,
        metals=metals,
        account=account,
        curve=curve_of(reading),
        makers=[each for each in reading.makers if each.probability >= 0.01][:6],
        question=question_in(visit, reading, passed),
        passed=passed,
        seen=visit.catalogue.seen_on(found),
        photos=visit.catalogue.photos_of(found),
        features=visit.base.features,
        certainties=list(visit.base.certainties),
        change=change,
        sources=Sources(),
        acquired=visit.catalogue.acquisitions(found),
        show_price=show_price,
        worth=worth_of(visit, found),
        decisions=visit.catalogue.decisions_of(found),
        words=answer_words,
        here=f"/piece/{found.uid}",
    )


def see(visit: Visit) -> Response:
    """Keep an answer, and show what it changed."""
    found = visit.piece()
    change = keep_seen(visit, found)
    if visit.fragment:
        return show(visit, found, change)
    return visit.go(f"/piece/{found.uid}?{change_in_address(change)}#answer")


def withdraw(visit: Visit) -> Response:
    """Take a line of the log back."""
    found = visit.piece()
    visit.catalogue.withdraw(found, visit.form.number("line"), visit.who)
    visit.desk.keeper.later([found.id])
    return show(visit, found) if visit.fragment else visit.go(f"/piece/{found.uid}#seen")


def describe(visit: Visit) -> Response:
    """Set the title, and what was told."""
    found = visit.piece()
    title, told = visit.form.text("title", 200), visit.form.text("told")
    visit.catalogue.change_piece(found, title=title, told=told, who=visit.who)
    return visit.go(f"/piece/{found.uid}")


def came(visit: Visit) -> Response:
    """Record how the piece came in."""
    found, form = visit.piece(), visit.form
    price = form.text("cost", 60)
    minor, currency = parse_price(price) if price else (None, "")
    visit.catalogue.record_acquisition(
        found,
        when=form.text("when", 20),
        where=form.text("where", 200),
        who_from=form.text("who_from", 200),
        cost_minor=minor,
        currency=currency,
        note=form.text("note", 2_000),
        who=visit.who,
    )
    return visit.go(f"/piece/{found.uid}#note")


def leave(visit: Visit) -> Response:
    """Let the piece leave its box, or take it back in."""
    found = visit.piece()
    if found.gone:
        visit.catalogue.put_back(found, visit.who)
        return visit.go(f"/piece/{found.uid}")
    visit.catalogue.take_out(found, visit.form.text("why", 300), visit.who)
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
        add_maker(visit.desk.reader.base, maker)
    except OwnMakerProblem as problem:
        raise Refused(400, str(problem)) from None
    visit.desk.renew()
    visit.desk.keeper.later([found.id])
    return visit.go(f"/piece/{found.uid}#signed")


def forget_maker(visit: Visit) -> Response:
    """Take a maker out of the person's own rules again."""
    found = visit.piece()
    _own_table(visit)
    try:
        take_out_maker(visit.form.text("entry", LONGEST))
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
    ("POST", "/piece/{uid}/see", see),
    ("POST", "/piece/{uid}/withdraw", withdraw),
    ("POST", "/piece/{uid}/describe", describe),
    ("POST", "/piece/{uid}/came", came),
    ("POST", "/piece/{uid}/leave", leave),
)
