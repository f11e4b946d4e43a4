"""Files that are written whole or not at all; what is no plain file is never replaced."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from markrules.catalogue.private import open_whole

sys.path.insert(0, str(Path(__file__).parents[1] / "cli"))
from command import markrules


def _write(place: Path, text: str = "new") -> None:
    with open_whole(place, encoding="utf-8") as out:
        out.write(text)


def test_a_file_is_private_and_takes_the_place_of_the_old(tmp_path: Path) -> None:
    place = tmp_path / "a.txt"
    place.write_text("old")

    _write(place)

    assert place.read_text() == "new"
    assert stat.S_IMODE(place.stat().st_mode) == 0o600
    assert [each.name for each in tmp_path.iterdir()] == ["a.txt"]


def _break_off(place: Path) -> None:
    with open_whole(place) as out:
        out.write("half")
        raise KeyError


def test_what_breaks_off_leaves_the_old_file(tmp_path: Path) -> None:
    place = tmp_path / "a.txt"
    place.write_text("old")

    with pytest.raises(KeyError):
        _break_off(place)

    assert [each.name for each in tmp_path.iterdir()] == ["a.txt"]
    assert place.read_text() == "old"


def test_a_link_stays_and_what_it_leads_to_is_written(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path / "far.txt")

    _write(tmp_path / "link")

    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "far.txt").read_text() == "new"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="there are no named pipes here")
def test_a_pipe_is_written_to_and_stays_one(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    read: list[str] = []
    # The reader comes late, as the other end of a pipe of a shell may.
    reader = threading.Timer(0.3, lambda: read.append(pipe.read_text()))
    reader.start()

    _write(pipe)
    reader.join(10)

    assert read == ["new"]
    assert pipe.is_fifo()


@pytest.mark.parametrize("name", ["", "folder"])
def test_a_folder_and_no_name_are_refused(tmp_path: Path, name: str) -> None:
    (tmp_path / "folder").mkdir()

    with pytest.raises(IsADirectoryError, match="name a file"):
        _write(tmp_path / name if name else Path())


FULL = Path("/dev/full")
"""A device of Linux on which every write fails as on a full disk (full(4))."""


def _onto_full(*arguments: str) -> subprocess.CompletedProcess[str]:
    with FULL.open("w") as full:
        return subprocess.run(
            [sys.executable, "-m", "markrules", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            timeout=120,
            check=False,
        )


@pytest.mark.skipif(not FULL.is_char_device(), reason="no such device here")
def test_what_was_entered_is_told_to_be_kept_where_the_answer_finds_no_room(tmp_path: Path) -> None:
    place = tmp_path / "c.db"
    markrules("box", "start", "tin", "--catalogue", str(place))
    done = _onto_full("box", "add", "tin", "brooch, jade", "--catalogue", str(place))

    assert done.returncode == 3
    assert "is done and kept" in done.stderr
    shown = markrules("box", "list", "--catalogue", str(place))
    assert "1 piece" in shown.stdout
    looked = _onto_full("box", "list", "--catalogue", str(place))
    assert looked.returncode == 3
    assert "kept" not in looked.stderr
