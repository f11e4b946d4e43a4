"""The model of names in no list: its chances are chances, and the forward pass sums them."""

from __future__ import annotations

from importlib import resources
from math import exp, log, prod

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shipped_base import shipped_base
from together import every_case
from worn_marks import UNLISTED, WORN_MODEL, rates

from markrules.marks.letters import ALPHABET
from markrules.marks.name_model import END, SIGNS, START, NameModel, packed, shipped_name_model
from markrules.marks.reading_syntax import Cell, parse
from markrules.marks.search import build_small
from markrules.marks.unlisted import over_gap, shared_initials, unlisted_log_likelihood
from markrules.marks.usual_names import PARTS, usual_name
from markrules.marks.wear import UNREAD_CHANCE, WearModel

NAMES = shipped_name_model()
SHARP = WORN_MODEL.with_rates(
    rates(misread=1e-9, missing=0, spurious=0, doubled=0, head_lost=0, tail_lost=0, by_ear=0)
)
words = st.text(alphabet=ALPHABET, max_size=6)


def chance(text: str, wear: WearModel = SHARP) -> float:
    read: list[tuple[Cell, ...]] = [token.cells for token in parse(text).tokens]
    return exp(unlisted_log_likelihood(NAMES, wear, UNLISTED, read))


@given(words)
def test_every_row_is_a_distribution(before: str) -> None:
    for run in (before, START + before):
        row = NAMES.row(run)
        assert len(row) == len(SIGNS)
        assert all(each > 0 for each in row)
        assert sum(row) == pytest.approx(1)


def test_a_word_is_the_product_of_its_letters() -> None:
    letters = "NOVAK"
    runs = [START + letters[:at] for at in range(len(letters) + 1)]
    chances = [NAMES.row(run)[SIGNS.index(a)] for run, a in zip(runs, letters + END, strict=True)]

    assert NAMES.word(letters) == pytest.approx(prod(chances))


@given(st.text(alphabet="ABCDEFGHIJKLMNOPRSTUVWY", min_size=4, max_size=9))
@settings(max_examples=40, deadline=None)
def test_a_word_read_in_full_has_its_own_chance(letters: str) -> None:
    initials = UNLISTED.initials_long(len(letters)) / 26 ** len(letters)
    named = UNLISTED.usual_names
    name = (1 - named) * NAMES.word(letters) + named * usual_name(letters)
    word = (1 - UNLISTED.initials) * name + UNLISTED.initials * initials
    expected = (1 - UNLISTED.another_word) * word

    assert chance(letters) == pytest.approx(expected, rel=1e-3)


def test_a_common_surname_is_expected_as_often_as_people_bear_it() -> None:
    listed = resources.files("markrules.marks").joinpath("usual_names.txt").read_text("ascii")
    numbers = [int(line.split()[1]) for line in listed.splitlines()]

    assert numbers == sorted(numbers, reverse=True)
    assert 0.5 < sum(numbers) / PARTS < 1
    for line in listed.splitlines()[::500]:
        name, number = line.split()
        assert usual_name(name) == pytest.approx(int(number) / PARTS)
        assert usual_name(name[:-1] + "QX") == usual_name(name.casefold()) == 0
    assert usual_name("") == usual_name("SMITH 1") == usual_name("SMITH\n") == 0
    assert chance("SMITH") > UNLISTED.usual_names * usual_name("SMITH") / 2


@pytest.mark.parametrize("text", ["NOV?K", "?ELLER", "BAKE?"])
def test_a_letter_unread_is_the_sum_over_the_letters_it_may_be(text: str) -> None:
    """Up to what is followed up: runs that are too unlikely go on as runs of which nothing is
    known."""
    every = sum(NAMES.word(text.replace("?", letter)) for letter in ALPHABET)
    expected = (1 - UNLISTED.another_word) * (1 - UNLISTED.initials) * every * UNREAD_CHANCE

    assert chance(text) == pytest.approx(expected, rel=0.35)


def test_what_may_follow_a_gap_is_the_sum_over_every_run_that_may_be_gone() -> None:
    """Letter by letter: each stays in its word or, where that ended, begins a further one."""
    goes_on, gap_on, longest = 1 - NAMES.row("")[SIGNS.index(END)], 0.9, 600
    middle, started = [1.0], []
    for _ in range(longest):
        started.append(middle[-1] * (1 - goes_on) * UNLISTED.another_word)
        middle.append(middle[-1] * goes_on * gap_on + started[-1] * gap_on)

    after = over_gap(1.0, goes_on, gap_on, UNLISTED.another_word)

    assert after[""] == pytest.approx(sum(middle))
    assert after[START] == pytest.approx(sum(started))


def test_a_whole_name_may_be_the_second_word_of_which_the_first_is_gone() -> None:
    alone, within = chance("...WERNER"), chance("...ERNERW")

    assert alone > 20 * within


def test_letters_that_a_doubtful_place_may_be_are_weighed() -> None:
    expected = 0.5 * (chance("MARTIN") + chance("MARTEN"))

    assert chance("MART[IE]N") == pytest.approx(expected, rel=0.05)


def test_names_are_likelier_than_letters_in_disorder() -> None:
    for name in ("NOVAK", "GRANDSTAFF", "WEATHERBY", "KOWALCZYK"):
        consonants_first = "".join(sorted(name, key="AEIOUY".find))
        assert NAMES.word(name) > 50 * NAMES.word(consonants_first)


def test_what_is_packed_is_read_again() -> None:
    model = NameModel(packed({"": {"A": 0.5, END: 0.3}, "^": {"A": 0.9}, "^A": {END: 0.8}}))

    assert model.row("")[SIGNS.index("A")] == pytest.approx(
        0.5 + 0.2 / len(SIGNS), rel=0.03
    )  # a byte each
    assert model.row(START)[SIGNS.index("A")] > 0.9
    assert model.word("A") > 0.6


def test_rates_move_from_in_full_towards_in_part() -> None:
    full = rates(misread=0.001, any_letter=0.8, tail_lost=0.0)
    worn = rates(misread=0.08, any_letter=0.25, tail_lost=0.12)
    half = full.towards(worn, 0.5)

    assert full.towards(worn, 0.0) == full
    assert full.towards(worn, 1.0) == worn
    assert half.tail_lost == pytest.approx(0.06)
    assert half.misread * half.any_letter == pytest.approx(0.5 * (0.001 * 0.8 + 0.08 * 0.25))
    assert full.rarer(0.5).misread == pytest.approx(0.0005)
    assert log(full.rarer(0.5).any_letter) == pytest.approx(log(0.8))


def words_of(text: str) -> list[tuple[Cell, ...]]:
    return [token.cells for token in parse(text).tokens if token.cells]


@every_case(
    ("text", "chance"),
    [
        ("AC", 0.8 / 468),
        ("A C", 0.8 / 468),
        ("A & C", 0.2 / 122),
        ("A&C", 0.2 / 122),
        ("ABC", 0.0),
        ("A", 0.0),
        ("A...", 0.0),
        ("?C", 0.0),
    ],
)
def test_two_letters_are_shared_as_often_as_makers_coincide(text: str, chance: float) -> None:
    unworn = WORN_MODEL.with_rates(
        rates(misread=1e-9, missing=0.0, spurious=0.0, doubled=0.0, merged=0.0, by_ear=0.0)
    )

    assert shared_initials(NAMES, unworn, UNLISTED, words_of(text)) == pytest.approx(
        chance, rel=1e-4
    )


def test_two_letters_name_nobody_for_sure() -> None:
    """Of two letters that one maker alone has in the list, a maker seldom met is not made sure; who
    is met often is still likelier than who is not listed."""
    search = build_small(shipped_base())
    pairs: dict[str, dict[str, float]] = {}
    for entry in search.marks.entries:
        letters = entry.own.replace("&", "")
        if len(letters) == 2 and letters.isascii() and letters.isalpha() and not entry.symbol:
            makers = pairs.setdefault(entry.own, {})
            makers[entry.maker] = makers.get(entry.maker, 0.0) + entry.weight
    alone = {own: next(iter(makers.values())) for own, makers in pairs.items() if len(makers) == 1}
    # Another maker may sign with the same letters beside a symbol: the share of this one counts.
    sure = {
        own: sum(r.probability for r in search.search(own).results if r.maker in pairs[own])
        for own in alone
    }

    seldom = [sure[own] for own, weight in alone.items() if weight <= 1]
    # CO is the abbreviation of a company before it is anybody's initials.
    often = [sure[own] for own, weight in alone.items() if weight >= 4 and own != "CO"]
    assert len(seldom) >= 20
    assert max(seldom) < 0.8  # what counts as sure in the benchmark of reach
    assert len(often) >= 5
    assert min(often) > 0.5


def test_a_worn_word_is_one_way_among_others() -> None:
    """A head may be that of a word that stands on anybody's piece; a long and rare such word takes
    no name away, and a common one that is nearly whole leaves none."""
    search = build_small(shipped_base())

    name = search.search("ANTI...")
    word = search.search("STERL...")

    assert name.results[0].maker == "antica-murrina"
    assert name.results[0].probability > name.none_of_these
    assert word.none_of_these > 0.9


@every_case(
    "word",
    [
        *("VINTAGE", "STUDIO", "HALLMARK", "ULTRA", "CHRISTMAS", "AMSTERDAM", "BRACELET"),
        *("COMPANY", "CELTIC", "ROYAL", "DIAMOND", "SHOP", "ELIZABETH", "GEORGE", "TRADING"),
    ],
)
def test_a_word_of_many_names_tells_none_of_them(word: str) -> None:
    """Listed makers have each of these words in their names, and sign with more than the word."""
    answer = build_small(shipped_base()).search(word)

    assert answer.none_of_these > 0.5


def test_a_surname_stands_for_the_name_sooner_than_a_given_name() -> None:
    search = build_small(shipped_base())

    assert search.search("Haskell").results[0].probability > 0.9
    assert search.search("Miriam").none_of_these > 0.5


@pytest.mark.parametrize(
    ("text", "maker"),
    [("Boucher 7845P", "boucher"), ("Ciner N12", "ciner"), ("NAPIER 5012A", "napier")],
)
def test_a_style_number_with_a_letter_stands_beside_the_name(text: str, maker: str) -> None:
    first = build_small(shipped_base()).search(text).results[0]

    assert first.maker == maker
    assert first.probability > 0.95


@every_case("code", ["TM-101", "TC-32", "TA-71", "XB 4"])
def test_letters_and_a_number_of_no_list_are_a_code_of_nobody_known(code: str) -> None:
    assert build_small(shipped_base()).search(code).none_of_these > 0.9


def test_a_code_of_a_listed_mark_stays_its_own() -> None:
    assert build_small(shipped_base()).search("VINTAGE H73").results[0].maker == "heirloom-73"
