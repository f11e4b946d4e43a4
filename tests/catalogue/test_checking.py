"""Daily archives, and `box check`: damage of each kind is found, and only damage."""

from __future__ import annotations

import datetime
import hashlib
import json
import shutil
import sqlite3
import stat
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from samples import some_of
from test_archive import rich

from markrules.catalogue.archive import archive
from markrules.catalogue.daily import daily_archives, keep_daily, surplus
from markrules.catalogue.records import NewPiece
from markrules.catalogue.restoring import restore, verify
from markrules.catalogue.store import Catalogue, CatalogueProblem
from markrules.catalogue.wholeness import check
from markrules.cli.commands import cli
from markrules.knowledge.observation import Observation

Day = datetime.date


def faults(path: Path, *archives: Path) -> dict[str, tuple[str, ...]]:
    with Catalogue(path) as catalogue:
        return {each.what: each.faults for each in check(catalogue, archives) if each.faults}


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return rich(tmp_path / "catalogue.db")


def by_hand(path: Path, *statements: str) -> None:
    """Change the file as somebody with another program would, triggers out of the way."""
    with closing(sqlite3.connect(path)) as db:
        kept = [
            row[0]
            for row in db.execute(
                "select sql from sqlite_schema where type = 'trigger' and tbl_name = 'seen'"
            )
        ]
        db.execute("drop trigger seen_is_never_changed")
        db.execute("drop trigger seen_is_never_erased")
        for each in statements:
            db.execute(each)
        for each in kept:
            if "never" in each:
                db.execute(each)
        db.commit()


def test_a_sound_catalogue_and_its_archive_have_no_faults(path: Path, tmp_path: Path) -> None:
    with Catalogue(path) as catalogue:
        archive(catalogue, tmp_path / "a.zip")
        catalogue.pieces.add(catalogue.boxes.named("tin"), [NewPiece("later")])
    assert faults(path, tmp_path / "a.zip") == {}
    restore(tmp_path / "a.zip", tmp_path / "restored.db")
    assert faults(tmp_path / "restored.db", tmp_path / "a.zip") == {}


@pytest.mark.parametrize(
    ("statement", "what", "told"),
    [
        ("update seen set value = 'trombone' where id = 2", "log", "changed, added or lost"),
        ("update seen set moment = '2020' where id = 1", "log", "changed, added or lost"),
        ("delete from seen where id = (select max(id) - 3 from seen)", "log", "lost"),
        ("update picture set bytes = x'ffd8ff00'", "pictures", "not what was kept"),
        ("update piece set title = x'00ff' where id = 1", "rows", "holds no TEXT"),
        ("update piece set not_understood = '{' where id = 2", "rows", "cannot be read"),
        ("update photo set piece_id = 999", "file", "not there"),
    ],
)
def test_each_kind_of_damage_is_found(path: Path, statement: str, what: str, told: str) -> None:
    by_hand(path, statement)
    found = faults(path)
    assert told.casefold() in " ".join(found[what]).casefold()


@pytest.fixture(scope="module")
def with_archive(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = rich(tmp_path_factory.mktemp("archived") / "catalogue.db")
    with Catalogue(path) as catalogue:
        catalogue.figures.set("fee", "13%")
        archive(catalogue, path.with_suffix(".zip"))
    return path


def test_whatever_cell_is_changed_the_archive_tells(with_archive: Path, tmp_path: Path) -> None:
    """Every column of every table of a catalogue, changed by hand, in a row that is archived."""
    sealed, tried = {"seen", "original"}, 0
    with closing(sqlite3.connect(with_archive)) as db:
        tables = [row[0] for row in db.execute("select name from sqlite_schema where type='table'")]
        columns = {
            table: [row[1] for row in db.execute(f"pragma table_info({table})")]
            for table in tables
            if not table.startswith(("piece_text", "sqlite_")) and table not in sealed
        }
    cells = [
        (table, named[0], column)
        for table, named in columns.items()
        for column in named[1:]
        if (table, column) not in {("picture", "bytes"), ("step", "undone")}
    ]
    assert len(cells) > 70
    for table, key, column in some_of(cells, least=25):
        place = tmp_path / f"{table}-{column}.db"
        shutil.copyfile(with_archive, place)
        with closing(sqlite3.connect(place)) as db:
            row = db.execute(f"select {key}, typeof({column}) from {table} limit 1").fetchone()
            if row is None:
                continue
            change = (
                f"{column} || 'x'" if row[1] in ("text", "blob") else f"ifnull({column}, 0) + 1"
            )
            try:
                db.execute(f"update {table} set {column} = {change} where {key} = ?", row[:1])
            except sqlite3.IntegrityError:
                continue  # the table itself does not take it
            db.commit()
        tried += 1
        found = faults(place, with_archive.with_suffix(".zip"))
        assert found, (table, column)
    assert tried > 15


def test_a_row_that_is_lost_is_told_and_what_steps_did_is_not(path: Path, tmp_path: Path) -> None:
    with Catalogue(path) as catalogue:
        archive(catalogue, tmp_path / "a.zip")
        piece = catalogue.pieces.by_id(1)
        catalogue.pieces.change(piece, title="another", told="otherwise")
        catalogue.pieces.take_out(catalogue.pieces.by_id(2))
        catalogue.steps.undo()
    assert faults(path, tmp_path / "a.zip") == {}
    by_hand(path, "delete from decision", "delete from reading")
    (told,) = faults(path, tmp_path / "a.zip").values()
    assert "is in the archive, and not here" in told[0]


def test_the_chain_is_plain_sha256_over_the_lines(path: Path) -> None:
    """Computed anew with hashlib and json alone, from the rows as SQLite gives them."""
    with closing(sqlite3.connect(path)) as db:
        names = [row[1] for row in db.execute("pragma table_info(seen)")]
        columns = (
            "id, piece_id, feature, value, state, number, first_year, last_year, weights,"
            " certainty, heard, words, assumed, who, moment, photo_id, corrects, withdrawn, step_id"
        )
        assert sorted(columns.split(", ")) == sorted(names)
        digest, at = "", 0
        for line, kept in db.execute(
            "select log_line, log_hash from step where log_hash <> '' order by id"
        ):
            total = digest.encode()
            for row in db.execute(
                f"select {columns} from seen where id > ? and id <= ? order by id",
                (at, line),
            ):
                total += json.dumps(list(row), separators=(",", ":")).encode() + b"\n"
            digest, at = hashlib.sha256(total).hexdigest(), line
            assert digest == kept
        assert at == db.execute("select max(id) from seen").fetchone()[0]


def test_an_archive_with_a_changed_byte_or_of_another_catalogue_is_told(
    path: Path, tmp_path: Path
) -> None:
    other = tmp_path / "other.db"
    with Catalogue(other) as catalogue:
        box = catalogue.boxes.start("x")
        catalogue.pieces.add(box, [NewPiece("y", observations=(Observation("catch", "a"),))])
        archive(catalogue, tmp_path / "other.zip")
    assert "another catalogue" in faults(path, tmp_path / "other.zip")["archive other.zip"][0]
    data = bytearray((tmp_path / "other.zip").read_bytes())
    place = data.index(b"tables/piece.jsonl") + len("tables/piece.jsonl") + 40
    data[place] ^= 1
    (tmp_path / "bad.zip").write_bytes(data)
    with pytest.raises(CatalogueProblem):
        verify(tmp_path / "bad.zip")
    assert faults(path, tmp_path / "bad.zip")
    assert faults(path, tmp_path / "none.zip")


def test_an_archive_is_made_each_day_of_use_and_old_ones_go(path: Path) -> None:
    with Catalogue(path) as catalogue:
        days = [Day(2025, 1, 1) + datetime.timedelta(6 * n) for n in range(70)]
        for day in days:
            assert keep_daily(catalogue, day) is not None
            assert keep_daily(catalogue, day) is None
    found = daily_archives(path)
    assert 12 <= len(found) <= 7 + 4 + 12
    assert sorted(found)[-7:] == days[-7:]
    assert min(found) < Day(2025, 4, 1)
    folder = found[max(found)].parent
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700
    assert {stat.S_IMODE(each.stat().st_mode) for each in folder.iterdir()} == {0o600}
    assert faults(path, found[max(found)]) == {}


@given(
    days=st.lists(st.dates(Day(2020, 1, 1), Day(2026, 12, 31)), max_size=60, unique=True),
    size=st.integers(0, 100),
    room=st.integers(0, 2000),
)
def test_what_is_kept_of_archives(days: list[Day], size: int, room: int) -> None:
    days = sorted(days)
    gone = surplus(days, lambda _day: size, room)
    kept = [day for day in days if day not in gone]
    assert kept[-2:] == days[-2:]
    assert len(kept) <= 7 + 4 + 12
    assert len(kept) <= 2 or size * len(kept) <= room
    if size * 23 <= room:
        assert kept[-7:] == days[-7:]
        for each in list(dict.fromkeys((day.year, day.month) for day in reversed(days)))[:12]:
            assert max(day for day in days if (day.year, day.month) == each) in kept


@pytest.fixture
def run(tmp_path: Path) -> Callable[..., tuple[int, str]]:
    def ran(*words: str, **env: str) -> tuple[int, str]:
        place = {"MARKRULES_CATALOGUE": str(tmp_path / "tin.db"), **env}
        result = CliRunner().invoke(cli, list(words), env=place)
        assert result.exception is None or isinstance(result.exception, SystemExit)
        return result.exit_code, result.output

    return ran


def test_the_commands_tell_the_same_story(
    run: Callable[..., tuple[int, str]], tmp_path: Path
) -> None:
    assert run("box", "start", "tin")[0] == 0
    (made,) = daily_archives(tmp_path / "tin.db").values()
    assert run("box", "add", "tin", "brooch, rollover catch")[0] == 0
    assert list(daily_archives(tmp_path / "tin.db").values()) == [made]
    code, told = run("box", "check")
    assert code == 0
    assert told.count("whole") == 6
    assert made.name in told
    by_hand(tmp_path / "tin.db", "update seen set value = 'x'")
    code, told = run("box", "check")
    assert code == 1
    assert "FAULT  log" in told
    assert run("box", "copy", str(tmp_path / "copy.db"))[0] == 0
    assert "piece" in run("box", "list", MARKRULES_CATALOGUE=str(tmp_path / "copy.db"))[1]


def test_catalogues_of_one_name_each_have_their_archives_in_a_folder_that_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MARKRULES_ARCHIVES", str(tmp_path / "stick"))
    places = [tmp_path / name / "catalogue.db" for name in ("hers", "his")]
    for place in places:
        place.parent.mkdir()
        with Catalogue(place) as catalogue:
            box = catalogue.boxes.start(place.parent.name)
            catalogue.pieces.add(box, [NewPiece("ring", observations=(Observation("a", "b"),))])
            assert keep_daily(catalogue, Day(2025, 1, 1)) is not None
    for place in places:
        (made,) = daily_archives(place).values()
        assert made.is_relative_to(tmp_path / "stick")
        assert faults(place, made) == {}


def test_where_no_archive_can_be_made_the_work_is_done_and_it_is_told(
    run: Callable[..., tuple[int, str]], tmp_path: Path
) -> None:
    (tmp_path / "tin.db.archives").write_text("a file where the folder would be")
    code, told = run("box", "start", "tin")
    assert code == 0
    assert "no archive was made today" in told
    assert '"tin" is started' in told
    (tmp_path / "tin.db.archives").unlink()
    run("box", "start", "other", MARKRULES_ARCHIVES="none")
    assert daily_archives(tmp_path / "tin.db") == {}
