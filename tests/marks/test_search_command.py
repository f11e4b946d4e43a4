"""The command that imports a user's own marks."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner
from engine_numbers import setting_entries

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.import_command import command
from markrules.marks.private_list import open_search


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    path = tmp_path / "own" / "marks.sqlite"
    monkeypatch.setenv("MARKRULES_MARKS", str(path))
    return path


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(command, arguments)
    return result.exit_code, result.output


def file_of(folder: Path, text: str) -> str:
    path = folder / "list.csv"
    path.write_text(text)
    return str(path)


def test_adds_marks_to_the_users_own_list(own: Path, tmp_path: Path) -> None:
    file = file_of(tmp_path, "text,maker\nZELMIRA,Zelm\nABRAXO,Abra\n")

    assert run(file) == (0, "2 marks added.\n")
    assert run(file) == (0, "0 marks added. 2 were there before.\n")
    assert (
        open_search(KnowledgeBase("none", settings=setting_entries()))
        .search("ZELM...")
        .results[0]
        .title
        == "Zelm"
    )


def test_without_a_list_of_ones_own_the_rules_are_searched(own: Path) -> None:
    assert (
        open_search(KnowledgeBase("none", settings=setting_entries())).search("ZELM...").results
        == ()
    )


def test_a_dry_run_says_what_would_be(own: Path, tmp_path: Path) -> None:
    assert run(file_of(tmp_path, "text\nZELMIRA\n"), "--dry-run") == (
        0,
        "1 mark would be added. Nothing was changed.\n",
    )
    assert not own.exists()


def test_bad_lines_are_listed_and_the_exit_code_says_so(own: Path, tmp_path: Path) -> None:
    file = file_of(tmp_path, "text\nGOOD\n--\n")

    assert run(file) == (
        1,
        f"1 mark added.\n{file}: 1 bad line left out.\n  line 3: text has no letter\n",
    )


def test_answers_as_json(own: Path, tmp_path: Path) -> None:
    code, output = run(file_of(tmp_path, "text\n--\n"), "--json")

    assert code == 1
    assert json.loads(output)["problems"] == [{"line": 2, "message": "text has no letter"}]


def test_a_list_that_is_none_ends_with_a_plain_message(own: Path, tmp_path: Path) -> None:
    own.parent.mkdir()
    own.write_text("a text, and not a list of marks, long enough to be looked at")

    code, output = run(file_of(tmp_path, "text\nGOOD\n"))

    assert (code, output) == (3, f"Error: {own}: file is not a database\n")
