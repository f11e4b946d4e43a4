"""The paths that the command line takes."""

from __future__ import annotations

import errno
import os
from pathlib import Path
from typing import Any

import click

MOST_FOLDERS = 200
"""Within each other, in a path that is named: beyond, no system opens it."""


class NamedPath(click.Path):
    """A path that can be one: a name, and no link that leads back to itself."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The path."""
        text = os.fspath(value)
        if not text:
            self.fail("the name is empty.", param, ctx)
        if len(Path(text).parts) > MOST_FOLDERS:
            self.fail(f"more than {MOST_FOLDERS} folders within each other.", param, ctx)
        try:
            os.stat(text)
        except OSError as error:
            if error.errno == errno.ELOOP:
                self.fail(f"{text}: a link that leads back to itself.", param, ctx)
        return super().convert(value, param, ctx)
