"""Reading pieces so that lists show them: some at once, the rest when nobody waits."""

from __future__ import annotations

import contextlib
import datetime
import threading
import time
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import TypeAlias

from markrules.catalogue.daily import keep_daily
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.readings import NewReading, PieceEvidence
from markrules.catalogue.store import Catalogue

Read: TypeAlias = Callable[[PieceEvidence], NewReading]
"""Reads what stands for a piece; of several threads that call it one goes on at a time."""
AT_ONCE = 4
"""Pieces read before others get their turn."""
LONGEST_PAUSE = 0.2
"""Seconds: half of the time is left to the pages that somebody waits for."""


class Keeper:
    """Reads pieces in a thread of its own and keeps the readings."""

    def __init__(self, catalogue: Path, read: Read) -> None:
        """Start nothing yet: the thread begins with the first piece."""
        self._path = catalogue
        self._read = read
        self._pool = ThreadPoolExecutor(1, thread_name_prefix="keeper")
        self._waiting: set[int] = set()
        self._archived: datetime.date | None = None
        self._lock = threading.Lock()

    def later(self, pieces: Sequence[int]) -> None:
        """Read these pieces, by row number, when it is their turn; those that wait wait once."""
        with self._lock:
            new = [each for each in pieces if each not in self._waiting]
            self._waiting.update(new)
        for start in range(0, len(new), AT_ONCE):
            with contextlib.suppress(RuntimeError):  # the server is ending
                self._pool.submit(self._read_some, new[start : start + AT_ONCE])

    def _read_some(self, pieces: Sequence[int]) -> None:
        with self._lock:
            self._waiting.difference_update(pieces)
        with (
            contextlib.suppress(CatalogueProblem),
            Catalogue(self._path, create=False) as catalogue,
        ):
            start = time.monotonic()
            read_and_keep(self._read, catalogue, pieces)
            time.sleep(min(LONGEST_PAUSE, time.monotonic() - start))

    def archive_today(self) -> None:
        """Make the day's archive when nobody waits, unless it was made."""
        today = datetime.date.today()
        if self._archived != today:
            self._archived = today
            with contextlib.suppress(RuntimeError):  # the server is ending
                self._pool.submit(self._archive)

    def _archive(self) -> None:
        with (
            contextlib.suppress(CatalogueProblem),
            Catalogue(self._path, create=False) as catalogue,
        ):
            keep_daily(catalogue)

    def close(self) -> None:
        """Read no more; what is not read yet is read when it is looked at again."""
        self._pool.shutdown(wait=True, cancel_futures=True)


def read_and_keep(
    read: Read, catalogue: Catalogue, pieces: Sequence[int], seconds: float = 1e9
) -> Sequence[int]:
    """Read pieces and keep the readings; those left when the time is over are returned.

    Where the file cannot be written, the readings are lost and nothing else.
    """
    until = time.monotonic() + seconds
    readings = []
    for evidence in catalogue.readings.evidence_for(pieces):
        readings.append(read(evidence))
        if time.monotonic() > until:
            break
    with contextlib.suppress(CatalogueProblem):
        catalogue.readings.store(readings)
    return pieces[len(readings) :]
