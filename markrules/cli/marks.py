"""`markrules marks`: find a mark from what is left of it."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from markrules.cli.common import (
    FileProblem,
    columns,
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.groups import WholeSummaries
from markrules.inference.chances import percent
from markrules.marks.decoded_data import answer_data, window_ends
from markrules.marks.import_command import command as import_marks
from markrules.marks.private_list import open_search
from markrules.marks.private_marks import StoreError
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.results import MarkResult, SearchAnswer
from markrules.telling.words import printable, years


class FindGroup(WholeSummaries):
    """A group in which whatever is not a command is a mark to be found."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Put `find` before a text."""
        if args and args[0] not in self.commands and args[0] not in ctx.help_option_names:
            args = ["find", *args]
        return super().parse_args(ctx, args)


@click.group(cls=FindGroup)
def command() -> None:
    """Find a mark from what is left of it, or add a list of your own marks.

    \b
    markrules marks "?RIF..."
    markrules marks find --help       how to write what can be read
    markrules marks import FILE       add a register or private list
    """


command.add_command(import_marks, "import")


@command.command()
@click.argument("text", nargs=-1, required=True)
@click.option("--most", type=click.IntRange(1, 100), default=5, help="Show so many makers.")
@json_option
@rules_options
@told_plainly
def find(text: tuple[str, ...], most: int, as_json: bool, rule_folders: tuple[Path, ...]) -> None:
    """Find whose mark this may be, from the letters that are left.

    For a doubtful letter write up to four that it may be, [CGOQ], rather than ?: the right maker
    comes first more often. Put the likeliest first, [C>G>O], or weigh them, [C:7 G:3]. ? is one
    letter unread, ... a run unread, C~ a doubtful C, / a line break. Say what else is seen in round
    brackets: (crown over the T), (script), (plaque).

    \b
    markrules marks "?RIF..."
    markrules marks "N?PI[E>F]R"
    """
    try:
        search = open_search(open_knowledge(rule_folders), progress=_tell_progress)
        answer = search.search(" ".join(text), most)
    except StoreError as problem:
        raise FileProblem(str(problem)) from None
    except MarkSyntaxError as problem:
        raise click.UsageError(str(problem)) from None
    if as_json:
        write_json(answer_data(answer), "marks")
        return
    for line in _lines(answer, columns(None)):
        click.echo(line.rstrip())


def _tell_progress(done: int, rows: int) -> None:
    """Say on a terminal how far the index of a private list is; called only while one is made."""
    if sys.stderr.isatty():
        click.echo(f"\rindexing your marks: {done:,} of {rows:,}", nl=done >= rows, err=True)


def _lines(answer: SearchAnswer, width: int) -> list[str]:
    lines = [f"{percent(answer.none_of_these):>8}  a mark that is not in these rules"]
    for each in answer.results:
        if each.probability < 0.001 and len(lines) > 1:
            continue
        lines += ["", *_result_lines(each)]
    return [line[:width] for line in lines]


def _result_lines(result: MarkResult) -> list[str]:
    used = years(*window_ends(result.used)) if result.used else "years of this mark not known"
    mark = f'"{result.text}"' if result.text else result.symbol
    lines = [f"{percent(result.probability):>8}  {printable(result.title)}"]
    about = [mark, used, *(word for word in (result.form, result.method) if word)]
    if result.text and result.symbol:
        about.append(result.symbol)
    lines.append("          " + printable("; ".join(about)))
    if result.aligned is not None:
        for name, text in zip(("read", "", "mark"), str(result.aligned).split("\n"), strict=True):
            lines.append(f"          {name:<5} {text}")
    if result.assumed:
        lines.append("          if " + printable("; ".join(result.assumed)))
    if result.tell_apart:
        lines.append("          look: " + printable(result.tell_apart))
    return lines
