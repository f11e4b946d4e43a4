"""The commands, from notes to decisions, in a catalogue of their own. All pieces are invented."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from appraisal_building import GIVEN
from click.testing import CliRunner, Result

from markrules.cli.commands import cli

Run = Callable[..., Result]

NOTES = (
    "handsome unsigned brooch, heavy in the hand, prong set stones, no stones missing",
    "brooch, two dark mismatched stones, lifting plating",
    "brooch, prong set, one round stone missing, otherwise good",
    "brooch, broken, rhinestones",
    "brooch marked TRIFARI",
    "ring marked 14K, 4 g",
)
WANTED = ("alone", "lot", "mend", "stones", "alone", "test")


@pytest.fixture
def run(tmp_path: Path) -> Run:
    place = str(tmp_path / "catalogue.db")

    def call(*arguments: str, fails: int = 0) -> Result:
        found = CliRunner().invoke(cli, arguments, env={"MARKRULES_CATALOGUE": place})
        assert found.exit_code == fails, found.output
        return found

    return call


@pytest.fixture
def tin(run: Run) -> Run:
    run("box", "start", "tin")
    run("box", "add", "tin", *NOTES)
    for day, price in enumerate((30, 35, 38, 42, 50), 1):
        run("prices", "add", str(price), "EUR", "--day", f"2026-03-0{day}", "--type", "brooch",
            "--unsigned", "--condition", "light wear", "--years", "1940-1965")  # fmt: skip
    for name, value in GIVEN.items():
        run("figures", "set", name, value)
    return run


def data(found: Result) -> Any:
    return json.loads(found.output)


def test_every_piece_of_a_box_gets_its_decision(tin: Run) -> None:
    found = data(tin("decide", "tin", "--json"))

    assert tuple(each["decision"]["choice"] for each in found["pieces"]) == WANTED
    assert [each["number"] for each in found["pieces"]] == [1, 2, 3, 4, 5, 6]


def test_a_decision_shows_sums_runner_up_and_flip(tin: Run) -> None:
    text = tin("decide", "tin", "1").output

    assert "DECISION: sell alone" in text
    assert "next best: sell as part of a lot" in text
    assert "below" in text
    assert "fee" in text
    decision = data(tin("decide", "tin", "1", "--json"))["decision"]
    alone = next(each for each in decision["choices"] if each["choice"] == "alone")
    assert alone["net"] == pytest.approx(sum(each["amount"] for each in alone["sums"]), abs=0.02)


def test_saved_decisions_are_kept_in_the_catalogue(tin: Run, tmp_path: Path) -> None:
    from markrules.catalogue.store import Catalogue

    tin("decide", "tin", "--save", "--who", "Ada")

    with Catalogue(tmp_path / "catalogue.db") as catalogue:
        kept = catalogue.decisions.standing(catalogue.boxes.named("tin"))
        assert tuple(each.choice for each in kept.values()) == WANTED
        assert {each.who for each in kept.values()} == {"Ada"}
        assert all(each.reason and each.sums for each in kept.values())


def test_a_figure_may_be_tried_without_being_kept(tin: Run) -> None:
    tried = data(tin("decide", "tin", "1", "--figure", "lot-price=90", "--json"))

    assert tried["decision"]["choice"] == "lot"
    assert data(tin("decide", "tin", "1", "--json"))["decision"]["choice"] == "alone"


def test_a_value_shows_each_sale_and_its_share(tin: Run) -> None:
    text = tin("value", "tin", "3").output
    found = data(tin("value", "tin", "3", "--json"))

    assert "CONDITION: worn" in text
    assert "VALUE:" in text
    estimate = found["value"]["estimate"]
    assert estimate["sales"] == 5
    assert estimate["low"] < estimate["middle"] < estimate["high"]
    assert sum(each["share"] for each in estimate["carried"]) == pytest.approx(1, abs=1e-4)


def test_a_note_alone_has_condition_and_no_value(run: Run) -> None:
    text = run("value", "--note", "brooch, one stone missing").output

    assert "CONDITION: worn" in text
    assert "VALUE: none" in text


def test_a_glance_shows_money_choices_and_eras(tin: Run) -> None:
    tin("piece", "bought", "--help")
    text = tin("glance", "tin").output
    found = data(tin("glance", "tin", "--json"))

    assert "tin: 6 pieces" in text
    assert "ONE MORE LOOK" in text
    assert found["choices"]["alone"] == [1, 5]
    assert found["expected"]["low"] < found["expected"]["high"]
    assert all(len(line) <= 80 for line in text.splitlines())


def test_kept_readings_give_the_same_looks_as_fresh_ones(tin: Run) -> None:
    fresh = data(tin("glance", "tin", "--json"))["looks"]
    tin("box", "read", "tin")
    kept = data(tin("glance", "tin", "--json"))["looks"]
    tin("piece", "see", "tin", "1", "marked AUSTRIA")
    changed = data(tin("glance", "tin", "--json"))["looks"]

    assert fresh
    assert kept == fresh
    assert changed != kept


def test_stones_are_added_listed_matched_and_used(run: Run) -> None:
    run("stones", "add", "--shape", "round", "--size", "SS16", "--colour", "red", "--count", "3")
    run("stones", "add", "--shape", "oval", "--size", "6mm", "--colour", "blue")

    assert [each["count"] for each in data(run("stones", "list", "--json"))] == [3, 1]
    found = data(run("stones", "match", "--size", "4 mm", "--colour", "red", "--json"))
    assert [each["stone"] for each in found["fits"]] == [1]
    assert found["cautions"]
    assert data(run("stones", "use", "1", "--count", "2", "--json"))["count"] == 1
    run("stones", "use", "1", "--count", "2", fails=2)


def test_a_piece_tells_which_stone_it_wants(tin: Run) -> None:
    tin("box", "add", "tin", "brooch, round chaton stone missing, foil backs, stone size 4 mm, red")
    tin("stones", "add", "--shape", "round", "--size", "4mm", "--colour", "red", "--back", "foil")
    tin("stones", "add", "--shape", "round", "--size", "7mm", "--colour", "red", "--back", "foil")
    tin("stones", "add", "--shape", "oval", "--size", "4mm", "--colour", "red", "--back", "foil")

    found = data(tin("stones", "match", "--for", "tin", "7", "--json"))

    assert [each["stone"] for each in found["fits"]] == [1]


def test_mirrored_stones_are_compared(run: Run) -> None:
    same = data(run("stones", "mirror", "round, 4 mm, red", "4.05 mm, red, round", "--json"))
    other = data(run("stones", "mirror", "round, 4 mm, red", "round, 4 mm, green", "--json"))

    assert not same["probably_replaced"]
    assert other["probably_replaced"]


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        (("value",), 2, "which piece"),
        (("value", "tin", "99"), 2, "no piece 99"),
        (("value", "tni", "1"), 2, "tin"),
        (("value", "tin", "1", "--note", "brooch"), 2, "which piece"),
        (("decide", "tin", "1", "--figure", "huor=3"), 2, "hour"),
        (("decide", "tin", "1", "--figure", "hour"), 2, "NAME=VALUE"),
        (("decide", "--note", "brooch", "--save"), 2, "note"),
        (("figures", "set", "fee", "130%"), 2, "100%"),
        (("figures", "set", "currency", "euros"), 2, "three letters"),
        (("stones", "match", "--size", "banana"), 2, "SS16"),
        (("stones", "mirror", "", "", "--sample-one", "no-such.jpg", "0.5", "0.5"), 3, "no-such"),
        (("stones", "mirror", "", "", "--sample-one", __file__, "0.5", "0.5"), 2, "not a photo"),
        (("stones", "use", "99"), 2, "99"),
        (("glance", "nowhere"), 2, "nowhere"),
    ],
)
def test_mistakes_are_told_in_plain_words(
    tin: Run, arguments: tuple[str, ...], code: int, words: str
) -> None:
    text = tin(*arguments, fails=code).output

    assert words in text
    assert "Traceback" not in text


def test_hostile_words_reach_no_terminal(tin: Run) -> None:
    evil = "brooch \x1b[31m\u202emarked \x07EVIL\x1b]0;title\x07"
    tin("box", "start", "odd\u202ename")
    tin("box", "add", "odd\u202ename", evil)
    tin("prices", "add", "40", "EUR", "--day", "2026-01-01", "--type", "brooch", "--maker", evil)
    tin("stones", "add", "--shape", "oval", "--note", evil)
    refused = tin("stones", "add", "--shape", evil, fails=2).output
    assert not {"\x1b", "\x07", "\u202e"} & set(refused)

    for arguments in (
        ("value", "odd\u202ename", "1"),
        ("decide", "odd\u202ename", "1"),
        ("decide", "odd\u202ename"),
        ("glance", "odd\u202ename"),
        ("stones", "list"),
        ("stones", "match"),
        ("value", "--note", evil),
    ):
        text = tin(*arguments).output
        for bad in ("\x1b", "\x07", "\u202e"):
            assert bad not in text, arguments


@pytest.mark.parametrize("command", ["value", "decide", "stones", "figures", "glance"])
def test_every_command_helps_with_an_example(run: Run, command: str) -> None:
    text = run(command, "--help").output

    assert f"markrules {command}" in text
