"""`markrules serve` as a command: what it says, where it listens, and how it ends."""

from __future__ import annotations

import re
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx
import pytest
from click.testing import CliRunner

from markrules.cli.serve import command, own_address
from markrules.web.serving import hosts_for


@contextmanager
def started(*options: str) -> Iterator[tuple[subprocess.Popen[str], str]]:
    """The command in a process of its own, and the first line that it writes."""
    process = subprocess.Popen(
        [sys.executable, "-m", "markrules", "serve", "--port", "0", *options],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    assert process.stdout is not None
    try:
        yield process, process.stdout.readline()
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate(timeout=60)


def network_address() -> str:
    try:
        address = own_address()
    except Exception:
        pytest.skip("this machine is on no network")
    if address.startswith("127."):
        pytest.skip("this machine is on no network")
    return address


def test_it_listens_on_the_loopback_address_alone(tmp_path: Path) -> None:
    with started("--catalogue", str(tmp_path / "c.db")) as (process, said):
        port = re.search(r"http://127\.0\.0\.1:(\d+)/", said)
        assert port is not None, said
        assert httpx.get(f"http://127.0.0.1:{port[1]}/", timeout=60).status_code == 200
        with socket.socket() as outside:
            assert outside.connect_ex((network_address(), int(port[1]))) != 0
        process.send_signal(signal.SIGINT)
        _, complaints = process.communicate(timeout=60)
        assert "Traceback" not in complaints


def test_sharing_shows_an_address_and_a_code(tmp_path: Path) -> None:
    address = network_address()
    with started("--share", "--catalogue", str(tmp_path / "c.db")) as (process, said):
        assert process.stdout is not None
        code = re.search(r"code ([A-Z0-9]{4}-[A-Z0-9]{4})", said)
        assert code is not None, said
        port = re.search(rf"http://{re.escape(address)}:(\d+)/", process.stdout.readline())
        assert port is not None
        with httpx.Client(base_url=f"http://{address}:{port[1]}", timeout=60) as client:
            assert client.get("/").status_code == 200  # at this computer no code is asked for
            page = client.get("/table").text
            assert code[1] in page
            assert f"http://{address}:{port[1]}/" in page
            assert 'class="qr"' in page
        with socket.socket() as inside:
            assert inside.connect_ex(("127.0.0.1", int(port[1]))) != 0


def test_a_port_in_use_is_told_plainly(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])

        result = CliRunner().invoke(command, ["--port", port, "--catalogue", str(tmp_path / "c")])

    assert result.exit_code == 3
    assert "--port" in result.output
    assert f"perhaps the page is open already, at http://127.0.0.1:{port}/" in result.output
    assert "Traceback" not in result.output


def test_a_file_that_is_no_catalogue_is_told_plainly(tmp_path: Path) -> None:
    other = tmp_path / "letters.db"
    other.write_text("not a database at all, but a letter\n" * 100)

    result = CliRunner().invoke(command, ["--port", "0", "--catalogue", str(other)])

    assert result.exit_code == 3
    assert "not a catalogue" in result.output


def test_only_its_own_names_are_answered() -> None:
    assert hosts_for("127.0.0.1", 8140) == {"127.0.0.1:8140", "localhost:8140", "[::1]:8140"}
    assert hosts_for("192.168.1.5", 8140) == {"192.168.1.5:8140"}
    assert "192.168.1.5" in hosts_for("192.168.1.5", 80)
