"""`markrules box import`: pieces entered from a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.bad_lines import tell_bad_lines
from markrules.cli.box_adding import SHOWN, new_piece_json, show_understood
from markrules.cli.box_taking_in import take_in_file
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, open_reader, rules_options, write_json
from markrules.named_path import NamedPath
from markrules.telling.words import printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.days import Order
    from markrules.tasks.importing import Imported
    from markrules.tasks.own_columns import Columns


days_option = click.option(
    "--days", type=click.Choice(["day-first", "month-first"]), help="How 3/4/2024 is meant."
)


@click.command("import")
@click.argument("box")
@click.argument("file", type=NamedPath(path_type=Path))
@click.option(
    "--column",
    "given",
    multiple=True,
    metavar="FIELD=HEADING",
    help="Which column is what, once for each; several of note are joined. Empty: not taken.",
)
@click.option(
    "--days", type=click.Choice(["day-first", "month-first"]), help="How 3/4/2024 is meant."
)
@click.option("--currency", default="", metavar="EUR", help="Of amounts that name none.")
@click.option("--columns", "name", metavar="NAME", help="Take the columns as remembered by NAME.")
@click.option("--remember", metavar="NAME", help="Remember by NAME how the columns are taken.")
@click.option("--dry-run", is_flag=True, help="Show what would be entered; enter nothing.")
@click.option("--skip-bad", is_flag=True, help="Enter the good lines though others are bad.")
@click.option("--again", is_flag=True, help="Enter lines that the box has already, too.")
@json_option
@rules_options
@who_option
@catalogue_options
def import_command(
    box: str,
    file: Path,
    given: tuple[str, ...],
    days: Order | None,
    currency: str,
    name: str | None,
    remember: str | None,
    dry_run: bool,
    skip_bad: bool,
    again: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Add pieces to BOX from FILE: CSV, XLSX (its first sheet with headings) or JSON Lines.

    \b
    markrules box import "attic tin" list.xlsx --dry-run
    markrules box import "attic tin" list.csv --column note=Text --remember mine
    markrules box import "attic tin" more.csv --columns mine --currency EUR

    Columns are matched by their headings: note, title, told, mark, condition, cost, currency,
    bought on, bought where, bought from, storage, asking price, listed where, listed day, sold
    price, sold on, sold where, fees, postage, paid postage, own number (a SKU), set (lines that
    name one alike), and the features of the rules. A line with a sold price is a piece that left,
    and its sale. Words that are no value of a feature join the note. All lines are entered or
    none; each bad line is told.
    """
    from markrules.tasks.entered_before import new_to_the_box
    from markrules.tasks.importing import enter, read_table
    from markrules.tasks.own_columns import remember_columns, remembered_columns
    from markrules.tasks.taking_in import is_export

    if not given and not name and is_export(file):
        take_in_file(file, box, dry_run, skip_bad, as_json, who, place)
        return
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        said = {**(remembered_columns(catalogue, name) if name else {}), **_given(given)}
        money = currency or catalogue.figures.all().get("currency", "")
        reader = open_reader(rule_folders)
        columns, imported = read_table(reader, file, said, currency=money, days=days)
        if not again:
            imported = new_to_the_box(catalogue.pieces.all(found, gone=True), imported)
        entered = range(0)
        good = bool(imported.entries) and (skip_bad or not imported.errors)
        if good and not dry_run:
            entered = enter(catalogue, found, imported, who)
        if remember:
            remember_columns(catalogue, remember, columns.taken, who)
    if as_json:
        write_json(_import_json(columns, imported, entered, dry_run), "box-import")
    else:
        _tell_import(file, columns, imported, entered, dry_run)
    if imported.errors and not (skip_bad and good):
        raise SystemExit(1)


def _given(options: tuple[str, ...]) -> dict[str, tuple[str, ...]]:
    given: dict[str, tuple[str, ...]] = {}
    for option in options:
        field, equals, heading = option.partition("=")
        if not equals:
            raise click.UsageError(f'--column "{option}": write FIELD=HEADING, as note=Text')
        given[field.strip()] = (*given.get(field.strip(), ()), heading.strip())
    return given


def _import_json(
    columns: Columns, imported: Imported, entered: range, dry_run: bool
) -> dict[str, Any]:
    from markrules.tasks.importing import entry_words

    shown = imported.entries[:SHOWN] if dry_run else ()
    return {
        "columns": {field: " + ".join(found) for field, found in columns.taken.items()},
        "columns_left": list(columns.left),
        "filled": dict(imported.filled),
        "read_as_words": dict(imported.as_words),
        "days": imported.days.words,
        "lines_good": len(imported.entries),
        "told": [{"line": line, "words": words} for line, words in imported.told],
        "errors": [{"line": line, "error": error} for line, error in imported.errors],
        "entered": len(entered),
        "first": entered.start if entered else None,
        "sample": [
            {"line": line, **new_piece_json(0, entry.piece), "beside": list(entry_words(entry))}
            for line, entry in shown
        ],
    }


def _tell_import(
    file: Path, columns: Columns, imported: Imported, entered: range, dry_run: bool
) -> None:
    _tell_columns(columns, imported)
    if dry_run:
        _tell_sample(imported)
    tell_bad_lines(file, imported.errors)
    if entered:
        one = len(entered) == 1
        numbers = str(entered.start) if one else f"{entered.start} to {entered.stop - 1}"
        click.echo(f"{len(entered)} piece{'' if one else 's'} entered: {numbers}")
    elif dry_run:
        good, bad = len(imported.entries), len(imported.errors)
        click.echo(f"Nothing entered (dry run): {good} good lines, {bad} bad")
    else:
        click.echo(
            "Nothing was entered; mend the lines, or enter the rest with --skip-bad", err=True
        )


def _tell_columns(columns: Columns, imported: Imported) -> None:
    """What each column became, and what is dropped."""
    for field, headings in columns.taken.items():
        count = sum(imported.filled.get(each, 0) for each in headings)
        words = sum(imported.as_words.get(each, 0) for each in headings)
        beside = f", {words} read as words of the note" if words else ""
        named = " + ".join(map(printable, headings))
        click.echo(f"{field:<16} from column {named} ({_cells(count)}{beside})")
    if imported.days.words:
        click.echo(f"{'':<16} {printable(imported.days.words)}")
    for line, told in imported.told:
        click.echo(f"{f'line {line}' if line else 'beside it':<16} {printable(told)}")
    for heading in columns.left:
        count = imported.filled.get(heading, 0)
        such = f', such as "{shorten(imported.samples[heading], 40)}"' if count else ""
        click.echo(f"{'not taken':<16} {shorten(heading, 60)} ({_cells(count)} dropped{such})")


def _cells(count: int) -> str:
    return f"{count} cell" if count == 1 else f"{count} cells"


def _tell_sample(imported: Imported) -> None:
    from markrules.tasks.importing import entry_words

    for line, entry in imported.entries[:SHOWN]:
        click.echo(f"line {line}: {shorten(entry.piece.title or entry.piece.note, 70)}")
        show_understood(entry.piece)
        for words in entry_words(entry):
            click.echo(f"     {printable(words)}")
