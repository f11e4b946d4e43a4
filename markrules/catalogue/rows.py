"""Rows of the tables as records, and records as columns."""

from __future__ import annotations

import json
import sqlite3
from typing import Any

from markrules.catalogue.records import Box, Piece, Seen
from markrules.knowledge.observation import Observation


def box_of(row: sqlite3.Row) -> Box:
    """A box from its row."""
    return Box(row["id"], row["name"], row["note"], row["added"])


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
        row["state"],
        row["number"],
        years,
        row["certainty"],
        bool(row["heard"]),
        row["words"],
        row["assumed"],
        tuple((int(year), float(weight)) for year, weight in json.loads(row["weights"])),
    )


def columns_of(observation: Observation) -> dict[str, Any]:
    """The columns of table `seen` that hold an observation."""
    first, last = observation.years or (None, None)
    return {
        "feature": observation.feature,
        "value": observation.value,
        "state": observation.state,
        "number": observation.number,
        "first_year": first,
        "last_year": last,
        "weights": json.dumps(observation.weights),
        "certainty": observation.certainty,
        "heard": int(observation.heard),
        "words": observation.words,
        "assumed": observation.assumed,
    }
