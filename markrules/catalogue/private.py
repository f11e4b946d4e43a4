"""Files that only the person may read: what is written of a catalogue holds names and prices."""

from __future__ import annotations

import contextlib
import errno
import os
import time
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

MODE = 0o600
FOLDER_MODE = 0o700


def open_private(path: Path, mode: str = "x", **text: Any) -> IO[Any]:
    """Open a file to be written (`x`: a new one; `w`: also one that is there), as `open` does.

    Also where the umask is open, no one but the owner may read it.
    """
    exclusive = os.O_EXCL if "x" in mode else os.O_TRUNC
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | exclusive, MODE)
    if exclusive == os.O_TRUNC and hasattr(os, "fchmod"):
        os.fchmod(handle, MODE)  # one that was there keeps its old mode
    return os.fdopen(handle, mode.replace("x", "w"), **text)


def write_private(path: Path, data: bytes | str, **text: Any) -> None:
    """Write a whole file for its owner alone, over one that is there."""
    binary = isinstance(data, bytes)
    with open_private(path, "wb" if binary else "w", **({} if binary else text)) as out:
        out.write(data)


@contextlib.contextmanager
def open_whole(path: Path, mode: str = "w", **text: Any) -> Iterator[IO[Any]]:
    """Open a file for its owner alone that gets its name when all is written, over one there.

    A pipe or device of that name is written to as it is, and never replaced; where a link stands,
    what it leads to is written. Raises OSError, as for a folder or an empty name.
    """
    place = path.resolve() if path.is_symlink() else path
    if not place.name or place.is_dir():
        raise IsADirectoryError(errno.EISDIR, "this is a folder; name a file", str(path))
    part = place.with_name(f".{place.name}.{os.getpid()}.part")
    try:
        if place.exists() and not place.is_file():
            with os.fdopen(_open_as_it_is(place), mode, **text) as out:
                yield out
            return
        with open_private(part, mode.replace("w", "x"), **text) as out:
            yield out
        os.replace(part, place)
    except OSError as error:
        # It is the file asked for that cannot be written, whatever its name is meanwhile.
        raise OSError(error.errno, error.strerror, str(path)) from None
    finally:
        part.unlink(missing_ok=True)


READER_SECONDS = 3.0
"""So long a reader is waited for: a shell starts both ends of a pipe at about the same time."""


def _open_as_it_is(place: Path) -> int:
    """Open a device or a pipe. A pipe that nobody reads from would never open: raises OSError."""
    until = time.monotonic() + READER_SECONDS
    while True:
        try:
            handle = os.open(place, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
            break
        except OSError as error:
            if error.errno != errno.ENXIO:
                raise
            if time.monotonic() > until:
                raise OSError(errno.ENXIO, "nobody reads from this pipe") from None
        time.sleep(0.02)
    if hasattr(os, "set_blocking"):
        os.set_blocking(handle, True)
    return handle


def private_folder(path: Path) -> None:
    """Make a folder that only its owner may enter; one that is there stays as it is."""
    path.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
