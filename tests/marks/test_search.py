"""Finding a mark among those of a knowledge base. All makers here are made up."""

from __future__ import annotations

import sys
import time
from math import exp
from pathlib import Path

import pytest
from engine_numbers import setting_entries
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.language.conditions import Says
from markrules.language.spans import Named
from markrules.language.tree import (
    Clue,
    Commonness,
    Feature,
    Maker,
    Mark,
    MetalMark,
    Value,
)
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.search import MarkSearch, build_small


def maker(name: str, *marks: Mark, country: str = "", common: str = "") -> Maker:
    return Maker(
        name,
        name.title(),
        country=country,
        marks=marks,
        common=Named(common) if common else None,
    )


MAKERS = (
    maker(
        "halvorsen",
        Mark("block", "HALVORSEN", "block"),
        Mark("patent", "HALVORSEN / PAT. PEND.", "block", beside=("PAT. PEND.",)),
        Mark("silver", "HALVORSEN / STERLING", "block", beside=("STERLING",)),
    ),
    maker("halverton", Mark("script", "Halverton", "script", method="cast")),
    maker("quill", Mark("monogram", "QTF", "monogram", "crown over the T")),
    maker("qtp", Mark("block", "QTP", "block")),
    maker("bell-tower", Mark("device", "", "symbol", "bell")),
    maker("brunel", Mark("one", "BRUNEL & FILS", "block"), country="France"),
    maker("vvest", Mark("one", "WESTRA", "block")),
    maker("silver-only", Mark("one", "STERLING", "block", "lion")),
    maker("dorn", Mark("one", "CARL DORN / AUSTRIA", "block", beside=("AUSTRIA",))),
    maker("dora", Mark("one", "DORA", "block"), common="often"),
)
BASE = KnowledgeBase(
    "made up",
    settings=setting_entries({"unknown-maker": 2.0}),
    makers={each.name: each for each in MAKERS},
    commonness={"often": Commonness("often", 8.0)},
    clues={
        "austria": Clue(
            "austria", Says(Named("mark"), ("MADE IN AUSTRIA", "QTP")), None, Named("x"), "", ()
        )
    },
    metal_marks={"filled": MetalMark("filled", ("{fraction} {karat}K GF",))},
    features={
        "how-marked": Feature(
            "how-marked",
            values=(
                Value("cast-mark", also=("raised letters", "in relief")),
                Value("symbol-mark", also=("device",)),
                Value("script-mark", also=("handwriting",)),
            ),
        )
    },
)


@pytest.fixture(scope="module")
def search() -> MarkSearch:
    return build_small(BASE)


@every_case(
    ("text", "found"),
    [
        ("HALVORSEN", "halvorsen"),
        ("HALV?RS...", "halvorsen"),
        ("...ORSEN", "halvorsen"),
        ("ORSEN", "halvorsen"),
        ("HALVERS", "halvorsen"),
        ("HAL...TON", "halverton"),
        ("HALV, in relief", "halverton"),
        ("HALV, script", "halverton"),
        ("halv (handwriting)", "halverton"),
        ("[QO]TF", "quill"),
        ("QTF, crown over the T", "quill"),
        ("TQF", "quill"),
        ("QT, crown", "quill"),
        ("(bell)", "bell-tower"),
        ("VVESTRA", "vvest"),
        ("ARTSEW", "vvest"),
        ("BRUNEI & FILS", "brunel"),
        ("BRUN..., France", "brunel"),
        ("DORN AUSTRIA", "dorn"),
        ("DQRA", "dora"),
    ],
)
def test_the_right_mark_comes_first(search: MarkSearch, text: str, found: str) -> None:
    """The letters are those left of a worn mark, so what is lost need not have been noticed."""
    assert search.search(text, doubt=1.0).results[0].maker == found


def test_words_beside_the_mark_are_not_letters_of_it(search: MarkSearch) -> None:
    first = search.search("HALVORSEN STERLING 1/20 12K GF").results[0]

    assert (first.maker, first.mark) == ("halvorsen", "silver")
    assert "".join(step.struck for step in first.aligned.steps) == "HALVORSEN"  # type: ignore[union-attr]


@every_case(
    ("text", "mark"),
    [
        ("HALVORSEN", "block"),
        ("HALVORSEN PAT PEND", "patent"),
        ("HALVORSEN / Pat. Pend.", "patent"),
        ("HALV... STER?ING", "silver"),
    ],
)
def test_what_stands_beside_tells_variants_apart(search: MarkSearch, text: str, mark: str) -> None:
    assert search.search(text).results[0].mark == mark


def test_a_text_that_a_condition_looks_for_is_a_word_unless_a_maker_bears_it(
    search: MarkSearch,
) -> None:
    assert search.words.apart(("MADE", "IN", "AUSTRIA")) == ([], ["MADEINAUSTRIA"])
    assert search.words.apart(("QTP",)) == ([0], [])


@every_case("text", ["STERLING", "1/20 12K GF", "MADE IN AUSTRIA", "PAT. PEND."])
def test_words_alone_leave_the_maker_open(search: MarkSearch, text: str) -> None:
    answer = search.search(text)

    assert answer.none_of_these > 0.5


def test_letters_of_no_known_mark_are_most_likely_in_no_list(search: MarkSearch) -> None:
    assert search.search("OPALINCK").none_of_these > 0.8


def test_a_look_alike_says_so_and_how_to_tell(search: MarkSearch) -> None:
    first, second, *_ = search.search("QTF").results

    assert (first.maker, second.maker) == ("quill", "qtp")
    assert second.assumed == ("P read as F",)
    assert first.tell_apart == "letter 3: F here, P in QTP"
    assert first.probability > 20 * second.probability


def test_shows_letters_read_over_letters_of_the_mark(search: MarkSearch) -> None:
    first = search.search("H?LVQ...EN").results[0]

    assert str(first.aligned) == (
        "H ? L V Q … … E N\n| . | | : . . | |".replace("| . |", "| ? |", 1) + "\nH A L V O R S E N"
    )
    assert first.assumed == ("A not read", "O read as Q", "RS not read")


def test_shows_merged_and_added_letters_in_their_columns(search: MarkSearch) -> None:
    assert str(search.search("VVESTTRA").results[0].aligned) == (
        "VV E S T T R A\n<  | | | + | |\nW  E S T   R A"
    )


def test_read_from_right_to_left_as_from_a_mould(search: MarkSearch) -> None:
    first = search.search("NESROVLAH").results[0]

    assert first.maker == "halvorsen"
    assert first.assumed == ("read from right to left, as from a mould",)


def test_case_counts_only_where_asked(search: MarkSearch) -> None:
    plain, cased = search.search("HALVERTON"), search.search("=HALVERTON")

    assert plain.results[0].score > cased.results[0].score
    assert cased.results[0].score < search.search("=Halverton").results[0].score


def test_probabilities_sum_to_one_at_most(search: MarkSearch) -> None:
    answer = search.search("HAL...")

    total = answer.none_of_these + sum(each.probability for each in answer.results)
    assert 0.99 < total <= 1 + 1e-9


def test_phrases_that_describe_no_mark_are_told(search: MarkSearch) -> None:
    assert search.search("QTF, purple elephant, crown").not_used == ("purple elephant",)


def test_commonness_decides_between_marks_that_fit_alike() -> None:
    base = KnowledgeBase(
        "made up",
        settings=setting_entries(),
        makers={
            "rare": maker("rare", Mark("a", "KELDA")),
            "often": maker("often", Mark("a", "KELDO"), common="often"),
        },
        commonness={"often": Commonness("often", 8.0)},
    )
    first, second = build_small(base).search("KELD?").results

    assert first.maker == "often"
    assert first.probability == pytest.approx(8 * second.probability, rel=1e-5)


def test_evidence_for_a_reading_holds_all_variants_and_the_unknown(search: MarkSearch) -> None:
    evidence = search.evidence(("HALVORSEN", "STERLING"))

    assert {each.mark for each in evidence.candidates} >= {"block", "patent", "silver"}
    assert evidence.candidates[0].mark == "silver"
    assert evidence.candidates[0].log_likelihood > evidence.unknown_log_likelihood + 5


@every_case("text", ["", "???", "©", "A" * 100_000, "[", "\x00", "?" * 5000])
def test_evidence_never_raises(search: MarkSearch, text: str) -> None:
    evidence = search.evidence(text)

    assert all(each.log_likelihood <= 0 for each in evidence.candidates)


@given(st.text(max_size=80))
@settings(max_examples=samples(200))
def test_any_text_is_answered_or_refused_quickly(text: str) -> None:
    search = build_small(BASE)
    start = time.thread_time()  # other threads of a test run count towards the process
    try:
        answer = search.search(text)
    except MarkSyntaxError:
        return
    finally:
        assert time.thread_time() - start < 1
    assert 0 <= answer.none_of_these <= 1
    assert all(0 <= each.probability <= 1 + 1e-9 for each in answer.results)


@given(st.sampled_from(["HALVORSEN", "BRUNEL", "WESTRA"]), st.integers(0, 5))
def test_one_more_letter_unread_never_makes_the_mark_likelier(text: str, place: int) -> None:
    """`?` says nothing that a letter read right does not say better."""
    search = build_small(BASE)
    whole = search.search(text).results[0]
    less = search.search(text[:place] + "?" + text[place + 1 :]).results[0]

    assert less.maker == whole.maker
    assert less.score < whole.score
    assert exp(less.score) > 0


def test_without_makers_nothing_is_found() -> None:
    answer = build_small(KnowledgeBase("empty", settings=setting_entries())).search("ABC")

    assert (answer.results, answer.none_of_these) == ((), 1.0)


def test_importing_the_search_loads_nothing_heavy() -> None:
    import subprocess

    code = (
        "import sys, markrules.marks.search as s; "
        "print([m for m in ('numpy', 'rapidfuzz', 'rich', 'click', 'sqlite3') if m in sys.modules])"
    )
    root = Path(__file__).parents[2]
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=root, check=True
    )

    assert out.stdout.strip() == "[]"


def test_each_maker_is_told_from_the_one_before_it_and_shows_its_other_marks(
    search: MarkSearch,
) -> None:
    first, second, third, *_ = search.search("HALVORSEN", 4).results

    assert first.variants == ("HALVORSEN / PAT. PEND.", "HALVORSEN / STERLING")
    assert second.variants == ()
    assert first.tell_apart == "letter 5: O here, E in HALVERTON"
    assert second.tell_apart == "letter 5: E here, O in HALVORSEN"
    assert third.tell_apart.endswith("in HALVERTON")
