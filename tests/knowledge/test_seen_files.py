"""A file of rules is read again whenever it may have changed, and only then."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from markrules.knowledge import seen_files, texts
from markrules.knowledge.loading import load
from markrules.knowledge.own_files import checksum
from markrules.knowledge.seen_files import NAME, SeenFiles
from markrules.knowledge.texts import fingerprint, read_texts

RULES = "piece ring\n"


@pytest.fixture
def rules(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with one file, which counts as settled at once."""
    monkeypatch.setattr(seen_files, "SETTLED", -1)
    folder = tmp_path / "rules"
    folder.mkdir()
    (folder / "a.rules").write_text(RULES, encoding="utf-8")
    return folder


def _keep(rules: Path, kept: Path) -> None:
    before = SeenFiles(kept)
    read_texts([rules], before)
    before.keep()


def test_a_file_as_it_was_is_not_read_and_has_its_hash(rules: Path, tmp_path: Path) -> None:
    _keep(rules, tmp_path)
    (known,), problems = read_texts([rules], SeenFiles(tmp_path))
    (read,), _ = read_texts([rules])

    assert not problems
    assert (known.content, read.content) == (None, RULES.encode())
    assert known.digest == read.digest
    assert fingerprint([known]) == fingerprint([read])


@pytest.mark.parametrize("change", ["same size and time", "replaced", "shorter", "touched"])
def test_a_file_that_may_have_changed_is_read(rules: Path, tmp_path: Path, change: str) -> None:
    _keep(rules, tmp_path)
    file = rules / "a.rules"
    was = file.stat()
    time.sleep(0.02)  # more than the clock of a file system steps by
    match change:
        case "same size and time":
            file.write_text("piece rung\n", encoding="utf-8")
            os.utime(file, ns=(was.st_atime_ns, was.st_mtime_ns))
        case "replaced":
            other = rules / "b"
            other.write_text("piece rang\n", encoding="utf-8")
            os.utime(other, ns=(was.st_atime_ns, was.st_mtime_ns))
            os.replace(other, file)
        case "shorter":
            file.write_text("piece rin\n", encoding="utf-8")
        case _:
            os.utime(file)
    (found,), _ = read_texts([rules], SeenFiles(tmp_path))

    assert found.content == file.read_bytes()


def test_a_file_changed_just_now_is_not_recorded(
    rules: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(seen_files, "SETTLED", 2_000_000_000)
    _keep(rules, tmp_path)
    (found,), _ = read_texts([rules], SeenFiles(tmp_path))

    assert found.content == RULES.encode()


@pytest.mark.parametrize(
    "body", [b"", b"[]", b'{"what":"other","files":{}}', b'{"what":"markrules rule files 1"}']
)
def test_a_record_that_is_not_as_written_is_left_alone(
    rules: Path, tmp_path: Path, body: bytes
) -> None:
    for content in (body, checksum(body).encode() + b"\n" + body, b"\xff\n"):
        (tmp_path / NAME).write_bytes(content)
        (found,), _ = read_texts([rules], SeenFiles(tmp_path))
        assert found.content is not None


def test_a_record_that_another_could_have_written_is_left_alone(
    rules: Path, tmp_path: Path
) -> None:
    _keep(rules, tmp_path)
    (tmp_path / NAME).chmod(0o666)
    (found,), _ = read_texts([rules], SeenFiles(tmp_path))

    assert found.content is not None


def test_a_warm_start_reads_no_rules_and_a_change_is_seen(
    rules: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "cache"
    first, _ = load([rules], cache_folder=kept)
    with monkeypatch.context() as patch:
        patch.setattr(texts, "_content", _refuse)
        again, _ = load([rules], cache_folder=kept)
    assert (again.version, dict(again.pieces)) == (first.version, dict(first.pieces))

    (kept / next(iter(kept.glob("knowledge-*.json"))).name).unlink()
    built, _ = load([rules], cache_folder=kept)
    assert dict(built.pieces) == dict(first.pieces)

    (rules / "a.rules").write_text("piece rung\n", encoding="utf-8")
    changed, _ = load([rules], cache_folder=kept)
    assert "rung" in changed.pieces
    assert changed.version != first.version


def _refuse(*_: object) -> None:
    raise AssertionError("read")


def test_a_file_of_remarks_alone_is_no_part_of_the_rules(rules: Path, tmp_path: Path) -> None:
    """Nor when it is seen again; but what could be wrong in a remark is still to be told."""
    told = {
        "empty": b"",
        "remarks": b"# Nothing yet.\n\n# Still nothing.\n",
        "other-signs": "# Noch nichts für mich.\n".encode(),
        "control": b"# \x1b[2J\n",
        "no-text": b"# \xff\n",
        "rule": b"# One.\npiece x\n",
    }
    for name, content in told.items():
        (rules / f"{name}.rules").write_bytes(content)
    for _ in range(2):
        before = SeenFiles(tmp_path)
        found, problems = read_texts([rules], before)
        before.keep()

        names = ["a.rules", "control.rules", "no-text.rules", "other-signs.rules", "rule.rules"]
        assert [each.name for each in found] == names
        assert problems == []
