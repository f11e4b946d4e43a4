"""The search over the shipped makers: every mark that is fully legible leads to its maker."""

from __future__ import annotations

import random
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from samples import samples, some_of
from shipped_base import shipped_base

from markrules.language.tree import Setting
from markrules.marks.entries import MarkEntry
from markrules.marks.search import MarkSearch, build_small

sys.path.insert(0, str(Path(__file__).parents[1] / "bench"))

from damage import KINDS


@pytest.fixture(scope="module")
def search() -> MarkSearch:
    return build_small(shipped_base())


def test_a_legible_mark_leads_to_its_maker(search: MarkSearch) -> None:
    """97 in 100 or more of all marks with letters; makers whose marks have the same letters
    cannot be told apart by them, and count as one.
    """
    lettered = [entry for entry in search.marks.entries if entry.whole]
    makers_of: dict[str, set[str]] = {}
    for entry in lettered:
        makers_of.setdefault(entry.whole, set()).add(entry.maker)
    wrong = []
    tried = some_of(lettered)
    for entry in tried:
        results = search.search(entry.text, 1).results
        if not results or results[0].maker not in makers_of[entry.whole]:
            wrong.append(entry.text)
    assert len(lettered) > 500
    assert len(wrong) <= 0.03 * len(tried), wrong


def test_as_evidence_too(search: MarkSearch) -> None:
    own = [entry for entry in search.marks.entries if entry.own and not entry.words_only]
    wrong = []
    tried = some_of(own)
    for entry in tried:
        evidence = search.evidence(entry.text)
        best = max(each.log_likelihood for each in evidence.candidates)
        makers = {each.maker for each in evidence.candidates if each.log_likelihood == best}
        same = {other.maker for other in own if other.own == entry.own}
        if not makers & same:
            wrong.append(entry.text)
    assert len(wrong) <= 0.03 * len(tried), wrong


def test_words_that_stand_on_anyones_goods_lead_to_no_maker(search: MarkSearch) -> None:
    for text in ("STERLING", "MADE IN AUSTRIA", "PAT. PEND.", "1/20 12K GF", "925"):
        assert search.search(text).none_of_these > 0.5, text


def test_confidence_holds_for_makers_that_were_left_out(search: MarkSearch) -> None:
    """Real marks: a fifth of the makers are taken out, and a fifth of the readings are of theirs.
    Stated and true shares differ by less than 0.05 on average, for the first choice and for
    "none of these".
    """
    rng = random.Random(4)
    names = sorted(search.base.makers)
    off = {"first": 0.0, "none": 0.0}
    number = 0
    bands: dict[tuple[str, int], list[tuple[float, bool]]] = {}
    for fold in range(2):
        kept, inside, outside = _without(search, set(names[fold::5]))
        for _ in range(samples(1600, least=800)):
            listed = rng.random() > LEFT_OUT
            among = inside if listed else outside
            entry = rng.choices(among, [each.weight for each in among])[0]
            damage = rng.choice([*KINDS.values(), None])
            query = damage(entry.own, rng).query if damage else entry.own
            answer = kept.search(query, 1, doubt=1.0 if damage else None)
            none = answer.none_of_these
            said = (none, not listed)
            if answer.results and answer.results[0].probability >= none:
                first = answer.results[0]
                own = {one.own for one in kept.marks.entries if one.maker == first.maker}
                said = (first.probability, listed and entry.own in own)
            bands.setdefault(("first", int(said[0] * 5)), []).append(said)
            bands.setdefault(("none", int(none * 5)), []).append((none, not listed))
            number += 1
    for (kind, _), each in bands.items():
        off[kind] += abs(sum(stated - right for stated, right in each)) / number
    assert off["first"] < 0.05, off
    assert off["none"] < 0.05, off


LEFT_OUT = 0.2


def _without(
    search: MarkSearch, names: set[str]
) -> tuple[MarkSearch, list[MarkEntry], list[MarkEntry]]:
    """A search without some makers, its marks, and theirs whose letters no other maker has."""
    makers = {name: maker for name, maker in search.base.makers.items() if name not in names}
    weight = sum(entry.weight for entry in search.marks.entries if entry.maker not in names)
    unknown = Setting("unknown-maker", weight * LEFT_OUT / (1 - LEFT_OUT))
    settings = {**search.base.settings, "unknown-maker": unknown}
    kept = build_small(replace(search.base, makers=makers, settings=settings))
    usable = [e for e in search.marks.entries if len(e.own) > 2 and not e.words_only]
    letters = {entry.own for entry in kept.marks.entries}
    inside = [entry for entry in usable if entry.maker not in names]
    return kept, inside, [e for e in usable if e.maker in names and e.own not in letters]
