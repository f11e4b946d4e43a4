"""The base of `little/little.rules`, and all that is made of a text over it, as lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

from engine_numbers import setting_entries

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.observation import Observation
from markrules.marks.decoding import Stamped, decoder
from markrules.marks.hallmarks import date_letter_years, hallmark_observations
from markrules.marks.metal import MetalReading, find_metal_marks
from markrules.marks.numbers import NumberReading, find_numbers
from markrules.marks.reading_syntax import MarkSyntaxError
from markrules.marks.search import MarkSearch, build_small


@cache
def little_base() -> KnowledgeBase:
    """The little rules with the numbers that tests share; patents were usual from 1912 to 1920."""
    base, problems = load([Path(__file__).parent / "little"], cache_folder=None)
    assert not [each for each in problems if each.severity == "error"]
    own = {"us-patent-usual-from": 1912, "us-patent-usual-to": 1920}
    return replace(base, settings=setting_entries(own))


@cache
def little_search() -> MarkSearch:
    """A search over the little rules' marks."""
    return build_small(little_base())


@cache
def _decode() -> Callable[[str], Stamped]:
    return decoder(little_base())


def metals(text: str) -> Iterator[str]:
    """Each mark of metal: rule, place, what it claims, years, weight; then what may be said."""
    for each in find_metal_marks(text, little_base()):
        yield from _metal(each, "")


def _metal(each: MetalReading, indent: str) -> Iterator[str]:
    figures = [
        f"{name} {_pair(value)}"
        for name, value in (
            ("fineness", each.fineness),
            ("share", each.share),
            ("fine", each.fine_share),
        )
        if value is not None
    ]
    figures += [f"{each.karat} karat"] if each.karat is not None else []
    figures += [f"part {each.fraction}"] if each.fraction is not None else []
    figures += [f"{each.least_microns:g} microns"] if each.least_microns is not None else []
    figures += [f"years {tuple(each.years)}"] if each.years is not None else []
    over = f" over {each.over}" if each.over else ""
    yield (
        f'{indent}{each.mark} "{each.words}" {each.start}-{each.end} {each.metal} {each.how}{over}'
        f" {each.weight:.4g}"
    )
    yield f"{indent}  {', '.join(figures)}"
    yield f"{indent}  {each.say} | {each.claim} | {each.never}"
    for other in each.alternatives:
        yield from _metal(other, f"{indent}  or ")


def numbers(text: str) -> Iterator[str]:
    """Each number: register, place, years and their weights; what else it may be below it."""
    for each in find_numbers(text, little_base()):
        yield from _number(each, "")


def _number(each: NumberReading, indent: str) -> Iterator[str]:
    dated = " dated" if each.dated else ""
    years = f" {_weights(each.years)}" if each.years else ""
    yield (
        f'{indent}{each.register} {each.number} "{each.words}" {each.start}-{each.end}'
        f" {each.first}-{each.last}{years}{dated} {each.weight:.4g}"
    )
    yield f"{indent}  {each.what}. {each.note} {', '.join(each.sources)}".rstrip()
    for other in each.alternatives:
        yield from _number(other, f"{indent}  or ")


def letters(text: str) -> Iterator[str]:
    """The years of a date letter: `A chester style=roman case=capital`."""
    letter, *told = text.split(" ")
    office = next((each for each in told if "=" not in each), None)
    look = dict(each.split("=") for each in told if "=" in each)
    years = date_letter_years(little_base(), office, letter.replace("_", " "), **look)
    yield _weights(tuple((each.year, each.weight) for each in years))


def seen(text: str) -> Iterator[str]:
    """The observation that a hallmark seen in parts makes: `date-letter=A; mark=FINLAND`."""
    observations = [
        Observation(*each.split("=", 1), words=f"w {each}") for each in text.split("; ")
    ]
    yield from map(_observation, hallmark_observations(observations, little_base()))


def decoded(text: str) -> Iterator[str]:
    """All that a text says, and whether letters are left that may name a maker, or sign."""
    said = _decode()(text)
    yield from map(_observation, said.observations)
    yield f"names {said.may_name_a_maker}, signs {said.signs}"


def search(text: str) -> Iterator[str]:
    """The likeliest makers with their scores; `1| text` where the reader doubted it quite."""
    doubt, _, plain = text.rpartition("| ")
    try:
        answer = little_search().search(plain, 2, float(doubt) if doubt else None)
    except MarkSyntaxError as error:
        yield f"{error}"
        return
    yield f"none {answer.none_of_these:.4g}"
    for each in answer.results:
        yield f"{each.maker}/{each.mark} {each.probability:.4g} ln {each.score:.4f}"
        if each.aligned is not None:
            yield f"  {'  /  '.join(str(each.aligned).splitlines())}"
        more = (*each.assumed, each.tell_apart, *each.variants, each.years)
        if any(more):
            yield f"  {' | '.join(one for one in more if one)}"
    if answer.not_used:
        yield f"not used: {', '.join(answer.not_used)}"


def evidence(text: str) -> Iterator[str]:
    """What texts parted by `; ` say of the maker, for a reading of the piece."""
    doubt, _, plain = text.rpartition("| ")
    parts = plain.split("; ")
    found = little_search().evidence(parts, float(doubt) if doubt else None)
    yield f"unlisted ln {found.unknown_log_likelihood:.4f}"
    yield from (
        f"{each.maker}/{each.mark} ln {each.log_likelihood:.4f}" for each in found.candidates
    )
    near = little_search().nearest(parts[0])
    yield f"listed {little_search().is_listed(parts[0])}, near {near and near[0].maker}"


KINDS: dict[str, Callable[[str], Iterator[str]]] = {
    "metal": metals,
    "number": numbers,
    "letter": letters,
    "seen": seen,
    "decoded": decoded,
    "search": search,
    "evidence": evidence,
}


def _observation(each: Observation) -> str:
    parts = [f"= {each.feature}={each.value}"]
    parts += [f"{each.number:g}"] if each.number is not None else []
    parts += [f"{each.years[0]}-{each.years[1]}"] if each.years else []
    parts += [f"~{each.certainty}"] if each.certainty != "sure" else []
    parts += [f'"{each.words}"'] if each.words else []
    parts += [f"[{each.assumed}]"] if each.assumed else []
    parts += [_weights(each.weights)] if each.weights else []
    return " ".join(parts)


def _pair(pair: tuple[float, float]) -> str:
    return f"{pair[0]:.4g}" if pair[0] == pair[1] else f"{pair[0]:.4g} to {pair[1]:.4g}"


def _weights(years: tuple[tuple[int, float], ...]) -> str:
    return " ".join(f"{year}:{weight:.4g}" for year, weight in years)
