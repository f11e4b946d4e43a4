"""What the next look is worth, against counting every outcome, maker and year."""

from __future__ import annotations

import inference_brute as brute
import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from inference_building import HILL, base_of, clue, feature, maker, names, seen, sees, window
from samples import samples
from shipped_base import shipped_reader
from test_windows import windows

from markrules.inference.engine import Model, read
from markrules.inference.looktable import (
    at_most,
    gain_at_once,
    information_gain,
    look_table,
    value_shares,
)
from markrules.inference.products import Over
from markrules.inference.reading import NextLook, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.language.spans import Named
from markrules.language.tree import EFFORTS, Clue, Family, Feature, Piece, Setting, Value
from markrules.reading.reader import Request

NOTES = (
    "brooch",
    "brooch, C catch, marked STERLING",
    "earrings, screw backs, prong set, rhinestones",
    "necklace, lobster claw, acrylic beads",
    "bracelet, hinged, safety chain, gold filled, engraved",
    "ring, 14K, cathedral setting, cubic zirconia",
    "locket, black enamel, seed pearls, tube hinge",
    "pin, rollover catch, pot metal, enamel, pavé, unmarked",
)
GRID = np.arange(1750, 2027, dtype=float)
EVERY_GAIN = Setting("next-least", 0.0)


def gains(base: KnowledgeBase, *given_seen, **how) -> dict[str, float]:
    found = read(Model(base, 2026), given_seen, next_looks=100, **how)
    return {each.feature: each.gain_bits for each in found.next}


def likelihood(of: Clue, prior: np.ndarray, misread: float, refit: float, weight: float):
    emission = brute.emission(of.made, None, prior, GRID)
    each = brute.BruteClue(emission, misread, refit, 0.0, 1.0, np.ones(1), of.name, "")
    return brute.part_table([each], {}).sum(axis=(0, 1)) ** weight


@settings(max_examples=samples(60))
@given(
    st.lists(windows(), min_size=1, max_size=4),
    st.lists(st.none() | st.floats(0.05, 0.3), min_size=5, max_size=5),
    windows(),
    st.sampled_from([0.0, 0.12, 0.5]),
)
def test_the_gain_is_the_mutual_information_counted_out(given_windows, shares, other, refit):
    assume(all(brute.suits(each, GRID).any() for each in [*given_windows, other]))
    looked = Feature(
        "looked",
        values=tuple(Value(f"v{n}", share=share) for n, share in enumerate(shares)),
        refit=refit,
    )
    clues = [
        clue(f"c{n}", sees("looked", f"v{n}"), made, "moderate")
        for n, made in enumerate(given_windows)
    ]
    base = base_of(
        HILL, EVERY_GAIN, looked, *clues, feature("f", "v"), clue("c", sees("f", "v"), other)
    )
    prior = brute.prior_weights(HILL, GRID)
    wrong = 1 - 0.85 * 0.99
    says = [likelihood(each, prior, wrong, refit, 1.0) for each in clues]
    says += [np.ones_like(GRID)] * (5 - len(clues))
    table = np.array(value_shares(looked.values))[:, None] * np.array(says)
    table /= table.sum(axis=0)
    curve = np.array(read(Model(base, 2026), [seen("f", "v")], next_looks=0).date.curve)

    expected = brute.mutual_information(table * curve)

    assert gains(base, seen("f", "v"))["looked"] == pytest.approx(expected, abs=1e-9)


def test_what_a_family_said_already_lessens_the_gain() -> None:
    made = window(1900, 1905, 1930, 1940)
    base = base_of(
        HILL,
        EVERY_GAIN,
        Family("style", 0.5),
        feature("first", "v"),
        feature("second", "v", "w"),
        clue("one", sees("first", "v"), window(1850), family="style"),
        clue("two", sees("second", "v"), made, family="style"),
    )
    prior = brute.prior_weights(HILL, GRID)
    curve = np.array(read(Model(base, 2026), [seen("first", "v")], next_looks=0).date.curve)
    # One clue of the family has fired, so the next keeps 1 / (1 + 0.5) of its weight: 0.67.
    says = likelihood(base.clues["two"], prior, 1 - 0.94 * 0.99, 0.0, 0.67)
    table = 0.5 * np.array([says, np.ones_like(GRID)])
    table /= table.sum(axis=0)

    expected = brute.mutual_information(table * curve)

    assert gains(base, seen("first", "v"))["second"] == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("observed", [(), (seen("f", "v"),)])
def test_the_gain_of_looking_for_a_mark_counts_every_variant_and_year(observed) -> None:
    base = base_of(
        HILL,
        feature("mark"),
        feature("f", "v"),
        clue("c", sees("f", "v"), window(1900, 1905, 1930), points=("two",)),
        maker("one", window(1880, None, None, 1920), None, window(1900, 1905), common="often"),
        maker("two", None, window(1925), None, None, common="seldom"),
    )
    prior = brute.prior_weights(HILL, GRID)
    built = prior * (likelihood(base.clues["c"], prior, 1 - 0.94 * 0.99, 0, 1) if observed else 1)
    rows, weights = [prior], [30.0]
    for each in base.makers.values():
        shares = brute.variant_shares(each, prior, GRID)
        for variant in each.marks:
            own = prior * brute.mark_years(variant.used, each.works, GRID)
            rows.append(0.85 * own / own.sum() + 0.15 * prior)
            pointed = (1 - 0.0694) / 0.0694 if observed and each.name == "two" else 1.0
            common = {"often": 8, "seldom": 1}[each.common.name]
            weights.append(common * shares[variant.name] * pointed)
    joint = np.array(weights)[:, None] * np.array(rows) * (built / prior)
    joint /= joint.sum()
    # Each variant shows its mark with the chance 0.3; else, and for the unknown, there is none.
    shown = np.vstack([np.zeros(len(joint) - 1), 0.3 * np.eye(len(joint) - 1)])
    outcomes = np.hstack([shown, 1 - shown.sum(axis=1, keepdims=True)])
    table = np.einsum("hy,hv->vhy", joint, outcomes).reshape(outcomes.shape[1], -1)

    expected = brute.mutual_information(table)

    assert gains(base, *observed)["mark"] == pytest.approx(expected, abs=1e-9)


def asking(*features: Feature, **of_clues) -> KnowledgeBase:
    clues = [
        clue(f"c-{each.name}", sees(each.name, "v"), window(1900, 1905, 1930), **of_clues)
        for each in features
    ]
    pieces = (Piece("ornament"), Piece("brooch", under=Named("ornament")), Piece("ring"))
    return base_of(HILL, *features, *clues, *pieces)


def test_only_features_of_the_piece_type_or_a_broader_one_are_asked() -> None:
    base = asking(
        feature("any", "v", "w"),
        feature("broad", "v", "w", on=names("ornament")),
        feature("pin", "v", "w", on=names("brooch")),
        feature("shank", "v", "w", on=names("ring")),
    )

    assert set(gains(base, piece_type="brooch")) == {"any", "broad", "pin"}


def test_what_was_seen_looked_for_or_left_out_is_not_asked_again() -> None:
    base = asking(*(feature(name, "v", "w") for name in "abcd"))
    looked = (seen("a", "w"), seen("b", "", state="absent"), seen("c", "v", heard=True))

    assert set(gains(base, *looked, without=("d",))) == {"c"}


def test_a_feature_that_only_describes_is_not_asked() -> None:
    assert gains(asking(feature("colour", "v", "w", describes=True))) == {}


def test_a_look_that_tells_nothing_is_not_asked() -> None:
    base = base_of(HILL, feature("f", "v", "w"), clue("c", sees("f", "v"), window(), "strong"))

    assert gains(base) == {}


def test_of_looks_worth_the_same_the_easier_comes_first() -> None:
    base = asking(
        feature("a", "v", "w", effort="tool"),
        feature("b", "v", "w", effort="close"),
        feature("c", "v", "w", effort="glance"),
    )

    assert list(gains(base)) == ["c", "b", "a"]


def test_a_look_comes_with_its_question() -> None:
    base = base_of(
        HILL,
        Feature("f", ask="What holds it?", look="On the back.", values=(Value("v"), Value("w"))),
        clue("c", sees("f", "v"), window(1900, 1905, 1930)),
    )

    (first,) = read(Model(base, 2026), []).next

    assert (first.ask, first.look, first.effort) == ("What holds it?", "On the back.", "glance")


def test_as_many_looks_are_proposed_as_were_asked_for() -> None:
    base = asking(*(feature(name, "v", "w") for name in "abcdefg"))

    def proposed(count: int) -> Reading:
        return read(Model(base, 2026), [], next_looks=count)

    assert [len(proposed(count).next) for count in (0, 3, 100)] == [0, 3, 7]


@settings(max_examples=samples(100))
@given(st.data())
def test_the_bound_of_a_gain_is_never_below_it(data) -> None:
    """Against counting out I(V; Y) with numpy; equal where the curve is what Q was made of."""
    years, values = data.draw(st.integers(4, 40)), data.draw(st.integers(2, 5))
    part = st.floats(0.01, 1.0)
    draw = np.random.default_rng(data.draw(st.integers(0, 2**32))).uniform
    shown = [(data.draw(part), tuple(draw(0.02, 3.0, years))) for _ in range(values)]
    table = look_table(shown, years)
    reference = tuple(draw(0.1, 1.0, years))
    start = data.draw(st.integers(0, years - 2))
    near = range(start, data.draw(st.integers(start + 1, years)))
    bound = np.array(at_most(table, reference, near))

    def counted(curve: np.ndarray) -> float:
        weighed = np.array([share * np.array(each) for share, each in shown])
        joint = weighed / weighed.sum(axis=0) * curve
        return float((joint * np.log2(joint / np.outer(joint.sum(axis=1), curve))).sum())

    anywhere = draw(0.001, 1.0, years)
    anywhere /= anywhere.sum()
    assert bound @ anywhere >= counted(anywhere) - 1e-12

    there = np.zeros(years)
    there[near.start : near.stop] = reference[near.start : near.stop]
    there /= there.sum()
    some = there > 0
    weighed = np.array([share * np.array(each) for share, each in shown])[:, some]
    joint = weighed / weighed.sum(axis=0) * there[some]
    gain = (joint * np.log2(joint / np.outer(joint.sum(axis=1), there[some]))).sum()
    assert bound @ there == pytest.approx(gain, abs=1e-9)


@settings(max_examples=samples(100))
@given(st.data())
def test_a_gain_is_the_same_at_once_and_from_its_table(data) -> None:
    """Against counting out I(V; Y) with numpy."""
    years, values = data.draw(st.integers(6, 300)), data.draw(st.integers(2, 5))
    draw = np.random.default_rng(data.draw(st.integers(0, 2**32))).uniform
    silent = data.draw(st.booleans())
    shown = [(draw(0.01, 1.0), tuple(draw(0.02, 3.0, years))) for _ in range(values)]
    if silent:
        shown[0] = (shown[0][0], None)
    start = data.draw(st.integers(0, years - 3))
    near = slice(start, data.draw(st.integers(start + 2, years - 1)))
    curve = draw(1e-7, 1e-5, years)
    curve[near] += draw(0.1, 1.0, near.stop - near.start)
    curve /= curve.sum()

    tables = [np.ones(years) if each is None else np.array(each) for _, each in shown]
    weighed = np.array([share * each for (share, _), each in zip(shown, tables, strict=True)])
    joint = weighed / weighed.sum(axis=0) * curve
    counted = (joint * np.log2(joint / np.outer(joint.sum(axis=1), curve))).sum()

    assert gain_at_once(shown, tuple(curve)) == pytest.approx(counted, abs=1e-9)
    gain = information_gain(look_table(shown, years), Over(curve))
    assert gain == pytest.approx(counted, abs=1e-12)


def test_the_best_few_looks_are_the_first_of_all() -> None:
    """What is left out by its bound is not among the best: each gain, worked out, says the same."""
    reader = shipped_reader()
    cost = reader.base.setting("answer-cost", 0.0)

    def worth(each: NextLook) -> float:
        return each.worth + cost * (1 + EFFORTS.index(each.effort or "glance"))

    for note in NOTES:
        every = reader.read(Request(note, next_looks=1000)).next
        assert list(every) == sorted(every, key=lambda each: (-worth(each), each.feature))
        for count in (1, 3, 5):
            assert reader.read(Request(note, next_looks=count)).next == every[:count]
