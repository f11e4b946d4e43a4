"""The engine over all rules that are shipped."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from samples import some_of
from shipped_base import shipped_base

from markrules.inference.engine import Model, read
from markrules.inference.year_tables import NO_YEARS
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation

RULES = Path(__file__).parents[2] / "rules"


@pytest.fixture(scope="module")
def base() -> KnowledgeBase:
    return shipped_base()


@pytest.fixture(scope="module")
def model(base: KnowledgeBase) -> Model:
    return Model(base, 2026)


def test_every_clue_speaks_of_years_on_the_grid(model: Model, base: KnowledgeBase) -> None:
    tables = model.tables
    speaking = [clue for clue in base.clues.values() if clue.made or clue.common]
    assert len(speaking) > 300

    for clue in speaking:
        facts = tables.facts(clue.name)
        voice = tables.voice(clue.name, (0.01, 0.0, 0.0), NO_YEARS)
        assert voice is not None, clue.name
        suits = np.array(voice.suits)
        assert suits.min() >= 0, clue.name
        assert suits @ np.array(tables.reference_of(facts.on)) == pytest.approx(1), clue.name
        assert 0 <= min(voice.home) <= max(voice.shown) == 1, clue.name
        assert facts.cites, clue.name


def test_every_value_of_every_feature_can_be_read(model: Model, base: KnowledgeBase) -> None:
    values = [(each, value) for each in base.features.values() for value in each.values]
    readings = [
        read(model, [Observation(feature.name, value.name)], next_looks=0)
        for feature, value in some_of(values)
    ]

    assert len(values) > 500
    for each in readings:
        assert sum(each.date.curve) == pytest.approx(1)
        assert each.date.range.mass >= 0.8 - 1e-9
        assert all(clue.bits >= 0 for clue in each.clues)


def test_every_piece_type_has_a_next_look_with_a_question(model: Model, base: KnowledgeBase):
    for piece in some_of(base.pieces):
        looks = read(model, [], piece_type=piece).next
        assert looks, piece
        assert all(each.ask and each.gain_bits > 0 for each in looks), piece


def test_every_mark_variant_has_years_that_sum_to_one(model: Model, base: KnowledgeBase) -> None:
    prior = model.tables.prior("")

    for maker in base.makers.values():
        for mark in maker.marks:
            spell = model.tables.marks.spell(maker.name, mark.name, prior)
            years = np.full(len(prior.table), spell.level)
            used = slice(spell.start, spell.start + len(spell.values))
            years[used] += spell.by * np.array(spell.values)
            assert years @ np.array(prior.table) == pytest.approx(1), (maker.name, mark.name)
