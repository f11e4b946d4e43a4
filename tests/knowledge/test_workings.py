"""What is worked out from the rules is kept, trusted only as written, and made anew otherwise."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import pytest
from shipped_base import shipped_base

from markrules.knowledge import workings as module
from markrules.knowledge.loading import load
from markrules.knowledge.workings import Workings
from markrules.notes.understanding import Vocabulary, understand

MADE = {"one": {"a": [1, "é"]}, "bytes": b"\0\xff{", "none": b"", "two": [[1.5, None, True]]}


def refused() -> dict[str, object]:
    raise AssertionError("it should have been kept")


def the_file(folder: Path) -> Path:
    (path,) = folder.iterdir()
    return path


def kept_again(folder: Path, key: str = "k") -> bool:
    """Whether another start finds it as it was."""
    told: list[bool] = []

    def make() -> dict[str, object]:
        told.append(True)
        return MADE

    assert dict(Workings(folder, key).parts("name", make)) == MADE
    return not told


def test_it_is_worked_out_once_for_the_same_rules(tmp_path: Path) -> None:
    assert not kept_again(tmp_path)
    assert kept_again(tmp_path)
    assert not kept_again(tmp_path, "other rules")


def test_without_a_folder_it_is_worked_out_and_looks_the_same() -> None:
    found = Workings().parts("name", lambda: MADE)

    assert dict(found) == MADE
    assert "two" in found
    assert "three" not in found


def test_any_changed_byte_makes_it_anew(tmp_path: Path) -> None:
    kept_again(tmp_path)
    whole = the_file(tmp_path).read_bytes()
    for at in range(len(whole)):
        the_file(tmp_path).write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert dict(Workings(tmp_path, "k").parts("name", lambda: MADE)) == MADE, at
        the_file(tmp_path).chmod(0o600)


def test_a_part_that_is_damaged_later_is_made_anew_and_kept(tmp_path: Path) -> None:
    kept_again(tmp_path)
    found = Workings(tmp_path, "k").parts("name", lambda: MADE)
    with the_file(tmp_path).open("r+b") as opened:
        opened.truncate(len(the_file(tmp_path).read_bytes()) - 3)

    assert found["one"] == MADE["one"]
    assert found["two"] == [[1.5, None, True]]
    assert kept_again(tmp_path)


def test_a_working_opened_before_it_is_replaced_gives_what_it_held(tmp_path: Path) -> None:
    kept_again(tmp_path)
    found = Workings(tmp_path, "k").parts("name", refused)
    the_file(tmp_path).unlink()

    assert dict(found) == MADE


@pytest.mark.parametrize("content", [b"", b"{}", b"[]\n", b"null\n{}", b"\xff\n", b"{}\n{}"])
def test_another_file_in_its_place_makes_it_anew(tmp_path: Path, content: bytes) -> None:
    kept_again(tmp_path)
    the_file(tmp_path).write_bytes(content)

    assert not kept_again(tmp_path)
    assert kept_again(tmp_path)


def test_a_file_that_others_could_write_is_not_used(tmp_path: Path) -> None:
    kept_again(tmp_path)
    the_file(tmp_path).chmod(0o622)

    assert not kept_again(tmp_path)


def test_other_code_makes_it_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    kept_again(tmp_path)
    monkeypatch.setattr(module, "code", lambda: "changed")

    assert not kept_again(tmp_path)


def test_a_folder_that_cannot_be_written_is_done_without(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")

    assert dict(Workings(tmp_path / "file", "k").parts("name", lambda: MADE)) == MADE


def test_a_changed_base_does_not_keep_the_workings_of_the_old(tmp_path: Path) -> None:
    (tmp_path / "a.rules").write_text("piece brooch\n")
    base, _ = load([tmp_path], cache_folder=tmp_path / "cache")
    base.workings.parts("name", lambda: MADE)
    other = replace(base, pieces={})

    assert other.workings.parts("name", lambda: {"other": 1}) == {"other": 1}


def test_words_kept_understand_as_words_worked_out() -> None:
    base = shipped_base()
    kept, worked_out = Vocabulary(base), Vocabulary(replace(base))
    for note in (
        "brooch, rolover catch, 2 stones missing, marked PAT. PEND. TRIFARI, 5.5 cm",
        'earrings, no clip backs, "STERLING" GERMANY, ø 2 in W',
    ):
        assert understand(kept, note) == understand(worked_out, note)
    assert json.dumps(sorted(kept.abbreviations)) == json.dumps(sorted(worked_out.abbreviations))
