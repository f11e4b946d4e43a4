"""Which fault a word of damage makes, once the piece type and the rest of the note are known."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

from markrules.knowledge.observation import Observation
from markrules.language.slots import PART, PART_BEFORE
from markrules.named_tuple import NamedTuple
from markrules.notes.saying import OpenFault, Said, SpokenThing
from markrules.notes.tokens import tokens_of
from markrules.notes.vocabulary import SEVERAL_PIECES, Vocabulary


class Settled(NamedTuple):
    """A fault as an observation. `renewed` are the places, in the `order` of the segment before,
    of what was seen of a part that is said to be a later one; `thing` is what it was said of, in
    the same breath.
    """

    observation: Observation
    renewed: tuple[int, ...] = ()
    thing: str = ""


def settled_fault(
    vocabulary: Vocabulary,
    fault: OpenFault,
    before: Said | None,
    chain: frozenset[str],
    chains: frozenset[str] = frozenset(),
    seen: AbstractSet[str] = frozenset(),
    after_piece: bool = False,
) -> Settled | None:
    """The fault meant; None where the words make none.

    Of several, the one whose thing is found on this piece type is taken, then one on a feature
    that was `seen` on this piece. `chain` holds this type and the broader ones, `chains` those of
    all that the note names. Where no thing was
    named, it is looked for in the segment before; a damage that is a fault by itself is never
    lost for want of a thing, and no other one either that is told `after_piece`, behind the
    piece's name and not of a mark.
    """
    making = vocabulary.making
    of_it = _of_such_a_piece(vocabulary, fault, chain)
    if of_it is not None and not making.of_such_pieces.isdisjoint(fault.damages):
        return of_it
    chosen = _chosen(vocabulary, fault, chain, chains, seen)
    if chosen is not None:
        return of_it if of_it is not None and chosen.thing in ("", "piece") else chosen
    if fault.choices:
        elsewhere = _as_any_part(vocabulary, fault)
        if elsewhere is not None:
            return elsewhere
    told_before = _of_thing_before(vocabulary, fault, before) or of_it
    if told_before is not None:
        return told_before
    for damage in fault.damages:
        if fault.counted and damage in making.counted:
            return Settled(
                _observation(fault, making.counted[damage], "what was counted is not said")
            )
    for damage in fault.damages:
        if damage in making.bare:
            return Settled(_observation(fault, making.bare[damage]))
    of_no_part = after_piece and not _describes_it(vocabulary, fault.words, chain)
    return _of_the_piece(vocabulary, fault) or (
        _of_no_told_part(vocabulary, fault) if of_no_part else None
    )


def _chosen(
    vocabulary: Vocabulary,
    fault: OpenFault,
    chain: frozenset[str],
    chains: frozenset[str],
    seen: AbstractSet[str],
) -> Settled | None:
    """The fault of the likeliest thing that the same breath tells of; None where it tells of none
    that such a piece has.
    """
    making = vocabulary.making
    choices = [each for each in fault.choices if not _elsewhere(vocabulary, each[1], chains)]
    if not choices:
        return None
    ranked = sorted(
        choices,
        key=lambda choice: (
            _suited(vocabulary, choice[1], chain),
            choice[1] != "piece",
            not making.holds.get(choice[1]) or not seen.isdisjoint(making.holds[choice[1]]),
        ),
        reverse=True,
    )
    return Settled(_observation(fault, ranked[0][0]), thing=ranked[0][1])


def _of_thing_before(
    vocabulary: Vocabulary, fault: OpenFault, before: Said | None
) -> Settled | None:
    """The fault of a thing that the segment before spoke of; None where it makes none of them."""
    making = vocabulary.making
    alone = fault.words.strip(" .").casefold()
    for thing in () if alone in vocabulary.of_the_piece else _things(before, fault):
        for name in (*thing.names, *_as_part(vocabulary, thing)):
            for damage in fault.damages:
                if damage in making.of_one and thing.plural:
                    continue
                found = making.of.get((damage, name))
                if found and _may_be_counted(vocabulary, fault, thing, damage, found[0]):
                    return Settled(
                        _observation(fault, found[0], f'taken as said of "{thing.words}"'),
                        thing.at if fault.renewed else (),
                    )
    return None


def _describes_it(vocabulary: Vocabulary, words: str, chain: frozenset[str]) -> bool:
    """Whether words of damage tell how such a piece is made: a tie bar is `sprung`."""
    folded = tokens_of(words, vocabulary.folding).folded
    found = vocabulary.words.longest(folded, [False] * len(folded), 0)
    return found is not None and any(
        sense.kind == "value"
        and sense.name != "fault"
        and not chain.isdisjoint(vocabulary.found_on.get(sense.name, ()))
        for sense in found[1].senses
    )


def _of_no_told_part(vocabulary: Vocabulary, fault: OpenFault) -> Settled | None:
    """What damage that is no fault by itself makes of a part that was not told: `tie bar, sprung`.

    Of what is wanting, or another than it was, the part must be told: an empty locket lacks none.
    """
    if fault.renewed:
        return None
    making = vocabulary.making
    of_told = {making.bare[each] for each in making.told_of_parts if each in making.bare}
    for damage in fault.damages:
        for found in making.of_a_part(damage):
            if found not in of_told:
                return Settled(_observation(fault, found, "the part was not told"))
    return None


def _of_such_a_piece(
    vocabulary: Vocabulary, fault: OpenFault, chain: frozenset[str]
) -> Settled | None:
    """What is said by itself as said of what the piece is called, where that is a thing of damage:
    `watch, not working`.
    """
    making = vocabulary.making
    if fault.counted or fault.renewed:
        return None
    for thing in making.of_types:
        if chain.isdisjoint(making.on.get(thing, ())):
            continue
        whole = {
            each for some in making.of_such_pieces for each in making.of.get((some, thing), ())
        }
        for damage in fault.damages:
            for found in whole.intersection(making.of.get((damage, thing), ())):
                return Settled(_observation(fault, found, "taken as said of the piece"))
    return None


def _of_the_piece(vocabulary: Vocabulary, fault: OpenFault) -> Settled | None:
    """What is said by itself, and of no part, as said of the piece: `brooch, worn`."""
    if fault.counted or fault.renewed:
        return None
    for damage in fault.damages:
        for found in vocabulary.making.of.get((damage, "piece"), ()):
            return Settled(_observation(fault, found, "taken as said of the piece"))
    return None


def _as_any_part(vocabulary: Vocabulary, fault: OpenFault) -> Settled | None:
    """What is said of a part that only other pieces than this one have: it stays a part of it, and
    what is no fault without a part stays what it would be there.
    """
    making = vocabulary.making
    for damage in fault.damages:
        for made in making.of.get((damage, PART), ()):
            return Settled(_observation(fault, made), thing=PART)
    if making.bare.keys().isdisjoint(fault.damages):
        return Settled(_observation(fault, fault.choices[0][0]))
    return None


def _as_part(vocabulary: Vocabulary, thing: SpokenThing) -> tuple[str, ...]:
    """The names of any part, where the thing is one that the rules know as a part."""
    known = not vocabulary.making.parts.isdisjoint(thing.names)
    return (PART, PART_BEFORE) if known else ()


def _things(before: Said | None, fault: OpenFault) -> list[SpokenThing]:
    """What the segment before spoke of, last first; counted damage needs several of a thing."""
    if before is None:
        return []
    told = [each for each in reversed(before.things) if set(each.names) != {"piece"}]
    if not fault.counted:
        return told
    return sorted(told, key=lambda each: not each.plural)


def _may_be_counted(
    vocabulary: Vocabulary, fault: OpenFault, thing: SpokenThing, damage: str, made: str
) -> bool:
    """Whether a number may be of this thing: it is one of several, or what is mostly counted."""
    mostly = vocabulary.making.counted.get(damage)
    return not fault.counted or thing.plural or mostly is None or made == mostly


def _suited(vocabulary: Vocabulary, thing: str, chain: frozenset[str]) -> int:
    """Whether a thing is found on this piece type: 1 if so, -1 if not, 0 where nothing is said."""
    feature = vocabulary.feature(thing)
    on = set(vocabulary.making.on.get(thing, ()))
    on |= {each.name for each in feature.on} if feature is not None else set()
    return 0 if not on or not chain else 1 if on & chain else -1


def _elsewhere(vocabulary: Vocabulary, thing: str, chain: frozenset[str]) -> bool:
    """Whether a thing is found on other piece types only: a brooch has no ear wires."""
    on = frozenset(vocabulary.making.on.get(thing, vocabulary.found_on.get(thing, ())))
    return bool(on) and bool(chain) and chain.isdisjoint((*on, *SEVERAL_PIECES))


def _observation(fault: OpenFault, name: str, assumed: str = "") -> Observation:
    return Observation(
        "fault",
        name,
        fault.state,
        fault.number,
        certainty=fault.certainty,
        heard=fault.heard,
        words=fault.words,
        assumed=assumed or fault.assumed,
    )
