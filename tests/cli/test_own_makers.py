"""A maker of one's own, added with one command, read at once, and taken out again."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command import markrules
from hypothesis import given, settings
from hypothesis import strategies as st
from shipped_base import shipped_base
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.language.tree import Maker
from markrules.tasks import own_makers
from markrules.tasks.own_makers import OwnMaker, OwnMakerProblem, add_maker, take_out_maker


@pytest.fixture
def own(tmp_path: Path) -> dict[str, str]:
    return {"MARKRULES_RULES": str(tmp_path / "rules")}


def test_an_unlisted_mark_tells_the_command_that_adds_it(own: dict[str, str]) -> None:
    shown = " ".join(markrules("read", "brooch, marked NOVAK", env=own).stdout.split())

    assert '"NOVAK", read in full: not in these rules.' in shown
    assert "No listed mark is near." in shown
    assert "markrules rules add-maker 'NOVAK' (where known with --years, --country" in shown
    assert "1950" not in shown.partition("add-maker")[2].partition("LOOK")[0]


def test_what_is_added_is_read_at_once_and_can_be_undone(own: dict[str, str]) -> None:
    read = ("read", "brooch, marked NOVAK", "--json", "--looks", "0")
    given_years = ("--years", "1950-1970", "--country", "USA", "--from", "its card")
    done = markrules("rules", "add-maker", "Novak Studio", "--mark", "NOVAK", *given_years, env=own)
    known = json.loads(markrules(*read, env=own).stdout)
    undone = markrules("rules", "take-out-maker", env=own)
    after = json.loads(markrules(*read, env=own).stdout)

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


@every_case(
    ("years", "window"),
    [
        ("1950-1970", "mostly 1950 to 1970"),
        ("1950 to 1970", "mostly 1950 to 1970"),
        ("1950–1950", "mostly 1950"),
        ("from 1950", "mostly 1950 onward"),
        ("until 1970", "mostly until 1970"),
        ("1955", "mostly 1955"),
        ("1960s", "mostly 1960 to 1969"),
        ("c. 1955-60", "mostly 1955 to 1960"),
        ("late 1950s", "mostly 1956 to 1959"),
        ("", ""),
    ],
)
def test_years_as_a_person_writes_them(years: str, window: str) -> None:
    assert own_makers._window(years) == window


def test_a_maker_of_a_listed_name_stands_beside_it_and_says_so(tmp_path: Path) -> None:
    own = add_maker(shipped_base(), OwnMaker("Trifari", "TRIFARY"), tmp_path)

    assert own.entry not in shipped_base().makers
    assert own.beside == "trifari"


def read_back(folder: Path) -> dict[str, Maker]:
    """The makers of the file, as the rules have them."""
    base, problems = load([folder], cache_folder=None)
    assert not [each for each in problems if each.severity == "error"]
    return {name: each for name, each in base.makers.items() if name.startswith("novak")}


def test_a_name_given_twice_makes_one_entry_with_both_marks(tmp_path: Path) -> None:
    base = shipped_base()
    first = add_maker(base, OwnMaker("Novak Studio", "NOVAK", "1950-1960"), tmp_path)
    add_maker(base, OwnMaker("Another", "ANOTHER"), tmp_path)
    second = add_maker(base, OwnMaker("novak studio", "N. STUDIO", "1958-1972"), tmp_path)
    third = add_maker(base, OwnMaker("Novak Studio", "Novak", country="Austria"), tmp_path)
    again = add_maker(base, OwnMaker("Novak Studio", "NOVAK", "1950-1960"), tmp_path)

    assert first.entry == second.entry == third.entry
    assert (second.done, third.done, again.done) == ("extended", "extended", "known")
    (maker,) = read_back(tmp_path).values()
    assert [each.text for each in maker.marks] == ["NOVAK", "N. STUDIO"]
    assert maker.country == "Austria"
    assert maker.works is not None
    assert maker.works.mostly_first is not None
    assert maker.works.mostly_last is not None
    assert (maker.works.mostly_first.number, maker.works.mostly_last.number) == (1950, 1972)


def test_years_that_differ_from_those_written_are_refused(tmp_path: Path) -> None:
    add_maker(shipped_base(), OwnMaker("Novak", years="1950-1960"), tmp_path)

    with pytest.raises(OwnMakerProblem, match="1950 to 1960"):
        add_maker(shipped_base(), OwnMaker("Novak", years="1930-1940"), tmp_path)
    add_maker(shipped_base(), OwnMaker("Novak", country="Austria"), tmp_path)
    with pytest.raises(OwnMakerProblem, match="Austria"):
        add_maker(shipped_base(), OwnMaker("Novak", country="USA"), tmp_path)

    text = (tmp_path / own_makers.FILE).read_text()
    assert "1930" not in text
    assert "USA" not in text


def test_what_was_added_last_goes_first(tmp_path: Path) -> None:
    base = shipped_base()
    add_maker(base, OwnMaker('Novak "N"', 'NO"VAK'), tmp_path)
    add_maker(base, OwnMaker("Another", "ANOTHER"), tmp_path)
    add_maker(base, OwnMaker('Novak "N"', "NVK"), tmp_path)

    take_out_maker("", tmp_path)
    assert [each.text for each in read_back(tmp_path)["novak-n"].marks] == ['NO"VAK']
    add_maker(base, OwnMaker('Novak "N"', "NVK"), tmp_path)
    take_out_maker("novak-n", tmp_path, mark='NO"VAK')
    assert [each.text for each in read_back(tmp_path)["novak-n"].marks] == ["NVK"]
    with pytest.raises(OwnMakerProblem, match="is not among"):
        take_out_maker("nobody", tmp_path)
    take_out_maker("", tmp_path)
    assert not read_back(tmp_path)
    assert "ANOTHER" in (tmp_path / own_makers.FILE).read_text()


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
