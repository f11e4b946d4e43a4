"""The time that each entry of text takes grows as its length does, in processor time.

What grows as the square of its length can be made to hang by whoever sends it.
"""

from __future__ import annotations

import itertools
import random
from collections.abc import Callable
from functools import cache
from pathlib import Path

from growth import grows_as_its_length, seconds, within
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.appraisal.condition import Ladder, ladder
from markrules.appraisal.mirrored import mirrored
from markrules.appraisal.shades import stone_colour
from markrules.appraisal.stone import Stone
from markrules.catalogue.brought_tables import rows_of
from markrules.catalogue.days import reading_of
from markrules.catalogue.pricelist import sales_of
from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
from markrules.marks.mark_import import import_csv
from markrules.marks.private_marks import PrivateMarks
from markrules.sheets.claims import check_text
from markrules.sheets.discretion import forms_of, without_people
from markrules.tasks import own_makers
from markrules.tasks.finding import find_pieces
from markrules.tasks.importing import read_table
from markrules.tasks.own_makers import OwnMaker, add_maker
from markrules.tasks.stocking import stones_in_text

# ruff: noqa: SIM905
WORDS = (
    "excellent very good vintage condition brooch rhinestones siam light topaz AB foil "
    "round 4 mm SS16 navette 10x5 mm jonquil no not missing seller says Mrs Ada Birch 12 "
    "Oak Street sterling vermeil designer signed never worn 1950s handmade , . ; 12 x "
).split()


def mixed(length: int, seed: int = 5) -> str:
    """Invented words of all entries, in no order."""
    chance = random.Random(seed)
    parts: list[str] = []
    while sum(map(len, parts)) + len(parts) < length:
        parts.append(chance.choice(WORDS))
    return " ".join(parts)


def lines_of(line: str, count: int) -> str:
    return "\n".join([line] * count) + "\n"


def in_a_file(folder: Path, text: str) -> Path:
    place = folder / "given.csv"
    place.write_text(text, "utf-8")
    return place


@cache
def shipped_ladder() -> Ladder:
    return ladder(shipped_base())


def in_words(text: str) -> object:
    return shipped_ladder().in_words(text)


def understood(text: str) -> object:
    return shipped_reader().understand(text)


ENTRIES: dict[str, tuple[Callable[[str], object], str]] = {
    "words of condition": (in_words, mixed(15_000)),
    "one word of condition": (
        in_words,
        "excellent " * 3_000,
    ),
    "a colour of stones": (lambda text: stone_colour(shipped_base(), text), mixed(15_000)),
    "two stones": (
        lambda text: mirrored(shipped_base(), Stone(colour=text), Stone(colour=text[1:])),
        mixed(8_000),
    ),
    "stones pasted": (
        lambda text: stones_in_text(shipped_base(), text),
        lines_of("12 x navette, 10x5 mm, light siam, foil", 300),
    ),
    "stones in one line": (lambda text: stones_in_text(shipped_base(), text), mixed(5_000)),
    "a listing": (lambda text: check_text(shipped_base(), text), mixed(20_000)),
    "a listing of one phrase": (
        lambda text: check_text(shipped_base(), text),
        "all stones present " * 1_000,
    ),
    "what was told": (
        lambda text: without_people(forms_of(shipped_base()), text),
        mixed(20_000),
    ),
    "a note": (understood, mixed(5_000)),
    "a note of one word": (understood, "good " * 1_200),
    "a note of colours": (understood, "light siam ab " * 400),
    "a note of conditions": (understood, "very good condition " * 300),
    "days": (
        lambda text: reading_of(enumerate(text.splitlines(), 1)),
        lines_of("3/4/2024 10:15", 1_500),
    ),
}


@every_case("name", ENTRIES)
def test_twice_the_text_takes_about_twice_the_time(name: str) -> None:
    act, text = ENTRIES[name]

    assert grows_as_its_length(act, text)


def test_twice_the_rows_take_about_twice_the_time(tmp_path: Path) -> None:
    reader = shipped_reader()

    def pieces(rows: str) -> object:
        head = "note,condition,cost,bought on\n"
        return read_table(reader, in_a_file(tmp_path, head + rows), currency="EUR")

    def prices(rows: str) -> object:
        head = "date,price,currency,type,condition,maker\n"
        return sales_of(list(rows_of(in_a_file(tmp_path, head + rows))))

    assert grows_as_its_length(
        pieces, lines_of('"brooch, siam stones",very good,4.50,3/4/2024', 120)
    )
    assert grows_as_its_length(prices, lines_of("2024-05-06,34.50,EUR,brooch,very good,Oak", 800))


def catalogue_of(place: Path, pieces: int) -> Catalogue:
    catalogue = Catalogue(place)
    box = catalogue.boxes.start("tin")
    notes = (f"brooch {number}, rollover catch, {mixed(60, number)}" for number in range(pieces))
    catalogue.pieces.add(box, [NewPiece(note) for note in notes])
    return catalogue


def test_a_search_grows_with_its_words_and_with_the_pieces(tmp_path: Path) -> None:
    reader = shipped_reader()
    with catalogue_of(tmp_path / "few.db", 300) as few:
        assert grows_as_its_length(lambda text: find_pieces(few, reader, text), mixed(4_000))
        with catalogue_of(tmp_path / "more.db", 600) as more:
            assert find_pieces(more, reader, "brooch")
            assert within(
                lambda: seconds(lambda: find_pieces(more, reader, "brooch")),
                lambda: seconds(lambda: find_pieces(few, reader, "brooch")),
            )


def test_twice_the_marks_of_ones_own_take_about_twice_the_time(tmp_path: Path) -> None:
    def brought(count: int) -> float:
        lines = "".join(f"FENWICK {n},Fenwick {n},1901-1910,,invented\n" for n in range(count))
        file = in_a_file(tmp_path, "text,maker,years,note,source\n" + lines)

        def bring() -> None:
            import_csv(file, PrivateMarks(tmp_path / f"{next(turns)}.sqlite"))

        return seconds(bring)

    turns = itertools.count()

    assert within(lambda: brought(6_000), lambda: brought(3_000))


def test_a_maker_of_ones_own_is_added_in_the_time_that_its_file_is_long(tmp_path: Path) -> None:
    base = shipped_base()
    turns = itertools.count()

    def added(count: int) -> float:
        folder = tmp_path / str(next(turns))
        add_maker(base, OwnMaker("Fenwick 0"), folder)
        file = folder / own_makers.FILE
        entries = (
            own_makers._entry(f"fenwick-{n}", OwnMaker(f"Fenwick {n}")) for n in range(1, count)
        )
        file.write_text(file.read_text("utf-8") + "\n" + "\n".join(entries), "utf-8")
        names = iter(f"Tarn {letter}" for letter in "ABCDEFG")
        return seconds(lambda: add_maker(base, OwnMaker(next(names)), folder))

    assert within(lambda: added(400), lambda: added(200))
