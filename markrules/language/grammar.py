"""The grammar, made ready for parsing: Lark's tables, and which words are keywords."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from markrules.language.grammar_text import grammar_text

if TYPE_CHECKING:
    from lark import Lark
    from lark.parsers.lalr_parser_state import ParserState

    from markrules.language.shaping import Shaper


class Grammar(NamedTuple):
    """The parser tables, what the rules become, and which word is which terminal and back."""

    lark: Lark
    shaper: Shaper
    terminals: Mapping[str, str]
    spellings: Mapping[str, str]

    def start(self) -> ParserState[int]:
        """A parser at the start of a text."""
        return self.lark.parse_interactive("").parser_state


@cache
def grammar() -> Grammar:
    """The one grammar of this process; Lark is imported when it is first asked for."""
    from lark import Lark
    from lark.lexer import Lexer, PatternStr

    from markrules.language.shaping import Shaper

    class NoLexer(Lexer):
        """Words come from `lines.py`, which knows which word may be a keyword where."""

        __future_interface__ = 1

        def __init__(self, lexer_conf: object) -> None:
            pass

        def lex(self, *_: object) -> Iterator[Any]:
            return iter(())

    shaper = Shaper()
    lark = Lark(
        grammar_text(),
        parser="lalr",
        lexer=NoLexer,
        keep_all_tokens=True,
        maybe_placeholders=False,
        transformer=shaper,
    )
    terminals = {
        str(terminal.pattern.value): str(terminal.name)
        for terminal in lark.terminals
        if isinstance(terminal.pattern, PatternStr)
    }
    return Grammar(lark, shaper, terminals, {name: word for word, name in terminals.items()})
