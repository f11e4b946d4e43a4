"""A piece of a bound part that was fitted later alone: against a plain enumeration in numpy."""

from __future__ import annotations

import numpy as np
from together import every_case

from markrules.inference.evidence import ClueOfPart, factor

YEARS = 7
RNG = np.random.default_rng(11)


def later(table: np.ndarray) -> np.ndarray:
    """The mean over each year and all after it."""
    return np.array([table[at:].mean() for at in range(len(table))])


@every_case("own", [(0.0, 0.0), (0.3, 0.1), (0.0, 0.5)])
@every_case("fate", [(0.0, 0.0), (0.2, 0.05)])
def test_the_factor_sums_every_way(own: tuple[float, float], fate: tuple[float, float]) -> None:
    suits = RNG.uniform(0.05, 2.0, (2, YEARS))
    wrong = (0.06, 0.2)
    clues = [ClueOfPart(tuple(s), m, 1.0, o) for s, m, o in zip(suits, wrong, own, strict=True)]

    found = factor(clues, *fate)

    kept = 1 - sum(fate)
    ways = []  # of each clue, by year of the part: straight, fitted later alone, misled
    for s, m, o in zip(suits, wrong, own, strict=True):
        straight, misled = (1 - m) * s, np.full(YEARS, m)
        ways.append([(1 - o) * straight, o * later(straight), (1 - o) * misled + o * later(misled)])
    table = np.zeros(YEARS)
    by_way = np.zeros((2, 4, YEARS))  # original, refit, reuse, misread of each clue
    for one in range(3):
        for other in range(3):
            part = ways[0][one] * ways[1][other]
            fates = kept * part, fate[0] * later(part), fate[1] * later(part[::-1])[::-1]
            for at, way in enumerate((one, other)):
                for what, each in enumerate(fates):
                    by_way[at, 3 if way == 2 else 1 if way == 1 else what] += each
            table += sum(fates)
    assert np.allclose(found.table, table)
    for at, voice in enumerate(found.voices):
        assert np.allclose(voice.misread, by_way[at, 3] / table)
        refit = voice.refit if voice.refit is not None else np.zeros(YEARS)
        assert np.allclose(refit, by_way[at, 1] / table)
        reuse = voice.reuse if voice.reuse is not None else np.zeros(YEARS)
        assert np.allclose(reuse, by_way[at, 2] / table)
