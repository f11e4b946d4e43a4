"""The top of the command line: each command lives in a module of its own, loaded when called."""

from __future__ import annotations

import importlib
import sys
from collections.abc import Sequence
from typing import Any

import click

from markrules import __version__
from markrules.telling.words import printable

EXIT_CODES = """\b
Exit codes:
  0  done
  1  done, but something needs attention: errors in rules, bad lines in a batch
  2  the command was not understood: an option, a feature or a value
  3  a file or folder could not be read or written
  4  what markrules did not expect: please report it (`markrules --debug ...`)"""

_COMMANDS = {
    "read": ("markrules.cli.read", "Read a piece: when, by whom, how sure, and why."),
    "ask": ("markrules.cli.ask", "A guided look: one question at a time."),
    "marks": ("markrules.cli.marks", "Find a mark from what is left of it."),
    "numbers": ("markrules.cli.numbers", "Read numbers stamped on a piece."),
    "metal": ("markrules.cli.metal", "Decode a mark of gold, silver or plate."),
    "box": ("markrules.cli.box", "Boxes of pieces: enter, read, search, export, archive."),
    "piece": ("markrules.cli.piece", "One piece of a box: show, correct, photograph."),
    "sell": ("markrules.cli.sell", "Sold, returned, listed, stored; cost and net; the report."),
    "prices": ("markrules.cli.prices", "Sold prices: record, import, list."),
    "value": ("markrules.cli.value", "Condition of a piece, and what it may fetch."),
    "decide": ("markrules.cli.decide", "What to do with a piece, or a whole box."),
    "stones": ("markrules.cli.stones", "The tin of spare stones: add, list, match."),
    "figures": ("markrules.cli.figures", "Your fees, minutes and metal prices."),
    "glance": ("markrules.cli.glance", "A box at a glance."),
    "rules": ("markrules.cli.rules", "Check, format, show and list the knowledge."),
    "serve": ("markrules.cli.serve", "Open the bench page in a browser."),
    "sheet": ("markrules.cli.sheet", "Document a piece: sheet, listing, claims check, exports."),
    "lamps": ("markrules.cli.lamps", "A faint mark, from photos lit from several sides."),
    "demo": ("markrules.cli.demo", "Read the invented demo box."),
}


_CALLED_ALONE: type[click.ClickException] | tuple[()] = getattr(
    click.exceptions, "NoArgsIsHelpError", ()
)
"""What click raises for a group without a command; before its version 8.2 it raised nothing."""


def _show(problem: click.ClickException) -> None:
    """Tell a problem; what it repeats of the words typed or of a file is made safe to show.

    A group that was called alone is no problem to tell of: its help is.
    """
    if isinstance(problem, _CALLED_ALONE):
        click.echo(problem.format_message())
        return
    if isinstance(problem, click.UsageError) and problem.ctx is not None:
        click.echo(f"{problem.ctx.get_usage()}", err=True)
        click.echo(f"Try '{problem.ctx.command_path} --help' for help.\n", err=True)
    words = "\n".join(map(printable, problem.format_message().split("\n")))
    click.echo(f"Error: {words}", err=True)


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called, not when help is shown."""

    def main(
        self,
        args: Sequence[str] | None = None,
        prog_name: str | None = None,
        complete_var: str | None = None,
        standalone_mode: bool = True,
        **extra: Any,
    ) -> Any:
        """Run a command; what it complains of is shown without control characters."""
        given = (args, prog_name, complete_var)
        if not standalone_mode:
            return super().main(*given, standalone_mode=False, **extra)
        try:
            found = super().main(*given, standalone_mode=False, **extra)
        except click.ClickException as problem:
            _show(problem)
            raise SystemExit(problem.exit_code) from None
        except (click.Abort, KeyboardInterrupt, EOFError):
            click.echo("Ended.", err=True)
            raise SystemExit(1) from None
        except click.exceptions.Exit as ending:
            raise SystemExit(ending.exit_code) from None
        except BrokenPipeError:
            sys.stdout = None
            raise SystemExit(0) from None
        except OSError as error:  # help: what a command writes is told by the command
            if error.filename:
                raise
            click.echo(f"Error: what was to be told could not be: {error.strerror}", err=True)
            raise SystemExit(3) from None
        raise SystemExit(found if isinstance(found, int) else 0)

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The commands in the order of the job."""
        return list(_COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, importing its module; None where there is none."""
        if cmd_name not in _COMMANDS:
            return None  # `resolve_command` tells of it
        module = importlib.import_module(_COMMANDS[cmd_name][0])
        command: click.Command = module.command
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that the words begin with, or a complaint that names the nearest."""
        if args and args[0] not in _COMMANDS and not args[0].startswith("-"):
            hint = f" Did you mean {meant}?" if (meant := self._meant(ctx, args[0])) else ""
            raise click.UsageError(f'No command is called "{args[0]}".{hint}', ctx)
        return super().resolve_command(ctx, args)

    def _meant(self, ctx: click.Context, typed: str) -> str:
        """The commands of groups that are called so, else the command that is called most alike."""
        groups = {name: self.get_command(ctx, name) for name in _COMMANDS}
        held = [
            f'"{name} {typed}"'
            for name, group in groups.items()
            if isinstance(group, click.Group) and typed in group.list_commands(ctx)
        ]
        if held:
            return " or ".join([*([", ".join(held[:-1])] if held[1:] else []), held[-1]])
        from markrules.language.nearest import nearest

        near = nearest(typed, _COMMANDS)
        return f'"{near}"' if near else ""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """List names and summaries without importing the commands."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, summary) for name, (_, summary) in _COMMANDS.items()])


@click.group(
    cls=LazyGroup,
    epilog=EXIT_CODES,
    context_settings={"help_option_names": ["-h", "--help"]},
)
@click.version_option(__version__, message="markrules %(version)s")
def cli() -> None:
    """Turn what you see on a piece of jewelry into a date range, a maker, and the reasons.

    \b
    markrules read "brooch, safety catch, AB stones, marked AUSTRIA, 5.5 cm"
    markrules ask
    markrules demo
    """
