"""Groups of commands, whose help says in a whole sentence what each command does."""

from __future__ import annotations

import click

_WHOLE = 10_000
"""Letters of a summary: so many that none is cut short."""


class WholeSummaries(click.Group):
    """A group whose list of commands folds a summary where click would cut it."""

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Write each command with the first sentence of its help."""
        found = [(name, self.get_command(ctx, name)) for name in self.list_commands(ctx)]
        rows = [
            (name, each.get_short_help_str(_WHOLE))
            for name, each in found
            if each is not None and not each.hidden
        ]
        with formatter.section("Commands"):
            formatter.write_dl(rows)
