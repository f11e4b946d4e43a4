"""`markrules ask`: a guided look that always asks what settles most."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.cli.common import from_option, open_reader, rules_options, told_plainly
from markrules.cli.read import columns, reading_page, show
from markrules.inference.reading import NextLook, Reading
from markrules.language.tree import Feature
from markrules.reading.observing import WordProblem, observe
from markrules.tasks.entering import said_in
from markrules.tasks.looking import Look, Session
from markrules.tasks.questions import Offer, offer_of
from markrules.telling.words import plain, printable, years

HELP = (
    "Answer with a number or in your own words; `none` if you looked and there is none; add ?"
    " when you are not sure. d: don't know, s: skip, b: back, w: why this question, q: enough."
)


@click.command()
@click.argument("note", required=False, default="")
@click.option("--most", type=click.IntRange(1), default=12, help="Ask at most so many questions.")
@from_option
@rules_options
@told_plainly
def command(note: str, most: int, origin: str, rule_folders: tuple[Path, ...]) -> None:
    """Be asked, one question at a time, what settles most; ends with the reading.

    \b
    markrules ask
    markrules ask "brooch, clear stones"
    """
    reader = open_reader(rule_folders, origin)
    if not note:
        note = click.prompt(
            "What is it? (brooch, earrings, ring …; Enter if unsure)",
            default="",
            show_default=False,
        )
    session = Session(reader, [Look(note)])
    click.echo(HELP)
    asked = 0
    while asked < most:
        reading = session.reading()
        look = session.question(reading)
        if look is None:
            break
        _say_where(reading)
        step = _ask(session, look)
        if step == "enough":
            break
        asked += 1 if step == "on" else 0
    click.echo("")
    show(reading_page(reader, session.reading(), columns(None)))


def _say_where(reading: Reading) -> None:
    span = reading.date.range
    click.echo(f"\n[{years(span.first, span.last)}, {span.mass:.0%}]")


def _ask(session: Session, look: NextLook) -> str:
    """Put one question; `on` when it was dealt with, `back` after a step back, or `enough`."""
    feature = session.reader.base.features[look.feature]
    click.echo(f"{printable(look.ask)}\n  {printable(look.look)}")
    if feature.hazard:
        click.echo(f"  Take care: {printable(feature.hazard)}")
    offer = offer_of(session.reader.base, feature)
    while True:
        shown = (*offer.common, *offer.rare)
        _list(offer)
        answer = click.prompt(">", prompt_suffix=" ", default="d", show_default=False).strip()
        chosen = _number(answer, len(offer.groups) + len(shown))
        if chosen and chosen <= len(offer.groups):
            offer = Offer((), offer.groups[chosen - 1].values, ())
            continue
        if chosen:
            answer = shown[chosen - len(offer.groups) - 1].name + ("?" if "?" in answer else "")
        step = _step(session, feature, answer)
        if step:
            return step


def _list(offer: Offer) -> None:
    """The groups with what they hold, and the answers, under running numbers."""
    for number, group in enumerate(offer.groups, 1):
        names = ", ".join(plain(each.name) for each in group.values[:3])
        more = " …" if len(group.values) > 3 else ""
        click.echo(printable(f"  {number:>2}  {group.say} ({names}{more})"))
    for number, value in enumerate((*offer.common, *offer.rare), len(offer.groups) + 1):
        say = f": {value.say}" if value.say else ""
        click.echo(printable(f"  {number:>2}  {plain(value.name)}{say}"))


def _number(answer: str, most: int) -> int:
    """The number that an answer gives, of those listed; 0 for anything else."""
    digits = answer.rstrip("? ")
    number = int(digits) if digits.isascii() and digits.isdecimal() and len(digits) < 5 else 0
    return number if 1 <= number <= most else 0


def _step(session: Session, feature: Feature, answer: str) -> str:
    """What an answer does; the empty text where it was not understood or only asked why."""
    match answer.casefold().replace("'", ""):
        case "q" | "quit" | "enough":
            return "enough"
        case "b" | "back":
            if session.back():
                return "back"
            click.echo("This is the first question.")
            return ""
        case "d" | "s" | "skip" | "dont know":
            session.skip(feature.name)
            return "on"
        case "w" | "why":
            click.echo(
                "Of all looks left for this piece it is expected to narrow the years most, by how"
                " likely it tells anything and how much effort it takes."
            )
            return ""
        case "?" | "help":
            click.echo(HELP)
            return ""
    try:
        session.answer(observe(session.reader.base, f"{feature.name}={answer}"))
    except WordProblem as problem:
        said = said_in(session.reader, answer)
        if not said.observations:
            click.echo(printable(str(problem)))
            return ""
        if said.unknown:
            click.echo(printable(f"Not understood: {'; '.join(said.unknown)}"))
        session.answer(*said.observations)
    return "on"
