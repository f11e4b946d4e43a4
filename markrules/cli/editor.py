"""`markrules rules editor`: help for editors of rule files, over their protocol."""

from __future__ import annotations

import click

from markrules.cli.common import FileProblem
from markrules.extras import to_install


@click.command()
@click.option("--alone", is_flag=True, help="The folder is a whole rule base, not an addition.")
@click.option("--grammar", is_flag=True, help="Write the grammar for colours, and end.")
def command(alone: bool, grammar: bool) -> None:
    """Serve an editor: problems, completion, hover, definitions, renaming, formatting.

    An editor starts this itself and talks to it on standard input and output (Language Server
    Protocol). Needs the extra `editor`. docs/editor.md tells how to switch it on.

    \b
    markrules rules editor
    markrules rules editor --grammar > markrules.tmLanguage.json
    """
    if grammar:
        from markrules.editor.highlighting import grammar_text

        click.echo(grammar_text())
        return
    try:
        from markrules.editor.server import run
    except ImportError as error:
        raise FileProblem(
            f"help for editors needs a part that is not installed ({error.name}):"
            f" {to_install('editor')}"
        ) from None
    run(alone=alone)
