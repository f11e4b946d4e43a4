"""`markrules piece tell`, `title`, `set` and `gone`: what is said of a piece, and where it is."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.catalogue.records import Box, Piece
from markrules.cli.catalogue import catalogue_options, lines, opened, piece_json, what, who_option
from markrules.cli.common import json_option, write_json
from markrules.telling.words import printable, shorten


@click.command("tell")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("text")
@json_option
@who_option
@catalogue_options
def tell_command(
    box: str, number: int, text: str, as_json: bool, who: str, place: Path | None
) -> None:
    """Add what an owner or seller said of a piece. It is kept apart from what is seen.

    \b
    markrules piece tell "attic tin" 3 "A wedding gift in 1931, says the niece."
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        piece = catalogue.pieces.numbered(found, number)
        told = "\n".join(each for each in (piece.told, text.strip()) if each)
        piece = catalogue.pieces.change(piece, told=told, who=who)
    _tell_piece(found, piece, as_json, lines(piece.told))


@click.command("title")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("text")
@json_option
@who_option
@catalogue_options
def title_command(
    box: str, number: int, text: str, as_json: bool, who: str, place: Path | None
) -> None:
    """Give a piece a title for lists.

    \b
    markrules piece title "attic tin" 3 "Fruit brooch"
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        piece = catalogue.pieces.change(
            catalogue.pieces.numbered(found, number), title=text, who=who
        )
    _tell_piece(found, piece, as_json, printable(what(piece)))


@click.command("own-number")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("own")
@json_option
@who_option
@catalogue_options
def own_number_command(
    box: str, number: int, own: str, as_json: bool, who: str, place: Path | None
) -> None:
    """Say under which number of your OWN a piece stands; an empty one takes it off.

    It stands on the label, and `markrules box search` finds the piece by it.

    \b
    markrules piece own-number "attic tin" 3 BR-0014
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        piece = catalogue.pieces.change(
            catalogue.pieces.numbered(found, number), own_number=own, who=who
        )
    said = f"{piece.number} is {piece.own_number}" if piece.own_number else f"{piece.number}: none"
    _tell_piece(found, piece, as_json, printable(said))


@click.command("set")
@click.argument("name")
@click.argument("box")
@click.argument("numbers", type=int, nargs=-1, required=True, metavar="NUMBER...")
@json_option
@who_option
@catalogue_options
def set_command(
    name: str, box: str, numbers: tuple[int, ...], as_json: bool, who: str, place: Path | None
) -> None:
    """Say that pieces belong together, under a NAME.

    \b
    markrules piece set "leaf set" "attic tin" 3 4 9
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        pieces = [catalogue.pieces.numbered(found, number) for number in dict.fromkeys(numbers)]
        made = catalogue.sets.start(name, pieces, who=who)
    if as_json:
        write_json(
            {"set": made.name, "box": found.name, "numbers": [p.number for p in pieces]}, "set"
        )
    else:
        click.echo(f'{len(pieces)} pieces belong to "{shorten(made.name, 60)}"')


@click.command("gone")
@click.argument("box")
@click.argument("number", type=int)
@click.option("--why", default="", help="Sold, given away, lost …")
@click.option("--back", is_flag=True, help="It is back in the box.")
@json_option
@who_option
@catalogue_options
def gone_command(
    box: str, number: int, why: str, back: bool, as_json: bool, who: str, place: Path | None
) -> None:
    """Mark a piece as gone from its box, or back in it. Nothing of it is erased.

    \b
    markrules piece gone "attic tin" 3 --why sold
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        piece = catalogue.pieces.numbered(found, number)
        piece = (
            catalogue.pieces.put_back(piece, who)
            if back
            else catalogue.pieces.take_out(piece, why, who)
        )
    _tell_piece(found, piece, as_json, "back in the box" if back else "gone")


def _tell_piece(box: Box, piece: Piece, as_json: bool, text: str) -> None:
    if as_json:
        write_json(piece_json(box, piece), "piece")
    else:
        click.echo(f"{shorten(box.name, 60)} {piece.number}: {text}")
