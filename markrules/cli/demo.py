"""`markrules demo`: the main job over the invented box."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import click

from markrules.cli.common import (
    columns,
    json_option,
    open_reader,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.page import wrapped
from markrules.cli.read import reading_page, show
from markrules.inference.chances import percent
from markrules.inference.reading import Reading
from markrules.reading.file_lines import lines_of
from markrules.reading.reader import Reader, Request
from markrules.reading.reading_data import reading_data
from markrules.tasks.demo import demo_folder
from markrules.telling.words import padded, shorten, years

FULL = "14"
"""The piece that is shown in full: its fastening and its body speak for different years."""


@click.command()
@click.option("--piece", default=FULL, metavar="ID", help="The piece to show in full.")
@json_option
@rules_options
@told_plainly
def command(piece: str, as_json: bool, rule_folders: tuple[Path, ...]) -> None:
    """Read the demo box, show a table, and one piece in full.

    The box, its pieces and their stories are invented; the knowledge is not.
    """
    rows = demo_rows()
    if piece not in {row["id"] for row in rows}:
        span = f"{rows[0]['id']} to {rows[-1]['id']}"
        raise click.UsageError(f"the demo box has no piece {piece}; it has {span}")
    reader = open_reader(rule_folders)
    # What to look at next takes as long as the rest, and a table has no room for it.
    box = [(row, _read(reader, row, looks=as_json or row["id"] == piece)) for row in rows]
    if as_json:
        write_json([{"id": row["id"], **reading_data(reading)} for row, reading in box], "demo")
        return
    width = columns(None)
    click.echo("The demo box: an invented tin of jewelry from an amateur theatre's wardrobe.\n")
    show(table(box, width))
    row, reading = next(each for each in box if each[0]["id"] == piece)
    show(
        ["", *wrapped(f"Piece {row['id']} in full. The note: {row['note']}", width, "", "    "), ""]
    )
    show(reading_page(reader, reading, width))


def demo_rows() -> list[dict[str, str]]:
    """The rows of the demo box, with what was invented of each piece."""
    return [line.data for line in lines_of(demo_folder() / "box.csv") if line.data is not None]


def demo_box(reader: Reader) -> list[tuple[dict[str, str], Reading]]:
    """Each row of the demo box with its reading; the reading sees the note alone."""
    return [(row, _read(reader, row, looks=True)) for row in demo_rows()]


def _read(reader: Reader, row: dict[str, str], *, looks: bool) -> Reading:
    """What is read of a row: with what to look at next, or without."""
    request = Request(note=row["note"])
    return reader.read(request if looks else replace(request, next_looks=0))


def table(box: list[tuple[dict[str, str], Reading]], width: int) -> list[str]:
    """One line a piece: number, note, range, the maker if likely, and the invented years."""
    note_width = width - 4 - 12 - 12 - 19
    lines = [f"{'NO':<4}{'NOTE':<{note_width}} {'READ':<11} {'INVENTED':<11} MAKER"]
    inside = 0
    for row, reading in box:
        span = reading.date.range
        made = (int(row["made_from"]), int(row["made_to"]))
        middle = sum(made) / 2
        holds = span.first <= middle <= span.last
        inside += holds
        note = shorten(row["note"], note_width)
        lines.append(
            f"{row['id']:<4}{padded(note, note_width)} {years(span.first, span.last):<11}"
            f" {years(*made):<10}{' ' if holds else '!'} {shorten(_maker(reading), 17)}".rstrip()
        )
    lines.append("")
    lines.append(
        f"{inside} of {len(box)} ranges hold the middle of the invented years; ! marks the others."
    )
    return lines


def _maker(reading: Reading) -> str:
    first = reading.makers[0] if reading.makers else None
    if first is None or not first.maker or first.probability < 0.5:
        return ""
    return f"{percent(first.probability)} {first.title}"
