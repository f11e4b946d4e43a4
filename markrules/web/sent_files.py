"""Files that somebody sent and that are looked at before they are taken: kept for a while."""

from __future__ import annotations

import contextlib
import secrets
import shutil
import tempfile
import threading
from pathlib import Path

from markrules.frozen import dataclass

MOST_HELD = 20
"""Files held at once; the oldest gives way."""
LONGEST_NAME = 80


@dataclass(frozen=True, slots=True)
class SentFile:
    """A file as it was sent: the key it goes by, what it was called, and where it lies."""

    key: str
    name: str
    path: Path
    browser: str


class SentFiles:
    """Holds files in a folder of its own, private to the person who serves, until the server ends.

    Each is given back only to the browser that sent it.
    """

    def __init__(self) -> None:
        """Hold nothing yet; the folder is made with the first file."""
        self._files: dict[str, SentFile] = {}
        self._folder: Path | None = None
        self._lock = threading.Lock()

    def take(self, name: str, data: bytes, browser: str) -> SentFile:
        """Hold a file. Its ending is kept, for it tells what the file is."""
        key = secrets.token_hex(8)
        # The name comes from outside; it is shown, and never used as a path.
        plain = "".join(each if each.isprintable() else " " for each in name)
        shown = plain.replace("\\", "/").rpartition("/")[2].strip()[-LONGEST_NAME:] or "table"
        ending = Path(shown).suffix.casefold()
        # It becomes part of a path, so no separator and no sign of the shell may be in it.
        ending = ending if ending[1:].isalnum() and ending.isascii() else ""
        with self._lock:
            if self._folder is None:
                self._folder = Path(tempfile.mkdtemp(prefix="markrules-held-"))
            path = self._folder / f"{key}{ending[:10]}"
            path.write_bytes(data)
            found = SentFile(key, shown, path, browser)
            self._files[key] = found
            while len(self._files) > MOST_HELD:
                self._drop(next(iter(self._files)))
        return found

    def get(self, key: str, browser: str) -> SentFile | None:
        """The file of that key, if this browser sent it and it is still held."""
        with self._lock:
            found = self._files.get(key)
        return found if found is not None and found.browser == browser else None

    def drop(self, key: str) -> None:
        """Hold a file no longer."""
        with self._lock:
            self._drop(key)

    def _drop(self, key: str) -> None:
        found = self._files.pop(key, None)
        if found is not None:
            with contextlib.suppress(OSError):
                found.path.unlink()

    def close(self) -> None:
        """Remove all that is held."""
        with self._lock:
            self._files.clear()
            if self._folder is not None:
                shutil.rmtree(self._folder, ignore_errors=True)
                self._folder = None
