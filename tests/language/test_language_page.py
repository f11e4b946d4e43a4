"""The page that teaches the rule language is true: its examples parse, its table is whole."""

from __future__ import annotations

import re
import textwrap
from pathlib import Path

from together import every_case

from markrules.language.checks.names import RESERVED_FEATURES, RESERVED_VALUES
from markrules.language.codes import CODES
from markrules.language.formatter import format_text
from markrules.language.kinds import KINDS, SHAPES
from markrules.language.parser import parse

PAGE = (Path(__file__).parents[2] / "rules" / "LANGUAGE.md").read_text(encoding="utf-8")


def _blocks() -> list[str]:
    """The indented blocks of the page, with sense in place of each lone ellipsis."""
    found = re.findall(r"(?:^    .*\n(?:\n(?=    ))?)+", PAGE, flags=re.MULTILINE)
    plain = (textwrap.dedent(block) for block in found)
    return [re.sub(r"(cite|when)(\s+)…", r"\1\2KEY-\1", block) for block in plain]


def _entries() -> list[str]:
    made = (
        block.replace("KEY-cite", "from-memory").replace("KEY-when", "catch is seen")
        for block in _blocks()
    )
    return [block for block in made if block.split()[0] in KINDS]


@every_case("text", _entries(), ids=lambda text: text.split("\n")[0][:30])
def test_the_entries_on_the_page_parse_and_can_be_formatted(text: str) -> None:
    assert parse(text, "x")[1] == ()
    assert format_text(text, "x")[1] == ()


def test_every_kind_of_entry_and_every_line_is_on_the_page() -> None:
    shown = {line.split()[0] for line in "\n".join(_entries()).splitlines() if line.strip()}

    assert set(KINDS) <= shown
    assert {key for shape in SHAPES.values() for key in shape.keys} - shown <= {
        "poorer",
        "neutral",
    }


def test_the_conditions_on_the_page_parse() -> None:
    (block,) = (block for block in _blocks() if block.startswith("catch is rollover"))
    plain = re.sub(r"#.*", "", block)
    cells = [cell for line in plain.splitlines() for cell in re.split(r"  +", line) if cell]

    assert len(cells) > 15
    for cell in cells:
        condition = re.sub(r"\b[ABC]\b", "a is b", cell)
        assert parse(f"finding f\n    when {condition}\n", "x")[1] == (), cell


def test_the_windows_on_the_page_parse() -> None:
    (block,) = (block for block in _blocks() if block.startswith("from 1911"))
    windows = re.findall(
        r"(?:from|mostly|until|except|fade) [0-9a-z ]*?[0-9a-z](?=  |,|$)", block, re.M
    )

    assert len(windows) >= 9
    for window in windows:
        assert parse(f'maker m\n    title "M"\n    works {window}\n', "x")[1] == (), window


def test_the_table_of_problems_is_that_of_the_checker() -> None:
    rows = re.findall(r"^\| `([a-z0-9-]+)` \| (.*?) \|$", PAGE, flags=re.MULTILINE)

    assert dict(rows) == dict(CODES)
    assert [code for code, _ in rows] == sorted(CODES)


def test_words_that_are_no_names_are_on_the_page() -> None:
    for word in (*RESERVED_VALUES, "found", "at", "not", "year"):
        assert f"`{word}`" in PAGE
    assert set(RESERVED_FEATURES) >= {"found", "at", "not", "year"}
