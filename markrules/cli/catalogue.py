"""What the commands of the catalogue share: where it lies, who writes, and errors told plainly."""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any, ParamSpec, Protocol, TypeVar

import click

from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.records import Box, Listed, Piece, Seen
from markrules.cli.common import FileProblem, changes_kept, told_plainly
from markrules.knowledge.observation import Observation
from markrules.named_path import NamedPath
from markrules.telling.words import padded, printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.store import Catalogue

P = ParamSpec("P")
R = TypeVar("R")


class AskedProblem(click.ClickException):
    """What was asked for cannot be done; exit code 2."""

    exit_code = 2


def catalogue_options(function: Callable[P, R]) -> Callable[P, R]:
    """Add `--catalogue FILE` and tell every problem of the catalogue in one line."""
    option = click.option(
        "--catalogue",
        "place",
        type=NamedPath(path_type=Path),
        envvar="MARKRULES_CATALOGUE",
        metavar="FILE",
        help="The catalogue's file; yours in the user's data folder unless said.",
    )
    return option(told_plainly(_in_plain_words(function)))


def who_option(function: Callable[P, R]) -> Callable[P, R]:
    """Add `--who NAME`."""
    option = click.option(
        "--who", envvar="MARKRULES_WHO", default="", metavar="NAME", help="Who is writing."
    )
    return option(function)


def _in_plain_words(function: Callable[P, R]) -> Callable[P, R]:
    @functools.wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return function(*args, **kwargs)
        except FileTrouble as problem:
            raise FileProblem(lines(str(problem))) from None
        except CatalogueProblem as problem:
            raise AskedProblem(lines(str(problem))) from None

    return told


@contextmanager
def opened(place: Path | None, *, create: bool = False) -> Iterator[Catalogue]:
    """The catalogue at `place`, or the user's own. Raises FileTrouble where there is none."""
    from markrules.catalogue.file import catalogue_place
    from markrules.catalogue.soundness import quick_damage
    from markrules.catalogue.store import Catalogue

    path = place or catalogue_place()
    if not create and not path.exists():
        raise FileTrouble(
            f"{path}: there is no catalogue yet; `markrules box start NAME` makes one"
        )
    with Catalogue(path, create=create) as catalogue:
        damage = quick_damage(catalogue.connection)
        if damage:
            click.echo(f"Note: {lines(damage)}: the file is damaged; see `box check`", err=True)
        try:
            yield catalogue
        finally:
            if catalogue.changed:
                changes_kept.append(str(path))
        for each in catalogue.passed_over:
            click.echo(f"Passed over, for it is broken: {lines(each)}", err=True)
        if catalogue.changed:
            _keep_daily(catalogue)


def _keep_daily(catalogue: Catalogue) -> None:
    """Make the day's archive; where that fails, what was asked for is done all the same."""
    from markrules.catalogue.daily import keep_daily

    try:
        keep_daily(catalogue)
    except CatalogueProblem as problem:
        click.echo(f"Note: no archive was made today. {lines(str(problem))}", err=True)


@contextmanager
def opened_if_there(place: Path | None) -> Iterator[Catalogue | None]:
    """The catalogue as `opened` gives it, or None where there is none: to look makes no file."""
    from markrules.catalogue.file import catalogue_place

    if not (place or catalogue_place()).exists():
        yield None
        return
    with opened(place) as catalogue:
        yield catalogue


def all_cores() -> int:
    """How many processes to run at once: the cores that this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def lines(text: str) -> str:
    """Text that may have come from a file, safe for a terminal; lines stay lines."""
    return "\n".join(printable(line) for line in text.split("\n"))


def years_text(listed: Listed) -> str:
    """The years of the latest reading, or a dash."""
    if listed.first_year is None:
        return "–"
    return f"{listed.first_year}–{listed.last_year}"


def is_empty(box: str) -> str:
    """What is said of a box without pieces, and how to put some in."""
    name = shorten(box, 80)
    return f'box "{name}" is empty: markrules box add "{name}" "brooch, what you see of it"'


def what(piece: Piece) -> str:
    """A piece in a few words: its title, or its note."""
    return piece.title or piece.note or "(no note)"


def observation_text(seen: Observation) -> str:
    """An observation in words: `catch: rollover (guess)`."""
    value = seen.value or ("" if seen.number is None else f"{seen.number:g}")
    if seen.state == "absent":
        value = "none"
    elif seen.state == "ruled-out":
        value = f"not {value}"
    elif seen.state == "replaced":
        value = f"{value} (a later part)"
    doubt = "" if seen.certainty == "sure" else f" ({seen.certainty})"
    told = " (told)" if seen.heard else ""
    return printable(f"{seen.feature}: {value}{doubt}{told}")


def log_line(line: Seen, stands: bool, whole: bool) -> str:
    """A line of the log; the `whole` of it with when, by whom, and what it takes the place of."""
    text = f"  {line.id:>5}  {observation_text(line.observation)}"
    if not whole:
        return text
    who = f" by {shorten(line.who, 30)}" if line.who else ""
    if line.withdrawn:
        return printable(f"  {line.id:>5}  takes back line {line.corrects}, {line.when}{who}")
    corrects = f", instead of line {line.corrects}" if line.corrects else ""
    after = "" if stands else " (stands no longer)"
    return printable(f"{text}, {line.when}{who}{corrects}{after}")


def piece_json(box: Box, piece: Piece) -> dict[str, Any]:
    """A piece as plain data."""
    return {
        "box": box.name,
        "number": piece.number,
        "own_number": piece.own_number,
        "identifier": piece.uid,
        "title": piece.title,
        "note": piece.note,
        "told": piece.told,
        "added": piece.added,
        "gone": piece.gone,
        "gone_why": piece.gone_why,
        "not_understood": list(piece.not_understood),
    }


def listed_json(box: Box, listed: Listed) -> dict[str, Any]:
    """A line of a list as plain data."""
    return {
        **piece_json(box, listed.piece),
        "first_year": listed.first_year,
        "last_year": listed.last_year,
        "maker": listed.maker,
        "maker_probability": round(listed.maker_probability, 6),
        "unlisted_mark": listed.unlisted,
        "gain_bits": round(listed.gain_bits, 6),
        "read_since_changed": listed.fresh,
    }


def seen_json(line: Seen, stands: bool) -> dict[str, Any]:
    """A line of the log as plain data."""
    from markrules.reading.reading_data import observation_data

    return {
        "line": line.id,
        **observation_data(line.observation),
        "who": line.who,
        "when": line.when,
        "photo": line.photo,
        "corrects": line.corrects,
        "withdrawn": line.withdrawn,
        "stands": stands,
    }


_MAKER_CELLS = 22
"""The width of the last column: a maker's name and its probability."""


def _titles(listed: list[tuple[Box, Listed]]) -> dict[str, str]:
    """What the makers that lead are called, by the names of their entries."""
    names = {each.maker for _, each in listed if each.maker}
    if not names:
        return {}
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, personal_rules, shipped_rules

    personal = personal_rules()
    own = [personal] if personal is not None and personal.is_dir() else []
    # Errors in rules of one's own are told where pieces are read; a list is shown all the same.
    base, _ = load([shipped_rules(), *own], cache_folder=cache_folder())
    return {name: base.makers[name].title for name in names if name in base.makers}


def list_lines(listed: list[tuple[Box, Listed]], width: int, *, boxes: bool = False) -> list[str]:
    """A table of pieces: number (with its box where `boxes`), what it is, years, maker."""
    from markrules.catalogue.sorting import bearer_of
    from markrules.inference.chances import percent

    titles = _titles(listed)
    places = [
        f"{box.name} {each.piece.number}" if boxes else str(each.piece.number)
        for box, each in listed
    ]
    first = min(24, max([3, *map(len, places)])) + 2
    room = width - first - 12 - _MAKER_CELLS
    found = [f"{'NO':<{first}}{'PIECE':<{room}}{'YEARS':<12}MAKER"]
    for place, (_, each) in zip(places, listed, strict=True):
        stale = "" if each.fresh or each.first_year is None else "*"
        bearer = bearer_of(each)
        maker = titles.get(bearer.maker, bearer.maker.removeprefix("own:").replace("-", " "))
        chance = f" {percent(each.maker_probability)}" if maker else ""
        if bearer.signature:
            maker = f'"{bearer.signature}"'
            chance = ", in part" if bearer.in_part else ", not listed"
        gone = " (gone)" if each.piece.gone else ""
        own = f"{each.piece.own_number} " if each.piece.own_number else ""
        name = shorten(f"{own}{what(each.piece)}", room - 2 - len(gone)) + gone
        called = shorten(maker, _MAKER_CELLS - len(chance)) + chance
        years = years_text(each) + stale
        line = padded(shorten(place, first - 1), first) + padded(name, room)
        found.append(f"{line}{years:<12}{called}".rstrip())
    return found


class Progressed(Protocol):
    """Told how many more are done."""

    def __call__(self, count: int) -> None:
        """Note that so many more are done."""


def _say_nothing(count: int) -> None:
    """Stand in for a bar where none is to be seen."""
    del count


@contextmanager
def progress(label: str, total: int) -> Iterator[Progressed]:
    """A bar on standard error where that is a terminal; else nothing."""
    if not sys.stderr.isatty():
        yield _say_nothing
        return
    from rich.console import Console
    from rich.progress import Progress

    with Progress(console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(label, total=total)
        yield lambda count: bar.advance(task, count)
