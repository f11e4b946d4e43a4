"""A note read and valued without being kept: its next look answered, and put into a box."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from starlette.responses import Response

from markrules.catalogue.problems import CatalogueProblem
from markrules.inference.reading import Reading
from markrules.reading.reader import Request
from markrules.tasks.appraising import appraise_note
from markrules.tasks.entering import new_piece
from markrules.tasks.looking import Look, why_enough
from markrules.tasks.numbered_pieces import numbered_pieces, told_of_several
from markrules.tasks.reading_pieces import NEXT_LOOKS
from markrules.web.desk import Refused, Visit, whole
from markrules.web.drawing import curve_of
from markrules.web.pages.piece import LEAST_BITS, Sources
from markrules.web.seeing import Change, question_in, stretch
from markrules.web.unkept import (
    UnkeptAnswer,
    address_with,
    answers_of,
    look_with,
    newly_answered,
    still_of,
)
from markrules.web.worth import Worth, desk_at

LONGEST = 2_000
"""Characters."""
LEAST_MAKER = 0.05
OF_ANOTHER = "The answers were given to another note, and are left out."


def note(visit: Visit) -> Response:
    """When, by whom and what it may fetch, of a piece in words; nothing is kept."""
    text = _text(visit.query.get("note", ""))
    answers = answers_of(visit.base, visit.every)
    new = newly_answered(visit)
    if new is not None:
        answers = (*answers, new)
        if not visit.fragment:
            return visit.go(address_with(text, answers))
    before = visit.query.get("before", text)
    if answers and not still_of(text, before):
        return visit.go(address_with(text, ()), told=OF_ANOTHER)
    return _told(visit, text, answers)


def keep(visit: Visit) -> Response:
    """Put the piece into a box that is there, or into a new one; then its own page."""
    form = visit.form
    text, name, chosen = _text(form.text("note")), form.text("name", 400), form.text("box", 20)
    answers = answers_of(visit.base, form.every)
    look = look_with(text, answers)
    with visit.desk.locked():
        several = () if answers else numbered_pieces(visit.desk.reader, text)
        notes = several or (text,)
        pieces = [new_piece(visit.desk.reader, each, observations=look.seen) for each in notes]
    try:
        if name or not chosen:
            box = visit.catalogue.boxes.start(name, "", visit.who)
        else:
            box = visit.catalogue.boxes.by_id(whole(chosen, "box"))
    except CatalogueProblem as problem:
        return _told(visit, text, answers, problem=str(problem), field="name", name=name)
    number, *others = visit.catalogue.pieces.add(box, pieces, visit.who)
    if others:
        return visit.go(f"/box/{box.id}", told=f"{len(notes)} pieces are kept.")
    kept = visit.catalogue.pieces.numbered(box, number)
    if look.passed:
        visit.catalogue.log.pass_over(kept, look.passed, visit.who)
    return visit.go(f"/piece/{kept.uid}")


def _text(given: str) -> str:
    text = given.strip()
    if len(text) > LONGEST:
        raise Refused(400, f"{len(text):,} characters here; {LONGEST:,} at most", "note")
    return text


def _told(
    visit: Visit,
    text: str,
    answers: Sequence[UnkeptAnswer] = (),
    *,
    problem: str = "",
    field: str = "",
    name: str = "",
) -> Response:
    """The page, and where there is a text what it says; a problem stands at its field."""
    given = {"problem": problem, "field": field, "name": name}
    status = 400 if problem else 200
    if not text:
        return visit.part("note.html", text="", reading=None, several=(), status=status, **given)
    with visit.desk.locked():
        several = numbered_pieces(visit.desk.reader, text)
    if several and not answers:
        return visit.part("note.html", status=status, text=text, **_each(visit, several), **given)
    values = _values(visit, look_with(text, answers), answers)
    return visit.page("note.html", status=status, text=text, **values, **given)


def _values(visit: Visit, look: Look, answers: Sequence[UnkeptAnswer]) -> dict[str, Any]:
    """What the page tells of a note with answers."""
    # As many looks as the piece's own page asks for: the same question stands on both.
    wanted = max(NEXT_LOOKS, 2 + len(look.passed))
    reading = visit.desk.read(look.request(wanted))
    with visit.desk.locked():
        reader = visit.desk.reader
        account = reader.understand(look.note).account
        findings, metals = reader.findings_said(reading), reader.metals(reading.observations)
    curve = curve_of(reading)
    return {
        "several": (),
        "reading": reading,
        "account": account,
        "curve": curve,
        "telling": [each for each in curve.strips if abs(each.clue.bits) >= LEAST_BITS],
        "sources": Sources(),
        "makers": [each for each in reading.makers if each.probability >= LEAST_MAKER],
        "findings": findings,
        "metals": metals,
        "worth": Worth(appraise_note(desk_at(visit), look.note, look.seen)),
        "boxes": visit.catalogue.boxes.all()[::-1],
        "answers": [(each, _without(look.note, answers, each)) for each in answers],
        "change": _change(visit, reading, look.note, answers),
        "question": question_in(visit, reading, look.passed, single=True),
        "enough": why_enough(reading, look.passed),
        "certainties": list(visit.base.certainty_levels),
        "here": address_with(look.note, answers),
    }


def _each(visit: Visit, several: Sequence[str]) -> dict[str, Any]:
    """What the page tells of a note that numbers several pieces."""
    readings = [visit.desk.read(Request(each, next_looks=0)) for each in several]
    return {
        "reading": None,
        "several": [
            (each, address_with(each, ()), x) for each, x in zip(several, readings, strict=True)
        ],
        "told_of_several": told_of_several(len(several)),
        "boxes": visit.catalogue.boxes.all()[::-1],
        "answers": (),
    }


def _without(note: str, answers: Sequence[UnkeptAnswer], one: UnkeptAnswer) -> str:
    """The address of the page without one of its answers."""
    return address_with(note, [each for each in answers if each is not one])


def _change(
    visit: Visit, reading: Reading, note: str, answers: Sequence[UnkeptAnswer]
) -> Change | None:
    """What the last answer did to the years; None where none was given."""
    if not answers or not answers[-1].seen:
        return None
    seen = look_with(note, answers[:-1]).seen
    before = visit.desk.read(Request(note, seen, next_looks=0))
    return Change(stretch(before.date.range), stretch(reading.date.range), answers[-1].words)


ROUTES = (("GET", "/note", note), ("POST", "/note", keep))
