"""`markrules stones match` and `mirror`: which stone fits, and which was replaced."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.appraisal.mirrored import mirrored
from markrules.appraisal.stone import Stone, stone_of
from markrules.appraisal.stones import advise
from markrules.appraisal.worth_data import advice_data, differ_data
from markrules.cli.catalogue import catalogue_options, opened, opened_if_there
from markrules.cli.common import (
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.stones_told import sample_option, sampled, size_of, stone_text
from markrules.cli.worth_shared import wrapped
from markrules.tasks.stocking import stone_told
from markrules.telling.words import printable

FITS_SHOWN = 8


@click.command("match")
@click.option("--shape", default="", help="round, oval, navette ...")
@click.option("--size", default="", help="4 mm, 10x5 mm, SS16, PP24 ...")
@click.option("--colour", "--color", default="", help="Its colour in a word or two.")
@sample_option("sample")
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
def match_command(
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
    side = size_of(base, size)
    long, across = (side.long, side.across) if side is not None else (None, None)
    wanted = Stone(shape, long, colour, sampled(sample), cut, back, across)
    if piece is not None:
        with opened(place) as catalogue:
            found_piece = catalogue.pieces.numbered(catalogue.boxes.named(piece[0]), piece[1])
            evidence = catalogue.readings.evidence(found_piece)
            wanted = _filled(wanted, stone_of(base, evidence.observations, found_piece.note))
    with opened_if_there(place) as tin:
        found = advise(base, wanted, tin.stones.all() if tin is not None else ())
    if as_json:
        write_json(advice_data(found), "stones-fitting")
        return
    for fit in found.fits[:FITS_SHOWN]:
        click.echo(f"{fit.stone.id:>5}  {stone_text(fit.stone)}")
        click.echo(f"       {fit.score:.0%}: {'; '.join(fit.words)}")
    if not found.fits:
        click.echo("No stone of the tin fits.")
    if found.order:
        click.echo(printable(f"to buy: {found.order}"))
    if found.shades:
        click.echo(printable(f"  the trade's names for it: {', '.join(found.shades)}"))
    for each in found.buy[:4]:
        sure = "" if each.sure else ", roughly"
        click.echo(f"  as size {each.code} ({each.low_mm:g} to {each.high_mm:g} mm{sure})")
    for caution in found.cautions:
        for line in wrapped(caution, "! "):
            click.echo(line)


@click.command("mirror")
@click.argument("one")
@click.argument("other")
@sample_option("sample-one")
@sample_option("sample-other")
@json_option
@rules_options
@told_plainly
def mirror_command(
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
    found = mirrored(
        base,
        stone_told(base, one, sampled(sample_one)),
        stone_told(base, other, sampled(sample_other)),
    )
    if as_json:
        write_json(differ_data(found), "stones-mirrored")
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
        asked.across_mm if asked.size_mm is not None else seen.across_mm,
    )
