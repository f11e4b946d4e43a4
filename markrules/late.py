"""Patterns that are compiled when they are first used.

A module has patterns for what few texts hold. Compiling them took a twentieth of a cold reading.
"""

from __future__ import annotations

import re
from typing import Any, cast


class _Late:
    """Stands for a pattern until a method of it is asked for, which is then kept here."""

    def __init__(self, pattern: str, flags: int) -> None:
        self._given = pattern, flags

    def __getattr__(self, name: str) -> Any:
        found = getattr(re.compile(*self._given), name)
        setattr(self, name, found)
        return found


def late(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """The pattern, compiled at its first use. Functions of `re` do not take it in place of one.

    >>> late("a+").fullmatch("aaa") is not None
    True
    """
    return cast("re.Pattern[str]", _Late(pattern, flags))
