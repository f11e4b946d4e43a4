"""`markrules numbers`: read numbers stamped on a piece."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.cli.common import (
    columns,
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.page import wrapped
from markrules.inference.chances import percent
from markrules.marks.decoded_data import number_data
from markrules.marks.numbers import NumberReading, find_numbers
from markrules.telling.words import years


@click.command()
@click.argument("text", nargs=-1, required=True)
@json_option
@rules_options
@told_plainly
def command(text: tuple[str, ...], as_json: bool, rule_folders: tuple[Path, ...]) -> None:
    """Tell the years of patent, design, trade mark and registry numbers.

    A number dates the design or the mechanism: the piece is of that year or later.

    \b
    markrules numbers "PAT. 1,798,867"
    markrules numbers "Rd No 750000"
    markrules numbers "DES PAT 13?989"
    """
    base = open_knowledge(rule_folders)
    found = find_numbers(" ".join(text), base)
    if as_json:
        write_json([number_data(each) for each in found], "numbers")
        return
    if not found:
        raise click.UsageError(
            "no number of a register is in this text; write the words beside it too, as in"
            ' "PAT. 1,798,867", "D. 130,989", "Rd No 750000" or "REG. NO. 12345"'
        )
    width = columns(None)
    for reading in found:
        for one in (reading, *reading.alternatives):
            share, words = f"{percent(one.weight):>8}  ", _words(one)
            for line in wrapped(words, width, share, _UNDER):
                click.echo(line)
            for source in one.sources:
                entry = base.sources.get(source)
                title = entry.title if entry else source
                for line in wrapped(f"source: {title}", width, _UNDER, f"{_UNDER}  "):
                    click.echo(line)


_UNDER = " " * 10
"""What stands before lines that go on: they begin under the first, behind its share."""


def _words(reading: NumberReading) -> str:
    apart = [str(year) for year, _ in reading.years] if reading.dated else []
    when = " or ".join(apart) or years(reading.first, reading.last)
    note = f"; {reading.note}" if reading.note else ""
    return f"{reading.what} {reading.number}: {when}{note}"
