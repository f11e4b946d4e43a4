"""`markrules box import`: pieces entered from a table."""

from __future__ import annotations

from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.box_adding import SHOWN, new_piece_json, show_understood
from markrules.cli.box_taking_in import take_in_file
from markrules.cli.catalogue import AskedProblem, catalogue_options, lines, opened, who_option
from markrules.cli.common import json_option, open_reader, rules_options, write_json
from markrules.telling.words import printable, shorten

if TYPE_CHECKING:
    from markrules.tasks.importing import Columns, Imported

TOLD_ERRORS = 20


@click.command("import")
@click.argument("box")
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--column",
    "given",
    multiple=True,
    metavar="FIELD=HEADING",
    help="Which column is what: note, title, told, mark, or a feature. Empty: not taken.",
)
@click.option("--dry-run", is_flag=True, help="Show what would be entered; enter nothing.")
@click.option("--skip-bad", is_flag=True, help="Enter the good lines though others are bad.")
@json_option
@rules_options
@who_option
@catalogue_options
def import_command(
    box: str,
    file: Path,
    given: tuple[str, ...],
    dry_run: bool,
    skip_bad: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Add pieces to BOX from FILE: CSV, XLSX (its first sheet) or JSON Lines.

    \b
    markrules box import "attic tin" list.xlsx --dry-run
    markrules box import "attic tin" list.csv --column note=Beschreibung

    Columns are matched by their headings, to the features of the rules too. All lines are
    entered or none; each bad line is told.
    """
    from markrules.tasks.taking_in import is_export

    if not given and is_export(file):
        take_in_file(file, box, dry_run, skip_bad, as_json, who, place)
        return
    with opened(place) as catalogue:
        found = catalogue.box(box)
        columns, imported = _read_table(file, _given(given), rule_folders)
        entered = range(0)
        good = bool(imported.pieces) and (skip_bad or not imported.errors)
        if good and not dry_run:
            entered = catalogue.add_pieces(found, (piece for _, piece in imported.pieces), who)
    if as_json:
        write_json(_import_json(columns, imported, entered, dry_run), "box-import")
    else:
        _tell_import(file, columns, imported, entered, dry_run)
    if imported.errors and not (skip_bad and good):
        raise SystemExit(1)


def _read_table(
    file: Path, given: dict[str, str], rule_folders: tuple[Path, ...]
) -> tuple[Columns, Imported]:
    from markrules.catalogue.tables import rows_of
    from markrules.tasks.importing import match_columns, pieces_of

    rows = rows_of(file)
    bad, first = [], None
    for row in rows:
        if row.cells:
            first = row
            break
        bad.append(row)
    if first is None:
        why = f": line {bad[0].line}: {bad[0].error}" if bad else ""
        raise AskedProblem(lines(f"{file}: no rows to enter{why}"))
    reader = open_reader(rule_folders)
    columns = match_columns(reader, list(first.cells), given)
    return columns, pieces_of(reader, chain(bad, [first], rows), columns)


def _given(options: tuple[str, ...]) -> dict[str, str]:
    given = {}
    for option in options:
        field, equals, heading = option.partition("=")
        if not equals:
            raise click.UsageError(f'--column "{option}": write FIELD=HEADING, as note=Text')
        given[field.strip()] = heading.strip()
    return given


def _import_json(
    columns: Columns, imported: Imported, entered: range, dry_run: bool
) -> dict[str, Any]:
    shown = imported.pieces[:SHOWN] if dry_run else ()
    return {
        "columns": dict(columns.taken),
        "columns_left": list(columns.left),
        "lines_good": len(imported.pieces),
        "errors": [{"line": line, "error": error} for line, error in imported.errors],
        "entered": len(entered),
        "first": entered.start if entered else None,
        "sample": [{"line": line, **new_piece_json(0, piece)} for line, piece in shown],
    }


def _tell_import(
    file: Path, columns: Columns, imported: Imported, entered: range, dry_run: bool
) -> None:
    for field, heading in columns.taken.items():
        click.echo(f"{field:<16} from column {printable(heading)}")
    if columns.left:
        click.echo(f"{'not taken':<16} {shorten(', '.join(columns.left), 300)}")
    if dry_run:
        for line, piece in imported.pieces[:SHOWN]:
            click.echo(f"line {line}: {shorten(piece.title or piece.note, 70)}")
            show_understood(piece)
    for line, error in imported.errors[:TOLD_ERRORS]:
        click.echo(printable(f"{file}:{line}: {error}"), err=True)
    if len(imported.errors) > TOLD_ERRORS:
        click.echo(f"… and {len(imported.errors) - TOLD_ERRORS} more bad lines", err=True)
    if entered:
        one = len(entered) == 1
        numbers = str(entered.start) if one else f"{entered.start} to {entered.stop - 1}"
        click.echo(f"{len(entered)} piece{'' if one else 's'} entered: {numbers}")
    elif dry_run:
        good, bad = len(imported.pieces), len(imported.errors)
        click.echo(f"Nothing entered (dry run): {good} good lines, {bad} bad")
    else:
        click.echo(
            "Nothing was entered; mend the lines, or enter the rest with --skip-bad", err=True
        )
