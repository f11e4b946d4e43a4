"""`markrules rules book`: the whole knowledge as pages to read."""

from __future__ import annotations

import click


@click.command()
def command() -> None:
    """Write the knowledge as a book to keep open (under way)."""
    raise click.ClickException("not written yet")
