"""The parts of an audit: which lines are pieces, figures against scipy, folds, makers, doubts."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, maker, seen, sees, window
from scipy import stats
from together import every_case

from markrules.auditing.calibration import DatedPiece, crps, pit
from markrules.auditing.dated_pieces import case_of, cases_of
from markrules.auditing.doubts import doubts
from markrules.auditing.first_maker import makers_named
from markrules.auditing.folds import parted
from markrules.auditing.measures import ScoredCurve, figures, holds
from markrules.auditing.trials import AXES, Trial, neighbours, tried
from markrules.inference.engine import Model, read
from markrules.inference.settings import settings_of
from markrules.reading.file_lines import BatchLine

YEARS = np.arange(1750, 2027)

LINE = {
    "id": "invented-1",
    "piece_type": "brooch",
    "observations": ["rollover catch"],
    "stated_from": 1925,
    "stated_to": 1925,
    "date_text": "circa 1925",
    "stated_maker": "",
    "date_doubted": False,
    "year_in_observations": False,
    "kind": "ordinary",
    "score_on": ["date"],
    "note": "tells everything",
}


def written(folder: Path, *lines: object) -> Path:
    path = folder / "dated.jsonl"
    texts = (each if isinstance(each, str) else json.dumps(each) for each in lines)
    path.write_text("\n".join(texts), encoding="utf-8")
    return path


def normal(
    centre: float, spread: float, stated: tuple[int, int], tolerance: int = 0
) -> ScoredCurve:
    curve = stats.norm.pdf(YEARS, centre, spread)
    return ScoredCurve(DatedPiece(tuple(curve / curve.sum()), 1750, *stated), tolerance, 3)


def test_a_line_gives_what_may_be_asked_and_what_it_is_held_against(tmp_path: Path) -> None:
    (case,), problems = cases_of(written(tmp_path, LINE))

    assert problems == []
    assert case.question == {"piece_type": "brooch", "observations": ["rollover catch"]}
    assert (case.years, case.circa, case.tolerance, case.dated) == ((1925, 1925), True, 5, True)


@pytest.mark.parametrize(
    ("text", "rounded"),
    [
        ("c.1898", 5),
        ("ca1900", 5),
        ("about 1850", 5),
        ("around 1900", 5),
        ("Chester 1911", 0),
        ("1941", 0),
    ],
)
def test_a_circa_year_is_known_by_its_word(tmp_path: Path, text: str, rounded: int) -> None:
    (case,), _ = cases_of(written(tmp_path, {**LINE, "date_text": text}))

    assert case.tolerance == rounded


def test_a_span_of_years_is_not_rounded_and_an_open_end_is_the_year_stated(tmp_path: Path) -> None:
    span = {**LINE, "stated_from": 1920, "stated_to": 1930}
    cases, _ = cases_of(written(tmp_path, span, {**LINE, "stated_to": None}))

    assert [(case.years, case.tolerance) for case in cases] == [
        ((1920, 1930), 0),
        ((1925, 1925), 5),
    ]


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("{", "not JSON"),
        ("[1]", "not a JSON object"),
        ({**LINE, "stated_from": "1925"}, "`stated_from` is not a year"),
        ({**LINE, "stated_from": 1930}, "lies after"),
        ({**LINE, "observations": "catch"}, "not a list of texts"),
        ({**LINE, "date_doubted": "no"}, "neither true nor false"),
        ({**LINE, "score_on": "date"}, "not a list"),
    ],
)
def test_a_bad_line_is_told_with_its_number_and_the_rest_goes_on(
    tmp_path: Path, line: object, says: str
) -> None:
    cases, problems = cases_of(written(tmp_path, LINE, line, LINE))

    assert len(cases) == 2
    ((number, text),) = problems
    assert number == 2
    assert says in text


def test_figures_of_curves_that_say_what_they_hold() -> None:
    random = np.random.default_rng(3)
    scored = []
    for _ in range(1500):
        centre = random.uniform(1850, 1950)
        year = round(random.normal(centre, 12))
        scored.append(normal(centre, 12, (year, year)))

    found = figures(scored)

    assert found is not None
    for each in found.covered:
        assert each.held.share == pytest.approx(each.mass, abs=0.04)
        # The shortest range of a normal curve is 2 z standard deviations long.
        assert each.median_width == pytest.approx(24 * stats.norm.ppf(0.5 + each.mass / 2), abs=1.5)
    assert found.median_error == pytest.approx(12 * stats.norm.ppf(0.75), abs=1)
    assert found.gap < 0.03


@given(
    st.lists(st.floats(0, 1), min_size=3, max_size=40).filter(lambda each: sum(each) > 0.1),
    st.integers(-8, 48),
    st.integers(0, 5),
)
def test_the_ranked_score_is_the_area_between_the_sums_and_the_step(
    weights: list[float], after: int, long: int
) -> None:
    """Both forms of Gneiting and Raftery 2007: the integral, in half years, and over pairs."""
    curve = np.array(weights) / sum(weights)
    years = 1900 + np.arange(len(curve))
    piece = DatedPiece(tuple(curve), 1900, 1900 + after, 1900 + after + long)

    halves = np.arange(1850, 2000, 0.5)
    below = np.array([curve[years <= each].sum() for each in halves])
    area = (((below - (halves >= piece.midpoint)) ** 2) * 0.5).sum()
    pairs = np.abs(years[:, None] - years[None, :]) * np.outer(curve, curve)
    energy = (curve * np.abs(years - piece.midpoint)).sum() - pairs.sum() / 2

    assert crps(piece) == pytest.approx(area, abs=1e-9)
    assert crps(piece) == pytest.approx(energy, abs=1e-9)


@given(
    st.lists(st.floats(0, 1), min_size=3, max_size=30).filter(lambda each: sum(each) > 0.1),
    st.integers(-3, 33),
    st.integers(0, 1),
)
def test_the_histogram_of_a_piece_is_that_of_draws_spread_over_its_year(
    weights: list[float], after: int, long: int
) -> None:
    curve = np.array(weights) / sum(weights)
    sums = np.concatenate([[0.0], np.cumsum(curve)])
    low, high = (sums[np.clip(at, 0, len(curve))] for at in (after, after + long + 1))

    found = pit([DatedPiece(tuple(curve), 1900, 1900 + after, 1900 + after + long)])

    assert sum(found) == pytest.approx(1.0)
    if high - low > 1e-6:
        draws = low + (high - low) * (np.arange(200_000) + 0.5) / 200_000
        expected = np.histogram(draws, bins=10, range=(0.0, 1.0))[0] / len(draws)
        assert found == pytest.approx(expected, abs=1e-3)


def test_the_histogram_is_level_where_curves_are_true_and_raised_where_they_are_too_wide() -> None:
    random = np.random.default_rng(5)
    centres = random.uniform(1850, 1950, 4000)
    true, wide = (
        [
            normal(centre, said, (year, year)).piece
            for centre, year in zip(centres, np.rint(random.normal(centres, 12)), strict=True)
        ]
        for said in (12, 30)
    )

    assert pit(true) == pytest.approx([0.1] * 10, abs=0.02)
    assert max(pit(wide)[4:6]) > 0.17
    assert max(pit(wide)[0], pit(wide)[9]) < 0.02


def test_without_pieces_there_are_no_figures() -> None:
    assert figures([]) is None


@given(st.integers(1890, 1925), st.sampled_from([0.5, 0.8, 0.95]))
def test_a_circa_year_may_lie_five_years_outside(year: int, mass: float) -> None:
    far = stats.norm.ppf(0.5 + mass / 2) * 4
    strict, rounded = (normal(1900, 4, (year, year), each) for each in (0, 5))

    distance = abs(year - 1900)
    if abs(distance - far) > 1:
        assert holds(strict, mass) is bool(distance < far)
    if abs(distance - far - 5) > 1:
        assert holds(rounded, mass) is bool(distance < far + 5)


@given(st.sets(st.text(min_size=1, max_size=6), min_size=5, max_size=60), st.integers(2, 5))
def test_folds_hold_each_piece_once_and_do_not_follow_the_file(names: set[str], count: int) -> None:
    ordered = sorted(names)
    folds = parted(ordered, count)

    assert sorted(at for fold in folds for at in fold) == list(range(len(ordered)))
    assert max(map(len, folds)) - min(map(len, folds)) <= 1
    backwards = parted(ordered[::-1], count)
    assert [{ordered[at] for at in fold} for fold in folds] == [
        {ordered[::-1][at] for at in fold} for fold in backwards
    ]


@given(st.lists(st.sampled_from("abcdefgh"), min_size=8, max_size=60), st.integers(2, 4))
def test_pieces_of_one_source_are_never_in_two_folds(sources: list[str], count: int) -> None:
    folds = parted(sources, count)

    assert sorted(at for fold in folds for at in fold) == list(range(len(sources)))
    for source in set(sources):
        assert sum(any(sources[at] == source for at in fold) for fold in folds) == 1


@every_case(
    ("told", "source"),
    [
        ({"source_address": "https://www.example.org/a/b"}, "example.org"),
        ({"source_address": "https://Example.org", "source": "a book"}, "example.org"),
        ({"source": "a book"}, "a book"),
        ({}, ""),
    ],
)
def test_a_source_is_the_host_of_its_address_or_what_is_said(
    told: dict[str, str], source: str
) -> None:
    data = {"piece_type": "brooch", "observations": ["C catch"], "stated_from": 1900, **told}

    assert case_of(BatchLine(1, data)).source == source


RULES = base_of(
    HILL,
    feature("catch", "rollover", refit=0.12, reuse=0.01),
    feature("hinge", "tube"),
    clue("rollover-catch", sees("catch", "rollover"), window(1911, 1925)),
    clue("tube-hinge", sees("hinge", "tube"), window(None, 1850, 1880, 1890)),
    maker("tillander", window(1910)),
)


def test_a_trial_moves_the_settings_and_nothing_else() -> None:
    found = tried(RULES, Trial(trust=2, fade=0.5, overlap=2, refit=2, heed=1.5))

    assert found.trusts["strong"].misread == pytest.approx(2 * RULES.trusts["strong"].misread)
    assert found.features["catch"].refit == pytest.approx(0.24)
    assert found.priors is RULES.priors
    assert settings_of(found).first_year == settings_of(RULES).first_year
    assert settings_of(found).heed == pytest.approx(1.5 * settings_of(RULES).heed)
    assert found.clues is RULES.clues
    assert tried(RULES, Trial()) is RULES


def test_a_trial_of_one_axis_bounds_nothing_that_another_moves() -> None:
    often = base_of(HILL, feature("catch", "rollover", refit=0.6))

    assert tried(often, Trial(heed=1.5)).features["catch"].refit == 0.6
    assert tried(often, Trial(refit=2)).features["catch"].refit == 0.45


def test_the_trials_of_an_axis_take_in_the_rules_as_they_stand() -> None:
    for axis in AXES:
        assert Trial() in neighbours(Trial(), axis)


def test_makers_are_known_by_whole_words_and_other_names() -> None:
    makers = base_of(maker("tillander", None), maker("till", None)).makers

    assert makers_named("Probably Tillander, Springfield", makers) == {"tillander"}
    assert makers_named("by TILL & Sons", makers) == {"till"}
    assert makers_named("Tillanders", makers) == frozenset()


def test_a_replaced_part_is_named_and_a_plain_piece_names_nothing() -> None:
    model = Model(RULES, 2026)
    trap = [seen("hinge", "tube"), seen("catch", "rollover")]
    readings = [read(model, trap), read(model, trap[:1])]

    named, quiet = doubts(RULES, readings)

    assert named.contradictions
    assert named.any
    assert not quiet.any
