"""`markrules piece bought`: how a piece or a box came in, and what it cost."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.records import Acquisition
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, write_json
from markrules.telling.words import printable


@click.command("bought")
@click.argument("box")
@click.argument("number", type=int, required=False)
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
    number: int | None,
    cost: str,
    day: str,
    where: str,
    who_from: str,
    note: str,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Record how a piece, or a whole BOX where no NUMBER is said, came in, and what it cost.

    Second-hand goods may have to be recorded by law where you trade: ask locally what is due.

    \b
    markrules piece bought "attic tin" --cost "40 EUR" --day 2024-06-30 --where "house clearance"
    """
    minor, currency = parse_price(cost) if cost else (None, "")
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
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
