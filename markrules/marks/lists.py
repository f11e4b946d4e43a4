"""Lists of marks to search: what every list offers, and the list of a knowledge base."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import Protocol

from markrules.marks.candidates import Candidate, TextIndex
from markrules.marks.columns import ColumnIndex
from markrules.marks.entries import MarkEntry


class MarkList(Protocol):
    """Marks with an index over their letters.

    `indexes` may be several, each over a part of the list. `weight` is the sum of the prior
    weights of all marks in the list.
    """

    @property
    def indexes(self) -> Sequence[TextIndex]:
        """The indexes over the texts of the marks, in an order that stays."""

    @property
    def weight(self) -> float:
        """The prior weight of all marks together."""

    def marks_of(
        self, candidates: Sequence[Candidate]
    ) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with these texts; True where the text is the maker's own letters alone.

        The number of the index in a candidate counts the indexes of this list.
        """


class OtherMarks(MarkList, Protocol):
    """Marks beside those of the rules, such as a person's own list."""

    def with_letters(self, text: str) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with exactly these folded letters."""


class ListedMarks:
    """Marks held in memory."""

    def __init__(self, entries: Iterable[MarkEntry], others: Iterable[MarkEntry] = ()) -> None:
        """Index the entries that have letters.

        `others` are further texts by which the makers of the entries are found; they are no marks
        of their own.
        """
        self.entries = tuple(entries)
        self.all_entries = (*self.entries, *others)
        self._by_text: dict[str, list[tuple[MarkEntry, bool]]] = {}
        for entry in self.all_entries:
            if entry.own:
                self._by_text.setdefault(entry.own, []).append((entry, True))
            if entry.whole != entry.own:
                self._by_text.setdefault(entry.whole, []).append((entry, False))
        self.index = ColumnIndex(self._by_text)
        self.indexes = (self.index,)
        self.weight = sum(entry.weight for entry in self.entries)

    def with_text(self, text: str) -> Sequence[tuple[MarkEntry, bool]]:
        """The entries with this text; True where it is the maker's own letters alone."""
        return self._by_text[text]

    def has(self, text: str) -> bool:
        """Whether a mark has exactly these folded letters."""
        return text in self._by_text

    def marks_of(
        self, candidates: Sequence[Candidate]
    ) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with these texts."""
        for candidate in candidates:
            for entry, own in self._by_text[candidate.text]:
                yield candidate, entry, own
