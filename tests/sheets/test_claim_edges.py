"""Edges of the claims check that a small change of the program would move unseen."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.workings import Workings
from markrules.sheets.claim_finding import ClaimFinder
from markrules.sheets.claims import check_text
from markrules.sheets.phrases import singular


def _words(base: KnowledgeBase, text: str) -> list[str]:
    return [flag.words for flag in check_text(base, text)]


@pytest.mark.parametrize(
    ("word", "one"),
    [
        ("rubies", "ruby"),
        ("stones", "stone"),
        ("gems", "gem"),
        ("gas", "gas"),
        ("glass", "glass"),
        ("lapis", "lapis"),
        ("citrus", "citrus"),
        ("ruby", "ruby"),
    ],
)
def test_the_singular_of_a_word(word: str, one: str) -> None:
    assert singular(word) == one


def test_of_two_claims_that_begin_together_the_longer_is_told(base: KnowledgeBase) -> None:
    """`1/20 12K gold filled` is a coating, although `12K gold` would be a claim by itself."""
    assert _words(base, "1/20 12K gold filled") == ["1/20 12K gold filled"]
    assert _words(base, "pure gold") == ["pure gold"]


@pytest.mark.parametrize(
    ("text", "flagged"),
    [
        ("Cannot say whether gold, silver or brass.", []),
        ("Cannot say whether gold; solid gold is dear.", ["solid gold"]),
        ("Cannot say whether gold: solid gold or brass.", ["solid gold"]),
        ("Cannot say whether gold! solid gold or brass.", ["solid gold"]),
    ],
)
def test_doubt_goes_on_through_a_list_and_ends_with_its_clause(
    base: KnowledgeBase, text: str, flagged: list[str]
) -> None:
    assert _words(base, text) == flagged


def test_a_name_of_three_letters_is_a_name(base: KnowledgeBase) -> None:
    """Shorter ones are initials, which stand for many a maker."""
    short = [each for maker in base.makers.values() for each in (maker.title, *maker.also)]
    three = [each for each in short if len(each) == 3 and each.isalpha()]
    assert three, "the rules hold none: take this test out"
    assert any(_words(base, f"Brooch by {each}") == [f"by {each}"] for each in three)


def test_figures_of_a_claim_hold_at_their_ends(base: KnowledgeBase) -> None:
    low, high = next(
        claim.figures
        for claim in base.claims.values()
        if claim.figures and any("#k gold" in words for words in claim.words)
    )
    for figure, claimed in ((low, True), (high, True), (low - 1, False), (high + 1, False)):
        found = _words(base, f"{figure:g}k gold ring")
        assert (found == [f"{figure:g}k gold"]) is claimed


def test_phrases_that_were_kept_on_disk_find_the_same(base: KnowledgeBase, tmp_path: Path) -> None:
    text = "Rare Trifari brooch, 1/20 12K GF, solid gold, not a single chip; possibly walrus ivory."

    def found(workings: Workings) -> list[tuple[str, int, int, str]]:
        same = replace(base)
        object.__setattr__(same, "workings", workings)
        finder = ClaimFinder(same)
        return [(claim.name, it.first, it.after, it.name) for claim, _, it in finder.found(text)]

    fresh = found(Workings())
    assert not list(tmp_path.iterdir())
    assert found(Workings(tmp_path, "k")) == fresh
    assert list(tmp_path.iterdir())
    assert found(Workings(tmp_path, "k")) == fresh
    assert len(fresh) > 4
