"""What all words of a note do to the odds of what else was met in it, against plain sums."""

from __future__ import annotations

from math import isclose

from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from shipped_base import shipped_base, shipped_reader

from markrules.inference.engine import read
from markrules.notes.whole_note import SOUND
from markrules.reading.reader import Request
from markrules.reading.telling_all import borne_out, kinds_in_all, told_in_all

LONG = "word " * 100
CONVERTED = "brooch, c-catch, was converted from a pendant"


def factors(sound: float, share: float, note: str = LONG) -> float:
    """The factor of one kind that has this share of what misleads."""
    kinds = {SOUND: sound, "copy": (1 - sound) * share, "revival": (1 - sound) * (1 - share)}
    return borne_out(shipped_base(), note, kinds)["copy"]


def test_a_kind_neither_likely_nor_unlikely_keeps_its_odds() -> None:
    usual = shipped_base().setting("whole-note-usual-share")

    assert isclose(factors(0.5, usual), 1.0)


def test_the_factor_is_the_odds_and_the_share_to_their_power() -> None:
    base = shipped_base()
    usual, power = base.setting("whole-note-usual-share"), base.setting("whole-note-power")

    assert isclose(factors(0.2, 3 * usual), (4.0 * 3.0) ** power)
    assert isclose(factors(0.8, usual / 2), (0.25 * 0.5) ** power)


def test_a_note_of_few_words_counts_in_proportion() -> None:
    base = shipped_base()
    usual, power = base.setting("whole-note-usual-share"), base.setting("whole-note-power")
    least, full = base.setting("whole-note-words"), base.setting("whole-note-full-words")
    half = "word " * int((least + full) / 2)

    assert isclose(factors(0.2, usual, half), 4.0 ** (power / 2))
    assert isclose(factors(0.2, usual, "word " * int(least)), 1.0)


ODD = (
    "brooch, the catch is newer than the rest and soldered over a filled hole",
    "brooch, my mother wore it every Sunday to church and it was hers to the end",
)
"""Of the first note the words speak of something odd by themselves, of the second they do not."""


def test_what_all_words_only_hint_at_is_a_guess() -> None:
    """It is told for sure where its kind alone is likely and the words it rests on are odd."""
    base = shipped_base()
    kind_at_least = base.setting("whole-note-kind")

    def certainty(note: str, kind: float) -> str:
        (told,) = told_in_all(base, note, {SOUND: 0.05, "replaced": kind})
        return told.certainty

    assert certainty(ODD[0], kind_at_least + 0.01) == "sure"
    assert certainty(ODD[0], kind_at_least - 0.01) == "guess"
    assert certainty(ODD[1], kind_at_least + 0.01) == "guess"


@settings(max_examples=samples(60))
@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 0.2))
def test_the_odder_the_note_the_greater_the_odds(sound: float, share: float, less: float) -> None:
    assert factors(max(sound - less, 0.0), share) >= factors(sound, share) * (1 - 1e-9)
    assert 0.0 < factors(sound, share) < 1e6


def test_short_notes_tell_nothing_by_all_their_words() -> None:
    assert kinds_in_all(shipped_base(), "brooch, replaced catch") == {}
    assert borne_out(shipped_base(), "brooch, replaced catch", {}) == {}


def test_the_odds_of_a_situation_are_multiplied_and_no_others() -> None:
    reader = shipped_reader()
    seen = reader.read(Request(note=CONVERTED, next_looks=0)).observations
    plain, raised, other = (
        read(reader.model, seen, next_looks=0, borne_out=borne)
        for borne in ({}, {"converted": 0.1}, {"copy": 0.1})
    )

    def odds_of(reading: object) -> float:
        found = next(each for each in reading.misleading if each.kind == "converted")  # type: ignore[attr-defined]
        assert found.stated is (found.probability >= 0.5)
        return found.probability / (1 - found.probability)

    assert isclose(odds_of(raised), odds_of(plain) * 0.1)
    assert isclose(odds_of(other), odds_of(plain))
