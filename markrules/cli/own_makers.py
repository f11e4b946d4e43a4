"""`markrules rules add-maker` and `take-out-maker`: makers and marks of a person's own."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.tasks.own_makers import (
    OwnMaker,
    OwnMakerProblem,
    WrittenMaker,
    add_maker,
    take_out_maker,
)
from markrules.telling.words import printable


@click.command("add-maker")
@click.argument("name")
@click.option("--mark", default="", metavar="TEXT", help="The mark as struck; else the name.")
@click.option("--years", default="", metavar="YEARS", help="1950-1970, 1950s, from 1950.")
@click.option("--country", default="", help="Where the maker worked.")
@click.option("--from", "known_from", default="", help="Where this is known from.")
@click.option("--note", default="", help="Anything else worth keeping.")
@click.option("--read", "read_again", default="", metavar="NOTE", help="Read this piece again.")
@json_option
@rules_options
@told_plainly
def add_command(
    name: str,
    mark: str,
    years: str,
    country: str,
    known_from: str,
    note: str,
    read_again: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Add a maker of NAME, with its mark, to your own rules.

    A maker of that name that you have added before gets what is new: a further mark, or years and
    country that it lacks.

    \b
    markrules rules add-maker "Fenwick Studio" --mark FENWICK --years 1950-1970 \\
        --country USA --from "the card it came on" --read "brooch, marked FENWICK"
    """
    base = open_knowledge(rule_folders)
    maker = OwnMaker(name, mark, years, country, known_from, note)
    try:
        written = add_maker(base, maker)
    except OwnMakerProblem as problem:
        raise click.UsageError(str(problem)) from None
    _tell(written, as_json)
    if read_again and not as_json:
        from markrules.cli.common import columns, open_reader
        from markrules.cli.read import reading_page, show
        from markrules.reading.reader import Request

        reader = open_reader(rule_folders)
        click.echo("")
        show(reading_page(reader, reader.read(Request(note=read_again)), columns(None)))


@click.command("take-out-maker")
@click.argument("name", default="")
@click.option("--mark", default="", metavar="TEXT", help="Only this mark, where it has several.")
@json_option
@told_plainly
def take_out_command(name: str, mark: str, as_json: bool) -> None:
    """Take a maker out of your own rules again: the one of NAME, or what was added last.

    \b
    markrules rules take-out-maker
    """
    try:
        written = take_out_maker(name, mark=mark)
    except OwnMakerProblem as problem:
        raise click.UsageError(str(problem)) from None
    _tell(written, as_json)


_DONE = {"known": "known already, nothing is written"}


def _tell(written: WrittenMaker, as_json: bool) -> None:
    if as_json:
        done = {"done": written.done, "entry": written.entry, "file": str(written.file)}
        write_json(done, "own-maker")
        return
    done_words = _DONE.get(written.done, written.done)
    click.echo(printable(f"{done_words}: {written.entry}, in {written.file}"))
    if written.beside:
        click.echo(
            printable(
                f"{written.beside} of the rules bears this name too; yours stands beside it "
                f"(markrules rules show {written.beside})"
            )
        )
    if written.done in ("added", "extended"):
        click.echo("to undo: markrules rules take-out-maker")
