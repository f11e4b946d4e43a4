"""The command that adds a user's own marks from a CSV file, to be mounted by the command line."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from markrules.knowledge.places import imported_marks
from markrules.language.escaping import escaped_json
from markrules.marks.letters import visible
from markrules.marks.mark_import import COLUMNS, ImportReport, import_csv
from markrules.marks.private_marks import PrivateMarks, StoreError
from markrules.named_path import NamedPath

SHOWN = 20


class StoreProblem(click.ClickException):
    """The file or the database cannot be read or written; exit code 3."""

    exit_code = 3


@click.command(name="import")
@click.argument("file", type=NamedPath(exists=True, dir_okay=False, path_type=Path))
@click.option("--dry-run", is_flag=True, help="Check the file and change nothing.")
@click.option(
    "--list",
    "list_path",
    type=NamedPath(dir_okay=False, path_type=Path),
    help="The list to add to, in place of your own.",
)
@click.option("--json", "as_json", is_flag=True, help="Write JSON.")
def command(file: Path, dry_run: bool, list_path: Path | None, as_json: bool) -> None:
    """Add marks of your own, from a register or a private list, to those that are searched.

    FILE is CSV in UTF-8. Its first line names the columns: text, and any of maker, years, note
    and source. Bad lines are told and left out, the others are added: mend those lines and take
    the file in again, marks that are there already are not added twice.

    \b
    markrules marks import town-register.csv --dry-run
    """
    store = PrivateMarks(list_path or imported_marks())
    try:
        with _shown_progress(file) as progress:
            report = import_csv(file, store, dry_run=dry_run, progress=progress)
    except StoreError as error:
        raise StoreProblem(str(error)) from None
    except OSError as error:
        raise StoreProblem(f"{error.filename or file}: {error.strerror or error}") from None
    click.echo(_as_json(report) if as_json else _in_words(report, file))
    if report.bad_lines:
        sys.exit(1)


@contextmanager
def _shown_progress(file: Path) -> Iterator[Callable[[int, int], None] | None]:
    """A bar on a terminal; nothing where errors go elsewhere."""
    if not sys.stderr.isatty():
        yield None
        return
    with click.progressbar(length=file.stat().st_size, label=file.name, file=sys.stderr) as bar:
        yield lambda done, _: bar.update(done - bar.pos)


def _in_words(report: ImportReport, file: Path) -> str:
    if not report.bad_lines:
        return _added(report)
    where, left_out = visible(str(file)), _counted(report.bad_lines, "bad line")
    if not report.read:
        lines = [f"{where}: {left_out}; nothing was added."]
    else:
        lines = [_added(report), f"{where}: {left_out} left out."]
    lines += [f"  {visible(str(problem))}" for problem in report.problems[:SHOWN]]
    if report.bad_lines > SHOWN:
        lines.append(f"  and {report.bad_lines - SHOWN:,} more; --json tells them")
    return "\n".join(lines)


def _added(report: ImportReport) -> str:
    """What was added, or would be."""
    there = report.read - report.added
    known = f" {there:,} were there before." if there else ""
    if report.dry_run:
        return f"{_counted(report.added, 'mark')} would be added.{known} Nothing was changed."
    return f"{_counted(report.added, 'mark')} added.{known}"


def _counted(number: int, thing: str) -> str:
    return f"{number:,} {thing}{'' if number == 1 else 's'}"


def _as_json(report: ImportReport) -> str:
    told = json.dumps(
        {
            "schema": "markrules-marks-import/1",
            "read": report.read,
            "added": report.added,
            "dry_run": report.dry_run,
            "bad_lines": report.bad_lines,
            "problems": [{"line": each.line, "message": each.message} for each in report.problems],
            "columns": list(COLUMNS),
        },
        ensure_ascii=False,
        indent=2,
    )
    return escaped_json(told)
