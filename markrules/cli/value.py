"""`markrules value`: what state a piece is in, what it may fetch, and from which sales."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import click

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.melt import Melt
from markrules.appraisal.value import OF_ONE_SALE, Carried, Valuation
from markrules.appraisal.worth_data import appraisal_data
from markrules.cli.catalogue import catalogue_options
from markrules.cli.common import columns, json_option, rules_options, write_json
from markrules.cli.worth_shared import WIDEST, appraised, cash, wrapped
from markrules.inference.chances import percent
from markrules.telling.words import printable, shorten

SALES_SHOWN = 10


@click.command()
@click.argument("box", required=False)
@click.argument("number", type=int, required=False)
@click.option("--note", metavar="TEXT", help="A piece described here, not in the catalogue.")
@json_option
@rules_options
@catalogue_options
def command(
    box: str | None,
    number: int | None,
    note: str | None,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    place: Path | None,
) -> None:
    """Tell the condition of a piece and what it may fetch, from sold prices of pieces like it.

    Prices come from `markrules prices add` and `import`, and from nowhere else: without any
    there is no value. The range holds the next such sale four times in five.

    \b
    markrules value "attic tin" 3
    markrules value --note "brooch, unsigned, one stone missing, plating worn"
    """
    title, found = appraised(place, box, number, note, rule_folders)
    if as_json:
        write_json(appraisal_data(found), "appraisal")
        return
    click.echo(shorten(title, columns(most=WIDEST)))
    for line in [*condition_lines(found), "", *value_lines(found.valuation)]:
        click.echo(line)
    for line in melt_lines(found.melt, found.decision.floor):
        click.echo(line)


def condition_lines(found: Appraisal) -> list[str]:
    """The condition: grade, reasons, what was changed, what is wanting, what can be mended."""
    condition = found.condition
    shown = [f"CONDITION: {condition.words}"]
    for reason in condition.reasons:
        shown += wrapped(reason)
    if condition.completeness.counted:
        shown += wrapped("All stones are there.")
    for each in condition.changed:
        part = each.part.replace("-", " ")
        shown += wrapped(f"{part}: thought not the first, {percent(each.probability)}. {each.why}")
    for flaw in condition.flaws:
        where = "mends at home" if flaw.mend == "home" else "mends partly" if flaw.at_home else ""
        where = where or ("workshop only" if flaw.mend == "trade" else "does not mend")
        how = f": {flaw.how}" if flaw.how else ""
        shown += wrapped(f"{flaw.fault.replace('-', ' ')} {where}{how}", "  - ")
        shown += wrapped(f"Mind: {flaw.caution}", "    ") if flaw.caution else []
    return shown


def value_lines(valuation: Valuation) -> list[str]:
    """The estimate, each sale that carries it, and those set aside."""
    found = valuation.estimate
    shown = []
    if found is not None:
        low, high = cash(found.low), cash(found.high, found.currency)
        if found.low < found.high:
            shown.append(f"VALUE: {low} to {high}, middle {cash(found.middle)}")
        else:
            shown.append(f"VALUE: {high}, for its metal")
        many = len(found.carried)
        told = any(OF_ONE_SALE in each for each in valuation.words)
        what = f"{found.mass:.0%} range for the next sale, from"
        what = what if found.low < found.high else "the sales like it tell of less:"
        shown.append(
            f"  {what} {many} sale{'s' if many > 1 else ''}"
            + ("" if told else f" that count as {found.effective:.1f} of the very same piece")
        )
        shown += [_sale_line(each) for each in found.carried[:SALES_SHOWN]]
        more = many - SALES_SHOWN
        shown += [f"  and {more} more (--json shows all)"] if more > 0 else []
    else:
        shown.append("VALUE: none")
    for words in valuation.words:
        shown += wrapped(words)
    return shown


def _sale_line(each: Carried) -> str:
    sale = each.sale
    what = ", ".join(part for part in (sale.piece_type, sale.maker, sale.condition) if part)
    counted = "" if abs(each.counted - each.price) < 0.005 else f" as {cash(each.counted)}"
    return printable(
        f"  {each.share:>4.0%}  {sale.when:<10} {cash(each.price)}{counted}  {shorten(what, 40)}"
    ).rstrip()


def _from_to(low: str, high: str) -> str:
    """A range in words; where both ends read alike, that alone."""
    return low if low == high else f"{low} to {high}"


def melt_lines(melt: Melt | None, floor: Fraction | None) -> list[str]:
    """The metal that the mark claims, and the `floor`: what a refiner pays for it at least."""
    if melt is None:
        return []
    shown = ["", f"METAL: {melt.how} {printable(melt.mark)}, {melt.metal}"]
    if melt.grams is not None:
        grams = _from_to(f"{melt.grams.low:.2f}", f"{melt.grams.high:.2f}")
        shown.append(f"  fine metal {grams} g")
    if melt.value is not None:
        value = _from_to(cash(melt.value.low), cash(melt.value.high))
        shown.append(f"  melt value {value}")
    if floor is not None:
        shown.append(f"  a refiner pays {cash(float(floor))} at least: the floor")
    for words in (*melt.words, melt.test):
        shown += wrapped(words) if words else []
    return shown
