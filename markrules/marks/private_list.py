"""A user's own marks as a list to search."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from markrules.knowledge.base import KnowledgeBase
from markrules.marks.candidates import Candidate
from markrules.marks.entries import MarkEntry, apart
from markrules.marks.private_marks import SHARD, PrivateMark, PrivateMarks, store_path
from markrules.marks.search import MarkSearch
from markrules.marks.vocabulary import Vocabulary, vocabulary

MOST_ALIKE = 10
"""Marks with the same letters that are shown; the others are only counted."""

PRIVATE = "own:"
"""Stands before the name of a maker from a user's own list, so that it is none of the rules'."""


class PrivateList:
    """The marks of a database, ready to be searched. Raises StoreError where it is unusable."""

    def __init__(
        self,
        path: Path,
        words: Vocabulary,
        progress: Callable[[int, int], None] | None = None,
    ) -> None:
        """Open the database at `path`; what is missing of the index is made first."""
        self.marks = PrivateMarks(path)
        self.words = words
        self.indexes = self.marks.open_indexes(words, progress)
        self.weight = float(self.marks.count())

    def marks_of(
        self, candidates: Sequence[Candidate]
    ) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with these texts; of many with the same letters, only some."""
        wanted: list[tuple[int, Candidate, bool]] = []
        for candidate in candidates:
            first = candidate.index * SHARD + 1
            rows, in_all = self.indexes[candidate.index].rows(candidate.number, MOST_ALIKE)
            shown = replace(candidate, stands_for=candidate.stands_for * in_all / len(rows))
            wanted += [(first + row, shown, own) for row, own in rows]
        found = self.marks.rows(row for row, _, _ in wanted)
        for row, candidate, own in wanted:
            if row in found:
                yield candidate, _entry(row, found[row], self.words), own

    def close(self) -> None:
        """Let go of the index files."""
        for index in self.indexes:
            index.close()


def _entry(row: int, mark: PrivateMark, words: Vocabulary) -> MarkEntry:
    own, whole, beside = apart(mark.text, words)
    return MarkEntry(
        maker=f"{PRIVATE}{mark.maker or row}",
        title=mark.maker or mark.text,
        mark=str(row),
        text=mark.text,
        own=own or whole,
        whole=whole,
        beside=beside,
        words_only=bool(whole) and not own,
        lines=mark.text.count("/") + 1,
        form="",
        method="",
        symbol="",
        country="",
        place="",
        weight=1.0,
        years=mark.years,
        note=mark.note,
        source=mark.source,
    )


def open_search(
    base: KnowledgeBase,
    path: Path | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> MarkSearch:
    """A search over the marks of the rules and, where there are any, the user's own at `path`.

    Left out, `path` is the platform's own place (`private_marks.store_path`). `progress` is
    called with rows done and rows in all while a missing index is made. Raises StoreError.
    """
    place = path if path is not None else store_path()
    if not PrivateMarks(place).exists():
        return MarkSearch(base)
    return MarkSearch(base, [PrivateList(place, vocabulary(base), progress)])
