"""Files that only the person may read: what is written of a catalogue holds names and prices."""

from __future__ import annotations

import os
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


def private_folder(path: Path) -> None:
    """Make a folder that only its owner may enter; one that is there stays as it is."""
    path.mkdir(mode=FOLDER_MODE, parents=True, exist_ok=True)
