"""Many parts in one file or in one stretch of it, of which one is checked and read where it lies.

First stand the lengths of what follows and a checksum of it, then a JSON document that names the
parts and tells what else is to be known, then for each part where it ends and its checksum, in
bytes, and then the parts.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from itertools import accumulate
from typing import Any, TypeVar

from markrules.knowledge.own_files import checksum, of_part

LABEL = 64
"""Bytes that tell lengths and a checksum, before anything else."""

END, DIGEST = 8, 4
"""Bytes that tell where a part ends, and of its checksum."""

ROW_END = 4
"""Bytes that tell where a row of a part ends."""

_Word = TypeVar("_Word", bound="str | tuple[str, ...]")

MOST_ASKED = 200
"""Rows that are found one by one before all are decoded: more than a reading asks for."""


class Places:
    """Where each part lies, and its checksum.

    Kept as it is written, for a working may have thousands of parts of which one is asked for.
    """

    __slots__ = ("_first", "_numbers", "_rows")

    def __init__(self, names: Sequence[str], rows: bytes, first: int) -> None:
        """`rows` hold for each name the end of its part, from `first` on, and its checksum."""
        if len(rows) != len(names) * (END + DIGEST):
            raise ValueError("not as many places as parts")
        self._numbers = {name: number for number, name in enumerate(names)}
        self._rows, self._first = rows, first

    @staticmethod
    def of(texts: Iterable[bytes]) -> bytes:
        """The rows of parts that lie one after the other."""
        rows, end = [], 0
        for text in texts:
            end += len(text)
            rows.append(end.to_bytes(END, "little") + of_part(text))
        return b"".join(rows)

    def __getitem__(self, name: str) -> tuple[int, int, bytes]:
        """Where a part begins and ends, and its checksum; raises KeyError."""
        at = self._numbers[name] * (END + DIGEST)
        start = self._end(at - END - DIGEST) if at else 0
        told = self._rows[at + END : at + END + DIGEST]
        return self._first + start, self._first + self._end(at), told

    def _end(self, at: int) -> int:
        return int.from_bytes(self._rows[at : at + END], "little")

    def __contains__(self, name: object) -> bool:
        """Whether there is such a part."""
        return name in self._numbers

    def __iter__(self) -> Iterator[str]:
        """The names of the parts."""
        return iter(self._numbers)

    def __len__(self) -> int:
        """How many there are."""
        return len(self._numbers)


def together(texts: Mapping[str, bytes], **told: Any) -> bytes:
    """Parts by name, as they are kept, with what else is told of them."""
    said = as_json({**told, "parts": list(texts)})
    rows = Places.of(texts.values())
    label = f"{len(said)} {len(rows)} {checksum(said + rows)}\n".encode("ascii").rjust(LABEL)
    return b"".join((label, said, rows, *texts.values()))


def opened(read: Callable[[int, int], bytes], start: int = 0) -> tuple[dict[str, Any], Places]:
    """What is told of parts that are kept from `start` on, and where they lie.

    `read` gives what lies between two places. Raises OSError as it does, and ValueError,
    TypeError or KeyError for what is not as it was written.
    """
    said_length, rows_length, told = read(start, start + LABEL).decode("ascii").split()
    begin, length = start + LABEL, int(said_length)
    first = begin + length + int(rows_length)
    head = read(begin, first)
    if told != checksum(head):
        raise ValueError("damaged")
    said: dict[str, Any] = from_json(head[:length])
    return said, Places(said["parts"], head[length:], first)


def rows_by_word(rows: Mapping[_Word, Any]) -> bytes:
    """Data by words, or by words that belong together, of which one is found and decoded where it
    lies: see `row_of_word`. No row is None.
    """
    # JSON holds no bare line end, and no word does: a line is one row.
    lines = [b"%s\t%s\n" % (as_json(word), as_json(row)) for word, row in rows.items()]
    return b"\n" + b"".join(lines)


def row_of_word(kept: bytes, word: str | tuple[str, ...]) -> Any:
    """The data of a word that `rows_by_word` kept; None where there is none.

    >>> row_of_word(rows_by_word({"pin": [1, 2], "back": [3]}), "back")
    [3]
    """
    begins = b"\n%s\t" % as_json(word)
    at = kept.find(begins)
    if at < 0:
        return None
    start = at + len(begins)
    return from_json(kept[start : kept.index(b"\n", start)])


class ByWord(Mapping[_Word, Any]):
    """Data that `rows_by_word` kept, each row found and decoded when it is asked for.

    A single reading asks for a few rows. Who reads many notes asks without end, so that from some
    number of questions on all rows are decoded once.

    >>> ByWord(rows_by_word({"pin": [1, 2], "back": [3]})).get("pin")
    [1, 2]
    """

    __slots__ = ("_all", "_asked", "_kept")

    def __init__(self, kept: bytes) -> None:
        """Nothing is decoded yet."""
        self._kept = kept
        self._asked = 0
        self._all: dict[_Word, Any] | None = None

    def __getitem__(self, word: _Word) -> Any:
        """The row of this word; raises KeyError."""
        if self._all is None and self._asked < MOST_ASKED:
            self._asked += 1
            row = row_of_word(self._kept, word)
            if row is None:
                raise KeyError(word)
            return row
        return self._every()[word]

    def __iter__(self) -> Iterator[_Word]:
        """The words."""
        return iter(self._every())

    def __len__(self) -> int:
        """How many there are."""
        return len(self._every())

    def _every(self) -> dict[_Word, Any]:
        if self._all is None:
            lines = (line.partition(b"\t") for line in self._kept.split(b"\n")[1:-1])
            self._all = {_word(from_json(word)): from_json(row) for word, _, row in lines}
        return self._all


def _word(read: Any) -> Any:
    return tuple(read) if isinstance(read, list) else read


def rows_by_number(rows: Iterable[Any]) -> bytes:
    """Data in order, of which one is decoded where it lies: see `Rows`."""
    texts = [as_json(row) for row in rows]
    ends = accumulate(map(len, texts))
    numbers = (len(texts), *ends)
    return b"".join((*(each.to_bytes(ROW_END, "little") for each in numbers), *texts))


class Rows(Sequence[Any]):
    """Data that `rows_by_number` kept, each decoded when it is asked for.

    >>> Rows(rows_by_number(["a", {"b": 1}]))[1]
    {'b': 1}
    """

    __slots__ = ("_count", "_kept")

    def __init__(self, kept: bytes) -> None:
        """Nothing is decoded yet. Raises ValueError for what cannot hold so many rows."""
        self._kept, self._count = kept, int.from_bytes(kept[:ROW_END], "little")
        if len(kept) < (self._count + 1) * ROW_END:
            raise ValueError("not as many rows as told")

    def __len__(self) -> int:
        """How many there are."""
        return self._count

    def __getitem__(self, at: Any) -> Any:
        """The row at this place; raises IndexError."""
        if not 0 <= at < self._count:
            raise IndexError(at)
        first = (self._count + 1) * ROW_END
        start = self._end(at) if at else 0
        return from_json(self._kept[first + start : first + self._end(at + 1)])

    def _end(self, number: int) -> int:
        place = number * ROW_END
        return int.from_bytes(self._kept[place : place + ROW_END], "little")


_decode = json.JSONDecoder().raw_decode


def from_json(text: bytes) -> Any:
    """What `as_json` wrote, without what `json.loads` does to find out how a text is encoded.

    Raises ValueError for anything else.
    """
    told = text.decode("utf-8")
    found, end = _decode(told)
    if end != len(told):
        raise ValueError("not one value")
    return found


def as_json(data: Any) -> bytes:
    """JSON without a space; a lone surrogate becomes a question mark."""
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "replace")
