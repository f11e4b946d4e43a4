"""Words of the trade stand in the rules: no value of a feature is spelt in the program.

Looked at are the texts in code (docstrings apart) that are such a word or, as patterns have them,
hold it between two strokes: "(?:bent|worn)". Left out are the features whose values are words of
everyday language, which a program uses for other things: what is pictured, colours, sizes.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from shipped_base import shipped_base

import markrules
from markrules.language.roles import DAMAGE_ROLES

EVERYDAY = {
    "motif", "subject", "outline", "colour", "size-word", "style", "fine-detail", "mark-kind",
    "mark-form", "mark-state", "mark-device", "date-letter-case", "date-letter-style", "oddity",
    "maker-told", "packaging", "stated-condition", "set-match", "told-period", "fault",
}  # fmt: skip
"""Features of everyday words, and those that the engine makes observations on itself."""

MEANT_OTHERWISE = {
    "absent": "a state of an observation",
    "added later": "by such words the audit knows that a statement names what is odd",
    "added": "when a thing came into the catalogue",
    "break": "a role of words",
    "chain": "a relation of the sheet's set",
    "changed": "what a step did",
    "cluster": "where readings are spread over computers",
    "converted": "a fate of a part: the engine's own list of what becomes of things",
    "damage": "a role of words, and what a lot's note is about",
    "damaged": "said of a file",
    "drop": "a command",
    "fault": "a kind of entry",
    "faults": "a key of a form",
    "fitted later": "a heading of the book, for the engine's own list of what becomes of parts",
    "flaws": "a heading of people's own sheets",
    "foil": "a column of stones in stock",
    "frozen": "a keyword of dataclasses",
    "gold": "a metal that has a market price, and an example of the language",
    "gone": "a state of a piece in the catalogue",
    "identity": "a part of the sheet",
    "is not there": "said of a photo",
    "keeper": "what keeps a server's work",
    "lacks": "said of a table",
    "later": "by such words the audit knows that a statement names what is odd",
    "lost": "said of letters",
    "mend": "an advice, and a key of a fault",
    "metal": "a key of a mark of metal",
    "missing": "said of keys of a form",
    "palladium": "a metal that has a market price",
    "paper": "what a label is printed on",
    "paste": "the clipboard",
    "plastic": "an example of the language",
    "damages": "what a way of telling tells, a field of an entry",
    "platinum": "a metal that has a market price",
    "problem": "a heading",
    "problems": "a key of a form",
    "repair": "by such words the audit knows that a statement names what is odd",
    "repaired": "a fate of a piece: the engine's own list",
    "repairs": "a part of the sheet",
    "replaced": "a state of an observation, and what own rules do",
    "restored": "said of an archive",
    "silver": "a metal that has a market price",
    "taken out": "what was done to an entry",
    "weak": "a strength of trust",
    "web address": "a column of people's own sheets",
    "worn": "how a measure of a ring or a piece is told, one of the language's own words",
    "wrong": "a heading",
}
"""Words that also are words of the trade, with what the program means by them."""


def words_of_the_trade() -> set[str]:
    base = shipped_base()
    found = {
        word
        for feature in base.features.values()
        if feature.name not in EVERYDAY and not feature.describes
        for value in feature.values
        for word in (value.name, value.name.replace("-", " "), *value.also)
    }
    found |= {
        word for each in base.wordings.values() if each.role in DAMAGE_ROLES for word in each.words
    }
    return {word.casefold() for word in found if len(word) > 3}


def texts(file: Path) -> Iterator[tuple[int, str]]:
    """The texts of a module with their lines, docstrings apart."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value


def spelt(text: str) -> Iterator[str]:
    """What a text says as a whole, or as the choices of a pattern."""
    plain = text.casefold().strip()
    yield plain
    if "|" in plain:
        yield from re.findall(r"(?<![^(|:])[^\W\d_]+(?: [^\W\d_]+)*(?![^)|])", plain)


def test_no_word_of_the_trade_is_spelt_in_the_program() -> None:
    trade = words_of_the_trade()
    folder = Path(markrules.__file__).parent
    found = {
        (word, f"{file.relative_to(folder)}:{line}")
        for file in folder.rglob("*.py")
        for line, text in texts(file)
        for word in spelt(text)
        if word in trade and word not in MEANT_OTHERWISE
    }

    assert sorted(found) == []


def test_the_words_that_are_let_through_are_words_of_the_trade() -> None:
    assert set(MEANT_OTHERWISE) - words_of_the_trade() == set()


def test_what_is_spelt_in_a_pattern_is_found() -> None:
    assert set(spelt(r"[^\W\d_]+(?:ed|en|bent|worn)")) >= {"ed", "en", "bent", "worn"}
    assert set(spelt("Rollover")) == {"rollover"}
