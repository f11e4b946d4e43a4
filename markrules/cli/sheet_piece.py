"""What the commands of `markrules sheet` share: which piece is meant, and where to write."""

from __future__ import annotations

import datetime
import functools
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

import click

from markrules.catalogue.private import open_whole
from markrules.cli.catalogue import AskedProblem, catalogue_options, opened
from markrules.cli.common import FileProblem, open_reader, rules_options
from markrules.frozen import dataclass
from markrules.named_path import NamedPath
from markrules.plain_files import read_plain
from markrules.reading.reader import Reader, Request
from markrules.sheets.matter import SheetMatter
from markrules.telling.words import printable

P = ParamSpec("P")
R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class PieceOfSheet:
    """The piece that a command was asked for: of a catalogue, or from a note alone."""

    box: str | None
    number: int | None
    note: str
    see: tuple[str, ...]
    marks: tuple[str, ...]
    who: str
    when: str
    told: str
    title: str
    photos: tuple[Path, ...]
    people: bool
    rule_folders: tuple[Path, ...]
    place: Path | None


def piece_options(function: Callable[..., R]) -> Callable[..., R]:
    """Add `[BOX NUMBER]`, `--note` and what goes with it; the command gets one `asked`."""

    @functools.wraps(function)
    def told(**values: Any) -> R:
        names = PieceOfSheet.__dataclass_fields__
        given = {name: values.pop(name) for name in list(values) if name in names}
        return function(asked=PieceOfSheet(**given), **values)

    adders: tuple[Callable[..., Any], ...] = (
        click.argument("box", required=False),
        click.argument("number", required=False, type=int),
        *_note_options(),
        click.option("--people", is_flag=True, help="Show names of people and streets, too."),
        rules_options,
        catalogue_options,
    )
    added: Any = told
    for add in reversed(adders):
        added = add(added)
    return cast(Callable[..., R], added)


def _note_options() -> tuple[Callable[[Callable[..., Any]], Callable[..., Any]], ...]:
    path = NamedPath(path_type=Path)
    return (
        click.option("--note", default="", metavar="TEXT", help="A piece in plain words instead."),
        click.option("--see", multiple=True, metavar="FEATURE=VALUE", help="With --note: seen."),
        click.option("--mark", "marks", multiple=True, metavar="TEXT", help="With --note: a mark."),
        click.option("--who", default="", envvar="MARKRULES_WHO", help="With --note: who saw it."),
        click.option("--when", default="", metavar="DATE", help="With --note: when it was seen."),
        click.option("--told", default="", metavar="TEXT", help="With --note: what was told."),
        click.option("--title", default="", help="With --note: what to call it."),
        click.option(
            "--photo", "photos", multiple=True, type=path, metavar="FILE", help="With --note."
        ),
    )


def matter_asked(asked: PieceOfSheet) -> SheetMatter:
    """The piece, gathered and read. Raises click's errors where it cannot be."""
    from markrules.tasks.gathering_for_sheets import matter_from_note, matter_of

    today = datetime.date.today().isoformat()
    if asked.box is None:
        reader = open_reader(asked.rule_folders)
        request = _request(reader, asked)
        return matter_from_note(
            reader,
            request,
            who=asked.who,
            when=_date(asked.when),
            told=asked.told,
            title=asked.title,
            photos=_photos(asked.photos),
            made_on=today,
            people=asked.people,
        )
    if asked.number is None:
        raise click.UsageError(f'which piece of "{asked.box[:80]}"? Give its number, too')
    if asked.note or asked.see or asked.marks or asked.photos:
        raise click.UsageError("give BOX and NUMBER, or --note and what goes with it; not both")
    with opened(asked.place) as catalogue:
        box = catalogue.boxes.named(asked.box)
        piece = catalogue.pieces.numbered(box, asked.number)
        reader = open_reader(asked.rule_folders)
        return matter_of(catalogue, reader, box, piece, today, asked.people)


def _request(reader: Reader, asked: PieceOfSheet) -> Request:
    from markrules.cli.read import seen

    if not (asked.note or asked.see or asked.marks):
        raise click.UsageError('which piece? Give BOX and NUMBER, or --note "…"')
    return Request(note=asked.note, observations=seen(reader, asked.see), marks=asked.marks)


def _date(text: str) -> str:
    if not text:
        return ""
    try:
        return datetime.date.fromisoformat(text).isoformat()
    except ValueError:
        raise click.UsageError(
            f'--when: "{text[:40]}" is no date; write it as 2026-06-14'
        ) from None


def _photos(paths: Sequence[Path]) -> tuple[tuple[bytes, str], ...]:
    from markrules.photo_limits import LARGEST_BYTES

    return tuple((read_plain(path, LARGEST_BYTES), path.stem.replace("-", " ")) for path in paths)


def warn_of_letters(lacking: str) -> None:
    """Say which letters no font here has, and ask for one; nothing where none is lacking."""
    from markrules.sheets.printing import FONTS_PLACE

    if lacking:
        click.echo(
            f"Note: no font here has the letters {printable(lacking[:20])}; on the paper they stand"
            f" as their numbers. Install a font that has them, or name a folder of fonts in"
            f" {FONTS_PLACE}, and make the sheet again.",
            err=True,
        )


def write_out(data: bytes, place: Path | None) -> None:
    """Write to a file for its owner alone, all or nothing, or to standard output."""
    if place is None:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
        return
    with open_whole(place, "wb") as out:
        out.write(data)


def plainly(function: Callable[P, R]) -> Callable[P, R]:
    """Tell what is wrong with a photo, a PDF or a number in one line."""

    @functools.wraps(function)
    def told(*args: P.args, **kwargs: P.kwargs) -> R:
        from markrules.sheets.page_photos import PictureProblem
        from markrules.sheets.printing import PrintProblem

        try:
            return function(*args, **kwargs)
        except PictureProblem as problem:
            raise FileProblem(str(problem)) from None
        except PrintProblem as problem:
            raise click.ClickException(str(problem)) from None
        except ValueError as problem:
            raise AskedProblem(str(problem)) from None

    return told
