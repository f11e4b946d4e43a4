"""Rows of a part are found where they lie, and no other is taken for them."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.knowledge import kept_parts
from markrules.knowledge.kept_parts import (
    ByWord,
    Rows,
    row_of_word,
    rows_by_number,
    rows_by_word,
)

DATA: Any = st.recursive(
    st.none() | st.integers() | st.text(st.characters(exclude_categories=["Cs"])),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text("ab\n\t"), inner),
    max_leaves=4,
)
WORDS = st.text(st.sampled_from('abé"\n\t[]\\,'), max_size=4)


@given(st.dictionaries(WORDS, DATA), WORDS)
@settings(max_examples=samples(200))
def test_a_word_gives_its_own_row_and_no_other_words(rows: dict[str, Any], other: str) -> None:
    kept = rows_by_word(rows)

    for word, row in rows.items():
        assert row_of_word(kept, word) == row
    assert row_of_word(kept, other) == rows.get(other)


@given(
    st.dictionaries(WORDS | st.tuples(WORDS, WORDS), DATA.filter(lambda row: row is not None)),
    st.lists(WORDS),
    st.integers(0, 3),
)
@settings(max_examples=samples(200))
def test_rows_by_word_are_a_dictionary_however_often_they_are_asked_for(
    rows: dict[Any, Any], others: list[str], most: int
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(kept_parts, "MOST_ASKED", most)
        kept: ByWord[Any] = ByWord(rows_by_word(rows))
        for word in (*rows, *others):
            assert kept.get(word) == rows.get(word)
            assert (word in kept) == (word in rows)
        assert dict(kept) == rows
        assert (len(kept), list(kept)) == (len(rows), list(rows))


@given(st.lists(DATA))
@settings(max_examples=samples(200))
def test_rows_in_order(rows: list[Any]) -> None:
    kept = Rows(rows_by_number(rows))

    assert len(kept) == len(rows)
    assert list(kept) == rows
    assert [kept[at] for at in range(len(rows))] == rows
    for outside in (-1, len(rows)):
        with pytest.raises(IndexError):
            kept[outside]


def test_a_lone_surrogate_is_no_word() -> None:
    assert row_of_word(rows_by_word({"a": 1}), "\ud800") is None


@pytest.mark.parametrize("cut", [0, 3, 4, 9])
def test_bytes_that_cannot_hold_so_many_rows_are_refused(cut: int) -> None:
    whole = rows_by_number(["a", "b"])
    if cut:
        with pytest.raises(ValueError, match="rows"):
            Rows(whole[:cut])
    else:
        assert len(Rows(b"\0\0\0\0")) == 0
