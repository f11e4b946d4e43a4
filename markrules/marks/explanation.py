"""Why a mark fits a reading, in words."""

from __future__ import annotations

from itertools import groupby

from markrules.marks.alignment import ADDED, ALIKE, GAP, JOINED, LOST, PARTED, UNREAD, Alignment
from markrules.marks.entries import MarkEntry
from markrules.marks.reading_variants import ReadingVariant


def assumed(
    aligned: Alignment | None, variant: ReadingVariant, entry: MarkEntry
) -> tuple[str, ...]:
    """What must have happened to the mark for it to read so, in words."""
    told = _letters(aligned) if aligned else []
    if not entry.words_only and not variant.whole:
        missing = sorted(variant.beside - entry.beside)
        told += [f"{phrase} is not recorded with this mark" for phrase in missing]
    return tuple(told)


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
        elif sign in (ALIKE, JOINED, PARTED):
            told += [f"{step.struck} read as {step.read}" for step in steps]
    return told


def tell_apart(entry: MarkEntry, other: MarkEntry) -> str:
    """What to look at to tell two marks apart; empty where the records do not say."""
    if entry.own != other.own:
        return _letters_apart(entry, other)
    for name in ("symbol", "form", "method", "place"):
        one, two = getattr(entry, name), getattr(other, name)
        if one != two and (one or two):
            return (
                f"{name}: {one or 'none recorded'} here, {two or 'none recorded'} on {other.title}"
            )
    apart = entry.beside ^ other.beside
    if apart:
        here = "beside" if next(iter(sorted(apart))) in entry.beside else "not beside"
        return f"{sorted(apart)[0]} stands {here} this mark"
    return "the letters are the same: only the making of the piece can tell"


def _letters_apart(entry: MarkEntry, other: MarkEntry) -> str:
    for place, (one, two) in enumerate(zip(entry.own, other.own, strict=False), 1):
        if one != two:
            return f"letter {place}: {one} here, {two} in {other.own}"
    if len(entry.own) > len(other.own):
        return f"{entry.own[len(other.own) :]} follows {other.own} here"
    return f"nothing follows here; {other.own} goes on with {other.own[len(entry.own) :]}"
