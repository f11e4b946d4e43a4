"""`markrules read`: one piece from a note, or a batch of them from a file."""

from __future__ import annotations

import json
import os
import sys
from dataclasses import replace
from pathlib import Path

import click

from markrules.cli.common import (
    Finite,
    columns,
    from_option,
    json_option,
    open_reader,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.drawing import inks_for
from markrules.cli.page import page
from markrules.cli.short_page import LOOKS_SHOWN, short_page
from markrules.inference.ranges import USUAL_MASS
from markrules.inference.reading import Reading
from markrules.knowledge.observation import Accounted, Observation
from markrules.named_path import NamedPath
from markrules.reading.observing import WordProblem, observe
from markrules.reading.reader import Reader, Request
from markrules.tasks.numbered_pieces import numbered_pieces, told_of_several


@click.command()
@click.argument("note", required=False, default="")
@click.option("--see", multiple=True, metavar="FEATURE=VALUE", help="Something seen, by name.")
@click.option("--mark", "marks", multiple=True, metavar="TEXT", help="Text on the piece.")
@click.option(
    "--mass",
    type=Finite(0.01, 0.999),
    default=USUAL_MASS,
    show_default=True,
    help="Share of probability that the range holds.",
)
@click.option("--flat-prior", is_flag=True, help="Take every year as equally likely at first.")
@from_option
@click.option("--without", multiple=True, metavar="NAME", help="Leave a feature or clue out.")
@click.option(
    "--batch",
    type=NamedPath(path_type=Path),
    metavar="FILE",
    help="Read many: JSON Lines or CSV with id and note. Writes JSON Lines.",
)
@click.option(
    "--looks",
    type=click.IntRange(0, 50),
    help="Propose so many next looks; 5, and none in a batch unless asked.",
)
@click.option("--jobs", type=click.IntRange(1), default=1, help="Processes for a batch.")
@click.option(
    "--dask",
    "cluster",
    metavar="ADDRESS",
    help="Read a batch on a Dask cluster; `local` starts one here. Needs the extra `dask`.",
)
@click.option("--full", is_flag=True, help="Say everything, with sources.")
@click.option("--width", type=click.IntRange(40, 200), help="Columns; the terminal's, or 80.")
@json_option
@rules_options
@told_plainly
def command(
    note: str,
    see: tuple[str, ...],
    marks: tuple[str, ...],
    mass: float,
    flat_prior: bool,
    origin: str,
    without: tuple[str, ...],
    batch: Path | None,
    looks: int | None,
    jobs: int,
    cluster: str | None,
    width: int | None,
    full: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Read a piece from a NOTE in plain words.

    \b
    markrules read "brooch, rollover catch, prong set stones, marked AUSTRIA?"
    markrules read "brooch" --see catch=rollover --mark "?RIF..."
    markrules read --batch box.csv --jobs 2 > readings.jsonl

    A note that numbers its pieces (1. brooch ... 2. ring ...) is read piece by piece; as JSON, a
    line for each, with its number as id.

    In a mark, ... is a run unread, [C>G>O] one of these, the likeliest first, and ? a letter
    that is quite unread. Up to four letters in brackets say more than ?.
    """
    shared = Request(mass=mass, flat_prior=flat_prior, without=without)
    if batch is not None:
        origin = open_reader(rule_folders, origin).origin if origin else ""
        _read_many(
            batch,
            replace(shared, origin=origin, next_looks=looks or 0),
            rule_folders,
            cluster,
            jobs,
        )
        return
    piped = sys.stdin is not None and not sys.stdin.isatty()
    if note == "-" or (not (note or see or marks) and piped):
        note = sys.stdin.read() if sys.stdin is not None else ""
    _refuse_what_is_no_note(note)
    reader = open_reader(rule_folders, origin)
    check_without(reader, without)
    by_name = seen(reader, see)
    shown_all = full or as_json
    shared = replace(shared, next_looks=_looks(looks, shown_all=shown_all))
    if not by_name and not marks and (several := numbered_pieces(reader, note)):
        _show_several(reader, shared, several, as_json=as_json, full=full, width=width)
        return
    reading = reader.read(replace(shared, note=note, observations=by_name, marks=marks))
    if as_json:
        from markrules.reading.reading_data import reading_data

        write_json(reading_data(reading, reader.metals(reading.observations)), "reading")
        return
    told = (
        *reading.account,
        *(Accounted(each.words, "understood", (each,)) for each in by_name),
    )
    reading = replace(reading, account=told)
    show(reading_page(reader, reading, columns(width), full=full))


def _show_several(
    reader: Reader,
    shared: Request,
    notes: tuple[str, ...],
    *,
    as_json: bool,
    full: bool,
    width: int | None,
) -> None:
    """Each piece of a note that numbers several: its page, or its reading in a line of JSON."""
    click.echo(click.wrap_text(told_of_several(len(notes)), columns(width)), err=as_json)
    for number, note in enumerate(notes, 1):
        reading = reader.read(replace(shared, note=note))
        if as_json:
            from markrules import forms
            from markrules.language.escaping import escaped_json
            from markrules.reading.reading_data import reading_data

            data = reading_data(reading, reader.metals(reading.observations))
            told = forms.versioned({"id": str(number), **data}, "reading")
            click.echo(escaped_json(json.dumps(told, ensure_ascii=False)))
            continue
        click.echo("")
        lines = reading_page(reader, reading, columns(width), full=full)
        show([f"PIECE {number}", *lines])


def _read_many(
    batch: Path, request: Request, rule_folders: tuple[Path, ...], cluster: str | None, jobs: int
) -> None:
    """Read every piece of a file, in processes here or on a cluster."""
    from markrules.cli.batch import run_batch, run_on_cluster

    if cluster is not None:
        run_on_cluster(batch, request, rule_folders, cluster, jobs)
    else:
        run_batch(batch, request, rule_folders, jobs)


def _refuse_what_is_no_note(note: str) -> None:
    """End the command where a note is longer than anybody writes of one piece."""
    from markrules.notes.understanding import LONGEST_NOTE

    if len(note) > LONGEST_NOTE:
        raise click.UsageError(
            f"the note is {len(note):,} characters long; {LONGEST_NOTE:,} at most are read as one"
            " piece's. Many pieces go into a file for --batch, a listing to `sheet check`."
        )


LOOKS = 5
"""Next looks that are told where nothing else is asked for."""


def _looks(asked: int | None, *, shown_all: bool) -> int:
    """How many next looks are worked out: as asked, and of those none that a short page leaves."""
    looks = LOOKS if asked is None else asked
    return looks if shown_all else min(looks, LOOKS_SHOWN)


def reading_page(reader: Reader, reading: Reading, width: int, *, full: bool = False) -> list[str]:
    """The page of a reading, with what its metal marks and findings say; in one screen, or full."""
    made = page if full else short_page
    return made(
        reading,
        width,
        inks_for(sys.stdout.encoding),
        reader.metals(reading.observations),
        reader.findings_said(reading),
    )


def seen(reader: Reader, see: tuple[str, ...]) -> tuple[Observation, ...]:
    """The observations of `--see` options; a feature or value not known ends the command."""
    try:
        return tuple(observe(reader.base, text) for text in see)
    except WordProblem as problem:
        raise click.UsageError(str(problem)) from None


def check_without(reader: Reader, names: tuple[str, ...]) -> None:
    """End the command where a name is neither a feature nor a clue."""
    from markrules.reading.observing import nearest

    for name in names:
        if name not in reader.base.features and name not in reader.base.clues:
            near = nearest(name, [*reader.base.features, *reader.base.clues])
            hint = f'; nearest: "{near}"' if near else ""
            raise click.UsageError(f'--without: no feature or clue is called "{name}"{hint}')


def show(lines: list[str]) -> None:
    """Write the lines; on a terminal, headings stand out in bold."""
    styled = sys.stdout.isatty() and os.environ.get("TERM") != "dumb"  # which has no bold
    for number, line in enumerate(lines):
        heading = number == 0 or (line.isupper() and not line.startswith(" "))
        click.echo(click.style(line, bold=True) if styled and heading else line)
