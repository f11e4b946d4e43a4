"""What a note calls the state of the whole piece, beside words that only sound so."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_reader
from together import every_case

from markrules.language.builtin import STATED_CONDITION

PHRASES = [
    tuple(line.rsplit(" | ", 1))
    for line in (Path(__file__).parent / "condition_words.txt").read_text("utf-8").splitlines()
    if line and not line.startswith("#")
]


def stated(note: str) -> str:
    """The step that a note states, `?` behind it where it is only told; `-` without one."""
    found = [
        each.value + ("?" if each.heard else "")
        for each in shipped_reader().understand(note).observations
        if each.feature == STATED_CONDITION and each.state == "seen"
    ]
    assert len(found) < 2
    return found[0] if found else "-"


def test_there_are_enough_phrases_and_near_misses() -> None:
    misses = [each for each in PHRASES if each[1] == "-"]

    assert len(PHRASES) >= 140
    assert len(misses) >= 50


@every_case(("note", "step"), PHRASES)
def test_words_of_condition_stand_for_a_step_and_others_for_none(note: str, step: str) -> None:
    assert stated(note) == step


@every_case("words", ["mint", "excellent vintage condition", "VGC", "condition: fair", "as found"])
def test_words_of_condition_count_as_understood(words: str) -> None:
    account = shipped_reader().understand(f"brooch, {words}").account

    assert [each.fate for each in account] == ["understood", "understood"]


def test_words_that_tell_of_damage_too_make_the_fault_besides() -> None:
    seen = {
        (each.feature, each.value)
        for each in shipped_reader().understand("pendant, for spares or repair").observations
    }

    assert seen >= {("fault", "broken"), (STATED_CONDITION, "for-parts")}


def test_a_denied_word_is_no_grade() -> None:
    found = shipped_reader().understand("brooch, not mint").observations

    assert [each.state for each in found if each.feature == STATED_CONDITION] == ["ruled-out"]


@given(st.sampled_from(["excellent", "mint", "fair", "very good"]), st.text(max_size=12))
def test_any_text_beside_it_is_read_without_trouble(word: str, beside: str) -> None:
    shipped_reader().understand(f"brooch, {beside} {word} {beside} condition {beside}")
