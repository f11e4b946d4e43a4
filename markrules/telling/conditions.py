"""Conditions, windows and shares in plain words, with the entries that they speak of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from markrules.language.builtin import STATED_CONDITION
from markrules.language.conditions import (
    And,
    AtLeast,
    Before,
    Between,
    Compare,
    Condition,
    Found,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    Not,
    OfType,
    OfTypeUntil,
    Or,
    Quantity,
    Says,
)
from markrules.language.spans import Named
from markrules.language.tree import ALL_ELSE, DATINGS, Expect, Order
from markrules.language.windows import Spread, Wave, Window, Year
from markrules.named_tuple import NamedTuple

SIGNS = {"<": "under", "<=": "at most", ">": "over", ">=": "at least"}
WRITTEN = {"us": "US", "uk": "UK"}
"""Short names that are written in capitals."""

VALUES_THAT_ARE_ENTRIES = {
    "piece": "piece",
    "fault": "fault",
    "metal-mark": "metal-mark",
    STATED_CONDITION: "grade",
}


class LinkedText(NamedTuple):
    """A stretch of text, and the entry that it names, if any."""

    text: str
    kind: str = ""
    name: str = ""


def plain(name: str) -> str:
    """An entry's name as words: `rollover-catch` is `rollover catch`."""
    return " ".join(WRITTEN.get(word, word) for word in name.split("-"))


def text_of(parts: Sequence[LinkedText]) -> str:
    """The words without their links."""
    return "".join(part.text for part in parts)


def condition_words(condition: Condition) -> list[LinkedText]:
    """A condition as a sentence: `catch is rollover or trombone, and hinge is tube`."""
    return list(_said(condition, False))


def _found(condition: Found | OfType | OfTypeUntil) -> LinkedText:
    match condition:
        case Found(name):
            return LinkedText(plain(name.name), "finding", name.name)
        case OfType(name):
            return LinkedText(plain(name.name), "type", name.name)
        case OfTypeUntil(year):
            return LinkedText(f"a named kind of piece that was over by {year}")


def _said(condition: Condition, inside: bool) -> Iterator[LinkedText]:
    match condition:
        case Is(feature, values) | IsNot(feature, values):
            yield _feature(feature)
            yield LinkedText(" is not " if isinstance(condition, IsNot) else " is ")
            yield from _listed([[_value(feature, each)] for each in values], "or")
        case IsSeen(feature):
            yield from (LinkedText("any "), _feature(feature), LinkedText(" is seen"))
        case IsAbsent(feature):
            yield from (
                LinkedText("no "),
                _feature(feature),
                LinkedText(": looked for, and not there"),
            )
        case Compare(feature, sign, quantity):
            yield from (_feature(feature), LinkedText(f" {SIGNS[sign]} {_quantity(quantity)}"))
        case Between(feature, low, high):
            yield _feature(feature)
            yield LinkedText(f" between {_quantity(low)} and {_quantity(high)}")
        case Says(feature, texts):
            yield from (_feature(feature), LinkedText(" says "))
            yield from _listed([[LinkedText(f"“{text}”")] for text in texts], "or")
        case Before():
            yield from _before(condition)
        case Found() | OfType() | OfTypeUntil():
            yield _found(condition)
        case Not(part):
            yield from (LinkedText("not: "), *_said(part, True))
        case And(parts):
            yield from _joined([list(_said(each, True)) for each in parts], ", and ", inside)
        case Or(parts):
            yield from _joined([list(_said(each, True)) for each in parts], ", or ", inside)
        case AtLeast(count, parts):
            yield LinkedText(f"at least {count} of ")
            yield from _joined([list(_said(each, True)) for each in parts], "; ", True)


def _joined(parts: Sequence[Sequence[LinkedText]], word: str, inside: bool) -> Iterator[LinkedText]:
    if inside:
        yield LinkedText("(")
    for at, each in enumerate(parts):
        if at:
            yield LinkedText(word)
        yield from each
    if inside:
        yield LinkedText(")")


def _listed(items: Sequence[Sequence[LinkedText]], word: str) -> Iterator[LinkedText]:
    for at, each in enumerate(items):
        if at:
            yield LinkedText(f" {word} " if at == len(items) - 1 else ", ")
        yield from each


def _feature(feature: Named) -> LinkedText:
    return LinkedText(plain(feature.name), "feature", feature.name)


def _before(condition: Before) -> Iterator[LinkedText]:
    if condition.by > 1:
        yield LinkedText(f"by {condition.by} years or more, ")
    yield from (LinkedText("the year "), _dated(condition.earlier))
    yield from (LinkedText(" before the year "), _dated(condition.later))


def order_words(order: Order) -> list[LinkedText]:
    """An order of years in plain words: `what all else says lies before what the catch says`."""
    by = f", by {order.years} years or more" if order.years > 1 else ""
    sides = [_side(order.earlier), _side(order.later)]
    return [
        LinkedText("what "),
        *sides[0],
        LinkedText(" says of the years lies before what "),
        *sides[1],
        LinkedText(f" says{by}"),
    ]


def _side(names: Sequence[Named]) -> list[LinkedText]:
    if [each.name for each in names] == [ALL_ELSE]:
        return [LinkedText("all else")]
    return list(_listed([[_feature(each)] for each in names], "or"))


def _dated(name: Named) -> LinkedText:
    return LinkedText(name.name) if name.name in DATINGS else _feature(name)


def _value(feature: Named, value: Named) -> LinkedText:
    kind = VALUES_THAT_ARE_ENTRIES.get(feature.name)
    if kind is not None:
        return LinkedText(plain(value.name), kind, value.name)
    return LinkedText(plain(value.name), "value", f"{feature.name}/{value.name}")


def _quantity(quantity: Quantity) -> str:
    return f"{quantity.number:g} {quantity.unit}".strip()


def window_words(window: Window | None, made: str = "made") -> str:
    """A window as it is read aloud: `made from 1911, mostly 1925 onward`.

    >>> window_words(Window(Year(1911), Year(1925), None, None))
    'made from 1911, mostly 1925 onward'
    """
    if window is None:
        return "no years known"
    parts: list[str] = []
    if window == Window(Year(0, relative=True), None, None, Year(0, relative=True)):
        return f"{made} in the year read"
    if window.first is not None:
        parts.append(f"from {_year(window.first)}")
    parts += _mostly(window)
    if window.last is not None:
        parts.append(f"until {_year(window.last)}")
    for first, last in window.gaps:
        parts.append(f"not {_year(first)}" + ("" if first == last else f" to {_year(last)}"))
    if window.fade is not None:
        parts.append(f"fading over {window.fade} years")
    return f"{made} {', '.join(parts)}" if parts else "in any year"


def spread_words(spread: Spread) -> str:
    """How the surviving pieces lie over the years, as it is read aloud.

    >>> spread_words(Spread((Wave(Year(1938), Year(1943), Year(1950)),), 0.04))
    'half by 1943, most between 1938 and 1950; about 4 in 100 stray'
    """
    first, *later = spread.waves
    parts = [_wave(first)]
    parts += [f"again {_wave(each)}, {share_words(each.share or 0.0)}" for each in later]
    if spread.background is not None:
        parts.append(f"{share_words(spread.background)} stray")
    return "; ".join(parts)


def _wave(wave: Wave) -> str:
    if wave.middle is None:
        return f"evenly from {_year(wave.early)} to {_year(wave.late)}"
    return f"half by {_year(wave.middle)}, most between {_year(wave.early)} and {_year(wave.late)}"


def _mostly(window: Window) -> Iterator[str]:
    first, last = window.mostly_first, window.mostly_last
    if first is not None and last is not None:
        yield f"mostly {_year(first)}" + ("" if first == last else f" to {_year(last)}")
    elif first is not None:
        yield f"mostly {_year(first)} onward"
    elif last is not None:
        yield f"mostly until {_year(last)}"


def _year(year: Year) -> str:
    if year.now:
        return "today"
    if not year.relative:
        return str(year.number)
    if year.number == 0:
        return "the year read"
    count = abs(year.number)
    years = f"{count} year{'' if count == 1 else 's'}"
    return f"{years} {'after' if year.number > 0 else 'before'} the year read"


def share_words(share: float) -> str:
    """A share in words: `about 12 in 100`, or in 1,000 where it is smaller than that tells."""
    if 0 < share < 0.01:
        return f"about {share * 1000:.2g} in 1,000"
    return f"about {share * 100:.3g} in 100"


def expectation_words(expect: Expect) -> list[LinkedText]:
    """What a worked example expects: `the clue rollover catch does not speak`."""
    no = "" if expect.wanted else "not: "
    if expect.kind == "sees" and expect.condition is not None:
        return [LinkedText(f"{no}understood that "), *condition_words(expect.condition)]
    if expect.kind in ("years", "year"):
        years = " to ".join(map(str, expect.years))
        verb = "lies inside" if expect.kind == "years" else "holds"
        return [LinkedText(f"{no}the 80% range {verb} {years}")]
    if expect.name is None:
        return [LinkedText(f"{no}{expect.kind}")]
    return [
        LinkedText(f"{no}{expect.kind} "),
        LinkedText(plain(expect.name.name), expect.kind, expect.name.name),
    ]
