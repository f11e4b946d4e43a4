"""`markrules metal`: decode a mark of gold, silver or plate."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from markrules.cli.common import (
    Finite,
    columns,
    json_option,
    open_knowledge,
    rules_options,
    told_plainly,
    write_json,
)
from markrules.cli.page import share_of_metal, wrapped
from markrules.inference.chances import percent
from markrules.marks.metal import MetalReading
from markrules.reading.reading_data import metal_data
from markrules.tasks.metal_marks import UNITS, MetalAsked, metal_asked

HEAVIEST = 100_000
"""Grams: nothing that is worn weighs as much, and what does was typed with zeros too many."""
DEAREST = 1e9


@click.command()
@click.argument("text", nargs=-1, required=True)
@click.option("--weight", type=Finite(0, HEAVIEST), metavar="GRAMS", help="Weight of the piece.")
@click.option(
    "--stones",
    type=Finite(0, HEAVIEST),
    default=0.0,
    metavar="GRAMS",
    help="Weight of all in it that is not metal.",
)
@click.option("--price", type=Finite(0, DEAREST), help="Price of the fine metal, in your money.")
@click.option(
    "--per",
    type=click.Choice(list(UNITS)),
    default="ozt",
    show_default=True,
    help="What the price is for: gram, kilogram, troy ounce, pennyweight.",
)
@json_option
@rules_options
@told_plainly
def command(
    text: tuple[str, ...],
    weight: float | None,
    stones: float,
    price: float | None,
    per: str,
    as_json: bool,
    rule_folders: tuple[Path, ...],
) -> None:
    """Tell what a mark claims: metal, share of precious metal, law, and what may be said of it.

    A mark is a claim, not a test. Leave tests to a jeweller or an assay office.

    \b
    markrules metal "1/20 12K GF"
    markrules metal "14K" --weight 5.2 --price 2400
    """
    if weight is not None and stones > weight:
        raise click.UsageError(f"--stones {stones:g} is more than --weight {weight:g}")
    base = open_knowledge(rule_folders)
    asked = metal_asked(base, " ".join(text), weight, stones, price, per)
    if as_json:
        write_json(_data(asked), "metal")
        return
    if not asked.marks:
        raise click.UsageError(
            "no mark of metal content that the rules know is in this text; they know such as"
            " 1/20 12K GF, 14K, 925, STERLING, 18K HGE, EPNS, GERMAN SILVER"
        )
    width = columns(None)
    for reading in asked.marks:
        for line in metal_lines(reading, width):
            click.echo(line)
    for line in asked.words:
        click.echo(line)


def metal_lines(reading: MetalReading, width: int) -> list[str]:
    """A decoded mark as lines of text."""
    lines = [*wrapped(f"{reading.words}: {reading.say}", width, "", "    ")]
    for head, text in (
        ("precious metal by weight", share_of_metal(reading)),
        ("law", " ".join(part for part in (reading.law, _where(reading)) if part)),
        ("may be said", reading.claim),
        ("may not be said", reading.never),
        ("a professional would", reading.test),
        ("note", reading.note),
    ):
        if text:
            lines += wrapped(f"{head}: {text}", width, "    ", "        ")
    for other in reading.alternatives:
        text = f"or else ({percent(other.weight)}): {other.say}"
        lines += wrapped(text, width, "    ", "        ")
    return lines


def _where(reading: MetalReading) -> str:
    return f"({reading.country})" if reading.country else ""


def _data(asked: MetalAsked) -> dict[str, Any]:
    return {
        "marks": [metal_data(each) for each in asked.marks],
        "fine_grams": list(asked.grams) if asked.grams is not None else None,
        "melt_value": list(asked.worth) if asked.worth is not None else None,
    }
