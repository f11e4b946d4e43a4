"""Pieces and sold prices out of a person's own table: looked at first, then taken in."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any, TypeVar

from starlette.responses import Response

from markrules.catalogue.amounts import show_price
from markrules.catalogue.brought_tables import rows_of
from markrules.catalogue.days import ORDERS, DayReading, Order
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box
from markrules.catalogue.whole import take_in
from markrules.frozen import dataclass
from markrules.language.slots import REMARK
from markrules.tasks.entered_before import new_to_the_box
from markrules.tasks.importing import Imported, enter, entry_words, own_rows, read_table
from markrules.tasks.own_columns import (
    FIELDS,
    Columns,
    match_columns,
    names_of_columns,
    remember_columns,
    remembered_columns,
)
from markrules.tasks.pasted_cells import table_pasted
from markrules.tasks.selling import PriceList, prices_in
from markrules.tasks.taking_in import is_export, kept_pieces
from markrules.telling.words import count_of
from markrules.web.desk import Refused, Visit, whole
from markrules.web.pages.box import box_named
from markrules.web.sent_files import SentFile

SHOWN = 8
SHOWN_ERRORS = 20
LEFT = "-"
"""What a column becomes that is not taken."""

Answer = TypeVar("Answer")


@dataclass(frozen=True, slots=True)
class Column:
    """A heading of the table, a cell of it, how many are filled, and what it becomes.

    `-` is what a column becomes that is left out. `as_words` counts its cells that are no value
    of the feature and join the note.
    """

    heading: str
    sample: str
    filled: int
    becomes: str
    as_words: int


def choose(visit: Visit) -> Response:
    """Choose a table for a box; or, once one was sent, see what each column becomes."""
    box = box_named(visit)
    held = _held(visit)
    if held is None:
        return visit.page("import.html", box=box, held=None)
    columns, found = _taken_in(visit, held)
    found = _unless_again(visit, box, found)
    return visit.page(
        "import.html",
        box=box,
        held=held,
        columns=_columns(visit, held, columns, found),
        fields=_fields(visit),
        found=found,
        shown=found.entries[:SHOWN],
        errors=found.errors[:SHOWN_ERRORS],
        passed=_passed(visit),
        beside=entry_words,
        names=names_of_columns(visit.catalogue),
        orders=ORDERS,
    )


def send(visit: Visit) -> Response:
    """Hold the table that was sent, or pasted, and show what would become of it."""
    box = box_named(visit)
    held = _take(visit, pieces=True)
    if _is_export(held):
        return visit.go(f"/take-in?held={held.key}&box={box.id}")
    return visit.go(f"/box/{box.id}/import?held={held.key}")


def _is_export(held: SentFile) -> bool:
    """Whether it is an export of this program; what is no table is told when it is looked at."""
    try:
        return is_export(held.path)
    except CatalogueProblem:
        return False


def take(visit: Visit) -> Response:
    """Enter the pieces of the table that was looked at."""
    box = box_named(visit)
    held = _held(visit)
    if held is None:
        raise Refused(400, _NOT_HELD)
    columns, found = _taken_in(visit, held)
    found = _unless_again(visit, box, found)
    _check_all_good(visit, len(found.entries), found.errors)
    numbers = enter(visit.catalogue, box, found, visit.who)
    name = visit.form.text("remember", 200)
    if name:
        given = _given(visit, held, _headings(visit, held))
        remember_columns(visit.catalogue, name, given or columns.taken, visit.who)
    visit.desk.sent_files.drop(held.key)
    told = f"{count_of(len(numbers), 'piece')} entered."
    if not name:
        told += " One undo takes them all back."
    return visit.go(f"/box/{box.id}?from={numbers[0]}", told=told)


def _check_all_good(visit: Visit, good: int, errors: tuple[tuple[int, str], ...]) -> None:
    if not good:
        raise Refused(400, "No line of this table can be taken.")
    if errors and visit.form.fields.get("skip-bad") != "yes":
        raise Refused(
            400,
            f"{count_of(len(errors), 'line')} cannot be taken. Mend the table, or say that the"
            " good ones are taken without them.",
            "skip-bad",
        )


def _unless_again(visit: Visit, box: Box, found: Imported) -> Imported:
    """Lines that the box has already are told, unless they are said to be other pieces."""
    if _passed(visit).get("again") == "yes":
        return found
    return new_to_the_box(visit.catalogue.pieces.all(box, gone=True), found)


def _taken_in(visit: Visit, held: SentFile) -> tuple[Columns, Imported]:
    """How the columns are taken: as chosen, as remembered, or as their headings say."""
    reader = visit.desk.reader
    headings = _headings(visit, held)
    given = _given(visit, held, headings)
    if given is None:
        try:
            match_columns(reader, headings)
        except CatalogueProblem:  # no heading is one we know: the person says what they are
            return Columns({}, tuple(headings)), _NOTHING_YET
    money = _currency(visit) or visit.catalogue.figures.all().get("currency", "")
    with visit.desk.locked():
        return _told(
            held,
            lambda: read_table(reader, held.path, given, currency=money, days=_days(visit)),
        )


_NOTHING_YET = Imported((), (), DayReading("day-first"), {}, {}, {})


def _headings(visit: Visit, held: SentFile) -> list[str]:
    rows = _told(held, lambda: own_rows(visit.desk.reader, held.path))
    first = _told(held, lambda: next((row for row in rows if row.cells or row.error), None))
    if first is None or not first.cells:
        why = f": line {first.line}: {first.error}" if first is not None else ""
        raise Refused(400, f"{held.name}: there are no rows to enter{why}")
    return list(first.cells)


_CHOSEN = ("days", "currency", "again")


def _passed(visit: Visit) -> dict[str, str]:
    """What was chosen: for each column by its place, `c0` to field; the days and the currency,
    and whether lines that the box has are taken again.
    """
    every = {**visit.query, **visit.form.fields}
    return {
        name: value[:200]
        for name, value in every.items()
        if value and (name in _CHOSEN or (name[:1] == "c" and name[1:].isdecimal()))
    }


def _given(visit: Visit, held: SentFile, headings: list[str]) -> dict[str, tuple[str, ...]] | None:
    """Field to headings, as chosen or as remembered by a name; None where nothing was said."""
    name = visit.query.get("columns", "")
    if name:
        kept = _told(held, lambda: remembered_columns(visit.catalogue, name))
        there = {field: tuple(h for h in found if h in headings) for field, found in kept.items()}
        # A field kept without a column is one whose column was left out, and stays so.
        return {field: found for field, found in there.items() if found or not kept[field]}
    chosen = {n: field for n, field in _passed(visit).items() if n[1:].isdecimal()}
    if not chosen:
        return None
    given: dict[str, tuple[str, ...]] = {}
    left = []
    for column, field in chosen.items():
        at = int(column[1:])
        if at < len(headings) and field != LEFT:
            given[field] = (*given.get(field, ()), headings[at])
        elif at < len(headings):
            left.append(headings[at])
    # A field that a heading alone would give is not taken from a column that was left out.
    for heading in left:
        for field in _named_by(visit, heading):
            given.setdefault(field, ())
    return given


def _named_by(visit: Visit, heading: str) -> tuple[str, ...]:
    """What a heading alone would be taken for."""
    try:
        return tuple(match_columns(visit.desk.reader, [heading]).taken)
    except CatalogueProblem:
        return ()


def _columns(visit: Visit, held: SentFile, columns: Columns, found: Imported) -> list[Column]:
    becomes = {heading: field for field, many in columns.taken.items() for heading in many}
    return [
        Column(
            heading,
            found.samples.get(heading, ""),
            found.filled.get(heading, 0),
            becomes.get(heading, LEFT),
            found.as_words.get(heading, 0),
        )
        for heading in _headings(visit, held)
    ]


def _fields(visit: Visit) -> list[str]:
    """What a column may become: the fields of a piece, then every other feature of the rules."""
    return [*FIELDS, *sorted(visit.base.features.keys() - FIELDS.keys() - {REMARK})]


def _days(visit: Visit) -> Order | None:
    wanted = visit.form.fields.get("days", "") or visit.query.get("days", "")
    return next((each for each in ORDERS if each == wanted), None)


# --- An export, as it was -------------------------------------------------------------------------


def look_at_export(visit: Visit) -> Response:
    """What an export of this program holds, before any of it is entered."""
    held = _held(visit)
    if held is None:
        return visit.go("/files")
    kept = _told(held, lambda: kept_pieces(held.path))
    box = _into(visit)
    return visit.page(
        "take_in.html",
        held=held,
        box=box,
        kept=kept,
        shown=kept.pieces[:SHOWN],
        errors=kept.errors[:SHOWN_ERRORS],
    )


def send_export(visit: Visit) -> Response:
    """Hold the export that was sent, and show what it holds."""
    return visit.go(f"/take-in?held={_take(visit).key}")


def take_in_export(visit: Visit) -> Response:
    """Enter the pieces of an export as they were: into their own boxes, or all into one."""
    held = _held(visit)
    if held is None:
        raise Refused(400, _NOT_HELD)
    kept = _told(held, lambda: kept_pieces(held.path))
    _check_all_good(visit, len(kept.pieces), kept.errors)
    box = _into(visit)
    done = take_in(visit.catalogue, (piece for _, piece in kept.pieces), box, visit.who)
    visit.desk.sent_files.drop(held.key)
    told = f"{count_of(len(done.numbers), 'piece')} entered, with all that was kept of them."
    if done.here:
        told += f" {count_of(len(done.here), 'piece')} were here already, and stay as they are."
    return visit.go(f"/box/{box.id}" if box is not None else "/", told=told)


def _into(visit: Visit) -> Box | None:
    """The box that all are to go into; None where each goes into the one it was in."""
    text = visit.form.fields.get("box", "") or visit.query.get("box", "")
    return visit.catalogue.boxes.by_id(whole(text, "box")) if text else None


# --- Sold prices ----------------------------------------------------------------------------------


def choose_prices(visit: Visit) -> Response:
    """Choose a list of sold prices; or, once one was sent, see what would be recorded."""
    held = _held(visit)
    values: dict[str, Any] = {"held": held, "currency": _currency(visit), "show_price": show_price}
    if held is not None:
        found = _prices(visit, held)
        values |= {
            "found": found,
            "days": _days(visit),
            "shown": found.sales[:SHOWN],
            "errors": found.errors[:SHOWN_ERRORS],
        }
    return visit.page("import_prices.html", **values)


def send_prices(visit: Visit) -> Response:
    """Hold the list that was sent."""
    held = _take(visit)
    currency = _currency(visit)
    return visit.go(f"/sales/import?held={held.key}&currency={currency}")


def enter_prices(visit: Visit) -> Response:
    """Record the sold prices of the list that was looked at."""
    held = _held(visit)
    if held is None:
        raise Refused(400, _NOT_HELD)
    found = _prices(visit, held)
    _check_all_good(visit, len(found.sales), found.errors)
    visit.catalogue.money.record_sales(found.sales, visit.who)
    visit.desk.sent_files.drop(held.key)
    told = f"{count_of(len(found.sales), 'sold price')} recorded. One undo takes them all back."
    return visit.go("/sales", told=told)


def _prices(visit: Visit, held: SentFile) -> PriceList:
    recorded = visit.catalogue.money.sales()
    return _told(
        held,
        lambda: prices_in(visit.base, rows_of(held.path), recorded, _currency(visit), _days(visit)),
    )


def _currency(visit: Visit) -> str:
    text = visit.form.fields.get("currency", "") or visit.query.get("currency", "")
    return "".join(each for each in text.upper() if each.isascii() and each.isalpha())[:3]


# --- What was sent --------------------------------------------------------------------------------

_NOT_HELD = "That table is not held any more. Send it again."


def _held(visit: Visit) -> SentFile | None:
    key = visit.form.fields.get("held", "") or visit.query.get("held", "")
    if not key:
        return None
    found = visit.desk.sent_files.get(key, visit.visitor.browser)
    if found is None:
        raise Refused(404, _NOT_HELD)
    return found


def _take(visit: Visit, *, pieces: bool = False) -> SentFile:
    """Hold the file of the form, or the text pasted into it: of `pieces` also one a line."""
    browser = visit.visitor.browser
    data = visit.form.files.get("table", ())
    if data and data[0]:
        return visit.desk.sent_files.take(visit.form.names["table"][0], data[0], browser)
    text = visit.form.text("pasted", 400_000)
    if not text:
        raise Refused(400, "Choose a file, or paste the cells of a table.", "table")
    ending = "tsv" if "\t" in text.splitlines()[0] else "csv"
    if pieces:
        with visit.desk.locked():
            ending, text = table_pasted(visit.desk.reader, text)
    return visit.desk.sent_files.take(f"pasted cells.{ending}", text.encode(), browser)


def _told(held: SentFile, work: Callable[[], Answer]) -> Answer:
    """Do the work; what is wrong is told by the name that the person knows the file by."""
    try:
        return work()
    except CatalogueProblem as problem:
        words = str(problem).replace(str(held.path), held.name)
        raise Refused(400, re.sub(r" Say which with --\S+ \S+", "", words)) from None


ROUTES = (
    ("GET", "/box/{box}/import", choose),
    ("POST", "/box/{box}/import", send),
    ("POST", "/box/{box}/import/enter", take),
    ("GET", "/take-in", look_at_export),
    ("POST", "/take-in", send_export),
    ("POST", "/take-in/enter", take_in_export),
    ("GET", "/sales/import", choose_prices),
    ("POST", "/sales/import", send_prices),
    ("POST", "/sales/import/enter", enter_prices),
)
