"""Memory and time are bounded: pictures, files, lines and texts beyond the limits are refused."""

from __future__ import annotations

import io
import os
import signal
import subprocess
import sys
import threading
import time
import tracemalloc
import zlib
from collections.abc import Iterator
from contextlib import contextmanager, nullcontext
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast
from unittest.mock import Mock

import pytest
from command import TRACEBACK, markrules
from PIL import Image
from together import every_case

from markrules.appraisal.sampling import PhotoProblem, sampled_colour
from markrules.catalogue import pictures
from markrules.catalogue.brought_tables import rows_of
from markrules.catalogue.core import check_lengths
from markrules.catalogue.file import _runs
from markrules.catalogue.pictures import prepare
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
from markrules.knowledge.texts import LARGEST_FILE, read_texts
from markrules.lamps.frames import LampProblem, upright_size
from markrules.photo_limits import (
    LONGEST_SIDE,
    MOST_SCANS,
    PhotoTooLarge,
    check_before_decoding,
    check_length,
)
from markrules.plain_files import open_or_pipe
from markrules.reading.distributed import lines_in, parts_of
from markrules.reading.file_lines import LONGEST_LINE, lines_of
from markrules.sheets.page_photos import PictureProblem, shrunk


def png(width: int, height: int, kind: int = 0) -> bytes:
    """A PNG of one bit or eight bits a channel, written by hand (ISO/IEC 15948, 11.2)."""
    depth, channels = {0: (1, 1), 2: (8, 3)}[kind]
    row = b"\0" * (1 + (width * depth * channels + 7) // 8)
    packed = zlib.compressobj(9)
    body = b"".join(packed.compress(row) for _ in range(height)) + packed.flush()

    def chunk(name: bytes, data: bytes) -> bytes:
        check = zlib.crc32(name + data)
        return len(data).to_bytes(4, "big") + name + data + check.to_bytes(4, "big")

    head = width.to_bytes(4, "big") + height.to_bytes(4, "big") + bytes([depth, kind, 0, 0, 0])
    signature = b"\x89PNG\r\n\x1a\n"
    return signature + chunk(b"IHDR", head) + chunk(b"IDAT", body) + chunk(b"IEND", b"")


def test_a_strip_of_one_pixel_is_refused_before_it_is_decoded() -> None:
    strip = png(1, 200_000)
    tracemalloc.start()
    with pytest.raises(CatalogueProblem, match="a side at most"):
        prepare(strip)
    assert tracemalloc.get_traced_memory()[1] < 20_000_000
    tracemalloc.stop()
    assert prepare(png(1, LONGEST_SIDE)).height == pictures.KEPT_SIDE


def test_memory_counts_by_the_kind_of_pixel() -> None:
    """Eight bits times three take four bytes a pixel in the decoder, one bit takes one."""
    side = 8000
    with pytest.raises(CatalogueProblem, match=r"would take 256,000,000 bytes"):
        prepare(png(side, side, 2))
    assert prepare(png(side, side)).width == pictures.KEPT_SIDE


def test_a_jpeg_of_many_scans_is_refused_and_of_few_is_taken() -> None:
    out = io.BytesIO()
    Image.effect_noise((64, 64), 50).convert("RGB").save(out, "JPEG", progressive=True)
    data = out.getvalue()
    scans = data.count(b"\xff\xda")
    assert 5 < scans <= MOST_SCANS
    prepare(data)
    last = data.rindex(b"\xff\xda")
    many = data[:last] + data[last:-2] * MOST_SCANS + b"\xff\xd9"
    with pytest.raises(CatalogueProblem, match="scans"):
        prepare(many)


def test_pictures_are_decoded_one_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    at_work, most = [0], [0]
    upright = pictures._upright

    def counted(opened: Image.Image) -> Image.Image:
        at_work[0] += 1
        most[0] = max(most[0], at_work[0])
        time.sleep(0.02)
        found = upright(opened)
        at_work[0] -= 1
        return found

    monkeypatch.setattr(pictures, "_upright", counted)
    data = png(40, 40)
    threads = [threading.Thread(target=prepare, args=(data,)) for _ in range(6)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert most[0] == 1


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_a_pipe_or_a_device_is_no_file_of_rules_and_no_table(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.rules")
    (tmp_path / "b.rules").symlink_to("/dev/zero")
    (tmp_path / "c.rules").write_bytes(b"# x\n" * (LARGEST_FILE // 4 + 1))
    texts, problems = read_texts([tmp_path])
    assert texts == []
    told = sorted(problem.message for problem in problems)
    assert len(told) == 3
    assert sum("not a plain file" in each for each in told) == 2
    os.mkfifo(tmp_path / "a.csv")
    (tmp_path / "b.csv").symlink_to("/dev/zero")
    for name in ("a.csv", "b.csv"):
        with pytest.raises(CatalogueProblem, match="not a plain file"):
            list(rows_of(tmp_path / name))


@contextmanager
def _alarm(seconds: int) -> Iterator[None]:
    """Ends what waits for ever with an error."""

    def ring(*_: object) -> None:
        raise TimeoutError

    before = signal.signal(signal.SIGALRM, ring)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)


COMMANDS_WITH_A_FILE = (
    "sheet check FILE",
    "box restore FILE --catalogue NEW",
    "box check FILE --catalogue OLD",
    "box import tin FILE --catalogue OLD",
    "box take-in FILE --catalogue OLD",
    "piece photo tin 1 FILE --catalogue OLD",
    "prices import FILE --catalogue OLD",
    "stones import FILE --catalogue OLD",
    "marks import FILE",
    "rules format FILE",
    "lamps FILE FILE FILE --mark 1,1,90,30",
)


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
@pytest.mark.parametrize("kind", ["pipe", "device"])
@pytest.mark.parametrize("line", COMMANDS_WITH_A_FILE)
def test_no_command_waits_for_a_pipe_or_reads_a_device(
    tmp_path: Path, line: str, kind: str
) -> None:
    """Nobody writes into the pipe, so that opening it as usual would wait for ever."""
    if "lamps" in line:
        pytest.importorskip("numpy")
    old, file = tmp_path / "old.db", tmp_path / "named"
    with Catalogue(old) as catalogue:
        catalogue.pieces.add(catalogue.boxes.start("tin"), [NewPiece("brooch")])
    os.mkfifo(file) if kind == "pipe" else file.symlink_to("/dev/zero")
    places = {"FILE": str(file), "OLD": str(old), "NEW": str(tmp_path / "new.db")}
    with _alarm(30):
        done = markrules(*(places.get(word, word) for word in line.split()))
    assert done.returncode in (1, 2, 3)
    assert "not a plain file" in done.stderr + done.stdout
    assert TRACEBACK not in done.stderr
    assert not (tmp_path / "new.db").exists()


def test_no_place_decodes_a_photo_beyond_the_limits(tmp_path: Path) -> None:
    """What may be kept of a piece, measured under lamps, sampled or put on a sheet is one."""
    pytest.importorskip("numpy")
    strip, wide = tmp_path / "strip.png", tmp_path / "wide.png"
    strip.write_bytes(png(1, 200_000))
    wide.write_bytes(png(8000, 8000, 2))
    for photo, words in ((strip, "a side at most"), (wide, "would take 256,000,000 bytes")):
        tracemalloc.start()
        with pytest.raises(LampProblem, match=words):
            upright_size(photo.read_bytes(), "photo")
        with pytest.raises(PhotoProblem, match=words):
            sampled_colour(photo, 0.5, 0.5)
        with pytest.raises(PictureProblem, match=words):
            shrunk(photo.read_bytes())
        assert tracemalloc.get_traced_memory()[1] < 20_000_000
        tracemalloc.stop()


@pytest.mark.parametrize("more", [0, 1])
def test_a_photo_of_forty_megabytes_is_taken_and_no_larger_one(more: int) -> None:
    with nullcontext() if not more else pytest.raises(PhotoTooLarge, match="40,000,000 at most"):
        check_length(bytes(40_000_000 + more))


@every_case(
    ("width", "height", "mode", "scans", "taken"),
    [
        (20_000, 1, "L", 1, True),
        (20_001, 1, "L", 1, False),
        (10_000, 8_000, "L", 1, True),
        (10_000, 8_001, "L", 1, False),
        (10_000, 5_000, "RGB", 1, True),
        (10_000, 5_001, "RGB", 1, False),
        (600, 400, "L", 40, True),
        (600, 400, "L", 41, False),
    ],
)
def test_a_photo_is_taken_up_to_the_limits_that_are_told(
    width: int, height: int, mode: str, scans: int, taken: bool
) -> None:
    """Side, pixels, memory and scans, as the messages tell them: no limit moves unseen."""
    opened = SimpleNamespace(
        width=width, height=height, size=(width, height), mode=mode, format="JPEG", draft=Mock()
    )
    data = b"\xff\xda" * scans
    with nullcontext() if taken else pytest.raises(PhotoTooLarge):
        check_before_decoding(cast("Any", opened), data, mode)


@pytest.mark.parametrize("name", ["a.jsonl", "a.csv"])
def test_a_line_without_an_end_is_refused_with_little_memory(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    first = '{"note": "brooch"}\n' if name.endswith("l") else "note\nbrooch\n"
    with path.open("w") as out:
        out.write(first)
        for _ in range(40):
            out.write("x" * 1_000_000)
        out.write(f"\n{first}")
    tracemalloc.start()
    found = list(lines_of(path))
    rows = list(rows_of(path))
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert [line.data for line in found] == [{"note": "brooch"}, None]
    assert "longer than" in found[1].error
    assert [bool(row.error) for row in rows] == [False, True]
    assert peak < 40 * LONGEST_LINE


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="needs a device without an end")
def test_a_batch_from_a_device_without_an_end_ends() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "markrules", "read", "--batch", "/dev/zero", "--jobs", "1"],
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 1
    assert "longer than" in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_a_batch_comes_through_a_pipe_or_is_given_up(tmp_path: Path) -> None:
    pipe, silent = tmp_path / "pipe", tmp_path / "silent"
    for each in (pipe, silent):
        os.mkfifo(each)
    with pytest.raises(TimeoutError, match=r"nobody wrote into this pipe for 0\.2 seconds"):
        open_or_pipe(silent, 0.2)
    writer = threading.Thread(target=lambda: pipe.write_text('{"note": "brooch"}\n'))
    writer.start()
    assert [line.data for line in lines_of(pipe)] == [{"note": "brooch"}]
    writer.join()


def test_a_batch_for_a_cluster_is_a_plain_file_with_lines(tmp_path: Path) -> None:
    pipe, long = tmp_path / "pipe", tmp_path / "long.jsonl"
    os.mkfifo(pipe)
    for name in (pipe, Path("/dev/zero")):
        with pytest.raises(OSError, match="not a plain file"):
            list(parts_of(name))
    with long.open("w") as out:
        out.write('{"note": "brooch"}\n')
        for _ in range(20):
            out.write("x" * 1_000_000)
        out.write('\n{"note": "brooch"}\n')
    tracemalloc.start()
    found = [line for part in parts_of(long) for line in lines_in(part)]
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert [line.data for line in found] == [{"note": "brooch"}, None]
    assert "longer than" in found[1].error
    assert peak < 40 * LONGEST_LINE


def test_every_text_has_a_greatest_length(tmp_path: Path) -> None:
    long = "x" * 20_001
    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece("brooch")])
        piece = catalogue.pieces.numbered(box, 1)
        steps = len(catalogue.steps.last(100))
        for ask in (
            lambda: catalogue.pieces.change(piece, title=long),
            lambda: catalogue.pieces.change(piece, told=long * 10),
            lambda: catalogue.pieces.add(box, [NewPiece(long * 10)]),
            lambda: catalogue.decisions.decide(piece, "keep", long),
            lambda: catalogue.pieces.take_out(piece, long),
            lambda: catalogue.money.record_acquisition(piece, note=long * 10),
            lambda: catalogue.pieces.change(piece, title="a", who=long),
        ):
            with pytest.raises(CatalogueProblem, match="at most are taken"):
                ask()
        assert len(catalogue.steps.last(100)) == steps
        assert catalogue.pieces.change(piece, title=long[:20_000]).title == long[:20_000]


@every_case(
    ("name", "most"), [("note", 200_000), ("told", 200_000), ("title", 20_000), ("other", 20_000)]
)
def test_a_text_is_taken_at_its_limit_and_not_beyond(name: str, most: int) -> None:
    check_lengths({name: "x" * most, "number": most + 1})
    with pytest.raises(CatalogueProblem, match=f"{name}: {most + 1:,} characters; {most:,} at"):
        check_lengths({"first": "x", name: "x" * (most + 1)})


@every_case("name", ["undoes", "data", "sums", "weights", "not_understood"])
def test_what_is_made_here_has_no_limit(name: str) -> None:
    check_lengths({name: "x" * 200_001})


def test_whether_a_process_still_runs() -> None:
    """kill(2): signal 0 is sent to nobody, and tells whether there is such a process."""
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()

    assert _runs(os.getpid())
    assert not _runs(ended.pid)
    assert _runs(2**70)  # no process has such a number: what cannot be told is left alone
