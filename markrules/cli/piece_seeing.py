"""`markrules piece see` and `correct`: what is seen on a piece, added to and corrected."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

import click

from markrules.catalogue.records import Piece
from markrules.cli.catalogue import (
    AskedProblem,
    catalogue_options,
    lines,
    log_line,
    opened,
    seen_json,
    who_option,
)
from markrules.cli.common import json_option, open_reader, rules_options, write_json
from markrules.knowledge.observation import Observation

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue
    from markrules.reading.reader import Reader


def observations_in(
    reader: Reader, texts: tuple[str, ...], certainty: str
) -> tuple[Observation, ...]:
    """What `FEATURE=VALUE`, or words as in a note, say.

    Raises click.UsageError where they say nothing.
    """
    from markrules.reading.observing import WordProblem, nearest, observe

    if certainty not in reader.base.certainties:
        near = nearest(certainty, reader.base.certainties)
        hint = f'; nearest: "{near}"' if near else ""
        raise click.UsageError(f'--sure: no certainty is called "{certainty}"{hint}')
    found: list[Observation] = []
    for text in texts:
        if "=" in text:
            try:
                found.append(observe(reader.base, text, certainty))
            except WordProblem as problem:
                raise click.UsageError(lines(str(problem))) from None
            continue
        understood = reader.understand(text)
        if not understood.observations:
            raise click.UsageError(
                lines(f'"{text}" says nothing that the rules know; write FEATURE=VALUE')
            )
        found += [
            replace(each, certainty=certainty) if certainty != "sure" else each
            for each in understood.observations
        ]
    return tuple(found)


@click.command("see")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("seen", nargs=-1, required=True, metavar="SEEN...")
@click.option("--sure", default="sure", metavar="WORD", help="How sure: sure, fair, guess.")
@click.option("--photo", type=int, metavar="PHOTO", help="The number of the photo that shows it.")
@json_option
@rules_options
@who_option
@catalogue_options
def see_command(
    box: str,
    number: int,
    seen: tuple[str, ...],
    sure: str,
    photo: int | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Add to what is seen on a piece: FEATURE=VALUE, or words as in a note.

    \b
    markrules piece see "attic tin" 3 catch=rollover
    markrules piece see "attic tin" 3 "marked AUSTRIA, one stone missing" --sure fair
    """
    with opened(place) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(box), number)
        if photo is not None and catalogue.photos.by_id(photo).piece != piece.id:
            raise AskedProblem(f"photo {photo} is of another piece")
        observations = observations_in(open_reader(rule_folders), seen, sure)
        logged = catalogue.log.add(piece, observations, who, photo=photo)
        _tell_lines(catalogue, piece, logged, as_json)


@click.command("correct")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("line", type=int)
@click.argument("seen", required=False, metavar="SEEN")
@click.option("--sure", default="sure", metavar="WORD", help="How sure: sure, fair, guess.")
@click.option("--nothing", is_flag=True, help="Take the line back; put nothing in its place.")
@json_option
@rules_options
@who_option
@catalogue_options
def correct_command(
    box: str,
    number: int,
    line: int,
    seen: str | None,
    sure: str,
    nothing: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Correct a LINE of what is seen on a piece. The old line is kept, and stands no longer.

    \b
    markrules piece correct "attic tin" 3 17 catch=rollover
    markrules piece correct "attic tin" 3 17 --nothing
    """
    if nothing == (seen is not None):
        raise click.UsageError("say what is seen instead, or --nothing")
    with opened(place) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(box), number)
        if seen is None:
            logged = [catalogue.log.withdraw(piece, line, who)]
        else:
            observations = observations_in(open_reader(rule_folders), (seen,), sure)
            logged = catalogue.log.add(piece, observations, who, corrects=line)
        _tell_lines(catalogue, piece, logged, as_json)


def _tell_lines(catalogue: Catalogue, piece: Piece, logged: list[int], as_json: bool) -> None:
    stand = {each.id for each in catalogue.log.seen_on(piece)}
    new = [line for line in catalogue.log.of(piece) if line.id in logged]
    if as_json:
        write_json([seen_json(line, line.id in stand) for line in new], "seen")
        return
    for line in new:
        click.echo(log_line(line, line.id in stand, line.withdrawn))
