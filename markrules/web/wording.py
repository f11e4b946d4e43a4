"""Years, chances and names as a person writes them."""

from __future__ import annotations

import unicodedata

from markrules.telling.years_shown import percent

chance = percent


def years(first: int | None, last: int | None) -> str:
    """A stretch of years: `1911–1938`, `1911 or later`, `1925`, `any year`."""
    if first is None and last is None:
        return "any year"
    if first is None:
        return f"{last} or earlier"
    if last is None:
        return f"{first} or later"
    return str(first) if first == last else f"{first}–{last}"


def plain(name: str) -> str:
    """An entry's name as words: `rollover-catch` is `rollover catch`."""
    return name.replace("-", " ")


def shown(value: object) -> object:
    """What a page shows for a value: characters that are not seen are made visible.

    Control characters, those that turn the direction of writing, and others without a form
    stand as their number, `[U+202E]`, as on sheets.
    """
    if type(value) is not str or value.isprintable():
        return "" if value is None else value
    return "".join(map(_visible, value))


def _visible(character: str) -> str:
    if character in "\n\r\t" or unicodedata.category(character)[0] != "C":
        return character
    return f"[U+{ord(character):04X}]"


def when(moment: str) -> str:
    """A date-time of the catalogue, shortened: `2024-06-30 14:05`."""
    return moment[:16].replace("T", " ")


def count_of(number: int, one: str, many: str = "") -> str:
    """`1 piece`, `5 pieces`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"
