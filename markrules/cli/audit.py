"""`markrules rules audit`: how well readings hold against pieces whose years are known."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from markrules.auditing.report import Watch
from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.named_path import NamedPath


@click.command()
@click.argument("file", type=NamedPath(path_type=Path))
@click.option("--svg", type=NamedPath(path_type=Path), metavar="OUT", help="Draw it there too.")
@click.option(
    "--folds",
    type=click.IntRange(2, 50),
    metavar="N",
    help="Also fit the settings on all but one of N parts, and score on that one.",
)
@click.option(
    "--fit",
    "axes",
    metavar="NAME",
    multiple=True,
    help="Fit only this of the settings; may be given again. Without it all are fitted.",
)
@json_option
@rules_options
@told_plainly
def command(
    file: Path,
    svg: Path | None,
    folds: int | None,
    axes: tuple[str, ...],
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Hold readings against dated pieces in FILE (JSON Lines).

    Each line has `piece_type`, `observations`, `stated_from` and `stated_to`, and may have
    `id`, `date_text`, `stated_maker`, `date_doubted`, `year_in_observations`, `kind` and
    `source_address` or `source`: pieces of one source are never in two folds.
    Exit code 1 when lines were bad; the rest is scored. At the end stand the
    curves of clues beside the dated pieces that show them, and drawn to them.

    \b
    markrules rules audit dated.jsonl
    markrules rules audit dated.jsonl --folds 5 --svg audit.svg
    markrules rules audit dated.jsonl --folds 10 --fit heed --fit crowding
    """
    from markrules.auditing.dated_pieces import cases_of
    from markrules.auditing.preparing import PieceReader
    from markrules.auditing.report import audit
    from markrules.auditing.trials import AXES
    from markrules.reading.observing import WordProblem

    for name in axes:
        if name not in AXES:
            known = ", ".join(AXES)
            raise click.UsageError(_shown(f'no setting "{name}" is fitted; those are: {known}'))
    cases, problems = cases_of(file)
    for number, text in problems:
        click.echo(_shown(f"{file}:{number}: {text}"), err=True)
    reader = PieceReader(open_knowledge(rule_folders), datetime.date.today().year)
    try:
        with _watched(len(cases), folds or 0) as watch:
            report = audit(reader, cases, folds or 0, watch, axes or tuple(AXES))
    except (ValueError, WordProblem) as problem:
        raise click.ClickException(_shown(f"{file}: {problem}")) from None
    if svg is not None:
        from markrules.auditing.picture import drawn
        from markrules.catalogue.private import open_whole

        with open_whole(svg, encoding="utf-8") as out:
            out.write(drawn(report))
    if as_json:
        from markrules.auditing.report_data import report_data

        write_json(report_data(report), "audit")
    else:
        from markrules.auditing.report_text import told

        for line in told(report):
            click.echo(_shown(line))
    if problems:
        raise SystemExit(1)


def _shown(text: str) -> str:
    from markrules.telling.words import printable

    return printable(text)


@contextmanager
def _watched(pieces: int, folds: int) -> Iterator[Watch]:
    """Bars on standard error when that is a terminal; else nothing."""
    if not sys.stderr.isatty():
        yield Watch()
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bars:
        read = bars.add_task("reading pieces", total=pieces)
        tried = bars.add_task("trying settings", total=30 * folds, visible=folds > 0)
        yield Watch(lambda: bars.advance(read), lambda: bars.advance(tried))
