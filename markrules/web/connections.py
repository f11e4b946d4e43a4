"""Connections kept within bounds: the slow are ended, and no address crowds the others out.

The server library waits for ever for the first bytes of a request, and answers everybody with
503 when too many wait. Here a connection has so long to send its request, and where there are too
many, the one that has waited longest ends, of the address that has most.
"""

from __future__ import annotations

import asyncio
import contextlib
import logging
import time
from collections import Counter
from typing import Any

from uvicorn.protocols.http.h11_impl import H11Protocol

HEADER_SECONDS = 10.0
"""From the opening, or from the last answer's end and the first byte after it, to whole headers."""
BODY_SECONDS = 20.0
"""Without a byte of a body that is still to come."""
MOST_OF_ONE = 60
"""Connections of one address: a browser opens six to one server (RFC 9112 9.4 leaves it open)."""
MOST_OF_ALL = 300


class BoundedProtocol(H11Protocol):
    """HTTP/1.1 as the server library speaks it, with an end to waiting."""

    header_seconds = HEADER_SECONDS
    body_seconds = BODY_SECONDS
    most_of_one = MOST_OF_ONE
    most_of_all = MOST_OF_ALL

    _deadline: asyncio.TimerHandle | None = None
    _waiting_since: float | None = None

    @property
    def waits(self) -> bool:
        """Whether nothing is being answered on this connection."""
        return self.cycle is None or bool(self.cycle.response_complete)

    @property
    def address(self) -> str:
        """The other end."""
        return self.client[0] if self.client else ""

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Take the connection; where there are too many, end the one that has waited longest."""
        super().connection_made(transport)
        self._waiting_since = time.monotonic()
        self._set_deadline(self.header_seconds)
        self._make_room()

    def data_received(self, data: bytes) -> None:
        """Take bytes; a request that goes on sending its body gets more time, headers do not."""
        # The first byte after an answer: from here the whole headers must come in time, not each
        # byte.
        if self.waits and self._waiting_since is None:
            self._waiting_since = time.monotonic()
            self._set_deadline(self.header_seconds)
        super().data_received(data)
        if not self.waits:
            self._waiting_since = None
            self._set_deadline(self.body_seconds if self.cycle.more_body else None)

    def connection_lost(self, exc: Exception | None) -> None:
        """Forget the deadline with the connection."""
        self._set_deadline(None)
        super().connection_lost(exc)

    def on_response_complete(self) -> None:
        """After an answer the library's own keep-alive time runs, until the next first byte."""
        self._set_deadline(None)
        super().on_response_complete()

    def _set_deadline(self, seconds: float | None) -> None:
        if self._deadline is not None:
            self._deadline.cancel()
            self._deadline = None
        if seconds is not None:
            self._deadline = self.loop.call_later(seconds, self._end)

    def _end(self) -> None:
        """End a connection that has waited too long, or that must make room."""
        self._deadline = None
        if self.cycle is not None and not self.waits:
            # Whoever reads the body waits for this event, and would wait for ever.
            self.cycle.disconnected = True
            self.cycle.message_event.set()
        with contextlib.suppress(Exception):
            self.transport.abort()

    def _make_room(self) -> None:
        every = [each for each in self.connections if isinstance(each, BoundedProtocol)]
        mine = [each for each in every if each.address == self.address]
        if len(mine) > self.most_of_one:
            _oldest(mine, self)._end()
        elif len(every) > self.most_of_all:
            crowd = Counter(each.address for each in every).most_common(1)[0][0]
            _oldest([each for each in every if each.address == crowd], self)._end()


def _oldest(some: list[BoundedProtocol], newest: BoundedProtocol) -> BoundedProtocol:
    """The connection that has waited longest; the newest where all others are being answered."""
    waiting = [each for each in some if each.waits and each is not newest]
    return min(waiting, key=lambda each: each._waiting_since or 0.0, default=newest)


class OneLine(logging.Handler):
    """Tells trouble of the server in one line, the same one at most once a minute; no traces."""

    def __init__(self, tell: Any, clock: Any = time.monotonic) -> None:
        """`tell` is given each line."""
        super().__init__(logging.ERROR)
        self._tell, self._clock = tell, clock
        self._told: dict[str, float] = {}

    def emit(self, record: logging.LogRecord) -> None:
        """Tell one record."""
        cause = record.exc_info[1] if record.exc_info else None
        words = f"{type(cause).__name__}: {cause}" if cause else record.getMessage()
        # The words may hold what a stranger sent: one line of them is enough to look for.
        line = (words.strip().splitlines() or [""])[0][:300]
        kind = type(cause).__name__ if cause else line
        now = self._clock()
        if now - self._told.get(kind, float("-inf")) >= 60:
            self._told[kind] = now
            self._tell(f"Trouble: {line}")


def raise_file_limit(wanted: int = 4 * MOST_OF_ALL) -> None:
    """Let this process hold enough open files for its connections, where the system allows it."""
    try:
        import resource
    except ImportError:  # no POSIX
        return
    soft, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    enough = wanted if hard == resource.RLIM_INFINITY else min(wanted, hard)
    # Only ever raised: a limit that the system has set higher stays.
    if soft != resource.RLIM_INFINITY and soft < enough:
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(resource.RLIMIT_NOFILE, (enough, hard))
