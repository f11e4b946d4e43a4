"""What an editor shows of a name: Markdown, escaped, since rules are anyone's text."""

from __future__ import annotations

import re
from typing import Any

from markrules.language.spans import Named
from markrules.telling.conditions import (
    condition_words,
    plain,
    spread_words,
    text_of,
    window_words,
)
from markrules.telling.words import printable

_SPECIAL = re.compile(r"([\\`*_{}\[\]<>#|~&])")
MOST_VALUES = 30


def hover_text(kind: str, name: str, entry: Any) -> str:
    """What is known of an entry or value: its words, what it asks, its years, why, its sources."""
    shown = name.rpartition("/")[2] if kind == "value" else name
    lines = [f"**{kind} {safe(shown)}**"]
    for key in ("title", "say", "ask", "look"):
        lines += _said(key, getattr(entry, key, ""))
    if kind == "feature" and entry.values:
        names = [each.name for each in entry.values]
        more = f" … {len(names)} in all" if len(names) > MOST_VALUES else ""
        lines.append(f"values: {safe(', '.join(names[:MOST_VALUES]))}{more}")
    when = getattr(entry, "when", None)
    if when is not None:
        lines.append(f"when {safe(text_of(condition_words(when)))}")
    lines += [safe(each) for each in _years(entry)]
    trust = getattr(entry, "trust", None)
    if isinstance(trust, Named):
        lines.append(f"trust {safe(trust.name)}")
    for key in ("why", "misleads", "note", "where"):
        lines += _said(key, getattr(entry, key, ""))
    cites = getattr(entry, "cites", ())
    if cites:
        lines.append("cites " + safe(", ".join(each.source.name for each in cites)))
    return "\n\n".join(lines)


def _said(key: str, text: Any) -> list[str]:
    if not isinstance(text, str) or not text:
        return []
    return [f"{key}: {safe(text)}"]


def _years(entry: Any) -> list[str]:
    """The curve and window in words."""
    from markrules.language.windows import Spread, Window

    told = []
    common, made = getattr(entry, "common", None), getattr(entry, "made", None)
    works, pieces = getattr(entry, "works", None), getattr(entry, "pieces", None)
    for spread in (common, pieces):
        if isinstance(spread, Spread):
            told.append(f"surviving pieces: {spread_words(spread)}")
    if isinstance(made, Window):
        told.append(window_words(made))
    if isinstance(works, Window):
        told.append(window_words(works, "worked"))
    return told


def safe(text: str) -> str:
    """A text in which nothing is Markdown, and nothing turns or hides."""
    return _SPECIAL.sub(r"\\\1", printable(text))


def short(kind: str, entry: Any) -> str:
    """A few words beside a name that is offered."""
    for key in ("title", "say", "ask", "why"):
        text = getattr(entry, key, "")
        if isinstance(text, str) and text:
            return printable(text)[:80]
    return plain(kind)
