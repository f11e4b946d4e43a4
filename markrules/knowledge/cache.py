"""Compiled rules on disk: JSON with a checksum, made anew whenever anything about it is off.

A cache file is a line of JSON (what it is, its key, the length of each section and a checksum
of all that follows), then the sections: problems, then one for each kind of entry. Sections
of entries are decoded when they are first asked for.
"""

from __future__ import annotations

import contextlib
import json
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from markrules import __version__
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.codec import Decoder, Encoder, signature
from markrules.knowledge.lazy import DAMAGE, LazyEntries, packed
from markrules.knowledge.own_files import blake2b, checksum, read_own, write_whole
from markrules.knowledge.texts import RuleText, fingerprint
from markrules.knowledge.workings import Workings
from markrules.language.grammar import grammar_text
from markrules.language.kinds import KINDS
from markrules.language.problems import Problem

MAGIC = "markrules knowledge 2"
MOST_FILES = 8  # older ones are taken away: one stays for each set of folders in use
MOST_WORKINGS = 1024


class Cache:
    """The cache of one set of rule texts in one folder."""

    def __init__(self, folder: Path, texts: Sequence[RuleText]) -> None:
        """Nothing is read yet; the folder need not exist."""
        self._files = [text.file for text in texts]
        self._key = _key(texts)
        self._folder = folder
        self._path = folder / f"knowledge-{self._key[:24]}.json"

    def read(
        self, version: str, loaded_from: tuple[str, ...], rescue: Callable[[], KnowledgeBase]
    ) -> tuple[KnowledgeBase, tuple[Problem, ...]] | None:
        """The base and the warnings as they were written, or None where there are none to trust.

        `rescue` makes the base from the rules, should a section prove damaged later on.
        """
        try:
            sections = self._sections(read_own(self._path))
            codec = Decoder(self._files)
            decode = codec.decoder(Problem)
            problems = tuple(decode(row) for row in json.loads(sections.pop("problems")))
            kinds: dict[str, Any] = {
                field: LazyEntries(text, codec.decoder(_TYPES[field]), _Rescue(rescue, field))
                for field, text in sections.items()
            }
            if kinds.keys() != _TYPES.keys():
                return None
        except (OSError, *DAMAGE):
            return None
        base = KnowledgeBase(version=version, loaded_from=loaded_from, **kinds)
        return base.keeping(self.workings()), problems

    def workings(self) -> Workings:
        """What follows from the rules, kept in the same folder."""
        return Workings(self._folder, self._key)

    def _sections(self, content: bytes) -> dict[str, bytes]:
        """The sections by name; raises ValueError where the content is not as written."""
        head, _, body = content.partition(b"\n")
        said = json.loads(head)
        if said["what"] != MAGIC or said["key"] != self._key:
            raise ValueError("made for other rules")
        if said["checksum"] != checksum(body):
            raise ValueError("damaged")
        sections = {}
        start = 0
        for name, length in said["sections"].items():
            sections[name] = body[start : start + length]
            start += length
        return sections

    def write(self, base: KnowledgeBase, problems: Sequence[Problem]) -> None:
        """Keep the base for the next start; where that fails, do without."""
        codec = Encoder(self._files)
        sections = {"problems": _json([codec.encode(problem) for problem in problems])}
        for field in _TYPES:
            entries: Mapping[str, Any] = getattr(base, field)
            rows = (_json(codec.encode(entry)) for entry in entries.values())
            sections[field] = packed(entries, rows)
        body = b"".join(sections.values())
        head = {
            "what": MAGIC,
            "key": self._key,
            "checksum": checksum(body),
            "sections": {name: len(text) for name, text in sections.items()},
        }
        with contextlib.suppress(OSError):
            write_whole(self._path, _json(head) + b"\n" + body)
            self._tidy()

    def _tidy(self) -> None:
        for pattern, most in (("knowledge-*.json", MOST_FILES), ("*.working", MOST_WORKINGS)):
            kept = sorted(self._folder.glob(pattern), key=lambda path: path.stat().st_mtime_ns)
            for path in kept[:-most]:
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
    parts = (MAGIC, __version__, grammar_text(), signature(), fingerprint(texts))
    return blake2b("\0".join(parts).encode(), digest_size=32).hexdigest()


def _json(data: Any) -> bytes:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode()


_TYPES: Mapping[str, type[Any]] = {kind.field: kind.type for kind in KINDS.values()}
