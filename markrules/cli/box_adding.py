"""`markrules box add` and `paste`: pieces entered from notes."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece
from markrules.cli.catalogue import (
    AskedProblem,
    catalogue_options,
    observation_text,
    opened,
    who_option,
)
from markrules.cli.common import json_option, open_reader, rules_options, write_json
from markrules.telling.words import printable, shorten

MOST_PASTED = 50_000
"""Lines taken from standard input at once."""
SHOWN = 5


@click.command("add")
@click.argument("box")
@click.argument("notes", nargs=-1, required=True, metavar="NOTE...")
@click.option("--told", default="", help="What the owner or seller said of it.")
@json_option
@rules_options
@who_option
@catalogue_options
def add_command(
    box: str,
    notes: tuple[str, ...],
    told: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Add a piece to BOX for each NOTE in plain words.

    \b
    markrules box add "attic tin" "brooch, rollover catch, marked AUSTRIA"
    markrules box add "attic tin" "ring, 14k" "hatpin, jet head, 18 cm"
    """
    _enter(box, notes, told, as_json, rule_folders, who, place)


@click.command("paste")
@click.argument("box")
@json_option
@rules_options
@who_option
@catalogue_options
def paste_command(
    box: str, as_json: bool, rule_folders: tuple[Path, ...], who: str, place: Path | None
) -> None:
    """Add many pieces to BOX: one a line, from standard input.

    \b
    markrules box paste "attic tin" < notes.txt
    """
    if sys.stdin.isatty():
        click.echo("One piece a line; end with Ctrl-D (Ctrl-Z on Windows).", err=True)
    text = io.TextIOWrapper(sys.stdin.buffer, "utf-8", "replace")
    notes = [line.strip() for line in text if line.strip()]
    if len(notes) > MOST_PASTED:
        raise AskedProblem(f"{len(notes)} lines; {MOST_PASTED} at most are taken at once")
    if not notes:
        raise AskedProblem("nothing was pasted")
    _enter(box, notes, "", as_json, rule_folders, who, place)


def _enter(
    box: str,
    notes: Sequence[str],
    told: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    from markrules.tasks.entering import new_piece

    blank = next((number for number, note in enumerate(notes, 1) if not note.strip()), None)
    if blank is not None:
        raise AskedProblem(f"note {blank} is empty: write what is seen; nothing was entered")
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        reader = open_reader(rule_folders)
        pieces = []
        for number, note in enumerate(notes, 1):
            try:
                pieces.append(new_piece(reader, note, told=told))
            except CatalogueProblem as problem:
                raise AskedProblem(f"note {number}: {problem}; nothing was entered") from None
        numbers = catalogue.pieces.add(found, pieces, who)
    entered = list(zip(numbers, pieces, strict=True))
    if as_json:
        write_json([new_piece_json(number, piece) for number, piece in entered], "entered")
        return
    for number, piece in entered[:200]:
        click.echo(f"{number}: {shorten(piece.note, 70)}")
        if len(entered) <= SHOWN:
            show_understood(piece)
    if len(entered) > 1:
        click.echo(f'{len(entered)} pieces entered in "{shorten(found.name, 200)}"')


def show_understood(piece: NewPiece) -> None:
    """What was understood of a note, a line each, and what was not."""
    for each in piece.observations:
        click.echo(f"     {observation_text(each)}")
    if piece.not_understood:
        click.echo(f"     not understood: {printable('; '.join(piece.not_understood))}")


def new_piece_json(number: int, piece: NewPiece) -> dict[str, Any]:
    """A piece to be entered, as plain data."""
    from markrules.reading.reading_data import observation_data

    return {
        "number": number,
        "own_number": piece.own_number,
        "title": piece.title,
        "note": piece.note,
        "told": piece.told,
        "observations": [observation_data(each) for each in piece.observations],
        "not_understood": list(piece.not_understood),
    }
