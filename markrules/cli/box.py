"""`markrules box`: boxes of pieces, filled, listed, read, searched, and kept safe."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.cli.box_adding import add_command, paste_command
from markrules.cli.box_importing import import_command
from markrules.cli.box_keeping import (
    archive_command,
    check_command,
    copy_command,
    export_command,
    redo_command,
    restore_command,
    steps_command,
    undo_command,
)
from markrules.cli.box_reading import read_command, search_command
from markrules.cli.box_taking_in import take_in_command
from markrules.cli.catalogue import catalogue_options, list_lines, listed_json, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.cli.groups import WholeSummaries
from markrules.telling.words import printable, shorten

PAGE = 50


@click.group(cls=WholeSummaries)
def command() -> None:
    """Keep boxes of pieces: enter, list, read, search, export, archive.

    \b
    markrules box start "attic tin"
    markrules box add "attic tin" "brooch, rollover catch, marked AUSTRIA"
    markrules box read "attic tin"
    markrules box show "attic tin"
    """


@command.command("start")
@click.argument("name")
@click.option("--note", default="", help="Where it came from, or anything else.")
@json_option
@who_option
@catalogue_options
def start(name: str, note: str, as_json: bool, who: str, place: Path | None) -> None:
    """Start a box called NAME; the catalogue is made where there is none.

    \b
    markrules box start "attic tin" --note "house clearance, June"
    """
    with opened(place, create=True) as catalogue:
        box = catalogue.boxes.start(name, note, who)
        if as_json:
            write_json({"box": box.name, "note": box.note, "added": box.added}, "box")
        else:
            click.echo(
                f'Box "{shorten(box.name, 200)}" is started in {printable(str(catalogue.path))}'
            )


@command.command("list")
@json_option
@catalogue_options
def list_boxes(as_json: bool, place: Path | None) -> None:
    """List the boxes and how many pieces each holds.

    \b
    markrules box list
    """
    with opened(place) as catalogue:
        counts = catalogue.boxes.counts()
        boxes = catalogue.boxes.all()
    if as_json:
        write_json(
            [
                {
                    "box": box.name,
                    "pieces": counts.get(box.id, 0),
                    "note": box.note,
                    "added": box.added,
                }
                for box in boxes
            ],
            "boxes",
        )
        return
    for box in boxes:
        count = counts.get(box.id, 0)
        note = f"  {shorten(box.note, 60)}" if box.note else ""
        click.echo(
            f"{count:>7} {'piece ' if count == 1 else 'pieces'}  {shorten(box.name, 40)}{note}"
        )
    if not boxes:
        click.echo("No box yet. Start one: markrules box start NAME")


@command.command("show")
@click.argument("box")
@click.option("--after", default=0, metavar="NUMBER", help="Begin after this piece.")
@click.option("--limit", default=PAGE, show_default=True, type=click.IntRange(1, 100_000))
@click.option("--gone", is_flag=True, help="Show pieces that have left the box, too.")
@json_option
@catalogue_options
def show_box(
    box: str, after: int, limit: int, gone: bool, as_json: bool, place: Path | None
) -> None:
    """Show the pieces of BOX with the years and maker of their latest readings.

    \b
    markrules box show "attic tin"
    markrules box show "attic tin" --after 50

    A star stands where something was added since the reading.
    """
    from markrules.cli.common import columns

    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        listed = catalogue.pieces.listed(found, gone=gone, after=after, limit=limit)
        total = catalogue.boxes.counts().get(found.id, 0)
    if as_json:
        write_json([listed_json(found, each) for each in listed], "pieces")
        return
    for line in list_lines([(found, each) for each in listed], columns(None)):
        click.echo(line)
    if len(listed) == limit and listed[-1].piece.number < total:
        click.echo(f"… {total} pieces in all; go on with --after {listed[-1].piece.number}")


@command.command("rename")
@click.argument("box")
@click.argument("name")
@json_option
@who_option
@catalogue_options
def rename(box: str, name: str, as_json: bool, who: str, place: Path | None) -> None:
    """Give BOX another NAME.

    \b
    markrules box rename "attic tin" "attic tin, sorted"
    """
    with opened(place) as catalogue:
        renamed = catalogue.boxes.change(catalogue.boxes.named(box), name=name, who=who)
    if as_json:
        write_json({"box": renamed.name, "note": renamed.note, "added": renamed.added}, "box")
    else:
        click.echo(f'The box is now called "{shorten(renamed.name, 200)}"')


for each in (
    add_command,
    paste_command,
    import_command,
    take_in_command,
    read_command,
    search_command,
    export_command,
    archive_command,
    check_command,
    copy_command,
    restore_command,
    undo_command,
    redo_command,
    steps_command,
):
    command.add_command(each)
