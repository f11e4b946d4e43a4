"""Where a number or a date stands in a text: all of it, and nothing of what follows."""

from __future__ import annotations

from test_numbers import BASE
from together import every_case

from markrules.marks.numbers import find_numbers


@every_case(
    ("text", "words"),
    [
        ("pat'd MAR 31 1931", ["pat'd MAR 31 1931"]),
        ("a pin, patented March 1931.", ["patented March 1931"]),
        ("pat'd 31ST MARCH 1931 and more", ["pat'd 31ST MARCH 1931"]),
        ("pat'd MAR 31 1931 PAT 1900", ["pat'd MAR 31 1931", "PAT 1900"]),
        ("PAT 1900 pat'd 1931", ["PAT 1900", "pat'd 1931"]),
    ],
)
def test_a_reading_covers_its_words(text: str, words: list[str]) -> None:
    found = find_numbers(text, BASE)
    assert [each.words for each in found] == words
    assert [text[each.start : each.end] for each in found] == words
