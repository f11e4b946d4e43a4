"""`markrules ask`: a guided look that always asks what settles most."""

from __future__ import annotations

import re
from collections.abc import Sequence
from pathlib import Path
from textwrap import wrap
from typing import TypeAlias

import click

from markrules.cli.common import columns, from_option, open_reader, rules_options, told_plainly
from markrules.cli.read import reading_page, show
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.observation import Observation
from markrules.language.tree import Piece, Value
from markrules.reading.observing import WordProblem, observe
from markrules.tasks.entering import PIECE, said_in
from markrules.tasks.looking import Look, Question, Session, why_enough
from markrules.tasks.questions import OTHERS, AnswerGroup, Offer, few_of, kinds_offered, offer_of
from markrules.telling.limits import mass_of_years
from markrules.telling.words import plain, printable, years_of

HELP = (
    "Answer with the number, or the numbers of all that you see, or in your own words; `none` if"
    " you looked and there is none; add ? when you are not sure. d: don't know, s: skip, b: back,"
    " m: more on the answers, w: why this question, q: enough."
)

UNBROKEN = "\u00a0"
"""The space at which no line is broken."""

_NUMBERS = re.compile(r"\d{1,4}\??(?:[\s,;]+\d{1,4}\??)*")

Choice: TypeAlias = "AnswerGroup | Value | Piece | None"
"""A group of answers, an answer, or None for `there is none`."""


@dataclass(frozen=True, slots=True)
class AskedOnScreen:
    """One thing asked for on a screen: its feature, its question, and what it offers."""

    feature: str
    ask: str
    offer: Offer
    none: bool = False

    @property
    def choices(self) -> tuple[Choice, ...]:
        """What can be chosen, in the order listed."""
        none = (None,) if self.none else ()
        groups = self.offer.groups
        others = tuple(each for each in groups if each.name == OTHERS)
        named = tuple(each for each in groups if each.name != OTHERS)
        return (*named, *self.offer.common, *self.offer.rare, *others, *none)


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
    session = Session(reader, [Look(note)])
    click.echo(click.wrap_text(HELP, columns(None)))
    asked = 0
    while asked < most:
        reading = session.reading()
        parts: tuple[AskedOnScreen, ...]
        if not reading.piece_type and PIECE not in session.passed:
            parts = (AskedOnScreen(PIECE, "How is it worn?", kinds_offered(reader.base)),)
        else:
            question = session.question(reading)
            if question is None:
                click.echo(f"\nThat is enough. {printable(why_enough(reading, session.passed))}")
                break
            _say_where(reading)
            parts = _put(session, question)
        step = _ask(session, parts)
        if step == "enough":
            break
        asked += 1 if step == "on" else 0
    click.echo("")
    show(reading_page(reader, session.reading(), columns(None)))


def _say_where(reading: Reading) -> None:
    date = reading.date
    click.echo(f"\n[{years_of(date)}, {mass_of_years(date):.0%}]")


def _put(session: Session, question: Question) -> tuple[AskedOnScreen, ...]:
    """Say the question; what it asks for."""
    base = session.reader.base
    click.echo(f"{printable(question.ask)}\n  {printable(question.look)}")
    several = len(question.looks) > 1
    features = [base.features[each.feature] for each in question.looks]
    for hazard in dict.fromkeys(each.hazard for each in features if each.hazard):
        click.echo(f"  Take care: {printable(hazard)}")
    offered = few_of if several else offer_of
    return tuple(
        AskedOnScreen(each.name, each.ask, offered(base, each), several) for each in features
    )


def _ask(session: Session, parts: Sequence[AskedOnScreen]) -> str:
    """Put one question; `on` when it was dealt with, `back` after a step back, or `enough`."""
    choices = _list(parts, told=len(parts) == 1)
    while True:
        answer = click.prompt(">", prompt_suffix=" ", default="d", show_default=False).strip()
        if answer.casefold() in ("m", "more"):
            choices = _list(parts, told=True)
            continue
        numbers = _numbers(answer, len(choices))
        if numbers:
            step = _chosen(session, parts, [(*choices[at - 1], doubt) for at, doubt in numbers])
        else:
            step = _step(session, parts, answer)
        if step:
            return step


def _list(parts: Sequence[AskedOnScreen], *, told: bool) -> list[tuple[AskedOnScreen, Choice]]:
    """Print what can be chosen, under running numbers; with what each means where `told`."""
    choices: list[tuple[AskedOnScreen, Choice]] = []
    for part in parts:
        if len(parts) > 1 or part.feature == PIECE:
            click.echo(f"  {printable(part.ask)}")
        first = len(choices) + 1
        choices += [(part, choice) for choice in part.choices]
        lines = [f"{at:>2}  {_words(each, told)}" for at, each in enumerate(part.choices, first)]
        if told:
            click.echo(printable("\n".join(f"  {line}" for line in lines)))
        else:
            together = "   ".join(line.strip().replace(" ", "\u00a0") for line in lines)
            folded = wrap(together, columns(None) - 4, break_on_hyphens=False)
            click.echo(
                printable("\n".join(f"    {line}" for line in folded).replace("\u00a0", " "))
            )
    return choices


def _words(choice: Choice, told: bool) -> str:
    match choice:
        case None:
            return "none"
        case AnswerGroup():
            names = ", ".join(plain(each.name) for each in choice.values[:3])
            more = " …" if len(choice.values) > 3 else ""
            return f"{choice.say} ({names}{more})" if told else f"{choice.say} …"
        case _:
            say = f": {choice.say}" if told and choice.say else ""
            return f"{plain(choice.name)}{say}"


def _numbers(answer: str, most: int) -> list[tuple[int, str]]:
    """The numbers that an answer gives, each with its `?`, where they all are listed; else none."""
    if not answer.isascii() or _NUMBERS.fullmatch(answer) is None:
        return []
    given = re.findall(r"(\d+)(\??)", answer)
    found = [(int(digits), doubt) for digits, doubt in given]
    return found if all(1 <= number <= most for number, _ in found) else []


def _chosen(
    session: Session,
    parts: Sequence[AskedOnScreen],
    chosen: Sequence[tuple[AskedOnScreen, Choice, str]],
) -> str:
    """Keep what was chosen by number; of a group the answer is asked for first."""
    told: list[Observation] = []
    for part, choice, doubt in chosen:
        named: Choice | str = choice
        if isinstance(choice, AnswerGroup):
            named = choice.values[0] if len(choice.values) == 1 else _of_group(part, choice)
        if named == "":
            continue
        name = "none" if named is None else getattr(named, "name", named)
        try:
            told.append(observe(session.reader.base, f"{part.feature}={name}{doubt}"))
        except WordProblem as problem:
            click.echo(printable(str(problem)))
    return _keep(session, parts, told)


def _of_group(part: AskedOnScreen, group: AnswerGroup) -> Choice | str:
    """What was chosen of a group: an answer, words for one, or the empty text for `don't know`."""
    asked = AskedOnScreen(part.feature, part.ask, Offer((), group.values, ()))
    choices = _list((asked,), told=True)
    answer = click.prompt(">", prompt_suffix=" ", default="d", show_default=False).strip()
    numbers = _numbers(answer, len(choices))
    if numbers:
        return choices[numbers[0][0] - 1][1]
    return "" if answer.casefold() in ("d", "s", "b", "skip", "dont know", "don't know") else answer


def _keep(session: Session, parts: Sequence[AskedOnScreen], told: Sequence[Observation]) -> str:
    """Keep what was told, and that of the other things asked nobody knew; then go on."""
    seen = {each.feature for each in told}
    asked = [each.feature for each in parts]
    silent = [each for each in asked if each not in seen]
    # Who tells of something else, unasked, is asked the same again.
    session.answer(*told, unknown=silent if not told or seen & set(asked) else ())
    return "on"


def _step(session: Session, parts: Sequence[AskedOnScreen], answer: str) -> str:
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
            session.skip(*(each.feature for each in parts))
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
    return _words_said(session, parts, answer)


def _words_said(session: Session, parts: Sequence[AskedOnScreen], answer: str) -> str:
    """Keep an answer in words: a value of the one thing asked for, or a line of plain words."""
    told: tuple[Observation, ...]
    wrong = "No rule knows these words. Say it in other words, or give the numbers."
    if len(parts) == 1:
        try:
            told = (observe(session.reader.base, f"{parts[0].feature}={answer}"),)
            return _keep(session, parts, told)
        except WordProblem as problem:
            wrong = str(problem)
    said = said_in(session.reader, answer)
    if not said.observations:
        click.echo(printable(wrong))
        return ""
    if said.unknown:
        click.echo(printable(f"Not understood: {'; '.join(said.unknown)}"))
    return _keep(session, parts, said.observations)
