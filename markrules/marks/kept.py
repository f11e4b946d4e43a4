"""The marks of a knowledge base as they are kept between starts: indexed, entries made late."""

from __future__ import annotations

import re
from array import array
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import accumulate, chain
from sys import byteorder
from typing import Any, Literal

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.kept_parts import ByWord, rows_by_word
from markrules.language.windows import Window
from markrules.marks.candidates import Candidate, TextIndex
from markrules.marks.columns import ColumnIndex
from markrules.marks.divisions import Divisions
from markrules.marks.entries import MarkEntry, entries_of, in_other_words, weights_of
from markrules.marks.further_words import further_words
from markrules.marks.lists import ListedMarks
from markrules.marks.mark_shares import mark_shares
from markrules.marks.vocabulary import MarkWords, vocabulary

BLOCK = 8
"""Entries that are read together: the marks that come near a reading stand all over the rules."""

_NUMBER: Literal["I"] = "I"
"""The numbers of entries as an array holds them."""

_FIELDS = tuple(name for name in MarkEntry.__match_args__ if name not in ("beside", "used"))


def kept_vocabulary(base: KnowledgeBase) -> MarkWords:
    """The words beside marks, as kept or worked out."""
    said = _parts(base)["words"]
    return MarkWords(
        ByWord(_parts(base)["phrases"]),
        said["shares"],
        said["least"],
        mark_shares(base).number_beside,
        re.compile(said["number"]),
        frozenset(said.get("numbers_of_makers", ())),
        frozenset(said.get("in_many_names", ())),
        said["further"],
    )


class KeptMarks:
    """The marks of a knowledge base, as `ListedMarks` offers them."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Nothing is made but the index of texts."""
        self._base = base
        self._parts = _parts(base)
        said = self._parts["index"]
        self._count: int = said["count"]
        self.weight: float = said["weight"]
        self._texts: list[str] = self._parts["texts"].decode("utf-8").split("\n")
        self._owners = Owners(self._parts["owners"])
        self._made: dict[int, MarkEntry] = {}

    @cached_property
    def indexes(self) -> Sequence[TextIndex]:
        """The index over all texts."""
        parts = self._parts
        return (ColumnIndex.kept(self._texts, parts["from-start"], parts["from-end"]),)

    @cached_property
    def _places(self) -> dict[str, int]:
        return {text: at for at, text in enumerate(self._texts)}

    @cached_property
    def entries(self) -> tuple[MarkEntry, ...]:
        """All marks, in the order of the rules."""
        return tuple(map(self._entry, range(self._count)))

    @property
    def count(self) -> int:
        """How many marks there are."""
        return self._count

    @property
    def weights(self) -> Iterator[tuple[str, str, float]]:
        """Maker, mark and prior weight of all marks, and of makers that have none."""
        return ((maker, mark, weight) for maker, mark, weight in self._parts["weights"])

    def has(self, text: str) -> bool:
        """Whether a mark has exactly these folded letters."""
        return text in self._places

    def makers_with(self, text: str) -> Iterator[tuple[str, str]]:
        """The makers, each with its name, of whom a mark or the whole name has exactly these folded
        letters; one may come twice.
        """
        place = self._places.get(text)
        for owner in self._owners[place] if place is not None else ():
            entry = self._entry(owner >> 1)
            if entry.mark and not entry.lessened:
                yield entry.maker, entry.title

    def marks_of(
        self, candidates: Sequence[Candidate]
    ) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with these texts."""
        for candidate in candidates:
            for owner in self._owners[self._places[candidate.text]]:
                yield candidate, self._entry(owner >> 1), bool(owner & 1)

    def _entry(self, number: int) -> MarkEntry:
        entry = self._made.get(number)
        if entry is None:
            row = self._parts[f"rows-{number // BLOCK}"][number % BLOCK]
            entry = self._made[number] = _entry(self._base, row)
        return entry


class Owners:
    """For each text the numbers of its entries, used as they lie: the place where the numbers of
    each text end, for all texts, and behind these the numbers.
    """

    def __init__(self, kept: bytes) -> None:
        """Nothing is decoded."""
        self._numbers: memoryview[int] = memoryview(kept).cast(_NUMBER)

    @staticmethod
    def kept(rows: Iterable[Sequence[int]]) -> bytes:
        """The numbers of all texts, to be kept."""
        every = list(rows)
        ends = accumulate(map(len, every), initial=len(every) + 1)
        return array(_NUMBER, (*ends, *chain.from_iterable(every))).tobytes()

    def __getitem__(self, text: int) -> Sequence[int]:
        """The numbers of the entries of the text at this place."""
        return self._numbers[self._numbers[text] : self._numbers[text + 1]].tolist()


def _entry(base: KnowledgeBase, row: Sequence[Any]) -> MarkEntry:
    said = dict(zip(_FIELDS, row[1:], strict=True))
    said["divided"] = tuple(Divisions(*each) for each in said["divided"])
    return MarkEntry(
        **said, beside=frozenset(row[0]), used=_years(base, said["maker"], said["mark"])
    )


def _row(entry: MarkEntry) -> list[Any]:
    said = {name: getattr(entry, name) for name in _FIELDS}
    said["divided"] = [[each.sure, each.most] for each in entry.divided]
    return [sorted(entry.beside), *said.values()]


def _years(base: KnowledgeBase, maker: str, mark: str) -> Window | None:
    """The years of a mark, or where it has none its maker's."""
    entry = base.makers[maker]
    variant = next((each for each in entry.marks if each.name == mark), None)
    return (variant.used if variant is not None else None) or entry.works


def _parts(base: KnowledgeBase) -> Mapping[str, Any]:
    return base.workings.parts(f"marks-{byteorder}", lambda: _worked_out(base))


def _worked_out(base: KnowledgeBase) -> dict[str, Any]:
    words = vocabulary(base)
    entries = tuple(entries_of(base, words))
    listed = ListedMarks(entries, in_other_words(base, entries, words))
    every = listed.all_entries
    numbers = {id(entry): number for number, entry in enumerate(every)}
    index = listed.index
    rows = [_row(entry) for entry in every]
    from_start, from_end = index.columns
    return {
        "from-start": from_start,
        "from-end": from_end,
        "phrases": rows_by_word(words.phrases),
        "words": {
            "shares": words.shares,
            "least": words.least_share,
            "number": words.number.pattern,
            "numbers_of_makers": sorted(words.numbers_of_makers),
            "in_many_names": sorted(words.in_many_names),
            "further": further_words(base, words),
        },
        "index": {
            "count": len(entries),
            "weight": listed.weight,
        },
        "texts": "\n".join(index.texts).encode("utf-8"),
        "owners": Owners.kept(
            [numbers[id(entry)] << 1 | own for entry, own in listed.with_text(text)]
            for text in index.texts
        ),
        "weights": [list(each) for each in weights_of(base)],
        **{
            f"rows-{at}": rows[at * BLOCK : (at + 1) * BLOCK]
            for at in range(-(-len(rows) // BLOCK))
        },
    }
