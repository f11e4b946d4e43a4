"""The first page: all boxes, a way to start one, and search over everything."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box
from markrules.frozen import dataclass
from markrules.reading.file_lines import lines_of
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece
from markrules.tasks.finding import FoundPiece, find_pieces
from markrules.web.desk import Refused, Visit
from markrules.web.tray import rows_of

MOST_FOUND = 60
DEMO = "The demo tin"


@dataclass(frozen=True, slots=True)
class Counted:
    """A box with the number of its pieces."""

    box: Box
    pieces: int


def boxes(visit: Visit) -> Response:
    """All boxes."""
    counts = visit.catalogue.boxes.counts()
    found = [Counted(each, counts.get(each.id, 0)) for each in visit.catalogue.boxes.all()]
    return visit.page("boxes.html", boxes=found)


def start_box(visit: Visit) -> Response:
    """Start a box."""
    form = visit.form
    try:
        box = visit.catalogue.boxes.start(form.text("name", 400), form.text("note"), visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "name") from None
    return visit.go(f"/box/{box.id}")


def demo(visit: Visit) -> Response:
    """Start a box that holds the invented demo pieces."""
    taken = {each.name for each in visit.catalogue.boxes.all()}
    name = next(
        each for each in (DEMO, *(f"{DEMO} ({n})" for n in range(2, 999))) if each not in taken
    )
    lines = [each.data for each in lines_of(demo_folder() / "box.csv") if each.data is not None]
    with visit.desk.locked():
        pieces = [new_piece(visit.desk.reader, each["note"]) for each in lines]
    box = visit.catalogue.boxes.start(name, "Invented pieces, to try things out.", visit.who)
    visit.catalogue.pieces.add(box, pieces, visit.who)
    return visit.go(f"/box/{box.id}")


def search(visit: Visit) -> Response:
    """Pieces that the words find, each with why; what a label's code holds opens its piece."""
    text = visit.query.get("q", "").strip()[:400]
    coded = visit.catalogue.pieces.by_code(text)
    if coded is not None:
        return visit.go(f"/piece/{coded.piece.uid}")
    found: tuple[FoundPiece, ...] = ()
    if text:
        with visit.desk.locked():
            found = find_pieces(visit.catalogue, visit.desk.reader, text, limit=MOST_FOUND)
    if len(found) == 1 and found[0].because == "label":
        return visit.go(f"/piece/{found[0].listed.piece.uid}")
    rows = rows_of(visit, [each.listed for each in found])
    why = {each.listed.piece.id: each.because for each in found}
    names = {each.id: each.name for each in visit.catalogue.boxes.all()}
    return visit.page(
        "search.html", text=text, rows=rows, why=why, names=names, most=len(found) == MOST_FOUND
    )


ROUTES = (
    ("GET", "/", boxes),
    ("POST", "/boxes", start_box),
    ("POST", "/demo", demo),
    ("GET", "/search", search),
)
