"""What leaves the table with a piece: its sheet, the text of a listing, a label."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable, Sequence
from typing import TypeVar

from starlette.responses import HTMLResponse, Response

from markrules.catalogue.records import Piece
from markrules.sheets.claims import Flag, check_text
from markrules.sheets.content import content
from markrules.sheets.labels import Label, labels_page, stock_named
from markrules.sheets.listing import LENGTHS, SHORTEST_TITLE, listing
from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import completeness
from markrules.sheets.of_a_set import set_page, set_pdf
from markrules.sheets.page_photos import PictureProblem
from markrules.sheets.printing import POLICY, PrintProblem, missing_letters, sheet_page, sheet_pdf
from markrules.tasks.exporting_piece import FORMS, piece_as
from markrules.tasks.gathering_for_sheets import matter_of
from markrules.web.desk import Refused, Visit
from markrules.web.pages.box import box_named
from markrules.web.pages.piece import fellows
from markrules.web.tray import title_of

Paper = TypeVar("Paper", str, bytes)

LONGEST_TEXT = 60_000
LONGEST_TITLE = 1_000
MOST_LABELS = 500
ALONE = {"content-security-policy": f"{POLICY}; frame-ancestors 'none'; sandbox allow-modals"}


def _matter(visit: Visit, piece: Piece) -> SheetMatter:
    """What a sheet says of the piece, as of today."""
    box = visit.catalogue.boxes.by_id(piece.box)
    today = datetime.date.today().isoformat()
    with visit.desk.locked():
        people = visit.query.get("people") == "yes"
        return matter_of(visit.catalogue, visit.desk.reader, box, piece, today, people)


def papers(visit: Visit) -> Response:
    """The papers of a piece: what is still missing, and the text of a listing."""
    return _papers(visit, visit.piece())


def _papers(
    visit: Visit, piece: Piece, text: str = "", flags: tuple[Flag, ...] | None = None
) -> Response:
    matter = _matter(visit, piece)
    length, title_length = _lengths(visit)
    return visit.page(
        "papers.html",
        length=length,
        lengths=LENGTHS,
        title_length=title_length or int(visit.base.setting("title-length")),
        piece=piece,
        title=title_of(piece),
        of_set=fellows(visit, piece)[0],
        listing=listing(matter, title_length),
        forms=FORMS,
        categories=completeness(matter),
        lacking=missing_letters(json.dumps(content(matter), ensure_ascii=False))[:20],
        text=text,
        flags=flags,
    )


def _lengths(visit: Visit) -> tuple[str, int | None]:
    """How much of a listing is asked for, and how many characters its title may have."""
    length, asked = visit.query.get("length", LENGTHS[-1]), visit.query.get("title", "")
    if length not in LENGTHS:
        raise Refused(400, f"a text is {', '.join(LENGTHS)}, not {length[:20]}", "length")
    if not asked:
        return length, None
    if not asked.isdecimal() or not SHORTEST_TITLE <= int(asked[:9]) <= LONGEST_TITLE:
        message = f"a title has {SHORTEST_TITLE} to {LONGEST_TITLE} characters, not {asked[:20]}"
        raise Refused(400, message, "title")
    return length, int(asked)


def check(visit: Visit) -> Response:
    """Show which words of a text go further than the evidence. Nothing is kept."""
    found = visit.piece()
    text = visit.form.text("text", LONGEST_TEXT)
    reading = _matter(visit, found).reading
    return _papers(visit, found, text, check_text(visit.base, text, reading))


def sheet(visit: Visit) -> Response:
    """The provenance sheet as a page that stands alone."""
    found = visit.piece()
    return HTMLResponse(_made(lambda: sheet_page(_matter(visit, found))), headers=ALONE)


def of_set(visit: Visit) -> Response:
    """One sheet for the set that the piece belongs to."""
    name, matters = _set_of(visit)
    return HTMLResponse(_made(lambda: set_page(name, matters)), headers=ALONE)


def set_as_pdf(visit: Visit) -> Response:
    """The same as PDF."""
    name, matters = _set_of(visit)
    paper = "letter" if visit.query.get("paper") == "letter" else "a4"
    data = _made(lambda: set_pdf(name, matters, paper))
    headers = {"content-disposition": f'inline; filename="set-{visit.piece().uid}.pdf"'}
    return Response(data, media_type="application/pdf", headers=headers)


def _set_of(visit: Visit) -> tuple[str, tuple[SheetMatter, ...]]:
    found = visit.piece()
    name, others = fellows(visit, found)
    if not name:
        raise Refused(404, "The piece belongs to no set.")
    pieces = sorted([found, *others], key=lambda each: (each.box, each.number))
    return name, tuple(_matter(visit, each) for each in pieces)


def pdf(visit: Visit) -> Response:
    """The provenance sheet as PDF."""
    found = visit.piece()
    paper = "letter" if visit.query.get("paper") == "letter" else "a4"
    data = _made(lambda: sheet_pdf(_matter(visit, found), paper))
    name = f"piece-{found.number}-{found.uid}.pdf"
    headers = {"content-disposition": f'inline; filename="{name}"'}
    return Response(data, media_type="application/pdf", headers=headers)


def export(visit: Visit) -> Response:
    """The piece in an open standard, as a file."""
    found, form = visit.piece(), visit.path["form"]
    if form not in FORMS:
        raise Refused(404, "A piece is not written in that form.")
    text = piece_as(_matter(visit, found), form)
    ending = FORMS[form][1]
    name = f"piece-{found.number}-{found.uid}-{form}.{ending}"
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    kinds = {"json": "application/ld+json", "xml": "application/xml", "csv": "text/csv"}
    kind = f"{kinds.get(ending, 'text/plain')}; charset=utf-8"
    return Response(text.encode("utf-8", "replace"), media_type=kind, headers=headers)


def label(visit: Visit) -> Response:
    """A tag to be tied to the piece."""
    return _tags(visit, [visit.piece()])


def labels(visit: Visit) -> Response:
    """The tags of a box."""
    pieces = visit.catalogue.pieces.all(box_named(visit), limit=MOST_LABELS)
    if not pieces:
        raise Refused(404, "There is no piece in this box yet, so there is nothing to label.")
    return _tags(visit, pieces)


def _tags(visit: Visit, pieces: Sequence[Piece]) -> Response:
    names = {each.id: each.name for each in visit.catalogue.boxes.all()}
    tags = [
        Label(each.uid, names.get(each.box, ""), each.number, title_of(each), each.own_number)
        for each in pieces
    ]
    stock = visit.query.get("stock", "") or "plain"
    try:
        stock_named(stock)
    except PrintProblem as problem:
        raise Refused(400, str(problem)) from None
    return HTMLResponse(_made(lambda: labels_page(visit.base, tags, stock)), headers=ALONE)


def _made(make: Callable[[], Paper]) -> Paper:
    try:
        return make()
    except (PictureProblem, PrintProblem) as problem:
        raise Refused(500, str(problem)) from None


ROUTES = (
    ("GET", "/piece/{uid}/papers", papers),
    ("POST", "/piece/{uid}/papers", check),
    ("GET", "/piece/{uid}/sheet", sheet),
    ("GET", "/piece/{uid}/sheet.pdf", pdf),
    ("GET", "/piece/{uid}/set", of_set),
    ("GET", "/piece/{uid}/set.pdf", set_as_pdf),
    ("GET", "/piece/{uid}/export/{form}", export),
    ("GET", "/piece/{uid}/label", label),
    ("GET", "/box/{box}/labels", labels),
)
