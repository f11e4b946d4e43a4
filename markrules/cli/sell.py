"""`markrules sell`: what became of pieces, what they cost and left, and the report of it all."""

from __future__ import annotations

import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.records import Sale
from markrules.cli.catalogue import catalogue_options, opened, who_option
from markrules.cli.common import json_option, open_reader, rules_options, write_json
from markrules.cli.groups import WholeSummaries
from markrules.cli.worth_shared import wrapped
from markrules.named_path import NamedPath
from markrules.telling.words import plain, printable, years

if TYPE_CHECKING:
    from markrules.appraisal.accounts import AccountLine, PieceStanding, Report

BAR = 24
"""Cells of the longest bar of the chart."""


@click.group(cls=WholeSummaries)
def command() -> None:
    """Selling: sold, returned, listed, stored; what a piece cost and left; the report.

    \b
    markrules sell sold "attic tin" 3 --price "34.50 EUR" --venue "Sunday fair" --fees 2
    markrules sell listed "attic tin" 4 --price "40 EUR" --venue "web shop"
    markrules sell stored "attic tin" 4 "shelf B, bag 12"
    markrules sell report --by month
    """


@command.command("sold")
@click.argument("box")
@click.argument("numbers", type=int, nargs=-1, required=True)
@click.option("--price", required=True, metavar="PRICE", help="What the buyer paid: 34.50 EUR.")
@click.option("--day", default="", metavar="DATE", help="When: 2024-06-30. Today where not said.")
@click.option("--venue", default="", help="Where it was sold: a fair, a shop, a site.")
@click.option("--fees", default="", metavar="PRICE", help="What the venue kept: 4.50, or 13%.")
@click.option("--postage", default="", metavar="PRICE", help="What sending it cost you.")
@click.option("--paid-postage", default="", metavar="PRICE", help="What the buyer paid for it.")
@click.option("--condition", default="", help="What the buyer was told of its condition.")
@click.option("--note", default="")
@click.option("--link", default="")
@json_option
@who_option
@rules_options
@catalogue_options
def sold(
    box: str,
    numbers: tuple[int, ...],
    price: str,
    day: str,
    venue: str,
    fees: str,
    postage: str,
    paid_postage: str,
    condition: str,
    note: str,
    link: str,
    as_json: bool,
    who: str,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Record that a piece was sold: several NUMBERS, where they went together for one price.

    What is known of the piece goes into the sale, and the piece leaves its box; `markrules box
    undo` takes both back. The sale counts for the next estimate at once.

    \b
    markrules sell sold "attic tin" 3 --price "34.50 EUR" --venue "Sunday fair"
    markrules sell sold "attic tin" 5 6 --price "60 GBP" --fees 7.80 --postage 4 --paid-postage 4
    """
    from markrules.tasks.reading_pieces import ReadPieces
    from markrules.tasks.selling import sell, terms_said

    with opened(place) as catalogue:
        terms = terms_said(
            price,
            currency=catalogue.figures.all().get("currency", ""),
            day=day,
            venue=venue,
            fees=fees,
            postage=postage,
            paid_postage=paid_postage,
            condition=condition,
            note=note,
            link=link,
        )
        found = catalogue.boxes.named(box)
        pieces = [catalogue.pieces.numbered(found, number) for number in dict.fromkeys(numbers)]
        sales = sell(ReadPieces(open_reader(rule_folders)), catalogue, pieces, terms, who)
    if as_json:
        write_json([_sale_data(sale) for sale in sales], "sold")
        return
    for piece, sale in zip(pieces, sales, strict=True):
        click.echo(f"Sold {piece.number} for {show_price(sale.price_minor, sale.currency)}")
        for line in wrapped(f"sale {sale.id} keeps: {', '.join(_kept(sale))}"):
            click.echo(line)


@command.command("returned")
@click.argument("sale", type=int)
@click.option("--day", default="", metavar="DATE", help="When it came back. Today where not said.")
@click.option("--note", default="")
@json_option
@who_option
@catalogue_options
def returned(sale: int, day: str, note: str, as_json: bool, who: str, place: Path | None) -> None:
    """Record that the piece of the SALE of that number came back.

    Its price counts no more, what the sale cost stays a cost, and the piece is in its box again.

    \b
    markrules sell returned 12 --day 2024-07-04 --note "clasp too stiff"
    """
    with opened(place) as catalogue:
        found = catalogue.money.take_return(sale, day, note, who)
    if as_json:
        write_json(_sale_data(found), "sale-returned")
    else:
        click.echo(f"Sale {sale} came back on {found.returned}; the piece is in its box again")


@command.command("listed")
@click.argument("box")
@click.argument("number", type=int)
@click.option("--price", default="", metavar="PRICE", help="What is asked for it.")
@click.option("--venue", default="", help="Where it is offered.")
@click.option("--day", default="", metavar="DATE", help="Since when. Today where not said.")
@click.option("--down", is_flag=True, help="It was taken down.")
@click.option("--again", is_flag=True, help="As it was listed last, where not said otherwise.")
@click.option("--note", default="")
@json_option
@who_option
@catalogue_options
def listed(
    box: str,
    number: int,
    price: str,
    venue: str,
    day: str,
    down: bool,
    again: bool,
    note: str,
    as_json: bool,
    who: str,
    place: Path | None,
) -> None:
    """Record where a piece is offered and at what price, anew or again; or that it is not.

    \b
    markrules sell listed "attic tin" 4 --price "40 EUR" --venue "web shop"
    markrules sell listed "attic tin" 4 --down
    markrules sell listed "attic tin" 4 --again --price "35 EUR"
    """
    from markrules.tasks.accounting import standing

    minor, currency = parse_price(price) if price else (None, "")
    if down and again:
        raise click.UsageError("--down takes it down, --again lists it: say one of them")
    with opened(place) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(box), number)
        if again:
            stands = standing(catalogue, piece)
            last = stands.listed or stands.offered
            if last is None:
                raise click.UsageError("It was never listed: say --price and --venue")
            venue = venue or last.place
            if minor is None:
                minor, currency = last.price_minor, last.currency
        event = catalogue.money.record_event(
            piece,
            "unlisted" if down else "listed",
            day=day,
            place=venue,
            price_minor=minor,
            currency=currency,
            note=note,
            who=who,
        )
    if as_json:
        write_json({"piece": number, "entry": event.kind, "day": event.day}, "listed")
    else:
        click.echo(printable(f"Piece {number}: {event.kind} on {event.day}"))


@command.command("stored")
@click.argument("box")
@click.argument("number", type=int)
@click.argument("where")
@click.option("--day", default="", metavar="DATE", help="Since when. Today where not said.")
@json_option
@who_option
@catalogue_options
def stored(
    box: str, number: int, where: str, day: str, as_json: bool, who: str, place: Path | None
) -> None:
    """Record WHERE a piece lies: shelf and bag; an empty WHERE takes it out.

    \b
    markrules sell stored "attic tin" 4 "shelf B, bag 12"
    """
    with opened(place) as catalogue:
        piece = catalogue.pieces.numbered(catalogue.boxes.named(box), number)
        event = catalogue.money.record_event(piece, "stored", day=day, place=where, who=who)
    if as_json:
        write_json({"piece": number, "stored": event.place, "day": event.day}, "stored")
    else:
        click.echo(f"Piece {number}: {printable(event.place) or 'not stored'} since {event.day}")


@command.command("cost")
@click.argument("purchase", type=int)
@click.argument("cost")
@json_option
@who_option
@catalogue_options
def cost_command(purchase: int, cost: str, as_json: bool, who: str, place: Path | None) -> None:
    """Correct what the PURCHASE of that number cost; an empty COST: not known.

    `markrules piece bought` records purchases, of a piece or of a whole box; what a box cost is
    shared by its pieces.

    \b
    markrules sell cost 2 "45 EUR"
    """
    minor, currency = parse_price(cost) if cost.strip() else (None, "")
    with opened(place) as catalogue:
        found = catalogue.money.correct_acquisition(
            purchase, cost_minor=minor, currency=currency, who=who
        )
    if as_json:
        write_json({"purchase": purchase, "cost_minor": minor, "currency": currency}, "cost")
    else:
        known = found.cost_minor is not None
        told = show_price(found.cost_minor or 0, found.currency) if known else "not known"
        click.echo(f"Purchase {purchase} cost: {told}")


@command.command("show")
@click.argument("box")
@click.argument("number", type=int)
@json_option
@catalogue_options
def show(box: str, number: int, as_json: bool, place: Path | None) -> None:
    """Show how a piece stands: cost, asking price, where it is, what it was sold for, net.

    \b
    markrules sell show "attic tin" 4
    """
    from markrules.tasks.accounting import standing

    with opened(place) as catalogue:
        found = standing(catalogue, catalogue.pieces.numbered(catalogue.boxes.named(box), number))
    if as_json:
        write_json(_standing_data(found), "standing")
        return
    for line in standing_lines(found):
        click.echo(line)


def _kept(sale: Sale) -> list[str]:
    """All that a sale keeps of its piece, as words."""
    signed = {True: "signed", False: "unsigned", None: "not told whether signed"}[sale.signed]
    known = sale.first_year is not None or sale.last_year is not None
    stuffs = [plain(each.strip()) for each in sale.material.split(";")]
    words = [
        sale.piece_type,
        sale.maker or signed,
        years(sale.first_year, sale.last_year) if known else "",
        *stuffs,
        f"{sale.size_mm:g} mm" if sale.size_mm is not None else "",
        *(plain(each.strip()) for each in sale.subject.split(";")),
        sale.condition or "condition not stated",
    ]
    return [each for each in words if each]


def standing_lines(found: PieceStanding) -> list[str]:
    """How a piece stands, a line for each thing that is known."""
    rows: list[tuple[str, str]] = []
    if found.cost is not None:
        shared = ", its part of the lot" if found.cost.shared else ""
        rows.append(("cost", show_price(found.cost.minor, found.cost.currency) + shared))
    else:
        rows.append(("cost", "not recorded"))
    if found.listed is not None:
        each = found.listed
        asked = show_price(each.price_minor, each.currency) if each.price_minor else "no price"
        rows.append(("listed", f"{asked}, {each.place or 'no venue said'}{_since(each.day)}"))
    if found.stored is not None:
        rows.append(("stored", f"{found.stored.place}{_since(found.stored.day)}"))
    for sale in found.returned:
        price = show_price(sale.price_minor, sale.currency)
        rows.append(("came back", f"{sale.returned}, sold for {price} on {sale.when}"))
    if found.sold is not None:
        sale = found.sold
        price = show_price(sale.price_minor, sale.currency)
        rows.append(("sold", f"{price} on {sale.when}, {sale.venue or 'no venue said'}"))
        net = found.net_minor
        less = "fees, postage and cost" if found.cost else "fees and postage; its cost is not known"
        told = show_price(net, sale.currency) if net is not None else "not counted: two currencies"
        rows.append(("net", f"{told}, after {less}" if net is not None else told))
    return [printable(f"{name:<10}{text}") for name, text in rows]


def _since(day: str) -> str:
    return f", since {day}" if day else ""


def _starts(text: str) -> tuple[int, int]:
    try:
        day = datetime.date.fromisoformat(f"2024-{text}")
    except ValueError:
        raise click.UsageError(f'"{text}" is no day of a year: write it like 04-06') from None
    return day.month, day.day


@command.command("report")
@click.option(
    "--by",
    type=click.Choice(["box", "month", "year", "venue"]),
    default="month",
    show_default=True,
)
@click.option(
    "--year-starts",
    default="01-01",
    show_default=True,
    metavar="MM-DD",
    help="The day on which the year begins that you are taxed by.",
)
@click.option(
    "--output",
    type=NamedPath(path_type=Path, dir_okay=False),
    help="Write it as .csv (what is unsold beside it, in -unsold.csv), or as .xlsx with a chart.",
)
@json_option
@catalogue_options
def report_command(
    by: Any, year_starts: str, output: Path | None, as_json: bool, place: Path | None
) -> None:
    """What was bought and sold: taken, fees, cost, net, days to sell, and what is unsold by age.

    Each currency stands by itself. A sale counts when it was sold, what was given back when it
    came back. These are sums of what you recorded, and no tax advice.

    \b
    markrules sell report --by box
    markrules sell report --by year --year-starts 04-06 --output year.xlsx
    """
    from markrules.tasks.accounting import accounts, stock_table, table_of, write_report

    with opened(place) as catalogue:
        found = accounts(catalogue, by, _starts(year_starts))
    written = write_report(found, output) if output is not None else ()
    if as_json:
        head, *rows = table_of(found)
        stock_head, *stock = stock_table(found)
        write_json(
            {
                "by": by,
                "lines": [dict(zip(head, row, strict=True)) for row in rows],
                "unsold": [dict(zip(stock_head, row, strict=True)) for row in stock],
            },
            "report",
        )
        return
    for line in report_lines(found):
        click.echo(line)
    for file in written:
        click.echo(f"Written: {printable(str(file))}")


def report_lines(found: Report) -> list[str]:
    """The report for a terminal: figures, bars of what was left, and what is unsold."""
    from markrules.appraisal.accounts import AS_IT_HAPPENED, CAUTION
    from markrules.catalogue.amounts import decimals_of
    from markrules.tasks.accounting import COST_UNKNOWN, stock_table

    if not found.lines and not found.stock:
        return ["Nothing bought or sold is recorded: markrules piece bought, markrules sell sold"]
    most = max((abs(line.net) for line in found.lines), default=0) or 1
    shown = []
    for line in found.lines:
        shown.append(printable(f"{line.group}  ({line.currency})"))
        shown += [f"  {printable(text)}" for text in _line_texts(line)]
        cells = round(BAR * abs(line.net) / most)
        shown.append(f"  net {'less ' if line.net < 0 else ''}{'█' * cells or '·'}")
    head, *rows = stock_table(found)
    if rows or found.unpriced:
        shown += ["", "UNSOLD", f"  {head[1]:<18}{head[2]:>8}{head[3]:>14}"]
        for currency, words, pieces, cost in rows:
            amount = f"{cost:,.{decimals_of(currency)}f} {currency}"
            shown.append(f"  {words:<18}{pieces:>8}{amount:>14}")
        if found.unpriced:
            shown.append(f"  {COST_UNKNOWN:<18}{found.unpriced:>8}")
    if any(line.returned for line in found.lines):
        shown += ["", *wrapped(AS_IT_HAPPENED, "")]
    return [*shown, "", *wrapped(CAUTION, "")]


def _line_texts(line: AccountLine) -> list[str]:
    def money(minor: int) -> str:
        return show_price(minor, line.currency).rsplit(" ", 1)[0]

    texts = [f"bought for {money(line.bought)}"] if line.bought else []
    if line.sold or line.returned:
        texts.append(f"sold {line.sold} for {money(line.taken)}")
        if line.returned:
            texts.append(f"{line.returned} came back, given back {money(line.refunded)}")
        texts.append(
            f"fees {money(line.fees)}, postage {money(line.postage)}, cost {money(line.cost)},"
            f" net {money(line.net)}"
        )
    if line.without_cost:
        texts.append(f"of {line.without_cost} sold no cost in {line.currency} is known")
    if line.days is not None:
        texts.append(f"days to sell: {line.days:g} in the middle")
    return texts


def _sale_data(sale: Sale) -> dict[str, Any]:
    import dataclasses

    return dataclasses.asdict(sale)


def _standing_data(found: PieceStanding) -> dict[str, Any]:
    import dataclasses

    return {**dataclasses.asdict(found), "net_minor": found.net_minor}
