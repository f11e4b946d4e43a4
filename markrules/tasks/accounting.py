"""How pieces stand, and the report of what was bought and sold, out of a catalogue."""

from __future__ import annotations

import csv
import datetime
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from markrules.appraisal.accounts import (
    AS_IT_HAPPENED,
    CAUTION,
    AccountLine,
    Books,
    By,
    Cost,
    PieceStanding,
    Report,
    costs_of,
    report,
    standing_of,
)
from markrules.catalogue.amounts import decimals_of
from markrules.catalogue.private import open_private
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.records import Acquisition, Piece
from markrules.catalogue.store import Catalogue


def books_of(catalogue: Catalogue) -> Books:
    """All records that a report rests on: also of pieces and boxes that are gone."""
    boxes = {row["id"]: str(row["name"]) for row in catalogue.rows("select id, name from box")}
    return Books(
        catalogue.pieces.all(gone=True),
        boxes,
        catalogue.money.acquisitions(),
        catalogue.money.sales(),
    )


def accounts(catalogue: Catalogue, by: By, year_starts: tuple[int, int] = (1, 1)) -> Report:
    """The report of today."""
    return report(books_of(catalogue), by, datetime.date.today(), year_starts)


def standing(catalogue: Catalogue, piece: Piece) -> PieceStanding:
    """How a piece stands: cost, listing, storage, sale and net."""
    cost = _cost(catalogue, piece)
    return standing_of(piece, cost, catalogue.money.events(piece), catalogue.money.sales(piece))


def _cost(catalogue: Catalogue, piece: Piece) -> Cost | None:
    """What a piece cost; the rest of its box is looked at only where the box was bought whole."""
    box = catalogue.boxes.by_id(piece.box)
    own = catalogue.money.acquisitions(piece)
    if any(each.cost_minor is not None for each in own):
        return costs_of([piece], own).get(piece.id)
    if all(each.cost_minor is None for each in catalogue.money.acquisitions(box)):
        return None
    pieces = catalogue.pieces.all(box, gone=True)
    return costs_of(pieces, catalogue.money.acquisitions()).get(piece.id)


def bought_together(
    catalogue: Catalogue,
    pieces: Sequence[Piece],
    minor: int,
    currency: str,
    *,
    when: str = "",
    where: str = "",
    who_from: str = "",
    note: str = "",
    who: str = "",
) -> tuple[Acquisition, ...]:
    """Record that pieces were bought as one lot: what it cost, in minor units, is shared evenly,
    and the parts add up to it. One step.

    Raises CatalogueProblem where there are no pieces, one has a cost of its own already, or the
    day, the cost or the currency cannot be.
    """
    if not pieces:
        raise CatalogueProblem("no pieces that were bought together")
    for each in pieces:
        if any(it.cost_minor is not None for it in catalogue.money.acquisitions(each)):
            raise CatalogueProblem(
                f"piece {each.number} has a cost of its own: correct that, or leave it out"
            )
    parts = len(pieces)
    shares = [minor // parts + (at < minor % parts) for at in range(parts)]
    return catalogue.money.record_acquisitions(
        list(zip(pieces, shares, strict=True)),
        when=when,
        where=where,
        who_from=who_from,
        currency=currency,
        note=note,
        who=who,
    )


COLUMNS = (
    *("group", "currency", "bought", "sold", "taken", "fees", "postage", "cost of sold", "net"),
    *("returned", "refunded", "median days to sell", "sold without a known cost"),
)


def starts_of(text: str) -> tuple[int, int]:
    """The month and day on which a year begins, of `04-06`. Raises CatalogueProblem."""
    try:
        day = datetime.date.fromisoformat(f"2024-{text}")
    except ValueError:
        raise CatalogueProblem(f'"{text[:20]}" is no day of a year: write it like 04-06') from None
    return day.month, day.day


_AMOUNTS = frozenset(
    ("bought", "taken", "fees", "postage", "cost of sold", "net", "refunded", "at cost")
)
"""The columns that hold sums of money."""


def table_of(found: Report) -> list[list[Any]]:
    """The lines of a report as rows of a table, headings first, amounts in whole units."""
    return [list(COLUMNS), *(_row(line) for line in found.lines)]


def _row(line: AccountLine) -> list[Any]:
    scale = float(10 ** decimals_of(line.currency))

    def money(minor: int) -> float:
        return minor / scale

    amounts = (line.taken, line.fees, line.postage, line.cost, line.net)
    return [
        _plain(line.group),
        line.currency,
        money(line.bought),
        line.sold,
        *map(money, amounts),
        line.returned,
        money(line.refunded),
        line.days,
        line.without_cost,
    ]


def _plain(text: str) -> str:
    """A text that no spreadsheet takes for a formula."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def stock_table(found: Report) -> list[list[Any]]:
    """What is unsold as rows of a table, headings first."""
    rows: list[list[Any]] = [["currency", "unsold for", "pieces", "at cost"]]
    for each in found.stock:
        scale = 10 ** decimals_of(each.currency)
        previous = 0
        for bound, pieces, cost in each.ages:
            words = f"over {previous} days" if bound is None else f"{previous} to {bound} days"
            rows.append([each.currency, words, pieces, cost / scale])
            previous = bound or previous
        if each.undated:
            dated = sum(cost for _, _, cost in each.ages)
            rows.append([each.currency, "no day said", each.undated, (each.cost - dated) / scale])
        rows.append([each.currency, "all", each.pieces, each.cost / scale])
    return rows


def stock_rows(found: Report) -> list[list[Any]]:
    """`stock_table` with, at its end, the pieces whose cost nobody recorded."""
    more = [["", COST_UNKNOWN, found.unpriced, ""]] if found.unpriced else []
    return [*stock_table(found), *more]


COST_UNKNOWN = "cost not recorded"


def write_report(found: Report, path: Path) -> tuple[Path, ...]:
    """Write a report as CSV, or as XLSX by the name of the file; never over a file there.

    A file of CSV holds one table, so what is unsold stands in a second beside it, named
    `...-unsold.csv`. Gives the files written. Raises CatalogueProblem for another kind of file or
    one that is there, FileTrouble where it cannot be written; then none is left.
    """
    kind = path.suffix.casefold()
    if kind not in (".csv", ".xlsx"):
        raise CatalogueProblem(f"{path}: name a file that ends in .csv or .xlsx")
    files = {path: report_bytes(found, kind)}
    if kind == ".csv" and _has_stock(found):
        files[path.with_name(f"{path.stem}-unsold{path.suffix}")] = stock_bytes(found)
    written: list[Path] = []
    try:
        for file, data in files.items():
            _write_new(file, data)
            written.append(file)
    except CatalogueProblem:
        for file in written:
            file.unlink(missing_ok=True)
        raise
    return tuple(written)


def _has_stock(found: Report) -> bool:
    return bool(found.stock or found.unpriced)


def _write_new(path: Path, data: bytes) -> None:
    try:
        with open_private(path, "xb") as handle:
            handle.write(data)
    except FileExistsError:
        raise CatalogueProblem(f"{path}: there is a file of that name already") from None
    except OSError as error:
        if path.is_file():  # a part of a report would be taken for all of it
            path.unlink(missing_ok=True)
        raise FileTrouble(f"{path}: {why(error)}; no report was written") from None


def report_bytes(found: Report, kind: str) -> bytes:
    """A report as a file: `.csv` (RFC 4180), its lines alone, or else a workbook with a chart."""
    return _csv(table_of(found)) if kind == ".csv" else _xlsx(found)


def stock_bytes(found: Report) -> bytes:
    """What is unsold as CSV (RFC 4180)."""
    return _csv(stock_rows(found))


def _csv(table: list[list[Any]]) -> bytes:
    out = io.StringIO()
    csv.writer(out).writerows(_written_out(table))
    return out.getvalue().encode()


def _written_out(table: list[list[Any]]) -> list[list[Any]]:
    """A table with its sums as they are written in their currency: 47.00 GBP, 4700 JPY."""
    head, *rows = table
    currency = head.index("currency")
    return [
        head,
        *(
            [
                f"{cell:.{decimals_of(row[currency])}f}"
                if name in _AMOUNTS and cell != ""
                else cell
                for name, cell in zip(head, row, strict=True)
            ]
            for row in rows
        ),
    ]


def _as_amounts(sheet: Any) -> None:
    """Let a spreadsheet show the sums of a table with the decimals of their currency."""
    head, *rows = sheet.iter_rows()
    names = [cell.value for cell in head]
    currency = names.index("currency")
    for row in rows:
        places = decimals_of(str(row[currency].value or ""))
        for name, cell in zip(names, row, strict=True):
            if name in _AMOUNTS:
                cell.number_format = f"#,##0.{'0' * places}" if places else "#,##0"


def _readable(sheet: Any) -> None:
    """Let the headings stay in view, and each column be as wide as what it holds."""
    sheet.freeze_panes = "A2"
    for column in sheet.iter_cols():
        longest = max(len(str(cell.value)) for cell in column if cell.value is not None)
        sheet.column_dimensions[column[0].column_letter].width = min(40, longest + 3)


def _xlsx(found: Report) -> bytes:
    """A workbook, a table on each sheet: the lines, what is unsold, a chart of net by group, and
    what the sums are. Sums of money are numbers.
    """
    from openpyxl import Workbook
    from openpyxl.chart import BarChart, Reference

    book = Workbook()
    sheet: Any = book.active
    sheet.title = f"by {found.by}"
    for row in table_of(found):
        sheet.append(row)
    _as_amounts(sheet)
    last = len(found.lines) + 1
    _readable(sheet)
    stock: Any = book.create_sheet("unsold")
    for row in stock_rows(found):
        stock.append(row)
    _as_amounts(stock)
    _readable(stock)
    if found.lines:
        chart = BarChart()
        chart.title = f"net by {found.by}"
        net = COLUMNS.index("net") + 1
        chart.add_data(
            Reference(sheet, min_col=net, min_row=1, max_row=last), titles_from_data=True
        )
        chart.set_categories(Reference(sheet, min_col=1, max_col=2, min_row=2, max_row=last))
        book.create_sheet("chart").add_chart(chart, "A1")
    about: Any = book.create_sheet("about")
    for text in (CAUTION, AS_IT_HAPPENED):
        about.append([text])
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()
