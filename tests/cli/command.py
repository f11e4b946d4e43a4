"""The real command: in this process for breadth, and in one of its own for truth.

`markrules` runs the entry point here, with streams, environment and arguments of its own; it
is as strict as a process, since what is raised ends as a traceback on the captured error
stream. `markrules_process` starts the interpreter, for tests of what only a process shows.
"""

from __future__ import annotations

import gc
import io
import json
import os
import subprocess
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

TRACEBACK = "Traceback (most recent call last)"

Done = subprocess.CompletedProcess[str]


def markrules(*arguments: str, text: str | None = None, env: dict[str, str] | None = None) -> Done:
    """Run `markrules` with these arguments; never raises for a failing command."""
    from markrules.cli import main

    given = {"PYTHONIOENCODING": "utf-8", **(env or {})}
    encoding, _, errors = given["PYTHONIOENCODING"].partition(":")
    stdin = io.TextIOWrapper(io.BytesIO((text or "").encode("utf-8")), encoding="utf-8")
    stdout, stderr = (
        io.TextIOWrapper(io.BytesIO(), encoding=encoding, errors=how, write_through=True)
        for how in (errors or "strict", errors or "backslashreplace")
    )
    with _streams(stdin, stdout, stderr), _environment(given):
        code = _ended(main, arguments)
    return subprocess.CompletedProcess(
        ["markrules", *arguments],
        code,
        stdout.buffer.getvalue().decode("utf-8"),  # type: ignore[attr-defined]
        stderr.buffer.getvalue().decode("utf-8"),  # type: ignore[attr-defined]
    )


def markrules_process(
    *arguments: str, text: str | None = None, env: dict[str, str] | None = None
) -> Done:
    """The same in a process of its own."""
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


def _ended(main: Any, arguments: tuple[str, ...]) -> int:
    """The exit code with which a process would have ended, after writing what it would write."""
    try:
        main(arguments)
    except SystemExit as ending:
        if isinstance(ending.code, str):
            print(ending.code, file=sys.stderr)
            return 1
        return int(ending.code or 0)
    except BaseException:
        traceback.print_exc()
        return 1
    return 0


@contextmanager
def _streams(*streams: io.TextIOWrapper) -> Iterator[None]:
    """The standard streams replaced, and put back however the command left them."""
    before = sys.stdin, sys.stdout, sys.stderr
    sys.stdin, sys.stdout, sys.stderr = streams
    try:
        yield
    finally:
        sys.stdin, sys.stdout, sys.stderr = before
        if not gc.isenabled():
            gc.enable()


@contextmanager
def _environment(more: dict[str, str]) -> Iterator[None]:
    before = dict(os.environ)
    os.environ.update(more)
    try:
        yield
    finally:
        os.environ.clear()
        os.environ.update(before)
