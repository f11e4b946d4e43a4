"""What is wrong with a rule base as a whole: `check`."""

from __future__ import annotations

from collections.abc import Iterable

from markrules.language.checks.asked_values import check_conditions
from markrules.language.checks.circles import check_findings
from markrules.language.checks.completeness import (
    check_citations,
    check_esteem,
    check_features,
    check_misleading,
    check_remarks,
    check_tables,
    check_words,
)
from markrules.language.checks.fitting_windows import check_windows
from markrules.language.checks.known_names import known_in
from markrules.language.checks.names import check_names, check_sources
from markrules.language.problems import Problem
from markrules.language.slots import with_slots_filled
from markrules.language.tree import Book

CHECKS = (
    check_names,
    check_conditions,
    check_windows,
    check_citations,
    check_misleading,
    check_sources,
    check_features,
    check_esteem,
    check_remarks,
    check_words,
    check_tables,
    check_findings,
)


def check(books: Iterable[Book], draft_books: Iterable[Book] = ()) -> tuple[Problem, ...]:
    """The problems of all books together, in the order of files, lines and columns.

    What only drafts cite or ask for counts as used.
    """
    known = known_in(with_slots_filled(books), with_slots_filled(draft_books))
    for each in CHECKS:
        each(known)
    # An entry with a slot is told of once, not for each of its fills.
    return tuple(sorted(dict.fromkeys(known.problems), key=in_order))


def in_order(problem: Problem) -> tuple[str, int, int, str]:
    """A sort key: by file, line, column and message."""
    place = problem.place
    return place.file, place.line, place.column, problem.message
