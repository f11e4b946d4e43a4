"""The other commands: guided look, marks, numbers, metal, rules, demo."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from command import TRACEBACK, answer, markrules, markrules_process
from samples import some_of
from shipped_base import shipped_base
from together import every_case

from markrules import __version__
from markrules.knowledge.places import rules_version, shipped_rules
from markrules.language.problems import Problem
from markrules.language.tree import Case
from markrules.reading import cases
from markrules.reading.reader import Reader

pytestmark = pytest.mark.slow


def test_version_and_help_answer() -> None:
    rules = rules_version(shipped_rules())
    said = f"markrules {__version__}, rules {rules}\n"
    assert markrules_process("--version").stdout == said
    changes = (Path(__file__).parents[2] / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.findall(r"(?m)^### Knowledge (.+)$", changes)[0] == rules
    done = markrules("--help")
    assert done.returncode == 0
    assert "Exit codes" in done.stdout


@every_case("name", ["read", "ask", "marks", "numbers", "metal", "rules", "demo"])
def test_each_command_has_help(name: str) -> None:
    done = markrules(name, "--help")

    assert done.returncode == 0
    assert name == "rules" or "markrules" in done.stdout


def test_a_guided_look_takes_answers_back_and_ends_with_the_reading() -> None:
    answers = ["w", "nonsense", "1", "b", "trombone clasp?", "s", "d", "q"]
    done = markrules("ask", "brooch", "--most", "9", text="\n".join(answers))

    assert done.returncode == 0, done.stderr
    assert "expected to narrow" in done.stdout
    assert "No rule knows these words" in done.stdout
    assert "trombone catch" in done.stdout.split("WHY")[1]
    assert "LOOK NEXT" in done.stdout


def listed(text: str, word: str) -> str:
    """The number under which an answer is listed."""
    found = re.search(rf"(\d+)  {word}\b", text)
    assert found is not None, word
    return found[1]


def test_a_guided_look_begins_with_how_it_is_worn() -> None:
    first = markrules("ask", text="q").stdout
    done = markrules("ask", text=f"{listed(first, 'on the ears')}\nq")

    assert "How is it worn?" in first
    assert "earrings: " in done.stdout
    kinds = markrules("ask", text="1\nq").stdout
    brooch = markrules("ask", text=f"1\n{listed(kinds, 'brooch')}\nq")
    assert "brooch: " in brooch.stdout


def test_several_things_are_answered_at_once_and_the_rest_is_not_asked_again() -> None:
    first = markrules("ask", "brooch", text="q").stdout
    numbers = f"{listed(first, 'rollover')}, {listed(first, 'ball hinge')}?"
    done = markrules("ask", "brooch", text=f"{numbers}\nq")

    assert "What holds the point of the pin" in first
    assert "catch = catch: rollover" in done.stdout or "rollover" in done.stdout.split("WHY")[1]
    again = done.stdout.partition("> ")[2]
    assert "Does the point of the pin reach beyond" not in again.partition("brooch: ")[0]


def test_another_kind_and_a_group_lead_to_a_second_list() -> None:
    first = markrules("ask", "brooch", text="q").stdout
    other = listed(first, "another kind")
    second = markrules("ask", "brooch", text=f"{other}\nd\nq").stdout
    lever = re.search(r"(\d+)  lever safety", second)

    assert lever is not None
    done = markrules("ask", "brooch", text=f"{other}\n{lever[1]}\nq")
    assert "lever safety" in done.stdout.split("WHY")[1]


def test_a_guided_look_says_why_it_ends() -> None:
    done = markrules("ask", "ring", "--most", "40", text="\n" * 40)

    assert "That is enough." in done.stdout
    assert "costs in effort" in done.stdout


def test_a_guided_look_that_is_left_ends_without_a_traceback() -> None:
    done = markrules("ask", "brooch", text="")

    assert TRACEBACK not in done.stderr


def test_a_half_read_mark_finds_its_maker_and_shows_the_letters() -> None:
    data = answer("marks", "?RIF...")
    first = data["results"][0]

    assert first["maker"] == "trifari"
    assert len(first["aligned"]) == 3
    assert 0 <= data["none_of_these"] <= 1


def test_a_faint_raised_mark_is_searched_as_a_partial_mark() -> None:
    data = answer("read", "brooch, raised cast mark, faint, marked N?PIER")

    assert data["makers"][0]["maker"] == "napier"


def test_marks_of_ones_own_are_found_after_an_import(tmp_path: Path) -> None:
    own = {"MARKRULES_MARKS": str(tmp_path / "marks.sqlite")}
    file = tmp_path / "own.csv"
    file.write_text("text,maker,years,note,source\nQUIXBOROUGH,Quixborough,1950-1960,,invented\n")
    dry = markrules("marks", "import", str(file), "--dry-run", env=own)
    before = markrules("marks", "QUIXB...", "--json", env=own)
    added = markrules("marks", "import", str(file), env=own)
    after = json.loads(markrules("marks", "QUIXB...", "--json", env=own).stdout)

    assert dry.returncode == added.returncode == 0
    assert "Quixborough" not in before.stdout
    assert after["results"][0]["name"] == "Quixborough"


def test_bad_reading_syntax_is_told_with_its_column() -> None:
    done = markrules("marks", "[CG")

    assert done.returncode == 2
    assert "column" in done.stderr
    assert TRACEBACK not in done.stderr


def test_numbers_tell_their_years() -> None:
    # US patent 1,798,867 was granted on 31 March 1931 (its own first page).
    first = answer("numbers", "PAT. 1,798,867")[0]

    assert (first["from"], first["to"]) == (1931, 1931)


def test_numbers_keep_to_the_width_of_a_terminal() -> None:
    done = markrules("numbers", "PAT. 1,798,867")

    assert "1931" in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())


def test_a_text_without_numbers_is_told_how_to_write_them() -> None:
    done = markrules("numbers", "nothing here")

    assert done.returncode == 2
    assert "Rd No" in done.stderr


def test_gold_filled_is_a_twentieth_of_twelve_karat() -> None:
    # 1/20 of 12/24 is 1/40 of the weight; 16 CFR 23.3(c) asks for the share to be named.
    mark = answer("metal", "1/20 12K GF", "--weight", "20", "--price", "31.1034768")
    reading = mark["marks"][0]

    assert reading["how"] == "filled"
    assert reading["fraction"] == "1/20"
    assert reading["karat"] == "12"
    assert mark["fine_grams"][1] == pytest.approx(20 / 40)
    assert mark["melt_value"][1] == pytest.approx(0.5)


def test_stones_heavier_than_the_piece_are_refused() -> None:
    done = markrules("metal", "14K", "--weight", "2", "--stones", "3")

    assert done.returncode == 2
    assert TRACEBACK not in done.stderr


def test_the_rules_hold_and_their_worked_examples_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of nearly two thousand examples is a reading: a small run takes a share of them."""
    kept = {each.name for each in some_of(shipped_base().cases.values())}
    read, tried = cases.check_case, set()

    def check_case(reader: Reader, case: Case) -> tuple[Problem, ...]:
        if case.name not in kept:
            return ()
        tried.add(case.name)
        return read(reader, case)

    monkeypatch.setattr(cases, "check_case", check_case)
    done = markrules("rules", "check")

    assert done.returncode == 0, done.stdout[-3000:]
    assert "0 errors" in done.stdout
    assert tried == kept


def test_the_rules_are_in_the_one_common_form() -> None:
    files = some_of(sorted((Path(__file__).parents[2] / "rules").rglob("*.rules")))
    done = markrules("rules", "format", "--check", *map(str, files))

    assert done.returncode == 0, done.stdout


def test_rules_are_listed_and_shown() -> None:
    counts = answer("rules", "list")

    assert counts["clues"] >= 300
    assert counts["signs"] >= 40
    assert counts["faults"] >= 40
    assert counts["cautions"] >= 25
    assert "rollover-catch" in json.dumps(answer("rules", "list", "clues"))
    assert "clue rollover-catch" in markrules("rules", "show", "rollover-catch").stdout
    missing = markrules("rules", "show", "rolover-catch")
    assert missing.returncode == 2
    assert "rollover-catch" in missing.stderr


GRANDMOTHER = """
clue grandmothers-clasp
    when  clasp is spring-bow
    made  mostly 1921 to 1926
    trust strong
    why   "Seen on three dated pieces of one family."
    cite  from-memory

feature grandmothers-back
    ask   "Is the back stamped with a bow?"
    value spring-bow "a stamped bow"
        also "bow back", "stamped bow"
"""


def test_a_folder_of_own_rules_is_read_and_checked(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    text = GRANDMOTHER.replace("clasp is", "grandmothers-back is")
    (own / "family.rules").write_text(text)
    data = answer("read", "necklace, stamped bow", "--looks", "0", "--rules", str(own))

    assert [each["clue"] for each in data["clues"]] == ["grandmothers-clasp"]
    assert data["date"]["from"] >= 1915
    assert data["date"]["to"] <= 1932


def test_an_error_in_own_rules_is_placed_and_nothing_is_read(tmp_path: Path) -> None:
    own = tmp_path / "own"
    own.mkdir()
    (own / "family.rules").write_text("clue x\n    when catch is rolover\n    trust strong\n")
    done = markrules("read", "brooch", "--rules", str(own))

    assert done.returncode == 1
    assert "family.rules:2:" in done.stderr
    assert "rollover" in done.stderr
    assert TRACEBACK not in done.stderr


def test_the_demo_reads_its_box() -> None:
    done = markrules_process("demo")

    assert done.returncode == 0, done.stderr
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "invented" in done.stdout
    assert "WHAT DOES NOT FIT" in done.stdout


def test_the_demo_refuses_a_piece_it_does_not_have() -> None:
    done = markrules("demo", "--piece", "99")

    assert done.returncode == 2
    assert "01 to 48" in done.stderr


def test_a_look_alike_of_a_makers_name_is_said_to_be_one() -> None:
    """SHEARMAN is a common surname, and not the maker whose name lacks its A."""
    alike = " ".join(markrules("read", "brooch, marked SHEARMAN").stdout.split())
    exact = markrules("read", "brooch, marked SHERMAN").stdout

    assert '"SHEARMAN", read in full: not in these rules.' in alike
    assert "only if A is not on the mark" in alike
    assert "only if" not in exact


def test_an_empty_note_enters_nothing(tmp_path: Path) -> None:
    own = {"MARKRULES_CATALOGUE": str(tmp_path / "box.db")}
    markrules("box", "start", "tin", env=own)
    done = markrules("box", "add", "tin", "brooch, rollover catch", " ", env=own)
    listed = json.loads(markrules("box", "show", "tin", "--json", env=own).stdout)

    assert done.returncode == 2
    assert "note 2 is empty" in done.stderr
    assert listed == []


def test_a_list_calls_makers_by_their_names_and_is_sure_of_none(tmp_path: Path) -> None:
    own = {"MARKRULES_CATALOGUE": str(tmp_path / "box.db")}
    markrules("box", "start", "tin", env=own)
    markrules("box", "add", "tin", "brooch, signed GEORG JENSEN, 925 S", "pin, TRIFARI ©", env=own)
    markrules("box", "read", "tin", env=own)
    lines = markrules("box", "show", "tin", env=own).stdout.splitlines()

    assert "Georg Jensen" in lines[1]
    assert "Trifari" in lines[2]
    assert lines[2].endswith("over 99%")
    assert all(len(line) <= 80 for line in lines)


@every_case("words", [(), ("box",), ("rules",), ("marks",)])
def test_a_group_alone_shows_its_help_and_no_error(words: tuple[str, ...]) -> None:
    done = markrules(*words)

    assert done.returncode == 2
    assert "Commands:" in done.stdout
    assert done.stderr == ""


@every_case(("typed", "meant"), [("raed", "read"), ("serv", "serve"), ("sheets", "sheet")])
def test_a_misspelt_command_is_told_with_the_nearest(typed: str, meant: str) -> None:
    done = markrules(typed)

    assert done.returncode == 2
    assert f'No command is called "{typed}". Did you mean "{meant}"?' in done.stderr


@every_case(
    ("typed", "meant"),
    [("undo", '"box undo"'), ("photo", '"piece photo"'), ("sold", '"sell sold"')],
)
def test_a_command_of_a_group_is_told_with_its_group(typed: str, meant: str) -> None:
    done = markrules(typed, "attic tin")

    assert done.returncode == 2
    assert f'No command is called "{typed}". Did you mean {meant}?' in done.stderr


@every_case("group", ["box", "piece", "sell", "sheet", "rules", "prices", "stones", "figures"])
def test_the_list_of_commands_cuts_no_summary(group: str) -> None:
    told = markrules(group, "--help").stdout
    listed = told.partition("Commands:")[2]

    assert listed.strip()
    assert "..." not in listed
    assert all(len(line) <= 80 for line in listed.splitlines())


def test_a_mark_read_in_part_that_nobody_listed_has_is_told_so() -> None:
    done = markrules("read", "brooch, marked FEN?ICK", "--looks", "0")

    assert "read in part: most likely of a maker not in these rules" in " ".join(
        done.stdout.split()
    )
    assert "markrules marks 'FEN?ICK'" in done.stdout
    named = markrules("read", "brooch, marked ?RIF...", "--looks", "0").stdout
    assert "most likely of a maker not" not in " ".join(named.split())


def test_rules_in_a_file_are_asked_for_by_their_folder(tmp_path: Path) -> None:
    held = tmp_path / "family.rules"
    held.write_text("", encoding="utf-8")
    done = markrules("rules", "check", str(held))

    assert done.returncode == 3
    assert "name the folder of rules that it lies in" in done.stderr
    missing = markrules("rules", "check", str(tmp_path / "none")).stderr
    assert "there is no such folder of rules" in missing


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
def test_help_on_a_full_disk_says_so() -> None:
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "markrules", "--help"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )

    assert done.returncode == 3
    assert "could not be: No space left on device" in done.stderr


def test_what_a_piece_is_worth_fits_a_narrow_terminal(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = str(tmp_path / "catalogue.db")
    note = "brooch, rollover catch, two stones missing, the plating worn through at the high points"
    markrules("box", "start", "tin", "--catalogue", held)
    markrules("box", "add", "tin", note, "ring, marked 14K", "--catalogue", held)
    monkeypatch.setenv("COLUMNS", "60")
    asked = (["value", "tin", "1"], ["decide", "tin"], ["decide", "tin", "1"], ["glance", "tin"])
    told = [markrules(*words, "--catalogue", held) for words in asked]
    told.append(markrules("piece", "show", "tin", "1", "--catalogue", held))
    told.append(markrules("stones", "match", "--for", "tin", "1", "--catalogue", held))

    assert all(each.returncode == 0 for each in told), [each.stderr for each in told]
    assert [line for each in told for line in each.stdout.split("\n") if len(line) > 60] == []
