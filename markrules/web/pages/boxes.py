"""The first page: all boxes, a way to start one, and search over everything."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.records import Box
from markrules.frozen import dataclass
from markrules.reading.lines import lines_of
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece
from markrules.web.desk import Visit
from markrules.web.tray import rows_of

DEMO = "The demo tin"


@dataclass(frozen=True, slots=True)
class Counted:
    """A box with the number of its pieces."""

    box: Box
    pieces: int


def boxes(visit: Visit) -> Response:
    """All boxes."""
    counts = visit.catalogue.box_counts()
    found = [Counted(each, counts.get(each.id, 0)) for each in visit.catalogue.boxes()]
    return visit.page("boxes.html", boxes=found)


def start_box(visit: Visit) -> Response:
    """Start a box."""
    form = visit.form
    box = visit.catalogue.start_box(form.text("name", 400), form.text("note"), visit.who)
    return visit.go(f"/box/{box.id}")


def demo(visit: Visit) -> Response:
    """Start a box that holds the invented demo pieces."""
    taken = {each.name for each in visit.catalogue.boxes()}
    name = next(
        each for each in (DEMO, *(f"{DEMO} ({n})" for n in range(2, 999))) if each not in taken
    )
    lines = [each.data for each in lines_of(demo_folder() / "box.csv") if each.data is not None]
    with visit.desk.locked():
        pieces = [new_piece(visit.desk.reader, each["note"]) for each in lines]
    box = visit.catalogue.start_box(name, "Invented pieces, to try things out.", visit.who)
    visit.catalogue.add_pieces(box, pieces, visit.who)
    return visit.go(f"/box/{box.id}")


def search(visit: Visit) -> Response:
    """Pieces whose notes or marks hold the words; what a label's code holds opens its piece."""
    text = visit.query.get("q", "").strip()[:400]
    coded = visit.catalogue.by_code(text)
    if coded is not None:
        return visit.go(f"/piece/{coded.piece.uid}")
    found = visit.catalogue.search(text, limit=60) if text else ()
    return visit.page("search.html", text=text, rows=rows_of(visit, found))


ROUTES = (
    ("GET", "/", boxes),
    ("POST", "/boxes", start_box),
    ("POST", "/demo", demo),
    ("GET", "/search", search),
)
