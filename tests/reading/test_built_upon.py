"""Rules to which a person adds are built upon what is kept, and are as if built from nothing.

Each example lays own entries beside a little base (new ones, shipped ones taken back or put anew,
numbers and priors changed), reads with them over a cache that other rules have filled, and once
more over an empty one. Everything that then lies in the two folders is to be the same, byte for
byte: entries, problems, words, curves, looks, marks.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Collection, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

import pytest
from engine_numbers import NUMBERS
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples, some_of

from markrules.knowledge import loading
from markrules.knowledge.kept_books import NAME as PARSED_FILES
from markrules.knowledge.kept_books import KeptBooks
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.knowledge.seen_files import NAME as SEEN_FILES
from markrules.knowledge.workings import MADE_OF, Make, Workings
from markrules.language.problems import Problem
from markrules.language.tree import Book
from markrules.reading.reader import Reader, Request

LITTLE = Path(__file__).parents[1] / "inference" / "little" / "little.rules"
LAST_YEAR = 2026
SHARES = """
shares back
    on   brooch
    in   1900 textured 20%, smooth 70%
    in   1960 textured 60%, smooth 30%
    why  "x"
    cite common-practice
"""
NOTES = (
    "brooch, rollover, aurora, textured back",
    "necklace, paste, marked QUELL",
    "own bow",
    "spilla, own bar",
)

MADE_FOR_EVERY_READING = ("knowledge-", "-curves-", "-notes.", "-look-clues-", "-mark-windows-")

CURVES = st.lists(st.integers(1760, 2015), min_size=3, max_size=3, unique=True).map(sorted)


@st.composite
def own_entries(draw: st.DrawFn) -> str:
    """Entries of one's own beside the little rules: some added, some put anew, some taken back."""
    told = [
        _new_clasp(*draw(CURVES)),
        _clue_put_anew(draw(st.sampled_from(["plain-c", "paste", "textured-back"])), draw(CURVES)),
        _taken_back("clue", draw(st.sampled_from(["rhinestone", "trombone-catch"]))),
        _taken_back("type", "war-pin"),
        _taken_back("shares", "back"),
        _put_anew("setting", "background", f"    value {draw(st.integers(1, 9))}%\n"),
        _prior_of_necklaces(draw(CURVES)),
        _taken_back("maker", "quell"),
        _own_maker(draw(st.sampled_from(["ZWICKEL", "PASTE", "QUELL"])), draw(CURVES)),
        f'piece medal\n    under ornament\n    also  "{draw(st.sampled_from(["pin", "badge"]))}"\n',
        'more catch\n    value bar "a bar"\n        also "own bar"\n    value c-catch\n'
        f'        also "{draw(st.sampled_from(["old hook", "plain c"]))}"\n',
        'more brooch\n    kind piece\n    also "spilla"\n',
        'feature back\n    ask "Doubled?"\n    value rough\n',
    ]
    return "\n".join(each for each in told if draw(st.booleans()))


def _new_clasp(early: int, middle: int, late: int) -> str:
    return (
        "feature bow-clasp\n"
        '    ask   "Is it a bow?"\n'
        '    value stamped-bow\n        also "own bow"\n'
        "clue own-bow\n"
        "    when   bow-clasp is stamped-bow\n"
        f"    common {early} {middle} {late}\n"
        '    trust  weak\n    why    "x"\n    cite   common-practice\n'
    )


def _clue_put_anew(name: str, years: list[int]) -> str:
    asked = {"plain-c": "catch is c-catch", "paste": "stone-kind is paste"}
    when = asked.get(name, "back is textured")
    body = f"    when   {when}\n    common {years[0]} {years[1]} {years[2]}\n"
    return _put_anew("clue", name, f"{body}    trust  weak\n    cite   common-practice\n")


def _prior_of_necklaces(years: list[int]) -> str:
    return (
        "prior own-necklaces\n    on     necklace\n    origin dealer\n"
        f'    common {years[0]} {years[1]} {years[2]}\n    why    "x"\n    cite   common-practice\n'
    )


def _own_maker(mark: str, years: list[int]) -> str:
    """An invented maker: most of what is worked out does not follow from makers."""
    return (
        f'maker own-maker\n    title "Own Maker"\n    works mostly {years[0]} to {years[2]}\n'
        "    common often\n    cite common-practice\n"
        f'    mark own-mark\n        text "{mark}"\n        form block\n        method struck\n'
        f"        used mostly {years[0]} to {years[2]}\n"
        "        trust weak\n        cite common-practice\n"
    )


def _taken_back(kind: str, name: str) -> str:
    return f'withdraw {name}\n    kind {kind}\n    why  "x"\n'


def _put_anew(kind: str, name: str, body: str) -> str:
    why = '    why    "x"\n'
    return f"{_taken_back(kind, name)}{kind} {name}\n{body}{why}"


def _plain(number: float) -> str:
    return f"{number:.12f}".rstrip("0").rstrip(".")


def little_rules() -> str:
    """The little rules of the readings' tests, with shares and all numbers of the engine."""
    numbers = [
        f'setting {name}\n    value {_plain(value)}\n    why "x"\n'
        for name, value in NUMBERS.items()
    ]
    return "\n".join([LITTLE.read_text(encoding="utf-8"), SHARES, *numbers])


def read_all(root: Path, own: str, cache_folder: Path) -> list[Problem]:
    """Read all notes with own rules over a cache folder; the problems that the rules have."""
    (root / "own" / "own.rules").write_text(own, encoding="utf-8")
    loading._PARSED.clear()
    base, problems = load([root / "shipped", root / "own"], cache_folder=cache_folder)
    if base.settings:
        reader = Reader(base, LAST_YEAR)
        for note in NOTES:
            reader.read(Request(note, next_looks=4))
    return list(problems)


def kept(folder: Path) -> dict[str, bytes]:
    """What a start would read of the folder."""
    other = (PARSED_FILES, SEEN_FILES)
    return {each.name: each.read_bytes() for each in folder.iterdir() if each.name not in other}


@cache
def filled() -> Path:
    """Little rules, and a cache that readings with them alone have filled."""
    root = Path(tempfile.mkdtemp(prefix="built-upon-"))
    for name in ("shipped", "own"):
        (root / name).mkdir()
    (root / "shipped" / "little.rules").write_text(little_rules(), encoding="utf-8")
    assert not [each for each in read_all(root, "", root / "cache") if each.severity == "error"]
    return root


@pytest.fixture(scope="module", autouse=True)
def _taken_away() -> Iterator[None]:
    yield
    if filled.cache_info().currsize:
        shutil.rmtree(filled(), ignore_errors=True)


@given(own_entries())
@settings(max_examples=samples(60))
def test_what_is_built_upon_other_rules_is_as_built_from_nothing(own: str) -> None:
    root = filled()
    upon, fresh = root / "upon", root / "fresh"
    shutil.copytree(root / "cache", upon)
    try:
        problems = read_all(root, own, upon)
        assert read_all(root, own, fresh) == problems
        found, wanted = kept(upon), kept(fresh)
        # What is worked out only when it is asked for may lie in one of them alone.
        both = found.keys() & wanted.keys()
        assert {name: found[name] for name in both} == {name: wanted[name] for name in both}
        if not any(each.severity == "error" for each in problems):  # else nothing is kept
            assert all(any(kind in name for name in both) for kind in MADE_FOR_EVERY_READING)
    finally:
        shutil.rmtree(upon, ignore_errors=True)
        shutil.rmtree(fresh, ignore_errors=True)


def test_a_clue_that_is_added_makes_no_other_curve_anew(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    from markrules.inference.year_tables import YearTables

    made: list[str] = []
    real = YearTables._packed_curve

    def counted(self: YearTables, facts: object) -> bytes:
        made.append(facts.key)  # type: ignore[attr-defined]
        return real(self, facts)  # type: ignore[arg-type]

    shutil.copytree(filled() / "cache", tmp_path / "cache")
    monkeypatch.setattr(YearTables, "_packed_curve", counted)
    read_all(filled(), _new_clasp(1900, 1920, 1950), tmp_path / "cache")
    assert made == ["own-bow"]
    made.clear()
    read_all(filled(), _put_anew("setting", "background", "    value 7%\n"), tmp_path / "cache")
    assert {"plain-c", "paste", "type war-pin"} <= set(made)


def test_a_damaged_part_of_other_rules_is_made_anew(tmp_path: Path) -> None:
    digests = {"one": "a", "two": "b"}
    first = Workings(tmp_path, "k" * 32)
    first.parts(
        "name", lambda: first.made_again("name", digests, lambda part: b"old " + part.encode())
    )
    (path,) = tmp_path.iterdir()
    whole = path.read_bytes()
    second = Workings(tmp_path, "l" * 32)

    def again() -> dict[str, object]:
        return second.made_again("name", digests, lambda part: b"new " + part.encode())

    untouched = {MADE_OF: digests, "one": b"old one", "two": b"old two"}
    assert again() == untouched
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        found = again()
        assert found.pop(MADE_OF) == digests
        assert found["one"] in (b"old one", b"new one"), at
        assert found["two"] in (b"old two", b"new two"), at
    path.write_bytes(whole)
    assert second.made_again("name", {"one": "b", "two": "b"}, lambda part: b"new") == {
        MADE_OF: {"one": "b", "two": "b"},
        "one": b"new",
        "two": b"old two",
    }


def test_a_maker_that_is_added_makes_nothing_anew_that_follows_from_none(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    made: list[str] = []
    real = Workings.parts

    def counted(self: Workings, name: str, make: Make, **told: Collection[str]) -> object:
        def counting() -> object:
            made.append(name)
            return make()

        return real(self, name, counting, **told)  # type: ignore[arg-type]

    shutil.copytree(filled() / "cache", tmp_path / "cache")
    monkeypatch.setattr(Workings, "parts", counted)
    read_all(filled(), _own_maker("ZWICKEL", [1920, 1930, 1940]), tmp_path / "cache")
    assert any(name.startswith("marks-") for name in made)
    assert "notes" in made
    before = {each.name.partition("-")[2] for each in (filled() / "cache").glob("*.working")}
    again = {name for name in made if f"{name}.working" in before}
    assert not [name for name in again if name.startswith(("look", "curves", "priors", "remarks"))]
    made.clear()
    read_all(filled(), _new_clasp(1900, 1920, 1950), tmp_path / "cache")
    assert any(name.startswith("look") for name in made)


def test_a_damaged_working_of_like_rules_is_made_anew(tmp_path: Path) -> None:
    def kept_for(key: str, clues: bytes, makers: bytes, content: bytes) -> Mapping[str, object]:
        sections = [("clues", clues), ("makers", makers)]
        workings = Workings(tmp_path, key * 32, lambda: sections)
        return workings.parts(
            "name", lambda: {"one": content, "two": ["x"]}, apart_from=("makers",)
        )

    kept_for("k", b"clues", b"makers", b"old")
    (path,) = tmp_path.iterdir()
    whole = path.read_bytes()
    assert kept_for("l", b"clues", b"other makers", b"new")["one"] == b"old"
    assert kept_for("m", b"other clues", b"makers", b"new")["one"] == b"new"
    for each in tmp_path.iterdir():
        each.unlink()
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        found = kept_for("l", b"clues", b"other makers", b"new")
        assert (found["one"], found["two"]) in ((b"new", ["x"]), (b"old", ["x"])), at
        (made,) = (each for each in tmp_path.iterdir() if each != path)
        made.unlink()


def refused(text: str, file: str) -> tuple[Book, tuple[Problem, ...]]:
    raise AssertionError(f"{file} should have been kept")


def told(node: object) -> object:
    """A node with all its fields, also those that take no part where two are compared."""
    if is_dataclass(node):
        return type(node).__name__, [told(getattr(node, each.name)) for each in fields(node)]
    if isinstance(node, tuple):
        return [told(each) for each in node]
    return node


def test_a_kept_file_is_as_parsed_to_the_last_place(tmp_path: Path) -> None:
    from markrules.language.parser import parse

    broken = 'feature x\n    ask 7\nclue\n\nfeature é\n    ask "?"\n    value a b\n'
    paths = some_of(sorted(shipped_rules().rglob("*.rules")))
    texts = {str(path): path.read_text("utf-8") for path in paths}
    texts |= {"broken.rules": broken, "empty.rules": "", "no text.rules": "\ud800\0"}
    before = KeptBooks(tmp_path)
    made = {file: before.parsed(text, file, parse) for file, text in texts.items()}
    before.keep()
    after = KeptBooks(tmp_path)
    for file, text in texts.items():
        assert told(after.parsed(text, file, refused)) == told(made[file]), file
    # Under another name it is the same text in another place.
    moved = after.parsed(broken, "moved.rules", refused)
    assert told(moved) == told(parse(broken, "moved.rules"))
    assert moved[1]


def test_a_damaged_kept_file_is_parsed_anew(tmp_path: Path) -> None:
    from markrules.language.parser import parse

    text = 'clue x\n    when a is b\n    why "é"\n'
    kept_books = KeptBooks(tmp_path)
    wanted = told(kept_books.parsed(text, "a.rules", parse))
    kept_books.keep()
    path = tmp_path / PARSED_FILES
    whole = path.read_bytes()
    for at in range(len(whole)):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert told(KeptBooks(tmp_path).parsed(text, "a.rules", parse)) == wanted, at
    path.write_bytes(whole)
    assert told(KeptBooks(tmp_path).parsed(text, "a.rules", refused)) == wanted
