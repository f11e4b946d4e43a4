"""A catalogue from somebody else: refused, or read with what is broken named and passed over.

What to expect of a hostile file: sqlite.org/security.html.
"""

from __future__ import annotations

import contextlib
import os
import re
import shutil
import sqlite3
import stat
import time
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from samples import some_of
from test_archive import rich

from markrules.catalogue.problems import FileTrouble
from markrules.catalogue.sorting import lines_of_box
from markrules.catalogue.store import Catalogue
from markrules.cli.commands import cli


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return rich(tmp_path / "catalogue.db")


def by_hand(path: Path, *statements: str) -> None:
    with closing(sqlite3.connect(path)) as db:
        for each in statements:
            db.execute(each)
        db.commit()


NO_GUARDS = ("drop trigger seen_is_never_changed", "drop trigger seen_is_never_erased")


@pytest.mark.parametrize(
    ("statements", "told"),
    [
        (("create trigger evil after insert on piece begin delete from box; end",), "trigger evil"),
        (("create view other as select 1",), "view other"),
        (("create table other (x)",), "table other"),
        (NO_GUARDS, "lacks the trigger"),
        (
            (
                "drop view standing_piece",
                "create view standing_piece as with recursive n(x) as (select 1 union all"
                " select x + 1 from n) select x as box, x as number from n",
            ),
            "view standing_piece is another",
        ),
        (
            (
                "alter table figure rename to hidden",
                "create view figure as with recursive n(x) as (select 1 union all select x + 1"
                " from n) select x as name, x as value from n",
            ),
            "not a catalogue as it should be",
        ),
        (("drop table pin",), "lacks the"),
        (("alter table box add column extra text",), "table box is another"),
        (("pragma application_id = 7",), "not a catalogue of markrules"),
    ],
)
def test_tables_views_and_triggers_of_others_are_refused(
    path: Path, statements: tuple[str, ...], told: str
) -> None:
    by_hand(path, *statements)
    before = path.read_bytes()
    start = time.monotonic()
    with pytest.raises(FileTrouble, match=told):
        Catalogue(path)
    assert time.monotonic() - start < 30
    assert path.read_bytes() == before
    done = CliRunner().invoke(cli, ["box", "list", "--catalogue", str(path)])
    assert done.exit_code == 3
    assert told in done.output


BROKEN = {
    "update piece set title = x'ff00' where id = 1": "piece with row number 1: title is bytes",
    "update piece set number = 'one' where id = 2": "piece with row number 2: number is str",
    "update piece set not_understood = '[1' where id = 3": "piece with row number 3",
    "update piece set not_understood = '{}' where id = 4": "piece with row number 4",
    "update piece set not_understood = '[1]' where id = 1": "piece with row number 1",
    "update box set note = x'00'": "box with row number 1: note is bytes",
    "update sale set price_minor = 'much'": "sale with row number 1",
    "update spare_stone set count = 'five'": "stone with row number 1",
    "update decision set sums = '['": "decision with row number 1",
    "update acquisition set day = 5.5": "",
    "update piece set told = cast(x'80ff' as text) where id = 1": "",
}


@pytest.mark.parametrize("statement", some_of(BROKEN, least=5))
def test_a_broken_row_is_named_and_the_others_are_shown(path: Path, statement: str) -> None:
    by_hand(path, f"pragma ignore_check_constraints = on; {statement}".split("; ")[1])
    for words in (
        ("box", "list"),
        ("box", "show", "tin"),
        ("piece", "show", "tin", "5"),
        ("box", "export", "tin"),
        ("prices", "list"),
        ("stones", "list"),
        ("glance", "tin"),
        ("box", "search", "hatpin"),
        ("box", "check"),
    ):
        done = CliRunner().invoke(cli, [*words, "--catalogue", str(path)])
        assert done.exception is None or isinstance(done.exception, SystemExit), (
            words,
            done.exception,
        )
    with Catalogue(path) as catalogue:
        for ask in (
            catalogue.boxes.all,
            catalogue.pieces.all,
            catalogue.money.sales,
            catalogue.stones.all,
            catalogue.decisions.standing,
        ):
            with contextlib.suppress(FileTrouble):  # a text that is no text stops its own query
                ask()
        told = " ".join(catalogue.passed_over)
    assert BROKEN[statement] in told


@pytest.mark.parametrize(
    ("statement", "named"),
    [
        ("update reading set maker_probability = 'much'", "piece with row number"),
        ("update reading set first_year = 'early'", "piece with row number"),
        ("update photo set place = x'00'", "photo with row number 1"),
        ("update photo set added = x'ff'", "photo with row number 1"),
        ("update picture set bytes = 5", ""),
    ],
)
def test_lists_and_sheets_pass_a_broken_cell_over(path: Path, statement: str, named: str) -> None:
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.all()[0].name
        piece = next(each for each in catalogue.pieces.all() if catalogue.photos.of(each))
    by_hand(path, f"pragma ignore_check_constraints = on; {statement}".split("; ")[1])
    said = ""
    for words in (
        ("box", "show", box),
        ("box", "export", box),
        ("piece", "photo", box, str(piece.number)),
        ("sheet", "make", box, str(piece.number)),
    ):
        done = CliRunner().invoke(cli, [*words, "--catalogue", str(path)])
        assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
        said += done.output
    assert named in said
    with Catalogue(path) as catalogue:
        for each in catalogue.boxes.all():
            lines_of_box(catalogue, each)


DEEP = "[" * 100_000


@pytest.mark.parametrize(
    ("statement", "told"),
    some_of(
        [
            ("update step set log_line = 'twelve'", "its line of the log is no number"),
            ("update step set log_line = x'ff00'", "its line of the log is no number"),
            ("update step set log_line = 9e999", "its line of the log is no number"),
            (f"update step set undoes = '{DEEP}'", "cannot be taken back"),
            ("update sale set price_minor = 0", "sale with row number 1"),
            ("update sale set size_mm = -5", "sale with row number 1"),
            ('update reading set data = \'{"date": 5, "makers": [1]}\'', "reading with row number"),
            ("update spare_stone set count = x'05'", "stone with row number 1"),
            ("update step set who = x'05' where id = 1", "step with row number 1"),
            (
                "insert into figure (name, value) values ('fee', x'05')",
                "figure 'fee': it is no text",
            ),
            ("update acquisition set cost_minor = x'05'", "cost_minor is no text and no number"),
        ],
        least=5,
    ),
)
def test_work_on_a_broken_row_is_told_and_changes_nothing(
    path: Path, statement: str, told: str
) -> None:
    with Catalogue(path) as catalogue:
        read = next(each for each in catalogue.pieces.all() if catalogue.readings.latest(each))
        box = catalogue.boxes.by_id(read.box).name
    by_hand(path, f"pragma ignore_check_constraints = on; {statement}".split("; ")[1])
    said = ""
    for words in (
        ("box", "undo"),
        ("box", "start", "another"),
        ("piece", "show", box, str(read.number)),
        ("stones", "use", "1"),
        ("sell", "cost", "1", "4 EUR"),
        ("value", box, str(read.number)),
        ("decide", box),
        ("glance", box),
        ("prices", "list"),
        ("figures", "show"),
        ("box", "steps", "--limit", "1000"),
        ("box", "check"),
    ):
        done = CliRunner().invoke(cli, [*words, "--catalogue", str(path)])
        assert done.exception is None or isinstance(done.exception, SystemExit), (
            words,
            done.exception,
        )
        said += done.output
    assert told in said


@pytest.mark.parametrize(
    ("statement", "words"),
    [
        ("update photo set made_from = x'00ff' where id = 1", "made_from of row 1"),
        ("update piece set uid = x'' where id = 1", "uid of row 1"),
        ("update picture set thumbnail = 12", "holds no picture"),
        ("update picture set bytes = 'x'", "holds no picture"),
        ("update original set bytes = 900000000000", "holds no picture"),
        ("update original set media_type = 'text/html'", "holds no type of a photo"),
    ],
)
def test_what_no_archive_can_hold_is_named_and_stops_no_other_work(
    path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, statement: str, words: str
) -> None:
    by_hand(path, statement)
    monkeypatch.setenv("MARKRULES_ARCHIVES", str(tmp_path / "daily"))
    place = ["--catalogue", str(path)]
    done = CliRunner().invoke(cli, ["box", "archive", str(tmp_path / "a.zip"), *place])
    assert done.exit_code == 3, done.exception
    assert words in done.output
    assert not (tmp_path / "a.zip").exists()
    done = CliRunner().invoke(cli, ["box", "add", "tin", "brooch, C catch", *place])
    assert done.exit_code == 0, done.exception
    assert "no archive was made" in done.output
    copied = CliRunner().invoke(cli, ["box", "copy", str(tmp_path / "copy.db"), *place])
    assert copied.exit_code == 0, copied.output


SHOWING = {
    "box": (("box", "list"), ("box", "show", "tin")),
    "piece": (("piece", "show", "tin", "1"), ("box", "show", "tin")),
    "photo": (("piece", "photo", "tin", "1"), ("piece", "show", "tin", "1")),
    "acquisition": (("sell", "show", "tin", "1"),),
    "sale": (("prices", "list"), ("sell", "show", "tin", "1"), ("sell", "report")),
    "event": (("sell", "show", "tin", "1"),),
    "spare_stone": (("stones", "list"),),
    "step": (("box", "steps"),),
    "figure": (("figures", "show"),),
    "reading": (("piece", "show", "tin", "1"), ("box", "show", "tin")),
}
RAW = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@pytest.mark.parametrize("table", some_of(SHOWING, least=5))
def test_no_cell_reaches_the_terminal_as_a_control_character(
    path: Path, tmp_path: Path, table: str
) -> None:
    with closing(sqlite3.connect(path)) as db:
        columns = [
            row[1]
            for row in db.execute(f"pragma table_info({table})")
            if row[2].casefold() == "text"
        ]
    assert columns
    for column in columns:
        other = tmp_path / f"{column}.db"
        shutil.copy(path, other)
        with closing(sqlite3.connect(other)) as db:
            db.execute("pragma ignore_check_constraints = on")
            db.execute("pragma foreign_keys = off")
            with contextlib.suppress(sqlite3.IntegrityError):  # a name that must be told apart
                db.execute(f"update {table} set {column} = ?", ("\x1b[31mred\x9b0m\u202e",))
            db.commit()
        for words in SHOWING[table]:
            done = CliRunner().invoke(cli, [*words, "--catalogue", str(other)])
            fault = (column, words, done.exception)
            assert done.exception is None or isinstance(done.exception, SystemExit), fault
            assert not RAW.search(done.output), (column, words, RAW.findall(done.output))


def test_the_log_may_be_broken_too(path: Path) -> None:
    kept = []
    with closing(sqlite3.connect(path)) as db:
        kept = [
            row[0]
            for row in db.execute("select sql from sqlite_schema where name like 'seen_is_%'")
        ]
    by_hand(path, *NO_GUARDS, "update seen set weights = '[[1' where id = 1", *kept)
    with Catalogue(path) as catalogue:
        piece = catalogue.pieces.all()[0]
        lines = catalogue.log.of(piece)
        assert 1 not in [line.id for line in lines]
        assert lines
        assert "seen with row number 1" in " ".join(catalogue.passed_over)
        catalogue.readings.evidence(piece)


def test_a_question_without_an_end_is_broken_off(path: Path) -> None:
    endless = (
        "with recursive n(x) as (select 1 union all select x + 1 from n) select count(*) from n"
    )
    with Catalogue(path) as catalogue:
        with pytest.raises(FileTrouble, match="took too long"):
            catalogue.rows(endless, seconds=0.2)
        assert catalogue.boxes.all()


@pytest.mark.skipif(os.name != "posix", reason="modes of POSIX")
def test_what_killed_work_left_is_swept_and_private(path: Path, tmp_path: Path) -> None:
    from markrules.catalogue.archive import archive

    nobody = 2**22 + 1  # above the greatest number that a process has
    left = tmp_path / f".a.zip.archiving-{nobody}-00"
    left.write_bytes(b"half")
    with Catalogue(path) as catalogue:
        archive(catalogue, tmp_path / "a.zip")
    assert not left.exists()
    assert stat.S_IMODE((tmp_path / "a.zip").stat().st_mode) == 0o600
