"""Where words part bears on whose mark a reading is; where anything parts them, it does not."""

from __future__ import annotations

from math import exp, log

import pytest
from shipped_base import shipped_base
from together import every_case

from markrules.marks.context import division_rates
from markrules.marks.divisions import Divisions, divisions_of, divisions_read
from markrules.marks.entries import apart
from markrules.marks.kept import kept_vocabulary
from markrules.marks.reading_syntax import parse
from markrules.marks.search import MarkSearch, build_small


@pytest.fixture(scope="module")
def search() -> MarkSearch:
    return build_small(shipped_base())


@every_case(
    ("written", "sure", "most"),
    [
        ("NAPIER", 0, 0),
        ("MIRIAM HASKELL", 1, 1),
        ("JUDY-LEE", 0, 1),  # a hyphen is read as a space, or as nothing
        ("R. H. PEARSON", 0, 2),  # the dots of initials may stand close or apart
        ("R.H. PEARSON", 1, 2),
        ("WHITING & DAVIS CO", 1, 3),  # an `&` parts by itself
        ("WHITING&DAVIS", 0, 2),
        ("", 0, 0),
    ],
)
def test_a_mark_has_places_where_words_part_for_sure_and_where_they_may(
    written: str, sure: int, most: int
) -> None:
    assert divisions_of(written.split()) == Divisions(sure, most)


@every_case(
    ("read", "sure", "most"),
    [
        ("NAP?ER", 0, 0),
        ("MIRIAM HASK...", 1, 1),
        ("B PA?I", 0, 1),
        ("...E & SONS", 0, 2),
        ("WAL... ACE", 1, 1),
    ],
)
def test_a_reading_has_them_too(read: str, sure: int, most: int) -> None:
    assert divisions_read([token.cells for token in parse(read).tokens]) == Divisions(sure, most)


@every_case(
    ("read", "struck", "has_gap", "closed_up", "parted", "kept"),
    [
        ((1, 1), (1, 1), False, 0, 0, 1),
        ((0, 0), (1, 1), False, 1, 0, 0),
        ((0, 0), (1, 1), True, 0, 0, 0),  # the further word may be gone with the gap
        ((1, 1), (0, 0), False, 0, 1, 0),
        ((1, 1), (0, 1), False, 0, 0, 0),  # JUDY LEE of JUDY-LEE
        ((2, 2), (1, 1), True, 0, 1, 1),
    ],
)
def test_what_differs_costs_its_rate(
    read: tuple[int, int],
    struck: tuple[int, int],
    has_gap: bool,
    closed_up: int,
    parted: int,
    kept: int,
) -> None:
    rates = division_rates(shipped_base())
    found = exp(rates.log_likelihood(Divisions(*read), Divisions(*struck), has_gap))

    expected = rates.closed_up**closed_up * rates.parted**parted * (1 - rates.closed_up) ** kept
    assert found == pytest.approx(expected)


def test_the_makers_own_words_part_apart_from_those_beside_them() -> None:
    words = kept_vocabulary(shipped_base())
    own, whole, _, (own_parts, all_parts) = apart("MIRIAM HASKELL / STERLING", words)

    assert (own, whole) == ("MIRIAMHASKELL", "MIRIAMHASKELLSTERLING")
    assert (own_parts.sure, all_parts.sure) == (1, 2)


def test_a_reading_in_two_words_is_rather_of_a_mark_in_two(search: MarkSearch) -> None:
    """The same letters: with a space, and of a mark that is one word, rarer by the rate for it."""
    one, two = (search.search(text, 1).results[0] for text in ("TRIFAR?", "TRI FAR?"))

    assert one.maker == two.maker == "trifari"
    assert one.score - two.score == pytest.approx(-log(division_rates(shipped_base()).parted))


@every_case("text", ["...T BROS", "...E & SONS", "PILSON & ?O", "FIFE & CO", "GAYWAN BR?S"])
def test_the_words_of_firms_name_no_listed_maker(search: MarkSearch, text: str) -> None:
    """They stand on the marks of makers in no list as often as on those of listed ones."""
    first = search.search(text).results

    assert not first or first[0].probability < 0.5


def test_words_that_follow_others_are_counted_by_what_stands_before(search: MarkSearch) -> None:
    further = search.words.further

    assert set(further) == {"&", ""}
    assert further["&"]["CO"] > 0.1 > further[""]["CO"]
    assert further["&"]["SONS"] > 3 * further[""].get("SONS", 0.0)
    for shares in further.values():
        assert 0.2 < sum(shares.values()) < 0.8
        assert not any(len(word) == 1 and word != "&" for word in shares)
