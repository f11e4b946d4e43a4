"""A user's own marks: import, search, and what happens when something goes wrong."""

from __future__ import annotations

import math
import os
import random
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path

import pytest
from engine_numbers import setting_entries
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.knowledge.base import KnowledgeBase
from markrules.language.tree import Maker, Mark
from markrules.marks.mark_import import MOST_PROBLEMS, import_csv
from markrules.marks.private_list import PrivateList
from markrules.marks.private_marks import PrivateMark, PrivateMarks, StoreError
from markrules.marks.search import MarkSearch
from markrules.marks.vocabulary import vocabulary

BASE = KnowledgeBase(
    "made up",
    settings=setting_entries(),
    makers={"halvorsen": Maker("halvorsen", "Halvorsen", marks=(Mark("a", "HALVORSEN"),))},
)
GOOD = (
    "text,maker,years,note,source\n"
    "J.T.,John Tarn,1901-1910,,town list\n"
    "TARN & CO,Tarn,from 1911,,\n"
)


@pytest.fixture
def store(tmp_path: Path) -> PrivateMarks:
    return PrivateMarks(tmp_path / "data" / "marks.sqlite")


def csv_file(folder: Path, text: str | bytes) -> Path:
    path = folder / "list.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return path


def search_over(store: PrivateMarks) -> MarkSearch:
    return MarkSearch(BASE, [PrivateList(store.path, vocabulary(BASE))])


def test_imported_marks_are_found_beside_those_of_the_rules(
    store: PrivateMarks, tmp_path: Path
) -> None:
    report = import_csv(csv_file(tmp_path, GOOD), store)

    assert (report.read, report.added, report.bad_lines, report.done) == (2, 2, 0, True)
    search = search_over(store)
    first = search.search("TAR? & CO").results[0]
    assert (first.title, first.text, first.years) == ("Tarn", "TARN & CO", "from 1911")
    assert search.search("J.T.").results[0].source == "town list"
    assert search.search("HALV...").results[0].maker == "halvorsen"


def test_columns_may_stand_in_any_order(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, "\ufeffMaker,Text\nTarn,J.T.\n"), store)

    assert store.rows([1]) == {1: PrivateMark("J.T.", "Tarn")}


def test_the_same_file_twice_adds_nothing_new(store: PrivateMarks, tmp_path: Path) -> None:
    path = csv_file(tmp_path, GOOD)
    import_csv(path, store)

    assert import_csv(path, store).added == 0
    assert store.count() == 2


def test_a_dry_run_tells_and_changes_nothing(store: PrivateMarks, tmp_path: Path) -> None:
    report = import_csv(csv_file(tmp_path, GOOD), store, dry_run=True)

    assert (report.added, report.done) == (2, False)
    assert not store.exists()
    assert list(store.path.parent.iterdir()) == []


def test_more_marks_are_searched_at_once(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    search_over(store)

    import_csv(csv_file(tmp_path, "text\nZELMIRA\n"), store)

    assert search_over(store).search("ZELM...").results[0].text == "ZELMIRA"


GOOD_BESIDE_BAD = (
    "text\n--\nA.B.\n...\n",
    "text,years\nA,19x0\nB,1920\n",
    'text\n"A"B\nC\n',
)
"""Files of which one line is good."""


@pytest.mark.parametrize(
    ("text", "problems"),
    [
        ("", ["line 1: the file is empty; its first line names the columns"]),
        (
            "maker,years\nTarn,1901\n",
            ["line 1: no column `text`; the columns may be text, maker, years, note, source"],
        ),
        (
            "text,colour\nA,red\n",
            [
                'line 1: column "colour" is not known; the columns may be text, maker, years, '
                "note, source"
            ],
        ),
        ("text,text\nA,B\n", ["line 1: a column is named twice"]),
        ("text\n--\nA.B.\n...\n", ["line 2: text has no letter", "line 4: text has no letter"]),
        ("text,maker\nA,B,C\n", ["line 2: 3 fields, but 2 columns are named"]),
        (
            "text\n" + "A" * 81 + "\n",
            ["line 2: text has 81 letters, and at most 80 can be searched"],
        ),
        (
            "text,note\nA," + "x" * 1001 + "\n",
            ["line 2: note has 1,001 characters, and at most 1000 are kept"],
        ),
        (b"text\nHOB\xc9\n", ["line 2: text is not in UTF-8; save the file as UTF-8"]),
        (
            "text,years\nA,19x0\nB,1920\n",
            [
                'line 2: years "19x0" is not understood; write 1920, c. 1920, 1920s, '
                "1920-1935, from 1920 or until 1935"
            ],
        ),
        ('text\n"A\n', ["line 2: not a line of CSV: unexpected end of data"]),
        ('text\n"A"B\nC\n', ["line 2: not a line of CSV: ',' expected after '\"'"]),
    ],
)
def test_every_bad_line_is_told_and_the_others_are_added(
    store: PrivateMarks, tmp_path: Path, text: str | bytes, problems: list[str]
) -> None:
    report = import_csv(csv_file(tmp_path, text), store)

    good = text in GOOD_BESIDE_BAD
    assert [str(each) for each in report.problems] == problems
    assert (report.added, report.done) == (int(good), False)
    assert store.exists() == good


def test_lines_that_an_open_quote_takes_along_are_told(store: PrivateMarks, tmp_path: Path) -> None:
    report = import_csv(csv_file(tmp_path, 'text\nFENWICK\n"LARK\nOTHER\nMORE\n'), store)

    assert report.added == 1
    assert str(report.problems[0]).startswith("line 3: not CSV from here to line 5")


def test_a_line_without_an_end_stops_the_reading(store: PrivateMarks, tmp_path: Path) -> None:
    file = tmp_path / "long.csv"
    file.write_text("text\nFENWICK\n" + "é" * 900_000 + "\nOTHER,too,many\n", encoding="utf-8")
    report = import_csv(file, store)
    assert (report.added, report.bad_lines) == (1, 1)
    assert report.problems[0].line == 3
    assert "longer than 1,000,000 bytes" in report.problems[0].message


def test_one_bad_line_among_many_is_left_out_alone(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    new = "".join(f"{''.join(chr(65 + int(n)) for n in str(at))}\n" for at in range(10_000))

    report = import_csv(csv_file(tmp_path, f"text\n{new}..\n"), store)

    assert (report.added, report.bad_lines) == (10_000, 1)
    assert report.problems[0].line == 10_002
    assert store.count() == 10_002


def test_many_bad_lines_are_counted_and_some_are_shown(store: PrivateMarks, tmp_path: Path) -> None:
    report = import_csv(csv_file(tmp_path, "text\n" + ".\n" * 15_000), store)

    assert (report.bad_lines, len(report.problems)) == (15_000, MOST_PROBLEMS)


def test_progress_goes_up_to_the_size_of_the_file(store: PrivateMarks, tmp_path: Path) -> None:
    path = csv_file(tmp_path, "text\n" + "".join(f"MARK {n}A\n" for n in range(20_000)))
    told: list[tuple[int, int]] = []

    import_csv(path, store, progress=lambda done, size: told.append((done, size)))

    assert len(told) > 50
    assert told == sorted(told)
    assert {size for _, size in told} == {path.stat().st_size}


@given(st.binary(max_size=300))
@settings(max_examples=samples(150))
def test_no_file_breaks_the_import(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    folder = tmp_path_factory.mktemp("any")
    store = PrivateMarks(folder / "marks.sqlite")

    report = import_csv(csv_file(folder, b"text,maker\n" + data), store)

    assert store.count() == report.added
    assert report.read >= report.added
    assert len(report.problems) == report.bad_lines  # each is told, and all others are taken


def test_another_database_is_refused(store: PrivateMarks, tmp_path: Path) -> None:
    store.path.parent.mkdir(parents=True)
    with sqlite3.connect(store.path) as database:
        database.execute("CREATE TABLE other (a)")

    with pytest.raises(StoreError, match="this is not a list of marks"):
        import_csv(csv_file(tmp_path, GOOD), store)
    with pytest.raises(StoreError, match="this is not a list of marks"):
        store.count()


def test_a_newer_database_is_refused(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    with sqlite3.connect(store.path) as database:
        database.execute("PRAGMA user_version = 9")

    with pytest.raises(StoreError, match="its format is 9"):
        search_over(store)


def test_a_text_file_in_its_place_is_refused(store: PrivateMarks) -> None:
    store.path.parent.mkdir(parents=True)
    store.path.write_text("nothing of the kind, but long enough to be looked at")

    with pytest.raises(StoreError, match="not a database"):
        search_over(store)


@pytest.mark.parametrize("damage", ["missing", "cut short", "of another list", "altered"])
def test_the_index_is_made_again(store: PrivateMarks, tmp_path: Path, damage: str) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    search_over(store)
    (path,) = store.folder.iterdir()
    if damage == "missing":
        path.unlink()
    elif damage == "cut short":
        path.write_bytes(path.read_bytes()[:-20])
    elif damage == "of another list":
        other = PrivateMarks(tmp_path / "other.sqlite")
        import_csv(csv_file(tmp_path, "text\nOTHER\n"), other)
        search_over(other)
        path.write_bytes(next(other.folder.iterdir()).read_bytes())
    else:
        data = bytearray(path.read_bytes())
        data[-40] ^= 1
        path.write_bytes(data)

    assert search_over(store).search("TARN...").results[0].text == "TARN & CO"


_KILLED = """
import sys
from pathlib import Path
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.mark_import import import_csv
from markrules.marks.private_list import PrivateList
from markrules.marks.private_marks import PrivateMarks
from markrules.marks.vocabulary import vocabulary
store = PrivateMarks(Path(sys.argv[2]))
print("ready", flush=True)
import_csv(Path(sys.argv[1]), store)
PrivateList(store.path, vocabulary(KnowledgeBase("x")))
print("done", flush=True)
"""


def test_a_crash_at_any_moment_leaves_all_or_nothing(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    lines = 30_000
    path = tmp_path / "long.csv"
    path.write_text("text\n" + "".join(f"MARK {n}A\n" for n in range(lines)))
    rng = random.Random(6)
    outcomes = set()
    for _ in range(samples(8, least=3)):
        process = subprocess.Popen(
            [sys.executable, "-c", _KILLED, str(path), str(store.path)],
            stdout=subprocess.PIPE,
            cwd=Path(__file__).parents[2],
        )
        assert process.stdout is not None
        process.stdout.readline()
        time.sleep(rng.uniform(0, 1.2))
        os.kill(process.pid, signal.SIGKILL)
        process.wait()
        process.stdout.close()

        outcomes.add(store.count())
        assert search_over(store).search("TARN...").results[0].text == "TARN & CO"
        with sqlite3.connect(store.path) as database:
            assert database.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert outcomes <= {2, 2 + lines}


def test_reading_while_another_process_writes(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    search = search_over(store)

    with store.adding() as add:
        add([PrivateMark("WAITING")])
        assert search.search("TARN...").results[0].text == "TARN & CO"
    assert store.count() == 3


def test_hostile_text_comes_back_as_itself(store: PrivateMarks, tmp_path: Path) -> None:
    hostile = "=cmd|'/c'!A1 <script>alert(1)</script> \u202eAB\x00\x1b[31m"
    import_csv(csv_file(tmp_path, f'text,maker\nABC,"{hostile}"\n'), store)

    (mark,) = store.rows([1]).values()
    assert mark.maker == "=cmd|'/c'!A1 <script>alert(1)</script> AB[31m"


def test_many_makers_with_the_same_initials(store: PrivateMarks, tmp_path: Path) -> None:
    rows = "".join(f"AB,Maker {n}\n" for n in range(3000))
    import_csv(csv_file(tmp_path, f"text,maker\n{rows}"), store)

    answer = search_over(store).search("AB")

    assert len(answer.results) == 10
    assert answer.results[0].probability == pytest.approx(1 / 3000, rel=0.2)


def test_only_the_last_part_of_the_index_is_made_again(
    store: PrivateMarks, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("markrules.marks.private_marks.SHARD", 1000)
    monkeypatch.setattr("markrules.marks.private_list.SHARD", 1000)
    import_csv(csv_file(tmp_path, "text\n" + "".join(f"OLD {n}A\n" for n in range(2500))), store)
    search_over(store)
    before = {path.name: path.stat().st_ino for path in store.folder.iterdir()}

    import_csv(csv_file(tmp_path, "text\n" + "".join(f"NEW {n}A\n" for n in range(600))), store)
    search = search_over(store)

    after = {path.name: path.stat().st_ino for path in store.folder.iterdir()}
    assert (len(before), len(after)) == (3, 4)
    assert sum(after[name] == number for name, number in before.items()) == 2
    assert search.search("OLD 1234A").results[0].text == "OLD 1234A"
    assert search.search("NEW 599A").results[0].text == "NEW 599A"


def test_building_the_index_tells_how_far_it_is(store: PrivateMarks, tmp_path: Path) -> None:
    import_csv(csv_file(tmp_path, GOOD), store)
    told: list[tuple[int, int]] = []

    PrivateList(store.path, vocabulary(BASE), lambda done, rows: told.append((done, rows)))

    assert told == [(2, 2)]


@pytest.mark.parametrize("query", ["TAR...", "T?RN", "...RNE", "HALV?RSEN", "T?R", "TA?N & C?"])
def test_marks_that_are_not_fetched_could_have_weighed_nothing(
    store: PrivateMarks, monkeypatch: pytest.MonkeyPatch, query: str
) -> None:
    """What is left out of a list for want of weight is below a millionth of what is shown."""
    rng = random.Random(7)
    names = ["".join(rng.choices("AEHNORSTV", k=rng.randint(3, 8))) for _ in range(900)]
    with store.adding() as add:
        add(PrivateMark(name, f"Maker {name}") for name in (*names, "TARNEY", "TARNOV", "TARN"))

    def shares() -> dict[str, float]:
        evidence = search_over(store).evidence(query)
        weights = {"": BASE.setting("unknown-maker")}
        for each in evidence.candidates:
            weight = each.imported.weight if each.imported else 1.0
            ratio = math.exp(each.log_likelihood - evidence.unknown_log_likelihood)
            weights[f"{each.maker} {each.mark}"] = weight * ratio
        total = sum(weights.values())
        return {name: weight / total for name, weight in weights.items()}

    pruned = shares()
    monkeypatch.setattr("markrules.marks.search.WORTH_KEEPING", 200.0)
    whole = shares()

    assert len(pruned) <= len(whole)
    for name, share in whole.items():
        assert pruned.get(name, 0.0) == pytest.approx(share, abs=1e-4)


def test_rows_are_read_from_the_list_that_now_stands_in_its_place(
    store: PrivateMarks, tmp_path: Path
) -> None:
    with store.adding() as add:
        add([PrivateMark("TARN", "Tarn")])
    assert store.rows([1])[1].maker == "Tarn"

    other = PrivateMarks(tmp_path / "other.sqlite")
    with other.adding() as add:
        add([PrivateMark("HALE", "Hale")])
    os.replace(other.path, store.path)

    assert store.rows([1])[1].maker == "Hale"
    store.path.unlink()
    with pytest.raises(StoreError):
        store.rows([1])


def test_a_list_that_cannot_be_made_is_told_as_such(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As on a disk that is full or may not be written: no file was made, and none is missed."""

    def refused(*_: object, **__: object) -> sqlite3.Connection:
        raise sqlite3.OperationalError("unable to open database file")

    monkeypatch.setattr(sqlite3, "connect", refused)

    with (
        pytest.raises(StoreError, match="unable to open"),
        PrivateMarks(tmp_path / "m.db").adding(),
    ):
        pass
    assert not list(tmp_path.iterdir())
