"""The grammar file as it ships, without the machinery that reads it."""

from __future__ import annotations


def grammar_text() -> str:
    """The text of `grammar.lark`."""
    from importlib.resources import files

    return files("markrules.language").joinpath("grammar.lark").read_text(encoding="utf-8")
