"""`markrules piece`: one piece of a box: looked at, corrected, told of, photographed."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.catalogue.records import Box, Piece
from markrules.cli.bought import bought_command
from markrules.cli.catalogue import (
    catalogue_options,
    lines,
    log_line,
    opened,
    piece_json,
    seen_json,
    what,
)
from markrules.cli.common import columns, json_option, open_reader, rules_options, write_json
from markrules.cli.groups import WholeSummaries
from markrules.cli.photo import photo_command
from markrules.cli.piece_seeing import correct_command, see_command
from markrules.cli.piece_telling import (
    gone_command,
    own_number_command,
    set_command,
    tell_command,
    title_command,
)
from markrules.telling.words import in_lines, printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue


@click.group(cls=WholeSummaries)
def command() -> None:
    """One piece: show it, add to what is seen, correct it, add photos.

    A piece is named by its BOX and its NUMBER in it.

    \b
    markrules piece show "attic tin" 3
    markrules piece see "attic tin" 3 "C catch, tube hinge"
    markrules piece correct "attic tin" 3 17 catch=rollover
    """


@command.command("show")
@click.argument("box")
@click.argument("number", type=int)
@click.option("--log", "whole_log", is_flag=True, help="The whole log, with what was replaced.")
@click.option("--full", is_flag=True, help="Read it now, and show the whole reading.")
@json_option
@rules_options
@catalogue_options
def show(
    box: str,
    number: int,
    whole_log: bool,
    full: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Show a piece: its note, what is seen, what was told, and its latest reading.

    \b
    markrules piece show "attic tin" 3
    markrules piece show "attic tin" 3 --full
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        piece = catalogue.pieces.numbered(found, number)
        if as_json:
            write_json(_data(catalogue, found, piece), "piece-in-full")
            return
        for line in _page(catalogue, found, piece, whole_log):
            click.echo(line)
        if full:
            evidence = catalogue.readings.evidence(piece)
    if full:
        from markrules.cli.drawing import inks_for
        from markrules.cli.page import page
        from markrules.cli.read import show as show_page
        from markrules.tasks.reading_pieces import read_evidence

        reading = read_evidence(open_reader(rule_folders), evidence)
        click.echo()
        show_page(page(reading, columns(None), inks_for(sys.stdout.encoding)))


def _page(catalogue: Catalogue, box: Box, piece: Piece, whole_log: bool) -> list[str]:
    head = printable(f"{shorten(box.name, 60)} {piece.number}: {what(piece)}")
    found = in_lines(head, columns(), rest="    ")
    named = printable(f"identifier {piece.uid}, entered {piece.added}")
    found += in_lines(named, columns(), rest="    ")
    if piece.own_number:
        found.append(f"your number: {printable(piece.own_number)}")
    if piece.gone:
        found.append(printable(f"gone since {piece.gone} {piece.gone_why}").rstrip())
    if piece.title and piece.note:
        found += in_lines(f"note: {printable(piece.note)}", columns(), rest="    ")
    if piece.not_understood:
        missed = printable("; ".join(piece.not_understood))
        found += in_lines(f"not understood: {missed}", columns(), rest="    ")
    found += ["", "SEEN (line, what)"]
    stand = {each.id for each in catalogue.log.seen_on(piece)}
    for line in catalogue.log.of(piece):
        if line.id in stand or whole_log:
            found.append(log_line(line, line.id in stand, whole_log))
    if piece.told:
        found += ["", "TOLD, NOT SEEN", *(f"  {each}" for each in lines(piece.told).split("\n"))]
    photos = catalogue.photos.of(piece)
    if photos:
        found += ["", "PHOTOS"]
        found += [f"  {each.id}: {shorten(each.place or '(no place said)', 60)}" for each in photos]
    return [*found, "", *_reading_lines(catalogue, piece)]


def _chance(stored: object) -> str:
    """A stored probability; nothing for what is none: the catalogue may be another's."""
    return f" {stored:.0%}" if isinstance(stored, int | float) else ""


def _reading_lines(catalogue: Catalogue, piece: Piece) -> list[str]:
    stored = catalogue.readings.latest(piece)
    if stored is None:
        return ["Not read yet: markrules box read"]
    date: Any = stored.data.get("date", {})
    makers: Any = stored.data.get("makers", [])
    years = f"{date.get('from')}–{date.get('to')}, likeliest {date.get('likeliest')}"
    text = printable(f"READ {stored.when}: {years}")
    named = [
        f"{each.get('name') or 'a maker in no list'}{_chance(each.get('probability'))}"
        for each in makers[:3]
    ]
    marks: Any = stored.data.get("marks", [])
    unlisted = [each.get("text") for each in marks if each.get("unlisted")]
    signed = [printable(f'  signed "{each}", not in these rules') for each in unlisted]
    return [text, *signed, *([f"  {printable(', '.join(named))}"] if named else [])]


def _data(catalogue: Catalogue, box: Box, piece: Piece) -> dict[str, Any]:
    stand = {each.id for each in catalogue.log.seen_on(piece)}
    stored = catalogue.readings.latest(piece)
    return {
        **piece_json(box, piece),
        "log": [seen_json(line, line.id in stand) for line in catalogue.log.of(piece)],
        "photos": [
            {"photo": each.id, "digest": each.digest, "shows": each.place, "added": each.added}
            for each in catalogue.photos.of(piece)
        ],
        "reading": stored.data if stored is not None else None,
        "read": stored.when if stored is not None else None,
    }


for each in (
    see_command,
    correct_command,
    tell_command,
    title_command,
    own_number_command,
    set_command,
    gone_command,
    photo_command,
    bought_command,
):
    command.add_command(each)
