"""Own rules with an error: which files are left out, so that the sound ones can be used.

A file is left out whole. Half of one would be rules that nobody wrote: an entry may replace
another that stands below the slip.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from markrules.knowledge import loading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.texts import read_texts
from markrules.language.problems import Problem
from markrules.named_tuple import NamedTuple

MOST_TRIED = 8
"""Files that are tried one by one where an error in the shipped rules names none of them."""


class SoundRules(NamedTuple):
    """The base of the sound files, and what is wrong with each file that was left out."""

    base: KnowledgeBase
    left_out: dict[str, tuple[Problem, ...]]


def without_unsound(
    folders: Sequence[Path], problems: Iterable[Problem], cache_folder: Path | None
) -> SoundRules | None:
    """The knowledge without those files of one's own that have errors.

    `problems` are those of `load` over all the folders, the first of which is the shipped one. A
    file that rests on one that is left out is left out too. None where the shipped rules have
    errors of their own: then nothing can be used.
    """
    left_out: dict[str, tuple[Problem, ...]] = {}
    errors = _errors(problems)
    while errors:
        at_fault = _files_at_fault(errors, folders, left_out, cache_folder)
        if not at_fault:
            return None
        left_out |= at_fault
        base, found = loading.load(folders, cache_folder=cache_folder, without=frozenset(left_out))
        errors = _errors(found)
    said = tuple(_said(file, told) for file, told in left_out.items())
    return SoundRules(replace(base, left_out=said).keeping(base.workings), left_out)


def _errors(problems: Iterable[Problem]) -> list[Problem]:
    return [each for each in problems if each.severity == "error"]


def _files_at_fault(
    errors: Sequence[Problem],
    folders: Sequence[Path],
    left_out: Iterable[str],
    cache_folder: Path | None,
) -> dict[str, tuple[Problem, ...]]:
    """The own files that errors stand in, else those that errors in other files speak of."""
    shipped = os.path.join(os.path.realpath(folders[0]), "")
    found: dict[str, tuple[Problem, ...]] = {}
    for each in errors:
        file = each.place.file
        if not file.startswith(shipped):
            found[file] = (*found.get(file, ()), each)
    if found:
        return found
    for each in errors:
        for file in (place.span.file for place in each.also):
            if not file.startswith(shipped):
                found[file] = (*found.get(file, ()), each)
    return found or _found_by_trying(tuple(errors), folders, frozenset(left_out), cache_folder)


def _found_by_trying(
    errors: tuple[Problem, ...],
    folders: Sequence[Path],
    left_out: frozenset[str],
    cache_folder: Path | None,
) -> dict[str, tuple[Problem, ...]]:
    """The one own file without which the shipped rules have no error, else all that are left.

    An own file that withdraws what a shipped entry needs makes an error in the shipped one.
    """
    texts, _ = read_texts(folders)
    own = [each.file for each in texts if each.folder > 0 and each.file not in left_out]
    for file in own[:MOST_TRIED]:
        _, found = loading.load(folders, cache_folder=cache_folder, without=left_out | {file})
        if not _errors(found):
            return {file: errors}
    return dict.fromkeys(own, errors)


def _said(file: str, problems: Sequence[Problem]) -> str:
    """One sentence for readings: it names no folder, since readings are shown to others."""
    first = problems[0]
    line = f", line {first.place.line}" if first.place.file == file else ""
    return (
        f"Read without your own rules in {os.path.basename(file)}, which have an error{line}:"
        f" {first.message}"
    )
