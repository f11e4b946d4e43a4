"""Lines of a terminal, beside those of the standard library, and tables, by the cells they take."""

from __future__ import annotations

import textwrap
import unicodedata

from hypothesis import example, given
from hypothesis import strategies as st

from markrules.cli.page import wrapped
from markrules.telling.words import cells, in_lines, padded, printable, shorten

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


WIDE = st.text(st.sampled_from("ab 💍指輪e\u0301שלום"), max_size=40)


def _by_terminal(text: str) -> int:
    """The cells that a terminal gives a text, letter by letter."""
    return sum(
        0 if unicodedata.combining(letter) else 1 + (unicodedata.east_asian_width(letter) in "WF")
        for letter in text
    )


@given(WIDE, st.integers(4, 30))
@example("a指指", 4)  # the line would end between the cells of a letter
def test_wide_letters_take_two_cells_everywhere(text: str, width: int) -> None:
    assert cells(text) == _by_terminal(text)
    assert _by_terminal(shorten(text, width)) <= width
    assert _by_terminal(padded(shorten(text, width), width)) == width
    lines = [*wrapped(text, width, "", " "), *in_lines(text, width, rest=" ")]
    # A line that ends before a wide letter may leave one cell; none takes more than there are.
    assert all(_by_terminal(line) <= width for line in lines)
    kept = "".join("".join(wrapped(text, width, "", "")).split())
    assert kept == "".join(printable(text).split())


def test_a_cut_text_keeps_all_that_has_room() -> None:
    assert shorten("指輪指輪", 5) == "指輪…"
    assert shorten("指輪指輪", 8) == "指輪指輪"
    assert shorten("ring 💍💍", 7) == "ring …"
