"""Reading notes with the shipped rules: building the vocabulary, one note, many notes.

    python tests/bench/bench_notes.py

The peer beside it looks for the same phrases with one regular expression of them all, the usual
way to find the words of a list in a text; it says only which phrases stand there.
"""

from __future__ import annotations

import re
import statistics
import time
from collections.abc import Callable
from pathlib import Path
from random import Random

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.notes.understanding import Vocabulary, understand

SHIPPED = Path(__file__).parents[2] / "rules"
NOTES = 300
PHRASES_IN_A_NOTE = 15
ROUNDS = 7


def phrases(base: KnowledgeBase) -> list[str]:
    """All words and phrases that the rules have for what can be seen."""
    return [
        text
        for feature in base.features.values()
        for value in feature.values
        for text in (value.name.replace("-", " "), *value.also)
    ]


def notes(texts: list[str]) -> list[str]:
    """Invented notes of phrases drawn from the rules, with a measure and a mark in each."""
    random = Random(7)
    made = []
    for number in range(NOTES):
        drawn = random.sample(texts, PHRASES_IN_A_NOTE - 2)
        made.append(", ".join(["brooch", *drawn, f"{number % 60 + 10} mm", "marked AUSTRIA"]))
    return made


def median_ms(work: Callable[[], object]) -> float:
    """Median time of one call, in milliseconds."""
    times = []
    for _ in range(ROUNDS):
        before = time.perf_counter()
        work()
        times.append(time.perf_counter() - before)
    return statistics.median(times) * 1e3


def main() -> None:
    """Print the medians."""
    base, _ = load([SHIPPED], cache_folder=None)
    texts = phrases(base)
    written = notes(texts)
    vocabulary = Vocabulary(base)
    for note in written:
        understand(vocabulary, note)

    def anew() -> None:
        vocabulary.segments.clear()
        for note in written:
            understand(vocabulary, note)

    def again() -> None:
        for note in written:
            understand(vocabulary, note)

    pattern = re.compile(
        r"\b(?:" + "|".join(map(re.escape, sorted(set(texts), key=len, reverse=True))) + r")\b"
    )

    def peer() -> None:
        for note in written:
            pattern.findall(note)

    print(f"{len(texts)} phrases of values, {NOTES} notes of {PHRASES_IN_A_NOTE} phrases; medians")
    print(f"vocabulary built          {median_ms(lambda: Vocabulary(base)):8.1f} ms")
    print(f"note, no segment met yet  {median_ms(anew) / NOTES:8.3f} ms")
    print(f"note, segments met before {median_ms(again) / NOTES:8.3f} ms")
    print(f"peer: one regular expression {median_ms(peer) / NOTES:5.3f} ms a note")


if __name__ == "__main__":
    main()
