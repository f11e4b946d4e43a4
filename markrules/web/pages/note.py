"""A note read and valued without being kept, and put into a box from there."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.problems import CatalogueProblem
from markrules.reading.reader import Request
from markrules.tasks.appraising import appraise_note
from markrules.tasks.entering import new_piece
from markrules.web.desk import Refused, Visit, whole
from markrules.web.drawing import curve_of
from markrules.web.pages.piece import LEAST_BITS, Sources
from markrules.web.worth import Worth, desk_at

LONGEST = 2_000
"""Characters."""
LEAST_MAKER = 0.05
NEXT = 1


def note(visit: Visit) -> Response:
    """When, by whom and what it may fetch, of a piece in words; nothing is kept."""
    return _told(visit, _text(visit.query.get("note", "")))


def keep(visit: Visit) -> Response:
    """Put the piece into a box that is there, or into a new one; then its own page."""
    form = visit.form
    text, name, chosen = _text(form.text("note")), form.text("name", 400), form.text("box", 20)
    with visit.desk.locked():
        piece = new_piece(visit.desk.reader, text)
    try:
        if name or not chosen:
            box = visit.catalogue.boxes.start(name, "", visit.who)
        else:
            box = visit.catalogue.boxes.by_id(whole(chosen, "box"))
    except CatalogueProblem as problem:
        return _told(visit, text, problem=str(problem), field="name", name=name, status=400)
    (number,) = visit.catalogue.pieces.add(box, [piece], visit.who)
    return visit.go(f"/piece/{visit.catalogue.pieces.numbered(box, number).uid}")


def _text(given: str) -> str:
    text = given.strip()
    if len(text) > LONGEST:
        raise Refused(400, f"{len(text):,} characters here; {LONGEST:,} at most", "note")
    return text


def _told(
    visit: Visit,
    text: str,
    *,
    status: int = 200,
    problem: str = "",
    field: str = "",
    name: str = "",
) -> Response:
    """The page, and where there is a text what it says; a problem stands at its field."""
    given = {"problem": problem, "field": field, "name": name}
    if not text:
        return visit.page("note.html", text="", reading=None, status=status, **given)
    reading = visit.desk.read(Request(note=text, next_looks=NEXT))
    with visit.desk.locked():
        reader = visit.desk.reader
        account = reader.understand(text).account
        findings, metals = reader.findings_said(reading), reader.metals(reading.observations)
    curve = curve_of(reading)
    makers = [each for each in reading.makers if each.probability >= LEAST_MAKER]
    return visit.page(
        "note.html",
        status=status,
        text=text,
        reading=reading,
        account=account,
        curve=curve,
        telling=[each for each in curve.strips if abs(each.clue.bits) >= LEAST_BITS],
        sources=Sources(),
        makers=makers,
        findings=findings,
        metals=metals,
        worth=Worth(appraise_note(desk_at(visit), text)),
        boxes=visit.catalogue.boxes.all()[::-1],
        **given,
    )


ROUTES = (("GET", "/note", note), ("POST", "/note", keep))
