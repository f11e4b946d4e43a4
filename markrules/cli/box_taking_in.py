"""`markrules box take-in`: the pieces of an export, with all that was kept of them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.bad_lines import tell_bad_lines
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.named_path import NamedPath
from markrules.telling.words import shorten

if TYPE_CHECKING:
    from markrules.catalogue.whole import TakenIn
    from markrules.tasks.taking_in import PiecesTakenIn


@click.command("take-in")
@click.argument("file", type=NamedPath(path_type=Path))
@click.option("--into", metavar="BOX", help="Into this box, not each into the box it was in.")
@click.option("--dry-run", is_flag=True, help="Tell what the file holds; enter nothing.")
@click.option("--skip-bad", is_flag=True, help="Enter the good lines though others are bad.")
@json_option
@who_option
@catalogue_options
def take_in_command(
    file: Path,
    into: str | None,
    dry_run: bool,
    skip_bad: bool,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Enter the pieces of a FILE that `markrules box export` wrote, as they were.

    \b
    markrules box take-in tin.jsonl
    markrules box take-in tin.csv --into "attic tin" --dry-run

    All that was kept of a piece comes with it: its identifier, note, marks, the log with its
    corrections, its set, purchases, sales, storage, decisions. Photos are in no CSV or JSON
    Lines: they come with an archive, by `markrules box restore`.
    A piece that is in the catalogue already stays as it is. What was changed in the columns
    title, note, told and set of a CSV file counts; the column `seen` is only shown.
    """
    take_in_file(file, into, dry_run, skip_bad, as_json, who, place)


def take_in_file(
    file: Path,
    into: str | None,
    dry_run: bool,
    skip_bad: bool,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Take in an export, and tell what became of it; exit code 1 where lines are bad."""
    from markrules.catalogue.whole import take_in
    from markrules.tasks.taking_in import kept_pieces

    kept = kept_pieces(file)
    good = bool(kept.pieces) and (skip_bad or not kept.errors)
    done: TakenIn | None = None
    if good and not dry_run:
        with opened(place, create=into is None) as catalogue:
            box = catalogue.boxes.named(into) if into is not None else None
            done = take_in(catalogue, (piece for _, piece in kept.pieces), box, who)
    if as_json:
        write_json(_data(kept, done), "box-taken-in")
    else:
        _tell(file, kept, done, dry_run)
    if kept.errors and not (skip_bad and good):
        raise SystemExit(1)


def _data(kept: PiecesTakenIn, done: TakenIn | None) -> dict[str, Any]:
    return {
        "lines_good": len(kept.pieces),
        "errors": [{"line": line, "error": error} for line, error in kept.errors],
        "entered": len(done.numbers) if done else 0,
        "here_already": len(done.here) if done else 0,
        "renumbered": len(done.renumbered) if done else 0,
        "pieces": [
            {"identifier": uid, "box": box, "number": number}
            for uid, (box, number) in (done.numbers if done else {}).items()
        ],
    }


def _tell(file: Path, kept: PiecesTakenIn, done: TakenIn | None, dry_run: bool) -> None:
    tell_bad_lines(file, kept.errors)
    if done is None:
        for line, each in kept.pieces[:5] if dry_run else ():
            named = each.piece.title or each.piece.note
            lines = len(each.log)
            click.echo(
                f"line {line}: {shorten(each.box, 24)} {each.piece.number},"
                f" {shorten(named, 40)} ({lines} line{'' if lines == 1 else 's'} seen)"
            )
        good, bad = len(kept.pieces), len(kept.errors)
        why = " (dry run)" if dry_run else "; mend the lines, or enter the rest with --skip-bad"
        click.echo(f"Nothing entered{why}: {good} good lines, {bad} bad")
        return
    one = len(done.numbers) == 1
    click.echo(f"{len(done.numbers)} piece{'' if one else 's'} entered, with all that was kept")
    for name in sorted({box for box, _ in done.numbers.values()}):
        count = sum(box == name for box, _ in done.numbers.values())
        click.echo(f"  {count:>6}  {shorten(name, 60)}")
    if done.renumbered:
        click.echo(f"{len(done.renumbered)} got another number, for theirs was taken")
    if done.here:
        click.echo(f"{len(done.here)} were here already, and stay as they are")
