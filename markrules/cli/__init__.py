"""The command line. Heavy parts are imported by the command that needs them."""

from __future__ import annotations

import sys
from collections.abc import Sequence


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; `--version` alone answers without importing anything else."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    if given == ["--version"]:
        from markrules import __version__

        print(f"markrules {__version__}")
        return
    from markrules.cli.commands import cli

    cli(given, prog_name="markrules")
