"""A turn of phrase is accounted for where something rests on it, and is neutral elsewhere."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.knowledge.observation import Accounted
from markrules.reading.reader import Request


def accounted(note: str, words: str) -> Accounted:
    account = shipped_reader().read(Request(note=note, next_looks=0)).account
    return next(each for each in account if words in each.words)


def test_what_nothing_rests_on_changes_nothing() -> None:
    each = accounted("large dangly earrings, hippie look", "look")
    assert (each.fate, each.meaning, each.remarks) == ("neutral", "", ())


def test_what_something_rests_on_is_told() -> None:
    each = accounted("necklace made from typewriter keys", "made from")
    assert each.fate == "understood"
    assert each.meaning == "; ".join(each.remarks) != ""


@pytest.mark.parametrize("note", ["my grandmother's ring, 9ct", "brooch from india"])
def test_no_words_get_lost(note: str) -> None:
    account = shipped_reader().read(Request(note=note, next_looks=0)).account
    told = " ".join(each.words for each in account)
    assert all(word.strip(",") in told for word in note.split())
