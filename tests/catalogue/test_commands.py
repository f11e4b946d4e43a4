"""The commands, as a person types them: in one process for breadth, and the real ones for truth."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import click
import pytest
from click.testing import CliRunner, Result
from PIL import Image
from together import every_case

from markrules.cli.commands import cli

TRACEBACK = "Traceback (most recent call last)"


class Person:
    """Types commands at one catalogue."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.place = folder / "catalogue.db"

    def run(self, *words: object, text: str | None = None) -> Result:
        env = {"MARKRULES_CATALOGUE": str(self.place), "MARKRULES_WHO": "Ada", "COLUMNS": "100"}
        result = CliRunner().invoke(cli, [str(word) for word in words], input=text, env=env)
        unexpected = result.exception and not isinstance(result.exception, SystemExit)
        assert not unexpected, result.exception
        return result

    def says(self, *words: object, text: str | None = None) -> str:
        result = self.run(*words, text=text)
        assert result.exit_code == 0, result.output
        return result.stdout

    def data(self, *words: object) -> Any:
        return json.loads(self.says(*words, "--json"))

    def fails(self, code: int, *words: object, text: str | None = None) -> str:
        result = self.run(*words, text=text)
        assert result.exit_code == code, result.output
        return result.stderr


@pytest.fixture
def ada(tmp_path: Path) -> Person:
    person = Person(tmp_path)
    person.says("box", "start", "attic tin", "--note", "house clearance")
    notes = ("brooch, C catch, marked AUSTRIA. Seller says it is from 1920. zorgle", "ring, 14k")
    person.says("box", "add", "attic tin", *notes)
    return person


def every_command() -> list[list[str]]:
    found = []
    context = click.Context(cli)
    for name in ("box", "piece", "prices"):
        group = cli.get_command(context, name)
        assert isinstance(group, click.Group)
        found += [[name, each] for each in group.list_commands(context)]
    return found


@every_case("words", every_command(), ids=" ".join)
def test_each_command_has_help_with_an_example(words: list[str]) -> None:
    result = CliRunner().invoke(cli, [*words, "--help"])
    assert result.exit_code == 0
    assert f"markrules {' '.join(words)}" in result.output
    assert "--json" in result.output


def test_a_box_is_filled_listed_and_read(ada: Person) -> None:
    assert ada.data("box", "list")[0]["pieces"] == 2
    pasted = "hatpin, jet head, 18 cm\n\nbangle, bakelite\n"
    assert "2 pieces entered" in ada.says("box", "paste", "attic tin", text=pasted)
    assert "4 pieces read" in ada.says("box", "read", "attic tin", "--jobs", "1")
    assert "Nothing to read" in ada.says("box", "read", "--changed")
    listed = ada.data("box", "show", "attic tin")
    assert [each["number"] for each in listed] == [1, 2, 3, 4]
    assert all(each["first_year"] <= each["last_year"] for each in listed)
    assert len(ada.data("box", "show", "attic tin", "--after", 2, "--limit", 1)) == 1
    shown = ada.says("box", "show", "attic tin")
    assert f"{listed[0]['first_year']}–{listed[0]['last_year']}" in shown
    ada.says("piece", "see", "attic tin", 2, "C catch")
    assert "*" in ada.says("box", "show", "attic tin")
    assert "1 piece read" in ada.says("box", "read", "--changed")


def test_a_piece_is_shown_with_what_is_seen_and_what_was_told_apart(ada: Person) -> None:
    shown = ada.says("piece", "show", "attic tin", 1)
    seen, told = shown.split("TOLD, NOT SEEN")
    assert "catch: c-catch" in seen
    assert "not understood: zorgle" in seen
    assert "Seller says it is from 1920." in told
    assert "Not read yet" in shown
    assert "WHY" in ada.says("piece", "show", "attic tin", 1, "--full")
    data = ada.data("piece", "show", "attic tin", 1)
    assert data["told"] == "Seller says it is from 1920."
    assert {line["who"] for line in data["log"]} == {"Ada"}


def test_a_signature_of_no_listed_maker_is_shown_in_lists_and_on_the_piece(ada: Person) -> None:
    ada.says("box", "start", "tin")
    ada.says("box", "add", "tin", 'brooch, marked "NOVAK"', "brooch, marked AUSTRIA")
    ada.says("box", "read", "tin")
    first, second = ada.says("box", "show", "tin").splitlines()[1:]
    assert '"NOVAK", not listed' in first
    assert "listed" not in second
    assert 'signed "NOVAK", not in these rules' in ada.says("piece", "show", "tin", 1)
    kept = json.loads(ada.says("box", "show", "tin", "--json"))
    pieces = kept["pieces"] if isinstance(kept, dict) else kept
    assert [each["unlisted_mark"] for each in pieces] == ["NOVAK", ""]


def test_corrections_leave_the_old_line_in_the_log(ada: Person) -> None:
    log = ada.data("piece", "show", "attic tin", 1)["log"]
    catch = next(line for line in log if line["feature"] == "catch")["line"]
    ada.says("piece", "correct", "attic tin", 1, catch, "catch=rollover", "--sure", "fair")
    assert "c-catch" not in ada.says("piece", "show", "attic tin", 1).split("SEEN")[1]
    assert "(stands no longer)" in ada.says("piece", "show", "attic tin", 1, "--log")
    assert "no line" in ada.fails(2, "piece", "correct", "attic tin", 1, catch, "catch=rollover")
    assert "correct" in ada.says("box", "undo")
    assert "c-catch" in ada.says("piece", "show", "attic tin", 1).split("SEEN")[1]
    ada.says("box", "redo")
    assert "rollover" in ada.says("piece", "show", "attic tin", 1)
    ada.says("box", "undo")
    ada.says("piece", "correct", "attic tin", 1, catch, "--nothing")
    assert "catch:" not in ada.says("piece", "show", "attic tin", 1)
    steps = ada.data("box", "steps")
    assert [step["what"] for step in steps][:5] == ["withdraw", "undo", "redo", "undo", "correct"]


def test_telling_titles_sets_and_going(ada: Person) -> None:
    ada.says("piece", "tell", "attic tin", 1, "A gift in 1931.")
    assert "1920.\nA gift in 1931." in ada.data("piece", "show", "attic tin", 1)["told"]
    ada.says("piece", "title", "attic tin", 1, "Fruit brooch")
    assert "Fruit brooch" in ada.says("box", "show", "attic tin")
    assert ada.data("piece", "set", "leaf set", "attic tin", 1, 2)["numbers"] == [1, 2]
    ada.says("piece", "gone", "attic tin", 2, "--why", "sold")
    assert "gone already" in ada.fails(2, "piece", "gone", "attic tin", 2)
    assert len(ada.data("box", "show", "attic tin")) == 1
    assert "(gone)" in ada.says("box", "show", "attic tin", "--gone")
    ada.says("piece", "gone", "attic tin", 2, "--back")
    assert len(ada.data("box", "show", "attic tin")) == 2
    ada.says("box", "rename", "attic tin", "sorted tin")
    assert ada.data("box", "list")[0]["box"] == "sorted tin"


def test_search_in_words_and_by_a_worn_mark(ada: Person) -> None:
    assert "attic tin 1" in ada.says("box", "search", "austr")
    assert "attic tin 1" in ada.says("box", "search", "--mark", "A?STR...")
    assert "No piece found" in ada.says("box", "search", '"; drop table piece; --')
    assert ada.data("box", "search", "brooch", "--mark", "QZXQZXQZX") == []
    assert "say what to search for" in ada.fails(2, "box", "search")
    assert "cannot be searched" in ada.fails(2, "box", "search", "--mark", "[AB")


def test_import_says_what_it_takes_and_enters_all_or_nothing(ada: Person) -> None:
    table = ada.folder / "t.csv"
    table.write_text("Text;Length;Photos\nbrooch, leaf;5 cm;A-1\nclip;long;A-2\n")
    found = ada.run("box", "import", "attic tin", table, "--column", "note=Text", "--dry-run")
    assert found.exit_code == 1
    assert "Nothing entered (dry run): 1 good lines, 1 bad" in found.stdout
    assert f"{table}:3: " in found.stderr
    assert "write a number and its unit" in found.stderr
    assert 'not taken        Photos (2 cells dropped, such as "A-1")' in found.stdout
    assert "length           from column Length (2 cells)" in found.stdout
    ada.fails(1, "box", "import", "attic tin", table, "--column", "note=Text")
    assert len(ada.data("box", "show", "attic tin")) == 2
    entered = ada.data("box", "import", "attic tin", table, "--skip-bad", "--column", "note=Text")
    assert (entered["entered"], entered["first"]) == (1, 3)
    assert entered["errors"][0]["line"] == 3
    ada.says("box", "undo")
    assert len(ada.data("box", "show", "attic tin")) == 2
    wrong = ada.fails(2, "box", "import", "attic tin", table, "--column", "nite=Text")
    assert 'nearest: "note"' in wrong


def test_a_table_entered_twice_is_refused_line_by_line(ada: Person) -> None:
    table = ada.folder / "twice.csv"
    table.write_text('Note\n"clip, brass"\n"ring, 925"\n"ring, 925"\n')
    assert ada.data("box", "import", "attic tin", table)["entered"] == 3
    refused = ada.fails(1, "box", "import", "attic tin", table)
    assert f"{table}:2: the box has the same as piece 3" in refused
    assert f"{table}:4: the box has the same as piece 5" in refused
    with table.open("a") as file:
        file.write('"ring, 925"\n"ring, 800"\n')
    grown = ada.data("box", "import", "attic tin", table, "--skip-bad")
    assert (grown["entered"], len(grown["errors"])) == (2, 3)
    assert ada.data("box", "import", "attic tin", table, "--again")["entered"] == 5
    table.write_text('Note\n"ring, 800"\nhatpin\n"locket, dent"\n')
    by_chance = ada.data("box", "import", "attic tin", table)
    assert (by_chance["entered"], by_chance["errors"]) == (3, [])


def test_what_is_archived_is_restored_and_exported_alike(ada: Person) -> None:
    package, copy = ada.folder / "a.zip", ada.folder / "copy.db"
    ada.says("box", "archive", package)
    assert "already" in ada.fails(2, "box", "restore", package)
    ada.says("box", "restore", package, "--catalogue", copy)
    exported = ada.says("box", "export", "attic tin", "--form", "jsonl")
    assert ada.says("box", "export", "--json", "--catalogue", copy) == exported
    file = ada.folder / "out.csv"
    ada.says("box", "export", "--to", file)
    rows = list(csv.DictReader(io.StringIO(file.read_text())))
    assert [row["number"] for row in rows] == ["1", "2"]


def test_photos_are_taken_listed_and_written(ada: Person) -> None:
    photo = ada.folder / "p.jpg"
    Image.new("RGB", (40, 30), "red").save(photo)
    found = ada.data("piece", "photo", "attic tin", 1, photo, "--shows", "back")
    assert (found[0]["width"], found[0]["shows"]) == (40, "back")
    ada.says("piece", "photo", "attic tin", 1, "--to", ada.folder / "out")
    (written,) = (ada.folder / "out").iterdir()
    assert Image.open(written).size == (40, 30)
    ada.says("piece", "photo", "attic tin", 1, "--take-out", found[0]["photo"])
    assert ada.data("piece", "photo", "attic tin", 1) == []
    bad = ada.folder / "bad.jpg"
    bad.write_text("no photo")
    assert "not a photo" in ada.fails(2, "piece", "photo", "attic tin", 1, photo, bad)
    assert ada.data("piece", "photo", "attic tin", 1) == []
    ada.fails(3, "piece", "photo", "attic tin", 1, ada.folder / "none.jpg")


def test_sold_prices_and_what_was_paid(ada: Person) -> None:
    ada.says("prices", "add", "£120", "--day", "2024-05", "--of", "attic tin", 1, "--signed")
    table = ada.folder / "sold.csv"
    table.write_text("date,price,type,signed\n2024-06-30,34.50,brooch,no\nsoon,1,,\n")
    ada.fails(1, "prices", "import", table, "--currency", "EUR")
    assert len(ada.data("prices", "list")) == 1
    ada.says("prices", "import", table, "--currency", "EUR", "--skip-bad")
    listed = ada.data("prices", "list")
    assert [sale["price"] for sale in listed] == ["34.50 EUR", "120.00 GBP"]
    ada.says("prices", "drop", listed[0]["number"])
    assert len(ada.data("prices", "list")) == 1
    assert "not a date" in ada.fails(2, "prices", "add", "1 EUR", "--day", "May")
    assert "not a price" in ada.fails(2, "prices", "add", "--day", "2024", "--", "-5", "EUR")
    bought = ada.data("piece", "bought", "attic tin", "--cost", "40 EUR", "--where", "a house")
    assert (bought["cost_minor"], bought["piece"]) == (4000, None)


def test_text_from_elsewhere_cannot_steer_a_terminal(ada: Person) -> None:
    """ECMA-48: control sequences begin with ESC (01/11) or CSI (09/11)."""
    nasty = "\x1b[2J\x9b31m\u202e\u2066brooch\x07"
    ada.says("box", "start", f"tin {nasty}")
    ada.says("box", "add", f"tin {nasty}", f"brooch {nasty}", "--told", nasty)
    ada.says("piece", "title", f"tin {nasty}", 1, nasty)
    for words in (
        ("box", "list"),
        ("box", "show", f"tin {nasty}"),
        ("piece", "show", f"tin {nasty}", 1, "--log"),
        ("box", "search", "brooch"),
    ):
        shown = ada.says(*words)
        assert "brooch" in shown
        assert not set(shown) & set("\x1b\x9b\x07\u202e\u2066")
    assert not set(ada.fails(2, "box", "show", f"{nasty}!")) & set("\x1b\x9b\x07\u202e")


def test_what_cannot_be_done_is_said_in_a_line(tmp_path: Path) -> None:
    ada = Person(tmp_path)
    assert "there is no catalogue yet" in ada.fails(3, "box", "list")
    ada.says("box", "start", "tin")
    for code, words, told in [
        (2, ("box", "start", "tin"), "already"),
        (2, ("box", "show", "tun"), 'nearest: "tin"'),
        (2, ("piece", "show", "tin", 1), "it is empty"),
        (2, ("box", "undo", "--own", "--who", "nobody"), "no step left"),
        (3, ("box", "import", "tin", tmp_path / "none.csv"), "none.csv"),
        (3, ("box", "list", "--catalogue", tmp_path), "folder"),
        (3, ("box", "restore", tmp_path / "no.zip", "--catalogue", tmp_path / "x.db"), "no.zip"),
        (2, ("box", "paste", "tin"), "nothing was pasted"),
        (2, ("box", "add", "tin", "x" * 30_000), "30,000 characters"),
        (2, ("box", "add", "tin", "\udcff"), "UTF-8"),
    ]:
        assert told in ada.fails(code, *words), words


def real(*words: object, folder: Path, text: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "markrules", *(str(word) for word in words)],
        input=text,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        env={**os.environ, "MARKRULES_CATALOGUE": str(folder / "c.db"), "PYTHONUTF8": "1"},
        check=False,
    )


@pytest.mark.slow
def test_the_real_commands_from_an_empty_catalogue_to_a_restored_one(tmp_path: Path) -> None:
    for words, code, told in [
        (("box", "list"), 3, "no catalogue yet"),
        (("box", "start", "tin"), 0, "is started"),
        (("box", "add", "tin", "brooch, C catch, marked AUSTRIA", "ring, 14k"), 0, "2 pieces"),
        (("box", "read", "--jobs", "2"), 0, "2 pieces read"),
        (("box", "show", "tin"), 0, "brooch, C catch"),
        (("box", "search", "ring"), 0, "tin 2"),
        (("box", "archive", tmp_path / "a.zip"), 0, "archived"),
        (("box", "restore", tmp_path / "a.zip", "--catalogue", tmp_path / "b.db"), 0, "restored"),
        (("piece", "show", "tin", "1", "--catalogue", tmp_path / "b.db"), 0, "READ"),
        (("piece", "show", "tin", "9"), 2, "it has 1 to 2"),
    ]:
        done = real(*words, folder=tmp_path)
        assert done.returncode == code, done.stderr
        assert told in done.stdout + done.stderr
        assert TRACEBACK not in done.stderr
    done = real("box", "paste", "tin", folder=tmp_path, text="hatpin\nbangle\n")
    assert "2 pieces entered" in done.stdout


def test_a_sheet_of_ones_own_is_taken_by_remembered_columns(ada: Person) -> None:
    table = ada.folder / "own.csv"
    table.write_text(
        "Beschreibung;Mehr;Gekauft am;Preis\nbrooch, leaf;pin bent;3/4/2024;4,50\n"
        "clip;;14/03/2024;12\n",
        encoding="utf-8",
    )
    said = ("note=Beschreibung", "note=Mehr", "bought on=Gekauft am", "cost=Preis")
    columns = [word for each in said for word in ("--column", each)]
    dry = ada.says(
        *("box", "import", "attic tin", table, *columns, "--currency", "EUR", "--dry-run"),
        *("--remember", "german list"),
    )
    assert "note             from column Beschreibung + Mehr (3 cells)" in dry
    assert "days read as day/month/year, for line 3 has 14/03/2024" in dry
    assert "bought: 4.50 EUR, 2024-04-03" in dry
    assert len(ada.data("box", "show", "attic tin")) == 2

    again = ("box", "import", "attic tin", table, "--currency", "EUR", "--columns")
    assert 'nearest: "german list"' in ada.fails(2, *again, "german lists")
    done = ada.data(*again, "german list")
    assert (done["entered"], done["first"]) == (2, 3)
    shown = ada.data("piece", "show", "attic tin", 3)
    assert shown["note"] == "brooch, leaf. pin bent"
    assert "4.50" in ada.says("sell", "show", "attic tin", 3)


def test_an_export_says_which_photos_it_leaves_out(ada: Person) -> None:
    photo = ada.folder / "p.jpg"
    Image.new("RGB", (40, 30), "red").save(photo)
    assert "not in it" not in ada.says("box", "export", "--to", ada.folder / "none.csv")
    ada.says("piece", "photo", "attic tin", 1, photo, "--shows", "back")

    told = ada.says("box", "export", "attic tin", "--to", ada.folder / "one.csv")
    assert "1 photo is not in it: `markrules box archive` packs photos too" in told
    ada.says("box", "start", "another tin")
    assert "not in it" not in ada.says(
        *("box", "export", "another tin", "--to", ada.folder / "other.csv")
    )


def test_an_export_is_taken_in_where_it_is_wanted(ada: Person) -> None:
    file, other = ada.folder / "all.jsonl", ada.folder / "other.db"
    ada.says("box", "export", "--to", file)
    assert "Nothing entered (dry run): 2 good lines, 0 bad" in ada.says(
        *("box", "take-in", file, "--dry-run", "--catalogue", other)
    )
    assert "2 pieces entered, with all that was kept" in ada.says(
        *("box", "take-in", file, "--catalogue", other)
    )
    assert ada.says("box", "export", "--json", "--catalogue", other) == file.read_text()
    assert "2 were here already" in ada.says("box", "import", "attic tin", file)
