"""How good the search is: what it loses to full scoring, and whether its confidence holds.

Marks are made up and damaged by code that shares nothing with the scorer (tests/bench).
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from engine_numbers import setting_entries
from samples import samples
from worn_marks import WORN_MODEL

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Mark
from markrules.marks.candidates import candidates
from markrules.marks.columns import ColumnIndex
from markrules.marks.letters import folded
from markrules.marks.likelihood import log_likelihoods
from markrules.marks.reading_syntax import parse
from markrules.marks.search import MarkSearch, build_small
from markrules.marks.wear import compiled

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from damage import KINDS
from marks_data import marks


def damaged(listed: list[str], number: int, seed: int) -> Iterator[tuple[str, str]]:
    """Marks of six letters and more with what is left of them, every kind of damage in turn."""
    rng = random.Random(seed)
    long = [text for text in listed if len(folded(text)) > 5]
    for place in range(number):
        text = rng.choice(long)
        kind = list(KINDS)[place % len(KINDS)]
        yield text, KINDS[kind](text, rng).query


@pytest.mark.slow
def test_next_to_nothing_is_lost_against_scoring_every_mark() -> None:
    """Of the ten best of 5,000 marks by full scoring, at most 1% of readings lose the mark."""
    listed = list(marks(5_000))
    texts = sorted({folded(text) for text in listed})
    index = ColumnIndex(texts)
    lost = found = 0
    tried = samples(72)
    for text, query in damaged(listed, tried, seed=11):
        reading = compiled(WORN_MODEL, parse(query).cells)
        scores = dict(zip(texts, log_likelihoods(reading, texts), strict=True))
        best = sorted(texts, key=lambda each: (-scores[each], len(each), each))[:10]
        if folded(text) in best:
            found += 1
            chosen = [each.text for each in candidates((index,), reading)]
            mine = sorted(chosen, key=lambda each: (-scores[each], len(each), each))[:10]
            lost += folded(text) not in mine
    assert found > 62 / 72 * tried
    assert lost <= tried // 72


def _simulated(number: int, none: float, seed: int) -> tuple[MarkSearch, list[str], list[str]]:
    """A search over made-up marks, the marks in it, and as many that are not."""
    rng = random.Random(seed)
    listed = list(dict.fromkeys(marks(3 * number, seed=seed)))
    rng.shuffle(listed)
    inside, outside = listed[:number], listed[number : 2 * number]
    base = KnowledgeBase(
        "made up",
        settings=setting_entries({"unknown-maker": number * none / (1 - none)}),
        makers={
            f"m{n}": Maker(f"m{n}", text, marks=(Mark("a", text),)) for n, text in enumerate(inside)
        },
    )
    return build_small(base), inside, outside


@pytest.mark.slow
def test_the_first_choice_is_right_as_often_as_it_says() -> None:
    """1,600 readings, half of them in a small run: 15% of marks that are in no list, a quarter
    of them undamaged.

    In each band of stated probability the share that is right lies within 0.1 of the mean
    stated, or within what so few readings allow (three standard errors).
    """
    none = 0.15
    search, inside, outside = _simulated(600, none, seed=8)
    rng = random.Random(1)
    bands: dict[int, list[tuple[float, bool]]] = {}
    for _ in range(samples(1600, least=800)):
        listed = rng.random() > none
        text = rng.choice(inside if listed else outside)
        if len(folded(text)) < 3:
            continue
        damage = None if rng.random() < 0.25 else rng.choice(list(KINDS.values()))
        query = damage(text, rng).query if damage else text
        answer = search.search(query, 1, doubt=1.0 if damage else None)
        first = answer.results[0] if answer.results else None
        if first is not None and first.probability >= answer.none_of_these:
            stated, right = first.probability, listed and folded(first.text) == folded(text)
        else:
            stated, right = answer.none_of_these, not listed
        bands.setdefault(min(int(stated * 5), 4), []).append((stated, right))
    off = 0.0
    for each in bands.values():
        stated = sum(one for one, _ in each) / len(each)
        right = sum(one for _, one in each) / len(each)
        allowed = 3 * (stated * (1 - stated) / len(each)) ** 0.5
        assert abs(stated - right) < max(0.1, allowed), (stated, right, len(each))
        off += abs(stated - right) * len(each)
    assert off / sum(map(len, bands.values())) < 0.03


def test_damaged_marks_come_first_or_nearly_so() -> None:
    search, inside, _ = _simulated(600, 0.05, seed=21)
    first = ten = number = 0
    for text, query in damaged(inside, 160, seed=5):
        found = [folded(each.text) for each in search.search(query, 10).results]
        number += 1
        first += folded(text) == found[0]
        ten += folded(text) in found
    assert first / number > 0.88
    assert ten / number > 0.97
