"""The headings of people's own tables, in five languages: read from `headings.json` beside this."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import cast

Named = Mapping[str, tuple[str, ...]]


@cache
def _headings() -> Mapping[str, object]:
    text = files("markrules.tasks").joinpath("headings.json").read_text(encoding="utf-8")
    return cast("Mapping[str, object]", json.loads(text))


def headings_of(group: str) -> Named:
    """Field to its headings, for the group `fields` (English) or `elsewhere`; what a column may
    hold to its headings, for `undecided`."""
    found = cast("Mapping[str, list[str]]", _headings()[group])
    return {field: tuple(words) for field, words in found.items()}


def headings_that(group: str) -> tuple[str, ...]:
    """Headings of columns that are `counted` (how many) or `identifiers` (numbers and links), and
    the `answers` of a column that asks."""
    return tuple(cast("list[str]", _headings()[group]))
