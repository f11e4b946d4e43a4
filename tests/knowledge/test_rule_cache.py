"""The cache gives what the rules give, or nothing: whatever became of its file."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import fields
from pathlib import Path
from random import Random

import pytest

from markrules.knowledge import cache as cache_module
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.cache import Cache
from markrules.knowledge.codec import Decoder, Encoder
from markrules.knowledge.kept_books import NAME as PARSED_FILES
from markrules.knowledge.kept_parts import opened, together
from markrules.knowledge.loading import load
from markrules.knowledge.own_files import OwnFile
from markrules.knowledge.texts import read_texts

SHIPPED = Path(__file__).parents[2] / "rules"
RULES = """
source a
    title "A"
    kind  book
feature catch
    ask   "?"
    value b "…"
    describes
caution c
    when  catch is b
    level care
    say   "x"
    cite  a
feature unasked
    ask   "?"
    value d
"""


@pytest.fixture
def rules(tmp_path: Path) -> Path:
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "a.rules").write_text(RULES, encoding="utf-8")
    return folder


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    return tmp_path / "cache"


def _file(kept: Path) -> Path:
    (file,) = kept.glob("knowledge-*.json")
    return file


def _same(one: KnowledgeBase, other: KnowledgeBase) -> bool:
    return all(
        dict(left) == dict(right)
        if hasattr(left := getattr(one, each.name), "items")
        and hasattr(right := getattr(other, each.name), "items")
        else getattr(one, each.name) == getattr(other, each.name)
        for each in fields(KnowledgeBase)
        if each.init
    )


def _was_cached(rules: Path, kept: Path, monkeypatch: pytest.MonkeyPatch) -> bool:
    """True if loading now needs no parser."""
    with monkeypatch.context() as patch:
        patch.setattr("markrules.knowledge.loading._built", _refuse)
        try:
            load([rules], cache_folder=kept)
        except AssertionError:
            return False
    return True


def _refuse(*_: object) -> None:
    raise AssertionError("built anew")


def test_the_cached_base_equals_the_built_one_with_places_and_warnings(
    rules: Path, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    built, warnings = load([rules], cache_folder=kept)
    again, warned = load([rules], cache_folder=kept)

    assert _was_cached(rules, kept, monkeypatch)
    assert _same(built, again)
    assert [each.code for each in warned] == ["unused-value"]
    assert warned == warnings
    for kind in ("sources", "features", "cautions"):
        for name, entry in getattr(built, kind).items():
            assert getattr(again, kind)[name].span == entry.span
    assert again.features["catch"].values[0].span == built.features["catch"].values[0].span


def test_every_entry_of_the_shipped_rules_survives(kept: Path) -> None:
    built, problems = load([SHIPPED], cache_folder=None)
    texts, _ = read_texts([SHIPPED])
    Cache(kept, texts).write(built, problems)

    again = Cache(kept, texts).read(built.version, built.loaded_from, _refuse)  # type: ignore[arg-type]

    assert again is not None
    assert again[1] == problems
    assert _same(built, again[0])


def test_a_cached_start_imports_no_parser(rules: Path, kept: Path) -> None:
    load([rules], cache_folder=kept)
    program = (
        "import sys; from pathlib import Path; from markrules.knowledge.loading import load;"
        f"base, _ = load([Path({str(rules)!r})], cache_folder=Path({str(kept)!r}));"
        "assert base.sources['a'].title == 'A';"
        "print([name for name in ('lark', 'rapidfuzz', 'rich') if name in sys.modules])"
    )

    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )

    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("change", ["text", "name", "more", "less"])
def test_any_change_of_the_rules_makes_it_anew(
    rules: Path, kept: Path, monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    (rules / "b.rules").write_text("piece ring\n", encoding="utf-8")
    load([rules], cache_folder=kept)
    assert _was_cached(rules, kept, monkeypatch)
    match change:
        case "text":
            (rules / "b.rules").write_text("piece rung\n", encoding="utf-8")
        case "name":
            (rules / "b.rules").rename(rules / "z.rules")
        case "more":
            (rules / "c.rules").write_text("piece clip\n", encoding="utf-8")
        case _:
            (rules / "b.rules").unlink()

    assert not _was_cached(rules, kept, monkeypatch)


def test_another_version_or_grammar_makes_it_anew(
    rules: Path, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load([rules], cache_folder=kept)
    for name, value in (
        ("__version__", "0.0.0"),
        ("grammar_sources", lambda: b"start: entries"),
        ("signature", lambda: "another tree"),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(cache_module, name, value)
            assert not _was_cached(rules, kept, monkeypatch)


def test_rules_with_errors_are_not_kept(rules: Path, kept: Path) -> None:
    (rules / "b.rules").write_text("clew x\n", encoding="utf-8")

    load([rules], cache_folder=kept)

    # A person who writes rules checks them again and again: the files that were parsed are kept.
    assert [each.name for each in kept.iterdir()] == [PARSED_FILES]


def test_damage_anywhere_gives_the_same_base(rules: Path, kept: Path) -> None:
    built, _ = load([rules], cache_folder=kept)
    whole = _file(kept).read_bytes()
    random = Random(3)
    for _ in range(300):
        damaged = bytearray(whole)
        match random.randrange(4):
            case 0:
                del damaged[random.randrange(len(damaged)) :]
            case 1:
                damaged[random.randrange(len(damaged))] ^= 1 << random.randrange(8)
            case 2:
                at = random.randrange(len(damaged))
                damaged[at:at] = random.randbytes(random.randint(1, 20))
            case _:
                damaged = bytearray(random.randbytes(random.randrange(200)))
        _file(kept).write_bytes(damaged)

        again, problems = load([rules], cache_folder=kept)

        assert _same(built, again)
        assert [each.code for each in problems] == ["unused-value"]


def _foreign(kept: Path, kind: str, row: bytes) -> None:
    """Put rows of another making into the cache, with checksums that fit."""
    file = OwnFile(_file(kept))
    said, places = opened(file.read)
    texts = {name: file.read(*places[name][:2]) for name in places}
    _, rows = opened(file.read, places[kind][0])
    texts[kind] = together(dict.fromkeys(rows, row))
    _file(kept).write_bytes(together(texts, what=said["what"], key=said["key"]))


@pytest.mark.parametrize(
    "text",
    [
        b"",
        b"null",
        b"7",
        b"[[]]",
        b'["x"]',
        b'[[99,1,1,1],"a","A","book"]',
        b'[[0,1,1,1],"a"]',
        b'[[0,1,1,1],"a","A","book",{},{},{},{},{},{},{},{},{}]',
        b"\xff\xfe",
        b"[" * 100_000,
    ],
    ids=lambda text: text[:12].decode("latin-1"),
)
def test_rows_of_another_making_are_read_from_the_rules(
    rules: Path, kept: Path, text: bytes
) -> None:
    built, _ = load([rules], cache_folder=kept)
    _foreign(kept, "sources", text)

    again, _ = load([rules], cache_folder=kept)

    assert set(again.sources) >= {"a"}
    assert again.sources["a"].title == built.sources["a"].title
    assert dict(again.sources)["a"] == built.sources["a"]


@pytest.mark.skipif(not hasattr(os, "getuid"), reason="needs owners and modes of files")
def test_a_cache_that_others_may_write_is_not_trusted(
    rules: Path, kept: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    load([rules], cache_folder=kept)
    _file(kept).chmod(0o666)

    assert not _was_cached(rules, kept, monkeypatch)


def test_a_folder_that_cannot_be_written_is_done_without(rules: Path, tmp_path: Path) -> None:
    blocked = tmp_path / "blocked"
    blocked.write_text("a file where the folder should be")

    base, problems = load([rules], cache_folder=blocked / "deeper")

    assert base.sources["a"].title == "A"
    assert [each.code for each in problems] == ["unused-value"]


def test_many_at_once_leave_one_whole_file(rules: Path, kept: Path) -> None:
    program = (
        "from pathlib import Path; from markrules.knowledge.loading import load;"
        f"base, _ = load([Path({str(rules)!r})], cache_folder=Path({str(kept)!r}));"
        "assert base.sources['a'].title == 'A'"
    )
    running = [subprocess.Popen([sys.executable, "-c", program]) for _ in range(6)]

    assert [process.wait(60) for process in running] == [0] * 6
    assert len(list(kept.glob("knowledge-*.json"))) == 1
    assert not [path.name for path in kept.iterdir() if path.name.startswith(".")]


def test_old_files_do_not_pile_up(rules: Path, kept: Path) -> None:
    for number in range(cache_module.MOST_FILES + 4):
        (rules / "b.rules").write_text(f"piece p{number}\n", encoding="utf-8")
        load([rules], cache_folder=kept)

    assert len(list(kept.glob("knowledge-*.json"))) == cache_module.MOST_FILES


def test_rules_that_are_in_use_stay_however_many_others_are_tried(rules: Path, kept: Path) -> None:
    other = rules.parent / "own"
    other.mkdir()
    load([rules], cache_folder=kept)
    (in_use,) = kept.glob("knowledge-*.json")
    for number in range(cache_module.MOST_FILES + 4):
        (other / "b.rules").write_text(f"piece p{number}\n", encoding="utf-8")
        load([rules, other], cache_folder=kept)
        assert in_use.exists()
        load([rules], cache_folder=kept)

    assert len(list(kept.glob("knowledge-*.json"))) == cache_module.MOST_FILES


def test_the_codec_says_so_when_a_field_is_of_a_type_it_does_not_know() -> None:
    with pytest.raises(NotImplementedError, match="no way to write"):
        Encoder([])._way("frozenset[str]")
    with pytest.raises(NotImplementedError, match="no way to write"):
        Decoder([])._way("frozenset[str]")
