"""A text index in one file, read by memory map: built once, whole or not at all.

The file starts with eight bytes that name the format, the length of the header (4 bytes) and
its CRC-32 (4 bytes), little-endian like all numbers in it. The header is JSON: how many texts
and references there are, where each section lies, the first text of each length, and for each
feature where its set of texts lies, how long it is, its CRC-32, and whether it is compressed.
Sections: `texts` (UTF-8, in order), `ends` (where each text ends, 4 bytes each), `starts`
(where the references of each text begin, 4 bytes each, one more than texts) and `references`
(4 bytes each: the row times two, plus one where the text is the maker's own letters).
"""

from __future__ import annotations

import json
import mmap
import os
import struct
import sys
import zlib
from array import array
from collections.abc import Iterable
from pathlib import Path
from threading import Lock
from typing import Any, BinaryIO

from markrules.marks.columns import ColumnIndex

FORMAT = b"MARKIDX1"
_FRAME = struct.Struct("<8sII")
_KEPT_BYTES = 16_000_000
"""Sets of texts kept in memory after they were read, for each file."""

_WORTH_PACKING = 0.2
"""A set is compressed where that brings it below this share: such sets are seldom asked for."""


class IndexDamagedError(ValueError):
    """The file is not an index, is cut short, or its checksums do not fit; it can be rebuilt."""


def write_index(path: Path, rows: Iterable[tuple[int, str, str]], kept: dict[str, Any]) -> None:
    """Build an index file and put it in place in one step.

    `rows` are (row number, the maker's own letters, all letters), folded; `kept` is stored in
    the header. Until the new file is whole and on disk, the old one stays. Raises OSError.
    """
    references: dict[str, array[int]] = {}
    for row, own, whole in rows:
        references.setdefault(own, array("I")).append(row * 2 + 1)
        if whole != own:
            references.setdefault(whole, array("I")).append(row * 2)
    references.pop("", None)
    part = path.with_name(f"{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as file:
            _write(file, references, kept)
            file.flush()
            os.fsync(file.fileno())
        part.replace(path)
    finally:
        part.unlink(missing_ok=True)


def _write(file: BinaryIO, references: dict[str, array[int]], kept: dict[str, Any]) -> None:
    index = ColumnIndex(references)
    header: dict[str, Any] = {"kept": kept, "texts": len(index), "sections": {}, "features": {}}
    header["first_of_length"] = [
        index.shorter_than(length) for length in range(max(map(len, index.texts), default=0) + 2)
    ]
    body = file
    # The frame is written last, over these bytes: a file that was cut short while it was written
    # has none, and is refused.
    body.write(bytes(_FRAME.size))
    ends, starts, flat = array("I"), array("I", [0]), array("I")
    encoded = [text.encode() for text in index.texts]
    end = 0
    for text, name in zip(encoded, index.texts, strict=True):
        end += len(text)
        ends.append(end)
        flat.extend(references[name])
        starts.append(len(flat))
    sections = {"texts": b"".join(encoded), "ends": _little(ends)}
    sections |= {"starts": _little(starts), "references": _little(flat)}
    for name, data in sections.items():
        header["sections"][name] = [body.tell(), len(data), zlib.crc32(data)]
        body.write(data)
    size = (len(index) + 7) // 8
    for feature, marks in index.features():
        raw = marks.to_bytes(size, "little")
        packed = zlib.compress(raw, 1)
        # A set of few texts is nearly all zeros and shrinks to little; one that does not is kept as
        # it is, so that a search need not unpack it.
        data = packed if len(packed) < _WORTH_PACKING * size else raw
        place = [body.tell(), len(data), zlib.crc32(data), int(data is packed)]
        header["features"][feature] = place
        body.write(data)
    told = json.dumps(header, separators=(",", ":")).encode()
    at = body.tell()
    body.write(told)
    body.write(struct.pack("<Q", at))
    body.seek(0)
    body.write(_FRAME.pack(FORMAT, len(told), zlib.crc32(told)))


def _little(numbers: array[int]) -> bytes:
    if sys.byteorder == "big":
        numbers = array("I", numbers)
        numbers.byteswap()
    return numbers.tobytes()


class FileIndex:
    """A text index read from a file. Close it when done; it is also a context manager."""

    def __init__(self, path: Path) -> None:
        """Open the file; raises OSError, and IndexDamagedError where it is not a whole index."""
        self.path = path
        with path.open("rb") as file:
            try:
                self._map = mmap.mmap(file.fileno(), 0, access=mmap.ACCESS_READ)
            except ValueError:
                raise IndexDamagedError(f"{path}: the file is empty") from None
        self._header = self._read_header()
        self.kept: dict[str, Any] = self._header["kept"]
        self._texts = int(self._header["texts"])
        self._ends = self._section("ends")
        self._starts = self._section("starts")
        self._references = self._section("references")
        self._text_start, _, _ = self._header["sections"]["texts"]
        self._sets: dict[str, int] = {}
        self._lock = Lock()
        self._most_sets = max(32, _KEPT_BYTES * 8 // max(self._texts, 1))

    def _read_header(self) -> dict[str, Any]:
        data = self._map
        if len(data) < _FRAME.size + 8:
            raise IndexDamagedError(f"{self.path}: the file is cut short")
        name, length, check = _FRAME.unpack_from(data)
        (at,) = struct.unpack_from("<Q", data, len(data) - 8)
        told = data[at : at + length]
        if name != FORMAT or at + length + 8 != len(data) or zlib.crc32(told) != check:
            raise IndexDamagedError(f"{self.path}: not a whole index of marks")
        header: dict[str, Any] = json.loads(told)
        return header

    def _section(self, name: str) -> memoryview:
        at, length, _ = self._header["sections"][name]
        view = memoryview(self._map)[at : at + length]
        if sys.byteorder == "big":
            numbers = array("I", view.tobytes())
            numbers.byteswap()
            return memoryview(numbers)
        return view.cast("I")

    def __len__(self) -> int:
        """How many texts there are."""
        return self._texts

    def __enter__(self) -> FileIndex:
        """The index itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close the file."""
        self.close()

    def close(self) -> None:
        """Let go of the file."""
        for view in (self._ends, self._starts, self._references):
            view.release()
        self._map.close()

    def text(self, number: int) -> str:
        """The text of that number."""
        start = self._ends[number - 1] if number else 0
        at = self._text_start
        return self._map[at + start : at + self._ends[number]].decode()

    def rows(self, number: int, most: int) -> tuple[list[tuple[int, bool]], int]:
        """The first `most` rows with that text, each with whether it is the maker's own letters
        there, and how many rows there are in all.
        """
        start, end = self._starts[number], self._starts[number + 1]
        found = self._references[start : min(end, start + most)]
        return [(reference >> 1, bool(reference & 1)) for reference in found], end - start

    def shorter_than(self, length: int) -> int:
        """How many texts have fewer letters."""
        firsts = self._header["first_of_length"]
        return int(firsts[length]) if length < len(firsts) else self._texts

    def having(self, feature: str) -> int:
        """The set of texts with the feature. Raises IndexDamagedError where it was altered."""
        marks = self._sets.get(feature)
        if marks is not None:
            return marks
        place = self._header["features"].get(feature)
        if place is None:
            return 0
        at, length, check, packed = place
        data = self._map[at : at + length]
        if zlib.crc32(data) != check:
            raise IndexDamagedError(f"{self.path}: the set of {feature!r} was altered")
        marks = int.from_bytes(zlib.decompress(data) if packed else data, "little")
        with self._lock:
            self._sets[feature] = marks
            # The oldest goes, and not the least used: telling that would cost a write at every
            # look.
            if len(self._sets) > self._most_sets:
                del self._sets[next(iter(self._sets))]
        return marks

    def check(self) -> None:
        """Read everything; raises IndexDamagedError where a checksum does not fit."""
        places = [*self._header["sections"].items(), *self._header["features"].items()]
        for name, (at, length, check, *_) in places:
            if zlib.crc32(self._map[at : at + length]) != check:
                raise IndexDamagedError(f"{self.path}: {name!r} was altered")
