"""Texts of rules as they may stand on a page: without control characters and turns of direction."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from markrules.telling.conditions import LinkedText, text_of

HIDDEN = {"Cc", "Cs", "Zl", "Zp"}
TURNING = frozenset("\u200e\u200f\u061c\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")


def clean(value: Any) -> Any:
    """A text without what a page must not hold: control characters and turns of direction."""
    from markupsafe import Markup

    if not isinstance(value, str) or isinstance(value, Markup):
        return "" if value is None else value
    if value.isprintable():  # nearly every text: nothing of what is looked for is printable
        return value
    return "".join(
        "\ufffd"
        if (unicodedata.category(each) in HIDDEN and each not in "\n\t") or each in TURNING
        else each
        for each in value
    )


def plain_text(parts: Sequence[LinkedText]) -> str:
    """The words of a sentence without its links, fit to be shown."""
    return str(clean(text_of(parts)))


def cleaned(parts: Iterable[LinkedText]) -> Iterator[LinkedText]:
    """The parts of a sentence, each fit to be shown."""
    return (part._replace(text=str(clean(part.text))) for part in parts)
