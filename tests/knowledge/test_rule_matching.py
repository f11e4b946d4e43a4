"""The matcher finds what trying every rule one by one finds, and findings chain."""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

import pytest
from knowledge_building import base_of
from shipped_base import shipped_base

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import evaluate
from markrules.knowledge.facts import Facts
from markrules.knowledge.loading import load
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import HeldRules, Matcher
from markrules.knowledge.support import used

sys.path.insert(0, str(Path(__file__).parents[1] / "language"))
from language_generated import rules

SHIPPED = Path(__file__).parents[2] / "rules"


def _match(base: KnowledgeBase, *seen: Observation, piece: str = "") -> HeldRules:
    return Matcher(base).match(Facts(seen, base, piece))


def _by_hand(base: KnowledgeBase, facts: Facts) -> tuple[set[str], set[str], Facts]:
    """Findings and clues that hold, by trying all of them until nothing new holds.

    Sound for rules whose findings hold no `not`, as the generated ones do.
    """
    found: set[str] = set()
    while True:
        new = {
            name
            for name, finding in base.findings.items()
            if name not in found and evaluate(finding.when, facts, found) is True
        }
        if not new:
            break
        found |= new
    clues = {
        name
        for name, clue in base.clues.items()
        if evaluate(clue.when, facts, found) is True
        and (not clue.on or facts.is_on(frozenset(each.name for each in clue.on)))
    }
    return found, clues, facts


def _random_observations(base: KnowledgeBase, random: Random) -> list[Observation]:
    features = [each for each in base.features.values() if each.values]
    seen = [Observation("piece", random.choice(list(base.pieces)))]
    for feature in random.sample(features, min(12, len(features))):
        value = random.choice(feature.values).name
        state = random.choice(["seen", "seen", "seen", "ruled-out", "absent"])
        seen.append(
            Observation(feature.name, "" if state == "absent" else value, state=state)  # type: ignore[arg-type]
        )
    for text in random.sample(["MADE IN AUSTRIA", "PAT. PEND.", "STERLING", "JAPAN"], 2):
        seen.append(Observation("mark", text))
    return seen


def test_the_index_misses_nothing_in_generated_rules(tmp_path: Path) -> None:
    (tmp_path / "a.rules").write_text(rules(600, seed=3), encoding="utf-8")
    base, _ = load([tmp_path], cache_folder=None)
    matcher = Matcher(base)
    random = Random(5)
    held = 0
    for _ in range(60):
        facts = Facts(_random_observations(base, random), base)
        found, clues, _ = _by_hand(base, facts)
        matched = matcher.match(facts)
        assert set(matched.findings) == found
        assert {name for name, _ in matched.clues} == clues
        held += len(clues)
    assert held > 60


def test_the_index_misses_nothing_in_the_shipped_rules() -> None:
    base = shipped_base()
    matcher = Matcher(base)
    random = Random(11)
    for _ in range(60):
        matched = matcher.match(Facts(_random_observations(base, random), base))
        holds = {
            name
            for name, clue in base.clues.items()
            if evaluate(clue.when, matched.facts, matched.findings) is True
            and (not clue.on or matched.facts.is_on(frozenset(each.name for each in clue.on)))
        }
        assert {name for name, _ in matched.clues} == holds


CHAIN = """
finding early
    when  catch is open-c
    means finish is matt
finding earlier
    when  found early and finish is matt
finding not-early
    when  not found early
clue chained
    when  found earlier
    made  until 1900
    trust strong
    why   "Invented."
    cite  from-memory
clue shown
    when  finish is matt
    made  until 1950
    trust strong
    why   "Invented."
    cite  from-memory
fault worn
    say   "Worn."
    when  found earlier
    cite  from-memory
caution care
    when  fault is worn
    level care
    say   "Mind it."
    cite  from-memory
sign good
    when   catch is open-c or finish is gilt
    better weak
    on     brooch
    say    "Good."
    cite   from-memory
"""


def test_findings_chain_through_features_to_faults_and_cautions(tmp_path: Path) -> None:
    base = base_of(tmp_path, CHAIN)

    matched = _match(base, Observation("width", number=3.0), Observation("catch", "open-c"))

    assert matched.findings == ("early", "earlier")
    assert matched.clues == (("chained", (1,)), ("shown", (1,)))
    assert (matched.faults, matched.cautions, matched.signs) == (("worn",), ("care",), ())


def test_a_finding_that_denies_another_waits_for_it(tmp_path: Path) -> None:
    base = base_of(tmp_path, CHAIN)

    assert list(base.findings) == ["early", "earlier", "not-early"]
    assert _match(base).findings == ()
    assert _match(base, Observation("catch", "rollover")).findings == ("not-early",)


def test_what_was_seen_outranks_what_follows(tmp_path: Path) -> None:
    base = base_of(tmp_path, "finding f\n    when finish is gilt\n    means catch is trombone\n")

    inferred = _match(base, Observation("finish", "gilt"))
    seen = _match(base, Observation("finish", "gilt"), Observation("catch", "open-c"))

    assert inferred.facts.values["catch"] == {"trombone"}
    assert seen.facts.values["catch"] == {"open-c"}


@pytest.mark.parametrize(("piece", "signs"), [("bar-pin", ("good",)), ("necklace", ()), ("", ())])
def test_a_rule_for_a_piece_type_holds_for_narrower_ones_only(
    tmp_path: Path, piece: str, signs: tuple[str, ...]
) -> None:
    base = base_of(tmp_path, CHAIN)

    assert _match(base, Observation("finish", "gilt"), piece=piece).signs == signs


def test_findings_in_a_circle_reach_a_fixed_point(tmp_path: Path) -> None:
    circle = (
        "finding a\n    when catch is open-c or found b\n"
        "finding b\n    when found a\n"
        "finding c\n    when found d\nfinding d\n    when found c\n"
    )
    base = base_of(tmp_path, circle)

    assert set(_match(base, Observation("catch", "open-c")).findings) == {"a", "b"}


def test_a_clue_tells_every_observation_that_it_rests_on(tmp_path: Path) -> None:
    base = base_of(tmp_path, CHAIN)
    facts = Facts([Observation("finish", "gilt"), Observation("catch", "open-c")], base)

    assert used(base.signs["good"].when, facts) == (0, 1)


UNLESS = """
finding told-broadly
    when   catch is open-c
    unless finish is gilt
    means  finish is matt
finding gilded
    when  mark is absent
    means finish is gilt
"""


def test_a_finding_stands_back_only_where_its_unless_is_known_to_hold(tmp_path: Path) -> None:
    base = base_of(tmp_path, UNLESS)
    open_catch = Observation("catch", "open-c")

    assert _match(base, open_catch).findings == ("told-broadly",)  # the finish was not looked at
    assert _match(base, open_catch, Observation("finish", "gilt")).findings == ()
    unmarked = Observation("mark", "", state="absent")
    assert set(_match(base, open_catch, unmarked).findings) == {
        "gilded"
    }  # as another finding tells


def test_gold_whose_karat_is_told_is_no_gold_of_no_told_carat() -> None:
    base = shipped_base()
    tested = Observation("tested", "metal-tested-gold")

    told = _match(base, Observation("metal", "gold-18k"), tested, piece="ring")
    assert "gold-of-no-told-carat" not in dict(told.clues)
    assert "metal-proved-precious" in told.findings
    assert "precious-metal-untested" not in told.findings
    assert "gold-of-no-told-carat" in dict(_match(base, tested, piece="ring").clues)
