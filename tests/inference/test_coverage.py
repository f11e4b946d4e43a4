"""Confidence that holds: pieces made by the model itself, then read.

Each simulated piece has a maker, a year, and parts. A part is of the piece's year, or was
fitted in some later year, or is older, or is misread; it looks as parts of its year look. The
simulation draws these stories one after the other with a random generator and never asks the
engine for a likelihood. Then 80 % ranges must hold the year of 80 % of the pieces, and what is
said with 30 % must be true of 30 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import inference_brute as brute
import numpy as np
import pytest
from inference_building import HILL, base_of, clue, feature, maker, seen, sees, window
from samples import samples
from together import every_case

from markrules.inference.engine import Model, read
from markrules.inference.reading import Reading
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis, Observation
from markrules.language.windows import Window

YEARS = np.arange(1750, 2027, dtype=float)
TRUST = {"strong": 0.06, "moderate": 0.15, "weak": 0.30}
SURE = {"sure": 0.01, "fair": 0.15}
PIECES = samples(3000)


@dataclass(frozen=True)
class Part:
    """A part whose looks divide the years between them: in each year their windows sum to 1."""

    name: str
    windows: tuple[Window, ...]
    trust: str
    refit: float = 0.0
    reuse: float = 0.0

    def looks(self) -> np.ndarray:
        return np.array([brute.suits(made, YEARS) for made in self.windows])


def dividing(fade: int, *changes: int) -> tuple[Window, ...]:
    """Windows that take over from each other, each over `fade` years from a year of change."""
    starts = [None, *(change + fade + 1 for change in changes)]
    ends = [*changes, None]
    return tuple(
        window(None, start, end, fade=fade) for start, end in zip(starts, ends, strict=True)
    )


PARTS = (
    Part("catch", dividing(12, 1880, 1915, 1950), "strong", refit=0.12, reuse=0.02),
    Part("hinge", dividing(20, 1890, 1935), "moderate", refit=0.06),
    Part("cameo", dividing(30, 1850, 1900), "moderate", reuse=0.25),
    Part("stones", dividing(5, 1892, 1955), "strong"),
    Part("plating", dividing(9, 1845, 1900, 1930, 1970), "weak"),
    Part("backing", (window(None, None, None, 1937), window(1938)), "strong"),
)
UNKNOWN_WEIGHT, READS = 30.0, np.array([[0.7, 0.2, 0.1], [0.25, 0.65, 0.1], [0.05, 0.05, 0.9]])
"""P(what is read | maker one, maker two, unknown maker)."""

BASE = base_of(
    HILL,
    *(
        feature(part.name, *map(str, range(len(part.windows))), refit=part.refit, reuse=part.reuse)
        for part in PARTS
    ),
    *(
        clue(f"{part.name}-{n}", sees(part.name, str(n)), made, part.trust)
        for part in PARTS
        for n, made in enumerate(part.windows)
    ),
    maker("one", None, window(1900, 1910, 1930, 1940), common="often"),
    maker("two", None, window(1945, 1950, 1960, 1975), common="often"),
)
HISTORIES = ("original", "refit", "reuse", "misread")


@dataclass(frozen=True)
class Made:
    """A simulated piece: the truth about it, and what was seen."""

    year: int
    maker: str
    histories: dict[str, str]
    seen: tuple[Observation, ...]
    marks: MarkEvidence


def make(random: np.random.Generator) -> Made:
    prior = brute.prior_weights(HILL, YEARS)
    behind = random.choice(3, p=np.array([8.0, 8.0, UNKNOWN_WEIGHT]) / (16 + UNKNOWN_WEIGHT))
    chances = prior
    if behind < 2 and random.random() >= 0.15:  # the mark's dates are trusted moderately
        mark = BASE.makers[("one", "two")[behind]].marks[0]
        chances = prior * brute.suits(mark.used, YEARS)
        chances = chances / chances.sum()
    at = int(random.choice(len(YEARS), p=chances))
    read_as = random.choice(3, p=READS[behind])
    histories, observations = {}, []
    for part in random.choice(np.array(PARTS, dtype=object), random.integers(1, 5), replace=False):
        sure = str(random.choice(list(SURE)))
        wrong = 1 - (1 - TRUST[part.trust]) * (1 - SURE[sure])
        history, look = live(random, part, at, wrong, prior)
        histories[part.name] = history
        observations.append(seen(part.name, str(look), sure))
    candidates = tuple(
        MarkHypothesis(name, "a", log(READS[n, read_as])) for n, name in enumerate(("one", "two"))
    )
    marks = MarkEvidence(str(read_as), candidates, log(READS[2, read_as]))
    year = int(YEARS[at])
    return Made(year, ("one", "two", "")[behind], histories, tuple(observations), marks)


def live(
    random: np.random.Generator, part: Part, at: int, wrong: float, prior: np.ndarray
) -> tuple[str, int]:
    """What became of a part of a piece of year `at`, and what it looks like."""
    kept = 1 - part.refit - part.reuse
    chances = [(1 - wrong) * kept, (1 - wrong) * part.refit, (1 - wrong) * part.reuse, wrong]
    history = str(random.choice(HISTORIES, p=chances))
    of_year = {
        "original": lambda: at,
        "refit": lambda: random.integers(at, len(YEARS)),
        "reuse": lambda: random.integers(0, at + 1),
        "misread": lambda: random.choice(len(YEARS), p=prior),
    }[history]()
    looks = part.looks()[:, of_year]
    return history, int(random.choice(len(looks), p=looks / looks.sum()))


@pytest.fixture(scope="module")
def pieces() -> list[Made]:
    random = np.random.default_rng(20240229)
    return [make(random) for _ in range(PIECES)]


@pytest.fixture(scope="module")
def model() -> Model:
    return Model(BASE, 2026)


def test_the_looks_of_a_part_divide_the_years() -> None:
    for part in PARTS:
        assert part.looks().sum(axis=0) == pytest.approx(1)


@pytest.mark.parametrize("mass", [0.5, 0.8, 0.95])
def test_ranges_hold_the_year_as_often_as_they_say(mass, model, pieces) -> None:
    ranges = [
        read(model, each.seen, marks=each.marks, mass=mass, next_looks=0).date.range
        for each in pieces
    ]

    held = [r.first <= each.year <= r.last for r, each in zip(ranges, pieces, strict=True)]
    # Whole years make a range hold a little more than asked; what it says it holds is exact.
    said = np.mean([each.mass for each in ranges])
    assert np.mean(held) == pytest.approx(mass, abs=0.03)
    assert np.mean(held) == pytest.approx(said, abs=3 * np.sqrt(said * (1 - said) / PIECES))


@pytest.fixture(scope="module")
def readings(model, pieces) -> list[Reading]:
    return [read(model, each.seen, marks=each.marks, next_looks=0) for each in pieces]


@every_case("history", HISTORIES)
def test_what_became_of_a_part_is_told_with_the_right_probability(history, readings, pieces):
    said, true = [], []
    for reading, piece in zip(readings, pieces, strict=True):
        for each in reading.clues:
            said.append(getattr(each.branches, history))
            true.append(piece.histories[each.feature] == history)

    assert_calibrated(np.array(said), np.array(true))


@pytest.mark.parametrize("name", ["one", "two", ""])
def test_makers_are_told_with_the_right_probability(name, readings, pieces) -> None:
    said = [
        sum(each.probability for each in reading.makers if each.maker == name)
        for reading in readings
    ]

    assert_calibrated(np.array(said), np.array([each.maker == name for each in pieces]))


def assert_calibrated(said: np.ndarray, true: np.ndarray) -> None:
    """In each tenth of the scale, as many come true as were said, within four standard errors."""
    for low in np.arange(0, 1, 0.1):
        inside = (said >= low) & (said < low + 0.1)
        if inside.sum() >= 50:
            mean = said[inside].mean()
            error = np.sqrt(max(mean * (1 - mean), 0.01) / inside.sum())
            assert true[inside].mean() == pytest.approx(mean, abs=4 * error)
