"""Patterns that are compiled when they are first used.

A module has patterns for what few texts hold. Compiling them took a twentieth of a cold reading.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from typing import Any, cast

FIGURES = "0123456789"
"""What `[0-9]` fits: `\\d` fits more."""


class _Late:
    """Stands for a pattern until it has to be compiled; its methods are then kept here.

    That is when a method is asked for, or, where every match holds a sign of `among`, when a text
    comes that holds one: most notes have no figure, and need none of the patterns of figures.
    """

    def __init__(self, pattern: str, flags: int, among: str) -> None:
        self._given = pattern, flags
        self._among = frozenset(among)

    def __getattr__(self, name: str) -> Any:
        if self._among and name in _OF_NO_MATCH:
            return partial(self._tried, name)
        return self._made(name)

    def _made(self, name: str) -> Any:
        found = getattr(re.compile(*self._given), name)
        setattr(self, name, found)
        return found

    def _tried(self, name: str, *given: Any, **named: Any) -> Any:
        if self._among.isdisjoint(given[_TEXT_OF.get(name, 0)]):
            return _OF_NO_MATCH[name](*given)
        return self._made(name)(*given, **named)


_OF_NO_MATCH: dict[str, Callable[..., Any]] = {
    "match": lambda *_: None,
    "fullmatch": lambda *_: None,
    "search": lambda *_: None,
    "findall": lambda *_: [],
    "finditer": lambda *_: iter(()),
    "sub": lambda _, text, *__: text,
}
"""What the methods of a pattern give for a text in which it fits nowhere."""

_TEXT_OF = {"sub": 1}
"""The place of the text among what a method takes, where it is not the first."""


def late(pattern: str, flags: int = 0, *, among: str = "") -> re.Pattern[str]:
    """The pattern, compiled at its first use. Functions of `re` do not take it in place of one.

    `among` are signs of which every text that it fits holds one, if there are such: then it is
    compiled for the first text that holds any.

    >>> late("a+").fullmatch("aaa") is not None
    True
    >>> late("[0-9] ?mm", among=FIGURES).findall("a few mm")
    []
    """
    return cast("re.Pattern[str]", _Late(pattern, flags, among))
