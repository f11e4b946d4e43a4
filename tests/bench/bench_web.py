"""How quick the bench page is, beside a file server that sends a page of the same size.

    python tests/bench/bench_web.py [--pieces 10000] [--readers 50] [--seconds 30]

The peer is Python's own http.server with a finished page of as many bytes: it computes nothing,
asks no catalogue, and checks nothing. Times are those of a client on the same machine.
"""

from __future__ import annotations

import argparse
import functools
import gzip
import http.client
import http.server
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
import urllib.parse
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from markrules.catalogue.store import Catalogue
from markrules.cli.common import open_reader
from markrules.reading.file_lines import lines_of
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece

LOOPBACK = "127.0.0.1"
TOKEN = re.compile(r'name="token" content="([0-9a-f]+)"')


class Client:
    """One kept connection, as a browser keeps it."""

    def __init__(self, port: int) -> None:
        self.connection = http.client.HTTPConnection(LOOPBACK, port, timeout=30)
        self.cookie = ""
        self.origin = f"http://{LOOPBACK}:{port}"

    def ask(
        self, path: str, body: dict[str, str] | None = None, *, fragment: bool = False
    ) -> tuple[int, str]:
        headers = {"Cookie": self.cookie, "Origin": self.origin}
        if fragment:
            headers["X-Fragment"] = "1"
        data = None
        if body is not None:
            data = urllib.parse.urlencode(body)
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        self.connection.request("GET" if data is None else "POST", path, data, headers)
        answer = self.connection.getresponse()
        text = answer.read().decode()
        given = answer.getheader("set-cookie")
        if given:
            self.cookie = given.partition(";")[0]
        return answer.status, text

    def packed(self, path: str) -> tuple[int, int]:
        """The bytes of an answer as a browser gets it, and unpacked."""
        headers = {"Cookie": self.cookie, "Accept-Encoding": "gzip"}
        self.connection.request("GET", path, None, headers)
        answer = self.connection.getresponse()
        data = answer.read()
        is_packed = answer.getheader("content-encoding") == "gzip"
        return len(data), len(gzip.decompress(data) if is_packed else data)


def milliseconds(work: Callable[[], object], times: int) -> list[float]:
    """How long each of so many runs takes, in milliseconds."""
    found = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        found.append((time.perf_counter() - start) * 1000)
    return found


def p95(values: list[float]) -> float:
    return (
        statistics.quantiles(values, n=20, method="inclusive")[-1] if len(values) > 1 else values[0]
    )


def line(what: str, values: list[float], limit: float) -> None:
    """One line of the table: middle and 95th percentile, and the limit aimed at."""
    middle, high = statistics.median(values), p95(values)
    print(
        f"{what:<46}{middle:>8.1f}{high:>8.1f}{limit:>8.0f}   {'ok' if high <= limit else 'over'}"
    )


def fill(path: Path, pieces: int) -> list[str]:
    """A catalogue with one box of so many pieces; the identifiers of the first."""
    notes = [str(each.data["note"]) for each in lines_of(demo_folder() / "box.csv") if each.data]
    reader = open_reader(())
    made = [new_piece(reader, note) for note in notes]
    with Catalogue(path) as catalogue:
        box = catalogue.boxes.start("the large box")
        catalogue.pieces.add(box, (made[at % len(made)] for at in range(pieces)))
        return [each.uid for each in catalogue.pieces.all(box, limit=60)]


@contextmanager
def served(catalogue: Path) -> Iterator[tuple[int, float]]:
    """The command itself in a process of its own; its port, and the seconds until it listened."""
    command = [sys.executable, "-m", "markrules", "serve", "--port", "0"]
    start = time.perf_counter()
    process = subprocess.Popen(
        [*command, "--catalogue", str(catalogue)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    try:
        found = re.search(r":(\d+)/", process.stdout.readline())
        if found is None:
            raise SystemExit("the server did not start")
        port = int(found[1])
        while True:
            with closing(socket.socket()) as trying:
                if trying.connect_ex((LOOPBACK, port)) == 0:
                    break
        yield port, time.perf_counter() - start
    finally:
        process.terminate()
        process.wait(10)


@contextmanager
def peer(page: bytes) -> Iterator[int]:
    """Python's file server with one finished page."""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "index.html").write_bytes(page)

        class Quiet(http.server.SimpleHTTPRequestHandler):
            protocol_version = "HTTP/1.1"
            disable_nagle_algorithm = True

            def log_message(self, *_: object) -> None:
                pass

        handler = functools.partial(Quiet, directory=folder)
        server = http.server.ThreadingHTTPServer((LOOPBACK, 0), handler)
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server.server_address[1]
        server.shutdown()
        server.server_close()


def crowd(port: int, paths: list[str], readers: int, seconds: float) -> tuple[list[float], int]:
    """So many readers at once, each asking for one page after another; times and errors."""
    until = time.monotonic() + seconds
    times: list[float] = []
    errors = [0]

    def read(number: int) -> None:
        client = Client(port)
        at = number
        while time.monotonic() < until:
            start = time.perf_counter()
            try:
                status, _ = client.ask(paths[at % len(paths)])
            except OSError:
                status = 0
                client = Client(port)
            times.append((time.perf_counter() - start) * 1000)
            errors[0] += status != 200
            at += 1

    threads = [threading.Thread(target=read, args=(number,)) for number in range(readers)]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    return times, errors[0]


def weigh(client: Client, path: str) -> tuple[int, int]:
    """The bytes of a page with its style, scripts and icon, photos apart: as sent, and as it is.

    A browser asks for packed text (RFC 9110, 12.5.3); what it then gets is what is counted first.
    """
    _, page = client.ask(path)
    parts = {path, *re.findall(r'(?:href|src)="(/static/[^"]+)"', page)}
    packed = [client.packed(each) for each in parts]
    return sum(sent for sent, _ in packed), sum(whole for _, whole in packed)


def first_pages(catalogue: Path, times: int) -> tuple[list[float], list[float]]:
    """Milliseconds until a new process listens, and for its first page, both cold."""
    listening, answering = [], []
    for _ in range(times):
        with served(catalogue) as (port, took):
            listening.append(took * 1000)
            answering += milliseconds(lambda port=port: Client(port).ask("/"), 1)
    return listening, answering


def rounds(client: Client, pieces: list[str]) -> tuple[list[float], list[float]]:
    """Milliseconds for an answer on the page of a piece, and in a guided look."""
    found = TOKEN.search(client.ask("/")[1])
    token = found[1] if found else ""
    answers = [("catch", "rollover"), ("hinge", "tube-hinge"), ("catch", "c-catch")]
    on_page, guided = [], []
    for number, uid in enumerate(pieces):
        feature, value = answers[number % len(answers)]
        body = {"token": token, "feature": feature, "value": value}
        for where, times in (("see", on_page), ("look", guided)):
            path = f"/piece/{uid}/{where}"
            start = time.perf_counter()
            status, _ = client.ask(path, body, fragment=True)
            times.append((time.perf_counter() - start) * 1000)
            if status != 200:
                raise SystemExit(f"{path}: {status}")
    return on_page, guided


def measure(port: int, uids: list[str], pieces: int) -> str:
    """Print the times of single pages; returns the page of the box."""
    client = Client(port)
    client.ask(f"/piece/{uids[0]}")
    starts = [str(1 + at * 40) for at in range(pieces // 40)][:60]
    opened = [*milliseconds(lambda: client.ask("/box/1"), 1)]
    for start in starts:
        opened += milliseconds(lambda start=start: client.ask(f"/box/1?from={start}"), 1)
    line(f"page of a box of {pieces:,}, not yet read", opened, 200)
    while any("data-again" in client.ask(f"/box/1?from={start}")[1] for start in starts):
        time.sleep(1)
    again = []
    for start in starts:
        again += milliseconds(lambda start=start: client.ask(f"/box/1?from={start}"), 1)
    line(f"page of a box of {pieces:,}, read before", again, 200)
    on_page, guided = rounds(client, uids)
    line("answer on the page of a piece, round trip", on_page, 100)
    line("answer in a guided look, round trip", guided, 100)
    for what, path in (
        ("page of a piece", f"/piece/{uids[13]}"),
        ("what if, redrawn", f"/piece/{uids[13]}/what-if?part=catch"),
        ("marks while typing", "/marks?read=?RIF..."),
        ("search in the book", "/book?q=catch"),
    ):
        line(what, milliseconds(lambda path=path: client.ask(path, fragment=True), 30), 100)
    print()
    print(f"{'weight in kB, style and scripts with it':<46}{'sent':>8}{'whole':>8}{'limit':>8}")
    for path in ("/", "/box/1", f"/piece/{uids[13]}", f"/piece/{uids[13]}/look?passed=mark"):
        heaviness(re.sub("[a-z2-7]{16}", "…", path), weigh(client, path))
    heaviest, name = max((weigh(client, f"/book/feature/{name}"), name) for name in FEATURES)
    heaviness(f"/book/feature/{name}", heaviest)
    return client.ask("/box/1")[1]


def heaviness(what: str, weight: tuple[int, int]) -> None:
    """One line of the table of weights; what is sent is held to the limit."""
    sent, whole = (each / 1000 for each in weight)
    print(f"{what:<46}{sent:>8.1f}{whole:>8.1f}{150:>8}   {'ok' if sent <= 150 else 'over'}")


FEATURES = ("catch", "hinge", "earring-back", "clasp", "setting", "mark-method", "metal-mark")


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--pieces", type=int, default=10_000)
    options.add_argument("--readers", type=int, default=50)
    options.add_argument("--seconds", type=float, default=30)
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        catalogue = Path(folder) / "catalogue.db"
        uids = fill(catalogue, asked.pieces)
        print(f"{'milliseconds':<46}{'middle':>8}{'p95':>8}{'limit':>8}")
        listening, answering = first_pages(catalogue, 5)
        line("from the command to its address", listening, 3000)
        line("first page after it, cold", answering, 300)
        with served(catalogue) as (port, _):
            page = measure(port, uids, asked.pieces)
            paths = ["/", "/box/1", *(f"/piece/{each}" for each in uids[:20]), "/book?q=catch"]
            times, errors = crowd(port, paths, asked.readers, asked.seconds)
        print(
            f"\n{asked.readers} readers for {asked.seconds:g} s: {len(times):,} pages,"
            f" {len(times) / asked.seconds:.0f} a second, middle {statistics.median(times):.0f} ms,"
            f" p95 {p95(times):.0f} ms, {errors} errors"
        )
        with peer(page.encode()) as port:
            alone = Client(port)
            line(
                "peer: http.server, the box page as a file",
                milliseconds(lambda: alone.ask("/"), 60),
                200,
            )
            times, errors = crowd(port, ["/"], asked.readers, min(5.0, asked.seconds))
        print(
            f"peer, {asked.readers} readers: {len(times) / min(5.0, asked.seconds):.0f} a second,"
            f" middle {statistics.median(times):.0f} ms, {errors} errors"
        )


if __name__ == "__main__":
    main()
