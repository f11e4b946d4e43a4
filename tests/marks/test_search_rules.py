"""The search over the shipped makers: every mark that is fully legible leads to its maker."""

from __future__ import annotations

import pytest

from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.marks.search import MarkSearch, build_small


@pytest.fixture(scope="module")
def search(tmp_path_factory: pytest.TempPathFactory) -> MarkSearch:
    base, _ = load([shipped_rules()], cache_folder=tmp_path_factory.mktemp("cache"))
    return build_small(base)


def test_a_legible_mark_leads_to_its_maker(search: MarkSearch) -> None:
    """97 in 100 or more of all marks with letters; makers whose marks have the same letters
    cannot be told apart by them, and count as one.
    """
    lettered = [entry for entry in search.marks.entries if entry.whole]
    makers_of: dict[str, set[str]] = {}
    for entry in lettered:
        makers_of.setdefault(entry.whole, set()).add(entry.maker)
    wrong = []
    for entry in lettered:
        results = search.search(entry.text, 1).results
        if not results or results[0].maker not in makers_of[entry.whole]:
            wrong.append(entry.text)
    assert len(lettered) > 500
    assert len(wrong) <= 0.03 * len(lettered), wrong


def test_as_evidence_too(search: MarkSearch) -> None:
    own = [entry for entry in search.marks.entries if entry.own and not entry.words_only]
    wrong = []
    for entry in own:
        evidence = search.evidence(entry.text)
        best = max(each.log_likelihood for each in evidence.candidates)
        makers = {each.maker for each in evidence.candidates if each.log_likelihood == best}
        same = {other.maker for other in own if other.own == entry.own}
        if not makers & same:
            wrong.append(entry.text)
    assert len(wrong) <= 0.03 * len(own), wrong


def test_words_that_stand_on_anyones_goods_lead_to_no_maker(search: MarkSearch) -> None:
    for text in ("STERLING", "MADE IN AUSTRIA", "PAT. PEND.", "1/20 12K GF", "925"):
        assert search.search(text).none_of_these > 0.5, text
