"""`markrules ask`: a guided look that always asks what settles most."""

from __future__ import annotations

from pathlib import Path

import click

from markrules.cli.common import from_option, open_reader, rules_options, told_plainly
from markrules.cli.read import columns, reading_page, show
from markrules.inference.reading import NextLook, Reading
from markrules.language.tree import Feature
from markrules.reading.observing import WordProblem, observe
from markrules.tasks.looking import Look, Session
from markrules.telling.words import printable, years

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
    for number, value in enumerate(feature.values, 1):
        say = f": {value.say}" if value.say else ""
        click.echo(printable(f"  {number:>2}  {value.name.replace('-', ' ')}{say}"))
    while True:
        answer = click.prompt(">", prompt_suffix=" ", default="d", show_default=False).strip()
        step = _step(session, look, feature, answer)
        if step:
            return step


def _step(session: Session, look: NextLook, feature: Feature, answer: str) -> str:
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
                f"It is expected to settle {look.gain_bits:.2f} bits: more than any other"
                " look left for this piece."
            )
            return ""
        case "?" | "help":
            click.echo(HELP)
            return ""
    try:
        seen = observe(session.reader.base, f"{feature.name}={_spoken(feature, answer)}")
    except WordProblem as problem:
        understood = session.reader.understand(answer).observations
        own_words = next((each for each in understood if each.feature == feature.name), None)
        if own_words is None:
            click.echo(printable(str(problem)))
            return ""
        seen = own_words
    session.answer(seen)
    return "on"


def _spoken(feature: Feature, answer: str) -> str:
    """The value that a number in the list stands for, keeping a `?`; other answers as they are."""
    digits = answer.rstrip("? ")
    if feature.values and digits.isdecimal() and 1 <= int(digits) <= len(feature.values):
        return feature.values[int(digits) - 1].name + ("?" if answer.endswith("?") else "")
    return answer
