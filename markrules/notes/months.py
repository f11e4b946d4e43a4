"""The names of the months, as people and stampers write them."""

from __future__ import annotations

_MONTHS = (
    *("january", "february", "march", "april", "may", "june", "july", "august", "september"),
    *("october", "november", "december"),
)
_SHORT = frozenset(("sept", "apl", "mch", "augt", "sepr", "octr", "novr", "decr", "feby", "jany"))
"""Months as stampers shorten them, beside their first letters."""
FEWEST_LETTERS = 3
"""Letters by which a month is known at the least."""


def is_month(text: str) -> bool:
    """Whether a word of three letters or more is a month, or short for one."""
    word = text.casefold()
    if len(word) < FEWEST_LETTERS:
        return False
    return word in _SHORT or any(month.startswith(word) for month in _MONTHS)
