"""Rules held against those that come with markrules, without reading those anew."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from pathlib import Path

from markrules.editor.workspace import Workspace, shipped_entries
from markrules.language.messages import show
from markrules.language.problems import Problem
from markrules.language.tree import Case


def problems_of(texts: Mapping[str, str]) -> tuple[Problem, ...]:
    """What is wrong with these texts, by the names of their files, as `markrules rules check`
    tells it; of the worked examples, their own are read.
    """
    rules = Workspace(shipped_entries())
    for file, text in texts.items():
        rules.put(file, text)
    found = [each for file in texts for each in rules.problems()[file]]
    own = {
        entry.name for book in rules.books() for entry in book.entries if isinstance(entry, Case)
    }
    if own and not any(each.severity == "error" for each in found):
        found += _of_examples(texts, own)
    return tuple(found)


def _of_examples(texts: Mapping[str, str], names: set[str]) -> list[Problem]:
    from dataclasses import replace

    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, shipped_rules
    from markrules.reading.cases import CASE_LAST_YEAR, check_case
    from markrules.reading.reader import Reader

    with tempfile.TemporaryDirectory() as held:
        files = {str(Path(held) / f"{at}.rules"): name for at, name in enumerate(texts)}
        for place, name in files.items():
            Path(place).write_text(texts[name], encoding="utf-8")
        base, _ = load([shipped_rules(), Path(held)], cache_folder=None, parsed_in=cache_folder())
    reader = Reader(base, CASE_LAST_YEAR)
    found = [each for name in sorted(names) for each in check_case(reader, base.cases[name])]
    return [
        replace(each, place=replace(each.place, file=files.get(each.place.file, each.place.file)))
        for each in found
    ]


def told(problem: Problem, texts: Mapping[str, str]) -> str:
    """A problem with the line at fault, as several lines of text."""
    return show(problem, texts.get(problem.place.file, ""))
