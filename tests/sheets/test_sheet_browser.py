"""The pages in a real Chromium: no script runs, and nothing is asked of any other machine."""

from __future__ import annotations

import shutil
import socket
import subprocess
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest
from hostile_texts import OTHER_SCRIPTS, PLAIN_HOSTILE, UNPRINTABLE
from sheets_building import hostile_matter, html_tree

from markrules.sheets.printing import sheet_page

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
needs_chromium = pytest.mark.skipif(
    CHROMIUM is None, reason="no Chromium here: on Debian, apt-get install chromium"
)
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)


class Listener:
    """Takes the place of every other machine, and keeps the first line of whatever is asked."""

    def __init__(self) -> None:
        self.asked: list[str] = []
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.port = self._socket.getsockname()[1]
        threading.Thread(target=self._serve, daemon=True).start()

    def _serve(self) -> None:
        while True:
            try:
                connection, _ = self._socket.accept()
            except OSError:
                return
            with connection:
                connection.settimeout(2)
                try:
                    self.asked.append(connection.recv(2000).decode("latin-1").split("\r\n")[0])
                    connection.sendall(b"HTTP/1.1 404 No\r\nContent-Length: 0\r\n\r\n")
                except OSError:
                    continue

    def close(self) -> None:
        self._socket.close()


@pytest.fixture
def listener() -> Iterator[Listener]:
    made = Listener()
    yield made
    made.close()


def opened(page: str, folder: Path, listener: Listener) -> str:
    """The document as it stands after the browser has run all that it runs."""
    file = folder / "page.html"
    file.write_text(page, encoding="utf-8", errors="replace")
    done = subprocess.run(
        [
            str(CHROMIUM),
            *FLAGS,
            f"--user-data-dir={folder / 'profile'}",
            f"--proxy-server=http://127.0.0.1:{listener.port}",
            "--virtual-time-budget=2000",
            "--dump-dom",
            file.as_uri(),
        ],
        capture_output=True,
        timeout=120,
        check=True,
    )
    return done.stdout.decode()


@needs_chromium
def test_the_trap_works(tmp_path: Path, listener: Listener) -> None:
    """A page that does run a script and ask for a picture is caught."""
    page = f"<!doctype html><title>x</title>{PLAIN_HOSTILE[0]}{PLAIN_HOSTILE[1]}"
    document = opened(page, tmp_path, listener)
    assert "data-ran" in document
    assert any("hostile.invalid" in line for line in listener.asked)


@needs_chromium
@pytest.mark.parametrize(
    "texts", [PLAIN_HOSTILE[:9], PLAIN_HOSTILE[9:], (*UNPRINTABLE, *OTHER_SCRIPTS)]
)
def test_no_script_runs_and_nothing_is_asked(
    make_matter, tmp_path: Path, listener: Listener, texts: tuple[str, ...]
) -> None:
    document = opened(sheet_page(hostile_matter(make_matter, " ".join(texts))), tmp_path, listener)
    tree = html_tree(document)
    assert sum(each.tag == "script" for each in tree.iter()) == 0
    assert "data-ran" not in tree.attrib
    assert not [name for each in tree.iter() for name in each.attrib if name.startswith("on")]
    assert [line for line in listener.asked if "hostile" in line] == []
    assert "Concluded" in document


@needs_chromium
def test_a_sheet_with_photos_stands_alone(whole, tmp_path: Path, listener: Listener) -> None:
    document = opened(sheet_page(whole), tmp_path, listener)
    tree = html_tree(document)
    pictures = list(tree.iter("img"))
    assert len(pictures) == 2
    assert all(each.attrib["src"].startswith("data:image/jpeg;base64,") for each in pictures)
    assert [line for line in listener.asked if "google" not in line and "gvt1" not in line] == []


@needs_chromium
def test_a_usual_piece_prints_on_two_pages_at_most(
    make_matter, tmp_path: Path, listener: Listener
) -> None:
    pypdf = pytest.importorskip("pypdf")
    matter = make_matter("brooch, rollover catch, AB rhinestones, marked AUSTRIA, 5.5 cm")
    page, pdf = tmp_path / "page.html", tmp_path / "page.pdf"
    page.write_text(sheet_page(matter), encoding="utf-8")
    subprocess.run(
        [
            str(CHROMIUM),
            *FLAGS,
            f"--user-data-dir={tmp_path / 'profile'}",
            f"--print-to-pdf={pdf}",
            "--no-pdf-header-footer",
            page.as_uri(),
        ],
        capture_output=True,
        timeout=120,
        check=True,
    )
    assert len(pypdf.PdfReader(pdf).pages) <= 2
