"""Rules of one's own that take back what came before them, or put another in its place."""

from __future__ import annotations

from pathlib import Path

import pytest
from command import markrules

from markrules.knowledge.base import KnowledgeBase, MissingSetting
from markrules.knowledge.loading import load
from markrules.language.formatter import format_text
from markrules.language.problems import Problem

SHIPPED = """
trust strong
    misread 6%

feature catch
    ask   "How does it close?"
    value rollover
    value open-c

clue rollover-catch
    when  catch is rollover
    made  from 1911
    trust strong
    why   "Patented."
    cite  from-memory

case a-rollover
    given  catch is rollover
    expect clue rollover-catch
    cite   from-memory
"""
WITHDRAWAL = """withdraw rollover-catch
    kind clue
    why  "Older with us."
"""
OTHER = """
clue rollover-catch
    when  catch is rollover
    made  from 1905
    trust strong
    why   "Dated pieces of one family."
    cite  from-memory
"""


def loaded(tmp_path: Path, own: str, cache: bool = False) -> tuple[KnowledgeBase, list[Problem]]:
    folders = [tmp_path / "shipped", tmp_path / "own"]
    for folder, text in zip(folders, (SHIPPED, own), strict=True):
        folder.mkdir(exist_ok=True)
        (folder / "a.rules").write_text(text, encoding="utf-8")
    base, problems = load(folders, cache_folder=tmp_path / "cache" if cache else None)
    return base, [each for each in problems if each.severity == "error"]


def test_a_withdrawn_clue_is_gone_with_the_example_that_expects_it(tmp_path: Path) -> None:
    base, errors = loaded(tmp_path, WITHDRAWAL)

    assert errors == []
    assert "rollover-catch" not in base.clues
    assert "a-rollover" not in base.cases
    assert not base.withdrawals["rollover-catch"].replaced


def test_an_entry_beside_the_withdrawal_stands_in_its_place(tmp_path: Path) -> None:
    base, errors = loaded(tmp_path, WITHDRAWAL + OTHER)

    assert errors == []
    made = base.clues["rollover-catch"].made
    assert made is not None
    assert made.first is not None
    assert made.first.number == 1905
    assert "a-rollover" in base.cases
    assert base.withdrawals["rollover-catch"].replaced


def test_without_a_withdrawal_a_taken_name_stays_an_error(tmp_path: Path) -> None:
    _, errors = loaded(tmp_path, OTHER)

    assert [each.code for each in errors] == ["doubled-name"]


def test_a_withdrawal_that_finds_nothing_is_told_with_the_nearest_name(tmp_path: Path) -> None:
    base, errors = loaded(tmp_path, WITHDRAWAL.replace("rollover", "rolover"))

    assert [(each.code, each.nearest) for each in errors] == [
        ("nothing-withdrawn", "rollover-catch")
    ]
    assert errors[0].place.line == 1
    assert "rollover-catch" in base.clues


def test_a_number_of_the_engine_is_replaced_and_never_taken_away(tmp_path: Path) -> None:
    number = 'setting lot-least\n    value {}\n    why   "Invented."\n'
    taken = 'withdraw lot-least\n    kind setting\n    why  "Invented."\n'
    for name, text in (("first", number.format(3)), ("alone", taken)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "a.rules").write_text(text, encoding="utf-8")
    (tmp_path / "beside").mkdir()
    (tmp_path / "beside" / "a.rules").write_text(taken + "\n" + number.format(5), encoding="utf-8")

    base, problems = load([tmp_path / "first", tmp_path / "alone"], cache_folder=None)
    other, none = load([tmp_path / "first", tmp_path / "beside"], cache_folder=None)

    assert [(each.code, each.place.line) for each in problems] == [("needed", 1)]
    assert base.setting("lot-least") == 3
    assert none == ()
    assert other.setting("lot-least") == 5


def test_a_number_that_no_rule_gives_is_named() -> None:
    with pytest.raises(MissingSetting, match='no setting "lot-least"'):
        KnowledgeBase("empty").setting("lot-least")
    assert KnowledgeBase("empty").setting("lot-least", 4.0) == 4.0


def test_the_first_rules_have_nothing_to_withdraw(tmp_path: Path) -> None:
    (tmp_path / "a.rules").write_text(SHIPPED + WITHDRAWAL, encoding="utf-8")

    _, problems = load([tmp_path], cache_folder=None)

    assert "nothing-withdrawn" in {each.code for each in problems}


def test_the_cache_gives_the_same(tmp_path: Path) -> None:
    first, _ = loaded(tmp_path, WITHDRAWAL + OTHER, cache=True)
    again, _ = loaded(tmp_path, WITHDRAWAL + OTHER, cache=True)

    assert dict(again.withdrawals) == dict(first.withdrawals)
    assert dict(again.clues) == dict(first.clues)


def test_a_withdrawal_is_kept_by_the_formatter() -> None:
    assert format_text(WITHDRAWAL, "a.rules") == (WITHDRAWAL, ())


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("", "Your own rules withdraw the clue rollover catch: Older with us."),
        (OTHER, "The clue rollover catch is that of your own rules: Older with us."),
    ],
)
def test_a_reading_says_what_was_withdrawn(tmp_path: Path, more: str, said: str) -> None:
    (tmp_path / "own.rules").write_text(WITHDRAWAL + more, encoding="utf-8")

    looks = ("--looks", "0")  # to work out the tables of looks anew would take longest

    told = markrules("read", "brooch, rollover catch", *looks, "--rules", str(tmp_path))
    other = markrules("read", "brooch, screw back", *looks, "--rules", str(tmp_path))

    assert told.returncode == 0, told.stderr
    assert said in " ".join(told.stdout.split())
    assert "own rules" not in other.stdout
