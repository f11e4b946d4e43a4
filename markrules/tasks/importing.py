"""Pieces out of a person's own table: columns matched to what a catalogue keeps, and told.

Nothing is lost in silence: words that are no value of a feature join the note, a column that is
not taken is named, and every bad line is told.
"""

from __future__ import annotations

import datetime
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from itertools import chain, islice
from pathlib import Path

from markrules.catalogue.amounts import parse_price, price_of_number, show_price
from markrules.catalogue.brought_tables import TableRow, other_sheets, rows_of
from markrules.catalogue.days import DayReading, Order, iso_day, reading_of
from markrules.catalogue.money import check_bought_first, check_day, check_sale
from markrules.catalogue.pieces import checked_own_number, new_uid
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import (
    Acquisition,
    Box,
    Event,
    NewPiece,
    Piece,
    PieceSet,
    Sale,
    Seen,
)
from markrules.catalogue.store import Catalogue
from markrules.catalogue.whole import WholePiece, take_in
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.language.builtin import STATED_CONDITION
from markrules.reading.observing import WordProblem, observe
from markrules.reading.reader import Reader, Request
from markrules.tasks.entering import new_piece
from markrules.tasks.lines_together import numbers_twice, sets_of_lines
from markrules.tasks.odd_rows import is_sum, several_told
from markrules.tasks.own_columns import (
    CURRENCY_LAST,
    FIELDS,
    MONEY,
    OPINIONS,
    Columns,
    Given,
    field_of,
    match_columns,
    names_of_fields,
    plain_heading,
    unit_of,
)
from markrules.tasks.selling import Terms, sale_of, share_of_price

_NO_ROW = Piece(0, "", 0, 0, "", "", "", None, "", "")
"""The piece of a line, before it is entered."""
DAYS = ("bought on", "listed day", "sold on")
_NOTHING = frozenset(("-", "–", "—", "n/a", "na", "?", "none given", "unknown", "tbc", "tbd"))
"""What people write in a cell of which they know nothing."""
_SAID_WITH_HEADING = ("size", "stones", "other")
"""Columns whose cells say little without their heading."""
_NAMES_CURRENCY = re.compile(r"[^\W\d_]{2}|[£€$¥]")
"""A code or a sign; what it stands for is told where it cannot be read."""
LOOKED_AT = 20
"""Rows that tell, beside the first, which column describes the pieces where no heading does."""


@dataclass(frozen=True, slots=True)
class TableEntry:
    """A piece of a table, how it came in, where it is kept or for sale, its sale, and the name of
    the set that it belongs to with other lines.
    """

    piece: NewPiece
    bought: Acquisition | None = None
    events: tuple[Event, ...] = ()
    sale: Sale | None = None
    set: str = ""


@dataclass(frozen=True, slots=True)
class Imported:
    """The entries of a table, each with its line, the lines that could not be understood, and how
    the columns were read.

    `told` has, by line, what a person should know of lines that are sums and so left out, or that
    tell of several pieces. `filled` counts the cells of each heading that hold something,
    `as_words` those of a feature whose words are no value of it and so joined the note; `samples`
    has a cell of each heading.
    """

    entries: tuple[tuple[int, TableEntry], ...]
    errors: tuple[tuple[int, str], ...]
    days: DayReading
    filled: Mapping[str, int]
    as_words: Mapping[str, int]
    samples: Mapping[str, str]
    told: tuple[tuple[int, str], ...] = ()

    @property
    def pieces(self) -> tuple[tuple[int, NewPiece], ...]:
        """The pieces alone, each with its line."""
        return tuple((line, entry.piece) for line, entry in self.entries)


def read_table(
    reader: Reader,
    file: Path,
    given: Given | None = None,
    *,
    currency: str = "",
    days: Order | None = None,
) -> tuple[Columns, Imported]:
    """The pieces of a CSV, XLSX or JSON Lines file, and how its columns were taken.

    Raises FileTrouble where it cannot be read, and CatalogueProblem where it has no rows, or its
    columns cannot be matched.
    """
    rows = own_rows(reader, file)
    bad, first = [], None
    for row in rows:
        if row.cells:
            first = row
            break
        bad.append(row)
    if first is None:
        why = f": line {bad[0].line}: {bad[0].error}" if bad else ""
        raise CatalogueProblem(f"{file}: no rows to enter{why}")
    start = [first, *islice(rows, LOOKED_AT)]
    columns = match_columns(reader, list(first.cells), given, start)
    every = chain(bad, start, rows)
    found = pieces_of(reader, every, columns, currency=currency, days=days)
    names = names_of_fields(reader)
    beside = other_sheets(file, lambda cell: bool(field_of(cell, names)))
    sheets = tuple((0, f'the sheet "{name}" was not looked at') for name in beside)
    return columns, replace(found, told=(*sheets, *found.told))


def own_rows(reader: Reader, file: Path) -> Iterator[TableRow]:
    """The rows of a person's own table, its headings found beneath a title of the sheet."""
    names = names_of_fields(reader)
    return rows_of(file, known=lambda cell: bool(field_of(cell, names)))


def enter(catalogue: Catalogue, box: Box, imported: Imported, who: str = "") -> range:
    """Enter what was read, as one step, all or none; the new numbers in the box."""
    last = catalogue.rows("select max(number) from piece where box_id = ?", (box.id,))[0][0] or 0
    whole = [_whole(entry, last + at, who) for at, (_, entry) in enumerate(imported.entries, 1)]
    take_in(catalogue, whole, box, who, what="add pieces")
    return range(last + 1, last + 1 + len(whole))


def _whole(entry: TableEntry, number: int, who: str) -> WholePiece:
    from markrules.catalogue.core import now

    new, moment = entry.piece, now()
    left = ("", "") if entry.sale is None else (moment, "sold")
    piece = Piece(
        0, new_uid(), 0, number, new.title, new.note, new.told, None, moment, *left,
        new.not_understood, new.own_number,
    )  # fmt: skip
    log = tuple(
        Seen(at, 0, each, who, moment, None, None, False)
        for at, each in enumerate(new.observations, 1)
    )
    bought = (entry.bought,) if entry.bought is not None else ()
    sales = (entry.sale,) if entry.sale is not None else ()
    of = PieceSet(0, entry.set, "") if entry.set else None
    return WholePiece("", piece, log, of, acquisitions=bought, events=entry.events, sales=sales)


# --- Columns ----------------------------------------------------------------------------------


_NUMBER_ALONE = re.compile(r"\s*\d+(?:[.,]\d+)?\s*")


# --- Columns remembered by name -----------------------------------------------------------------


# --- Rows ---------------------------------------------------------------------------------------


def pieces_of(
    reader: Reader,
    rows: Iterable[TableRow],
    columns: Columns,
    *,
    currency: str = "",
    days: Order | None = None,
) -> Imported:
    """The pieces that the rows describe. A row that says nothing is an error, like a bad one.

    Amounts without one are in `currency`. Days are read as the columns themselves tell, or in the
    order of `days`.
    """
    every = list(rows)
    of_days = [heading for field in DAYS for heading in columns.taken.get(field, ())]
    reading = reading_of(
        (
            (row.line, row.cells.get(heading, ""))
            for heading in of_days
            for row in every
            if heading not in row.numbers
        ),
        days,
    )
    maker = _Maker(reader, columns, currency, reading.order)
    entries: list[tuple[int, TableEntry]] = []
    errors: list[tuple[int, str]] = []
    sums = [row for row in every if not row.error and is_sum(row)]
    for row in every:
        if row in sums:
            continue
        if row.error:
            errors.append((row.line, row.error))
            continue
        try:
            entries.append((row.line, maker.entry(row)))
        except (CatalogueProblem, WordProblem) as problem:
            errors.append((row.line, str(problem)))
    filled = Counter(h for row in every for h, text in row.cells.items() if text.strip())
    samples = {h: text for row in reversed(every) for h, text in row.cells.items() if text.strip()}
    notes = {line: entry.piece.note for line, entry in entries}
    many = several_told(
        reader, ((row, notes[row.line]) for row in every if row.line in notes), columns.left
    )
    told = [(row.line, "left out: it adds up other lines") for row in sums]
    kept, of_sets = sets_of_lines(reader, entries)
    return Imported(
        *(kept, tuple(errors), reading, filled, maker.as_words, samples),
        tuple(sorted([*told, *many, *of_sets, *numbers_twice(entries)])),
    )


class _Maker:
    """Makes entries of rows; `as_words` counts cells of features that were read as words."""

    def __init__(self, reader: Reader, columns: Columns, currency: str, order: Order) -> None:
        self.reader, self.columns = reader, columns
        self.currency, self.order = currency, order
        self.as_words: Counter[str] = Counter()

    def entry(self, row: TableRow) -> TableEntry:
        cells = {field: self._cell(row, field) for field in self.columns.taken}
        if not any(text for field, text in cells.items() if field not in MONEY):
            raise CatalogueProblem("nothing in the columns that are taken")
        note = [cells.get("note", "")]
        observations: list[Observation] = []
        for field, text in cells.items():
            if field in FIELDS or not text:
                continue
            for part in _parts(text):
                try:
                    observations.append(observe(self.reader.base, f"{field}={part}"))
                except WordProblem:
                    words = self._as_words(field, part)
                    if not words:
                        raise
                    note.append(words)
                    self.as_words[self.columns.taken[field][0]] += 1
        if cells.get("condition"):
            note.append(self._condition(cells["condition"]))
        marks = [Observation("mark", each, words=each) for each in _parts(cells.get("mark", ""))]
        note[0] = self._with_title(cells.get("title", ""), note[0])
        piece = new_piece(
            self.reader,
            _joined(note),
            title=cells.get("title", ""),
            told=cells.get("told", ""),
            observations=(*observations, *marks),
        )
        piece = replace(piece, own_number=checked_own_number(cells.get("own number", "")))
        bought, events = self._bought(row, cells), self._events(row, cells)
        of = " ".join(cells.get("set", "").split())
        return TableEntry(piece, bought, events, self._sale(row, cells, piece), of)

    def _with_title(self, title: str, note: str) -> str:
        """The note behind its title, where that alone tells what kind of piece it is."""
        if not title or title.casefold() in note.casefold():
            return note
        named = self.reader.understand(title).piece_type
        if not named or self.reader.understand(note).piece_type == named:
            return note
        return f"{title}, {note}" if note else title

    def _cell(self, row: TableRow, field: str) -> str:
        found = [(heading, row.cells.get(heading, "")) for heading in self.columns.taken[field]]
        texts = [
            f"{heading}: {text}"
            if (field == "told" and plain_heading(heading) in OPINIONS)
            or (field == "note" and plain_heading(heading) in _SAID_WITH_HEADING)
            else self._with_unit(field, heading, text)
            for heading, text in found
            if text.casefold().strip() not in _NOTHING | {""}
        ]
        return _joined(texts) if field in ("note", "told", "condition") else "; ".join(texts)

    def _with_unit(self, field: str, heading: str, text: str) -> str:
        """A bare number of a feature with the unit of its heading: `5` below `Length (cm)`."""
        feature = self.reader.base.features.get(field)
        if feature is None or feature.kind != "number" or not _NUMBER_ALONE.fullmatch(text):
            return text
        unit = unit_of(self.reader, heading)
        return f"{text.strip()} {unit}" if unit else text

    def _as_words(self, field: str, text: str) -> str:
        """Words of a feature's column as a note says them; empty for what a number should be."""
        feature = self.reader.base.features[field]
        if feature.kind not in ("number", "year"):
            return text
        said = f"{field.replace('-', ' ')} {text}"
        understood = self.reader.understand(said).observations
        return said if any(each.number is not None for each in understood) else ""

    def _bought(self, row: TableRow, cells: Mapping[str, str]) -> Acquisition | None:
        minor, currency = self._price(row, cells, "cost")
        day = self._day(row, cells, "bought on")
        where, whom = cells.get("bought where", ""), cells.get("bought from", "")
        if minor is None and not (day or where or whom):
            return None
        return Acquisition(0, None, None, day, where, whom, minor, currency, "")

    def _events(self, row: TableRow, cells: Mapping[str, str]) -> tuple[Event, ...]:
        from markrules.catalogue.core import now

        found = []
        if cells.get("storage"):
            found.append(Event(0, 0, None, "stored", "", cells["storage"], None, "", "", "", now()))
        minor, currency = self._price(row, cells, "asking price")
        where, day = cells.get("listed where", ""), self._day(row, cells, "listed day")
        if minor is not None or where or day:
            found.append(Event(0, 0, None, "listed", day, where, minor, currency, "", "", now()))
        return tuple(found)

    def _sale(self, row: TableRow, cells: Mapping[str, str], new: NewPiece) -> Sale | None:
        """The sale that a line tells, with what is known of its piece; None where it tells none.

        Fees may be a share of the price. Raises CatalogueProblem where a day, fees or postage are
        told without a price, and for what no sale can be.
        """
        minor, currency = self._price(row, cells, "sold price")
        day = self._day(row, cells, "sold on")
        if minor is None:
            of_a_sale = ("sold on", "fees", "postage", "paid postage")
            told = next((field for field in of_a_sale if cells.get(field)), "")
            if told:
                raise CatalogueProblem(
                    f'{told}: "{cells[told]}" is told, but no price it was sold for: put the price'
                    " in, or take the column for nothing"
                )
            return None
        try:
            check_day(day, not_to_come=True)
            check_bought_first(self._day(row, cells, "bought on"), day, "it")
            fees, postage, paid = (
                self._of_sale(row, cells, field, minor, currency)
                for field in ("fees", "postage", "paid postage")
            )
            venue = cells.get("sold where", "") or cells.get("listed where", "")
            terms = Terms(day, minor, currency, venue, fees, postage, paid)
            seen = new.observations
            reading = self.reader.read(Request(observations=seen, said=new.note, next_looks=0))
            sale = sale_of(self.reader.base, reading, _NO_ROW, terms)
            check_sale(sale)
        except CatalogueProblem as problem:
            raise CatalogueProblem(f"sold price: {problem}") from None
        return sale

    def _of_sale(
        self, row: TableRow, cells: Mapping[str, str], field: str, price: int, currency: str
    ) -> int | None:
        """Fees or postage, in the currency of the price."""
        text = cells.get(field, "")
        share = share_of_price(text, price) if field == "fees" else None
        if share is not None or not text:
            return share
        minor, own = self._price(row, cells, field, currency)
        if own != currency:
            raise CatalogueProblem(f"{field} in {own}, but the price in {currency}")
        return minor

    def _day(self, row: TableRow, cells: Mapping[str, str], field: str) -> str:
        text = cells.get(field, "")
        headings = self.columns.taken.get(field, ())
        if text and any(each in row.numbers for each in headings) and text.isdecimal():
            day = _day_of_a_sheet(int(text))
            if day:
                return day
        try:
            return iso_day(text, self.order) if text else ""
        except CatalogueProblem as problem:
            raise CatalogueProblem(f"{field}: {problem}") from None

    def _condition(self, text: str) -> str:
        """The cell of a condition in words that are understood as one: `EX` is `ex condition`."""
        said = f"condition: {text}"
        for words in (said, f"{text.casefold()} condition", text):
            seen = self.reader.understand(words).observations
            if any(each.feature == STATED_CONDITION for each in seen):
                return words
        return said

    def _price(
        self, row: TableRow, cells: Mapping[str, str], field: str, usual: str = ""
    ) -> tuple[int | None, str]:
        text = cells.get(field, "")
        if not text:
            return None, ""
        (heading,) = self.columns.taken[field][:1]
        named = re.search(r"[(\[]\s*([A-Za-z]{3}|[£€$¥])\s*[)\]]", heading)
        named = named or CURRENCY_LAST.search(heading)
        currency = cells.get("currency", "") or (named[1] if named else "")
        currency = currency or usual or self.currency
        if not currency and not _NAMES_CURRENCY.search(text):
            raise CatalogueProblem(
                f'{field}: "{text}" names no currency; say one for all amounts, in the heading,'
                " or in your figures"
            )
        try:
            if heading in row.numbers:
                code = currency if currency.isalpha() else parse_price(f"1 {currency}")[1]
                return price_of_number(text, code)
            return parse_price(text if currency.isalpha() else f"{currency}{text}", currency)
        except CatalogueProblem as problem:
            raise CatalogueProblem(f"{field}: {problem}") from None


def _day_of_a_sheet(number: int) -> str:
    """The day that a spreadsheet keeps as a number, as ISO 8601; empty for what is no day of 1950
    to 2100. ISO/IEC 29500-1, 18.17.4.1: day 1 is 1900-01-01, and day 60 is one too many.
    """
    day = datetime.date(1899, 12, 30) + datetime.timedelta(days=min(number, _LAST_DAY))
    return day.isoformat() if _FIRST_DAY <= number < _LAST_DAY else ""


_FIRST_DAY, _LAST_DAY = 18_264, 73_051  # 1950-01-01, 2100-01-01


def entry_words(entry: TableEntry) -> tuple[str, ...]:
    """What an entry keeps beside the piece, a line each."""
    found = [f"own number: {entry.piece.own_number}"] if entry.piece.own_number else []
    if entry.set:
        found.append(f"of the set: {entry.set}")
    if entry.bought is not None:
        b = entry.bought
        cost = show_price(b.cost_minor, b.currency) if b.cost_minor is not None else ""
        parts = (cost, b.when, b.where, f"from {b.who_from}" if b.who_from else "")
        found.append("bought: " + ", ".join(filter(None, parts)))
    for event in entry.events:
        price = show_price(event.price_minor, event.currency) if event.price_minor else ""
        found.append(f"{event.kind}: " + ", ".join(filter(None, (price, event.place, event.day))))
    if entry.sale is not None:
        s = entry.sale
        fees = f"fees {show_price(s.fees_minor, s.currency)}" if s.fees_minor else ""
        price = show_price(s.price_minor, s.currency)
        found.append("sold: " + ", ".join(filter(None, (price, s.venue, s.when, fees))))
    return tuple(found)


def _joined(texts: Iterable[str]) -> str:
    """Texts one after the other, each a sentence of its own."""
    said = [each.strip() for each in texts if each.strip()]
    return " ".join(
        each if at == len(said) or each.endswith((".", "!", "?", ";")) else f"{each}."
        for at, each in enumerate(said, 1)
    )


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(";") if part.strip()]
