"""No person, file or terminal gets a traceback out of a command, or a raw control character."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path

import pytest
from command import TRACEBACK, markrules, markrules_process
from samples import some_of

ESC, CSI, OVERRIDE = "\x1b", "\x9b", "\u202e"
RAW = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")


@pytest.fixture
def place(tmp_path: Path) -> dict[str, str]:
    env = {"MARKRULES_CATALOGUE": str(tmp_path / "tin.db"), "MARKRULES_ARCHIVES": "none"}
    assert markrules("box", "start", "tin", env=env).returncode == 0
    return env


@pytest.mark.parametrize(
    ("words", "code", "told"),
    [
        (("figures", "set", "gold-price", "12.5%"), 2, "is not a price"),
        (("read", "brooch", "--mass", "nan"), 2, "nan is not a number"),
        (("metal", "18K", "--weight", "nan"), 2, "nan is not a number"),
        (("metal", "18K", "--weight", "inf"), 2, "inf is not in the range"),
        (("metal", "18K", "--weight", "2", "--price", "nan"), 2, "nan is not a number"),
        (("prices", "add", "nan", "EUR", "--day", "2024"), 2, "nan"),
        (("piece", "show", "tin", "9" * 30), 2, "greater than any"),
        (("sell", "show", "tin", "9" * 30), 2, "greater than any"),
        (("prices", "drop", "9" * 30), 2, "greater than any"),
    ],
)
def test_numbers_that_are_none_are_told(
    place: dict[str, str], words: tuple[str, ...], code: int, told: str
) -> None:
    done = markrules(*words, env=place)
    assert (done.returncode, TRACEBACK in done.stderr) == (code, False)
    assert told in done.stderr


def test_a_file_of_utf_16_cut_short_loses_one_letter_at_most(
    place: dict[str, str], tmp_path: Path
) -> None:
    file = tmp_path / "odd.csv"
    file.write_bytes("\ufeffnote\nbrooch\nring".encode("utf-16-le") + b"x")
    done = markrules("box", "import", "tin", str(file), env=place)
    assert done.returncode == 0, done.stderr
    assert "2 pieces entered" in done.stdout


def test_rules_that_are_no_text_are_told_and_left_alone(tmp_path: Path) -> None:
    file = tmp_path / "odd.rules"
    file.write_bytes(b"piece x\xff\n")
    done = markrules("rules", "format", str(file))
    assert done.returncode == 1
    assert "byte 8 is no UTF-8 text" in done.stderr
    assert file.read_bytes() == b"piece x\xff\n"


def test_a_lone_surrogate_spoils_its_own_line_at_most(tmp_path: Path) -> None:
    file = tmp_path / "some.jsonl"
    file.write_text('{"id":"\\ud800","note":"brooch"}\n{"id":"b","note":"ring"}\n')
    done = markrules("read", "--batch", str(file))
    assert done.returncode == 0, done.stderr
    assert [json.loads(line)["id"] for line in done.stdout.splitlines()] == ["\ud800", "b"]


@pytest.mark.parametrize("encoding", ["latin-1", "cp437"])
def test_a_terminal_of_few_letters_gets_the_nearest(encoding: str) -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "markrules",
            "read",
            "--full",
            "brooch, rollover catch, marked \u0416",
        ],
        capture_output=True,
        env={**os.environ, "PYTHONIOENCODING": encoding},
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert b"Traceback" not in done.stderr
    assert "SOURCES" in done.stdout.decode(encoding)


@pytest.mark.parametrize(
    ("closed", "words"),
    [
        (">&-", "read brooch"),
        ("<&-", "ask"),
        ("<&-", "box paste tin"),
        ("<&- >&-", "box list"),
        ("<&- >&- 2>&-", "box add tin brooch"),
        ("2>&-", "read --mass nan brooch"),
    ],
)
def test_closed_streams_are_borne(place: dict[str, str], closed: str, words: str) -> None:
    """And no file that is opened gets their numbers: the catalogue stays a catalogue."""
    done = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m markrules {words} {closed}"],
        capture_output=True,
        text=True,
        env={**os.environ, **place},
        check=False,
    )
    assert TRACEBACK not in done.stderr
    assert done.returncode in (0, 1, 2)
    assert markrules("box", "check", env=place).returncode == 0


def test_what_is_not_expected_is_one_message(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError(f"of {ESC}[31m a test")

    monkeypatch.setattr("markrules.cli.common.open_knowledge", broken)
    monkeypatch.setattr("markrules.cli.read.open_reader", broken)
    done = markrules("read", "brooch")
    assert done.returncode == 4
    assert "ZeroDivisionError" in done.stderr
    assert "--debug" in done.stderr
    assert TRACEBACK not in done.stderr
    assert not RAW.search(done.stderr)
    assert TRACEBACK in markrules("--debug", "read", "brooch").stderr


@pytest.mark.parametrize(
    "words",
    [
        ("read", f"--{ESC}[31m{CSI}2J"),
        ("rules", "show", f"x{ESC}]0;t{CSI}"),
        ("box", "show", f"tin{ESC}[31m"),
        ("box", "restore", f"no{ESC}[31m.zip", "--catalogue", f"new{CSI}.db"),
        ("figures", "set", f"fee{ESC}[31m", "1"),
        (f"{ESC}[31m",),
        ("read", "brooch", "--rules", f"no{ESC}[31m"),
    ],
)
def test_errors_repeat_nothing_raw(place: dict[str, str], words: tuple[str, ...]) -> None:
    done = markrules(*words, env=place)
    assert done.returncode in (1, 2, 3)
    assert done.stderr.strip()
    assert not RAW.search(done.stderr), done.stderr
    assert not RAW.search(done.stdout)


def test_file_names_are_shown_without_control_characters(
    place: dict[str, str], tmp_path: Path
) -> None:
    name = str(tmp_path / f"tin{ESC}[31m{CSI}.zip")
    for words in (("box", "archive", name), ("box", "copy", f"{name}.db")):
        done = markrules(*words, env=place)
        assert done.returncode == 0, done.stderr
        assert not RAW.search(done.stdout), words
    done = markrules("box", "check", name, env=place)
    assert done.returncode == 0
    assert not RAW.search(done.stdout)


@pytest.mark.skipif(os.name != "posix", reason="links of POSIX")
@pytest.mark.parametrize(
    "words",
    [
        ("box", "restore", "a.zip", "--catalogue"),
        ("marks", "import", "a.csv", "--list"),
        ("box", "export", "--to"),
        ("figures", "set", "fee", "1%", "--catalogue"),
        ("rules", "book"),
        ("sheet", "box", "tin", "--to"),
    ],
)
def test_a_name_that_can_be_none_is_told(
    place: dict[str, str], tmp_path: Path, words: tuple[str, ...]
) -> None:
    (tmp_path / "loop").symlink_to(tmp_path / "loop")
    (tmp_path / "a.csv").write_text("text\nFENWICK\n")
    given = [str(tmp_path / word) if word.endswith((".csv", ".zip")) else word for word in words]
    for name, told in (
        ("", "the name is empty"),
        (str(tmp_path / "loop"), "leads back to itself"),
        (str(tmp_path / ("d/" * 2000) / "x"), "more than 200 folders"),
    ):
        done = markrules(*given, name, env=place)
        assert done.returncode == 2
        assert told in done.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
def test_a_pipe_that_nobody_reads_is_not_waited_for(place: dict[str, str], tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    done = markrules("box", "export", "--to", str(pipe), env=place)
    assert done.returncode == 3
    assert "nobody reads from this pipe" in done.stderr
    assert pipe.is_fifo()
    found: list[str] = []
    reader = threading.Thread(target=lambda: found.append(pipe.read_text()))
    reader.start()
    deadline = time.monotonic() + 60
    while markrules("box", "export", "--to", str(pipe), env=place).returncode == 3:
        assert time.monotonic() < deadline
    reader.join(20)
    assert "note" in found[0]


def test_marks_that_cannot_be_taken_are_told_without_control_characters(tmp_path: Path) -> None:
    file = tmp_path / f"own{CSI}31m{OVERRIDE}.csv"
    file.write_text(f"text,no{ESC}[31m\nFENWICK,1\n")
    for words in ((), ("--json",)):
        done = markrules("marks", "import", str(file), *words)
        assert done.returncode == 1
        assert "not known" in done.stdout
        assert not RAW.search(done.stdout)


def test_json_escapes_what_cannot_be_seen_and_means_the_same(place: dict[str, str]) -> None:
    """ECMA-48 5.3 (C1 controls), UAX 9 (directions), RFC 8259 7 (escapes)."""
    note = f"brooch, marked {CSI}31m{OVERRIDE}EVIL\u2028"
    assert markrules("box", "add", "tin", note, env=place).returncode == 0
    done = markrules("box", "show", "tin", "--json", env=place)
    assert not RAW.search(done.stdout)
    assert CSI in json.loads(done.stdout)[0]["note"]
    read = markrules("read", note, "--json")
    assert read.returncode == 0
    assert not RAW.search(read.stdout)


@pytest.mark.skipif(os.name != "posix", reason="terminals of POSIX")
def _all_shown(own: int) -> bytes:
    """All that was written to a terminal whose other end is closed: a read gives one write."""
    shown = b""
    with open(own, "rb", buffering=0) as terminal, suppress(OSError):  # its end is an error
        while part := terminal.read(20_000):
            shown += part
    return shown


def test_a_table_on_a_terminal_shows_no_control_character_and_in_a_file_all_of_them(
    place: dict[str, str], tmp_path: Path
) -> None:
    import pty

    assert markrules("box", "add", "tin", f"ring{ESC}[31m{CSI}", env=place).returncode == 0
    own, terminal = pty.openpty()
    done = subprocess.run(
        [sys.executable, "-m", "markrules", "box", "export"],
        stdout=terminal,
        env={**os.environ, **place},
        check=False,
    )
    os.close(terminal)
    text = _all_shown(own).decode()
    assert done.returncode == 0
    assert "ring[31m" in text
    assert not RAW.search(text)
    assert markrules("box", "export", "--to", str(tmp_path / "a.csv"), env=place).returncode == 0
    assert f"ring{ESC}[31m{CSI}" in (tmp_path / "a.csv").read_text(encoding="utf-8")


def test_json_for_a_page_ends_no_script_element() -> None:
    from markrules.language.escaping import json_in_html

    text = json_in_html(json.dumps({"a": "</script><script>alert(1)</script>"}))
    assert "<" not in text
    assert json.loads(text) == {"a": "</script><script>alert(1)</script>"}


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("moment", some_of([0.3, 4.0, 1.5], least=2))
def test_ctrl_c_in_parallel_readings_is_quiet(tmp_path: Path, moment: float) -> None:
    file = tmp_path / "many.jsonl"
    file.write_text(
        "".join(f'{{"note":"brooch, rollover catch, {n} mm"}}\n' for n in range(40_000))
    )
    # Where a shell runs the tests in the background, they and their children ignore Ctrl+C.
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    child = subprocess.Popen(
        [sys.executable, "-m", "markrules", "read", "--batch", str(file), "--jobs", "2"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    signal.signal(signal.SIGINT, before)
    time.sleep(moment)
    os.killpg(child.pid, signal.SIGINT)
    _, told = child.communicate(timeout=60)
    assert child.returncode in (1, -signal.SIGINT)
    if moment > 1:
        assert TRACEBACK not in told, told
        assert "Ended" in told


@pytest.mark.slow
def test_an_output_that_is_full_is_told(tmp_path: Path) -> None:
    if not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    file = tmp_path / "many.jsonl"
    file.write_text("".join(f'{{"note":"brooch, {n} mm"}}\n' for n in range(3000)))
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "markrules", "read", "--batch", str(file), "--jobs", "2"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 3
    assert TRACEBACK not in done.stderr
    assert markrules_process("--version").returncode == 0
