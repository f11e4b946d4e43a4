"""Sold prices out of a table."""

from __future__ import annotations

import re
from collections.abc import Iterable

from markrules.catalogue.amounts import parse_price, price_of_number
from markrules.catalogue.brought_tables import TableRow
from markrules.catalogue.days import DayReading, Order, iso_day, reading_of
from markrules.catalogue.money import check_day
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Sale

HEADINGS = {
    "date": ("date", "day", "sold", "sold on", "sale date", "when"),
    "price": ("price", "sold price", "sold for", "amount", "hammer price"),
    "currency": ("currency", "currency code"),
    "maker": ("maker", "brand", "made by"),
    "type": ("type", "piece", "piece type", "kind", "category"),
    "era": ("era", "years", "made", "period", "date made"),
    "condition": ("condition",),
    "signed": ("signed", "marked", "signature"),
    "note": ("note", "notes", "title", "description"),
    "link": ("link", "url", "web address"),
    "venue": ("venue", "sold at", "sold where", "site", "shop"),
    "fees": ("fees", "fee", "commission"),
    "postage": ("postage", "postage cost", "shipping cost"),
    "paid postage": ("paid postage", "postage paid", "postage charged", "shipping charged"),
    "material": ("material", "materials"),
    "size": ("size mm", "size in mm", "size"),
    "subject": ("subject", "motif"),
}
"""What is kept of a sold price, and the headings that say so."""

_YES = frozenset(("yes", "y", "true", "1", "signed", "x"))
_NO = frozenset(("no", "n", "false", "0", "unsigned", "-"))


def sales_of(
    rows: Iterable[TableRow], currency: str = ""
) -> tuple[list[Sale], list[tuple[int, str]]]:
    """The sold prices of the rows, and the lines that are none, each with what is wrong."""
    numbered, errors = numbered_sales_of(rows, currency)
    return [sale for _, sale in numbered], errors


def numbered_sales_of(
    rows: Iterable[TableRow], currency: str = "", days: DayReading | None = None
) -> tuple[list[tuple[int, Sale]], list[tuple[int, str]]]:
    """As `sales_of`, each sale with its line; its day as `days` says, or as the column tells."""
    rows = list(rows)
    order = (days or day_reading(rows)).order
    sales: list[tuple[int, Sale]] = []
    errors: list[tuple[int, str]] = []
    for row in rows:
        if row.error:
            errors.append((row.line, row.error))
            continue
        try:
            sales.append((row.line, _sale(row, currency, order)))
        except CatalogueProblem as problem:
            errors.append((row.line, str(problem)))
    return sales, errors


def day_reading(rows: Iterable[TableRow], wanted: Order | None = None) -> DayReading:
    """How the days of the rows are to be read."""
    return reading_of(((row.line, _cells(row)["date"]) for row in rows if row.cells), wanted)


def _sale(row: TableRow, currency: str, order: Order) -> Sale:
    cells = _cells(row)
    if not cells["date"]:
        raise CatalogueProblem("no day: write it like 2024-06-30, 2024-06 or 2024")
    day = check_day(iso_day(cells["date"], order), needed=True, not_to_come=True)
    asked = cells["currency"] or currency
    if cells["price"] in _numbers(row):
        minor, code = price_of_number(cells["price"], asked)
    else:
        minor, code = parse_price(cells["price"], asked)
    first, last = years_of(cells["era"])
    return Sale(
        id=0,
        piece=None,
        when=day,
        price_minor=minor,
        currency=code,
        maker=cells["maker"],
        piece_type=cells["type"],
        first_year=first,
        last_year=last,
        condition=cells["condition"],
        signed=_signed(cells["signed"]),
        note=cells["note"],
        link=_link(cells["link"]),
        venue=cells["venue"],
        fees_minor=_part(row, cells["fees"], code, "fees"),
        postage_minor=_part(row, cells["postage"], code, "postage"),
        paid_postage_minor=_part(row, cells["paid postage"], code, "paid postage"),
        material=cells["material"],
        size_mm=_size(cells["size"]),
        subject=cells["subject"],
    )


def _numbers(row: TableRow) -> frozenset[str]:
    """The texts of cells that held a number."""
    return frozenset(row.cells[heading] for heading in row.numbers)


def _part(row: TableRow, text: str, currency: str, what: str) -> int | None:
    """An amount in the currency of the price; None for an empty text."""
    if not text:
        return None
    if text in _numbers(row):
        return price_of_number(text, currency)[0]
    minor, code = parse_price(text, currency)
    if code != currency:
        raise CatalogueProblem(f"{what} in {code}, but the price in {currency}")
    return minor


def _size(text: str) -> float | None:
    """A size such as `45`, `45 mm` or `4.5 cm` in millimetres; None for an empty text."""
    if not text:
        return None
    match = re.fullmatch(r"([0-9]{1,5}(?:[.,][0-9]{1,3})?)\s*(mm|cm|)", text.strip().casefold())
    if match is None:
        raise CatalogueProblem(f'size is "{text[:40]}"; write it like 45 mm')
    return float(match[1].replace(",", ".")) * (10 if match[2] == "cm" else 1)


def _cells(row: TableRow) -> dict[str, str]:
    by_heading = {" ".join(heading.casefold().split()): text for heading, text in row.cells.items()}
    found = {}
    for field, headings in HEADINGS.items():
        named = [by_heading[heading] for heading in headings if heading in by_heading]
        found[field] = next((text for text in named if text), "")
    return found


def years_of(text: str) -> tuple[int | None, int | None]:
    """The years of `1950-1965`, `1950s` or `1911`; none for an empty text.

    Raises CatalogueProblem for anything else.
    """
    clean = text.strip().casefold().removeprefix("circa ").removeprefix("c. ")
    if not clean:
        return None, None
    decade = re.fullmatch(r"([0-9]{3})0s", clean, re.ASCII)
    if decade is not None:
        return int(decade[1]) * 10, int(decade[1]) * 10 + 9
    run = re.fullmatch(r"([0-9]{4})(?:\s*(?:-|–|/|to)\s*([0-9]{4}))?", clean, re.ASCII)
    if run is not None:
        first, last = int(run[1]), int(run[2] or run[1])
        if first <= last:
            return first, last
    raise CatalogueProblem(f'"{text}" are no years; write them like 1950-1965, 1950s or 1911')


def _signed(text: str) -> bool | None:
    word = text.strip().casefold()
    if not word:
        return None
    if word in _YES | _NO:
        return word in _YES
    raise CatalogueProblem(f'signed is "{text}"; write yes or no')


def _link(text: str) -> str:
    if text and not re.match(r"https?://", text, re.IGNORECASE):
        raise CatalogueProblem(f'link is "{text[:60]}"; a link begins with https://')
    return text
