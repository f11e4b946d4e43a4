"""A slip in the word that qualifies a material never makes it the material itself."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.notes.understanding import understand

QUALIFIED = {
    "gold plated": ("plated", "metal"),
    "14k gold filled": ("filled", "metal"),
    "18ct gold plated": ("plated", "metal"),
    "silver plated": ("plated", "metal"),
    "garnet coloured glass": ("coloured", "gem"),
    "coral colored glass": ("colored", "organic"),
    "simulated garnet": ("simulated", "gem"),
    "imitation coral": ("imitation", "organic"),
    "peridot coloured": ("coloured", "gem"),
    "gold coloured": ("coloured", "metal"),
}
"""What a seller writes of costume pieces, the word that qualifies, and what must not arise."""

WORDS_OF_THEIR_OWN = ("filed", "paled", "lated")
"""Slips that are words of English: no letters tell that another was meant."""


def slips_of(word: str) -> list[str]:
    """A letter left out, doubled, or exchanged with the next, but for the first and the last."""
    inner = range(1, len(word) - 2)
    left_out = [word[:at] + word[at + 1 :] for at in inner]
    doubled = [word[: at + 1] + word[at:] for at in inner]
    exchanged = [word[:at] + word[at + 1] + word[at] + word[at + 2 :] for at in inner]
    return sorted({*left_out, *doubled, *exchanged} - {word, *WORDS_OF_THEIR_OWN})


@every_case("text", QUALIFIED)
def test_a_slip_in_a_qualifying_word(text: str) -> None:
    word, never = QUALIFIED[text]
    vocabulary = shipped_reader().vocabulary
    meant = understand(vocabulary, f"ring, {text}").observations
    for slip in slips_of(word):
        found = understand(vocabulary, f"ring, {text.replace(word, slip)}").observations
        told = [each for each in found if each.feature == never]
        assert not told, slip
        assert {(each.feature, each.value) for each in found} == {
            (each.feature, each.value) for each in meant
        }, slip
