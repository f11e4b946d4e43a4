"""Entries that a person's own rules take back from the rules before them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from markrules.language.kinds import NAMES
from markrules.language.nearest import nearest
from markrules.language.problems import Place, Problem
from markrules.language.tree import Book, Case, Entry, Withdraw


def without_withdrawn(
    folders: Sequence[Sequence[Book]],
) -> tuple[list[Book], list[Problem]]:
    """The books of all folders, first to last, less what later folders withdraw; and problems.

    A withdrawn entry goes from the folders before the one that withdraws it; an entry of the same
    kind and name beside the withdrawal stands in its place. Worked examples that expect a name
    that is gone go with it. A withdrawal that finds nothing is a problem.
    """
    kept: list[Book] = []
    problems: list[Problem] = []
    for books in folders:
        own = {(_kind(entry), entry.name) for book in books for entry in book.entries}
        here: list[Book] = []
        for book in books:
            entries: list[Entry] = []
            for entry in book.entries:
                found: Entry = entry
                if isinstance(entry, Withdraw):
                    found, kept = _withdrawn(entry, kept, own, problems)
                entries.append(found)
            here.append(replace(book, entries=tuple(entries)))
        kept += here
    return kept, problems


def _withdrawn(
    entry: Withdraw, books: list[Book], own: set[tuple[str, str]], problems: list[Problem]
) -> tuple[Withdraw, list[Book]]:
    """The withdrawal with what it found, and the books without that."""
    names = [
        each
        for book in books
        for each in book.entries
        if _kind(each) == entry.kind and not isinstance(each, Withdraw)
    ]
    found = next((each for each in names if each.name == entry.name), None)
    if found is None:
        near = nearest(entry.name, [each.name for each in names])
        place = next((each.span for each in names if each.name == near), None)
        problems.append(
            Problem(
                "nothing-withdrawn",
                f'no {entry.kind} "{entry.name}" stands in the rules before these',
                entry.span,
                (Place(place, "written here"),) if place is not None and place.line else (),
                near,
            )
        )
        return entry, books
    replaced = (entry.kind, entry.name) in own
    if entry.kind == "setting" and not replaced:
        # The code has no number of its own to use instead.
        problems.append(
            Problem(
                "needed",
                f'the engine needs a setting "{entry.name}": write beside this the one that'
                " replaces it",
                entry.span,
            )
        )
        return entry, books

    def goes(each: Entry) -> bool:
        if _kind(each) == entry.kind and each.name == entry.name:
            return True
        return not replaced and isinstance(each, Case) and _expects(each, entry)

    left = [
        replace(book, entries=tuple(each for each in book.entries if not goes(each)))
        for book in books
    ]
    when = getattr(found, "when", None)
    return replace(entry, when=when, replaced=replaced), left


def _expects(case: Case, entry: Withdraw) -> bool:
    return any(
        each.kind == entry.kind and each.name is not None and each.name.name == entry.name
        for each in case.expect
    )


def _kind(entry: Entry) -> str:
    return NAMES[type(entry).__name__]
