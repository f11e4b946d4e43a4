"""Runs the real command in a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from typing import Any

TRACEBACK = "Traceback (most recent call last)"


def markrules(
    *arguments: str, text: str | None = None, env: dict[str, str] | None = None
) -> subprocess.CompletedProcess[str]:
    """Run `markrules` with these arguments; never raises for a failing command."""
    return subprocess.run(
        [sys.executable, "-m", "markrules", *arguments],
        input=text if text is not None else "",
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=120,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **(env or {})},
        check=False,
    )


def answer(*arguments: str) -> Any:
    """The JSON that a command writes; fails where the command fails."""
    done = markrules(*arguments, "--json")
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
