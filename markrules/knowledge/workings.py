"""What is worked out from a knowledge base, kept on disk beside its compiled form.

Word lists, indexes and tables follow from the rules alone: they are worked out once, and later
starts use the parts that they need where those lie. A file holds one working: a checksum of all
that follows, a line of JSON (what it is, its key, and where each part lies), then the parts.
The key stands for the rules and for the code; a file that is not as written, or that another
could have written, is worked out anew. Parts are JSON, so a file can give wrong data at worst,
and never runs.
"""

from __future__ import annotations

import contextlib
import json
import os
from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeAlias

from markrules.knowledge.files import checksum, read_own, write_whole

MAGIC = "markrules working 1"
PARTS = ("language", "knowledge", "inference", "notes", "marks")
"""The rooms of the program whose code may change what is worked out."""

Make: TypeAlias = Callable[[], Mapping[str, Any]]


class Parts(Mapping[str, Any]):
    """The parts of a working by name, each decoded when first asked for."""

    def __init__(self, places: Mapping[str, tuple[int, int]], body: bytes) -> None:
        """`places` tell where each part begins and ends in `body`."""
        self._places = places
        self._body = body
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        """The part of that name; raises KeyError where there is none."""
        if name not in self._made:
            start, end = self._places[name]
            self._made[name] = json.loads(self._body[start:end])
        return self._made[name]

    def __contains__(self, name: object) -> bool:
        """Whether there is such a part; it is not decoded."""
        return name in self._places

    def __iter__(self) -> Iterator[str]:
        """The names of the parts."""
        return iter(self._places)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._places)


class Workings:
    """The workings of one base. Without a folder each is worked out when first asked for."""

    def __init__(self, folder: Path | None = None, key: str = "") -> None:
        """`key` stands for the rules from which the base was made."""
        self._folder = folder
        self._key = key
        self._known: dict[str, Mapping[str, Any]] = {}

    def parts(self, name: str, make: Make) -> Mapping[str, Any]:
        """The working of that name: kept, or else what `make` gives, as JSON would hold it."""
        found = self._known.get(name)
        if found is None:
            found = self._kept(name)
            if found is None:
                found = self._keep(name, make())
            self._known[name] = found
        return found

    def _path(self, name: str) -> Path | None:
        return None if self._folder is None else self._folder / f"{self._key[:24]}-{name}.working"

    def _kept(self, name: str) -> Parts | None:
        path = self._path(name)
        if path is None:
            return None
        try:
            told, _, rest = read_own(path).partition(b"\n")
            if told.decode("ascii") != checksum(rest):
                return None
            head, _, body = rest.partition(b"\n")
            said = json.loads(head)
            if (said["what"], said["key"]) != (MAGIC, self._full_key(name)):
                return None
            return Parts({name: (start, end) for name, start, end in said["parts"]}, body)
        except (OSError, ValueError, TypeError, KeyError):
            return None

    def _keep(self, name: str, made: Mapping[str, Any]) -> Parts:
        texts = {part: _json(data) for part, data in made.items()}
        places, start = {}, 0
        for part, text in texts.items():
            places[part] = (start, start + len(text))
            start += len(text)
        body = b"".join(texts.values())
        path = self._path(name)
        if path is not None:
            head = {
                "what": MAGIC,
                "key": self._full_key(name),
                "parts": [[part, *place] for part, place in places.items()],
            }
            with contextlib.suppress(OSError):
                rest = _json(head) + b"\n" + body
                write_whole(path, checksum(rest).encode() + b"\n" + rest)
        return Parts(places, body)

    def _full_key(self, name: str) -> str:
        return f"{self._key} {code()} {name}"


@lru_cache(maxsize=1)
def code() -> str:
    """A hash of names, sizes and times of the source files that workings follow from."""
    root = os.path.dirname(os.path.dirname(__file__))
    seen = []
    for part in PARTS:
        with os.scandir(os.path.join(root, part)) as entries:
            for entry in entries:
                if entry.name.endswith(".py"):
                    status = entry.stat()
                    seen.append(f"{part}/{entry.name} {status.st_size} {status.st_mtime_ns}")
    return checksum("\n".join(sorted(seen)).encode())


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "replace")
