"""Readings of random rule sets against whole tables worked out in numpy."""

from __future__ import annotations

from dataclasses import dataclass, replace

import inference_brute as brute
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, maker, names, seen, sees, window
from samples import samples
from test_windows import windows

from markrules.inference.curves import Spell, curve_of
from markrules.inference.engine import Model, read
from markrules.inference.posterior import Hypothesis, by_marks
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence, MarkHypothesis, Observation
from markrules.language.tree import Clue, Family, Fittings, PieceException
from markrules.language.windows import Spread, Wave, Window, Year

LAST = 2026
GRID = np.arange(1750, LAST + 1, dtype=float)
TRUST = {"hard": 0.01, "strong": 0.06, "moderate": 0.15, "weak": 0.30, "hearsay": 0.60}
SURE = {"sure": 0.01, "fair": 0.15, "guess": 0.40}
REFERENCE = brute.prior_weights(HILL, GRID)
COMMON = {"often": 8, "seldom": 1, "": 1}


@dataclass(frozen=True)
class Situation:
    """A random rule set, a piece seen with it, and how to read it."""

    base: KnowledgeBase
    seen: tuple[Observation, ...]
    marks: MarkEvidence | None
    mass: float
    flat: bool


@st.composite
def spreads(draw: st.DrawFn) -> Spread:
    """A spread of even enough years, far from the ends of the grid."""
    middle = draw(st.integers(1850, 1960))
    early = middle - draw(st.integers(8, 60))
    late = middle + int((middle - early) * draw(st.floats(0.5, 1.9))) + 1
    waves = [Wave(Year(early), Year(middle), Year(late))]
    if draw(st.booleans()):
        waves.append(Wave(Year(1970), None, Year(draw(st.integers(1975, 2026))), 0.1))
    return Spread(tuple(waves), draw(st.sampled_from([None, 0.02, 0.3])))


@st.composite
def exceptions_of(draw: st.DrawFn, count: int) -> PieceException:
    of = draw(st.sets(st.sampled_from([f"f{at}" for at in range(count)]))) if count else ()
    return PieceException(
        draw(st.sampled_from(["copy", "odd"])),
        draw(st.sampled_from([0.04, 0.2])),
        draw(st.sampled_from([0.3, 0.8])),
        of=names(*sorted(of)),
        common=draw(st.none() | spreads()),
    )


@st.composite
def situations(draw: st.DrawFn, most: int = 3) -> Situation:
    shares = st.sampled_from([0.0, 0.0, 0.12, 0.5])
    count = draw(st.integers(0, most))
    makers = [
        maker(
            f"maker-{at}",
            draw(st.none() | windows()),
            *draw(st.lists(st.none() | windows(), min_size=1, max_size=3)),
            common=draw(st.sampled_from(list(COMMON))),
            trust=draw(st.sampled_from(["", "strong", "weak"])),
        )
        for at in range(draw(st.integers(0, 2)))
    ]
    bound = draw(st.booleans()) and count > 1
    fittings = [Fittings("bound", names("f0", "f1"), 0.2, 0.1)] if bound else []
    features, clues = [], []
    for at in range(count):
        made, common = draw(windows()), draw(st.none() | spreads())
        assume(common is None or brute.is_plain(common, made))
        features.append(feature(f"f{at}", "v", refit=draw(shares), reuse=draw(shares)))
        pointed = draw(st.sets(st.sampled_from([each.name for each in makers]))) if makers else ()
        clues.append(
            clue(
                f"c{at}",
                sees(f"f{at}", "v"),
                made,
                draw(st.sampled_from(list(TRUST))),
                family=draw(st.sampled_from(["", "tied", "loose"])),
                refit=draw(st.none() | shares),
                reuse=draw(st.none() | shares),
                points=tuple(sorted(pointed)),
                common=common,
            )
        )
    exceptions = draw(st.lists(exceptions_of(count), max_size=2, unique_by=lambda each: each.name))
    families = (Family("tied", 1.0), Family("loose", 0.3))
    base = base_of(HILL, *families, *features, *clues, *makers, *fittings, *exceptions)
    chance = st.floats(-30, 0)
    variants = [(each.name, mark.name) for each in makers for mark in each.marks]
    marks = MarkEvidence(
        "read", tuple(MarkHypothesis(*each, draw(chance)) for each in variants), draw(chance)
    )
    return Situation(
        base,
        tuple(seen(f"f{at}", "v", draw(st.sampled_from(list(SURE)))) for at in range(count)),
        draw(st.sampled_from([None, marks])),
        draw(st.floats(0.3, 0.99)),
        draw(st.booleans()),
    )


def misread(of: Clue, certainty: str) -> float:
    return 1 - (1 - TRUST[of.trust.name]) * (1 - SURE[certainty])


def emission_of(each: Clue) -> np.ndarray | None:
    """What a clue says of each year; None where its window leaves no year of the grid."""
    window = brute.suits(each.made, GRID)
    hard = window
    if each.common is not None:
        hard = brute.suits(
            Window(each.made.first, None, None, each.made.last, each.made.gaps), GRID
        )
    if not hard.any():
        return None
    if each.common is None:
        return brute.emission(each.made, None, REFERENCE, GRID)
    with np.errstate(invalid="ignore", divide="ignore"):
        found = brute.emission(each.made, each.common, REFERENCE, GRID)
    return found if np.isfinite(found).all() else None


def speaking(at: Situation) -> list[tuple[Clue, str]]:
    """The clues that hold and whose window is not 0 all over the grid."""
    pairs = [(at.base.clues[f"c{n}"], each.certainty) for n, each in enumerate(at.seen)]
    return [(each, sure) for each, sure in pairs if emission_of(each) is not None]


def kinds_of(at: Situation, prior: np.ndarray) -> list[brute.BruteKind]:
    entries = list(at.base.exceptions.values())
    kinds = [brute.BruteKind(1 - sum(each.share for each in entries), prior, 0.0, frozenset())]
    for each in entries:
        own = prior
        if each.common is not None:
            stray = 0.05 if each.common.background is None else each.common.background
            own = (1 - stray) * brute.spread_curve(each.common, None, GRID) + stray / len(GRID)
        of = frozenset(name.name for name in each.of)
        kinds.append(brute.BruteKind(each.share, own, each.misread, of))
    return kinds


def hypotheses(
    at: Situation,
) -> list[tuple[str, str, float, Window | None, Window | None, float]]:
    """(maker, mark, weight, used, works, misread) of everything that may stand behind it."""
    if at.marks is not None:
        read_as = {(each.maker, each.mark): each.log_likelihood for each in at.marks.candidates}
        unknown = at.marks.unknown_log_likelihood
    else:
        pointed = {name.name for each, _ in speaking(at) for name in each.points}
        read_as, unknown = {(name, ""): 0.0 for name in pointed}, 0.0
    found = [("", "", 30 * np.exp(unknown), None, None, 1.0)]
    for (name, mark), log_likelihood in read_as.items():
        entry = at.base.makers[name]
        weight = COMMON[entry.common.name if entry.common else ""] * np.exp(log_likelihood)
        variant = next((each for each in entry.marks if each.name == mark), None)
        if variant is not None:
            prior = brute.prior_weights(None if at.flat else HILL, GRID)
            weight *= brute.variant_shares(entry, prior, GRID)[mark]
        trust = TRUST[variant.trust.name] if variant and variant.trust else TRUST["moderate"]
        used = variant.used if variant else None
        found.append((name, mark, weight, used, entry.works, trust))
    return found


def tables(
    at: Situation,
) -> tuple[np.ndarray, np.ndarray, list[brute.BruteClue], list[brute.BruteKind]]:
    prior = brute.prior_weights(None if at.flat else HILL, GRID)
    behind = hypotheses(at)
    rows = []
    for _, _, _, used, works, wrong in behind:
        own = prior * brute.mark_years(used, works, GRID)
        given = (1 - wrong) * own / own.sum() + wrong * prior if own.sum() > 0 else prior
        rows.append(given / prior)
    fired = speaking(at)
    families = [each.family.name if each.family else "" for each, _ in fired]
    overlap = {"tied": 1.0, "loose": 0.3}
    bound = {name.name for entry in at.base.fittings.values() for name in entry.of}
    clues = []
    for each, sure in fired:
        wrong = misread(each, sure)
        entry = at.base.features[each.when.feature.name]
        refit = entry.refit if each.refit is None else each.refit
        reuse = entry.reuse if each.reuse is None else each.reuse
        most = max(1.0, (refit + reuse) / 0.999)
        ratio = min(max((1 - wrong) / wrong, 1.0), 20.0)
        points = {name.name for name in each.points}
        clues.append(
            brute.BruteClue(
                emission_of(each),
                wrong,
                refit / most,
                reuse / most,
                1.0,
                np.array([ratio if row[0] in points else 1.0 for row in behind]),
                each.name,
                entry.name,
                each.trust.name == "hard",
            )
        )
    said = [brute.information(each, REFERENCE) for each in clues]
    tempered = []
    for own, (each, family) in enumerate(zip(clues, families, strict=True)):
        same = [n for n, other in enumerate(families) if other == family and n != own]
        others = sum(min(1.0, said[n] / said[own]) if said[own] > 0 else 1.0 for n in same)
        weight = 1 / (1 + overlap[family] * others) if family else 1.0
        alone = replace(each, weight=round(weight, 2))
        together = replace(alone, part="bound", refit=0.2, reuse=0.1)
        tempered.append(together if each.feature in bound else alone)
    weights = np.array([row[2] for row in behind])
    return weights, np.array(rows), tempered, kinds_of(at, prior)


def reading(at: Situation) -> Reading:
    return read(
        Model(at.base, LAST),
        at.seen,
        marks=at.marks,
        mass=at.mass,
        flat_prior=at.flat,
        next_looks=0,
    )


@settings(max_examples=samples(120))
@given(situations())
def test_the_posterior_is_the_sum_over_the_whole_joint_table(at: Situation) -> None:
    joint = brute.joint(*tables(at))
    by_year, by_hypothesis = joint.sum(axis=(0, 1)), joint.sum(axis=(0, 2))

    found = reading(at)

    assert np.array(found.date.curve) == pytest.approx(by_year, abs=1e-6)
    length, most = brute.shortest(np.array(found.date.curve), at.mass)
    assert found.date.range.last - found.date.range.first + 1 == length
    assert found.date.range.mass == pytest.approx(most, abs=1e-9)
    for share in found.makers:
        same = [n for n, row in enumerate(hypotheses(at)) if row[0] == share.maker]
        assert share.probability == pytest.approx(by_hypothesis[same].sum(), abs=1e-6)
    assert "" in {share.maker for share in found.makers}
    told = {each.exception: each.probability for each in found.exceptions}
    for entry, chance in zip(at.base.exceptions, joint.sum(axis=(1, 2))[1:], strict=True):
        assert (entry in told) == (chance >= 0.15) or abs(chance - 0.15) < 1e-6
        if entry in told:
            assert told[entry] == pytest.approx(chance, abs=1e-6)


@settings(max_examples=samples(120))
@given(situations())
def test_branches_and_bits_are_those_of_the_whole_joint_table(at: Situation) -> None:
    weights, rows, clues, kinds = tables(at)
    joint = brute.joint(weights, rows, clues, kinds)
    by_name = {each.clue: each for each in reading(at).clues}

    assert set(by_name) == {each.name for each, _ in speaking(at)}
    for position, (each, _) in enumerate(speaking(at)):
        found = by_name[each.name]
        got = found.branches
        assert [got.original, got.refit, got.reuse, got.misread] == pytest.approx(
            brute.branches(clues[position], clues, joint, kinds), abs=1e-7
        )
        without = brute.joint(weights, rows, clues[:position] + clues[position + 1 :], kinds)
        possible = joint > 0
        expected = brute.kl_bits(joint[possible], without[possible])
        assert found.bits == pytest.approx(expected, abs=1e-5)
        assert found.weight == pytest.approx(clues[position].weight)


@settings(max_examples=samples(60))
@given(situations(most=4), st.randoms(use_true_random=False))
def test_the_order_of_what_was_seen_changes_nothing(at: Situation, random) -> None:
    shuffled = list(at.seen)
    random.shuffle(shuffled)
    other = read(Model(at.base, LAST), shuffled, marks=at.marks, mass=at.mass, flat_prior=at.flat)

    found = reading(at)

    assert other.date.curve == pytest.approx(found.date.curve, abs=1e-12)
    assert {each.clue: each.bits for each in other.clues} == pytest.approx(
        {each.clue: each.bits for each in found.clues}, abs=1e-9
    )


def test_a_general_purpose_bayesian_network_gives_the_same() -> None:
    """Two clues, with refit and reuse, and two makers, as a discrete Bayesian network.

    pgmpy (variable elimination) is the outside reference.
    """
    from pgmpy import models
    from pgmpy.factors.discrete import TabularCPD
    from pgmpy.inference import VariableElimination

    base = base_of(
        HILL,
        feature("f0", "v", refit=0.12, reuse=0.05),
        feature("f1", "v"),
        clue("c0", sees("f0", "v"), window(1911, 1925), "moderate"),
        clue("c1", sees("f1", "v"), window(None, 1880, 1920), "weak"),
        maker("one", None, window(1900, 1905, 1930), common="often"),
    )
    at = Situation(
        base,
        (seen("f0", "v"), seen("f1", "v", "fair")),
        MarkEvidence("x", (MarkHypothesis("one", "a", -1.0),), -3.0),
        0.8,
        False,
    )
    weights, rows, clues, (kind,) = tables(at)
    network = models.DiscreteBayesianNetwork([("h", "y"), ("y", "c0"), ("y", "c1")])
    n = len(GRID)
    cpds = [
        TabularCPD("h", 2, (weights / weights.sum())[:, None]),
        TabularCPD("y", n, (rows * kind.prior).T, ["h"], [2]),
    ]
    for position, each in enumerate(clues):
        fates = brute.part_table([each], {})  # right or misread, fate, year
        branch = np.vstack([fates[0], fates[1].sum(axis=0, keepdims=True)])
        branch /= branch.sum(axis=0).max()  # a network holds chances, so none above 1
        unseen = 1 - branch.sum(axis=0, keepdims=True)
        table = np.vstack([branch, unseen])
        cpds.append(TabularCPD(f"c{position}", 5, table, ["y"], [n]))
    network.add_cpds(*cpds)
    # `seen` is any of the four branches: put them together by virtual evidence.
    virtual = [TabularCPD(f"c{n}", 5, [[1], [1], [1], [1], [0]]) for n in (0, 1)]
    asked = VariableElimination(network)
    by_year = asked.query(["y"], virtual_evidence=virtual, show_progress=False).values
    by_hypothesis = asked.query(["h"], virtual_evidence=virtual, show_progress=False).values

    found = reading(at)

    assert np.array(found.date.curve) == pytest.approx(by_year, abs=1e-9)
    shares = {each.maker: each.probability for each in found.makers}
    assert shares[""] == pytest.approx(by_hypothesis[0], abs=1e-9)
    assert shares["one"] == pytest.approx(by_hypothesis[1], abs=1e-9)


def test_marks_speak_of_the_years_apart_from_all_else() -> None:
    """Σ weight × years(h) over the years given, as numpy has it for whole tables."""
    years = curve_of(np.linspace(1.0, 3.0, GRID.size).tolist())
    used = np.full(GRID.size, 0.2)
    used[190:200] += 6.0
    ours = by_marks(
        years,
        [
            Hypothesis("a", "b", -700.0, Spell(0.2, 190, (6.0,) * 10)),
            Hypothesis("", "", -702.5, None),
        ],
    )
    whole = np.array(years.table) * (used + np.exp(-2.5))
    assert np.array(ours) == pytest.approx(whole)
