"""Which files of rules are as they were when they were last read, so that they need no reading.

For each file the cache folder keeps its size, its times, where it lies on the disk, and the hash
of its content. The time of the last change of any kind (POSIX `ctime`) cannot be set by hand, so a
file that is as recorded has the content that was hashed. A file changed within the last seconds
before it was read is not recorded: another change could carry the same time. What is told of a
file is only ever its hash: the compiled rules lie under the hash of all contents.
"""

from __future__ import annotations

import contextlib
import json
import os
import time
from pathlib import Path

from markrules.knowledge.own_files import checksum, read_own, write_whole

MAGIC = "markrules rule files 1"
NAME = "rule-files.json"
SETTLED = 2_000_000_000
"""Nanoseconds after which a change of a file has a time of its own; FAT counts in two seconds."""
MOST = 5_000
"""Files that are recorded at most: those of folders no longer in use go with the rest."""


class SeenFiles:
    """The files of rules that were read before."""

    def __init__(self, folder: Path) -> None:
        """Read what the cache folder keeps; where that is not as written, no file was seen."""
        self._path = folder / NAME
        self._rows: dict[str, list[int | str]] = {}
        self._changed = False
        with contextlib.suppress(OSError, ValueError, TypeError, KeyError, AttributeError):
            told, _, body = read_own(self._path).partition(b"\n")
            if told.decode("ascii") == checksum(body):
                said = json.loads(body)
                if said["what"] == MAGIC:
                    self._rows = dict(said["files"])

    def digest(self, path: str, status: os.stat_result) -> bytes | None:
        """The hash of the file's content; None where it was not seen, or has changed since."""
        row = self._rows.get(path)
        if row is None or row[:-1] != _seen(status):
            return None
        return bytes.fromhex(str(row[-1]))

    def add(self, path: str, status: os.stat_result, digest: bytes) -> None:
        """Record a file by its status from before it was read."""
        last = max(status.st_mtime_ns, status.st_ctime_ns)
        if time.time_ns() - last > SETTLED:
            self._rows.pop(path, None)
            self._rows[path] = [*_seen(status), digest.hex()]
            self._changed = True

    def keep(self) -> None:
        """Keep what was added for the next start; where that fails, do without."""
        if not self._changed:
            return
        rows = dict(list(self._rows.items())[-MOST:])
        body = json.dumps({"what": MAGIC, "files": rows}, separators=(",", ":")).encode()
        with contextlib.suppress(OSError):
            write_whole(self._path, checksum(body).encode("ascii") + b"\n" + body)
        self._changed = False


def _seen(status: os.stat_result) -> list[int | str]:
    return [
        status.st_size,
        status.st_mtime_ns,
        status.st_ctime_ns,
        status.st_ino,
        status.st_dev,
    ]
