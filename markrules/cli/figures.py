"""`markrules figures`: fees, postage, minutes, what an hour is worth, metal prices."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.appraisal.figures import KINDS, FigureProblem, figure_kind, figure_text
from markrules.cli.catalogue import (
    AskedProblem,
    catalogue_options,
    lines,
    opened,
    opened_if_there,
    who_option,
)
from markrules.cli.common import json_option, write_json
from markrules.cli.groups import WholeSummaries
from markrules.telling.words import printable


@click.group(cls=WholeSummaries)
def command() -> None:
    """Your own figures, which decisions are counted by. None has a value until you give one.

    \b
    markrules figures set currency EUR
    markrules figures set fee 13%
    markrules figures set silver-price 28/ozt
    markrules figures show
    """


@command.command("set")
@click.argument("name")
@click.argument("value")
@json_option
@who_option
@catalogue_options
def set_figure(name: str, value: str, as_json: bool, who: str, place: Path | None) -> None:
    """Set the figure NAME to VALUE; an empty VALUE takes it out.

    \b
    markrules figures set hour 12.50
    markrules figures set gold-price 2400/ozt
    markrules figures set hour ""
    """
    try:
        kind = figure_kind(name)
        text = figure_text(name, value) if value.strip() else ""
    except FigureProblem as problem:
        raise AskedProblem(lines(str(problem))) from None
    with opened(place, create=True) as catalogue:
        catalogue.figures.set(kind.name, text, who)
    if as_json:
        write_json({"name": kind.name, "value": text or None}, "figure")
    else:
        click.echo(f"{kind.name}: {printable(text) or 'taken out'}")


@command.command("show")
@json_option
@catalogue_options
def show_figures(as_json: bool, place: Path | None) -> None:
    """Show all figures, what each means, and which are not set.

    \b
    markrules figures show
    """
    with opened_if_there(place) as catalogue:
        kept = catalogue.figures.all() if catalogue is not None else {}
    if as_json:
        write_json(
            [{"name": k.name, "value": kept.get(k.name), "means": k.means} for k in KINDS],
            "figures",
        )
        return
    for kind in KINDS:
        click.echo(f"{kind.name:<17}{printable(kept.get(kind.name, '–')):<12}{kind.means}")
