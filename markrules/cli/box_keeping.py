"""`markrules box export`, `archive`, `restore`, `undo`, `redo` and `steps`."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import IO, cast

import click

from markrules.catalogue.records import LogStep
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.named_path import NamedPath
from markrules.telling.words import count_of, printable, shorten


@click.command("export")
@click.argument("box", required=False)
@click.option("--to", "file", type=NamedPath(path_type=Path), metavar="FILE", help="A new file.")
@click.option("--form", type=click.Choice(["csv", "jsonl"]), help="CSV, or JSON Lines.")
@click.option("--json", "as_json", is_flag=True, help="JSON Lines, like --form jsonl.")
@catalogue_options
def export_command(
    box: str | None, file: Path | None, form: str | None, as_json: bool, place: Path | None
) -> None:
    """Write the pieces of BOX, or of every box, as CSV or JSON Lines.

    \b
    markrules box export "attic tin" --to tin.csv
    markrules box export --form jsonl > all.jsonl

    `markrules box take-in` makes the same pieces of either again. Not in it: photos, readings,
    sold prices that belong to no piece, spare stones, figures, and the steps that undo takes
    back; `markrules box archive` packs all of these, and `markrules box restore` brings them
    back. In CSV, text that a spreadsheet would take for a formula gets an apostrophe before it.
    """
    from markrules.catalogue.private import open_whole
    from markrules.tasks.exporting import export_csv, export_lines, photos_left_out

    lines = as_json or form == "jsonl" or (form is None and file is not None and _is_lines(file))
    write = export_lines if lines else export_csv
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box) if box is not None else None
        if file is None:
            shown = sys.stdout.isatty() and not lines
            write(catalogue, cast("IO[str]", _OnTerminal()) if shown else sys.stdout, found)
            return
        with open_whole(file, encoding="utf-8", newline="") as out:
            count = write(catalogue, out, found)
        photos = photos_left_out(catalogue, found)
    click.echo(f"{count_of(count, 'piece')} written to {printable(str(file))}")
    if photos:
        left = "1 photo is" if photos == 1 else f"{photos} photos are"
        click.echo(f"{left} not in it: `markrules box archive` packs photos too")


class _OnTerminal:
    """Standard output as a person looks at it: a file is written as it is, a terminal obeys."""

    def write(self, text: str) -> int:
        """Write it without control characters, its line breaks left."""
        return sys.stdout.write("\n".join(map(printable, text.replace("\r\n", "\n").split("\n"))))


def _is_lines(file: Path) -> bool:
    return file.suffix.casefold() in (".jsonl", ".ndjson", ".json")


@click.command("archive")
@click.argument("file", type=NamedPath(path_type=Path))
@click.option(
    "--no-originals", is_flag=True, help="Leave out photos as given: for an archive that you share."
)
@json_option
@catalogue_options
def archive_command(file: Path, no_originals: bool, as_json: bool, place: Path | None) -> None:
    """Write the whole catalogue, photos too, to one portable FILE.

    Photos are in it as they were given, with where and when they were taken, and as the copies
    without that which all papers show; --no-originals leaves the first out.

    \b
    markrules box archive tin-2024-06.zip
    markrules box archive to-share.zip --no-originals
    """
    from markrules.catalogue.archive import archive

    with opened(place) as catalogue:
        counts = archive(catalogue, file, originals=not no_originals)
    if as_json:
        write_json({"file": str(file), "rows": counts}, "archive")
    else:
        where = printable(str(file))
        click.echo(f"{counts['piece']} pieces and {counts['picture']} photos archived in {where}")
        if counts.get("original"):
            click.echo(
                "Photos are in it as given, with where and when they were taken; to share one, make"
                " it with --no-originals"
            )


@click.command("copy")
@click.argument("file", type=NamedPath(path_type=Path))
@json_option
@catalogue_options
def copy_command(file: Path, as_json: bool, place: Path | None) -> None:
    """Copy the catalogue to a new FILE, whole, even while others write to it.

    \b
    markrules box copy /media/stick/catalogue.db

    A file manager may copy the file too, once the bench page is ended: all of it is in the one
    file, except while files called -wal or -shm stand beside it.
    """
    from markrules.catalogue.copying import copy

    with opened(place) as catalogue:
        size = copy(catalogue, file)
    if as_json:
        write_json({"file": str(file), "bytes": size}, "copy")
    else:
        click.echo(f"Copied to {printable(str(file))} ({size:,} bytes)")


@click.command("restore")
@click.argument("file", type=NamedPath(path_type=Path))
@json_option
@catalogue_options
def restore_command(file: Path, as_json: bool, place: Path | None) -> None:
    """Make a new catalogue of an archive FILE, exactly as it was.

    \b
    markrules box restore tin-2024-06.zip --catalogue restored.db
    """
    from markrules.catalogue.file import catalogue_place
    from markrules.catalogue.restoring import restore

    path = place or catalogue_place()
    counts = restore(file, path)
    if as_json:
        write_json({"catalogue": str(path), "rows": counts}, "restored")
    else:
        where = printable(str(path))
        click.echo(f"{counts['piece']} pieces and {counts['picture']} photos restored to {where}")


@click.command("check")
@click.argument("archives", nargs=-1, type=NamedPath(path_type=Path))
@json_option
@catalogue_options
def check_command(archives: tuple[Path, ...], as_json: bool, place: Path | None) -> None:
    """Check that the catalogue is whole: file, log, pictures, rows, and its newest daily archive.

    \b
    markrules box check
    markrules box check tin-2024-06.zip

    What a crash has left beside the file is taken into it first. An archive of each day of use
    lies in the folder `catalogue.db.archives` beside the catalogue, the last seven, then one for
    each week and month; MARKRULES_ARCHIVES names another folder, in which each
    catalogue has its own, or is `none`.
    """
    from markrules.catalogue.daily import daily_archives
    from markrules.catalogue.wholeness import check

    with opened(place) as catalogue:
        newest = list(daily_archives(catalogue.path).values())[-1:]
        checks = check(catalogue, [*newest, *archives])
    if as_json:
        write_json(
            [{"what": c.what, "looked_at": c.looked_at, "faults": list(c.faults)} for c in checks],
            "box-check",
        )
    else:
        for each in checks:
            word = "FAULT" if each.faults else "whole"
            click.echo(f"{word}  {printable(each.what)}: {printable(each.looked_at)}")
            for fault in each.faults:
                click.echo(f"       {printable(fault)}")
        if not newest:
            click.echo("There is no daily archive yet: the next change makes one.")
    if any(each.faults for each in checks):
        raise SystemExit(1)


@click.command("undo")
@click.option("--own", is_flag=True, help="The last step of --who, not of anybody.")
@click.option("--step", "number", type=int, metavar="NUMBER", help="This step of `box steps`.")
@json_option
@who_option
@catalogue_options
def undo_command(
    own: bool, number: int | None, as_json: bool, who: str, place: Path | None
) -> None:
    """Take back the last step. Nothing is erased: pieces are marked gone, lines withdrawn.

    What others did since stays; what stands in the way is told, and exit code 1 given.

    \b
    markrules box undo
    markrules box undo --step 12
    """
    with opened(place) as catalogue:
        step = catalogue.steps.undo(who, only_own=own, number=number)
    if as_json:
        write_json({"undone": step.what, **_step_data(step)}, "undone")
    else:
        click.echo(printable(f"Taken back: {step.what} of {step.when}"))
    _tell_kept(step)


@click.command("redo")
@json_option
@who_option
@catalogue_options
def redo_command(as_json: bool, who: str, place: Path | None) -> None:
    """Do again what was last taken back, if nothing else was done since.

    \b
    markrules box redo
    """
    with opened(place) as catalogue:
        step = catalogue.steps.redo(who)
    if as_json:
        write_json({"redone": step.what, **_step_data(step)}, "redone")
    else:
        click.echo(printable(f"Done again: {step.what} of {step.when}"))
    _tell_kept(step)


def _step_data(step: LogStep) -> dict[str, object]:
    return {"step": step.id, "when": step.when, "who": step.who, "kept": list(step.kept)}


def _tell_kept(step: LogStep) -> None:
    """Tell what stays as later steps left it; exit code 1 where anything does."""
    for each in step.kept:
        click.echo(f"But {printable(each)}: that stays", err=True)
    if step.kept:
        raise SystemExit(1)


@click.command("steps")
@click.option("--limit", default=20, show_default=True, type=click.IntRange(1, 10_000))
@json_option
@catalogue_options
def steps_command(limit: int, as_json: bool, place: Path | None) -> None:
    """List the last steps, newest first.

    \b
    markrules box steps
    """
    with opened(place) as catalogue:
        steps = catalogue.steps.last(limit)
    if as_json:
        write_json(
            [
                {
                    "step": step.id,
                    "when": step.when,
                    "who": step.who,
                    "what": step.what,
                    "undone": step.undone,
                }
                for step in steps
            ],
            "steps",
        )
        return
    for step in steps:
        who = f" by {shorten(step.who, 30)}" if step.who else ""
        undone = " (taken back)" if step.undone else ""
        click.echo(printable(f"{step.id:>6}  {step.when}  {step.what}{who}{undone}"))
