"""`markrules stones`: the tin of spare stones, and which of them fits an empty setting."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import click

from markrules.appraisal.as_json import advice_data, differ_data
from markrules.appraisal.colours import Lab
from markrules.appraisal.mirrored import mirrored
from markrules.appraisal.stone import FEATURES, Stone, sized, stone_of, value_named
from markrules.appraisal.stones import advise
from markrules.catalogue.records import SpareStone
from markrules.cli.appraising import wrapped
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.drawing import printable, shorten
from markrules.knowledge.base import KnowledgeBase

P = ParamSpec("P")
R = TypeVar("R")

FITS_SHOWN = 8
_TOLD = ("shape", "cut", "back")


@click.group()
def command() -> None:
    """The tin of spare stones: add, list, use, and match to an empty setting.

    \b
    markrules stones add --shape round --size SS16 --colour "light blue" --back foil --count 12
    markrules stones match --shape round --size 4mm --colour sapphire --back foil
    markrules stones mirror "round, 4 mm, red" "round, 4 mm, pink"
    """


def _sample_option(name: str) -> Callable[[Callable[P, R]], Callable[P, R]]:
    return click.option(
        f"--{name}",
        nargs=3,
        type=(click.Path(path_type=Path), float, float),
        default=None,
        metavar="PHOTO X Y",
        help="Sample the colour there; X and Y from 0 to 1, across and down.",
    )


@command.command("add")
@click.option("--shape", required=True, help="round, oval, navette ...")
@click.option("--size", default="", help="4 mm, SS16, PP24 ...")
@click.option("--colour", "--color", default="", help="Its colour in a word or two.")
@_sample_option("sample")
@click.option("--cut", default="", help="chaton, rivoli, cabochon ...")
@click.option("--back", default="", help="foil, unfoiled, flat ...")
@click.option("--count", type=click.IntRange(1, 1_000_000), default=1, show_default=True)
@click.option("--from", "source", nargs=2, type=(str, int), default=None, metavar="BOX NUMBER")
@click.option("--note", default="")
@json_option
@rules_options
@who_option
@catalogue_options
def add(
    shape: str,
    size: str,
    colour: str,
    sample: tuple[Path, float, float] | None,
    cut: str,
    back: str,
    count: int,
    source: tuple[str, int] | None,
    note: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Put stones into the tin.

    \b
    markrules stones add --shape round --size SS16 --colour red --back foil --count 6
    markrules stones add --shape oval --size 6mm --sample stone.jpg 0.4 0.5 --from "attic tin" 7
    """
    base = open_knowledge(rule_folders)
    found = _size(base, size)
    code = "" if found is not None and found[0] == found[1] else size.strip().upper()
    stone = SpareStone(
        0,
        shape,
        found[0] if found is not None and not code else None,
        code,
        colour,
        _sampled(sample),
        cut,
        back,
        count,
        None,
        note,
    )
    with opened(place, create=True) as catalogue:
        if source is not None:
            from dataclasses import replace

            piece = catalogue.piece_in(catalogue.box(source[0]), source[1])
            stone = replace(stone, from_piece=piece.id)
        rows = catalogue.add_stones([stone], who)
    if as_json:
        write_json({"stone": rows[0], **_stone_data(stone)})
    else:
        click.echo(f"{rows[0]}: {_stone_text(stone)}")


@command.command("list")
@json_option
@catalogue_options
def list_stones(as_json: bool, place: Path | None) -> None:
    """List the stones in the tin.

    \b
    markrules stones list
    """
    with opened(place, create=True) as catalogue:
        found = catalogue.stones()
    if as_json:
        write_json([{"stone": each.id, **_stone_data(each)} for each in found])
        return
    for each in found:
        click.echo(f"{each.id:>5}  {_stone_text(each)}")
    if not found:
        click.echo("The tin is empty: markrules stones add")


@command.command("use")
@click.argument("stone", type=int)
@click.option("--count", type=click.IntRange(1), default=1, show_default=True)
@json_option
@who_option
@catalogue_options
def use(stone: int, count: int, as_json: bool, who: str, place: Path | None) -> None:
    """Take stones out of the tin, by the number they are listed under.

    \b
    markrules stones use 4 --count 2
    """
    with opened(place) as catalogue:
        left = catalogue.use_stones(stone, count, who)
    if as_json:
        write_json({"stone": left.id, **_stone_data(left)})
    else:
        click.echo(f"{left.count} left of {_stone_text(left)}")


@command.command("match")
@click.option("--shape", default="", help="round, oval, navette ...")
@click.option("--size", default="", help="4 mm, SS16, PP24 ...")
@click.option("--colour", "--color", default="", help="Its colour in a word or two.")
@_sample_option("sample")
@click.option("--cut", default="")
@click.option("--back", default="")
@click.option(
    "--for",
    "piece",
    nargs=2,
    type=(str, int),
    default=None,
    metavar="BOX NUMBER",
    help="A piece with a stone wanting: what was seen of its stones fills in the rest.",
)
@json_option
@rules_options
@catalogue_options
def match(
    shape: str,
    size: str,
    colour: str,
    sample: tuple[Path, float, float] | None,
    cut: str,
    back: str,
    piece: tuple[str, int] | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Find the stones of the tin that fit, and the sizes to buy otherwise.

    Measure the empty setting, or a stone beside it. Colours by name are rough: sample one.

    \b
    markrules stones match --shape round --size 4mm --colour "light blue" --back foil
    markrules stones match --size SS16 --sample brooch.jpg 0.31 0.55
    markrules stones match --for "attic tin" 3
    """
    base = open_knowledge(rule_folders)
    wanted = Stone(shape, _size(base, size), colour, _sampled(sample), cut, back)
    with opened(place, create=True) as catalogue:
        if piece is not None:
            evidence = catalogue.evidence(catalogue.piece_in(catalogue.box(piece[0]), piece[1]))
            wanted = _filled(wanted, stone_of(evidence.observations))
        found = advise(base, wanted, catalogue.stones())
    if as_json:
        write_json(advice_data(found))
        return
    for fit in found.fits[:FITS_SHOWN]:
        click.echo(f"{fit.stone.id:>5}  {_stone_text(fit.stone)}")
        click.echo(f"       {fit.score:.0%}: {'; '.join(fit.words)}")
    if not found.fits:
        click.echo("No stone of the tin fits.")
    for each in found.buy[:4]:
        sure = "" if each.sure else ", roughly"
        click.echo(f"to buy: {each.code} ({each.low_mm:g} to {each.high_mm:g} mm{sure})")
    for caution in found.cautions:
        for line in wrapped(caution, "! "):
            click.echo(line)


@command.command("mirror")
@click.argument("one")
@click.argument("other")
@_sample_option("sample-one")
@_sample_option("sample-other")
@json_option
@rules_options
@told_plainly
def mirror(
    one: str,
    other: str,
    sample_one: tuple[Path, float, float] | None,
    sample_other: tuple[Path, float, float] | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Compare two stones that stand in mirror places: one that differs was probably replaced.

    Each is told as shape, size, colour, in any order, with commas; sampled colours count first.

    \b
    markrules stones mirror "round, 4 mm, red" "round, 4 mm, pink"
    markrules stones mirror "" "" --sample-one a.jpg 0.3 0.5 --sample-other a.jpg 0.7 0.5
    """
    base = open_knowledge(rule_folders)
    found = mirrored(base, _told(base, one, sample_one), _told(base, other, sample_other))
    if as_json:
        write_json(differ_data(found))
    elif found.differ:
        click.echo("One of them was probably replaced:")
        for words in found.words:
            click.echo(f"  {printable(words)}")
    else:
        apart = "" if found.apart is None else f" (colours {found.apart:.1f} apart)"
        click.echo(f"They do not differ in what was told{apart}.")


def _filled(asked: Stone, seen: Stone) -> Stone:
    """What was asked for, and where nothing was, what was seen on the piece."""
    return Stone(
        asked.shape or seen.shape,
        asked.size_mm or seen.size_mm,
        asked.colour or ("" if asked.lab is not None else seen.colour),
        asked.lab,
        asked.cut or seen.cut,
        asked.back or seen.back,
    )


def _told(base: KnowledgeBase, text: str, sample: tuple[Path, float, float] | None) -> Stone:
    """Shape, size, cut, back and colour from words with commas, by what the rules know."""
    found: dict[str, Any] = {"lab": _sampled(sample)}
    for part in (each.strip() for each in text.split(",")):
        size = sized(base, part) if part else None
        if size is not None:
            found["size_mm"] = size
        elif part:
            name = next((n for n in _TOLD if value_named(base, FEATURES[n], part)), "colour")
            found.setdefault(name, part)
    return Stone(**found)


def _size(base: KnowledgeBase, text: str) -> tuple[float, float] | None:
    if not text.strip():
        return None
    found = sized(base, text)
    if found is None:
        raise click.UsageError(
            printable(f'--size "{text}": write millimetres (4 mm) or a code (SS16, PP24)')
        )
    return found


def _sampled(sample: tuple[Path, float, float] | None) -> Lab | None:
    if sample is None:
        return None
    from markrules.appraisal.sampling import PhotoProblem, sampled_colour

    try:
        return sampled_colour(*sample)
    except PhotoProblem as problem:
        raise click.UsageError(printable(str(problem))) from None


def _stone_text(stone: SpareStone) -> str:
    size = stone.size_code or (f"{stone.size_mm:g} mm" if stone.size_mm is not None else "")
    sampled = "sampled colour" if stone.lab is not None and not stone.colour else stone.colour
    parts = (f"{stone.count} x", stone.shape, size, sampled, stone.cut, stone.back, stone.note)
    return shorten(" ".join(part for part in parts if part), 70)


def _stone_data(stone: SpareStone) -> dict[str, Any]:
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
