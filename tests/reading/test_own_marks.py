"""An imported list of marks counts in a reading, with its years, jointly with construction."""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from pathlib import Path

import pytest
from together import every_case

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.marks.private_list import years_of
from markrules.marks.private_marks import PrivateMark, PrivateMarks
from markrules.reading.reader import Reader, Request

MADE_UP = (
    PrivateMark("NOVAK", "Novak Studio", "1950-1970"),
    PrivateMark("ZELDANI", "Zeldani & Co", "c. 1890"),
    PrivateMark("ZELDARI", "Zeldari", "1960 to 1975"),
)


@cache
def base() -> KnowledgeBase:
    found, _ = load([shipped_rules()], cache_folder=None)
    return found


@pytest.fixture(scope="module")
def reader(tmp_path_factory: pytest.TempPathFactory) -> Reader:
    place = tmp_path_factory.mktemp("own") / "marks.sqlite"
    with PrivateMarks(place).adding() as add:
        add(MADE_UP)
    return Reader(base(), 2026, own_marks=place)


def read(reader: Reader, note: str) -> Reading:
    return reader.read(Request(note=note, next_looks=0))


def test_a_mark_of_the_list_names_its_maker_and_its_years(reader: Reader) -> None:
    found = read(reader, "brooch, marked NOVAK")

    assert (found.makers[0].title, found.makers[0].mark_text) == ("Novak Studio", "NOVAK")
    assert found.makers[0].probability > 0.95
    assert 1945 <= found.date.range.first <= found.date.range.last <= 1975
    assert not found.marks[0].unlisted


def test_letters_and_construction_settle_the_list_together(reader: Reader) -> None:
    old = read(reader, "brooch, c catch, tube hinge, marked ZELDA?I")
    late = read(reader, "brooch, rollover catch, aurora borealis stones, marked ZELDA?I")

    assert old.makers[0].title == "Zeldani & Co"
    assert late.makers[0].title == "Zeldari"


def test_a_mark_of_the_rules_stays_what_it_is(reader: Reader) -> None:
    with_list = read(reader, "brooch, marked TRIFARI")
    without = read(Reader(base(), 2026), "brooch, marked TRIFARI")

    assert with_list.makers[0] == without.makers[0]


@every_case(
    ("years", "first", "last"),
    [
        ("1950-1970", 1950, 1970),
        ("c. 1925", 1925, 1925),
        ("from 1895", 1895, None),
        ("1895-", 1895, None),
        ("until 1930", None, 1930),
        ("1880s to 1914", 1880, 1914),
    ],
)
def test_years_as_lists_write_them(years: str, first: int | None, last: int | None) -> None:
    window = years_of(years)

    assert window is not None
    assert (window.mostly_first.number if window.mostly_first else None) == first
    assert (window.mostly_last.number if window.mostly_last else None) == last


def test_no_year_is_no_window() -> None:
    assert years_of("unknown") is None


def test_of_a_long_list_few_rows_are_looked_at(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a reading costs beside a long list is measured in tests/bench; here, what it fetches."""
    place = tmp_path / "marks.sqlite"
    with PrivateMarks(place).adding() as add:
        count = add(
            PrivateMark(f"{a}{b}{c}AN{a}", f"maker {a}{b}{c}", "1950")
            for a in _A
            for b in _A
            for c in _A
        )
    fetched: list[int] = []
    plainly = PrivateMarks.rows

    def counted(store: PrivateMarks, numbers: Iterable[int]) -> dict[int, PrivateMark]:
        found = plainly(store, numbers)
        fetched.append(len(found))
        return found

    monkeypatch.setattr(PrivateMarks, "rows", counted)
    own = Reader(base(), 2026, own_marks=place)

    for text in (f"{a}{b}QAN{a}" for a in "BCDF" for b in "AEIO"):
        assert read(own, f"brooch, marked {text}").makers[0].title == f"maker {text[:3]}"

    assert count == len(_A) ** 3
    assert 0 < max(fetched) <= 200


_A = "ABCDEFGHIJKLMNOPRSTUVWQ"
