"""What a row of an archive may hold: nothing that a catalogue could not read again."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any


class BadArchive(Exception):
    """What is wrong with an archive."""


def is_plain(value: object) -> bool:
    """Whether SQLite can keep the value: a text, a number of 64 bits, or nothing."""
    if isinstance(value, int):
        return abs(value) < 2**63
    return value is None or isinstance(value, (str, float))


def check_forms(table: str, row: dict[str, Any]) -> None:
    """Columns that hold JSON must hold what they are later read as; raises BadArchive."""
    for (named, column), is_good in _JSON_COLUMNS.items():
        if named != table or column not in row:
            continue
        try:
            good = is_good(json.loads(row[column]))
        except (ValueError, TypeError, RecursionError):
            good = False
        if not good:
            raise BadArchive(
                f"tables/{table}.jsonl: {column} of row {row.get('id')} cannot be read"
            )


def _are_texts(value: Any) -> bool:
    return isinstance(value, list) and all(isinstance(each, str) for each in value)


def _are_weights(value: Any) -> bool:
    return isinstance(value, list) and all(
        isinstance(each, list) and len(each) == 2 and all(isinstance(x, (int, float)) for x in each)
        for each in value
    )


def _is_reading(value: Any) -> bool:
    return (
        isinstance(value, dict)
        and isinstance(value.get("date"), dict)
        and isinstance(value.get("makers"), list)
        and all(isinstance(each, dict) for each in value["makers"])
    )


_JSON_COLUMNS: dict[tuple[str, str], Callable[[Any], bool]] = {
    ("piece", "not_understood"): _are_texts,
    ("seen", "weights"): _are_weights,
    ("reading", "data"): _is_reading,
    ("decision", "sums"): lambda value: isinstance(value, dict),
    ("step", "undoes"): lambda value: isinstance(value, list),
}
