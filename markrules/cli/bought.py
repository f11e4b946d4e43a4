"""`markrules piece bought`: how a piece or a box came in, and what it cost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

import click

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.records import Acquisition, Piece
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.telling.words import printable


@click.command("bought")
@click.argument("box")
@click.argument("numbers", type=int, nargs=-1)
@click.option("--cost", default="", metavar="PRICE", help="What it cost: 12.50 EUR.")
@click.option("--day", default="", metavar="DATE", help="When: 2024-06-30, 2024-06 or 2024.")
@click.option("--where", default="", help="Where: a sale, a fair, a house.")
@click.option("--from", "who_from", default="", metavar="NAME", help="From whom.")
@click.option("--note", default="")
@json_option
@who_option
@catalogue_options
def bought_command(
    box: str,
    numbers: tuple[int, ...],
    cost: str,
    day: str,
    where: str,
    who_from: str,
    note: str,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Record how pieces, or a whole BOX where no NUMBERS are said, came in, and what it cost.

    Several pieces that were bought together share what they cost, evenly.

    Second-hand goods may have to be recorded by law where you trade: ask locally what is due.

    \b
    markrules piece bought "attic tin" --cost "40 EUR" --day 2024-06-30 --where "house clearance"
    markrules piece bought "attic tin" 4 5 9 --cost "25 EUR" --where "Sunday fair"
    """
    minor, currency = parse_price(cost) if cost else (None, "")
    several = tuple(dict.fromkeys(numbers))
    if len(several) > 1 and minor is None:
        raise click.UsageError("Several pieces bought together share what they cost: say --cost")
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        if minor is not None and len(several) > 1:
            from markrules.tasks.accounting import bought_together

            pieces = [catalogue.pieces.numbered(found, each) for each in several]
            shared = bought_together(
                catalogue,
                pieces,
                minor,
                currency,
                when=day,
                where=where,
                who_from=who_from,
                note=note,
                who=who,
            )
            _tell_shared(pieces, shared, as_json)
            return
        number = several[0] if several else None
        acquired = catalogue.money.record_acquisition(
            catalogue.pieces.numbered(found, number) if number is not None else found,
            when=day,
            where=where,
            who_from=who_from,
            cost_minor=minor,
            currency=currency,
            note=note,
            who=who,
        )
    if as_json:
        write_json(_acquired_data(acquired), "bought")
    else:
        price = show_price(minor, currency) if minor is not None else ""
        parts = [price, acquired.when, acquired.where, acquired.who_from]
        click.echo(
            f"Recorded: {printable(', '.join(part for part in parts if part)) or 'no details'}"
        )


def _tell_shared(pieces: Sequence[Piece], shared: Sequence[Acquisition], as_json: bool) -> None:
    """Tell each piece's part of what they cost together."""
    if as_json:
        write_json([_acquired_data(each) for each in shared], "bought-together")
        return
    for piece, each in zip(pieces, shared, strict=True):
        click.echo(f"Piece {piece.number}: {show_price(each.cost_minor or 0, each.currency)}")


def _acquired_data(acquired: Acquisition) -> dict[str, Any]:
    return {
        "number": acquired.id,
        "box": acquired.box,
        "piece": acquired.piece,
        "day": acquired.when,
        "where": acquired.where,
        "from": acquired.who_from,
        "cost_minor": acquired.cost_minor,
        "currency": acquired.currency,
        "note": acquired.note,
    }
