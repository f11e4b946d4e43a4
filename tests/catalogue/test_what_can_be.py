"""Each bound of what the catalogue takes, from both sides: the last thing taken, the first refused.

The bounds are counted out here, not read from the code.
"""

from __future__ import annotations

import datetime
import itertools
import sqlite3
from collections import defaultdict
from dataclasses import replace
from pathlib import Path

import pytest
from together import every_case

from markrules.catalogue import soundness, unexplained
from markrules.catalogue.file import CatalogueProblem
from markrules.catalogue.money import check_day, check_money, check_sale
from markrules.catalogue.records import NewPiece, Sale
from markrules.catalogue.store import Catalogue
from markrules.knowledge.observation import Observation

SALE = Sale(1, None, "2024-06-30", 3450, "EUR", "", "brooch", None, None, "", None, "", "")


@every_case(
    ("change", "taken"),
    [
        ({"price_minor": 1}, True),
        ({"price_minor": 0}, False),
        ({"price_minor": -1}, False),
        ({"pieces": 1}, True),
        ({"pieces": 2}, True),
        ({"pieces": 500}, True),
        ({"pieces": 0}, False),
        ({"pieces": -1}, False),
        ({"size_mm": 0.1}, True),
        ({"size_mm": 99_999.0}, True),
        ({"size_mm": 0.0}, False),
        ({"size_mm": -4.0}, False),
        ({"size_mm": 100_000.0}, False),
        ({"fees_minor": 0}, True),
        ({"fees_minor": -1}, False),
        ({"postage_minor": 0, "paid_postage_minor": 0}, True),
        ({"postage_minor": -1}, False),
        ({"paid_postage_minor": -1}, False),
        ({"returned": datetime.timedelta()}, True),
        ({"returned": datetime.timedelta(days=1)}, True),
        ({"returned": datetime.timedelta(days=2)}, False),
        ({"currency": "USD"}, True),
        ({"currency": "eur"}, False),
        ({"currency": "EURO"}, False),
        ({"currency": "E1R"}, False),
        ({"currency": "EU"}, False),
    ],
)
def test_a_sale_that_can_be_and_one_that_cannot(change: dict[str, object], taken: bool) -> None:
    # Days are counted from the day of the test itself: a run may go on past midnight.
    days = {
        name: (datetime.date.today() + value).isoformat()
        for name, value in change.items()
        if isinstance(value, datetime.timedelta)
    }
    sale = replace(SALE, **{**change, **days})
    if taken:
        check_sale(sale)
        return
    with pytest.raises(CatalogueProblem):
        check_sale(sale)


def test_the_largest_amount_is_a_million_million_thousand_minor_units() -> None:
    largest = 10**15 - 1
    check_money(largest, "EUR")
    with pytest.raises(CatalogueProblem):
        check_money(largest + 1, "EUR")


@every_case(
    ("text", "taken"),
    [
        ("2024", "2024"),
        (" 2024-02 ", "2024-02"),
        ("2024-02-29", "2024-02-29"),
        ("2023-02-29", None),
        ("2024-13", None),
        ("2024-00", None),
        ("2024-1", None),
        ("24", None),
        ("2024-02-29-01", None),
        ("٢٠٢٤", None),
    ],
)
def test_a_day_that_is_one(text: str, taken: str | None) -> None:
    if taken is not None:
        assert check_day(text, needed=True) == taken
        return
    with pytest.raises(CatalogueProblem):
        check_day(text)


def test_no_day_is_taken_where_none_is_needed() -> None:
    assert check_day("  ") == ""
    with pytest.raises(CatalogueProblem):
        check_day("  ", needed=True)


def test_a_step_explains_its_own_rows_from_the_first_to_the_last() -> None:
    touched: defaultdict[tuple[str, object], set[str]] = defaultdict(set)
    unexplained._note(touched, {"table": "piece", "first": 5, "last": 8})
    unexplained._note(touched, {"table": "photo", "first": 3, "last": 3})
    assert sorted(touched, key=str) == [
        ("photo", 3),
        ("piece", 5),
        ("piece", 6),
        ("piece", 7),
        ("piece", 8),
    ]
    assert set(map(frozenset, touched.values())) == {frozenset({"gone"})}


def _damaged(place: Path) -> sqlite3.Connection:
    """A file of many sound rows, the last of which is empty where none may be."""
    connection = sqlite3.connect(place, isolation_level=None)
    connection.execute("create table rows_of (number integer primary key, words text)")
    connection.execute("begin")
    rows = ((at, f"{at:08}") for at in range(60_000))
    connection.executemany("insert into rows_of values (?, ?)", rows)
    connection.execute("insert into rows_of values (60001, null)")
    connection.execute("commit")
    connection.execute("pragma writable_schema = on")
    connection.execute(
        "update sqlite_master set sql = replace(sql, 'words text', 'words text not null')"
    )
    connection.close()
    return sqlite3.connect(place)


@pytest.mark.parametrize(("spent", "found"), [(4.9, True), (5.1, False)])
def test_a_quick_look_ends_when_its_time_is_spent_and_no_sooner(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, spent: float, found: bool
) -> None:
    """By a clock that stands at 100 when the look begins, and so much later ever after."""
    clock = itertools.chain([100.0], itertools.repeat(100.0 + spent))
    monkeypatch.setattr(soundness.time, "monotonic", lambda: next(clock))
    connection = _damaged(tmp_path / "damaged.sqlite")
    try:
        assert bool(soundness.quick_damage(connection, 5.0)) is found
    finally:
        connection.close()


STORED = (
    (Observation("catch", "lever"), ("seen", 0, 0)),
    (Observation("catch", "lever", heard=True), ("seen", 1, 0)),
    (Observation("catch", "lever", state="replaced"), ("seen", 2, 0)),
    (Observation("catch", "", state="absent"), ("absent", 0, 0)),
    (Observation("catch", "lever", state="ruled-out", certainty="fair"), ("ruled-out", 0, 0)),
)


def test_what_the_file_holds_of_an_observation_does_not_change(tmp_path: Path) -> None:
    """Files of years ago are read by these numbers: seen 0, told 1, on a part fitted later 2."""
    with Catalogue(tmp_path / "a.db", create=True) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece(note="invented")])
        (piece,) = catalogue.pieces.all()
        catalogue.log.add(piece, [each for each, _ in STORED], "me")
    connection = sqlite3.connect(tmp_path / "a.db")
    try:
        found = connection.execute(
            "select state, heard, withdrawn from seen order by id"
        ).fetchall()
    finally:
        connection.close()
    assert found == [row for _, row in STORED]
