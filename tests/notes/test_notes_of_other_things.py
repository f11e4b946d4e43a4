"""What a seller tells of a firm, a stuff or a fashion in general is no observation of the piece."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

NOTES = (
    "Leaf brooch, gold tone, rollover catch, signed Trifari",
    "bakelite bangle, carved, 2 cm wide",
    "locket, 9ct back and front, hinge broken",
)
HISTORIES = (
    "The firm was founded in Providence in 1898 by two brothers.",
    "He opened his workshop in Copenhagen in 1904.",
    "Bakelite was invented in 1907 and was used for jewelry in the thirties.",
    "Such brooches were sold as souvenirs from the 1860s on.",
    "The company was sold to another in 1982, and closed its doors in 1994.",
    "The style became fashionable when Queen Victoria went into mourning in 1861.",
    "Celluloid was an early plastic, first made in 1870.",
)
OF_THE_PIECE = (
    ("brooch, gold tone. It was made in West Germany, the company was small", "mark"),
    ("brooch, gold tone. The clasp was replaced when the firm was founded", "fault"),
    ("the firm was founded in 1898, brooch with a rollover catch", "catch"),
)


@every_case(("note", "history"), [(note, each) for note in NOTES for each in HISTORIES])
def test_a_history_adds_nothing(note: str, history: str) -> None:
    assert lines(shipped(f"{note}. {history}")) == lines(shipped(f"{note}."))
    assert lines(shipped(f"{note}. {history} Rhinestones.")) == lines(
        shipped(f"{note}. Rhinestones.")
    )


@every_case("history", HISTORIES)
def test_its_words_are_told_as_neutral(history: str) -> None:
    told = shipped(f"brooch, rollover catch. {history}").account
    assert {each.fate for each in told[2:]} == {"neutral"}


@every_case(("note", "feature"), OF_THE_PIECE)
def test_a_sentence_of_the_piece_is_none(note: str, feature: str) -> None:
    assert any(each.startswith(f"{feature}=") for each in lines(shipped(note)))
