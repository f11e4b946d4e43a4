"""Why a mark fits a reading: the letters side by side, and what was assumed, in words."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from math import log

from markrules.marks.alignment import (
    ADDED,
    ALIKE,
    GAP,
    JOINED,
    LOST,
    PARTED,
    SWAPPED,
    UNREAD,
    Alignment,
    align,
)
from markrules.marks.entries import MarkEntry
from markrules.marks.results import MarkResult, ScoredMark

_NEARLY = log(20)
"""Other marks of a maker are shown when they are at most this much less likely."""


def explained(
    found: Sequence[ScoredMark], order: Sequence[tuple[float, list[int]]]
) -> tuple[MarkResult, ...]:
    """The results for makers in order; each has its probability and its marks in `found`."""
    firsts = [found[places[0]] for _, places in order]
    results = []
    for rank, (probability, places) in enumerate(order):
        neighbour = rank - 1 if rank else 1
        other = firsts[neighbour].entry if neighbour < len(firsts) else None
        near = [found[place] for place in places[1:]]
        results.append(_result(firsts[rank], other, probability, near))
    return tuple(results)


def _result(
    each: ScoredMark,
    other: MarkEntry | None,
    probability: float,
    near: Sequence[ScoredMark],
) -> MarkResult:
    entry = each.entry
    aligned = _aligned(each)
    close = [one.entry.text or one.entry.symbol for one in near if one.score > each.score - _NEARLY]
    return MarkResult(
        maker=entry.maker,
        title=entry.title,
        mark=entry.mark,
        text=entry.text,
        score=each.score,
        probability=probability,
        aligned=aligned,
        assumed=_assumed(aligned, each),
        used=entry.used,
        form=entry.form,
        method=entry.method,
        symbol=entry.symbol,
        tell_apart=tell_apart(entry, other) if other else "",
        variants=tuple(text for text in dict.fromkeys(close) if text != entry.text),
        years=entry.years,
        note=entry.note,
        source=entry.source,
    )


def _aligned(each: ScoredMark) -> Alignment | None:
    variant = each.variant
    struck = each.entry.whole if variant.whole and not variant.only else each.entry.own
    reading = each.reading
    if not struck or reading is None:
        return None
    choices = {struck, each.entry.whole} if variant.only else {struck}
    return max((align(reading, text) for text in sorted(choices)), key=lambda one: one.log_chance)


def _assumed(aligned: Alignment | None, each: ScoredMark) -> tuple[str, ...]:
    """What must have happened to the mark for it to read so, in words."""
    variant, entry = each.variant, each.entry
    told = ["read from right to left, as from a mould"] if variant.turned else []
    if aligned:
        told += _letters(aligned)
    if not entry.words_only and not variant.whole:
        missing = sorted(variant.beside - entry.beside)
        told += [f"{phrase} is not recorded with this mark" for phrase in missing]
    return tuple(told)


def letters_wrong(aligned: Alignment | None) -> int:
    """The letters that were lost, added or misread; those that were seen to be unread do not count.

    Where nothing was aligned, none was compared: no letter is wrong.
    """
    if aligned is None:
        return 0
    return sum(
        max(len(step.struck), len(step.read))
        for step in aligned.steps
        if step.sign in (ALIKE, LOST, ADDED, JOINED, PARTED, SWAPPED)
    )


def _letters(aligned: Alignment) -> list[str]:
    told: list[str] = []
    place, last = 0, len(aligned.steps)
    for sign, run in groupby(aligned.steps, key=lambda step: step.sign):
        steps = list(run)
        struck = "".join(step.struck for step in steps)
        read = "".join(step.read for step in steps)
        first, place = place, place + len(steps)
        if sign == LOST:
            where = "at the start" if first == 0 else "at the end" if place == last else "inside"
            told.append(f"{struck} lost {where}")
        elif sign == ADDED and read:
            told.append(f"{read} is not on the mark")
        elif sign in (UNREAD, GAP) and struck:
            told.append(f"{struck} not read")
        elif sign == SWAPPED:
            told += [f"{step.struck} written as {step.read}" for step in steps]
        elif sign in (ALIKE, JOINED, PARTED):
            told += [f"{step.struck} read as {step.read}" for step in steps]
    return told


def tell_apart(entry: MarkEntry, other: MarkEntry) -> str:
    """What to look at to tell two marks apart, in words."""
    if entry.own != other.own:
        return _letters_apart(entry, other)
    for name in ("symbol", "form", "method", "place"):
        one, two = getattr(entry, name), getattr(other, name)
        if one != two:
            here, there = one or "none recorded", two or "none recorded"
            return f"{name}: {here} here, {there} on {other.title}"
    apart = sorted(entry.beside ^ other.beside)
    if apart:
        here = "beside" if apart[0] in entry.beside else "not beside"
        return f"{apart[0]} stands {here} this mark"
    return "the letters are the same: only the making of the piece can tell"


def _letters_apart(entry: MarkEntry, other: MarkEntry) -> str:
    if not entry.own or not other.own:
        where = "here" if entry.own else f"on {other.title}"
        return f"{entry.own or other.own} stands {where}, and the other has no letters"
    for place, (one, two) in enumerate(zip(entry.own, other.own, strict=False), 1):
        if one != two:
            return f"letter {place}: {one} here, {two} in {other.own}"
    if len(entry.own) > len(other.own):
        return f"{entry.own[len(other.own) :]} follows {other.own} here"
    return f"nothing follows here; {other.own} goes on with {other.own[len(entry.own) :]}"
