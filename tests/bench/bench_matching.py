"""Matching 12 observations against every clue of the shipped rules, with CLIPS beside it.

    python tests/bench/bench_matching.py

Both are given the same rules and the same facts, already understood; both give the names of
the clues that hold. CLIPS is timed without the building of its rules, and without the telling
of which observations each clue rests on, which ours does and it cannot.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

sys.path.insert(0, str(Path(__file__).parents[1] / "knowledge"))

from clips_rules import environment, facts_for_clips, matched_by_clips

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts
from markrules.knowledge.loading import load
from markrules.knowledge.observation import Observation
from markrules.knowledge.rule_matching import Matcher

SHIPPED = Path(__file__).parents[2] / "rules"
PIECES = 60
ROUNDS = 20


def pieces(base: KnowledgeBase) -> list[list[Observation]]:
    """Invented pieces of 12 observations each: a type, two texts, nine things seen."""
    random = Random(23)
    asked = [each for each in base.features.values() if each.values and each.name != "piece"]
    texts = ["MADE IN AUSTRIA", "PAT. PEND.", "STERLING", "JAPAN", "DEPOSE", "1/20 12K GF"]
    made = []
    for _ in range(PIECES):
        seen = [Observation("piece", random.choice(list(base.pieces)))]
        seen += [Observation("mark", text) for text in random.sample(texts, 2)]
        for feature in random.sample(asked, 9):
            seen.append(Observation(feature.name, random.choice(feature.values).name))
        made.append(seen)
    return made


def median_us(work: Callable[[], object]) -> float:
    """Median time of one call, in microseconds."""
    times = []
    for _ in range(ROUNDS):
        before = time.perf_counter()
        work()
        times.append(time.perf_counter() - before)
    return statistics.median(times) * 1e6


def main() -> None:
    """Print the medians over all pieces."""
    base, _ = load([SHIPPED], cache_folder=None)
    before = time.perf_counter()
    matcher = Matcher(base)
    ours_built = time.perf_counter() - before
    before = time.perf_counter()
    clips = environment(base)
    clips_built = time.perf_counter() - before
    ours, theirs, clues = [], [], []
    for seen in pieces(base):
        matched = matcher.match(Facts(seen, base))
        told = facts_for_clips(matched.facts, matched.findings)
        ours.append(median_us(lambda seen=seen: matcher.match(Facts(seen, base))))
        theirs.append(median_us(lambda told=told: run_clips(clips, told)))
        clues.append(len(matched.clues))
        expected = {
            name
            for name in matched_by_clips(clips, matched.facts, matched.findings)
            if not base.clues[name].on
            or matched.facts.is_on(frozenset(each.name for each in base.clues[name].on))
        }
        assert {name for name, _ in matched.clues} == expected
    print(f"{len(base.clues)} clues, {PIECES} pieces of 12 observations, {ROUNDS} rounds each")
    print(f"clues that hold for a piece: median {statistics.median(clues):.0f}")
    print(f"markrules: median {statistics.median(ours):8.0f} µs (worst {max(ours):.0f})")
    print(f"CLIPS:     median {statistics.median(theirs):8.0f} µs (worst {max(theirs):.0f})")
    print(f"CLIPS / markrules: {statistics.median(theirs) / statistics.median(ours):.1f}")
    print(f"built once: markrules {ours_built * 1e3:.0f} ms, CLIPS {clips_built * 1e3:.0f} ms")


def run_clips(clips: object, told: list[str]) -> set[str]:
    """One piece in CLIPS: facts in, rules run, clues out."""
    clips.reset()  # type: ignore[attr-defined]
    for fact in told:
        clips.assert_string(fact)  # type: ignore[attr-defined]
    clips.run()  # type: ignore[attr-defined]
    return {fact["clue"] for fact in clips.facts() if fact.template.name == "holds"}  # type: ignore[attr-defined]


if __name__ == "__main__":
    main()
