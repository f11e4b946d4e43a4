"""What the tests of the catalogue share: a reader over the shipped rules, and whole tables."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from shipped_base import shipped_reader as reader  # noqa: F401  (shared with the tests beside)

from markrules.catalogue.store import Catalogue

RULES = Path(__file__).parents[2] / "rules"
HERE = Path(__file__).parent

NOTES = (
    "brooch, rollover catch, prong set stones, marked AUSTRIA",
    "brooch, C catch, tube hinge, carved jet",
    "earrings, screw backs, AB stones. Seller says they are from 1920.",
    "hatpin, silver head, marked STERLING",
    "bangle, bakelite, carved, one stone missing",
)


def whole(catalogue: Catalogue) -> dict[str, list[tuple[Any, ...]]]:
    """Every row of every table, the text index included, for comparing two catalogues."""
    names = [
        row[0]
        for row in catalogue.rows("select name from sqlite_schema where type = 'table'")
        if not row[0].startswith(("sqlite_", "piece_text_"))
    ]
    return {
        name: sorted(map(tuple, catalogue.rows(f'select * from "{name}"')), key=repr)
        for name in names
    }


def python(script: str, *arguments: str, limit_bytes: int | None = None) -> subprocess.Popen[str]:
    """A Python process that runs the script; files it writes can be limited in size."""

    def limit() -> None:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (limit_bytes or 0, limit_bytes or 0))

    return subprocess.Popen(
        [sys.executable, "-c", script, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        env={**os.environ, "PYTHONPATH": str(HERE.parents[1])},
        preexec_fn=limit if limit_bytes is not None else None,  # noqa: PLW1509 (no threads here)
    )
