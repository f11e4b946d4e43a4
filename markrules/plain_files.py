"""Files that people name, read within limits: a pipe or a device may never end, or never begin."""

from __future__ import annotations

import errno
import os
import stat
import threading
from pathlib import Path
from typing import BinaryIO

PIPE_SECONDS = 30.0
"""So long is waited for somebody to write into a pipe."""


def open_plain(path: Path | str) -> BinaryIO:
    """Open a file to be read. Raises OSError where it is none that has an end, or cannot be read.

    It is opened without waiting, since a pipe that nobody writes to would never open, and looked
    at once it is open, since its name might by then mean another.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        mode = os.fstat(handle).st_mode
        if stat.S_ISDIR(mode):
            raise IsADirectoryError(errno.EISDIR, "it is a folder", str(path))
        if not stat.S_ISREG(mode):
            raise OSError(errno.EINVAL, "not a plain file; save it as one first", str(path))
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def open_or_pipe(path: Path | str, seconds: float = PIPE_SECONDS) -> BinaryIO:
    """Open a file or a pipe to be read from its beginning to its end.

    A pipe that nobody opens to write into within `seconds` is given up. Raises OSError.
    """
    if not stat.S_ISFIFO(os.stat(path).st_mode):
        return open(path, "rb")
    opened: list[BinaryIO | OSError] = []

    def wait() -> None:
        try:
            pipe = open(path, "rb")  # noqa: SIM115 (closed by whoever reads it)
        except OSError as error:
            opened.append(error)
            return
        opened.append(pipe)
        if given_up.is_set():
            pipe.close()

    given_up = threading.Event()
    waiting = threading.Thread(target=wait, daemon=True)  # nothing else can end its waiting
    waiting.start()
    waiting.join(seconds)
    if not opened:
        given_up.set()
        raise TimeoutError(
            errno.ETIMEDOUT, f"nobody wrote into this pipe for {seconds:g} seconds", str(path)
        )
    if isinstance(opened[0], OSError):
        raise opened[0]
    return opened[0]


def beginning(path: Path | str, length: int) -> bytes:
    """The first bytes of a file, `length` at most. Raises OSError as `open_plain`."""
    with open_plain(path) as opened:
        # Room is made for all that is asked, so no more is asked than there is.
        return opened.read(min(length, os.fstat(opened.fileno()).st_size))


def read_plain(path: Path | str, most: int) -> bytes:
    """The content of a file of `most` bytes at most. Raises OSError as `open_plain`, and beyond."""
    data = beginning(path, most + 1)
    if len(data) > most:
        raise OSError(errno.EFBIG, f"it has more than {most:,} bytes", str(path))
    return data
