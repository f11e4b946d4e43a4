"""The page and the command say the same of every piece: years, decision, reasons and sums.

The pieces are those of the invented demo box, with a set, half a pair, prices and figures.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from command import markrules
from samples import some_of
from shipped_base import shipped_reader
from together import every_case
from web_serving import Visitor, serving

from markrules.catalogue.records import Piece
from markrules.catalogue.store import Catalogue
from markrules.cli.drawing import UNICODE, draw
from markrules.reading.file_lines import lines_of
from markrules.reading.reader import Request
from markrules.sheets.drawing import date_drawing
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece
from markrules.telling.years_shown import years_shown
from markrules.web.drawing import curve_of

BOX = "theatre tin"
IN_A_SET = (2, 5, 9)
MORE = (
    "single earring, clip back, clear rhinestones, gold tone",
    "single earring, clip back, clear rhinestones, gold tone",
    "brooch, two stones missing, prong set stones, unsigned",
    "necklace, worn plating, fold-over clasp",
)


def demo_notes() -> list[str]:
    rows = [line.data for line in lines_of(demo_folder() / "box.csv")]
    return [row["note"] for row in rows if row is not None]


def run(path: Path, *arguments: str) -> str:
    told = markrules(*arguments, "--catalogue", str(path))
    assert told.returncode == 0, told.stderr
    return told.stdout


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Visitor, Path]]:
    """A served catalogue with the demo box, and its file."""
    folder = tmp_path_factory.mktemp("one-way")
    reader = shipped_reader()
    with serving(folder) as served:
        with Catalogue(served.catalogue) as catalogue:
            box = catalogue.boxes.start(BOX)
            notes = (*some_of(demo_notes()), *MORE)
            catalogue.pieces.add(box, [new_piece(reader, note) for note in notes])
            members = [catalogue.pieces.numbered(box, number) for number in IN_A_SET]
            catalogue.sets.start("parure", members)
            for name, value in (("hour", "12"), ("fee", "10%"), ("postage", "4")):
                catalogue.figures.set(name, value)
        for kind, price in (("brooch", "38"), ("brooch", "22"), ("earrings", "15"), ("ring", "18")):
            run(
                served.catalogue,
                "prices",
                "add",
                price,
                "USD",
                "--day",
                "2024-05-01",
                "--type",
                kind,
            )
        yield Visitor(served), served.catalogue


def pieces_of(path: Path) -> tuple[Piece, ...]:
    with Catalogue(path) as catalogue:
        return catalogue.pieces.all(catalogue.boxes.named(BOX))


def decided(path: Path) -> dict[int, tuple[str, str, Any]]:
    """The latest decision on each piece of the box, by number."""
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.named(BOX)
        kept = catalogue.decisions.standing(box)
        return {
            piece.number: (kept[piece.id].choice, kept[piece.id].reason, kept[piece.id].sums)
            for piece in catalogue.pieces.all(box)
        }


def test_decisions_are_the_same_from_page_and_command_alone_and_together(
    bench: tuple[Visitor, Path],
) -> None:
    visitor, path = bench
    pieces = pieces_of(path)

    run(path, "decide", BOX, "--save")
    by_command = decided(path)
    for piece in pieces:
        visitor.post(f"/piece/{piece.uid}/decide")
    alone_on_page = decided(path)
    visitor.post(f"/box/{pieces[0].box}/decide")
    together_on_page = decided(path)
    alone = {
        piece.number: json.loads(run(path, "decide", BOX, str(piece.number), "--json"))["decision"]
        for piece in pieces
        if piece.number in IN_A_SET or piece.number > len(pieces) - len(MORE)
    }

    assert len(by_command) == len(pieces) == len(some_of(demo_notes())) + len(MORE)
    assert alone_on_page == by_command
    assert together_on_page == by_command
    assert {n: each["choice"] for n, each in alone.items()} == {n: by_command[n][0] for n in alone}
    assert any(by_command[number][0] == "pair" for number in IN_A_SET)  # the set decides
    assert len({choice for choice, _, _ in by_command.values()}) > 2


def test_years_on_the_page_are_those_of_the_command(bench: tuple[Visitor, Path]) -> None:
    visitor, path = bench

    for piece in pieces_of(path)[::4]:
        told = run(path, "piece", "show", BOX, str(piece.number), "--full")
        years = re.search(r"^[a-z -]+: (\d{4}(?:–\d{4})?|\d{4} or \w+) \(", told, re.MULTILINE)
        assert years is not None, told
        page = html.unescape(visitor.get(f"/piece/{piece.uid}").text)
        assert years[1] in page


@every_case("note", [*demo_notes(), *MORE])
def test_every_drawing_shows_the_same_years(note: str) -> None:
    """The first and last year of the terminal's, the page's and the sheet's drawing are one."""
    reading = shipped_reader().read(Request(note=note))
    shown = years_shown(reading)
    on_page, on_sheet = curve_of(reading).span, date_drawing(reading)
    labels = {int(year) for year in re.findall(r'text-anchor="middle">(\d{4})<', on_sheet)}
    axis = [
        int(year) for line in draw(reading, 80, UNICODE) for year in re.findall(r"\b\d{4}\b", line)
    ]

    assert (on_page.first, on_page.last) == shown
    assert labels
    assert axis
    assert all(shown[0] <= year <= shown[1] for year in (*labels, *map(int, axis)))
