"""A second opinion: CLIPS, told the same rules and facts, finds the same clues."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest
from shipped_base import shipped_base

from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import Matcher

SHIPPED = Path(__file__).parents[2] / "rules"


def test_clips_finds_the_same_clues_in_the_shipped_rules() -> None:
    pytest.importorskip("clips")
    from clips_rules import environment, matched_by_clips

    base = shipped_base()
    clips, matcher = environment(base), Matcher(base)
    random = Random(17)
    asked = [each for each in base.features.values() if each.values and each.name != "piece"]
    texts = ["MADE IN AUSTRIA", "PAT. PEND.", "STERLING", "Made in U.S.A.", "Depose", "1/20 12K GF"]
    held = 0
    for _ in range(80):
        seen = []
        for feature in random.sample(asked, 12):
            state = random.choice(["seen", "seen", "seen", "absent", "ruled-out"])
            value = "" if state == "absent" else random.choice(feature.values).name
            seen.append(Observation(feature.name, value, state=state))  # type: ignore[arg-type]
        seen += [Observation("mark", text) for text in random.sample(texts, 2)]
        facts = Facts(seen, base)

        ours = matcher.match(facts)
        clues = {
            name
            for name in matched_by_clips(clips, ours.facts, ours.findings)
            if not (on := base.clues[name].on)
            or ours.facts.is_on(frozenset(each.name for each in on))
        }

        assert {name for name, _ in ours.clues} == clues
        held += len(clues)
    assert held > 100
