"""Own files with errors are left out whole, and told; the others are used."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from command import TRACEBACK, markrules

from markrules.knowledge.left_out import SoundRules, without_unsound
from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules

BOW = """more clasp
    value stamped-bow "a stamped bow"

clue grandmothers-bow
    when  clasp is stamped-bow
    made  mostly 1921 to 1926
    trust moderate
    why   "Invented."
    cite  from-memory
"""
SLIP = """clue not-used-either
    when  catch is rollover
    made  mostly 1920
    trust weak
    why   "Invented; nothing is wrong with it."
    cite  from-memory

clue odd
    when  catch is rollovr
    made  mostly 1920
    trust weak
    why   "Invented."
    cite  from-memory
"""
RESTS = """clue on-a-value-of-another-file
    when  clasp is stamped-bow and stones are seen
    made  mostly 1924
    trust weak
    why   "Invented."
    cite  from-memory
"""
WITHDRAWN = """withdraw piece brooch
    why "Invented: other entries need it."
"""


def opened(folder: Path) -> SoundRules:
    folders = [shipped_rules(), folder]
    _, problems = load(folders, cache_folder=cache_folder())
    assert any(each.severity == "error" for each in problems)
    sound = without_unsound(folders, problems, cache_folder())
    assert sound is not None
    return sound


def names(sound: SoundRules) -> list[str]:
    return sorted(Path(file).name for file in sound.left_out)


def test_the_sound_file_is_used_and_nothing_of_the_other(tmp_path: Path) -> None:
    (tmp_path / "bow.rules").write_text(BOW, encoding="utf-8")
    (tmp_path / "slip.rules").write_text(SLIP, encoding="utf-8")

    sound = opened(tmp_path)

    assert names(sound) == ["slip.rules"]
    assert "grandmothers-bow" in sound.base.clues
    assert not {"odd", "not-used-either"} & set(sound.base.clues)
    assert [each.place.line for told in sound.left_out.values() for each in told] == [9]
    (said,) = sound.base.left_out
    assert "slip.rules" in said
    assert "line 9" in said
    assert str(tmp_path) not in said
    (tmp_path / "slip.rules").unlink()
    alone, _ = load([shipped_rules(), tmp_path], cache_folder=cache_folder())
    assert sound.base.version == alone.version


def test_what_rests_on_a_file_that_is_left_out_is_left_out_too(tmp_path: Path) -> None:
    (tmp_path / "bow.rules").write_text(BOW + SLIP, encoding="utf-8")
    (tmp_path / "rests.rules").write_text(RESTS, encoding="utf-8")

    sound = opened(tmp_path)

    assert names(sound) == ["bow.rules", "rests.rules"]
    assert not {"grandmothers-bow", "on-a-value-of-another-file"} & set(sound.base.clues)


def test_a_file_that_takes_away_what_shipped_rules_need_is_found(tmp_path: Path) -> None:
    (tmp_path / "bow.rules").write_text(BOW, encoding="utf-8")
    (tmp_path / "takes.rules").write_text(WITHDRAWN, encoding="utf-8")

    sound = opened(tmp_path)

    assert names(sound) == ["takes.rules"]
    assert "brooch" in sound.base.pieces
    assert "grandmothers-bow" in sound.base.clues


@pytest.mark.parametrize("content", [b"clue \xff\xfe", b"more clasp\n  \0", b"}{"])
def test_what_is_no_rule_file_is_left_out(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "bow.rules").write_text(BOW, encoding="utf-8")
    (tmp_path / "odd.rules").write_bytes(content)

    assert names(opened(tmp_path)) == ["odd.rules"]


def test_errors_of_the_shipped_rules_are_nobody_elses(tmp_path: Path) -> None:
    (tmp_path / "shipped").mkdir()
    (tmp_path / "shipped" / "a.rules").write_text(SLIP, encoding="utf-8")
    folders = [tmp_path / "shipped"]
    _, problems = load(folders, cache_folder=None)

    assert without_unsound(folders, problems, None) is None


def test_the_command_goes_on_tells_it_first_and_ends_with_1(tmp_path: Path) -> None:
    (tmp_path / "bow.rules").write_text(BOW, encoding="utf-8")
    (tmp_path / "slip.rules").write_text(SLIP, encoding="utf-8")
    asked = ("read", "necklace, stamped bow", "--rules", str(tmp_path), "--looks", "0")

    plain, as_json = markrules(*asked), markrules(*asked, "--json")
    checked = markrules("rules", "check", "--no-cases", str(tmp_path))

    for done in (plain, as_json):
        assert done.returncode == 1
        assert TRACEBACK not in done.stderr
        assert done.stderr.startswith("LEFT OUT of the rules until it is mended: ")
        assert done.stderr.count("LEFT OUT") == 1
        assert "slip.rules:9:" in done.stderr
        assert 'nearest: "rollover"' in done.stderr
    assert "grandmothers bow: 1921" in plain.stdout
    assert "slip.rules" in json.loads(as_json.stdout)["notes"][0]
    assert checked.returncode == 1
    assert "1 errors" in checked.stdout + checked.stderr
    (tmp_path / "slip.rules").unlink()
    mended = markrules(*asked)
    assert (mended.returncode, mended.stderr) == (0, "")
