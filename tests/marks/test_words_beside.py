"""Words that stand beside marks are no maker's letters, however they are spaced."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.marks.letters import folded
from markrules.marks.vocabulary import MarkWords, vocabulary, words_of
from markrules.reading.reader import Request


@pytest.fixture(scope="module")
def known() -> MarkWords:
    return vocabulary(shipped_base())


def _listed() -> set[str]:
    makers = shipped_base().makers.values()
    names = {folded(text) for maker in makers for text in (maker.title, *maker.also)}
    return names | {folded(mark.text) for maker in makers for mark in maker.marks}


def test_a_word_that_is_no_makers_stays_one_in_any_spacing(known: MarkWords) -> None:
    """As `W. Germany` is written W.Germany; each of some four hundred in three spellings."""
    listed = _listed()
    kept = []
    for wording in shipped_base().wordings.values():
        if wording.role != "not-a-maker":
            continue
        for text in wording.words:
            for written in (text, text.replace(" ", ""), text.replace(" ", "-")):
                words = words_of(written)
                if words and folded(written) not in listed and known.apart(words)[0]:
                    kept.append(written)
    assert kept == []


def test_a_line_of_a_mark_that_is_its_makers_town_or_country_names_nobody(
    known: MarkWords,
) -> None:
    """KYSTER / KOLDING is a maker's; KOLDING alone is a town, where others worked too."""
    listed = _listed()
    lines = [
        (line, maker)
        for maker in shipped_base().makers.values()
        for mark in maker.marks
        if len(mark.text.split(" / ")) > 1
        for line in mark.text.split(" / ")
        if folded(line) in {folded(maker.city), folded(maker.country)}
    ]
    assert len(lines) > 8
    for line, maker in lines:
        if folded(line) not in listed:
            assert known.apart(words_of(line))[0] == [], (line, maker.name)


@every_case(
    "mark", ["W.Germany", "W. Germany", "OSLO", "MURANO", "NAVAJO", "Copenhagen", "KOLDING"]
)
def test_a_country_or_a_town_by_itself_names_no_maker(mark: str) -> None:
    reading = shipped_reader().read(Request("brooch", marks=(mark,), next_looks=0))

    assert sum(each.probability for each in reading.makers if each.maker) < 0.05


def test_beside_a_name_it_takes_nothing_from_the_name() -> None:
    reading = shipped_reader().read(Request("brooch", marks=("J. TOSTRUP OSLO",), next_looks=0))

    assert reading.makers[0].maker == "tostrup"
    assert reading.makers[0].probability > 0.95


@every_case("text", ["SWANK PAT. 2,222,333", "SWANK PAT 2222333", "KREMENTZ PATENT 1967965"])
def test_a_name_before_the_number_of_a_patent_names_its_maker(text: str) -> None:
    """One mark of the rules has a line `PAT. #`, which made no name of PAT."""
    (first, *_) = shipped_reader().read(Request(note="brooch", marks=(text,), next_looks=0)).makers

    assert first.maker == text.split(maxsplit=1)[0].lower()
    assert first.probability > 0.95
