"""Files of the cache: ours alone to write, and whole or not there."""

from __future__ import annotations

import os
import zlib
from collections.abc import Callable
from pathlib import Path
from threading import Lock

try:  # the same function, without loading what else `hashlib` offers
    from _blake2 import blake2b
except ImportError:  # pragma: no cover
    from hashlib import blake2b

__all__ = ["OwnFile", "blake2b", "checksum", "of_part", "read_own", "write_whole"]

LARGEST = 256 * 1024 * 1024  # bytes: no honest cache comes near


def checksum(body: bytes) -> str:
    """A hash that tells whether a content is as it was written."""
    return blake2b(body, digest_size=16).hexdigest()


def of_part(body: bytes) -> bytes:
    """Four bytes that tell whether a part is as it was written: its CRC-32.

    Hundreds of parts are read for an answer. The files are ours alone to write, so that damage is
    what is looked for, and no hand that could write a fitting sum as well.
    """
    return zlib.crc32(body).to_bytes(4, "little")


def read_own(path: Path) -> bytes:
    """The content of a file that is ours alone to write.

    Raises OSError where there is none, PermissionError where another could have written it.
    """
    with open(path, "rb") as opened:
        _size_of_own(opened.fileno())
        return opened.read()


class OwnFile:
    """A file that is ours alone to write, of which parts are read where they lie.

    It stays open until it is no longer referred to. Reading changes nothing that processes or
    threads share.
    """

    def __init__(self, path: Path) -> None:
        """Raises OSError as `read_own` does."""
        self._handle = -1
        self._handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0))
        self._size = _size_of_own(self._handle)
        self._lock = Lock()

    def read(self, start: int, end: int) -> bytes:
        """The bytes from `start` to `end`; fewer where the file ends before. Raises OSError."""
        length = max(min(end, self._size) - start, 0)
        if hasattr(os, "pread"):
            return os.pread(self._handle, length, start)
        with self._lock:
            os.lseek(self._handle, start, os.SEEK_SET)
            return os.read(self._handle, length)

    def __del__(self, close: Callable[[int], None] = os.close) -> None:
        """Close it. When the program ends, `os` may be gone before this."""
        if self._handle >= 0:
            close(self._handle)


def _size_of_own(handle: int) -> int:
    status = os.fstat(handle)
    if hasattr(os, "getuid") and (status.st_uid != os.getuid() or status.st_mode & 0o022):
        raise PermissionError("another user could have written this")
    if status.st_size > LARGEST:
        raise PermissionError("too large to be ours")
    return status.st_size


def write_whole(path: Path, content: bytes) -> None:
    """Write a file so that others see the old content or the new, never a part."""
    path.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    part = path.with_name(f".{path.name}.{os.getpid()}.{os.urandom(4).hex()}")
    try:
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as opened:
            opened.write(content)
        os.replace(part, path)
    except OSError:
        part.unlink(missing_ok=True)
        raise
