"""How much it helps to write what the eye still knows of a doubtful letter.

Listed marks of five letters and more have two thirds of their places doubtful; an end may be lost
as well. Of each doubtful place the eye keeps a belief: a percept drawn from the confusions of
typefaces that the scorer never saw (`damage`), turned by Bayes' rule into weights. The same belief
is written as `?`, as up to four letters in brackets, ranked, and weighed. Printed: how often the
right maker is first.

    python tests/bench/bench_soft.py [--number 110] [--seed 1]
"""

from __future__ import annotations

import argparse
import random
from collections.abc import Callable

from bench_reach import own_marks
from damage import _CONFUSIONS

from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.marks.search import build_small

RIGHT = 0.5
"""How often the letter that seems likeliest at a doubtful place is the right one."""

MOST = 4
Belief = list[tuple[str, float]]

WAYS: dict[str, Callable[[Belief], str]] = {
    "?": lambda belief: "?",
    "[CGOQ]": lambda belief: "[" + "".join(sorted(letter for letter, _ in belief)) + "]",
    "[C>G>O]": lambda belief: "[" + ">".join(letter for letter, _ in belief) + "]",
    "[C:7 G:3]": lambda belief: (
        "[" + " ".join(f"{letter}:{max(1, round(100 * share))}" for letter, share in belief) + "]"
    ),
}


def seen(letter: str, rng: random.Random) -> Belief:
    """What the eye makes of a doubtful letter: the letters it may be, the likeliest first."""
    row = _CONFUSIONS.get(letter, {"X": 1.0})
    percept = letter if rng.random() < RIGHT else rng.choices(list(row), list(row.values()))[0]
    shares = {
        other: RIGHT if other == percept else (1 - RIGHT) * line.get(percept, 0.0)
        for other, line in _CONFUSIONS.items()
    }
    best = sorted(shares.items(), key=lambda each: -each[1])[:MOST]
    total = sum(share for _, share in best)
    if total <= 0:
        return [(letter, 1.0)]
    return [(other, share / total) for other, share in best if share > 0]


def kept(text: str, damage: str) -> tuple[str, str, str]:
    """What is left of a mark, and what is written before and after it."""
    cut = max(1, len(text) // 4)
    if damage == "tail lost":
        return text[:-cut], "", "..."
    return (text[cut:], "...", "") if damage == "head lost" else (text, "", "")


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--number", type=int, default=110)
    parser.add_argument("--seed", type=int, default=1)
    chosen = parser.parse_args()
    rng = random.Random(chosen.seed)
    base, _ = load([shipped_rules()], cache_folder=None)
    search = build_small(base)
    marks = [(maker, own) for maker, own, _ in own_marks(base, 5) if len(own) < 15]
    print(f"right maker first, {chosen.number} marks of each kind, two thirds in doubt")
    print(f"  {'':14}" + "".join(f"{way:>12}" for way in WAYS))
    for damage in ("letters only", "tail lost", "head lost"):
        found = dict.fromkeys(WAYS, 0)
        for _ in range(chosen.number):
            maker, own = rng.choice(marks)
            left, before, after = kept(own, damage)
            doubtful = min(len(left), max(3, len(left) * 2 // 3))
            places = rng.sample(range(len(left)), doubtful)
            beliefs = {place: seen(left[place], rng) for place in places}
            for way, write in WAYS.items():
                text = "".join(
                    write(beliefs[place]) if place in beliefs else letter
                    for place, letter in enumerate(left)
                )
                if way == "?" and not text.strip("?"):
                    continue  # nothing is read at all
                results = search.search(f"{before}{text}{after}", 1).results
                found[way] += bool(results) and results[0].maker == maker
        row = "".join(f"{found[way] / chosen.number:12.3f}" for way in WAYS)
        print(f"  {damage:14}{row}", flush=True)


if __name__ == "__main__":
    main()
