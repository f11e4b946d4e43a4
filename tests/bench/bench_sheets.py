"""How fast sheets are made: `python tests/bench/bench_sheets.py [PIECES]`.

Prints the medians of one sheet as HTML and as PDF, of a listing and a claims check, and the time
of a whole box on all cores. Target: 500 sheets with PDF in 60 s or less on two cores.
"""

from __future__ import annotations

import functools
import io
import random
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from markrules.catalogue.store import Catalogue
from markrules.cli.catalogue import all_cores
from markrules.cli.common import open_reader
from markrules.sheets.claims import check_text
from markrules.sheets.listing import listing
from markrules.sheets.printing import sheet_page, sheet_pdf
from markrules.tasks.entering import new_piece
from markrules.tasks.gathering_for_sheets import matter_of
from markrules.tasks.sheets_of_box import BoxJob, make_box

# Invented parts of notes.
KINDS = ("brooch", "earrings, clip backs", "necklace, spring ring clasp", "bar pin", "bracelet")
SEEN = (
    "rollover catch",
    "C catch, tube hinge",
    "AB rhinestones",
    "snap rivets",
    "gold tone",
    "rhodium plated",
    "marked AUSTRIA",
    "signed TRIF?RI",
    "marked STERLING",
    "missing stones",
    "prong set",
    "open backs",
    "flower",
    "5.5 cm",
    "23 g",
    "unsigned",
)


def notes(count: int) -> list[str]:
    """Invented notes of one kind and six things seen."""
    chooser = random.Random(6)
    return [", ".join((chooser.choice(KINDS), *chooser.sample(SEEN, 6))) for _ in range(count)]


def photo(number: int) -> bytes:
    """A photo of 1600 by 1200 pixels with something in it to be packed."""
    from PIL import Image

    picture = Image.effect_noise((1600, 1200), 20 + number % 60).convert("RGB")
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=85)
    return written.getvalue()


def filled(path: Path, count: int) -> None:
    """A catalogue with a box of so many pieces, each with a photo."""
    reader = open_reader(())
    pictures = [photo(number) for number in range(8)]
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("bench")
        catalogue.pieces.add(box, [new_piece(reader, each) for each in notes(count)])
        for piece in catalogue.pieces.all(box):
            catalogue.photos.add(piece, pictures[piece.number % 8], "front")


def median_ms(work: Callable[[], object], times: int = 15) -> float:
    """Median of so many runs, in milliseconds, after one that is not counted."""
    work()
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return 1000 * statistics.median(spent)


def one_sheet(path: Path) -> None:
    """Print what one sheet takes."""
    reader = open_reader(())
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.named("bench")
        piece = catalogue.pieces.numbered(box, 1)
        matter = matter_of(catalogue, reader, box, piece)
        gathered = median_ms(lambda: matter_of(catalogue, reader, box, piece))
    text = listing(matter).text() * 3
    print(f"gather and read one piece, with photo   {gathered:8.1f} ms")
    print(
        f"sheet as HTML                           {median_ms(lambda: sheet_page(matter)):8.1f} ms"
    )
    print(f"sheet as PDF                            {median_ms(lambda: sheet_pdf(matter)):8.1f} ms")
    print(f"listing text                            {median_ms(lambda: listing(matter)):8.1f} ms")
    checked = median_ms(lambda: check_text(reader.base, text, matter.reading))
    print(f"claims check of {len(text):,} characters      {checked:8.1f} ms")


def main() -> None:
    """Run the benchmark."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "bench.db"
        filled(path, count)
        one_sheet(path)
        job = BoxJob(path, "bench", Path(folder) / "out", functools.partial(open_reader, ()))
        start = time.perf_counter()
        made = make_box(job, range(1, count + 1), all_cores())
        spent = time.perf_counter() - start
        good = sum(not each.problem for each in made)
        print(f"{good} sheets, HTML and PDF, on {all_cores()} cores {spent:12.1f} s  (60 s wanted)")


if __name__ == "__main__":
    main()
