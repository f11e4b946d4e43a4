"""Tables that people bring: CSV, XLSX and JSON Lines, read row by row within limits.

Nothing in a file is computed or followed: a formula of a spreadsheet counts as the value that
was last stored for it, and links, macros and styles are not looked at.
"""

from __future__ import annotations

import csv
import dataclasses
import datetime
import stat
import zipfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from decimal import Decimal
from itertools import islice
from pathlib import Path
from typing import Any

from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.frozen import dataclass
from markrules.reading.file_lines import DELIMITERS, LONGEST_LINE, bounded, lines_of

MOST_ROWS = 500_000
MOST_COLUMNS = 200
LONGEST_CELL = 20_000
"""Characters."""
LARGEST_FILE = 500_000_000
"""Bytes of a file as it lies."""
LARGEST_UNPACKED = 600_000_000
"""Bytes of all parts of an XLSX file, unpacked; it is a zip file and could swell without end."""
MOST_PARTS = 5_000
MOST_EMPTY = 20_000
"""Empty rows in a run of a sheet: one cell at the far end would make a reader go through all."""
LOOKED_FOR_HEADINGS = 10
"""Rows with something in them among which the headings are looked for."""
GREATEST_RATIO = 200
"""Unpacked bytes for each packed one, over a whole XLSX file; sheets of text stay below 60."""


@dataclass(frozen=True, slots=True)
class TableRow:
    """A row of a table: its line in the file, its cells by heading, or what is wrong with it.

    `numbers` are the headings of the cells that held a number and not a text: a point in them is
    the decimal point, whatever the person's custom.
    """

    line: int
    cells: Mapping[str, str]
    error: str = ""
    numbers: frozenset[str] = frozenset()


Known = Callable[[str], bool]
"""Whether a cell is a heading that is known."""


def rows_of(
    path: Path, *, longest: int = LONGEST_CELL, known: Known | None = None
) -> Iterator[TableRow]:
    """The rows of a file, by its name: `.csv`, `.tsv`, `.txt`, `.xlsx`, or JSON Lines otherwise.

    Headings come from the first row, or are the keys of JSON objects; with `known`, they come from
    the row near the top with the most headings that are known, beneath a title of the sheet or
    headings over several columns. What stands above them is not taken. A row with a cell of more
    than `longest` characters is one that holds an error. Raises FileTrouble where
    the file cannot be read, and CatalogueProblem where it is beyond the limits or no table.
    """
    try:
        if not stat.S_ISREG(path.stat().st_mode):  # a pipe or a device may never end
            raise CatalogueProblem(f"{path}: not a plain file; save it as one first")
        if path.stat().st_size > LARGEST_FILE:
            raise CatalogueProblem(f"{path}: larger than {LARGEST_FILE:,} bytes")
        kind = path.suffix.casefold()
        if kind in (".xlsx", ".xlsm"):
            found = _sheet_rows(path, known)
        elif kind in (".csv", ".tsv", ".txt", ".tab"):
            found = _csv_rows(path, known)
        else:
            found = _json_rows(path)
        for count, row in enumerate(found, 1):
            if count > MOST_ROWS:
                raise CatalogueProblem(f"{path}: more than {MOST_ROWS:,} rows")
            yield row if row.error else _checked(row, longest)
    except OSError as error:
        raise FileTrouble(f"{path}: {why(error)}") from None


def _heading_row(rows: Iterable[Sequence[str]], known: Known | None) -> int:
    """Which of the first rows that hold something has the headings, from 0: the one with the most
    that are known, two at least, else the first.
    """
    if known is None:
        return 0
    filled = (cells for cells in rows if any(cell.strip() for cell in cells))
    counts = [
        sum(known(cell) for cell in cells if cell.strip())
        for cells in islice(filled, LOOKED_FOR_HEADINGS)
    ]
    most = max(counts, default=0)
    return counts.index(most) if most >= _LEAST_KNOWN else 0


_LEAST_KNOWN = 2


def _checked(row: TableRow, longest: int) -> TableRow:
    for heading, text in row.cells.items():
        if len(text) > longest:
            problem = f"{heading}: {len(text):,} characters; {longest:,} at most are taken"
            return TableRow(row.line, {}, problem)
        if "\0" in text:
            return TableRow(row.line, {}, f"{heading}: holds a zero byte")
    return row


# --- CSV ------------------------------------------------------------------------------------


def _csv_rows(path: Path, known: Known | None) -> Iterator[TableRow]:
    encoding = encoding_of(path)
    above = _heading_row(_first_cells(path, encoding), known)
    # A file cut short within a character of UTF-16 keeps all the others.
    with path.open(encoding=encoding, errors="replace", newline="") as handle:
        reader = csv.reader(bounded(handle), delimiter=_delimiter_of(path, encoding))
        headings: list[str] = []
        while True:
            try:
                cells = next(reader)
            except StopIteration:
                return
            except csv.Error as error:
                yield TableRow(reader.line_num, {}, f"not CSV: {error}")
                continue
            if sum(map(len, cells)) > LONGEST_LINE - len(cells):
                words = f"longer than {LONGEST_LINE:,} characters; nothing from here on was read"
                yield TableRow(reader.line_num, {}, words)
                return
            filled = any(cell.strip() for cell in cells)
            if not headings and above and filled:
                above -= 1
            elif not headings and (filled or known is None):
                headings = _headings(path, cells, known)
            elif headings and filled:
                yield _csv_row(reader.line_num, headings, cells)


def _first_cells(path: Path, encoding: str) -> Iterator[list[str]]:
    """The cells of a CSV file row by row, as far as they can be read."""
    with path.open(encoding=encoding, errors="replace", newline="") as handle:
        reader = csv.reader(bounded(handle), delimiter=_delimiter_of(path, encoding))
        try:
            yield from reader
        except csv.Error:
            return


def _delimiter_of(path: Path, encoding: str) -> str:
    """The sign between cells, by the first line that has one; sets how long a cell may be read."""
    csv.field_size_limit(LONGEST_LINE)
    with path.open(encoding=encoding, errors="replace", newline="") as handle:
        lines = [handle.readline(LONGEST_CELL * 10) for _ in range(LOOKED_FOR_HEADINGS)]
    parted = (line for line in lines if any(sign in line for sign in DELIMITERS))
    return _delimiter(next(parted, lines[0]))


def _csv_row(line: int, headings: list[str], cells: list[str]) -> TableRow:
    if len(cells) > len(headings) and any(cell.strip() for cell in cells[len(headings) :]):
        return TableRow(line, {}, f"{len(cells)} cells under {len(headings)} headings")
    return TableRow(line, dict(zip(headings, (cell.strip() for cell in cells), strict=False)))


_BEGINNING = 1 << 16


def encoding_of(path: Path) -> str:
    """UTF-16 where the file begins with its mark, UTF-8 where it is that, else Windows-1252.

    Raises CatalogueProblem where its beginning holds a byte of zero: no text does.
    """
    with path.open("rb") as handle:
        start = handle.read(_BEGINNING)
        if start[:2] in (b"\xff\xfe", b"\xfe\xff"):
            return "utf-16"
    if b"\0" in start:
        at = start.index(b"\0") + 1
        raise CatalogueProblem(f"{path}: byte {at:,} is no text; save the table as CSV or XLSX")
    try:
        with path.open(encoding="utf-8-sig") as text:
            while text.read(1 << 20):
                pass
    except UnicodeDecodeError:
        return "cp1252" if _decodes(path, "cp1252") else "latin-1"
    return "utf-8-sig"


def _decodes(path: Path, encoding: str) -> bool:
    try:
        with path.open(encoding=encoding) as text:
            while text.read(1 << 20):
                pass
    except UnicodeDecodeError:
        return False
    return True


def _delimiter(first_line: str) -> str:
    return max(DELIMITERS, key=first_line.count)


def _headings(path: Path, cells: list[str], known: Known | None) -> list[str]:
    """The headings of columns. In a person's own table two may be alike: the second is numbered."""
    names = [cell.strip() for cell in cells]
    while names and not names[-1]:
        names.pop()
    if len(names) > MOST_COLUMNS:
        raise CatalogueProblem(f"{path}: {len(names)} columns; {MOST_COLUMNS} at most are taken")
    if not names:
        raise CatalogueProblem(f"{path}: the first row holds no headings")
    for at, name in enumerate(names):
        if name and name in names[:at]:
            if known is None:
                raise CatalogueProblem(f'{path}: two columns are headed "{name}"')
            taken = {*names}
            names[at] = next(new for n in range(2, 999) if (new := f"{name} ({n})") not in taken)
    return [name or f"column {at}" for at, name in enumerate(names, 1)]


# --- XLSX -----------------------------------------------------------------------------------


def _sheet_rows(path: Path, known: Known | None) -> Iterator[TableRow]:
    """The rows of the first sheet that looks like a table."""
    _check_package(path)
    import openpyxl

    try:
        book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
    except CatalogueProblem:
        raise
    except Exception as error:  # the library raises many kinds for a damaged file
        raise CatalogueProblem(f"{path}: not an XLSX file, or a damaged one: {error}") from None
    try:
        if not book.worksheets:
            raise CatalogueProblem(f"{path}: holds no sheet")
        yield from _cells_of(path, _sheet_with_rows(book.worksheets, known), known)
    except (CatalogueProblem, OSError):
        raise
    except Exception as error:
        raise CatalogueProblem(f"{path}: a damaged sheet: {error}") from None
    finally:
        book.close()


def _sheet_with_rows(sheets: Sequence[Any], known: Known | None) -> Any:
    """The first sheet that has headings that are known, with a row beneath them; else the first."""
    if known is None:
        return sheets[0]
    for sheet in sheets:
        tops = ([cell_text(value) for value in values] for values in _top_of(sheet))
        rows = [cells for cells in tops if any(cells)]
        named = [sum(known(cell) for cell in cells if cell) for cells in rows]
        if any(count >= _LEAST_KNOWN for count in named[:-1]):
            return sheet
    return sheets[0]


def _top_of(sheet: Any) -> Iterator[Sequence[Any]]:
    """The first rows of a sheet, as values."""
    yield from sheet.iter_rows(max_col=MOST_COLUMNS, max_row=_TOP, values_only=True)


def other_sheets(path: Path, known: Known) -> tuple[str, ...]:
    """The sheets of an XLSX file that are not looked at and hold something, by their names."""
    if path.suffix.casefold() not in (".xlsx", ".xlsm"):
        return ()
    _check_package(path)
    import openpyxl

    book = openpyxl.load_workbook(path, read_only=True, data_only=True, keep_links=False)
    try:
        taken = _sheet_with_rows(book.worksheets, known)
        return tuple(
            each.title
            for each in book.worksheets
            if each is not taken and any(map(any, _top_of(each)))
        )
    finally:
        book.close()


def _cells_of(path: Path, sheet: Any, known: Known | None) -> Iterator[TableRow]:
    headings: list[str] = []
    empty = 0
    top = sheet.iter_rows(max_col=MOST_COLUMNS, max_row=_TOP, values_only=True)
    above = _heading_row(([cell_text(value) for value in values] for values in top), known)
    rows = sheet.iter_rows(max_col=MOST_COLUMNS + 1, max_row=MOST_ROWS + 2, values_only=True)
    for line, values in enumerate(rows, 1):
        cells = [cell_text(value) for value in values]
        empty = 0 if any(cells) else empty + 1
        if empty > MOST_EMPTY:
            raise CatalogueProblem(f"{path}: more than {MOST_EMPTY:,} empty rows before row {line}")
        if empty:
            continue
        if not headings and above:
            above -= 1
        elif not headings:
            headings = _headings(path, cells, known)
        else:
            row = _csv_row(line, headings, cells)
            found = frozenset(
                heading
                for heading, value in zip(headings, values, strict=False)
                if _is_number(value)
            )
            yield dataclasses.replace(row, numbers=found) if found else row


_TOP = 100


def _is_number(value: Any) -> bool:
    return isinstance(value, (int, float)) and not isinstance(value, bool)


def cell_text(value: Any) -> str:
    """A cell's value as text: whole numbers without a point, days as ISO 8601."""
    if value is None:
        return ""
    if isinstance(value, float) and value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    if isinstance(value, float) and 1e-9 < abs(value) < 1e15:
        # Fifteen digits are what a spreadsheet shows; 12.300000000000001 is 12.3 there.
        return f"{Decimal(f'{value:.15g}'):f}"
    if isinstance(value, datetime.datetime):
        return value.date().isoformat() if value.time() == datetime.time() else value.isoformat()
    return str(value).strip()


def _check_package(path: Path) -> None:
    """Refuse a package that would swell beyond the limits, before anything of it is unpacked."""
    try:
        with zipfile.ZipFile(path) as package:
            parts = package.infolist()
    except (zipfile.BadZipFile, ValueError, NotImplementedError):
        raise CatalogueProblem(f"{path}: not an XLSX file, or a damaged one") from None
    unpacked = sum(part.file_size for part in parts)
    packed = sum(part.compress_size for part in parts) + 1
    if len(parts) > MOST_PARTS or unpacked > LARGEST_UNPACKED:
        raise CatalogueProblem(
            f"{path}: would unpack to {unpacked:,} bytes in {len(parts)} parts; at most"
            f" {LARGEST_UNPACKED:,} bytes in {MOST_PARTS} parts are taken"
        )
    if unpacked > 1_000_000 and unpacked / packed > GREATEST_RATIO:
        raise CatalogueProblem(
            f"{path}: packed {unpacked // packed} to 1; sheets are packed less tightly"
            f" ({GREATEST_RATIO} to 1 at most is taken)"
        )


# --- JSON Lines -----------------------------------------------------------------------------


def _json_rows(path: Path) -> Iterator[TableRow]:
    for line in lines_of(path):
        if line.data is None:
            yield TableRow(line.number, {}, line.error)
        elif len(line.data) > MOST_COLUMNS:
            yield TableRow(
                line.number, {}, f"{len(line.data)} keys; {MOST_COLUMNS} at most are taken"
            )
        else:
            yield _json_row(line.number, line.data)


def _json_row(number: int, data: dict[str, Any]) -> TableRow:
    cells = {}
    for key, value in data.items():
        if isinstance(value, list) and all(isinstance(each, (str, int, float)) for each in value):
            cells[key] = "; ".join(cell_text(each) for each in value)
        elif isinstance(value, (dict, list)):
            return TableRow(number, {}, f"{key}: neither a text nor a number nor a list of them")
        else:
            cells[key] = cell_text(value)
    return TableRow(number, cells, numbers=frozenset(k for k, v in data.items() if _is_number(v)))
