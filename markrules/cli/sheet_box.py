"""`markrules sheet box` and `labels`: sheets and tags for a whole box."""

from __future__ import annotations

import datetime
import functools
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.catalogue import (
    AskedProblem,
    all_cores,
    catalogue_options,
    is_empty,
    opened,
    what,
)
from markrules.cli.common import json_option, open_knowledge, open_reader, rules_options, write_json
from markrules.cli.sheet_piece import plainly, warn_of_letters, write_out
from markrules.named_path import NamedPath
from markrules.telling.words import count_of, printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.records import Piece


@click.command("box")
@click.argument("box")
@click.option(
    "--to",
    "folder",
    required=True,
    type=NamedPath(path_type=Path, file_okay=False),
    metavar="DIR",
    help="The folder to write to.",
)
@click.option("--pieces", default="", metavar="1,3-7", help="Only these pieces.")
@click.option("--no-pdf", is_flag=True, help="HTML alone.")
@click.option("--data", is_flag=True, help="Linked Art and schema.org data for each piece, too.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--people", is_flag=True, help="Show names of people and streets, too.")
@click.option("--jobs", type=click.IntRange(1, 64), help="Processes; all cores unless said.")
@json_option
@rules_options
@catalogue_options
def box_command(
    box: str,
    folder: Path,
    pieces: str,
    no_pdf: bool,
    data: bool,
    paper: str,
    people: bool,
    jobs: int | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Make the sheets of all pieces of BOX, an index page, a contact sheet and a table.

    \b
    markrules sheet box "attic tin" --to sheets
    """
    from markrules.tasks.sheets_of_box import BoxJob, make_box

    numbers, file = _numbers(box, pieces, place)
    if not numbers:
        raise AskedProblem(f'box "{shorten(box, 80)}" holds no such piece to document')
    job = BoxJob(
        catalogue=file,
        box=box,
        folder=folder,
        open_reader=functools.partial(open_reader, rule_folders),
        made_on=datetime.date.today().isoformat(),
        pdf=not no_pdf,
        data=data,
        paper=paper,
        people=people,
    )
    with _progress(len(numbers)) as done:
        made = make_box(job, numbers, jobs or all_cores(), done)
    failed = [(each.number, each.problem) for each in made if each.problem]
    if as_json:
        write_json(_data(folder, len(made), failed), "sheets")
    else:
        click.echo(
            f"{count_of(len(made) - len(failed), 'sheet')} in {printable(str(folder))};"
            " begin with index.html"
        )
    warn_of_letters("".join(dict.fromkeys("".join(each.lacking for each in made))))
    for number, problem in failed:
        click.echo(f"piece {number}: {shorten(problem, 300)}", err=True)
    if failed:
        raise SystemExit(1)


def _data(folder: Path, count: int, failed: list[tuple[int, str]]) -> dict[str, Any]:
    return {
        "folder": str(folder),
        "sheets": count - len(failed),
        "failed": [{"number": number, "problem": problem} for number, problem in failed],
    }


def _numbers(box: str, pieces: str, place: Path | None) -> tuple[list[int], Path]:
    with opened(place) as catalogue:
        found = catalogue.pieces.all(catalogue.boxes.named(box))
        if not found:
            raise AskedProblem(is_empty(box))
        wanted = wanted_numbers(pieces)
        return [each.number for each in found if _is_wanted(each, wanted)], catalogue.path


def _is_wanted(piece: Piece, wanted: list[range]) -> bool:
    return not wanted or any(piece.number in each for each in wanted)


def wanted_numbers(text: str) -> list[range]:
    """`1,3-7` as ranges; an empty list for an empty text. Raises click.UsageError."""
    ranges = []
    for part in filter(None, (each.strip() for each in text.split(","))):
        first, _, last = part.partition("-")
        if not (first.isdecimal() and (last or first).isdecimal()):
            raise click.UsageError(f'--pieces: "{part[:40]}" is no number; write 1,3-7')
        ranges.append(range(int(first), int(last or first) + 1))
    return ranges


@contextmanager
def _progress(total: int) -> Iterator[Callable[[int], None]]:
    """A bar on standard error when that is a terminal; else nothing."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("making sheets", total=total)
        yield lambda count: bar.advance(task, count)


@click.command("labels")
@click.argument("box")
@click.option("--pieces", default="", metavar="1,3-7", help="Only these pieces.")
@click.option(
    "--to",
    "place_to",
    type=NamedPath(path_type=Path, dir_okay=False),
    metavar="FILE",
    help="Ends in .html or .pdf; HTML on standard output unless said.",
)
@click.option(
    "--stock", metavar="NAME", help="A sheet of labels, or the size of one on a roll: 50x25 (mm)."
)
@click.option("--skip", type=click.IntRange(0, 500), default=0, help="Labels already used up.")
@click.option(
    "--address",
    default="",
    metavar="URL",
    help="Of a bench page: the code opens the piece.",
)
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True)
@click.option("--stocks", "show", is_flag=True, is_eager=True, help="List the sheets of labels.")
@rules_options
@catalogue_options
@plainly
def labels_command(
    box: str,
    pieces: str,
    place_to: Path | None,
    stock: str | None,
    skip: int,
    address: str,
    paper: str,
    show: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Make small tags for BOX: its name, the piece's number, and a code with its identifier.

    \b
    markrules sheet labels "attic tin" --to labels.pdf
    markrules sheet labels "attic tin" --to labels.pdf --stock a4-65 --skip 12
    markrules sheet labels "attic tin" --to tags.pdf --stock string
    markrules sheet labels "attic tin" --stocks

    What the code holds is found by `markrules box search` and by the search on the bench page.
    Print at full size (100%), not fitted to the page.
    """
    from markrules.sheets.labels import STOCKS, Label, labels_page, labels_pdf, stock_named
    from markrules.sheets.printing import missing_letters

    if show:
        for name, each in STOCKS.items():
            click.echo(f"{name:<15}{each.words}")
        return
    if address and not address.startswith(("http://", "https://")):
        raise click.UsageError("--address: begins with http:// or https://")
    chosen = stock or ("plain" if paper == "a4" else "plain-letter")
    stock_named(chosen)
    wanted = wanted_numbers(pieces)
    with opened(place) as catalogue:
        found = catalogue.pieces.all(catalogue.boxes.named(box))
    if not found:
        raise AskedProblem(is_empty(box))
    labels = [
        Label(each.uid, box, each.number, what(each), each.own_number)
        for each in found
        if _is_wanted(each, wanted)
    ]
    if not labels:
        raise AskedProblem(f'box "{shorten(box, 80)}" holds no such piece')
    ending = place_to.suffix.casefold() if place_to else ".html"
    if ending not in (".html", ".htm", ".pdf"):
        raise click.UsageError(f'--to: "{ending}" is no form of labels; end in .html or .pdf')
    base = open_knowledge(rule_folders)
    if ending == ".pdf":
        write_out(labels_pdf(base, labels, chosen, address=address, skip=skip), place_to)
        warn_of_letters(missing_letters("".join(f"{each.box}{each.words}" for each in labels)))
    else:
        page = labels_page(base, labels, chosen, address=address, skip=skip)
        write_out(page.encode("utf-8", "replace"), place_to)
