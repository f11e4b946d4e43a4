"""What the words of one segment leave open, settled by what the whole note tells."""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from dataclasses import replace

from markrules.knowledge.observation import MARK, Observation
from markrules.notes.saying import Open, OpenFault, Said, Unread
from markrules.notes.segments import Segment
from markrules.notes.unreadmark import settled_unread, tells_how_read
from markrules.notes.vocabulary import (
    MARK_PREFIXES,
    PICTURED_FEATURES,
    SEVERAL_PIECES,
    Vocabulary,
)

Place = tuple[int, int]
"""Where something was said: which segment, and which place in its `order`."""


def settled_all(
    vocabulary: Vocabulary, parts: list[Said], segments: list[Segment], piece: str
) -> dict[Place, Observation]:
    """What was said at each place, once the piece type is known.

    What was seen of a part that is said to be a later one is `replaced`.
    """
    told: dict[Place, Observation] = {}
    named = {piece, *(name for part in parts for name, _ in part.pieces)}
    chains = frozenset(each for name in named for each in vocabulary.base.broader(name))
    renewed: set[Place] = set()
    chain = frozenset(vocabulary.base.broader(piece))
    values = {
        (each.feature, each.value)
        for part in parts
        for each in part.order
        if isinstance(each, Observation) and each.state == "seen"
    }
    seen = frozenset(feature for feature, _ in values)
    for index, part in enumerate(parts):
        for at, each in enumerate(part.order):
            if isinstance(each, OpenFault):
                near = index and (each.counted or segments[index].goes_on)
                spoken = _spoken_before(parts, segments, index)
                before = parts[spoken] if near else None
                from markrules.notes.faults import settled_fault

                of_mark = bool(part.marks) or (index > 0 and parts[index - 1].ends_in_mark)
                after_piece = not of_mark and any(other.pieces for other in parts[:index])
                fault = settled_fault(vocabulary, each, before, chain, chains, seen, after_piece)
                if fault is None:
                    continue
                told[index, at] = fault.observation
                renewed.update((spoken, each_at) for each_at in fault.renewed)
                if each.renewed:
                    renewed.update((index, place) for place in each.of)
                for at_thing in each.of:  # gold that wears off is a plating, and no gold
                    if _is_no(vocabulary, fault.thing, told.get((index, at_thing))):
                        del told[index, at_thing]
            elif isinstance(each, Open):
                beside = each.marked or (
                    each.alone and any(map(_of_marks, _neighbours(parts, index)))
                )
                settled = _settled(vocabulary, _beside(vocabulary, each, values), chain, beside)
                if _suits(vocabulary, settled, chains):
                    told[index, at] = settled
            elif isinstance(each, Observation) and _suits(vocabulary, each, chains):
                told[index, at] = each
    told |= _unread_marks(vocabulary, parts, seen)
    for place in renewed & told.keys():
        feature = vocabulary.feature(told[place].feature)
        if told[place].state == "seen" and feature is not None and feature.kind == "choice":
            told[place] = replace(told[place], state="replaced")
    return told


def _unread_marks(
    vocabulary: Vocabulary, parts: list[Said], seen: AbstractSet[str]
) -> dict[Place, Observation]:
    """The marks that are there and of which the note gives no letter; none where it tells of a
    mark's devices, or that there is none. `seen` are the features that it tells of.
    """
    if MARK in seen or any(part.mark_absent or part.marks for part in parts):
        return {}
    how_told = tells_how_read(each for part in parts for each in part.order)
    settled = {
        (index, at): settled_unread(vocabulary, each, how_told)
        for index, part in enumerate(parts)
        for at, each in enumerate(part.order)
        if isinstance(each, Unread)
    }
    return {place: mark for place, mark in settled.items() if mark is not None}


def _spoken_before(parts: list[Said], segments: list[Segment], index: int) -> int:
    """Which part spoke of something before, an aside of two commas passed over: `the stone on
    the left, which is original, is loose`.
    """
    before = parts[index - 1]
    aside = index > 1 and segments[index - 1].goes_on and segments[index].goes_on
    if aside and not before.things and not before.denies and parts[index - 2].things:
        return index - 2
    return index - 1


def _is_no(vocabulary: Vocabulary, thing: str, each: Observation | None) -> bool:
    """Whether a damaged thing shows that its word was meant of another feature than `each`."""
    holds = vocabulary.making.holds
    own = holds.get(thing, ())
    return (
        each is not None
        and bool(own)
        and each.feature not in own
        and any(each.feature in others for others in holds.values())
    )


def _suits(vocabulary: Vocabulary, each: Observation, chains: frozenset[str]) -> bool:
    """Whether a value can be seen on the pieces named: a brooch has no cuff-link back.

    `chains` are the piece types named and all broader ones. Narrower ones may be meant too
    (a pin that is a hatpin); where no type is named, or one that holds several, all may be.
    """
    found_on = vocabulary.found_on.get(each.feature)
    if found_on is None or not chains or not chains.isdisjoint(SEVERAL_PIECES):
        return True
    return not found_on.isdisjoint(chains)


def _neighbours(parts: list[Said], index: int) -> list[Said]:
    return [*parts[max(0, index - 1) : index], *parts[index + 1 : index + 2]]


def _of_marks(part: Said) -> bool:
    """Whether a segment speaks of nothing but marks."""
    return part.ends_in_mark or (
        bool(part.order)
        and all(
            any(name.startswith(MARK_PREFIXES) for name, _ in each.choices)
            if isinstance(each, Open)
            else isinstance(each, Observation) and each.feature.startswith(MARK_PREFIXES)
            for each in part.order
        )
    )


def _beside(vocabulary: Vocabulary, said_open: Open, seen: AbstractSet[tuple[str, str]]) -> Open:
    """What was said, as what one of its meanings comes to with something else that was seen:
    shell, of a cameo.
    """
    together = vocabulary.together
    for choice in said_open.choices:
        for other, meant in together.get(choice, {}).items():
            if other in seen and said_open.state in ("seen", "ruled-out"):
                return replace(said_open, choices=(meant,))
    return said_open


def _settled(
    vocabulary: Vocabulary, said_open: Open, chain: frozenset[str], beside_marks: bool
) -> Observation:
    """The likeliest meaning, given the piece type, with what was assumed."""
    fits = {choice: _fit(vocabulary, choice, chain, beside_marks) for choice in said_open.choices}
    ranked = sorted(said_open.choices, key=lambda choice: fits[choice], reverse=True)
    feature, value = ranked[0]
    assumed = said_open.assumed
    if len(ranked) > 1 and fits[ranked[0]][:-1] == fits[ranked[1]][:-1] and fits[ranked[0]][3]:
        taken = f"taken as {feature}: {value}"
        assumed = f"{assumed}, {taken}" if assumed else taken
    return Observation(
        feature,
        value,
        said_open.state,
        said_open.number,
        certainty=said_open.certainty,
        heard=said_open.heard,
        words=said_open.words,
        assumed=assumed,
    )


def _fit(
    vocabulary: Vocabulary, choice: tuple[str, str], chain: frozenset[str], beside_marks: bool
) -> tuple[int, int, int, int, float]:
    """How well a meaning fits.

    First, whether it speaks of marks as the segment does; then whether its feature is one of
    this piece type; then what is pictured before what is told, and what counts as evidence
    before what only describes; last, how often it is met.
    """
    name = choice[0]
    feature = vocabulary.feature(name)
    if feature is None:
        return (0, 0, 0, 0, 0.0)
    of_marks = int(name.startswith(MARK_PREFIXES) == beside_marks)
    on = {each.name for each in feature.on}
    suited = 0 if not on or not chain else 1 if on & chain else -1
    counts = int(name == "fault" or not feature.describes)
    share = next((value.share or 0.0 for value in feature.values if value.name == choice[1]), 0.0)
    harmless = 0.0 if feature.kind == "choice" else 0.5  # of several values none rules others out
    pictured = int(name in PICTURED_FEATURES)
    return (of_marks, suited, pictured, counts, harmless + share / 2)
