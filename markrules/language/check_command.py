"""Check rule files from a shell: `python -m markrules.language.check_command PLACE ...`."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path

from markrules.language.checker import check, in_order
from markrules.language.enlarging import enlarged
from markrules.language.line_words import LARGEST_FILE
from markrules.language.lines import physical_lines
from markrules.language.messages import show_in
from markrules.language.parser import parse
from markrules.language.problems import Problem
from markrules.language.tree import Book
from markrules.plain_files import read_plain


def rule_files(paths: Sequence[Path]) -> list[Path]:
    """The rule files at or below each path, sorted."""
    found: list[Path] = []
    for path in paths:
        found += sorted(path.rglob("*.rules")) if path.is_dir() else [path]
    return found


def main(arguments: Sequence[str]) -> int:
    """Print every problem and a count; 1 where there are errors, else 0."""
    files = rule_files([Path(argument) for argument in arguments or ["rules"]])
    texts = {str(file): read_plain(file, LARGEST_FILE).decode("utf-8", "replace") for file in files}
    books: list[Book] = []
    problems: list[Problem] = []
    for name, text in texts.items():
        book, met = parse(text, name)
        books.append(book)
        problems += met
    books, amiss = enlarged(books)
    problems += [*amiss, *check(books)]
    lines = {name: physical_lines(text) for name, text in texts.items()}
    for problem in sorted(problems, key=in_order):
        print(show_in(problem, lines.get(problem.place.file, [])), end="\n\n")
    errors = sum(problem.severity == "error" for problem in problems)
    entries = sum(len(book.entries) for book in books)
    print(
        f"{entries} entries in {len(files)} files: {errors} errors, "
        f"{len(problems) - errors} warnings"
    )
    return 1 if errors else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
