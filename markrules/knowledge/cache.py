"""Compiled rules on disk: JSON with a checksum, made anew whenever anything about it is off.

A cache file holds the problems and, for each kind of entry, the entries as parts (see
`kept_parts`). What lies where is read when a kind is first asked for, and an entry when it is.
"""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from markrules import __version__
from markrules.frozen import layout
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.codec import Decoder, Encoder, signature
from markrules.knowledge.kept_parts import as_json, from_json, opened, together
from markrules.knowledge.lazy import DAMAGE, LazyEntries
from markrules.knowledge.own_files import OwnFile, blake2b, of_part, write_whole
from markrules.knowledge.texts import RuleText, fingerprint
from markrules.knowledge.workings import KEY_SHOWN, Workings
from markrules.language.grammar_sources import grammar_sources
from markrules.language.problems import Problem

MAGIC = "markrules knowledge 5"
PROBLEMS = "problems"
MOST_FILES = 8
"""One for each set of folders in use: of more, those that were not used for longest go."""
MOST_WORKINGS = 1024


class Cache:
    """The cache of one set of rule texts in one folder."""

    def __init__(self, folder: Path, texts: Sequence[RuleText]) -> None:
        """Nothing is read yet; the folder need not exist."""
        self._files = [text.file for text in texts]
        self._key = _key(texts)
        self._folder = folder
        self._path = folder / f"knowledge-{self._key[:KEY_SHOWN]}.json"

    def read(
        self, version: str, loaded_from: tuple[str, ...], rescue: Callable[[], KnowledgeBase]
    ) -> tuple[KnowledgeBase, tuple[Problem, ...]] | None:
        """The base and the warnings as they were written, or None where there are none to trust.

        `rescue` makes the base from the rules, should a section prove damaged later on.
        """
        try:
            file = OwnFile(self._path)
            said, places = opened(file.read)
            if said["what"] != MAGIC or said["key"] != self._key:
                return None
            if set(places) != {PROBLEMS, *_TYPES}:
                return None
            codec = Decoder(self._files)
            decode = codec.decoder(Problem.__name__)
            start, end, told = places[PROBLEMS]
            text = file.read(start, end)
            if of_part(text) != told:
                return None
            problems = tuple(decode(row) for row in from_json(text))
            kinds: dict[str, Any] = {
                field: LazyEntries(
                    file.read, places[field][0], _late(codec, kind), _Rescue(rescue, field)
                )
                for field, kind in _TYPES.items()
            }
        except (OSError, *DAMAGE):
            return None
        with contextlib.suppress(OSError):  # the folder may be another's to write
            os.utime(self._path)  # used now: see `_tidy`
        base = KnowledgeBase(version=version, loaded_from=loaded_from, **kinds)
        return base.keeping(self.workings()), problems

    def workings(self) -> Workings:
        """What follows from the rules, kept in the same folder."""
        return Workings(self._folder, self._key, self._sections)

    def _sections(self) -> list[tuple[str, bytes]]:
        """Each kind of entries, as it was written; none where the file is not as it was."""
        try:
            file = OwnFile(self._path)
            said, places = opened(file.read)
            if said["what"] != MAGIC or said["key"] != self._key:
                return []
            return [(field, file.read(*places[field][:2])) for field in _TYPES]
        except (OSError, *DAMAGE):
            return []

    def write(self, base: KnowledgeBase, problems: Sequence[Problem]) -> None:
        """Keep the base for the next start; where that fails, do without."""
        codec = Encoder(self._files)
        texts = {PROBLEMS: as_json([codec.encode(problem) for problem in problems])}
        for field in _TYPES:
            entries: Mapping[str, Any] = getattr(base, field)
            texts[field] = together(
                {name: as_json(codec.encode(entry)) for name, entry in entries.items()}
            )
        with contextlib.suppress(OSError):
            write_whole(self._path, together(texts, what=MAGIC, key=self._key))
            self._tidy()

    def _tidy(self) -> None:
        """Take away what was not used for longest, and first what follows from rules that went."""
        used = {path: path.stat().st_mtime_ns for path in self._folder.glob("knowledge-*.json")}
        kept = sorted(used, key=used.__getitem__)
        for path in kept[:-MOST_FILES]:
            path.unlink(missing_ok=True)
        by_key = {path.stem.removeprefix("knowledge-"): used[path] for path in kept[-MOST_FILES:]}
        times = {
            path: (by_key.get(path.name[:KEY_SHOWN], 0), path.stat().st_mtime_ns)
            for path in self._folder.glob("*.working")
        }
        for path in sorted(times, key=times.__getitem__)[:-MOST_WORKINGS]:
            path.unlink(missing_ok=True)


class _Rescue:
    """Gives one kind of entries of a base that is made when first needed."""

    def __init__(self, make: Callable[[], KnowledgeBase], field: str) -> None:
        self._make, self._field = make, field

    def __call__(self) -> Mapping[str, Any]:
        entries: Mapping[str, Any] = getattr(self._make(), self._field)
        return entries


def _key(texts: Sequence[RuleText]) -> str:
    """A hash of all that the compiled form depends on."""
    parts = (MAGIC, __version__, signature(), fingerprint(texts))
    said = "\0".join(parts).encode() + grammar_sources()
    return blake2b(said, digest_size=32).hexdigest()


def _late(codec: Decoder, kind: str) -> Callable[[list[Any]], Any]:
    """What makes entries of a kind, itself made when the first is: many kinds are never asked."""
    ways: list[Callable[[Any], Any]] = []

    def make(row: list[Any]) -> Any:
        if not ways:
            ways.append(codec.decoder(kind))
        return ways[0](row)

    return make


_TYPES: Mapping[str, str] = {
    name: told[len("Mapping[str, ") : -1]
    for name, told, _ in layout(KnowledgeBase)
    if told.startswith("Mapping[str, ")
}
"""The fields of the base that hold entries, and the names of their types. Taken from the base, for
each start needs them and nothing else of the table of kinds."""
