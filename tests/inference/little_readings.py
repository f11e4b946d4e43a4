"""Readings over `little/little.rules`, with all that they say, as lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

from engine_numbers import setting_entries

from markrules.inference.reading import ClueReading, DateRange, Reading
from markrules.knowledge.loading import load
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader, Request

LAST_YEAR = 2026


@cache
def little_reader() -> Reader:
    """A reader over the little rules with the numbers that tests share; some are not at rest."""
    base, problems = load([Path(__file__).parent / "little"], cache_folder=None)
    assert not [each for each in problems if each.severity == "error"]
    own = {
        "mark-life": 10.0,
        "wave-seam": 3.0,
        "heed": 0.9,
        "shared-look": 0.8,
        "own-refit": 0.1,
        "mostly-tail": 0.1,
        "origin-doubt": 0.1,
        "hearsay-right": 0.25,
    }
    return Reader(replace(base, settings=setting_entries(own)), LAST_YEAR)


def told(asked: str) -> Iterator[str]:
    """The reading of a piece told in parts: `piece=brooch; catch=rollover ~guess; origin=box`."""
    observations: list[Observation] = []
    origin, without, piece, mass, flat = "", [], "", 0.8, False
    for part in asked.split("; "):
        words, _, sure = part.partition(" ~")
        feature, _, value = words.partition("=")
        if feature == "origin":
            origin = value
        elif feature == "without":
            without.append(value)
        elif feature == "piece":
            piece = value
        elif feature == "mass":
            mass = float(value)
        elif feature == "flat":
            flat = True
        elif feature.endswith("-year"):
            first, _, last = value.partition("-")
            years = (int(first), int(last or first))
            observations.append(Observation(feature, value, number=float(years[0]), years=years))
        elif value:
            observations.append(
                Observation(feature, value, certainty=sure or "sure", words=value)
                if not value.startswith("not ")
                else Observation(feature, value[4:], "ruled-out")
            )
    request = Request(piece, tuple(observations), (), mass, flat, origin, tuple(without), 4)
    yield from lines(little_reader().read(request))


def lines(reading: Reading) -> Iterator[str]:
    """Years, makers, clues, what contradicts or misleads, and next looks."""
    date = reading.date
    shares = {
        date.first_year + at: share for at, share in enumerate(date.curve) if (at + 25) % 50 == 0
    }
    yield (
        f"{_range(date.range)} of {' '.join(map(_range, date.years))}; likeliest {date.likeliest},"
        f" middle {date.median}, level {date.level[0]}-{date.level[1]}, {date.edtf}"
    )
    if date.second is not None:
        yield f"second {_range(date.second)}"
    if date.not_before is not None or date.not_after is not None:
        yield (
            f"limits {date.not_before} {date.not_before_clue},"
            f" {date.not_after} {date.not_after_clue}"
        )
    yield " ".join(f"{year}:{share:.3g}" for year, share in shares.items())
    for each in reading.makers:
        yield (f"maker {each.maker}/{each.mark} {each.probability:.4g} {each.first}-{each.last}")
    yield from (_clue(each) for each in reading.clues)
    yield from (f"! {each}" for each in reading.contradictions)
    for each in reading.misleading:
        yield f"misleads {each.name} {each.probability:.4g} {each.stated} {each.settle}"
    yield from (f"type {each.type}" for each in reading.types)
    for each in reading.exceptions:
        yield f"exception {each.exception} {each.probability:.4g}"
    if reading.origin is not None:
        others = " ".join(f"{name} {_range(years)}" for name, years in reading.origin.others)
        yield f"origin {reading.origin.origin} {reading.origin.said} {others}".rstrip()
    signs = [each.sign for each in reading.signs] + [each.caution for each in reading.cautions]
    if signs:
        yield f"also {', '.join(signs)}"
    for each in reading.next:
        yield f"look {each.feature} {each.gain_bits:.4g} {each.worth:.4g} {each.beside:.4g}"
    yield f"evidence {reading.evidence}"


def _range(years: DateRange) -> str:
    return f"{years.first}-{years.last}({years.mass:.4g})"


def _clue(each: ClueReading) -> str:
    branches = each.branches
    fate = " ".join(
        f"{share:.3g}"
        for share in (branches.original, branches.refit, branches.reuse, branches.misread)
    )
    gaps = f" gaps {each.gaps}" if each.gaps else ""
    return (
        f"clue {each.clue} {each.bits:.4g} bits {each.first}-{each.last}{gaps} x{each.weight:.3g}"
        f" [{fate}] window {sum(each.window):.5g}"
    )
