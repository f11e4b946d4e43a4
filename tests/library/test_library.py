"""The package as a library: what is promised in its reference, tried as a program would."""

from __future__ import annotations

import doctest
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from command import answer
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import LAST_YEAR, shipped_reader

import markrules
from markrules import library

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
NOTE = "brooch, rollover catch, gilt sterling, mark ?RIF..."


@pytest.fixture(scope="module")
def rules() -> markrules.Rules:
    return markrules.Rules(shipped_reader())


def test_every_name_of_the_library_stands_in_the_package_and_no_other() -> None:
    for name in library.__all__:
        assert getattr(markrules, name) is getattr(library, name)
    assert set(library.__all__) < set(dir(markrules))
    with pytest.raises(AttributeError, match="no attribute 'reed'"):
        markrules.reed  # type: ignore[attr-defined]  # noqa: B018


def test_to_import_the_package_imports_nothing_else() -> None:
    program = (
        "import sys; before = set(sys.modules); import markrules;"
        "print(sorted(set(sys.modules) - before))"
    )
    done = subprocess.run(
        [sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "['markrules']"


def test_a_program_that_uses_it_is_checked_by_its_types(tmp_path: Path) -> None:
    """Judged by mypy in a folder of its own: the package says that it has types."""
    file = tmp_path / "program.py"
    file.write_text(
        "import markrules\n"
        "reading: markrules.Reading = markrules.read('brooch', marks=['?RIF...'])\n"
        "first: int = reading.date.range.first\n"
        "wrong: str = reading.date.range.first\n",
        encoding="utf-8",
    )
    done = subprocess.run(
        [sys.executable, "-m", "mypy", "--strict", "--config-file=", str(file)],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        env={"PYTHONPATH": str(ROOT), "MYPYPATH": "", "PATH": ""},
    )

    assert [line.split(": ")[0].rpartition(":")[2] for line in done.stdout.splitlines()[:-1]] == [
        "4"
    ], done.stdout
    assert (ROOT / "markrules" / "py.typed").is_file()


def test_a_reading_is_that_of_the_command(rules: markrules.Rules) -> None:
    reading = rules.read(NOTE)

    assert json.loads(json.dumps(markrules.as_data(reading, rules.metals(reading)))) == answer(
        "read", NOTE
    )


def test_what_is_seen_by_name_stands_before_the_note(rules: markrules.Rules) -> None:
    by_name = rules.read("brooch, c catch", seen=["catch=rollover"])
    by_hand = rules.read("brooch", seen=[markrules.Observation("catch", "rollover")])

    assert by_name.date == by_hand.date
    assert {each.value for each in by_name.observations if each.feature == "catch"} == {"rollover"}


def test_many_are_read_as_one_is(rules: markrules.Rules) -> None:
    notes = [NOTE, "", "bangle, bakelite", "earrings, clip, unsigned"]
    many = [*rules.read_many([*notes, rules.request(NOTE, next_looks=2)])]

    assert many[:4] == [rules.read(note, next_looks=0) for note in notes]
    assert many[4] == rules.read(NOTE, next_looks=2)


def test_many_are_read_as_they_are_asked_for(rules: markrules.Rules) -> None:
    asked: list[int] = []

    def notes() -> object:
        for number in range(100):
            asked.append(number)
            yield "brooch"

    readings = rules.read_many(notes())  # type: ignore[arg-type]
    next(readings)
    next(readings)

    assert asked == [0, 1]


@given(note=st.text(max_size=60), marks=st.lists(st.text(max_size=12), max_size=2))
def test_no_note_raises(note: str, marks: list[str]) -> None:
    reading = markrules.Rules(shipped_reader()).read(note, marks=marks, next_looks=0)

    assert abs(sum(reading.date.curve) - 1) < 1e-9
    json.dumps(markrules.as_data(reading))


def test_what_is_not_known_is_told_with_the_nearest(rules: markrules.Rules) -> None:
    with pytest.raises(markrules.WordProblem, match='nearest: "rollover"'):
        rules.read("brooch", seen=["catch=rolover"])
    with pytest.raises(markrules.WordProblem, match='nearest: "catch"'):
        rules.read("brooch", without=["katch"])
    with pytest.raises(markrules.WordProblem, match='no origin is called "bocks"'):
        rules.read("brooch", origin="bocks")
    with pytest.raises(ValueError, match="share from"):
        rules.read("brooch", mass=80)
    with pytest.raises(ValueError, match=r"not one text: \['catch=rollover'\]"):
        rules.read("brooch", seen="catch=rollover")
    with pytest.raises(markrules.MarkSyntaxError):
        rules.search_mark("[")
    with pytest.raises(TypeError, match="str has no form"):
        markrules.as_data("brooch")  # type: ignore[arg-type]


def test_marks_and_numbers_are_those_of_the_commands(rules: markrules.Rules) -> None:
    """The year of US patent 1,798,867 is 1931 by the Patent Office's table of first numbers."""
    found = rules.search_mark("?RIF...", 3)
    number = rules.decode_numbers("PAT. 1,798,867")[0]
    metal = rules.decode_metal("1/20 12K GF")[0]

    stamped = {"schema": "markrules-marks/1", **markrules.as_data(found)}
    assert json.loads(json.dumps(stamped)) == answer("marks", "?RIF...", "--most", "3")
    assert (number.first, number.last) == (1931, 1931)
    assert metal.fine_share == pytest.approx((0.025, 0.025))
    assert rules.decode_numbers("no number here") == ()


def test_rules_of_ones_own_are_opened_and_checked(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "bow.rules").write_text(
        'feature bow-clasp\n    ask "Is it a bow?"\n    value stamped-bow "a stamped bow"\n\n'
        "clue a-bow\n    when bow-clasp is stamped-bow\n    made mostly 1921 to 1926\n"
        '    trust moderate\n    why "Invented."\n    cite from-memory\n',
        encoding="utf-8",
    )
    opened = markrules.open_rules(own, personal=False, last_year=LAST_YEAR)

    assert opened.base.clues["a-bow"].why == "Invented."
    assert opened.version != shipped_reader().base.version
    read = opened.read("necklace, stamped bow", next_looks=0)
    assert [each.clue for each in read.clues] == ["a-bow"]
    assert markrules.check_rules(own, cases=False) == ()


def test_broken_rules_are_told_with_their_place(tmp_path: Path) -> None:
    (tmp_path / "odd.rules").write_text(
        "clue odd\n    when catch is rollovr\n    made mostly 1920\n    trust weak\n"
        '    why "Invented."\n    cite from-memory\n',
        encoding="utf-8",
    )

    with pytest.raises(markrules.RulesProblem, match=r"odd\.rules:\d+:\d+: ") as caught:
        markrules.open_rules(tmp_path, personal=False)
    told = markrules.check_rules(tmp_path, cases=False)

    assert caught.value.problems == tuple(each for each in told if each.severity == "error")
    assert any(each.nearest == "rollover" for each in told)
    with pytest.raises(markrules.RulesProblem, match="no such folder"):
        markrules.open_rules(tmp_path / "missing")
    with pytest.raises(markrules.RulesProblem, match="no such folder"):
        markrules.check_rules(tmp_path / "missing")


def test_a_catalogue_is_opened_and_never_made_unasked(tmp_path: Path) -> None:
    place = tmp_path / "tin.db"
    with pytest.raises(markrules.FileTrouble, match="no such catalogue"):
        markrules.open_catalogue(place)
    assert not place.exists()

    with markrules.open_catalogue(place, create=True) as catalogue:
        catalogue.boxes.start("invented tin")
    with markrules.open_catalogue(str(place)) as catalogue:
        assert [each.name for each in catalogue.boxes.all()] == ["invented tin"]


@pytest.mark.parametrize("text", [ROOT / "docs" / "library.md"], ids=["library.md"])
def test_the_examples_of_the_pages_are_true(text: Path) -> None:
    failed, tried = doctest.testfile(str(text), module_relative=False, optionflags=doctest.ELLIPSIS)

    assert tried >= 10
    assert failed == 0


def test_the_reference_pages_and_the_counts_are_as_generated() -> None:
    """`python docs/make_reference.py` writes them anew."""
    sys.path.insert(0, str(ROOT / "docs"))
    try:
        from make_reference import pages, readme
    finally:
        sys.path.pop(0)
    assert (ROOT / "README.md").read_text(encoding="utf-8") == readme()
    for file, text in pages().items():
        assert (ROOT / "docs" / file).read_text(encoding="utf-8") == text, file


def test_the_example_of_the_readme_is_answered_as_now() -> None:
    """But for what moves with the rules: `python docs/make_reference.py` writes it anew."""
    sys.path.insert(0, str(ROOT / "docs"))
    try:
        from make_reference import readme_with_sample
    finally:
        sys.path.pop(0)
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    told, now = (
        each.partition("    $ ")[2].partition("`?` is")[0] for each in (text, readme_with_sample())
    )

    for begin in (
        r"    [A-Z ]+$",
        r"    brooch: \d{4}–\d{4} \(\d+%\)$",
        r"      \d+%  Trifari, Krussman & Fishel",
    ):
        found, wanted = (
            [re.sub(r"\d+", "0", each) for each in part.splitlines() if re.match(begin, each)]
            for part in (told, now)
        )
        assert found == wanted != []


def test_rules_are_told_in_a_line_where_an_interpreter_shows_them() -> None:
    shown = repr(markrules.open_rules())

    assert len(shown) < 300
    assert markrules.open_rules().version in shown
