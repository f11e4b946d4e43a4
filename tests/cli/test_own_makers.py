"""A maker of one's own, added with one command, read at once, and taken out again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command import markrules
from hypothesis import given, settings
from hypothesis import strategies as st

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.tasks import own_makers
from markrules.tasks.own_makers import OwnMaker, OwnMakerProblem, add_maker, take_out_maker


@pytest.fixture
def own(tmp_path: Path) -> dict[str, str]:
    return {"MARKRULES_RULES": str(tmp_path / "rules")}


def test_an_unlisted_mark_tells_the_command_that_adds_it(own: dict[str, str]) -> None:
    shown = " ".join(markrules("read", "brooch, marked NOVAK", env=own).stdout.split())

    assert '"NOVAK", read in full: not in these rules.' in shown
    assert "Nearest listed:" in shown
    assert "markrules rules add-maker 'NOVAK'" in shown


def test_what_is_added_is_read_at_once_and_can_be_undone(own: dict[str, str]) -> None:
    given_years = ("--years", "1950-1970", "--country", "USA", "--from", "its card")
    done = markrules("rules", "add-maker", "Novak Studio", "--mark", "NOVAK", *given_years, env=own)
    known = json.loads(markrules("read", "brooch, marked NOVAK", "--json", env=own).stdout)
    undone = markrules("rules", "take-out-maker", env=own)
    after = json.loads(markrules("read", "brooch, marked NOVAK", "--json", env=own).stdout)

    assert done.returncode == undone.returncode == 0
    assert known["makers"][0]["name"] == "Novak Studio"
    assert known["makers"][0]["probability"] > 0.95
    assert 1945 <= known["date"]["from"] <= known["date"]["to"] <= 1975
    assert known["marks"] == [{"text": "NOVAK", "read": "in full", "unlisted": False}]
    assert after["makers"][0]["maker"] == ""
    assert after["marks"][0]["unlisted"]


def test_bad_years_are_told_and_nothing_is_written(own: dict[str, str]) -> None:
    done = markrules("rules", "add-maker", "Novak", "--years", "1970-1950", env=own)

    assert done.returncode == 2
    assert "the first year comes after the last" in done.stderr
    assert not Path(own["MARKRULES_RULES"]).exists()


@pytest.mark.parametrize(
    ("years", "window"),
    [
        ("1950-1970", "mostly 1950 to 1970"),
        ("1950 to 1970", "mostly 1950 to 1970"),
        ("1950–1950", "mostly 1950"),
        ("from 1950", "mostly 1950 onward"),
        ("until 1970", "mostly until 1970"),
        ("1955", "mostly 1955"),
        ("", ""),
    ],
)
def test_years_as_a_person_writes_them(years: str, window: str) -> None:
    assert own_makers._window(years) == window


def test_a_second_maker_of_a_name_has_a_name_of_its_own(tmp_path: Path) -> None:
    base, _ = load([shipped_rules()], cache_folder=None)
    first = add_maker(base, OwnMaker("Trifari", "TRIFARY"), tmp_path)
    second = add_maker(base, OwnMaker("Trifari", "TRIFARIE"), tmp_path)

    assert first.entry not in base.makers
    assert first.entry != second.entry
    assert take_out_maker(first.entry, tmp_path).entry == first.entry
    assert "TRIFARIE" in (tmp_path / own_makers.FILE).read_text()


@given(st.text(max_size=60), st.text(max_size=60))
@settings(max_examples=60, deadline=None)
def test_no_text_breaks_the_file(name: str, mark: str) -> None:
    """Hostile names and marks are escaped, or refused with a reason."""
    from markrules.language.parser import parse

    try:
        entry = own_makers._entry("a", OwnMaker(name, mark, known_from=mark, note=name))
    except OwnMakerProblem:
        return
    book, problems = parse(entry, "own.rules")
    assert not problems
    assert own_makers._free_name(KnowledgeBase("none"), "", name)
    assert len(book.entries) == 1
