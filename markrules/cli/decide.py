"""`markrules decide`: what to do with a piece, or with every piece of a box."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.box import BoxAppraisal
from markrules.appraisal.deciding import Decision, Weighed
from markrules.appraisal.options import WORDS
from markrules.appraisal.set_worth import SetWorth
from markrules.appraisal.worth_data import appraisal_data, box_data
from markrules.catalogue.records import Box, Piece
from markrules.cli.catalogue import catalogue_options, opened, what, who_option
from markrules.cli.common import columns, json_option, rules_options, write_json
from markrules.cli.worth_shared import WIDEST, appraised, cash, desk, empty_words, places, wrapped
from markrules.tasks.appraising import appraise_pieces, keep_decision
from markrules.tasks.on_several import keep_decisions
from markrules.telling.words import count_of, listed, padded, printable, shorten

LAWFUL = ("test", "specialist", "melt")
"""Choices whose decision shows what the rules say of the law."""


@click.command()
@click.argument("box", required=False)
@click.argument("number", type=int, required=False)
@click.option("--note", metavar="TEXT", help="A piece described here, not in the catalogue.")
@click.option(
    "--figure", "what_if", multiple=True, metavar="NAME=VALUE", help="A figure for this run only."
)
@click.option("--save", is_flag=True, help="Keep the decision in the catalogue.")
@json_option
@rules_options
@who_option
@catalogue_options
def command(
    box: str | None,
    number: int | None,
    note: str | None,
    what_if: tuple[str, ...],
    save: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
    place: Path | None,
) -> None:
    """Decide what to do with a piece: sell alone or in a lot, mend, keep for stones, test ...

    The rules say what may be done; your own figures (`markrules figures`) and sold prices
    (`markrules prices`) say what pays. With BOX alone, every piece of it is decided, and what
    --save keeps is one step: one `markrules box undo` takes it back.

    \b
    markrules decide "attic tin" 3
    markrules decide "attic tin" --save
    markrules decide --note "brooch, one stone missing" --figure hour=15 --figure fee=10%
    """
    if save and note is not None:
        raise click.UsageError("--save keeps decisions on pieces of the catalogue; a note is none")
    if box is not None and number is None and note is None:
        _decide_box(place, box, what_if, save, as_json, rule_folders, who)
        return
    title, found = appraised(place, box, number, note, rule_folders, what_if)
    if save and box is not None and number is not None:
        with opened(place) as catalogue:
            keep_decision(
                catalogue, catalogue.pieces.numbered(catalogue.boxes.named(box), number), found, who
            )
    if as_json:
        write_json(appraisal_data(found), "appraisal")
        return
    click.echo(shorten(title, columns(most=WIDEST)))
    for line in decision_lines(found):
        click.echo(line)


def decision_lines(found: Appraisal) -> list[str]:
    """The choice, the reasons, the sums of each choice, and where it would flip."""
    decision = found.decision
    estimate = found.valuation.estimate
    currency = estimate.currency if estimate is not None else ""
    shown = [f"DECISION: {decision.words}"]
    for reason in decision.reasons:
        shown += wrapped(reason)
    condition = found.condition
    against = f". {condition.against}" if condition.against else ""
    shown += wrapped(f"condition: {condition.words}{against}")
    shown += _flip_lines(decision, currency)
    if decision.choice in LAWFUL:
        for caution in found.reading.cautions:
            shown += wrapped(caution.say, "  ! ") if caution.level == "law" else []
    shown.append("")
    if decision.price is not None:
        shown.append(f"SUMS, at an expected price of {cash(decision.price, currency)} as it is")
    else:
        shown.append("SUMS (no price is known)")
    for each in decision.weighed:
        shown += _sum_lines(each, decision)
    if decision.wanting:
        names = ", ".join(decision.wanting)
        shown += [
            "",
            *wrapped(f"To count more, set these with `markrules figures set`: {names}", ""),
        ]
    return shown


def _flip_lines(decision: Decision, currency: str) -> list[str]:
    shown = []
    if decision.runner_up is not None:
        shown.append(f"  next best: {WORDS[decision.runner_up]}")
    for flip in decision.flips:
        side = "above" if flip.above else "below"
        shown.append(f"  {side} {cash(flip.price, currency)} it would be: {WORDS[flip.to]}")
    if decision.by == "rule":
        shown.append("  no price would change that")
    elif decision.by == "money" and decision.price is not None and not decision.flips:
        shown.append("  no price of the piece as it is would change that")
    return shown


def _sum_lines(each: Weighed, decision: Decision) -> list[str]:
    net = cash(each.net) if each.net is not None else "not counted"
    minutes = f", {float(each.option.minutes):.0f} min" if each.option.minutes else ""
    shown = [f"  {WORDS[each.choice]}: {net}{minutes}"]
    if each.against:
        return [*shown, *wrapped(f"ruled out: {' '.join(each.against)}", "      ")]
    if each.option.missing:
        return [*shown, *wrapped(f"wants: {', '.join(each.option.missing)}", "      ")]
    for one in each.option.sums:
        amount = one.at(decision.price)
        if amount is None or amount:
            shown.append(f"      {cash(amount):>10}  {printable(one.what)}")
    return shown


def _decide_box(
    place: Path | None,
    box: str,
    what_if: tuple[str, ...],
    save: bool,
    as_json: bool,
    rule_folders: tuple[Path, ...],
    who: str,
) -> None:
    with opened(place) as catalogue:
        found = catalogue.boxes.named(box)
        pieces = catalogue.pieces.all(found)
        whole = appraise_pieces(desk(rule_folders, catalogue, what_if), catalogue, pieces)
        if save:
            keep_decisions(catalogue, pieces, whole, who)
    if as_json:
        write_json(_box_json(found, pieces, whole), "decisions")
        return
    if not pieces:
        click.echo(empty_words(found))
        return
    for line in _box_lines(found, pieces, whole):
        click.echo(line)


def _box_lines(box: Box, pieces: tuple[Piece, ...], whole: BoxAppraisal) -> list[str]:
    number = places(box, pieces)
    shown = [shorten(f"{box.name}: {count_of(len(pieces), 'piece')}", columns(most=WIDEST)), ""]
    room = columns(most=WIDEST) - 44
    shown.append(f"{'NO':<5}{'PIECE':<{room}}{'WHAT TO DO':<29}{'NET':>10}")
    for piece in pieces:
        decision = whole.pieces[piece.id].decision
        net = cash(decision.best.net)
        shown.append(
            f"{piece.number:<5}{padded(shorten(what(piece), room - 1), room)}"
            f"{shorten(decision.words, 28):<29}{net:>10}"
        )
    for count, lot in enumerate(whole.lots, 1):
        kind = " ".join(part.replace("-", " ") for part in (lot.colour, lot.kind) if part)
        held = ", ".join(str(number[each.key]) for each in lot.pieces)
        title = f"LOT {count}: {kind or 'mixed'}, {lot.years[0]}–{lot.years[1]}: {held}"
        shown += ["", *wrapped(title, "")] if count == 1 else wrapped(title, "")
    for each in whole.sets:
        shown += ["", *wrapped(_set_words(each, number), "")]
    if whole.lone:
        held = ", ".join(str(number[key]) for key in whole.lone)
        shown += ["", *wrapped(f"Too few for a lot yet, keep for the next: {held}", "")]
    for mate in whole.mates[:20]:
        words = "may be a pair" if mate.pair else "may be of one set"
        shown.append(
            f"{number[mate.one]} and {number[mate.other]} {words} ({mate.alike:.0%} alike)"
        )
    wanting = dict.fromkeys(n for each in whole.pieces.values() for n in each.decision.wanting)
    if wanting:
        names = ", ".join(wanting)
        shown += [
            "",
            *wrapped(f"To count more, set these with `markrules figures set`: {names}", ""),
        ]
    return shown


def _set_words(worth: SetWorth, number: Mapping[int, int]) -> str:
    """`SET: 1 and 4: whole 30 to 80 EUR, middle 50; one by one 41`."""
    held = listed([str(number[key]) for key in worth.pieces if key in number])
    away = sum(key not in number for key in worth.pieces)
    held += f" and {away} elsewhere" if away else ""
    found = worth.whole
    whole = (
        f"whole {cash(found.low)} to {cash(found.high, found.currency)}, middle"
        f" {cash(found.middle)}, by sales of sets"
        if found is not None
        else "no sale of a set is known, so its price is that of its pieces"
    )
    parts = f"; one by one {cash(worth.parts)}" if worth.parts is not None else ""
    return f"SET: {held}: {whole}{parts}"


def _box_json(box: Box, pieces: tuple[Piece, ...], whole: BoxAppraisal) -> dict[str, Any]:
    number = places(box, pieces)
    data = box_data(whole)
    for lot in data["lots"]:
        lot["pieces"] = [number[key] for key in lot["pieces"]]
    data["too_few_for_a_lot"] = [number[key] for key in data["too_few_for_a_lot"]]
    for each in data["sets"]:
        each["elsewhere"] = sum(key not in number for key in each["pieces"])
        each["pieces"] = [number[key] for key in each["pieces"] if key in number]
    for mate in data["mates"]:
        mate["one"], mate["other"] = number[mate["one"]], number[mate["other"]]
    return {
        "box": box.name,
        "pieces": [
            {"number": piece.number, **appraisal_data(whole.pieces[piece.id])} for piece in pieces
        ],
        **data,
    }
