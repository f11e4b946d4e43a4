"""A user's own marks as a list to search."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.places import imported_marks
from markrules.language.windows import Window, Year
from markrules.marks.candidates import Candidate
from markrules.marks.entries import MarkEntry, apart
from markrules.marks.private_marks import SHARD, PrivateMark, PrivateMarks
from markrules.marks.search import OWN, MarkSearch
from markrules.marks.spans_written import written_span
from markrules.marks.vocabulary import MarkWords, vocabulary

MOST_ALIKE = 10
"""Marks with the same letters that are shown; the others are only counted."""


class PrivateList:
    """The marks of a database, ready to be searched. Raises StoreError where it is unusable."""

    def __init__(
        self,
        path: Path,
        words: MarkWords,
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
            shown = candidate
            if in_all != len(rows):
                shown = replace(candidate, stands_for=candidate.stands_for * in_all / len(rows))
            wanted += [(first + row, shown, own) for row, own in rows]
        found = self.marks.rows(row for row, _, _ in wanted)
        for row, candidate, own in wanted:
            if row in found:
                yield candidate, _entry(row, found[row], self.words), own

    def with_letters(self, text: str) -> Iterator[tuple[Candidate, MarkEntry, bool]]:
        """The marks with exactly these folded letters."""
        found = []
        for place, index in enumerate(self.indexes):
            low, high = index.shorter_than(len(text)), index.shorter_than(len(text) + 1)
            number = bisect_left(range(high), text, low, key=index.text)
            if number < high and index.text(number) == text:
                found.append(Candidate(text, place, number))
        return self.marks_of(found)

    def close(self) -> None:
        """Let go of the index files and the database."""
        self.marks.close()
        for index in self.indexes:
            index.close()


def _entry(row: int, mark: PrivateMark, words: MarkWords) -> MarkEntry:
    own, whole, beside, divided = apart(mark.text, words)
    return MarkEntry(
        maker=f"{OWN}{mark.maker or row}",
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
        used=years_of(mark.years),
        years=mark.years,
        note=mark.note,
        source=mark.source,
        divided=(divided[0] if own else divided[1], divided[1]),
    )


_YEARS = re.compile(r"(?<!\d)(1[0-9]{3}|20[0-9]{2})(?!\d)")
_BEFORE = re.compile(r"^\s*(?:until|to|before|up to|bis|[-–<])", re.IGNORECASE)
_AFTER = re.compile(r"(?:^\s*(?:from|since|after|ab|>)|[-–+>]\s*$|onwards?\s*$)", re.IGNORECASE)


def years_of(text: str) -> Window | None:
    """The years of a mark as a list writes them (`1900-1920`, `1920s`, `from 1895`): circa, since
    nobody vouches for them. None where no year is told.
    """
    span = written_span(text)
    if span is not None:
        ends = tuple(Year(each) if each is not None else None for each in span)
        return Window(mostly_first=ends[0], mostly_last=ends[1])
    years = [int(each) for each in _YEARS.findall(text)]
    if not years:
        return None
    first, last = Year(min(years)), Year(max(years))
    if len(years) == 1 and _BEFORE.search(text):
        return Window(mostly_last=last)
    if len(years) == 1 and _AFTER.search(text):
        return Window(mostly_first=first)
    return Window(mostly_first=first, mostly_last=last)


def open_search(
    base: KnowledgeBase,
    path: Path | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> MarkSearch:
    """A search over the marks of the rules and, where there are any, the user's own at `path`.

    Left out, `path` is the platform's own place (`places.imported_marks`). `progress` is
    called with rows done and rows in all while a missing index is made. Raises StoreError.
    """
    place = path if path is not None else imported_marks()
    if not PrivateMarks(place).exists():
        return MarkSearch(base)
    return MarkSearch(base, [PrivateList(place, vocabulary(base), progress)])
