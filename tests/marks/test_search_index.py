"""The candidate index: votes, columns, files; against the plainest way to do the same."""

from __future__ import annotations

import os
import random
import re
from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples, some_of
from together import every_case
from worn_marks import WORN_MODEL

from markrules.marks.candidates import candidates
from markrules.marks.columns import ColumnIndex, sought
from markrules.marks.index_file import FileIndex, IndexDamagedError, write_index
from markrules.marks.reading_syntax import parse
from markrules.marks.tally import at_least, highest, members, tally
from markrules.marks.wear import compiled

sets = st.lists(st.integers(min_value=0, max_value=2**40 - 1), max_size=12)


def votes_of(votes: list[int], mark: int) -> int:
    return sum(vote >> mark & 1 for vote in votes)


@given(sets, st.integers(min_value=1, max_value=14))
def test_votes_are_counted(votes: list[int], wanted: int) -> None:
    planes = tally(votes)

    counted = [
        sum(plane >> mark & 1 << 0 and 1 << k for k, plane in enumerate(planes))
        for mark in range(40)
    ]
    assert counted == [votes_of(votes, mark) for mark in range(40)]
    assert members(at_least(planes, wanted), 40) == [
        mark for mark in range(40) if votes_of(votes, mark) >= wanted
    ]


@given(st.lists(sets, min_size=1, max_size=3), st.integers(min_value=1, max_value=60))
def test_the_most_voted_over_several_lists(lists: list[list[int]], wanted: int) -> None:
    counts = [[votes_of(votes, mark) for mark in range(40)] for votes in lists]
    best = sorted((count for each in counts for count in each if count), reverse=True)
    least = best[wanted - 1] if wanted <= len(best) else 0

    votes, above, level = highest([tally(each) for each in lists], wanted)

    assert votes == least
    for each, over, same in zip(counts, above, level, strict=True):
        assert members(over, 40) == [mark for mark, count in enumerate(each) if count > least]
        assert members(same, 40) == [mark for mark, count in enumerate(each) if count == least > 0]


def features(mark: str) -> set[str]:
    """All features of a mark, spelt out letter by letter."""
    plain = "".join(letter if letter.isascii() else "?" for letter in mark)
    found = {f"^{place}{letter}" for place, letter in enumerate(plain[:12])}
    found |= {f"${place}{letter}" for place, letter in enumerate(plain[::-1][:12])}
    found |= {plain[place : place + 2] for place in range(len(plain) - 1)}
    return found | {f"{plain[i]}.{plain[i + 2]}" for i in range(len(plain) - 2)}


texts = st.lists(
    st.text(alphabet="ABCDE&1\u0416", min_size=1, max_size=20), min_size=1, max_size=30
)


@given(texts)
@settings(max_examples=samples(60))
def test_columns_hold_every_feature_and_no_other(marks: list[str]) -> None:
    index = ColumnIndex(marks)

    found = {feature: set(members(having, 99)) for feature, having in index.features()}
    expected: dict[str, set[int]] = {}
    for number, text in enumerate(sorted(set(marks), key=lambda each: (len(each), each))):
        assert index.text(number) == text
        for feature in features(text):
            expected.setdefault(feature, set()).add(number)
    assert found == expected


def test_a_reading_asks_for_places_up_to_a_gap_and_for_pairs() -> None:
    asked = {feature for each in sought(parse("AB?...C").cells) for feature in each}

    assert asked == {"^0A", "^1B", "$0C", "AB"}


ROWS = [
    (row, text, text + "LTD")
    for row, text in enumerate(["ABA", "KTF", "KTF", "\u0416\u0416A", "MAXIMA"])
]


def test_a_file_answers_like_the_columns_it_was_made_from(tmp_path: Path) -> None:
    write_index(tmp_path / "i", ROWS, {"first": 1})
    columns = ColumnIndex(text for _, *both in ROWS for text in both)

    with FileIndex(tmp_path / "i") as index:
        index.check()
        assert len(index) == len(columns)
        assert index.kept == {"first": 1}
        assert [index.text(n) for n in range(len(index))] == columns.texts
        for feature, having in columns.features():
            assert index.having(feature) == having
        assert [index.shorter_than(n) for n in range(12)] == [
            columns.shorter_than(n) for n in range(12)
        ]
        found = {index.text(n): index.rows(n, 9) for n in range(len(index))}
    assert found["KTF"] == ([(1, True), (2, True)], 2)
    assert found["KTFLTD"] == ([(1, False), (2, False)], 2)


def test_an_empty_index_has_no_texts(tmp_path: Path) -> None:
    write_index(tmp_path / "i", [], {})

    with FileIndex(tmp_path / "i") as index:
        assert (len(index), index.having("AB"), index.shorter_than(5)) == (0, 0, 0)


@pytest.mark.parametrize("left", [0, 5, 30, 200, 0.5, -1])
def test_a_file_cut_short_is_noticed(tmp_path: Path, left: float) -> None:
    path = tmp_path / "i"
    write_index(path, ROWS, {})
    whole = path.read_bytes()
    cut = int(len(whole) * left) if 0 < left < 1 else int(left)
    path.write_bytes(whole[:cut])

    with pytest.raises(IndexDamagedError):
        FileIndex(path)


def test_an_altered_byte_is_noticed_where_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "i"
    write_index(path, ROWS, {})
    whole = path.read_bytes()
    noticed = 0
    places = some_of(range(len(whole)))
    for place in places:
        path.write_bytes(whole[:place] + bytes([whole[place] ^ 0x41]) + whole[place + 1 :])
        try:
            with FileIndex(path) as index:
                index.check()
        except IndexDamagedError:
            noticed += 1
    assert noticed == len(places)


def test_a_build_that_fails_leaves_the_old_file_and_nothing_else(tmp_path: Path) -> None:
    path = tmp_path / "i"
    write_index(path, ROWS, {"made": 1})

    def failing() -> object:
        yield ROWS[0]
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        write_index(path, failing(), {"made": 2})  # type: ignore[arg-type]

    assert os.listdir(tmp_path) == ["i"]
    with FileIndex(path) as index:
        assert index.kept == {"made": 1}


def test_candidates_hold_the_mark_that_was_read() -> None:
    rng = random.Random(3)
    marks = ["".join(rng.choices("ABCDEGHIKLMNORSTU", k=rng.randint(4, 12))) for _ in range(3000)]
    indexes = (ColumnIndex(marks[:1000]), ColumnIndex(marks[1000:]))
    model = WORN_MODEL
    lost: Counter[str] = Counter()
    for mark in rng.sample(marks, 150):
        for kind, text in {
            "tail": mark[:-2],
            "head": mark[2:],
            "one": mark[:1] + "X" + mark[2:],
        }.items():
            found = candidates(indexes, compiled(model, parse(text).cells))
            lost[kind] += mark not in [each.text for each in found]
            assert [each.text for each in found] == sorted(each.text for each in found)
    assert max(lost.values()) <= 2


def test_what_was_left_out_is_told() -> None:
    """600 marks begin alike; 48 are scored, and stand for all that shared as much."""
    marks = [f"AB{a}{b}" for a in "CDEFGHIJKLMNOPQRSTUVWXYZ" for b in "CDEFGHIJKLMNOPQRSTUVWXYZA"]
    reading = compiled(WORN_MODEL, parse("AB...").cells)

    found = candidates((ColumnIndex(marks),), reading, looked_at=100)

    assert len(found) == 48
    assert found[0].stands_for == pytest.approx(600 / 100)


@every_case("reading", ["NOVA?TIS", "N...TIS", "NOVAR...", "...RTIS", "[NM]OVARTIS"])
def test_a_long_list_is_asked_for_places_alone_where_every_letter_has_one(reading: str) -> None:
    cells = parse(reading).cells
    places = {each for each in sought(cells) if each[0][0] in "^$"}

    assert set(sought(cells, pairs=False)) == places


def test_letters_between_two_gaps_are_asked_for_in_pairs() -> None:
    cells = parse("...OVAR...").cells

    assert sought(cells, pairs=False) == sought(cells) != []


@given(st.sets(st.text(alphabet="ABCDE", min_size=6, max_size=9), min_size=40, max_size=120))
@settings(max_examples=samples(60), deadline=None)
def test_without_pairs_the_text_that_was_read_is_found_all_the_same(texts: set[str]) -> None:
    index = ColumnIndex(texts)
    text = min(texts)
    for written in (f"{text[:2]}?{text[3:]}", f"{text[:4]}...", f"...{text[2:]}"):
        reading = compiled(WORN_MODEL, parse(written).cells)
        scored = candidates([index], reading, 600, 600, 5, pairs=False)
        fitting = {each for each in texts if fits(written, each)}

        assert fitting <= {each.text for each in scored} or len(scored) >= 600


def fits(written: str, text: str) -> bool:
    """Whether a text is what was written, with a letter for `?` and any run for `...`."""
    pattern = re.escape(written).replace(r"\.\.\.", ".*").replace(r"\?", ".")
    return re.fullmatch(pattern, text) is not None
