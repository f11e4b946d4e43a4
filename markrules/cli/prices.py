"""`markrules prices`: sold prices, your own and others'."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.records import Sale
from markrules.cli.bad_lines import tell_bad_lines
from markrules.cli.box_importing import days_option
from markrules.cli.catalogue import catalogue_options, opened, opened_if_there, who_option
from markrules.cli.common import json_option, write_json
from markrules.cli.groups import WholeSummaries
from markrules.named_path import NamedPath
from markrules.telling.words import printable, shorten

if TYPE_CHECKING:
    from markrules.catalogue.days import Order


@click.group(cls=WholeSummaries)
def command() -> None:
    """Sold prices: record them, import them, list them.

    \b
    markrules prices add 34.50 EUR --type brooch --maker "" --day 2024-06-30
    markrules prices import sold.csv
    markrules prices list
    """


@command.command("add")
@click.argument("price")
@click.argument("currency", required=False, default="")
@click.option("--day", required=True, metavar="DATE", help="When it was sold: 2024-06-30.")
@click.option("--type", "piece_type", default="", help="The type of piece: brooch, ring …")
@click.option("--maker", default="", help="The maker's name; nothing where not known.")
@click.option("--years", default="", metavar="FROM-TO", help="When it was made: 1950-1965.")
@click.option("--condition", default="", help="Its condition, in a word or two.")
@click.option("--signed/--unsigned", default=None, help="Whether it bears a maker's mark.")
@click.option("--note", default="")
@click.option("--link", default="", help="Where the sale can be looked up.")
@click.option(
    "--of",
    "of",
    nargs=2,
    type=(str, int),
    default=None,
    metavar="BOX NUMBER",
    help="The piece of the catalogue that was sold.",
)
@json_option
@who_option
@catalogue_options
def add(
    price: str,
    currency: str,
    day: str,
    piece_type: str,
    maker: str,
    years: str,
    condition: str,
    signed: bool | None,
    note: str,
    link: str,
    of: tuple[str, int] | None,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Record that a piece was sold for PRICE.

    \b
    markrules prices add 34.50 EUR --day 2024-06-30 --type brooch --unsigned --years 1950-1965
    markrules prices add "£120" --day 2024-05 --of "attic tin" 3
    """
    from markrules.catalogue.pricelist import years_of

    minor, code = parse_price(price, currency)
    first, last = years_of(years)
    with opened(place, create=True) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(of[0]), of[1]).id if of else None
        sale = Sale(
            0,
            piece,
            day,
            minor,
            code,
            maker,
            piece_type,
            first,
            last,
            condition,
            signed,
            note,
            link,
        )
        catalogue.money.record_sales([sale], who)
    if as_json:
        write_json(_data(sale), "sale")
    else:
        click.echo(f"Recorded: {_line(sale)}")


@command.command("import")
@click.argument("file", type=NamedPath(path_type=Path))
@click.option("--currency", default="", help="The currency of prices that name none.")
@days_option
@click.option("--dry-run", is_flag=True, help="Show what would be recorded; record nothing.")
@click.option("--skip-bad", is_flag=True, help="Record the good lines though others are bad.")
@json_option
@who_option
@catalogue_options
def import_prices(
    file: Path,
    currency: str,
    days: Order | None,
    dry_run: bool,
    skip_bad: bool,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Record sold prices from FILE: CSV, XLSX or JSON Lines.

    Headings: date, price, currency, maker, type, era (1950-1965), condition, signed (yes or no),
    material, size (45 mm), subject, venue, fees, postage, paid postage, note, link. Date and
    price are needed. All lines are recorded or none; those that are recorded already, have a
    price of nothing, a day to come or a type that the rules do not know are bad lines.

    \b
    markrules prices import sold.csv --currency EUR --dry-run
    """
    from markrules.catalogue.brought_tables import rows_of
    from markrules.cli.common import open_knowledge
    from markrules.tasks.selling import prices_in

    with opened_if_there(place) as catalogue:
        recorded = catalogue.money.sales() if catalogue is not None else ()
        own = catalogue.figures.all().get("currency", "") if catalogue is not None else ""
    found = prices_in(open_knowledge(()), rows_of(file), recorded, currency or own, days)
    sales, errors, reading = found.sales, found.errors, found.days
    good = bool(sales) and (skip_bad or not errors) and not dry_run
    if good:
        with opened(place, create=True) as catalogue:
            catalogue.money.record_sales(sales, who)
    if as_json:
        write_json(
            {
                "lines_good": len(sales),
                "recorded": len(sales) if good else 0,
                "days": reading.words,
                "errors": [{"line": line, "error": error} for line, error in errors],
            },
            "prices-import",
        )
    else:
        if reading.words:
            click.echo(printable(reading.words))
        tell_bad_lines(file, errors)
        for sale in sales[:5] if dry_run else ():
            click.echo(_line(sale))
        told = f"{len(sales)} sold prices recorded" if good else "Nothing was recorded"
        click.echo(told + (f" (dry run): {len(sales)} good lines" if dry_run else ""))
    if errors and not (skip_bad and sales):
        raise SystemExit(1)


@command.command("list")
@click.option("--limit", default=50, show_default=True, type=click.IntRange(1, 1_000_000))
@json_option
@catalogue_options
def list_prices(limit: int, as_json: bool, place: Path | None) -> None:
    """List sold prices, newest first, each with its number.

    \b
    markrules prices list
    """
    with opened(place) as catalogue:
        sales = catalogue.money.sales()[::-1][:limit]
    if as_json:
        write_json([_data(sale) for sale in sales], "sales")
        return
    for sale in sales:
        click.echo(f"{sale.id:>6}  {_line(sale)}")
    if not sales:
        click.echo("No sold prices yet: markrules prices add, or import")


@command.command("drop")
@click.argument("number", type=int)
@json_option
@who_option
@catalogue_options
def drop(number: int, as_json: bool, who: str, place: Path | None) -> None:
    """Count the sold price of that NUMBER no longer; `markrules box undo` brings it back.

    \b
    markrules prices drop 12
    """
    with opened(place) as catalogue:
        catalogue.money.take_out_sale(number, who)
    if as_json:
        write_json({"dropped": number}, "price-dropped")
    else:
        click.echo(f"Sold price {number} no longer counts")


def _line(sale: Sale) -> str:
    years = f"{sale.first_year}–{sale.last_year}" if sale.first_year is not None else ""
    signed = {True: "signed", False: "unsigned", None: ""}[sale.signed]
    words = [sale.piece_type, sale.maker, years, signed, sale.condition, sale.note]
    text = shorten(", ".join(word for word in words if word), 60)
    price = show_price(sale.price_minor, sale.currency)
    return printable(f"{sale.when:<10}  {price:>14}  {text}").rstrip()


def _data(sale: Sale) -> dict[str, Any]:
    return {
        "number": sale.id,
        "piece": sale.piece,
        "day": sale.when,
        "price_minor": sale.price_minor,
        "currency": sale.currency,
        "price": show_price(sale.price_minor, sale.currency),
        "maker": sale.maker,
        "type": sale.piece_type,
        "years": [sale.first_year, sale.last_year],
        "condition": sale.condition,
        "signed": sale.signed,
        "note": sale.note,
        "link": sale.link,
    }
