"""Connections that say nothing, or too slowly, and too many of them: the others are answered."""

from __future__ import annotations

import logging
import socket
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from web_serving import Served, serving

from markrules.web.connections import BoundedProtocol, OneLine


class Hasty(BoundedProtocol):
    header_seconds = 0.6
    body_seconds = 0.6
    most_of_one = 20
    most_of_all = 30


@pytest.fixture(scope="module")
def hasty(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with serving(tmp_path_factory.mktemp("hasty"), protocol=Hasty) as running:
        yield running


def connection(served: Served, data: bytes = b"") -> socket.socket:
    opened = socket.create_connection(("127.0.0.1", served.port), timeout=60)
    opened.sendall(data)
    return opened


def is_ended(opened: socket.socket) -> bool:
    """Whether the other side has ended the connection, within the socket's own time."""
    try:
        while opened.recv(65536):
            pass
    except ConnectionResetError:
        return True
    except TimeoutError:
        return False
    return True


def test_silence_is_ended(hasty: Served) -> None:
    assert is_ended(connection(hasty))


def test_headers_that_drip_are_ended(hasty: Served) -> None:
    opened = connection(hasty, b"GET / HTTP/1.1\r\n")
    ended = False
    for number in range(100):
        time.sleep(0.05)
        try:
            opened.sendall(f"X-{number}: 1\r\n".encode())
        except OSError:
            ended = True
            break
    assert ended


def test_a_body_that_does_not_come_is_ended(hasty: Served) -> None:
    head = (
        f"POST /boxes HTTP/1.1\r\nHost: {hasty.host}\r\nOrigin: {hasty.address}\r\n"
        "Content-Type: application/x-www-form-urlencoded\r\nContent-Length: 500\r\n\r\nname=x"
    )
    assert is_ended(connection(hasty, head.encode()))


def test_a_second_request_on_a_connection_has_its_own_time(hasty: Served) -> None:
    request = f"GET /enter HTTP/1.1\r\nHost: {hasty.host}\r\n\r\n".encode()
    opened = connection(hasty, request)
    assert opened.recv(65536).startswith(b"HTTP/1.1 303")
    time.sleep(1.0)  # longer than headers may take: between requests the keep-alive time counts
    opened.sendall(request)
    assert opened.recv(65536).startswith(b"HTTP/1.1 303")
    opened.sendall(b"GET / HTT")
    assert is_ended(opened)


def test_a_crowd_that_waits_does_not_keep_the_next_one_out(hasty: Served) -> None:
    crowd = [connection(hasty) for _ in range(100)]
    try:
        visitor = hasty.visitor()
        assert visitor.get("/").status_code == 200
        visitor.start_box("in the crowd")
        assert "in the crowd" in visitor.get("/").text
    finally:
        for each in crowd:
            each.close()


def test_another_protocol_is_refused_plainly(hasty: Served) -> None:
    """RFC 6455 4.1: how a browser asks for a web socket."""
    head = (
        f"GET / HTTP/1.1\r\nHost: {hasty.host}\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
        "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\nSec-WebSocket-Version: 13\r\n\r\n"
    )
    answer = connection(hasty, head.encode()).recv(65536)
    assert answer.startswith(b"HTTP/1.1 400")


def test_trouble_is_one_line_and_no_flood(tmp_path: Path) -> None:
    lines: list[str] = []
    moment = [0.0]
    logger = logging.Logger("of a test")
    logger.addHandler(OneLine(lines.append, lambda: moment[0]))
    for _ in range(1000):
        try:
            raise OSError(24, "Too many open files")
        except OSError:
            logger.exception("socket.accept() out of system resource")
    assert lines == ["Trouble: OSError: [Errno 24] Too many open files"]
    moment[0] = 61.0
    logger.error("something\nelse")
    assert lines[1:] == ["Trouble: something"]
