"""No text whatever makes a note fail, take long, or lose a word unseen."""

from __future__ import annotations

import time
import unicodedata

from hypothesis import given, settings
from hypothesis import strategies as st
from notes_base import shipped, small, small_vocabulary
from samples import samples
from together import every_case

from markrules.notes.folding import Folding
from markrules.notes.tokens import tokens_of
from markrules.notes.understanding import LONGEST_NOTE, understand

NOTE_WORDS = """
brooch no not marked stamped AUSTRIA Tillander safety catch missing stones 2 5.5 cm 1909 by x maybe
? . , ; / & © ( ) ' " “ ” [CG]LARA PAT. 1,798,867 zonk Flurb C clasp back textured card date
letter a
"""
WORDS = st.sampled_from(NOTE_WORDS.split())
ANY_TEXT = st.one_of(st.text(max_size=200), st.lists(WORDS, max_size=30).map(" ".join))


@settings(max_examples=samples(400))
@given(ANY_TEXT)
def test_any_text_is_taken_and_counted(note: str) -> None:
    told = small(note)

    assert 0 <= told.words_understood <= told.words_total
    assert bool(told.not_understood) == (told.words_understood < told.words_total)


@settings(max_examples=samples(300))
@given(ANY_TEXT)
def test_every_word_is_understood_or_listed(note: str) -> None:
    told = small(note)
    listed = sum(len(tokens_of(each, Folding())) for each in told.not_understood)

    assert told.words_total - told.words_understood == listed


@settings(max_examples=samples(200))
@given(ANY_TEXT)
def test_what_is_listed_stands_in_the_note(note: str) -> None:
    for each in small(note).not_understood:
        assert each in unicodedata.normalize("NFC", note)


@settings(max_examples=samples(100))
@given(ANY_TEXT)
def test_understanding_twice_says_the_same(note: str) -> None:
    first = small(note)
    small_vocabulary().segments.clear()

    assert small(note) == first


@every_case(
    "note",
    [
        "zonkified blurbish " * 5_000,
        "marked " * 14_000,
        "no " * 33_000,
        '"' * 100_000,
        "'a " * 33_000,
        "(" * 100_000,
        "?" * 100_000,
        "1" * 100_000,
        "1,1" * 33_000,
        "5 x " * 25_000,
        "A.B " * 25_000,
        "\x00\x07\x1b[31m" * 10_000,
        "\u202eagnirb\u202c " * 9_000,
        "שלום עולם " * 10_000,
        "e\u0301" * 50_000,
        "brooch, catch " * 7_000,
        "a" * 100_000,
    ],
    ids=lambda note: repr(note[:12]),
)
def test_a_hundred_thousand_characters_are_read_in_bounded_time(note: str) -> None:
    shipped("brooch")
    begin = time.process_time()  # other work on the machine does not count

    told = shipped(note)

    # A page of honest text takes some milliseconds; ten seconds leave room for a busy machine.
    assert time.process_time() - begin < 10
    assert told.words_understood <= told.words_total


def test_what_is_beyond_the_longest_note_is_listed() -> None:
    told = small("catch " * 40_000)

    assert told.not_understood[-1] == f"({240_000 - LONGEST_NOTE} more characters)"


def test_marks_come_out_as_written_and_no_more() -> None:
    told = understand(small_vocabulary(), "stamped \"<b>AUSTRIA</b>\", =cmd|' /C calc'!A0")

    assert told.marks[0].text == "<b>AUSTRIA</b>"
