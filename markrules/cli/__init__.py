"""The command line. Heavy parts are imported by the command that needs them."""

from __future__ import annotations

import atexit
import contextlib
import gc
import os
import sys
import threading
from collections.abc import Sequence

DEBUG = "--debug"
UNEXPECTED = 4
"""The exit code for what markrules did not expect."""

OBJECTS_BETWEEN_COLLECTIONS = 200_000
"""A start makes tens of thousands of lasting objects and next to no circles. The interpreter's own
700 would look through them a hundred and fifty times: a tenth of a cold reading."""


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line; `--version` alone answers without importing what is heavy.

    Whatever is not expected is told in a line, with exit code 4; `--debug`, before the command,
    shows where it came from.
    """
    given = list(sys.argv[1:] if arguments is None else arguments)
    if given == ["--version"]:
        from markrules import __version__
        from markrules.knowledge.places import rules_version, shipped_rules

        rules = rules_version(shipped_rules())
        print(f"markrules {__version__}" + (f", rules {rules}" if rules else ""))
        return
    gc.set_threshold(OBJECTS_BETWEEN_COLLECTIONS, *gc.get_threshold()[1:])
    if arguments is None:
        # The interpreter looks for circles once more when it ends, and then again; what is left
        # goes with the process anyway. That was a sixth of a cold reading.
        atexit.register(gc.freeze)
        _hold_streams()
    _write_what_can_be_written()
    debug = given[:1] == [DEBUG]
    from markrules.cli.commands import cli

    try:
        cli(given[debug:], prog_name="markrules")
    except SystemExit as ending:
        if arguments is None:
            _leave(ending.code)
        raise
    except Exception as error:
        if debug:
            raise
        _tell_unexpected(error)
        raise SystemExit(UNEXPECTED) from None


def _leave(code: object) -> None:
    """End the process without taking all apart first: that was a fortieth of a cold reading.

    Returns where something may still be running, or could not be written: then the interpreter
    ends as it does, and tells of it.
    """
    if threading.active_count() > 1 or "multiprocessing" in sys.modules:
        return
    if not (code is None or isinstance(code, int)):
        return
    try:
        sys.stdout.flush()
        sys.stderr.flush()
    except (OSError, ValueError, AttributeError):
        return
    # What others registered for the end (temporary folders, a tool that measures tests) must run,
    # and `os._exit` runs none of it. The interpreter offers that under this name alone; one that
    # does not ends as usual. To register the leaving itself would lose what was registered before.
    run_what_was_registered = getattr(atexit, "_run_exitfuncs", None)
    if run_what_was_registered is not None:
        run_what_was_registered()
        os._exit(code or 0)


def _hold_streams() -> None:
    """Open nothing in place of streams that were closed: a file opened later would take theirs."""
    for number, (name, mode) in enumerate((("stdin", "r"), ("stdout", "w"), ("stderr", "w"))):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)  # the lowest free number: this one
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115 (stays open)


def _write_what_can_be_written() -> None:
    """Let letters that the terminal's encoding has not be written in another way, not fail."""
    import codecs

    codecs.register_error("nearest-letter", _nearest)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None and getattr(stream, "errors", "") != "nearest-letter":
            with contextlib.suppress(OSError, ValueError):
                reconfigure(errors="nearest-letter")


_PLAIN = str.maketrans("–—−“”„‘’×•", '---"""\'\'x*') | {ord("…"): "...", ord("→"): "->"}


def _nearest(error: UnicodeError) -> tuple[str, int]:
    """A letter as ASCII has it nearest, else by its number."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    wanted = error.object[error.start : error.end].translate(_PLAIN)
    return wanted.encode("ascii", "backslashreplace").decode("ascii"), error.end


def _tell_unexpected(error: Exception) -> None:
    from markrules.knowledge.base import UnfitSetting
    from markrules.telling.words import shorten

    if isinstance(error, UnfitSetting):
        print(f"Error: {shorten(str(error), 300)}", file=sys.stderr)
        return
    print(
        f"Error: markrules did not expect this: {type(error).__name__}:"
        f" {shorten(str(error), 300)}\n"
        "Nothing that was kept before is lost. Please report it where you got markrules, with"
        " what you typed; `markrules --debug ...` shows where it happened.",
        file=sys.stderr,
    )
