"""Letters that several listed makers share are told as theirs together."""

from __future__ import annotations

from collections import defaultdict

import pytest
from shipped_base import shipped_base, shipped_reader

from markrules.marks.letters import folded
from markrules.reading.reader import Reading, Request
from markrules.reading.reading_data import reading_data
from markrules.telling.signatures import who_shares


def _read(mark: str) -> Reading:
    return shipped_reader().read(Request(note="brooch", marks=(mark,), next_looks=0))


def _sharing() -> dict[str, set[str]]:
    """The makers by the letters of their marks, of two letters, where several have the same."""
    owners: defaultdict[str, set[str]] = defaultdict(set)
    for maker in shipped_base().makers.values():
        for mark in maker.marks:
            if len(letters := folded(mark.text)) == 2 and letters.isalpha():
                owners[letters].add(maker.name)
    return {letters: makers for letters, makers in owners.items() if len(makers) > 1}


def test_all_who_share_two_letters_are_named() -> None:
    sharing = _sharing()
    assert len(sharing) > 10

    for letters, makers in sharing.items():
        (mark,) = _read(letters).marks
        assert makers <= {maker for maker, _ in mark.shared_by}, letters
        titles = [shipped_base().makers[maker].title.partition(" (")[0] for maker in makers]
        assert len(makers) > 6 or all(title in who_shares(mark) for title in titles), letters


def test_the_likeliest_stands_first_and_json_has_them_all() -> None:
    reading = _read("OR")
    (mark,) = reading.marks
    first = next(each.maker for each in reading.makers if each.maker)

    assert mark.shared_by[0][0] == first
    (told,) = reading_data(reading)["marks"]
    assert [each["maker"] for each in told["shared_by"]] == [maker for maker, _ in mark.shared_by]


@pytest.mark.parametrize("mark", ["TRIFARI", "GRANDSTAFF", "O?", "STERLING"])
def test_a_mark_of_one_maker_or_none_is_not_shared(mark: str) -> None:
    assert not [each for each in _read(mark).marks if each.shared_by]
