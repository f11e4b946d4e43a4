"""What the commands on stones share: sampling a colour, reading a size, telling a stone."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import click

from markrules.appraisal.colours import Lab
from markrules.appraisal.stone import Measure, measured
from markrules.catalogue.records import SpareStone
from markrules.knowledge.base import KnowledgeBase
from markrules.named_path import NamedPath
from markrules.telling.words import printable, shorten

P = ParamSpec("P")
R = TypeVar("R")


def sample_option(name: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    """Add an option that samples a colour at a place of a photo."""
    return click.option(
        f"--{name}",
        nargs=3,
        type=(NamedPath(path_type=Path), float, float),
        default=None,
        metavar="PHOTO X Y",
        help="Sample the colour there; X and Y from 0 to 1, across and down.",
    )


def size_of(base: KnowledgeBase, text: str) -> Measure | None:
    """The millimetres of a `--size`; None for an empty one.

    Raises click.UsageError for what is neither millimetres nor a code.
    """
    if not text.strip():
        return None
    found = measured(base, text)
    if found is None:
        raise click.UsageError(
            printable(f'--size "{text}": write millimetres (4 mm, 10x5 mm) or a code (SS16, PP24)')
        )
    return found


def sampled(sample: tuple[Path, float, float] | None) -> Lab | None:
    """The colour at a place of a photo; None where none was asked for."""
    if sample is None:
        return None
    from markrules.appraisal.sampling import PhotoProblem, sampled_colour

    try:
        return sampled_colour(*sample)
    except PhotoProblem as problem:
        raise click.UsageError(printable(str(problem))) from None


def stone_text(stone: SpareStone) -> str:
    """A stone of the tin in one line, safe for a terminal."""
    size = stone.size_code or (f"{stone.size_mm:g} mm" if stone.size_mm is not None else "")
    sampled = "sampled colour" if stone.lab is not None and not stone.colour else stone.colour
    parts = (f"{stone.count} x", stone.shape, size, sampled, stone.cut, stone.back, stone.note)
    return shorten(" ".join(part for part in parts if part), 70)


def stone_data(stone: SpareStone) -> dict[str, Any]:
    """A stone of the tin as plain data."""
    return {
        "shape": stone.shape,
        "size_mm": stone.size_mm,
        "size_code": stone.size_code,
        "colour": stone.colour,
        "lab": list(stone.lab) if stone.lab is not None else None,
        "cut": stone.cut,
        "back": stone.back,
        "count": stone.count,
        "note": stone.note,
    }
