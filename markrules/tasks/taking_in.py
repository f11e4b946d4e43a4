"""Pieces of an export taken in again, with all that was kept of them.

What stands in such a file may have been changed by anyone: every value is looked at, and a line
that does not hold is told with its reason.
"""

from __future__ import annotations

import datetime
import json
import math
import re
from collections.abc import Callable, Iterable, Iterator
from itertools import chain
from pathlib import Path
from typing import Any, TypeVar, get_args

from markrules.catalogue.brought_tables import TableRow, rows_of
from markrules.catalogue.money import EVENTS, LARGEST_MINOR, check_day
from markrules.catalogue.problems import CatalogueProblem, FileTrouble, why
from markrules.catalogue.records import (
    Acquisition,
    Event,
    KeptDecision,
    Piece,
    PieceSet,
    Sale,
    Seen,
)
from markrules.catalogue.whole import WholePiece
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation, State
from markrules.reading.file_lines import lines_of
from markrules.tasks.exporting import EDITED, FORM, as_meant, defused

T = TypeVar("T")

LONGEST_LOG = 10_000
"""Lines of the log of one piece, and entries of each other kind."""
LONGEST_RECORD = 900_000
"""Characters of a cell `record`; a line of a file is bounded all the same."""


@dataclass(frozen=True, slots=True)
class PiecesTakenIn:
    """The pieces of an export, each with its line, and the lines that do not hold, with why."""

    pieces: tuple[tuple[int, WholePiece], ...]
    errors: tuple[tuple[int, str], ...]


def is_export(path: Path) -> bool:
    """Whether a file is an export of this program, by its first line.

    Raises FileTrouble where it cannot be read, CatalogueProblem where it is no table.
    """
    first = next(iter(_rows(path)), None)
    return first is not None and first[1].get("form") == FORM


def kept_pieces(path: Path) -> PiecesTakenIn:
    """The pieces of an export, CSV or JSON Lines.

    Raises FileTrouble where the file cannot be read, and CatalogueProblem where it is no export.
    """
    pieces: list[tuple[int, WholePiece]] = []
    errors: list[tuple[int, str]] = []
    known: dict[str, int] = {}
    rows = iter(_rows(path))
    first = next(rows, None)
    if first is None or (first[1].get("form") != FORM and not first[2]):
        raise CatalogueProblem(
            f"{path}: no export of markrules; `markrules box import BOX FILE` takes other tables"
        )
    for line, data, error in chain([first], rows):
        try:
            if error:
                raise CatalogueProblem(error)
            piece = _whole(data)
            if piece.piece.uid in known:
                raise CatalogueProblem(f"the piece of line {known[piece.piece.uid]} once more")
        except CatalogueProblem as problem:
            errors.append((line, str(problem)))
            continue
        known[piece.piece.uid] = line
        pieces.append((line, piece))
    return PiecesTakenIn(tuple(pieces), tuple(errors))


def _rows(path: Path) -> Iterator[tuple[int, dict[str, Any], str]]:
    """Each row's line, its data, and what is wrong with it."""
    if path.suffix.casefold() in (".csv", ".tsv", ".xlsx", ".xlsm"):
        # Whoever's table it is: two headings alike are told of where it is read as one.
        for row in rows_of(path, longest=LONGEST_RECORD, known=lambda _: False):
            yield (row.line, *_of_cells(row))
        return
    try:
        if not path.is_file():
            raise CatalogueProblem(f"{path}: not a plain file; save it as one first")
        for each in lines_of(path):
            yield each.number, each.data or {}, each.error
    except OSError as error:
        raise FileTrouble(f"{path}: {why(error)}") from None


def _of_cells(row: TableRow) -> tuple[dict[str, Any], str]:
    """The data of a row of CSV: its record, under what stands in the columns."""
    if row.error:
        return {}, row.error
    record = row.cells.get("record", "")
    if not record:
        return {}, "" if "record" not in row.cells else "the cell under record is empty"
    try:
        data = json.loads(record)
    except (ValueError, RecursionError):
        return {}, "record: not as it was written (spreadsheets cut a cell at 32,767 characters)"
    if not isinstance(data, dict):
        return {}, "record: not as it was written"
    cells = {name: as_meant(text) for name, text in row.cells.items()}
    data["box"], data["identifier"] = cells.get("box", ""), cells.get("identifier", "")
    number = cells.get("number", "")
    data["number"] = int(number) if re.fullmatch(r"[0-9]{1,9}", number) else number
    for name in EDITED:
        # Held against what was written: a reader of tables trims more of that than of the text.
        written = str(defused(str(data.get(name, ""))))
        if name in cells and _loose(row.cells[name]) != _loose(written):
            data[name] = cells[name]
    return data, ""


def _loose(text: str) -> str:
    """A text without what a table changes: spaces at its ends, and how its lines end."""
    return "\n".join(text.strip().splitlines())


# --- One piece ------------------------------------------------------------------------------


def _whole(data: dict[str, Any]) -> WholePiece:
    if data.get("form") != FORM:
        raise CatalogueProblem(f'no piece of the form "{FORM}"')
    uid = _text(data, "identifier")
    if not re.fullmatch(r"[a-z2-7]{16}", uid):
        raise CatalogueProblem(f'identifier is "{uid[:40]}", not 16 letters and digits')
    box = " ".join(_text(data, "box").split())
    if not box:
        raise CatalogueProblem("box is empty")
    set_name = " ".join(_text(data, "set").split())
    piece = Piece(
        id=0,
        uid=uid,
        box=0,
        number=_whole_number(data, "number", 1, 10**9),
        title=_text(data, "title"),
        note=_text(data, "note"),
        told=_text(data, "told"),
        set=None,
        added=_moment(data, "added"),
        gone=_moment(data, "gone"),
        gone_why=_text(data, "gone_why"),
        not_understood=_texts(data, "not_understood"),
        own_number=_text(data, "own_number"),
    )
    log = _each(data, "log", _line)
    _check_corrections(log)
    sales = _each(data, "sales", _sale)
    return WholePiece(
        box,
        piece,
        log,
        _set(data, set_name) if set_name else None,
        _texts(data, "passed_over"),
        _each(data, "purchases", _purchase),
        _each(data, "events", _event),
        sales,
        _each(data, "decisions", _decision),
        _text(data, "box_note"),
        _each(data, "box_purchases", _purchase),
    )


def _set(data: dict[str, Any], name: str) -> PieceSet:
    number = data.get("set_number")
    known = isinstance(number, int) and not isinstance(number, bool)
    return PieceSet(int(number) if known and number else 0, name, _text(data, "set_note"))


def _check_corrections(log: Iterable[Seen]) -> None:
    before: set[int] = set()
    for line in log:
        if line.corrects is not None and line.corrects not in before:
            raise CatalogueProblem(f"log: line {line.id} corrects {line.corrects}, not before it")
        if line.id in before:
            raise CatalogueProblem(f"log: line {line.id} stands twice")
        if line.withdrawn and line.corrects is None:
            raise CatalogueProblem(f"log: line {line.id} takes nothing back")
        before.add(line.id)


def _line(data: dict[str, Any]) -> Seen:
    state = _text(data, "state") or "seen"
    if state not in get_args(State):
        raise CatalogueProblem(f'state is "{state[:40]}"; one of {", ".join(get_args(State))}')
    feature = _text(data, "feature")
    if not feature:
        raise CatalogueProblem("feature is empty")
    years = data.get("years")
    observation = Observation(
        feature,
        _text(data, "value"),
        state,  # type: ignore[arg-type]
        _number(data, "number"),
        None if years is None else _pair(years),
        _text(data, "certainty") or "sure",
        _flag(data, "heard") is True,
        _text(data, "words"),
        _text(data, "assumed"),
        _weights(data),
    )
    return Seen(
        _whole_number(data, "line", 1, 2**53),
        0,
        observation,
        _text(data, "who"),
        _moment(data, "when", needed=True),
        None,
        None if data.get("corrects") is None else _whole_number(data, "corrects", 1, 2**53),
        _flag(data, "withdrawn") is True,
    )


def _purchase(data: dict[str, Any]) -> Acquisition:
    return Acquisition(
        0,
        None,
        None,
        check_day(_text(data, "when")),
        _text(data, "where"),
        _text(data, "who_from"),
        _minor(data, "cost_minor"),
        _text(data, "currency"),
        _text(data, "note"),
    )


def _sale(data: dict[str, Any]) -> Sale:
    return Sale(
        id=_whole_number(data, "id", 1, 2**53),
        piece=None,
        when=check_day(_text(data, "when"), needed=True, not_to_come=True),
        price_minor=_minor(data, "price_minor") or 0,
        currency=_text(data, "currency"),
        maker=_text(data, "maker"),
        piece_type=_text(data, "piece_type"),
        first_year=_year(data, "first_year"),
        last_year=_year(data, "last_year"),
        condition=_text(data, "condition"),
        signed=_flag(data, "signed"),
        note=_text(data, "note"),
        link=_text(data, "link"),
        venue=_text(data, "venue"),
        fees_minor=_minor(data, "fees_minor"),
        postage_minor=_minor(data, "postage_minor"),
        paid_postage_minor=_minor(data, "paid_postage_minor"),
        material=_text(data, "material"),
        size_mm=_number(data, "size_mm"),
        subject=_text(data, "subject"),
        pieces=_whole_number(data, "pieces", 1, 10**6),
        returned=check_day(_text(data, "returned")),
    )


def _event(data: dict[str, Any]) -> Event:
    kind = _text(data, "kind")
    if kind not in (*EVENTS, "returned"):
        raise CatalogueProblem(f'kind is "{kind[:40]}"; one of {", ".join((*EVENTS, "returned"))}')
    return Event(
        0,
        0,
        None if data.get("sale") is None else _whole_number(data, "sale", 1, 2**53),
        kind,
        check_day(_text(data, "day")),
        _text(data, "place"),
        _minor(data, "price_minor"),
        _text(data, "currency"),
        _text(data, "note"),
        _text(data, "who"),
        _moment(data, "when", needed=True),
    )


def _decision(data: dict[str, Any]) -> KeptDecision:
    sums = data.get("sums", {})
    if not isinstance(sums, dict):
        raise CatalogueProblem("sums: not an object")
    choice = _text(data, "choice")
    if not choice:
        raise CatalogueProblem("choice is empty")
    return KeptDecision(
        0, 0, _moment(data, "when", needed=True), _text(data, "who"), choice,
        _text(data, "reason"), sums,
    )  # fmt: skip


# --- One value ------------------------------------------------------------------------------


def _each(data: dict[str, Any], name: str, make: Callable[[dict[str, Any]], T]) -> tuple[T, ...]:
    found = data.get(name, [])
    if not isinstance(found, list) or not all(isinstance(each, dict) for each in found):
        raise CatalogueProblem(f"{name}: not a list of objects")
    if len(found) > LONGEST_LOG:
        raise CatalogueProblem(f"{name}: {len(found):,} entries; {LONGEST_LOG:,} at most are taken")
    made = []
    for at, each in enumerate(found, 1):
        try:
            made.append(make(each))
        except CatalogueProblem as problem:
            raise CatalogueProblem(f"{name}, entry {at}: {problem}") from None
    return tuple(made)


def _text(data: dict[str, Any], name: str) -> str:
    value = data.get(name, "")
    if value is None:
        return ""
    if not isinstance(value, str):
        raise CatalogueProblem(f"{name}: not a text")
    if "\0" in value:
        raise CatalogueProblem(f"{name}: holds a zero byte")
    return value


def _texts(data: dict[str, Any], name: str) -> tuple[str, ...]:
    value = data.get(name, [])
    if not isinstance(value, list) or not all(isinstance(each, str) for each in value):
        raise CatalogueProblem(f"{name}: not a list of texts")
    return tuple(value)


def _whole_number(data: dict[str, Any], name: str, least: int, most: int) -> int:
    value = data.get(name)
    if not isinstance(value, int) or isinstance(value, bool) or not least <= value <= most:
        raise CatalogueProblem(f"{name}: not a whole number from {least} to {most}")
    return value


def _number(data: dict[str, Any], name: str) -> float | None:
    value = data.get(name)
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not _finite(value):
        raise CatalogueProblem(f"{name}: not a number")
    return float(value) if isinstance(value, float) else value


def _finite(value: float) -> bool:
    return abs(value) < 2**53 and math.isfinite(value)


def _minor(data: dict[str, Any], name: str) -> int | None:
    if data.get(name) is None:
        return None
    return _whole_number(data, name, 0, LARGEST_MINOR - 1)


def _year(data: dict[str, Any], name: str) -> int | None:
    return None if data.get(name) is None else _whole_number(data, name, 1, 9999)


def _pair(value: Any) -> tuple[int, int]:
    if isinstance(value, list) and len(value) == 2:
        first, last = value
        if all(isinstance(each, int) and 0 < each < 10_000 for each in value) and first <= last:
            return first, last
    raise CatalogueProblem("years: not a first and a last year")


def _weights(data: dict[str, Any]) -> tuple[tuple[int, float], ...]:
    found = data.get("weights", [])
    good = isinstance(found, list) and all(
        isinstance(each, list)
        and len(each) == 2
        and isinstance(each[0], int)
        and isinstance(each[1], (int, float))
        and 0 < each[0] < 10_000
        and 0 <= each[1] < 2**53
        for each in found
    )
    if not good:
        raise CatalogueProblem("weights: not a list of years, each with its weight")
    return tuple((year, float(weight)) for year, weight in found)


def _flag(data: dict[str, Any], name: str) -> bool | None:
    value = data.get(name)
    if value is None or isinstance(value, bool):
        return value
    raise CatalogueProblem(f"{name}: neither true nor false")


def _moment(data: dict[str, Any], name: str, *, needed: bool = False) -> str:
    value = _text(data, name)
    if not value and not needed:
        return ""
    try:
        datetime.datetime.fromisoformat(value)
    except ValueError:
        raise CatalogueProblem(f'{name} is "{value[:40]}", not a moment of ISO 8601') from None
    return value
