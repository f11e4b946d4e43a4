"""`markrules numbers`: read numbers stamped on a piece."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.marks.numbers import NumberReading, find_numbers
from markrules.telling.words import printable, years
from markrules.telling.years_shown import percent


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
        write_json([number_data(each) for each in found])
        return
    if not found:
        raise click.UsageError(
            "no number of a register is in this text; write the words beside it too, as in"
            ' "PAT. 1,798,867", "D. 130,989", "Rd No 750000" or "REG. NO. 12345"'
        )
    for reading in found:
        for one in (reading, *reading.alternatives):
            click.echo(_line(one))
            for source in one.sources:
                entry = base.sources.get(source)
                click.echo(f"          source: {printable(entry.title if entry else source)}")


def number_data(reading: NumberReading) -> dict[str, Any]:
    """One number reading as plain data."""
    return {
        "register": reading.register,
        "number": reading.number,
        "from": reading.first,
        "to": reading.last,
        "years": [list(pair) for pair in reading.years],
        "what": reading.what,
        "note": reading.note,
        "probability": round(reading.weight, 6),
        "sources": list(reading.sources),
        "alternatives": [number_data(each) for each in reading.alternatives],
    }


def _line(reading: NumberReading) -> str:
    when = years(reading.first, reading.last)
    note = f"; {reading.note}" if reading.note else ""
    return printable(f"{percent(reading.weight):>8}  {reading.what} {reading.number}: {when}{note}")
