"""The files that the grammar follows from: by them each start knows if its cache is of it."""

from __future__ import annotations

from pathlib import Path
from typing import Any


def grammar_sources() -> bytes:
    """What the grammar follows from, for the key of the cache: to put it together takes longer."""
    try:
        return _source("grammar.lark") + _source("kinds.py")
    except OSError:  # installed without sources
        from markrules.language.grammar import grammar_text

        return grammar_text().encode()


def _source(name: str) -> bytes:
    """A file beside this one.

    It is asked of this module's own loader, as `importlib.resources` would do; but that
    takes 5 ms to import, and every start needs it.
    """
    loader: Any = __spec__.loader if __spec__ is not None else None
    content: bytes = loader.get_data(str(Path(__file__).with_name(name)))
    return content
