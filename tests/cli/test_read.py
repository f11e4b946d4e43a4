"""`markrules read`, as a person and as a script meet it."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from command import TRACEBACK, answer, markrules, markrules_process
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.cli.demo import demo_box
from markrules.cli.read import reading_page, show
from markrules.notes.understanding import LONGEST_NOTE
from markrules.reading.reader import Request
from markrules.telling.misleading import against

NOTE = (
    "brooch, safety catch, snap rivets, AB stones, marked AUSTRIA, some plating bubbling,"
    " 2 stones missing, 5.5 cm, 23 g"
)

KEYS = {
    "": {
        "schema", "piece_type", "account", "observations", "date", "makers", "marks", "metals",
        "clues",
        "contradictions", "misleading", "findings", "signs", "faults", "cautions", "next",
        "not_understood", "notes", "evidence", "knowledge_version", "types", "exceptions", "origin",
    },
    "date": {
        "from", "to", "mass", "likeliest", "median", "edtf", "not_before", "not_after", "second",
        "curve", "years", "likeliest_between",
    },
    "makers": {"maker", "name", "mark", "variant", "probability", "from", "to"},
    "clues": {
        "clue", "feature", "words", "bits", "window", "branches", "trust", "why", "misleads",
        "cites", "except",
    },
    "next": {"feature", "ask", "look", "effort", "gain_bits"},
}  # fmt: skip


def test_the_json_keys_are_those_documented() -> None:
    data = answer("read", NOTE, "--mark", "TRIFARI")

    assert set(data) == KEYS[""]
    assert set(data["date"]) == KEYS["date"]
    for part in ("makers", "clues", "next"):
        assert data[part], part
        assert all(set(each) == KEYS[part] for each in data[part])
    assert set(data["clues"][0]["branches"]) == {"original", "refit", "reuse", "misread"}


def test_the_numbers_in_the_json_hang_together() -> None:
    data = answer("read", NOTE)
    date = data["date"]
    curve = dict(date["curve"])
    inside = sum(share for year, share in curve.items() if date["from"] <= year <= date["to"])

    assert sum(curve.values()) == pytest.approx(1, abs=1e-4)
    assert inside == pytest.approx(date["mass"], abs=1e-4)
    assert date["mass"] >= 0.8
    assert curve[date["likeliest"]] == max(curve.values())
    assert date["from"] <= date["median"] <= date["to"]
    assert sum(each["probability"] for each in data["makers"]) == pytest.approx(1, abs=0.01)
    for clue in data["clues"]:
        assert sum(clue["branches"].values()) == pytest.approx(1, abs=1e-4)
        assert clue["cites"], clue["clue"]


def test_a_process_of_its_own_writes_what_the_tests_see_in_theirs() -> None:
    for arguments in (("read", NOTE), ("read", "--see", "cach=rollover"), ("marks", "[CG")):
        own, here = markrules_process(*arguments), markrules(*arguments)
        assert (own.returncode, own.stdout, own.stderr) == (
            here.returncode,
            here.stdout,
            here.stderr,
        )


def test_every_line_of_the_page_fits_eighty_columns_and_bears_no_colour() -> None:
    done = markrules("read", NOTE, "--full")

    assert done.returncode == 0
    assert max(map(len, done.stdout.splitlines())) <= 80
    assert "\x1b" not in done.stdout
    for head in ("WHY", "LOOK NEXT", "SOURCES", "TAKE CARE"):
        assert f"\n{head}\n" in done.stdout


HEADS = ("AS UNDERSTOOD", "MAKER", "WHAT DOES NOT FIT", "LOOK NEXT", "WHY", "ALSO", "TAKE CARE")


def heads_of(text: str) -> list[str]:
    return [line for line in text.splitlines() if line in HEADS]


def test_the_page_is_one_screen_and_loses_no_danger_and_no_misfit() -> None:
    """Forty lines of eighty columns, for each invented piece of the demo box."""
    reader = shipped_reader()
    for row, reading in demo_box(reader):
        lines = reading_page(reader, reading, 80)
        text = " ".join(" ".join(lines).split())
        assert len(lines) <= 40, (row["id"], len(lines))
        assert max(map(len, lines)) <= 80, row["id"]
        for each in reading.cautions:
            assert each.level != "hazard" or each.say.replace("\n", " ") in text, row["id"]
        for said in (*against(reading), *reading.not_understood):
            assert said in text.replace(" ! ", " "), (row["id"], said)
        assert "bits" not in text
        assert f"{reading.date.range.first}" in lines[0] or any("%)" in line for line in lines)


def test_the_short_page_and_the_full_one_have_the_same_order() -> None:
    short = heads_of(markrules("read", NOTE).stdout)
    full = heads_of(markrules("read", NOTE, "--full").stdout)

    assert [each for each in full if each in short] == short
    assert "SOURCES" in markrules("read", NOTE, "--full").stdout
    assert "with --full also" in markrules("read", NOTE).stdout


def test_what_was_only_said_is_shown_in_plain_words() -> None:
    told = markrules("read", "brooch grandmother said").stdout

    assert "remark" not in told
    assert "It is said to have been in a family for long" in " ".join(told.split())


def test_a_claim_of_metal_that_is_not_sure_is_not_told_as_a_finding() -> None:
    assert "The mark claims gold of 18 karat." in markrules("read", "ring marked 18K").stdout
    for mark in ("18K PLATE", "18K R.G."):
        told = markrules("read", f"ring marked {mark}").stdout
        assert "Not sure" in told
        assert "The mark claims gold of 18 karat." not in told
        assert "precious metal all through" not in told


def test_what_may_mislead_is_hedged_once() -> None:
    """`perhaps` and `probably` come before the words of the rules, by the probability."""
    told = " ".join(markrules("read", "engraved 4 Mar 1864").stdout.split())
    assert "; perhaps the year of an event, older, or of a gift, later (" in told

    for each in shipped_base().misleading.values():
        assert not each.truth.startswith(("perhaps ", "probably ")), each.name


def test_a_terminal_without_block_characters_gets_plain_ones() -> None:
    arguments = ("read", "brooch, rollover catch")
    done = markrules_process(*arguments, env={"PYTHONIOENCODING": "ascii:replace"})

    assert done.returncode == 0
    assert "#" in done.stdout
    assert "?" not in done.stdout.split("LOOK NEXT")[0]


def test_a_wider_mass_gives_a_wider_range() -> None:
    narrow = answer("read", NOTE, "--mass", "0.5")["date"]
    wide = answer("read", NOTE, "--mass", "0.95")["date"]

    assert wide["from"] <= narrow["from"]
    assert narrow["to"] <= wide["to"]


def test_nothing_seen_is_told_to_be_the_prior() -> None:
    data = answer("read", "qwxyz")

    assert data["evidence"] is False
    assert data["clues"] == []
    assert data["not_understood"] == ["qwxyz"]
    assert "Nothing seen speaks of a date" in markrules("read", "qwxyz").stdout


def test_without_leaves_a_clue_out() -> None:
    assert any(
        each["feature"] == "catch" for each in answer("read", "brooch, rollover catch")["clues"]
    )
    left = answer("read", "brooch, rollover catch", "--without", "catch")

    assert not any(each["feature"] == "catch" for each in left["clues"])


def test_what_is_seen_by_name_is_told_as_understood() -> None:
    for extra in ((), ("--full",)):
        told = markrules("read", "rollover", "--see", "piece=not brooch", *extra).stdout
        head = told.partition("\n\n")[0]
        assert head.startswith("AS UNDERSTOOD\n  rollover = catch: rollover")
        assert "piece=not brooch = piece: not brooch" in head


def test_seen_by_name_is_the_same_as_seen_in_a_note() -> None:
    noted = answer("read", "brooch, rollover catch")
    named = answer("read", "brooch", "--see", "catch=rollover")

    assert named["date"] == noted["date"]


@every_case(
    ("arguments", "said"),
    [
        (("read", "brooch", "--see", "cach=rollover"), '"cach"; nearest: "catch"'),
        (("read", "brooch", "--see", "kach=rollover"), '"kach"; nearest: "catch"'),
        (("read", "brooch", "--see", "catch=rolover"), 'nearest: "rollover"'),
        (("read", "brooch", "--see", "catch"), "write FEATURE=VALUE"),
        (("read", "brooch", "--without", "cach"), 'nearest: "catch"'),
        (("read", "brooch", "--mass", "2"), "not in the range"),
        (("read", "brooch", "--see", "weight=heavy"), "write a number and its unit"),
    ],
)  # fmt: skip
def test_what_is_not_understood_ends_with_two_and_the_nearest_good_name(
    arguments: tuple[str, ...], said: str
) -> None:
    done = markrules(*arguments)

    assert done.returncode == 2
    assert said in done.stderr
    assert TRACEBACK not in done.stderr


@every_case(
    "note",
    [
        "",
        "\x00\x1b[31m\u202e\u0301",
        "brooch " * (LONGEST_NOTE // 7),
        "marked " + "?" * 3000,
        "<script>alert(1)</script>, marked '\"; drop table piece; --'",
        "🦋" * 500,
        "((((" * 500 + "marked [CG",
    ],
)
def test_a_hostile_note_is_read_as_text(note: str) -> None:
    done = markrules("read", text=note)

    assert done.returncode == 0, done.stderr
    assert TRACEBACK not in done.stderr
    assert not any(character in done.stdout for character in "\x00\x1b\u202e")


def test_a_dash_for_the_note_is_what_is_piped_in() -> None:
    """As other commands take it; a dash alone would be a piece of which nothing is told."""
    note = "brooch, rollover catch"

    assert markrules("read", "-", text=note).stdout == markrules("read", note).stdout


@pytest.mark.parametrize(("terminal", "styled"), [("xterm", True), ("dumb", False)])
def test_headings_are_bold_where_a_terminal_can(
    terminal: str, styled: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    written = _Terminal()
    monkeypatch.setattr("sys.stdout", written)
    monkeypatch.setenv("TERM", terminal)

    show(["AS UNDERSTOOD", "  brooch"])

    assert ("\x1b[1m" in written.getvalue()) == styled


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def test_a_note_longer_than_one_piece_needs_is_refused_with_its_limit(tmp_path: Path) -> None:
    long = "brooch " * (LONGEST_NOTE // 7 + 1)
    file = tmp_path / "box.jsonl"
    file.write_text(json.dumps({"id": "a", "note": long}) + '\n{"id": "b", "note": "ring"}\n')

    one, many = markrules("read", long), markrules("read", "--batch", str(file))

    assert (one.returncode, many.returncode) == (2, 1)
    assert f"{LONGEST_NOTE:,} at most are read" in one.stderr
    assert f"{file}:1:" in many.stderr
    assert f"{LONGEST_NOTE:,} at most are read" in many.stderr
    assert [json.loads(line).get("id") for line in many.stdout.splitlines()] == ["a", "b"]
    beyond = shipped_reader().understand(long).not_understood
    assert beyond[-1] == f"({len(long) - LONGEST_NOTE} more characters)"


def test_a_batch_answers_in_order_and_goes_on_after_bad_lines(tmp_path: Path) -> None:
    file = tmp_path / "box.jsonl"
    file.write_text(
        '{"id": "a", "note": "brooch, rollover catch"}\n'
        "not json\n"
        '{"id": "b", "piece_type": "ring", "observations": ["platinum", "setting=prong"]}\n'
        '{"id": "c", "note": 7}\n'
        '{"id": "d", "marks": ["TRIFARI"], "note": "brooch"}\n'
    )
    done = markrules("read", "--batch", str(file))
    lines = [json.loads(line) for line in done.stdout.splitlines()]

    assert done.returncode == 1
    assert [line.get("id") for line in lines] == ["a", None, "b", "c", "d"]
    assert ["error" in line for line in lines] == [False, True, False, True, False]
    assert f"{file}:2: not JSON" in done.stderr
    assert f"{file}:4: `note` is not a text" in done.stderr
    assert lines[4]["makers"][0]["maker"] == "trifari"


def test_a_batch_is_the_same_on_two_processes(tmp_path: Path) -> None:
    file = tmp_path / "box.csv"
    notes = ["brooch, c catch", "bangle, bakelite", "earrings, clip backs", "ring, platinum"]
    rows = [f'{number},"{notes[number % 4]}"' for number in range(300)]
    file.write_text("\n".join(["id,note", *rows]))
    one = markrules_process("read", "--batch", str(file))
    two = markrules_process("read", "--batch", str(file), "--jobs", "2")

    assert one.returncode == two.returncode == 0
    assert one.stdout == two.stdout
    assert len(one.stdout.splitlines()) == 300


def test_a_missing_file_ends_with_three() -> None:
    done = markrules("read", "--batch", "no-such-file.jsonl")

    assert done.returncode == 3
    assert "no-such-file.jsonl" in done.stderr
    assert TRACEBACK not in done.stderr


def test_a_missing_folder_of_rules_ends_with_three() -> None:
    done = markrules("read", "brooch", "--rules", "no-such-folder")

    assert done.returncode == 3
    assert "no such folder" in done.stderr


def test_text_json_curve_and_extended_form_tell_the_same_years_of_a_set() -> None:
    note = "silver brooch, Birmingham hallmark, date letter G"
    date = answer("read", note)["date"]
    runs = [tuple(each) for each in date["years"]]
    curve = dict(date["curve"])
    inside = sum(curve[year] for first, last in runs for year in range(first, last + 1))

    assert len(runs) > 1
    assert (date["from"], date["to"]) == (runs[0][0], runs[-1][1])
    assert date["mass"] == pytest.approx(inside, abs=1e-3)
    assert date["second"] is None
    told = [f"{a}" if a == b else f"{a}–{b}" for a, b in runs]
    text = " ".join(markrules("read", note).stdout.split())
    assert f"{', '.join(told[:-1])} or {told[-1]} ({date['mass']:.0%})" in text
    assert date["edtf"] == f"[{','.join(each.replace('–', '..') for each in told)}]"


def test_years_of_a_set_are_drawn_apart_and_a_limit_stands_only_where_the_years_keep_it() -> None:
    letters = markrules("read", "silver brooch, Birmingham hallmark, date letter G").stdout
    drawn = next(line for line in letters.splitlines() if line.startswith("range"))
    assert len(drawn.removeprefix("range").split()) > 1

    stones = "brooch, C catch, safety chain, rhinestones, titania"
    date = shipped_reader().read(Request(note=stones)).date
    assert date.not_before is not None
    assert date.years[0].first < date.not_before
    said = " ".join(markrules("read", stones).stdout.split())
    assert "hard limits" not in said
    assert f"no earlier than {date.not_before}" in said


def test_the_short_page_tells_where_the_piece_is_taken_to_come_from_where_that_matters() -> None:
    note = "brooch, garnet, gold"
    unsaid = markrules("read", note).stdout
    assert "taken as most likely from a mixed household or thrift box, as nobody said" in unsaid
    assert "; from a " in " ".join(unsaid.split())
    said = markrules("read", note, "--from", "museum").stdout
    assert "taken as from a museum case; from a mixed household or thrift box: " in " ".join(
        said.split()
    )
    # A piece whose years no origin moves is told without.
    firm = markrules("read", "brooch, Birmingham hallmark for 1900").stdout
    assert "taken as" not in firm


@every_case(
    "table",
    [
        "note;price\r\nbrooch, rollover catch;3,50\r\n",
        "ID\tNote\nA1\tbrooch, rollover catch\n",
        ' Note ,id\n"brooch, rollover catch; gilt",A1\n',
    ],
)
def test_a_batch_takes_tables_as_spreadsheets_write_them(tmp_path: Path, table: str) -> None:
    file = tmp_path / "box.csv"
    file.write_bytes(b"\xef\xbb\xbf" + table.encode())
    done = markrules("read", "--batch", str(file), "--looks", "0")
    (row,) = map(json.loads, done.stdout.splitlines())

    assert (done.returncode, done.stderr) == (0, "")
    assert row["piece_type"] == "brooch"
    assert row["observations"][0]["value"] == "rollover"


TWO = "1. brooch, rollover catch\n2. ring, marked 925"


def test_numbered_pieces_are_read_each_by_itself() -> None:
    done = markrules("read", TWO, "--looks", "0")

    assert done.returncode == 0
    assert "look like 2 pieces" in done.stdout
    first, second = done.stdout.partition("PIECE 1")[2].split("PIECE 2")
    assert "\nbrooch: " in first
    assert "\nring: " in second
    assert "925" not in first


def test_numbered_pieces_are_a_line_each_as_json() -> None:
    done = markrules("read", TWO, "--json")
    rows = [json.loads(each) for each in done.stdout.splitlines()]

    assert "look like 2 pieces" in done.stderr
    assert [(row["id"], row["piece_type"]) for row in rows] == [("1", "brooch"), ("2", "ring")]
    assert {row["schema"] for row in rows} == {"markrules-reading/1"}
    # What is told by name is of one piece.
    one = markrules("read", TWO, "--json", "--see", "catch=rollover").stdout
    assert json.loads(one)["piece_type"] == "brooch"
