"""Lines of a terminal, beside those of the standard library."""

from __future__ import annotations

import textwrap

from hypothesis import example, given
from hypothesis import strategies as st

from markrules.cli.page import wrapped
from markrules.telling.words import printable

WORDS = st.text(st.sampled_from("ab-,.é\u00a0\u2003 \t\n\x1b"), max_size=30)


@given(st.lists(WORDS, max_size=14).map(" ".join), st.integers(8, 40), st.integers(0, 6))
@example("", 10, 2)
@example("a word-that-is-longer than ten", 10, 2)
@example("two  blanks in a row", 12, 0)
@example("to the very edge", 8, 2)
def test_lines_are_those_of_the_standard_library(text: str, width: int, indent: int) -> None:
    first, rest = " " * indent, " " * (indent + 1)
    expected = textwrap.wrap(
        printable(text).strip(),
        width,
        initial_indent=first,
        subsequent_indent=rest,
        break_on_hyphens=False,
    )
    assert list(wrapped(text, width, first, rest)) == (expected or [first.rstrip()])
