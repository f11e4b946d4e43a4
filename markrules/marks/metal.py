"""What a mark of metal content claims: metal, fineness, share of the weight, and what may be said.

The marks, their laws and their wordings are rules; here is only how their figures combine.
A mark is a claim: nothing here says that a piece is what it is stamped.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.tree import MetalMark
from markrules.late import late
from markrules.marks.mark_shares import metal_shares
from markrules.marks.metal_grammar import KARATS, METAL_SLOTS, metal_slots, written
from markrules.marks.stamped import (
    Match,
    Spellings,
    StampedToken,
    packed_spellings,
    spelling,
    tokens,
)

if TYPE_CHECKING:
    from fractions import Fraction

    from markrules.marks.metal_beside import WordsUnsettling
    from markrules.marks.metal_years import MetalYears

_OPEN_SLOT = late(r"\{[a-z]+\}")


@dataclass(frozen=True, slots=True)
class MetalReading:
    """One mark of metal content, decoded.

    `mark` names the rule. `fineness` (low, high) is the precious share of the alloy in
    thousandths, `share` (low, high) the part of all the metal's weight that the alloy makes
    up, `fine_share` their product as parts of one: what the mark claims, less what the law
    allows. `karat` and `fraction` are the figures read, None where there is none. `years`
    are where the rules place the mark, None where they say nothing. `claim` may be said in
    a listing, of which `besides` is what it says besides quoting the mark, and `never` may
    not; `test` is what a professional would do. `weight` is the share of this reading among
    all that the text allows; `alternatives` are the others. `start` and `end` are places in
    the text.
    """

    mark: str
    words: str
    start: int
    end: int
    metal: str
    how: str
    over: str
    fineness: tuple[float, float] | None
    share: tuple[float, float] | None
    fine_share: tuple[float, float] | None
    karat: Fraction | None
    fraction: Fraction | None
    least_microns: float | None
    country: str
    law: str
    years: MetalYears | None
    say: str
    claim: str
    never: str
    test: str
    note: str
    sources: tuple[str, ...]
    besides: str
    weight: float = 1.0
    alternatives: tuple[MetalReading, ...] = ()


def find_metal_marks(text: str, base: KnowledgeBase) -> tuple[MetalReading, ...]:
    """The marks of metal content in a stamped text, in order.

    The longest spelling wins, and figures written out win over patterns. Where one spelling
    has several meanings (950 is silver or platinum), the likeliest holds the others. A bare
    figure of one or two digits counts only where nothing else stands in the text. Only the
    first 4,000 characters are looked at. Where a word that qualifies, one that the rules do not
    know, or a mark of a coat that is not over this metal stands beside a mark of solid metal on its
    line, how much is metal is not sure; of two solid metals on one line neither is all of the
    piece. Never raises.
    """
    read = tokens(text)
    found: list[MetalReading] = []
    at = 0
    while at < len(read):
        reading, after = _first_fitting(base, text, read, at)
        found += [reading] if reading is not None else []
        at = after
    taken = [(each.start, each.end) for each in found]

    def weighed(each: MetalReading) -> MetalReading:
        if each.how not in (SOLID, WORDING):
            return each
        from markrules.marks.metal_beside import words_beside

        beside = _coat_beside(base, text, each, found)
        beside = beside or words_beside(base, text, read, taken, (each.start, each.end))
        return _with_another(_unsure(base, each, beside), _joined_to(base, text, each, found))

    return tuple(map(weighed, (e for e in found if not _only_qualifies(base, text, e, found))))


SOLID, WORDING = "solid", "wording"
"""How a metal is used where all is of it, and where a word says so without a figure."""

COATS = frozenset({"filled", "rolled", "plated", "washed", "combined", "loaded"})
"""How a metal is used where not all of the piece is of it."""

JOINED = "combined"
"""How metals are used of which none is all of the piece."""

NO_METAL = "none"
"""How no precious metal is used: the mark names an alloy without it."""


def _coat_beside(
    base: KnowledgeBase, text: str, solid: MetalReading, found: Sequence[MetalReading]
) -> WordsUnsettling | None:
    """What a mark of a coat on the same line says of a mark of solid metal: `GOLD SHELL 10K`.

    A coat that the rules know over that metal takes nothing back (`STERLING 24K GOLD OVERLAY`),
    unless it names none (`18K PLATE`); such a word qualifies what stands above it where it has a
    line of its own. So does an alloy without it (`GERMAN SILVER 925`, `585 TOMBAC`).
    """
    from markrules.marks.metal_beside import WordsUnsettling, line_of, names_no_metal, same_line

    place = solid.start, solid.end

    def qualifies(each: MetalReading) -> bool:
        coat = each.start, each.end
        if each.how == NO_METAL:
            return solid.metal not in each.over.split() and same_line(text, place, coat)
        if names_no_metal(base, each.words):
            return same_line(text, place, coat) or line_of(text, coat) == each.words
        if each.metal == solid.metal:  # a coat of it qualifies it from a line of its own too
            return same_line(text, place, coat) or line_of(text, coat) == each.words
        return solid.metal not in each.over.split() and same_line(text, place, coat)

    coats = [each for each in found if each.how in {*COATS, NO_METAL} and qualifies(each)]
    if not coats:
        return None
    beside = all(same_line(text, place, (each.start, each.end)) for each in coats)
    line = line_of(text, place) if beside else text.strip()
    return WordsUnsettling(" ".join(each.words for each in coats), True, line)


def _only_qualifies(
    base: KnowledgeBase, text: str, coat: MetalReading, found: Sequence[MetalReading]
) -> bool:
    """Whether a mark of a coat that names no metal belongs to a mark of another metal beside it."""
    if coat.how not in COATS:
        return False
    from markrules.marks.metal_beside import names_no_metal, same_line

    return names_no_metal(base, coat.words) and any(
        each.how == "solid"
        and each.metal != coat.metal
        and same_line(text, (each.start, each.end), (coat.start, coat.end))
        for each in found
    )


def _joined_to(
    base: KnowledgeBase, text: str, solid: MetalReading, found: Sequence[MetalReading]
) -> str:
    """The mark of another solid metal on the line of this one: `STERLING 14K`; else nothing.

    A metal's bare name may be a colour (`925 ROSE GOLD`), unless a word joins it (`14K & SILVER`).
    """
    from markrules.marks.metal_beside import joins, same_line

    place = solid.start, solid.end
    metals = {solid.metal, *(each.metal for each in solid.alternatives)}
    for each in found:
        others = {each.metal, *(other.metal for other in each.alternatives)}
        if metals & others or not same_line(text, place, (each.start, each.end)):
            continue
        between = text[min(place[1], each.end) : max(place[0], each.start)]
        if each.how == "solid" or (each.how == "wording" and joins(base, between)):
            return each.words
    return ""


def _with_another(reading: MetalReading, other: str) -> MetalReading:
    """A reading of solid metal, where the words of another metal stand beside it."""
    if not other or reading.how != "solid":
        return reading
    several = f'Of several metals: "{other}" stands beside it, and how much is of each is not told.'
    return replace(
        reading,
        how=JOINED,
        share=None,
        fine_share=None,
        say=f"{several} Alone it says: {reading.say}",
        never=f"{reading.never} Nor that all of it is of this metal.".strip(),
    )


NOT_SURE = "not sure"
"""How the metal is used is not said, where a word beside its mark may take back that it is
solid."""


def _unsure(
    base: KnowledgeBase, reading: MetalReading, beside: WordsUnsettling | None
) -> MetalReading:
    """The reading with what the words beside it leave open."""
    if beside is None:
        return reading
    shares = metal_shares(base)
    most = shares.beside_qualifies if beside.qualifies else shares.beside_unknown
    why = "may mean that not all is of it" if beside.qualifies else "these rules do not know"
    doubt = f'Not sure: "{beside.words}" stands beside it, which {why}.'
    return replace(
        reading,
        how=NOT_SURE,
        share=None,
        fine_share=None,
        weight=min(reading.weight, most),
        say=f"{doubt} Alone it says: {reading.say}",
        claim=f'Stamped "{beside.line}".',
        besides="",
        never=f"{reading.never} Nor that it is solid.".strip(),
    )


def _first_fitting(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], at: int
) -> tuple[MetalReading | None, int]:
    """The reading of the longest spelling at this token whose figures agree, and where to go on."""
    for matches in _spellings(base).at(read, at, metal_slots(base)):
        standing = [
            match
            for match in _closest(matches)
            if _stands(match, read) and not _is_cut_short(base, text, read, match)
        ]
        possible = [_decoded(base, text, read, match) for match in standing]
        readings = [each for each in possible if each is not None]
        if readings:
            return _ranked(base, readings), matches[0].after
    return None, at + 1


def _is_cut_short(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], match: Match[MetalMark]
) -> bool:
    """Whether the spelling takes in a letter that belongs to something else."""
    from markrules.marks.metal_beside import cut_short

    return cut_short(base, text, read, match)


def metal_observations(
    base: KnowledgeBase, readings: Sequence[MetalReading]
) -> tuple[Observation, ...]:
    """The marks as observations on `metal-mark`.

    Less sure where a mark has several meanings, or is two letters that may be initials.
    """
    return tuple(
        Observation(
            "metal-mark",
            each.mark,
            certainty=_certainty(base, each),
            words=each.words,
            assumed=_assumed(each),
        )
        for each in readings
    )


def _certainty(base: KnowledgeBase, reading: MetalReading) -> str:
    letters = sum(sign.isalnum() for sign in reading.words)
    if reading.weight < metal_shares(base).fair or (letters <= 2 and reading.karat is None):
        return "guess"
    return "sure" if reading.weight >= metal_shares(base).sure else "fair"


def _assumed(reading: MetalReading) -> str:
    others = ", ".join(each.metal for each in reading.alternatives)
    return f"taken for {reading.metal}; could be {others}" if others else ""


@lru_cache(maxsize=8)
def _spellings(base: KnowledgeBase) -> Spellings[MetalMark]:
    def make() -> dict[str, Any]:
        every = (spelling(mark, each) for mark in base.metal_marks.values() for each in mark.reads)
        return packed_spellings(every)

    return Spellings(base.workings.parts("metals", make), base.metal_marks.__getitem__)


def _closest(matches: Sequence[Match[MetalMark]]) -> tuple[Match[MetalMark], ...]:
    """The matches with the fewest slots: a figure written out in a rule is the closer one."""
    fewest = min((len(match.slots) for match in matches), default=0)
    each_once = {match.owner.name: match for match in matches if len(match.slots) == fewest}
    return tuple(each_once.values())


def _stands(match: Match[MetalMark], read: Sequence[StampedToken]) -> bool:
    """Whether a bare figure is enough: three digits are, one or two only when alone."""
    part = read[match.first : match.after]
    bare = len(part) == 1 and part[0].kind == "number"
    digits = part[0].text.lstrip(".0")
    return not bare or len(digits) >= 3 or part[0].text.startswith((".", "0.")) or len(read) == 1


def _ranked(base: KnowledgeBase, readings: Sequence[MetalReading]) -> MetalReading:
    total = sum(base.metal_marks[each.mark].weight for each in readings)
    weighed = [
        replace(each, weight=base.metal_marks[each.mark].weight / total) for each in readings
    ]
    best, *others = sorted(weighed, key=lambda each: -each.weight)
    return replace(best, alternatives=tuple(others))


def _decoded(
    base: KnowledgeBase, text: str, read: Sequence[StampedToken], match: Match[MetalMark]
) -> MetalReading | None:
    """The reading of one match; None where its figures contradict each other."""
    from fractions import Fraction  # few marks hold a figure, and it takes its time to load

    mark = match.owner
    figures = {name: value for name, value in match.slots.items() if isinstance(value, Fraction)}
    fineness = _fineness(base, mark, figures)
    if fineness is None and {"karat", "fineness"} <= figures.keys():
        return None
    share = _share(mark, figures)
    quote, besides = _filled(mark.quote, figures), _filled(mark.claim, figures)
    from markrules.marks.metal_years import years_of_mark

    start, end = read[match.first].start, read[match.after - 1].end
    return MetalReading(
        mark=mark.name,
        words=text[start:end],
        start=start,
        end=end,
        metal=mark.metal,
        how=mark.how,
        over=mark.over,
        fineness=fineness,
        share=share,
        fine_share=_fine_share(mark, fineness, share),
        karat=figures.get("karat"),
        fraction=figures.get("fraction"),
        least_microns=mark.least_microns,
        country=mark.country,
        law=mark.law,
        years=years_of_mark(base, mark.name),
        say=_filled(mark.say, figures),
        claim=f"{quote}; {besides}" if quote and besides else f"{quote}." if quote else besides,
        besides=besides,
        never=_filled(mark.never, figures),
        test=mark.test,
        note=mark.note,
        sources=tuple(cite.source.name for cite in mark.cites),
    )


def _fineness(
    base: KnowledgeBase, mark: MetalMark, figures: Mapping[str, Fraction]
) -> tuple[float, float] | None:
    """Thousandths by the figures read, or by the rule; None where two figures disagree."""
    by_karat = figures["karat"] / KARATS * 1000 if "karat" in figures else None
    by_figure = figures.get("fineness")
    if by_karat is not None and by_figure is not None:
        agree = abs(by_karat - by_figure) <= metal_shares(base).rounding
        return (float(min(by_karat, by_figure)), float(max(by_karat, by_figure))) if agree else None
    told = by_karat if by_karat is not None else by_figure
    return (float(told), float(told)) if told is not None else mark.fineness


def _share(mark: MetalMark, figures: Mapping[str, Fraction]) -> tuple[float, float] | None:
    if "fraction" in figures:
        return float(figures["fraction"]), float(figures["fraction"])
    if mark.share is not None:
        return mark.share
    return (1.0, 1.0) if mark.how == "solid" else None


def _fine_share(
    mark: MetalMark,
    fineness: tuple[float, float] | None,
    share: tuple[float, float] | None,
) -> tuple[float, float] | None:
    if fineness is None or share is None:
        return None
    low = max(0.0, fineness[0] - mark.allow) / 1000 * share[0]
    return low, fineness[1] / 1000 * share[1]


def _filled(text: str, figures: Mapping[str, Fraction]) -> str:
    """The rule's words with the figures read put in; a word whose figure was not read falls out."""
    for name in METAL_SLOTS:
        if name in figures:
            text = text.replace(f"{{{name}}}", written(figures[name]))
    return " ".join(word for word in text.split() if not _OPEN_SLOT.search(word))
