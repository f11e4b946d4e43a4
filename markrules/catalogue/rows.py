"""Rows of the tables as records, and records as columns."""

from __future__ import annotations

import json
import sqlite3
from typing import Any

from markrules.catalogue.records import (
    Acquisition,
    Box,
    Decision,
    Piece,
    Sale,
    Seen,
    SpareStone,
    StoredReading,
)
from markrules.knowledge.observation import Observation


def box_of(row: sqlite3.Row) -> Box:
    """A box from its row."""
    return Box(row["id"], row["name"], row["note"], row["added"], row["gone"])


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
        tuple(json.loads(row["not_understood"])),
    )


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


def sale_of(row: sqlite3.Row) -> Sale:
    """A sold price from its row."""
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
    )


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


def decision_of(row: sqlite3.Row) -> Decision:
    """A decision from its row."""
    return Decision(
        row["id"],
        row["piece_id"],
        row["moment"],
        row["who"],
        row["choice"],
        row["reason"],
        json.loads(row["sums"]),
    )


def reading_of(row: sqlite3.Row) -> StoredReading:
    """A stored reading from its row."""
    return StoredReading(
        row["id"],
        row["piece_id"],
        row["moment"],
        row["knowledge_version"],
        row["evidence"],
        json.loads(row["data"]),
    )
