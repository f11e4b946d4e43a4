"""Notes typed on a phone: what is taken for a slip is told as guessed, and other words stay."""

from __future__ import annotations

from notes_base import shipped, shipped_vocabulary
from together import every_case

from markrules.notes.spelling import corrected


@every_case(
    ("note", "slip", "feature", "value"),
    [
        ("rinestone neckless, clear", "rinestone", "stone-kind", "rhinestone"),
        ("neckless, claps broken", "claps", "fault", "missing-clasp"),
        ("brooche, silverr", "silverr", "metal", "silver"),
        ("charm braclet, 9 charms", "braclet", "bracelet-form", "charm-bracelet"),
        ("earings, one stoen chiped", "chiped", "fault", "chipped-stones"),
        ("chian, tarnishd", "tarnishd", "fault", "tarnish"),
        ("ring, corel", "corel", "organic", "coral"),
    ],
)
def test_a_slip_is_read_and_told_as_guessed(note: str, slip: str, feature: str, value: str) -> None:
    told = shipped(note)
    guessed = [each for each in told.account if slip in each.words.split()]

    assert told.piece_type
    assert (feature, value) in {(each.feature, each.value) for each in told.observations}
    assert [each.fate for each in guessed] == ["guessed"]
    assert any(f'"{slip}" read as' in each for each in told.assumed)


@every_case("note", ["brooche", "neckless", "earings", "bangel", "braclet"])
def test_a_slip_in_the_name_of_the_piece_is_guessed(note: str) -> None:
    told = shipped(note)

    assert told.piece_type
    assert [each.fate for each in told.account] == ["guessed"]
    assert any("read as" in each for each in told.assumed)


@every_case("word", ["booth", "diner", "latte", "posse", "loser", "mated", "plater", "weeding"])
def test_a_doubled_letter_within_a_word_makes_no_other_word(word: str) -> None:
    vocabulary = shipped_vocabulary()

    assert not corrected(vocabulary, vocabulary.folding[word])
