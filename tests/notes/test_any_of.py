"""Many phrases looked up by their first words are found where one pattern of all finds them."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case

from markrules.notes.any_of import AnyOf, by_first_word

PHRASES = [
    "kept",
    "kept in",
    "kept in a box",
    "see-through",
    "it's",
    "it's in",
    "in",
    "in a",
    "straße",
    "i",
    "no. 5",
    "a",
]


def one_pattern(phrases: list[str], behind: str = r"\b") -> re.Pattern[str]:
    """All phrases as one pattern, the longest first."""
    ordered = sorted(phrases, key=len, reverse=True)
    ways = "|".join(re.escape(each).replace(r"\ ", r"\s+") for each in ordered)
    return re.compile(rf"\b(?:{ways}){behind}", re.IGNORECASE)


words = st.sampled_from(
    [*" ".join(PHRASES).split(), "KEPT", "In", "STRASSE", "STRAßE", "İ", "ı", "x", "keptin", "ſ"]
)
between = st.sampled_from([" ", "  ", "\n", "-", ", ", ".", "'", "_", ""])
texts = st.lists(st.tuples(words, between), max_size=12).map(
    lambda parts: "".join(word + gap for word, gap in parts)
)


@settings(max_examples=samples(600))
@given(texts, st.lists(st.sampled_from(PHRASES), min_size=1, unique=True), st.data())
def test_places_are_those_of_one_pattern(
    text: str, phrases: list[str], data: st.DataObject
) -> None:
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, len(text)))
    behind = data.draw(st.sampled_from([r"\b", r"(?:\s+the)?\s+", r"\s*-"]))
    expected = one_pattern(phrases, behind)
    finder = AnyOf(by_first_word(phrases), behind)

    found = finder.search(text, start, end)
    one = expected.search(text, start, end)

    assert (found and found.span()) == (one and one.span())
    assert [each.span() for each in finder.finditer(text)] == [
        each.span() for each in expected.finditer(text)
    ]


@every_case(
    ("text", "found"),
    [
        ("It lay, KEPT  in\ta box", "KEPT  in\ta box"),
        ("kept inside", "kept"),
        ("unkept", None),
        ("shown as see-through cloth", "see-through"),
        ("", None),
    ],
)
def test_the_longest_phrase_of_the_first_place_is_found(text: str, found: str | None) -> None:
    met = AnyOf(by_first_word(PHRASES)).search(text)

    assert (met and met[0]) == found


def test_a_phrase_that_begins_with_a_sign_is_left_out() -> None:
    assert by_first_word(["(new)", "new", "new old"]) == {"new": ["new old", "new"]}
