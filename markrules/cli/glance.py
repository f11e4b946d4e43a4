"""`markrules glance`: a box at a glance."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from markrules.appraisal.glance import Glance
from markrules.appraisal.options import WORDS
from markrules.appraisal.worth_data import glance_data
from markrules.catalogue.records import Box, Piece
from markrules.cli.catalogue import catalogue_options, opened
from markrules.cli.common import json_option, rules_options, write_json
from markrules.cli.drawing import Inks, inks_for
from markrules.cli.worth_shared import cash, desk, empty_words, places, wrapped
from markrules.tasks.appraising import glance as glance_at
from markrules.telling.words import count_of, printable, shorten

BAR = 40
LEAST_SHOWN = 0.05
THIN = 0.15
NAMED = 12
"""Pieces named for each thing to do, without `--full`."""


@click.command()
@click.argument("box")
@click.option("--looks", type=click.IntRange(0, 100), default=5, help="Further looks to show.")
@click.option("--full", is_flag=True, help="Name every piece.")
@json_option
@rules_options
@catalogue_options
def command(
    box: str,
    looks: int,
    full: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Show a box at a glance: counts, spend, expected range, decisions, eras, next looks.

    Looks come in the order of what they may settle: expected gain in bits times the money
    between the ends of the piece's range.

    \b
    markrules glance "attic tin"
    markrules glance "attic tin" --json
    """
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        at = desk(rule_folders, catalogue)
        pieces, _, glance = glance_at(at, catalogue, found, looks)
    if as_json:
        write_json(_data(found, pieces, glance), "glance")
        return
    if not pieces:
        click.echo(empty_words(found))
        return
    for line in glance_lines(found, pieces, glance, inks_for(sys.stdout.encoding), full):
        click.echo(line)


def glance_lines(
    box: Box, pieces: tuple[Piece, ...], glance: Glance, inks: Inks, full: bool = False
) -> list[str]:
    """The glance in at most 80 columns; `full` names every piece, and not the first few alone."""
    number = places(box, pieces)
    shown = [shorten(f"{box.name}: {count_of(glance.pieces, 'piece')}", 78), ""]
    shown += _count_line("kinds", glance.types) + _count_line("condition", glance.grades)
    spent = ", ".join(cash(amount, code) for code, amount in glance.spent) or "nothing written down"
    shown.append(f"{'spent':<12}{spent}")
    shown += _money_lines(glance)
    shown += ["", "WHAT TO DO"]
    for choice, keys in glance.choices:
        held = named(sorted(number[key] for key in keys), len(keys) if full else NAMED)
        shown += wrapped(f"{WORDS[choice]} ({len(keys)}): {held}")
    shown += ["", "WHEN THEY WERE MADE", *era_lines(glance, inks)]
    if glance.looks:
        shown += ["", "ONE MORE LOOK"]
    for look in glance.looks:
        stake = f", {cash(look.at_stake)} at stake" if look.at_stake is not None else ""
        shown += wrapped(f"{number[look.piece]}: {look.ask} ({look.gain_bits:.2f} bits{stake})")
    return shown


def named(numbers: Sequence[int], most: int) -> str:
    """The first so many numbers, and how many more there are."""
    held = ", ".join(map(str, numbers[:most]))
    more = len(numbers) - most
    return f"{held} and {more:,} more" if more > 0 else held


def _count_line(name: str, counts: tuple[tuple[str, int], ...]) -> list[str]:
    text = ", ".join(f"{count} {words.replace('-', ' ')}" for words, count in counts)
    return wrapped(f"{name:<12}{text}".replace("  ", "\u00a0\u00a0"), "") if counts else []


def _money_lines(glance: Glance) -> list[str]:
    total = glance.total
    if total is None:
        return [f"{'expected':<12}no sold price of a piece like these is known"]
    rest = glance.pieces - total.pieces
    without = f"; {rest} without a price" if rest else ""
    low, high = cash(total.low), cash(total.high, total.currency)
    shown = [f"{'expected':<12}{low} to {high} for {count_of(total.pieces, 'piece')}{without}"]
    if glance.net is not None:
        shown.append(
            f"{'net':<12}{cash(glance.net, total.currency)} after costs and time,"
            f" for {count_of(glance.net_pieces, 'piece')}"
        )
    return shown


def era_lines(glance: Glance, inks: Inks) -> list[str]:
    """A bar for each decade: the number of pieces expected from it; thin ends in one line."""
    most = max((count for _, count in glance.decades), default=0.0)
    held = [decade for decade, count in glance.decades if count >= max(LEAST_SHOWN, most * THIN)]
    if not held:
        return []
    first, last = held[0], held[-1]
    before = sum(count for decade, count in glance.decades if decade < first)
    after = sum(count for decade, count in glance.decades if decade > last)
    rows = [(f"{decade}s", count) for decade, count in glance.decades if first <= decade <= last]
    shown = [(f"before {first}", before)] if before >= LEAST_SHOWN else []
    shown += rows
    shown += [(f"after {last + 9}", after)] if after >= LEAST_SHOWN else []
    return [
        f"  {name:<12}{inks.shades[-1] * min(BAR, round(BAR * count / most)):<{BAR}}{count:>6.1f}"
        for name, count in shown
    ]


def _data(box: Box, pieces: tuple[Piece, ...], glance: Glance) -> dict[str, Any]:
    number = places(box, pieces)
    data = glance_data(glance)
    data["choices"] = {
        choice: [number[key] for key in keys] for choice, keys in data["choices"].items()
    }
    for look in data["looks"]:
        look["piece"] = number[look["piece"]]
    return {"box": printable(box.name), **data}
