"""Bad lines of a table, told so that three thousand alike do not hide the one that differs."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import click

from markrules.telling.words import printable

ALIKE = 3
"""Lines told of those that are bad in the same way."""

TOLD = 20
"""Lines told in all."""

_OWN = re.compile(r'"[^"]*"|[0-9]+')
"""What a message says of its own line only."""


def tell_bad_lines(file: Path, errors: Sequence[tuple[int, str]]) -> None:
    """Tell the bad lines of a file on standard error, and how many more there are."""
    seen: Counter[str] = Counter()
    told = 0
    for line, error in errors:
        kind = _OWN.sub("", error)
        seen[kind] += 1
        if seen[kind] <= ALIKE and told < TOLD:
            click.echo(printable(f"{file}:{line}: {error}"), err=True)
            told += 1
    if len(errors) > told:
        click.echo(f"… and {len(errors) - told:,} more bad lines, most like these", err=True)
