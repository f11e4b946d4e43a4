"""Every word of a note is accounted for: part of something, neutral, or not understood."""

from __future__ import annotations

import os
import re
import unicodedata
from random import Random

import scoring
from hypothesis import given, settings
from hypothesis import strategies as st
from notes_base import shipped, shipped_vocabulary, small
from samples import samples
from together import every_case

from markrules.notes.understanding import Understanding

_WORD = re.compile(r"[^\W_]+")
MANY = int(os.environ.get("MARKRULES_NOTES", "600"))
"""Generated notes that are tried; 10,000 before a release."""


def unaccounted(note: str, told: Understanding) -> str:
    """What is wrong with the account of a note, in a few words; empty where nothing is."""
    words = [word for each in told.account for word in _WORD.findall(each.words)]
    # The words of a title are told in small letters.
    if "".join(words).casefold() != "".join(_WORD.findall(note)).casefold():
        return "words fall between"
    lost = [each.words for each in told.account if each.fate == "not-understood"]
    if "".join(_WORD.findall(" ".join(lost))) != "".join(
        _WORD.findall(" ".join(told.not_understood))
    ):
        return f"{lost} and {told.not_understood} differ"
    for each in told.account:
        part = bool(each.observations) or each.meaning.startswith("piece: ")
        if (each.fate in ("understood", "guessed")) and not (part or each.words):
            return f"{each} is part of nothing"
        if each.fate == "not-understood" and each.observations:
            return f"{each} is part of something"
    reached = {(one.feature, one.value) for each in told.account for one in each.observations}
    without = [
        each.value or each.feature
        for each in told.observations
        if (each.feature, each.value) not in reached and each.feature != "mark"
    ]
    return f"nothing said {without}" if without else ""


def _corpus() -> list[str]:
    return [
        case["text"]
        for name in ("phrases", "notes", "later-phrases", "later-notes")
        for part in ("open", "held")
        for case in scoring.cases(name, part)
    ]


def test_a_note_that_ends_in_the_middle_of_something_is_read() -> None:
    for note in (
        "ring, without a pin who",
        'marked closed the " ? who one stamped Victorian a layers held',
    ):
        assert not unaccounted(note, shipped(note)), note


def test_every_word_of_the_corpus_is_accounted_for() -> None:
    wrong = {note: why for note in _corpus() if (why := unaccounted(note, shipped(note)))}

    assert wrong == {}


def test_every_word_of_generated_notes_is_accounted_for() -> None:
    random = Random(20261128)
    base = shipped_vocabulary().base
    phrases = [
        text.replace("-", " ")
        for feature in base.features.values()
        for value in feature.values
        for text in (value.name, *value.also)
        if '"' not in text
    ]
    wordings = [text for each in base.wordings.values() for text in each.words if "{" not in text]
    odd = ["zorp", "12", "3/4", "1955", "'62", "marked", "ZORPO", "no", "?", "(", "5 cm", "2 x 3"]
    said = _corpus()
    wrong: dict[str, str] = {}
    for _ in range(MANY):
        parts = [
            random.choice(random.choice((phrases, wordings, odd, said)))
            for _ in range(random.randint(1, 9))
        ]
        note = "".join(
            part + random.choice((", ", " ", "; ", "\n", ". ", " and ")) for part in parts
        )
        if why := unaccounted(note, shipped(note)):
            wrong[note] = why

    assert wrong == {}


@given(st.text(st.characters(categories=["L", "N", "P", "Zs"]), max_size=80))
def test_every_word_of_any_text_is_accounted_for(note: str) -> None:
    told = small(note)

    words = [word for each in told.account for word in _WORD.findall(each.words)]

    assert len("".join(words)) <= len(note)
    assert told.not_understood == () or any(each.fate == "not-understood" for each in told.account)


HOSTILE = (
    *(
        "\u200b",
        "\u202e",
        "\u0301",
        "\ufeff",
        "\u00ad",
        "\u2028",
        "\x00",
        "\x1b[31m",
        "ﬁ",
        "ß",
        "İ",
    ),
    *("Ⅷ", "①", "½", "²", "ª", "µm", "१२", "中文", "Ω", "💍", "…", "“", "„", "»", "'", '"', "’62"),
    *(
        "#",
        "{stone}",
        "/",
        "//",
        "(",
        ")",
        ":",
        "?",
        "–",
        "&",
        "&amp;",
        "<b>",
        "0",
        "1.",
        "2)",
        "×",
    ),
)
"""Signs and digits of other scripts, signs without width, and what means something elsewhere."""


@given(
    st.lists(
        st.tuples(
            st.sampled_from(sorted({word for note in _corpus() for word in note.split()})),
            st.sampled_from(("", *HOSTILE)),
            st.integers(0, 9),
            st.sampled_from((" ", " ", ", ", "; ", "/", "\n", ". ", ": ")),
        ),
        max_size=9,
    )
)
@settings(max_examples=samples(400))
def test_every_word_among_hostile_signs_is_accounted_for(
    parts: list[tuple[str, str, int, str]],
) -> None:
    note = "".join(word[:at] + sign + word[at:] + gap for word, sign, at, gap in parts)

    assert not unaccounted(unicodedata.normalize("NFC", note), shipped(note))


@every_case(
    ("note", "words", "fate"),
    [
        ("brooch, zorp catch", "zorp", "not-understood"),
        ("brooch, lovely C catch", "lovely", "neutral"),
        ("brooch, C catch", "C catch", "understood"),
        ("brooch, sparkly stones, one missing", "one missing", "guessed"),
        ("brooch, crimson", "crimson", "neutral"),
        ("brooch, unmkd", "unmkd", "understood"),
        ("brooch, a flower", "flower", "understood"),
    ],
)
def test_what_became_of_words(note: str, words: str, fate: str) -> None:
    assert {each.words: each.fate for each in shipped(note).account}.get(words) == fate


def test_what_a_writer_says_of_a_hallmark_is_told_back_in_the_same_words() -> None:
    """A word that is put in to understand what it shows is none of the writer's; the others are."""
    note = "brooch, squirrel hallmark, hallmark: squirrel, hallmarked with a lion"

    assert unaccounted(note, shipped(note)) == ""
