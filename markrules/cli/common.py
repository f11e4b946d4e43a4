"""What the commands share: options, opening the knowledge, and errors told plainly."""

from __future__ import annotations

import datetime
import functools
import json
import math
import os
import sys
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import click

from markrules.named_path import NamedPath

if TYPE_CHECKING:
    from markrules.knowledge.base import KnowledgeBase
    from markrules.language.problems import Problem
    from markrules.reading.reader import Reader

P = ParamSpec("P")
R = TypeVar("R")


class FileProblem(click.ClickException):
    """A file or folder that could not be read or written; exit code 3."""

    exit_code = 3


def rules_options(function: Callable[P, R]) -> Callable[P, R]:
    """Add `--rules DIR`, which adds a folder of rules to those that come with markrules."""
    option = click.option(
        "--rules",
        "rule_folders",
        type=NamedPath(path_type=Path),
        multiple=True,
        metavar="DIR",
        help="A folder of your own rules, beside those that come with markrules.",
    )
    return option(function)


def from_option(function: Callable[P, R]) -> Callable[P, R]:
    """Add `--from ORIGIN`, which tells where the pieces come from."""
    option = click.option(
        "--from",
        "origin",
        default="",
        metavar="ORIGIN",
        help="Where pieces come from: box, dealer, family, museum, or flat for any year alike.",
    )
    return option(function)


class Finite(click.FloatRange):
    """A number within a range that is one: `nan` and `inf` are refused."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """The number."""
        found = super().convert(value, param, ctx)
        if not math.isfinite(found):
            self.fail(f"{found} is not a number that can be reckoned with.", param, ctx)
        return found


def json_option(function: Callable[P, R]) -> Callable[P, R]:
    """Add `--json`."""
    return click.option("--json", "as_json", is_flag=True, help="Write JSON.")(function)


KEPT = "what was asked for is done and kept (`markrules box steps` shows it): do not ask again"
changes_kept: list[str] = []
"""The catalogues that this command has changed for good."""
rules_left_out: list[str] = []
"""The files of own rules that this command went on without, as told."""
MOST_OF_A_FILE = 5
"""Errors of one file that are told where it is left out."""


def told_plainly(function: Callable[P, R]) -> Callable[P, R]:
    """Turn errors of files into one line and exit code 3, and a closed pipe into silence.

    A command that was done without some of a person's own rules ends with exit code 1.
    """

    @functools.wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> R:
        changes_kept.clear()
        rules_left_out.clear()
        try:
            done = function(*args, **kwargs)
        except BrokenPipeError:
            sys.stdout = None
            raise SystemExit(0) from None
        except OSError as error:
            if error.filename:
                raise FileProblem(f"{error.filename}: {error.strerror or error}") from None
            kept = f"; {KEPT}" if changes_kept else ""
            raise FileProblem(f"what was to be told could not be: {error.strerror}{kept}") from None
        if rules_left_out:
            raise SystemExit(1)
        return done

    return told


def no_folder(place: Path) -> str:
    """That a place is no folder of rules, and of a file which folder to name."""
    if place.is_file():
        return f"{place}: this is a file; name the folder of rules that it lies in"
    return f"{place}: there is no such folder of rules"


def columns(width: int | None = None, most: int = 100) -> int:
    """Columns to write in: as asked, else the terminal's from 60 up to `most`, else 80."""
    if width is not None:
        return width
    if "COLUMNS" in os.environ or sys.stdout.isatty():
        import shutil

        return max(60, min(most, shutil.get_terminal_size((80, 24)).columns))
    return min(most, 80)


def open_knowledge(rule_folders: Sequence[Path]) -> KnowledgeBase:
    """The shipped rules, the personal folder if there is one, and the folders given.

    Files of one's own that have errors are left out whole, and told with what is wrong. Raises
    click.ClickException, after printing every problem, where the shipped rules have errors.
    """
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, personal_rules, shipped_rules

    for folder in rule_folders:
        if not folder.is_dir():
            raise FileProblem(no_folder(folder))
    personal = personal_rules()
    own = [personal] if personal is not None and personal.is_dir() else []
    folders = [shipped_rules(), *own, *rule_folders]
    base, problems = load(folders, cache_folder=cache_folder())
    errors = [problem for problem in problems if problem.severity == "error"]
    if errors:
        from markrules.knowledge.left_out import without_unsound
        from markrules.language.messages import show

        sound = without_unsound(folders, errors, cache_folder())
        if sound is not None:
            _tell_left_out(sound.left_out)
            return sound.base

        for problem in errors:
            click.echo(show(problem), err=True)
        raise click.ClickException(
            f"{len(errors)} error{'s' if len(errors) > 1 else ''} in the rules;"
            " `markrules rules check` tells more"
        )
    return base


def _tell_left_out(left_out: Mapping[str, Sequence[Problem]]) -> None:
    """Tell of files that are left out, once for a command and not by each of its processes."""
    from multiprocessing import parent_process

    from markrules.language.messages import show
    from markrules.telling.words import printable

    for file, problems in left_out.items():
        if file in rules_left_out or parent_process() is not None:
            continue
        rules_left_out.append(file)
        click.echo(f"LEFT OUT of the rules until it is mended: {printable(file)}", err=True)
        for problem in problems[:MOST_OF_A_FILE]:
            click.echo(show(problem), err=True)
        more = len(problems) - MOST_OF_A_FILE
        rest = f"{more} more error{'s' if more > 1 else ''} in it; " if more > 0 else ""
        click.echo(f"{rest}`markrules rules check` tells more\n", err=True)


def open_reader(rule_folders: Sequence[Path], origin: str = "") -> Reader:
    """A reader over the knowledge, with the grid of years ending this year.

    `origin` tells where pieces come from; one not in the rules is told as a mistake of usage.
    """
    from markrules.reading.reader import Reader

    this_year = datetime.date.today().year
    base = open_knowledge(rule_folders)
    return Reader(base, this_year, own_marks=own_marks(), origin=_origin_named(base, origin))


def _origin_named(base: KnowledgeBase, said: str) -> str:
    """The name of an origin, from its name or one of its other words."""
    from markrules.inference.priors import FLAT
    from markrules.language.nearest import nearest

    word = said.strip().casefold()
    names = {each.casefold(): name for name, o in base.origins.items() for each in (name, *o.also)}
    if not word or word == FLAT or word in names:
        return names.get(word, word)
    near = nearest(word, [*names, FLAT])
    hint = f'; nearest: "{near}"' if near else ""
    known = ", ".join([*base.origins, FLAT])
    raise click.UsageError(f'no origin is called "{said}"{hint}. Known: {known}')


def own_marks() -> Path | None:
    """The list of marks that the person imported; None where there is none."""
    from markrules.knowledge.places import imported_marks

    place = imported_marks()
    return place if place.is_file() and place.stat().st_size > 0 else None


def write_json(data: Any, form: str) -> None:
    """Write one JSON document of this form (see `markrules.forms`) to standard output."""
    from markrules import forms
    from markrules.language.escaping import escaped_json

    told = forms.versioned(data, form)
    click.echo(escaped_json(json.dumps(told, ensure_ascii=False, indent=2)))
