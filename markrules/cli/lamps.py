"""`markrules lamps`: a faint mark made readable from photos lit from several sides."""

from __future__ import annotations

import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.cli.common import FileProblem, json_option, told_plainly, write_json
from markrules.extras import to_install
from markrules.named_path import NamedPath
from markrules.telling.words import printable

if TYPE_CHECKING:
    from markrules.lamps.relief import Relief

USUAL_HOURS = {3: (12.0, 4.0, 8.0), 4: (12.0, 3.0, 6.0, 9.0)}
"""Where the lamps stand when nothing is said: evenly round the clock face."""

NUMBERS_OF_A_BOX = 4


@click.command("lamps")
@click.argument("files", nargs=-1, type=NamedPath(path_type=Path), metavar="PHOTO...")
@click.option(
    "--mark",
    "box",
    required=True,
    metavar="LEFT,TOP,WIDTH,HEIGHT",
    help="A box round the mark on the first photo, in pixels.",
)
@click.option("--lines", type=click.IntRange(1, 12), default=1, help="Lines of letters in it.")
@click.option(
    "--at",
    "hours",
    metavar="HOUR,...",
    help="Where the lamp stood for each photo, as on a clock face; else evenly from 12.",
)
@click.option(
    "--to",
    "folder",
    type=NamedPath(path_type=Path),
    default=Path("relief"),
    metavar="DIR",
    help="A new folder for the pictures; `relief` unless said.",
)
@json_option
@told_plainly
def command(
    files: tuple[Path, ...],
    box: str,
    lines: int,
    hours: str | None,
    folder: Path,
    as_json: bool,
) -> None:
    """Show the relief of a faint mark from three, four or more photos.

    Lay the piece down. Lean the phone on something so that it does not move, and fill the frame
    with the mark. Take one photo with a lamp low at 12 o'clock, one at 3, one at 6, one at 9.

    \b
    markrules lamps 12.jpg 3.jpg 6.jpg 9.jpg --mark 1210,840,610,150

    Writes pictures: the height with high parts light, the same with high parts dark, what every
    lamp shows alike (dirt in a mark), each photo as it was lit, and a page to flick through them.
    It reads no letters: that is for eyes. A scratch can look like a stroke.
    """
    try:
        import numpy  # noqa: F401
    except ImportError:
        raise click.ClickException(
            f"photos lit from several sides need numpy: {to_install('photo')}"
        ) from None
    from markrules.lamps.frames import LampProblem
    from markrules.lamps.relief import relief
    from markrules.lamps.viewing import write_all

    if folder.exists() and any(folder.iterdir() if folder.is_dir() else [folder]):
        raise FileProblem(f"{folder}: there is something already; name a new folder with --to")
    try:
        shots = _shots(files, _hours(hours, len(files)))
        found = relief(shots, _box(box, lines), _telling())
    except LampProblem as problem:
        raise click.UsageError(str(problem)) from None
    names = [each.name for each in shots]
    write_all(found, names, folder)
    if as_json:
        write_json(_data(found, names, folder), "lamps")
        return
    for line in told(found, names):
        click.echo(line)
    click.echo(printable(f"Pictures in {folder}{'/' if folder.name else ''}: open look.html"))


def told(found: Relief, names: Sequence[str]) -> list[str]:
    """What is said of a relief, a line each, at most 80 columns."""
    from markrules.telling.words import shorten

    lines = ["how well each photo lies over the others:"]
    for at, name in enumerate(names):
        agrees = found.agreements[at]
        bar = "█" * round(max(0.0, agrees) * 20)
        again = "  take it again" if at in found.again else ""
        left_out = ", left out" if at in found.left_out else ""
        lines.append(
            f"  {found.hours[at]:>4g} o'clock  {bar:<20} {agrees:5.2f}{again}{left_out}"
            f"  {shorten(name, 24)}"
        )
    if found.readable:
        lines.append(f"The relief in the box is {found.over_grain:.1f} times the grain round it.")
    else:
        lines.append("Nothing readable here: what stands out in the box is no more than the grain")
        lines.append(f"of the surface round it ({found.over_grain:.1f} times).")
    if found.of_three:
        lines.append(
            "Three photos can show that one of them lies wrong, not which: a fourth would."
        )
    elif found.glaring:
        lines.append("This metal mirrors the lamps: photos that lie right agree less than on other")
        lines.append(f"metal, and {found.least:.2f} suffices. Take again those whose letters jump.")
    lines.append("Compare it with the photos themselves: a scratch can look like a stroke.")
    return lines


def _shots(files: Sequence[Path], hours: Sequence[float]) -> list[Any]:
    from markrules.lamps.relief import Shot
    from markrules.photo_limits import LARGEST_BYTES
    from markrules.plain_files import beginning

    shots = []
    for file, hour in zip(files, hours, strict=True):
        shots.append(Shot(beginning(file, LARGEST_BYTES + 1), file.name, hour))
    return shots


def _hours(text: str | None, count: int) -> tuple[float, ...]:
    from markrules.lamps.frames import LampProblem

    if text is None:
        return USUAL_HOURS.get(count) or tuple(12.0 - 12.0 * at / count for at in range(count))
    try:
        hours = tuple(float(each) for each in text.split(","))
    except ValueError:
        raise LampProblem(f'--at "{text}": hours are numbers with commas, as 12,3,6,9') from None
    if len(hours) != count:
        raise LampProblem(f"{count} photos, but {len(hours)} hours after --at: one for each")
    return hours


def _box(text: str, lines: int) -> Any:
    from markrules.lamps.frames import LampProblem, MarkFrame

    try:
        numbers = [int(each) for each in text.split(",")]
    except ValueError:
        numbers = []
    if len(numbers) != NUMBERS_OF_A_BOX:
        raise LampProblem(
            f'--mark "{text}": four whole numbers with commas: left, top, width, height'
        )
    left, top, width, height = numbers
    return MarkFrame(left, top, width, height, lines)


def _telling() -> Callable[[str], None]:
    """Tell each step on a terminal, over one line; say nothing to a file."""
    if not sys.stderr.isatty():
        return lambda _: None
    return lambda step: click.echo(f"\r\x1b[K{step} ...", nl=False, err=True)


def _data(found: Relief, names: Sequence[str], folder: Path) -> dict[str, Any]:
    return {
        "photos": [
            {
                "photo": name,
                "hour": found.hours[at],
                "agreement": round(found.agreements[at], 3),
                "take_again": at in found.again,
                "left_out": at in found.left_out,
            }
            for at, name in enumerate(names)
        ],
        "relief_over_grain": round(found.over_grain, 2),
        "readable": found.readable,
        "folder": str(folder),
    }
