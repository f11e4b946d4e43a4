"""Rows of the tables as records, and records as columns."""

from __future__ import annotations

import dataclasses
import functools
import json
import sqlite3
import types
from collections.abc import Callable
from typing import (
    Any,
    Concatenate,
    Literal,
    ParamSpec,
    TypeVar,
    get_args,
    get_origin,
    get_type_hints,
)

from markrules.catalogue.problems import BrokenRow
from markrules.catalogue.records import (
    Acquisition,
    Box,
    Event,
    KeptDecision,
    LogStep,
    Piece,
    Sale,
    Seen,
    SpareStone,
    StoredReading,
)
from markrules.knowledge.observation import Observation

P = ParamSpec("P")
R = TypeVar("R")


def checked(
    what: str,
) -> Callable[[Callable[Concatenate[sqlite3.Row, P], R]], Callable[Concatenate[sqlite3.Row, P], R]]:
    """Let a row that holds what it cannot hold be a BrokenRow that names it, not a surprise."""

    def wrap(
        make: Callable[Concatenate[sqlite3.Row, P], R],
    ) -> Callable[Concatenate[sqlite3.Row, P], R]:
        @functools.wraps(make)
        def made(row: sqlite3.Row, /, *more: P.args, **named_more: P.kwargs) -> R:
            named = f"{what} with row number {row['id']!r}"
            try:
                record = make(row, *more, **named_more)
            except (ValueError, TypeError, LookupError, AttributeError, RecursionError):
                raise BrokenRow(f"{named}: it cannot be read") from None
            fault = _fault(record)
            if fault:
                raise BrokenRow(f"{named}: {fault}")
            return record

        return made

    return wrap


def _texts(data: str) -> tuple[str, ...]:
    """The texts that a column holds as JSON. Raises ValueError for anything else."""
    found = json.loads(data)
    if not isinstance(found, list):
        raise ValueError
    return tuple(found)


def _fault(record: Any) -> str:
    """Which field of a record holds another kind of value than it is for."""
    for name, kinds, inner in _kinds(type(record)):  # type: ignore[arg-type]
        value: Any = getattr(record, name)
        if name == "not_understood" and not all(isinstance(each, str) for each in value):
            return f"{name} holds no texts"
        if not isinstance(value, kinds):
            return f"{name} is {type(value).__name__}"
        if inner and value is not None and (fault := _fault(value)):
            return fault
    return ""


@functools.cache
def _kinds(record: Any) -> tuple[tuple[str, tuple[type, ...], bool], ...]:
    """Each field of a record, what it may hold, and whether that is a record itself."""
    found = []
    hints = get_type_hints(record)
    for field in dataclasses.fields(record):
        hint = hints[field.name]
        parts = get_args(hint) if get_origin(hint) is types.UnionType else (hint,)
        kinds: list[type] = []
        for part in parts:
            origin = get_origin(part)
            kinds += map(type, get_args(part)) if origin is Literal else [origin or part]
        if float in kinds:
            kinds.append(int)
        inner = any(dataclasses.is_dataclass(kind) for kind in kinds)
        found.append((field.name, tuple(kinds), inner))
    return tuple(found)


@checked("box")
def box_of(row: sqlite3.Row) -> Box:
    """A box from its row."""
    return Box(row["id"], row["name"], row["note"], row["added"], row["gone"])


@checked("piece")
def piece_of(row: sqlite3.Row) -> Piece:
    """A piece from its row."""
    return Piece(
        row["id"],
        row["uid"],
        row["box_id"],
        row["number"],
        row["title"],
        row["note"],
        row["told"],
        row["set_id"],
        row["added"],
        row["gone"],
        row["gone_why"],
        _texts(row["not_understood"]),
        row["own_number"],
    )


@checked("seen")
def seen_of(row: sqlite3.Row) -> Seen:
    """A line of the log from its row."""
    return Seen(
        row["id"],
        row["piece_id"],
        observation_of(row),
        row["who"],
        row["moment"],
        row["photo_id"],
        row["corrects"],
        bool(row["withdrawn"]),
    )


def observation_of(row: sqlite3.Row) -> Observation:
    """The observation that a line of the log holds."""
    years = None if row["first_year"] is None else (row["first_year"], row["last_year"])
    return Observation(
        row["feature"],
        row["value"],
        "replaced" if row["heard"] == ON_A_LATER_PART else row["state"],
        row["number"],
        years,
        row["certainty"],
        row["heard"] == 1,
        row["words"],
        row["assumed"],
        tuple((int(year), float(weight)) for year, weight in json.loads(row["weights"])),
    )


ON_A_LATER_PART = 2
"""In column `heard`: seen, but on a part fitted later; like what was told, it never counts."""
SEEN_COLUMNS = (
    "feature",
    "value",
    "state",
    "number",
    "first_year",
    "last_year",
    "weights",
    "certainty",
    "heard",
    "words",
    "assumed",
)
"""The columns of table `seen` that hold an observation, in the order of `values_of`."""


def values_of(observation: Observation) -> tuple[Any, ...]:
    """The observation as values of `SEEN_COLUMNS`."""
    first, last = observation.years or (None, None)
    return (
        observation.feature,
        observation.value,
        "seen" if observation.state == "replaced" else observation.state,
        observation.number,
        first,
        last,
        json.dumps(observation.weights) if observation.weights else "[]",
        observation.certainty,
        ON_A_LATER_PART if observation.state == "replaced" else int(observation.heard),
        observation.words,
        observation.assumed,
    )


@checked("acquisition")
def acquisition_of(row: sqlite3.Row) -> Acquisition:
    """An acquisition from its row."""
    return Acquisition(
        row["id"],
        row["box_id"],
        row["piece_id"],
        row["day"],
        row["place"],
        row["who_from"],
        row["cost_minor"],
        row["currency"],
        row["note"],
    )


@checked("sale")
def sale_of(row: sqlite3.Row) -> Sale:
    """A sold price from its row. Nothing is sold for nothing: no price of that kind is kept."""
    if row["price_minor"] <= 0 or row["pieces"] < 1 or not (row["size_mm"] or 1) > 0:
        raise ValueError
    return Sale(
        row["id"],
        row["piece_id"],
        row["day"],
        row["price_minor"],
        row["currency"],
        row["maker"],
        row["piece_type"],
        row["first_year"],
        row["last_year"],
        row["condition"],
        None if row["signed"] is None else bool(row["signed"]),
        row["note"],
        row["link"],
        row["venue"],
        row["fees_minor"],
        row["postage_minor"],
        row["paid_postage_minor"],
        row["material"],
        row["size_mm"],
        row["subject"],
        row["pieces"],
        row["returned"],
    )


@checked("event")
def event_of(row: sqlite3.Row) -> Event:
    """What became of a piece, from its row."""
    return Event(
        row["id"],
        row["piece_id"],
        row["sale_id"],
        row["kind"],
        row["day"],
        row["place"],
        row["price_minor"],
        row["currency"],
        row["note"],
        row["who"],
        row["moment"],
    )


@checked("stone")
def stone_of(row: sqlite3.Row) -> SpareStone:
    """Spare stones from their row."""
    lab = None if row["lab_l"] is None else (row["lab_l"], row["lab_a"], row["lab_b"])
    return SpareStone(
        row["id"],
        row["shape"],
        row["size_mm"],
        row["size_code"],
        row["colour"],
        lab,
        row["cut"],
        row["back"],
        row["count"],
        row["from_piece_id"],
        row["note"],
    )


@checked("decision")
def decision_of(row: sqlite3.Row) -> KeptDecision:
    """A decision from its row."""
    return KeptDecision(
        row["id"],
        row["piece_id"],
        row["moment"],
        row["who"],
        row["choice"],
        row["reason"],
        json.loads(row["sums"]),
    )


@checked("step")
def step_of(row: sqlite3.Row) -> LogStep:
    """A change from its row."""
    return LogStep(
        row["id"], row["moment"], row["who"], row["what"], row["undone"], (), row["browser"]
    )


@checked("reading")
def reading_of(row: sqlite3.Row) -> StoredReading:
    """A stored reading from its row."""
    data = json.loads(row["data"])
    if not is_reading(data):
        raise ValueError
    return StoredReading(
        row["id"],
        row["piece_id"],
        row["moment"],
        row["knowledge_version"],
        row["evidence"],
        data,
    )


def is_reading(data: Any) -> bool:
    """Whether data has what is read of a stored reading: its years, and its makers."""
    return (
        isinstance(data, dict)
        and isinstance(data.get("date"), dict)
        and isinstance(data.get("makers"), list)
        and all(isinstance(each, dict) for each in data["makers"])
    )
