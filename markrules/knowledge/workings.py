"""What is worked out from a knowledge base, kept on disk beside its compiled form.

Word lists, indexes and tables follow from the rules alone: they are worked out once, and later
starts use the parts that they need where those lie (see `kept_parts`). A file holds one working.
Its key stands for the rules and for the code; a file that is not as written, or that another could
have written, is worked out anew. Parts are JSON, or bytes such as the numbers of a table, so a
file can give wrong data at worst, and never runs.

Who adds an entry to the rules changes little of what follows from them. Parts that follow each
from a few entries are made with `made_again`: those whose entries are as they were are taken from
what was kept for other rules. A working that follows from no makers is taken whole from there,
where all but the makers is as it was.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import lru_cache
from pathlib import Path
from typing import Any, TypeAlias

from markrules.knowledge.kept_parts import Places, as_json, from_json, opened, together
from markrules.knowledge.own_files import OwnFile, checksum, of_part, write_whole

MAGIC = "markrules working 5"
PARTS = ("language", "knowledge", "inference", "notes", "marks", "sheets")
"""The rooms of the program whose code may change what is worked out."""

Make: TypeAlias = Callable[[], Mapping[str, Any]]
Read: TypeAlias = Callable[[int, int], bytes]

KEY_SHOWN = 24
"""Signs of the key that stand in the name of a file: enough to tell rules apart."""
DAMAGE = (ValueError, TypeError, KeyError, AttributeError)
"""What a file that is not as written can raise, beside OSError."""
MADE_OF = ":made-of"
"""The part that tells of what each other part was made; no entry has such a name."""
NO_MAKERS = ("makers", "cases")
"""The kinds of entries that a person adds most, and most workings do not follow from."""
MOST_EARLIER = 3
"""Workings of other rules that are looked into: the last ones differ by an entry or two."""

BARE = b"\0"
"""What stands before a part that is bytes; no JSON begins so."""


class Parts(Mapping[str, Any]):
    """The parts of a working by name, each decoded when first asked for."""

    def __init__(
        self,
        places: Places,
        read: Callable[[int, int], bytes],
        rescue: Callable[[], Mapping[str, Any]] | None = None,
    ) -> None:
        """`read` gives what lies between two places of the file. A part that is not as it was
        written is taken from what `rescue` makes, with all others.
        """
        self._places = places
        self._read = read
        self._rescue = rescue
        self._made: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        """The part of that name; raises KeyError where there is none."""
        if name not in self._made:
            start, end, told = self._places[name]
            try:
                text = self._read(start, end)
                whole = self._rescue is None or of_part(text) == told
            except OSError:
                whole = False
            if whole:
                self._made[name] = text[1:] if text[:1] == BARE else from_json(text)
            elif self._rescue is not None:
                self._made.update(self._rescue())
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

    def __init__(
        self,
        folder: Path | None = None,
        key: str = "",
        sections: Callable[[], Iterable[tuple[str, bytes]]] = tuple,
    ) -> None:
        """`key` stands for the rules from which the base was made; `sections` give each kind of
        entries with all that it holds, or nothing where that cannot be told.
        """
        self._folder = folder
        self._key = key
        self._sections = sections
        self._known: dict[str, Mapping[str, Any]] = {}
        self._digests: dict[tuple[str, ...], str] = {}

    @property
    def lasting(self) -> bool:
        """Whether what is worked out is kept for other starts."""
        return self._folder is not None

    def parts(
        self, name: str, make: Make, *, apart_from: Collection[str] = ()
    ) -> Mapping[str, Any]:
        """The working of that name: kept, or else what `make` gives, as JSON would hold it.

        `apart_from` names kinds of entries (fields of the base) that `make` does not look at: what
        was kept for rules that differ in these alone is taken.
        """
        found = self._known.get(name)
        if found is None:
            found = self._kept(name, make)
            if found is None:
                found = self._made(name, make, tuple(apart_from))
            self._known[name] = found
        return found

    def _made(self, name: str, make: Make, apart_from: tuple[str, ...]) -> Parts:
        of = self._digest(apart_from) if apart_from and self.lasting else ""
        texts = self._of_like_rules(name, of) if of else None
        return self._keep_texts(name, texts if texts is not None else as_texts(make()), of)

    def _digest(self, apart_from: tuple[str, ...]) -> str:
        """A hash of all entries but those of some kinds; empty where it cannot be told."""
        if apart_from not in self._digests:
            # Each section is hashed alone: joined, an entry could move from one to the next unseen.
            told = [
                f"{kind} {checksum(text)}"
                for kind, text in self._sections()
                if kind not in apart_from
            ]
            self._digests[apart_from] = checksum("\n".join(told).encode()) if told else ""
        return self._digests[apart_from]

    def _of_like_rules(self, name: str, of: str) -> dict[str, bytes] | None:
        """The parts of a working that was kept for rules with the same digest, as they lie."""
        for said, places, read in self._earlier(name):
            if said.get("of") != of:
                continue
            texts = {}
            for part in places:
                start, end, told = places[part]
                try:
                    texts[part] = read(start, end)
                except OSError:
                    break
                if of_part(texts[part]) != told:
                    break
            else:
                return texts
        return None

    def made_again(
        self, name: str, digests: Mapping[str, str], make: Callable[[str], Any]
    ) -> dict[str, Any]:
        """What `parts` keeps under a name: of each part in `digests` what `make` gives.

        The digest of a part stands for all that it follows from, but for the code. A part that was
        kept for other rules under the same digest is not made again.
        """
        found: dict[str, Any] = {MADE_OF: dict(digests)}
        earlier: list[tuple[Mapping[str, str], Parts]] = []
        for _, places, read in self._earlier(name):
            with contextlib.suppress(OSError, *DAMAGE):
                parts = Parts(places, read, dict)
                earlier.append((dict(parts[MADE_OF]), parts))
        for part, digest in digests.items():
            for made_of, each in earlier:
                if made_of.get(part) == digest and part in each:
                    with contextlib.suppress(*DAMAGE):
                        found[part] = each[part]
                        break
            if part not in found:
                found[part] = make(part)
        return found

    def _earlier(self, name: str) -> Iterator[tuple[dict[str, Any], Places, Read]]:
        """The last workings of this name that were kept for other rules by the same code: what is
        told of each, where its parts lie, and what reads them.
        """
        if self._folder is None:
            return
        ending, looked = f"-{name}.working", 0
        with contextlib.suppress(OSError):
            paths = [
                path
                for path in self._folder.glob(f"*{ending}")
                if len(path.name) == KEY_SHOWN + len(ending)
            ]
            paths.sort(key=lambda path: path.stat().st_mtime_ns, reverse=True)
            for path in paths:
                with contextlib.suppress(OSError, *DAMAGE):
                    file = OwnFile(path)
                    said, places = opened(file.read)
                    if said["what"] == MAGIC and said["key"].endswith(f" {code()} {name}"):
                        looked += 1
                        yield said, places, file.read
                if looked == MOST_EARLIER:
                    return

    def _path(self, name: str) -> Path | None:
        if self._folder is None:
            return None
        return self._folder / f"{self._key[:KEY_SHOWN]}-{name}.working"

    def _kept(self, name: str, make: Make) -> Parts | None:
        path = self._path(name)
        if path is None:
            return None
        try:
            file = OwnFile(path)
            said, places = opened(file.read)
            if (said["what"], said["key"]) != (MAGIC, self._full_key(name)):
                return None
            of = said.get("of", "")
            return Parts(places, file.read, lambda: self._keep_texts(name, as_texts(make()), of))
        except (OSError, *DAMAGE):
            return None

    def _keep_texts(self, name: str, texts: Mapping[str, bytes], of: str) -> Parts:
        path = self._path(name)
        if path is not None:
            content = together(texts, what=MAGIC, key=self._full_key(name), of=of)
            with contextlib.suppress(OSError):
                write_whole(path, content)
        body, places = b"".join(texts.values()), Places(list(texts), Places.of(texts.values()), 0)
        return Parts(places, lambda start, end: body[start:end])

    def _full_key(self, name: str) -> str:
        return f"{self._key} {code()} {name}"


def as_texts(made: Mapping[str, Any]) -> dict[str, bytes]:
    """Parts as a file holds them."""
    return {
        part: BARE + each if isinstance(each, bytes) else as_json(each)
        for part, each in made.items()
    }


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
