"""What a segment tells of damage by the order of its words: of which thing, and as which fault."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence

from markrules.language.slots import PART, THING, UNREAD_DOING, UNREAD_LACK
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.damage_told import OPAQUE_FEATURES, things_in
from markrules.notes.damage_ways import DamageWays
from markrules.notes.items import Item
from markrules.notes.making import Making
from markrules.notes.tokens import Tokens

_DOING = late(r"[a-z]{2,}(?:[^e]ed|en|ing)")
_LACK = late(r"(?:un|dis|mis)[a-z]{4,}|[a-z]{3,}less")
"""How English forms words for what was done, and for what is wanting."""
MOST_ALL_SAID = 14
"""Words of a stretch that is told whole as what was said; of a longer one only those that tell."""


class DamageSaid(NamedTuple):
    """Damage told by the order of words: what it may be, the names of its thing, and its words."""

    damages: tuple[str, ...]
    names: tuple[str, ...]
    words: tuple[int, ...]
    first: int
    end: int


def said_so(
    ways: DamageWays,
    making: Making,
    tokens: Tokens,
    items: list[Item],
    unknown: Sequence[int],
    negated: Sequence[bool],
    told: Mapping[int, int],
    marks: Container[int] | None = None,
) -> DamageSaid | None:
    """The damage that the order of words tells in a segment.

    `unknown` are the tokens that nothing fits, `told` those of which something else was made: a
    way whose own words begin among them tells of no damage. In a segment that speaks of marks,
    `marks` are the words for one: only a way to which one belongs tells of harm, as a burn mark.
    """
    things = [
        each
        for each in things_in(tokens, items)
        if not negated[each.item.first] and set(each.names) != {"piece"}
    ]
    places = [(each.item.first, each.item.end) for each in things]
    # What is counted is told of with its number and without it: `2 stones short`.
    counted = [
        (start + 1, end) for start, end in places if end > start + 1 and tokens.numeric[start]
    ]
    given = {
        THING: sorted([*places, *counted]),
        UNREAD_DOING: [(at, at + 1) for at in unknown if _DOING.fullmatch(tokens.folded[at])],
        UNREAD_LACK: [
            (at, at + 1)
            for at in unknown
            if _LACK.fullmatch(tokens.folded[at]) and not _denies_harm(making, tokens.folded[at])
        ],
    }
    for way in ways.ways_in(tokens.folded, given):
        if way.words[0] in told:
            continue
        if marks is not None and not any(index in marks for index in way.words):
            continue
        at = _nearest(places, way.words[0]) if way.thing < way.words[0] else way.thing
        names = next((each.names for each in things if each.item.first <= at < each.item.end), ())
        first = min(way.words[0], at) if at >= 0 else way.words[0]
        return DamageSaid(way.damages, names, way.words, first, max(way.words[-1], at) + 1)
    return None


def _denies_harm(making: Making, word: str) -> bool:
    """Whether a word denies one for damage: `unchipped`, `undented`, `unbroken`."""
    return word.startswith("un") and word[2:] in making.bare_words


def _nearest(places: Sequence[tuple[int, int]], first: int) -> int:
    """Where the nearest thing before a word begins, or the first behind it; -1: there is none."""
    before = [start for start, _ in places if start < first]
    behind = [start for start, _ in places if start >= first]
    return before[-1] if before else behind[0] if behind else -1


def faults_of(making: Making, saying: DamageSaid) -> tuple[tuple[str, str], ...]:
    """The faults that the damage makes of its thing, of any part, or by itself, with what led to
    each; none where no thing was named, which is then looked for in the segment before.
    """
    if not saying.names:
        return ()
    own = tuple(
        (fault, name)
        for damage in saying.damages
        for name in saying.names
        for fault in making.of.get((damage, name), ())
    )
    part = not making.parts.isdisjoint(saying.names)
    of_any = tuple(
        (fault, PART)
        for damage in saying.damages
        for fault in (making.of.get((damage, PART), ()) if part else ())
    )
    pictured = part or not set(saying.names).isdisjoint(OPAQUE_FEATURES)
    alone = tuple(
        (making.bare[damage], PART)
        for damage in saying.damages
        if pictured and damage in making.bare
    )
    return tuple(dict.fromkeys(own or of_any or alone))
