"""The wear model: its dynamic programming against an enumeration of all that can happen."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from math import exp, log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case
from worn_marks import WORN, WORN_MODEL, rates

from markrules.marks.alignment import align
from markrules.marks.lanes import STEPS, rough_costs
from markrules.marks.letters import ALPHABET
from markrules.marks.likelihood import log_likelihood, log_likelihoods, mixed_log_likelihoods
from markrules.marks.reading_syntax import parse
from markrules.marks.wear import UNREAD_CHANCE, WearModel, compiled

RATES = rates(
    misread=0.2,
    missing=0.07,
    missing_on=0.4,
    spurious=0.3,
    doubled=0.05,
    merged=0.3,
    parted=0.2,
    head_lost=0.15,
    tail_lost=0.25,
    run_on=0.6,
    swapped=0.12,
    by_ear=0.04,
    ear_joined=0.11,
    ear_parted=0.09,
)
TINY = WearModel(
    {"A": {"B": 0.7, "C": 0.3}, "B": {"A": 1.0}, "C": {"A": 0.5, "B": 0.5}},
    {"AB": {"C": 0.6}, "BB": {"A": 0.5}, "CA": {"B": 0.4}},
    RATES,
    sounds=("AB",),
    heard={"CB": "A"},
    mute="C",
)
LONGEST = 4


def not_one_for_one(pair: str) -> Iterator[tuple[int, str, str, float]]:
    """Two letters read as one, one as two, two in the other order: the letters of the mark used,
    what is read, whether the reading ends so, and the chance. First by their looks, then by ear: a
    double, a pair heard as one letter, and a mute last letter, lost and put in.
    """
    for letter, share in TINY.merges.get(pair, {}).items():
        yield 2, letter, "merged", share * RATES.merged
    for spelt, letters in TINY.merges.items():
        if pair[0] in letters:
            yield 1, spelt, "merged", letters[pair[0]] * RATES.parted
    if len(pair) == 2 and pair[0] != pair[1]:
        yield 2, pair[::-1], "merged", RATES.swapped
    singles = {"AA": "A", "BB": "B", "CC": "C", "CB": "A"}
    if pair in singles:
        yield 2, singles[pair], "merged", RATES.ear_joined
    if pair in ("AC", "BC"):
        yield 2, pair[0], "end", RATES.ear_joined
    for spelt, single in singles.items():
        if single == pair[0]:
            yield 1, spelt, "merged", RATES.ear_parted
    if pair[0] != "C":
        yield 1, pair[0] + "C", "end", RATES.ear_parted


def enumerated(mark: str) -> dict[str, float]:
    """P(reading | mark) for every reading of at most LONGEST letters of A, B and C.

    Follows the process of `wear` event by event, forwards: nothing here is shared with the
    dynamic programming but the shares of single misreadings.
    """
    found: dict[str, float] = defaultdict(float)

    def lost(first: float, letters: int) -> float:
        return first * (1 - RATES.run_on) * RATES.run_on ** (letters - 1)

    def ended(at: int, read: str, after: str, chance: float) -> None:
        """Behind the last letter read: the others are missing, or lost with the tail."""
        left = len(mark) - at
        found[read] += chance * (lost(RATES.tail_lost, left) if left else 1 - RATES.tail_lost)
        if left:
            gone = RATES.missing_on if after == "missing" else RATES.missing
            ended(at + 1, read, "missing", chance * gone)

    def go_on(at: int, read: str, after: str, chance: float) -> None:
        if after == "end":
            ended(at, read, after, chance)
            return
        left = len(mark) - at
        found[read] += chance * (lost(RATES.tail_lost, left) if left else 1 - RATES.tail_lost)
        if len(read) < LONGEST and after != "merged":
            for letter in "ABC":
                again = bool(read) and read[-1] == letter
                spurious = RATES.spurious / len(ALPHABET) + (RATES.doubled if again else 0.0)
                go_on(at, read + letter, "spurious", chance * spurious)
        if not left:
            return
        struck = mark[at]
        for used, spelt, kind, share in not_one_for_one(mark[at : at + 2]):
            if len(read + spelt) <= LONGEST:
                go_on(at + used, read + spelt, kind, chance * share)
        if read:
            gone = RATES.missing_on if after == "missing" else RATES.missing
            go_on(at + 1, read, "missing", chance * gone)
        if len(read) < LONGEST:
            whole = 1 - RATES.missing - RATES.spurious
            for letter in "ABC":
                shown = TINY.read_as(struck)[letter]
                go_on(at + 1, read + letter, "read", chance * whole * shown)

    for start in range(len(mark) + 1):
        begun = lost(RATES.head_lost, start) if start else 1 - RATES.head_lost
        go_on(start, "", "start", begun)
    return found


@every_case("mark", ["A", "AB", "BB", "CA", "ABC", "CAB", "BBA", "ABBC"])
def test_the_sum_over_all_ways_is_exact(mark: str) -> None:
    for reading, chance in enumerated(mark).items():
        if reading:
            found = exp(log_likelihood(compiled(TINY, parse(reading).cells), mark))
            assert found == pytest.approx(chance, rel=1e-9), reading


@pytest.mark.parametrize("length", [0, 1, 3])
def test_a_gap_stands_for_a_run_of_any_length(length: int) -> None:
    """By hand, with nothing else that can happen: A is read, and each letter after it is not."""
    sure = rates(misread=0.2, missing=0, spurious=0, doubled=0, head_lost=0, tail_lost=0)
    reading = compiled(WearModel(TINY.confusions, {}, sure), parse("A...").cells)

    found = exp(log_likelihood(reading, "A" + "C" * length))

    assert found == pytest.approx(0.8 * sure.gap_on**length)


letters = st.text(alphabet="ABCDEFGHIJKLMNOPRSTUVW", min_size=1, max_size=9)
readings = st.text(alphabet="ABCDEFGHIJKLMNOPRSTUVW?*", min_size=1, max_size=8).filter(
    lambda text: text.strip("?*")
)


@given(readings, st.lists(letters, min_size=1, max_size=6))
@settings(max_examples=samples(60))
def test_scoring_many_marks_gives_what_scoring_each_gives(reading: str, marks: list[str]) -> None:
    ready = compiled(WORN_MODEL, parse(reading).cells)

    assert list(log_likelihoods(ready, sorted(marks))) == [
        log_likelihood(ready, mark) for mark in sorted(marks)
    ]


@given(readings, letters)
@settings(max_examples=samples(150))
def test_the_best_way_is_one_of_all_ways(reading: str, mark: str) -> None:
    ready = compiled(WORN_MODEL, parse(reading).cells)
    aligned = align(ready, mark)

    assert aligned.log_chance <= log_likelihood(ready, mark) + 1e-9
    assert "".join(step.struck for step in aligned.steps) == mark
    shown = [step.read for step in aligned.steps if step.read and step.read != "…"]
    assert "".join(shown) == reading.replace("*", "")


@given(readings, st.lists(letters, min_size=1, max_size=30))
@settings(max_examples=samples(100))
def test_the_rough_cost_is_that_of_the_best_way(reading: str, marks: list[str]) -> None:
    """Without letters merged or swapped, which it leaves out, up to rounding of each step."""
    plain = WearModel(WORN_MODEL.confusions, {}, rates(swapped=0, ear_joined=0, ear_parted=0))
    ready = compiled(plain, parse(reading).cells)

    for mark, cost in zip(marks, rough_costs(ready, marks), strict=True):
        steps = len(mark) + len(ready.cells) + 2
        assert abs(cost / STEPS + align(ready, mark).log_chance) <= steps * 0.5 / STEPS + 1e-9


def test_a_letter_of_another_alphabet_costs_as_one_unknown_and_moves_no_other_text() -> None:
    ready = compiled(WORN_MODEL, parse("?RIF...").cells)
    plain = ["TRIFARI", "T?IFARI", "NAPIER", "RI"]
    # The last letter is written with two units of two bytes: it must not take its neighbour's.
    for strange in ("TÉIFARI", "TЖIFARI", "T\U0001d5d7IFARI"):
        texts = [plain[0], strange, *plain[2:]]
        assert rough_costs(ready, texts) == rough_costs(ready, plain)


def test_misreadings_of_a_letter_sum_to_one() -> None:
    model = WORN_MODEL
    for letter in ALPHABET:
        assert sum(model.read_as(letter).values()) == pytest.approx(1)


@every_case(
    ("read", "struck"),
    [
        ("C", "G"),
        ("O", "Q"),
        ("I", "T"),
        ("F", "E"),
        ("N", "M"),
        ("V", "Y"),
        ("P", "R"),
        ("5", "S"),
    ],
)
def test_measured_look_alikes_are_those_that_engravers_name(read: str, struck: str) -> None:
    """Look-alike groups as letter cutters and sign readers name them: C G O Q, I L T, E F, M N,
    U V Y, B R P, S 5. Common practice, no source. Each must be far likelier than by chance.
    """
    model = WORN_MODEL

    assert model.read_as(struck)[read] > 2 * model.rates.misread / len(ALPHABET)


def test_two_letters_in_the_other_order_are_likelier_than_two_misread_and_are_told_so() -> None:
    ready = compiled(WORN_MODEL, parse("NAPEIR").cells)

    assert log_likelihood(ready, "NAPIER") > log_likelihood(ready, "NAPBUR") + log(5)
    assert [each.sign for each in align(ready, "NAPIER").steps] == ["|", "|", "|", "x", "|"]


@pytest.mark.parametrize(("reading", "more"), [("NAPIER?", True), ("NAP?ER?", False)])
def test_a_single_query_behind_the_last_letter_may_be_a_word_of_doubt(
    reading: str, more: bool
) -> None:
    """By the rates alone: the place is no letter with 40%, and with 3% where others are unread."""
    place = compiled(WORN_MODEL, parse(reading).cells).inserted[-1]

    assert place == pytest.approx((0.4 if more else 0.03) * UNREAD_CHANCE)


def test_what_befell_a_mark_is_summed_over_its_kinds_and_not_mixed_letter_by_letter() -> None:
    """By hand: P = 3/4 of one model's chance and 1/4 of the other's."""
    sharp = WORN_MODEL.with_rates(rates(misread=0.001))
    worn = WORN_MODEL.with_rates(rates(misread=0.3))
    both = WORN_MODEL.with_rates(sharp.rates, (0.25, worn))
    cells = parse("NAPYFR").cells
    readings = [(share, compiled(model, cells)) for share, model in both.shares]

    (found,) = mixed_log_likelihoods(readings, ["NAPIER"])

    each = [exp(log_likelihood(compiled(model, cells), "NAPIER")) for model in (sharp, worn)]
    assert exp(found) == pytest.approx(0.75 * each[0] + 0.25 * each[1])
    assert both.most_worn is worn
    assert [share for share, _ in both.shares] == [0.75, 0.25]


@every_case(("read", "struck"), [("M", "RN"), ("W", "VV"), ("D", "CL"), ("U", "LI")])
def test_letters_run_together_are_known(read: str, struck: str) -> None:
    model = WORN_MODEL
    whole = compiled(model, parse(f"BA{read}ON").cells)
    wrong = compiled(model, parse("BASON").cells)

    assert log_likelihood(whole, f"BA{struck}ON") > log_likelihood(wrong, f"BA{struck}ON") + log(5)


def test_a_doubled_strike_is_likelier_than_another_letter_too_many() -> None:
    model = WORN_MODEL
    doubled = log_likelihood(compiled(model, parse("BARRON").cells), "BARON")
    other = log_likelihood(compiled(model, parse("BARKON").cells), "BARON")

    assert doubled > other + 1


def test_a_letter_is_read_as_something_whatever_the_tables_tell_of_it() -> None:
    """Of A nothing is told, of B that it is read as C, and of C that it is read as A and B."""
    model = WearModel({"B": {"C": 2.0}, "C": {"A": 1.0, "B": 3.0}}, {}, WORN)
    wear, others = model.rates, len(ALPHABET) - 1
    for struck in ALPHABET:
        assert sum(model.read_as(struck).values()) == pytest.approx(1)
        assert model.read_as(struck)[struck] == pytest.approx(1 - wear.misread)

    anything = wear.any_letter / others
    told = 1 - wear.any_letter - wear.turned_about
    # B: all that the table tells goes to C, all that it tells turned about comes from C.
    assert model.read_as("B")["C"] == pytest.approx(wear.misread * (1 - wear.any_letter + anything))
    assert model.read_as("B")["Z"] == pytest.approx(wear.misread * anything)
    # A: no row of its own, so what is left is scaled up to the whole of its misreadings.
    left = 1 - told
    assert model.read_as("A")["Z"] == pytest.approx(wear.misread * anything / left)


def test_rates_between_two_are_weighed_and_shares_by_what_they_are_shares_of() -> None:
    fine = rates(misread=0.02, missing=0.01, any_letter=0.5, turned_about=0.1)
    worn = rates(misread=0.10, missing=0.05, any_letter=0.1, turned_about=0.4)
    mixed = fine.towards(worn, 0.25)

    assert mixed.misread == pytest.approx(0.75 * 0.02 + 0.25 * 0.10)
    assert mixed.missing == pytest.approx(0.75 * 0.01 + 0.25 * 0.05)
    # The misreadings that the tables do not tell, as so many of all: 0.0075 + 0.0025 of 0.04.
    assert mixed.any_letter == pytest.approx((0.75 * 0.02 * 0.5 + 0.25 * 0.10 * 0.1) / 0.04)
    assert mixed.turned_about == pytest.approx((0.75 * 0.02 * 0.1 + 0.25 * 0.10 * 0.4) / 0.04)
    assert fine.towards(worn, 0) == fine
    assert fine.towards(worn, 1).turned_about == pytest.approx(worn.turned_about)


def test_rarer_wear_keeps_the_shares_and_the_lengths_of_runs() -> None:
    rarer = WORN.rarer(0.1)
    for name in ("misread", "missing", "spurious", "doubled", "merged", "parted", "swapped"):
        assert getattr(rarer, name) == pytest.approx(0.1 * getattr(WORN, name)), name
    for name in ("head_lost", "tail_lost"):
        assert getattr(rarer, name) == pytest.approx(0.1 * getattr(WORN, name)), name
    for name in ("missing_on", "run_on", "gap_on", "any_letter", "turned_about", "no_letter"):
        assert getattr(rarer, name) == getattr(WORN, name), name
