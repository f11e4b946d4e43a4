"""Money: as people write it, and as whole numbers of minor units."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.catalogue.amounts import decimals_of, parse_price, show_price
from markrules.catalogue.brought_tables import TableRow
from markrules.catalogue.money import check_day
from markrules.catalogue.pricelist import sales_of, years_of
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece, Sale
from markrules.catalogue.store import Catalogue


@every_case(
    ("text", "currency", "minor", "code"),
    [
        ("34.50", "EUR", 3450, "EUR"),
        ("34,5", "EUR", 3450, "EUR"),
        ("1,234", "EUR", 123400, "EUR"),
        ("1.234,56", "EUR", 123456, "EUR"),
        ("1,234.56 USD", "", 123456, "USD"),
        ("£30", "EUR", 3000, "GBP"),
        ("12 €", "", 1200, "EUR"),
        ("JPY 1500", "", 1500, "JPY"),
        ("1.500", "JPY", 1500, "JPY"),
        ("1.500", "KWD", 1500, "KWD"),
        ("1 234 567.8", "CHF", 123456780, "CHF"),
        ("0", "EUR", 0, "EUR"),
    ],
)
def test_prices_are_read_as_people_write_them(
    text: str, currency: str, minor: int, code: str
) -> None:
    assert parse_price(text, currency) == (minor, code)


@every_case(
    "text", ["", "-3", "1e5", "NaN", "inf", "1.2.3", "12,34,5", "three", "٣", "1" * 40, "5 EURO"]
)
def test_what_is_no_price_is_refused(text: str) -> None:
    with pytest.raises(CatalogueProblem):
        parse_price(text, "EUR")


def test_a_price_needs_a_currency() -> None:
    with pytest.raises(CatalogueProblem, match="currency"):
        parse_price("12.50")


def test_minor_units_are_those_of_iso_4217() -> None:
    """ISO 4217, list one (maintenance agency SIX), column "minor unit"."""
    published = {"EUR": 2, "USD": 2, "GBP": 2, "CHF": 2, "JPY": 0, "KRW": 0, "ISK": 0, "CLP": 0}
    published |= {"BHD": 3, "JOD": 3, "KWD": 3, "OMR": 3, "TND": 3, "CLF": 4, "XOF": 0, "HUF": 2}
    assert {code: decimals_of(code) for code in published} == published


@given(minor=st.integers(0, 10**13), code=st.sampled_from(["EUR", "JPY", "KWD"]))
def test_what_is_shown_is_read_back(minor: int, code: str) -> None:
    shown = show_price(minor, code)
    assert parse_price(shown) == (minor, code)
    assert Decimal(shown[:-4].replace(",", "")) * 10 ** decimals_of(code) == minor


@every_case("text", ["2024-06-30", "2024-06", "2024", "2024-02-29"])
def test_days_of_iso_8601_are_taken(text: str) -> None:
    assert check_day(text) == text


@every_case("text", ["30.6.2024", "2024-13", "2023-02-29", "24-06-30", "2024-6-3"])
def test_other_days_are_refused(text: str) -> None:
    with pytest.raises(CatalogueProblem, match="not a date"):
        check_day(text)


def test_years_are_read_and_refused() -> None:
    assert years_of("1950-1965") == (1950, 1965)
    assert years_of("circa 1950s") == (1950, 1959)
    assert years_of("1911") == (1911, 1911)
    assert years_of("") == (None, None)
    for text in ("1965-1950", "old", "195"):
        with pytest.raises(CatalogueProblem):
            years_of(text)


def test_a_table_of_sales_gives_sales_and_bad_lines(tmp_path: Path) -> None:
    rows = [
        TableRow(
            2,
            {
                "Date": "2024-06-30",
                "Price": "34.50",
                "Currency": "EUR",
                "Maker": "",
                "Type": "brooch",
                "Era": "1950s",
                "Condition": "good",
                "Signed": "no",
                "Note": "=1",
                "Link": "https://example.org/1",
            },
        ),
        TableRow(3, {"Sold on": "2024-05", "Sold for": "£20", "Signed": "yes"}),
        TableRow(4, {"Date": "yesterday", "Price": "1"}),
        TableRow(5, {"Date": "2024", "Price": "1", "Signed": "maybe"}),
        TableRow(6, {"Date": "2024", "Price": "1", "Link": "javascript:alert(1)"}),
        TableRow(7, {"Date": "2024", "Price": ""}),
        TableRow(8, {}, "not CSV"),
    ]
    sales, errors = sales_of(rows, "EUR")
    note = ("brooch", 1950, 1959, "good", False, "=1")
    first = sales[0]
    assert (first.piece_type, first.first_year, first.last_year) == note[:3]
    assert (first.condition, first.signed, first.note) == note[3:]
    assert [(sale.price_minor, sale.currency) for sale in sales] == [(3450, "EUR"), (2000, "GBP")]
    assert [line for line, _ in errors] == [4, 5, 6, 7, 8]

    with Catalogue(tmp_path / "c.db") as catalogue:
        catalogue.money.record_sales(sales)
        assert [sale.when for sale in catalogue.money.sales()] == ["2024-05", "2024-06-30"]
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece("a")])
        piece = catalogue.pieces.numbered(box, 1)
        own = Sale(0, piece.id, "2025", 1, "EUR", "", "", None, None, "", None, "", "")
        (number,) = catalogue.money.record_sales([own])
        assert [sale.id for sale in catalogue.money.sales(piece)] == [number]
        catalogue.money.take_out_sale(number)
        assert catalogue.money.sales(piece) == ()
        bad = Sale(0, None, "2025", -1, "EUR", "", "", None, None, "", None, "", "")
        with pytest.raises(CatalogueProblem, match="out of range"):
            catalogue.money.record_sales([own, bad])
        assert catalogue.money.sales(piece) == ()
        gained = catalogue.money.record_acquisition(
            piece, cost_minor=5, currency="EUR", when="2024"
        )
        assert catalogue.money.acquisitions(piece) == (gained,)
        with pytest.raises(CatalogueProblem, match="ISO 4217"):
            catalogue.money.record_acquisition(piece, cost_minor=5, currency="euro")
