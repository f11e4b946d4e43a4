"""Typical mistakes and the exact messages they give: `mistakes.txt` is the table of both.

After a change of messages, `MARKRULES_REWRITE=1 pytest tests/language/test_mistakes.py`
writes the table anew; look at each difference before it is kept.
"""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import NamedTuple

from together import every_case

from markrules.language.checker import check, in_order
from markrules.language.codes import CODES
from markrules.language.enlarging import enlarged
from markrules.language.messages import show
from markrules.language.parser import parse

HERE = Path(__file__).parent
TABLE = HERE / "mistakes.txt"
BASE = (HERE / "mistakes_base.rules").read_text(encoding="utf-8")
# Codes that need a file, a size or a reading to show: each has a test of its own.
ELSEWHERE = {
    "nothing-withdrawn",  # needs two folders: tests/knowledge/test_withdrawing.py
    "needed",  # the same
    "senseless",  # needs the whole rules: tests/knowledge/test_numbers_of_the_engine.py
    "case-fails",
    "control-character",
    "file-too-large",
    "line-too-long",
    "more-problems",
    "not-utf-8",
    "too-many-clues",
    "too-deep",
    "unreadable",
}


class Mistake(NamedTuple):
    """A block of the table: what it is about, the rule text and the messages."""

    title: str
    text: str
    expected: str


def _table() -> list[Mistake]:
    blocks = re.split(r"^== (.*)\n", TABLE.read_text(encoding="utf-8"), flags=re.MULTILINE)[1:]
    mistakes = []
    for title, block in zip(blocks[::2], blocks[1::2], strict=True):
        text, _, expected = block.partition("\n--\n")
        mistakes.append(Mistake(title, text.replace("→", "\t"), expected.strip("\n")))
    return mistakes


def _problems(text: str) -> list[tuple[str, str]]:
    """Code and full message of every problem of a text, checked together with the base."""
    base, none = parse(BASE, "base.rules")
    assert none == ()
    book, met = parse(text, "rules")
    books, amiss = enlarged([base, book])
    found = [each for each in (*amiss, *check(books)) if each.place.file == "rules"]
    return [(each.code, show(each, text)) for each in sorted([*met, *found], key=in_order)]


def _shown(problems: list[tuple[str, str]]) -> str:
    return "\n".join(f"[{code}] {message}" for code, message in problems)


if os.environ.get("MARKRULES_REWRITE"):
    TABLE.write_text(
        "\n".join(
            f"== {each.title}\n{each.text}\n--\n{_shown(_problems(each.text))}\n"
            for each in _table()
        ).replace("\t", "→"),
        encoding="utf-8",
    )


@every_case("mistake", _table(), ids=lambda mistake: mistake.title)
def test_the_message_is_the_one_in_the_table(mistake: Mistake) -> None:
    assert _shown(_problems(mistake.text)) == mistake.expected


def test_every_code_has_an_example() -> None:
    shown = {code for mistake in _table() for code, _ in _problems(mistake.text)}

    assert shown | ELSEWHERE == set(CODES)
    assert not shown & ELSEWHERE


def test_the_base_itself_has_no_errors() -> None:
    book, problems = parse(BASE, "base.rules")

    assert problems == ()
    assert [each for each in check([book]) if each.severity == "error"] == []
