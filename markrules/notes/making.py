"""Which faults are made of which words: the words of faults that have names in braces."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.roles import DAMAGE_OF_ONE, RENEWAL
from markrules.language.slots import PART, PART_BEFORE
from markrules.late import late

COUNTED = "#"
"""Stands in the words of a fault for a number: `# {missing}`."""
MADE_OF_PAIRS = "making-of"
"""The part of a kept vocabulary that holds `Making.of`: few notes ask for any of it."""
_SLOT = late(r"\{([a-z-]+)\}|(#)")


@dataclass(frozen=True, slots=True)
class Making:
    """Which faults are made of which words.

    `of` maps (damage, thing) to faults, `bare` a damage by itself, and `counted` a damage with
    a number before it. A thing is a wording of the role `thing`, a feature, `piece`, or one of
    `PART` and `PART_BEFORE`. `on` maps things to the piece types that alone have them, `holds` to
    the features whose words they are; `parts` are all of both. `pieces` are the single
    words, folded, that name a piece type. `of_one` are the damages of single things, `links`
    single little words that part one thing from the next, `nouns` the single words of things that
    are known by features too: the beads of glass beads. `of_the_piece` are words for what is new
    that tell of the piece as a whole where no part is named: a modern one. `bare_words` are the
    single words, folded, of what is a fault by itself, with the damages they are. `told_of_parts`
    are the damages that tell of what is gone or was renewed, and so of a part that must be told.
    `of_types` are the things that are called as the first piece type they are found on, and so
    are meant where none is told of such a piece; `of_such_pieces` the damages that make a fault of
    nothing else.
    """

    of: Mapping[tuple[str, str], Sequence[str]] = field(default_factory=dict)
    bare: dict[str, str] = field(default_factory=dict)
    counted: dict[str, str] = field(default_factory=dict)
    on: dict[str, tuple[str, ...]] = field(default_factory=dict)
    holds: dict[str, tuple[str, ...]] = field(default_factory=dict)
    parts: frozenset[str] = frozenset()
    pieces: frozenset[str] = frozenset()
    of_one: frozenset[str] = frozenset()
    links: frozenset[str] = frozenset()
    nouns: frozenset[str] = frozenset()
    of_the_piece: frozenset[str] = frozenset()
    bare_words: dict[str, tuple[str, ...]] = field(default_factory=dict)
    told_of_parts: frozenset[str] = frozenset()
    of_types: tuple[str, ...] = ()
    of_such_pieces: frozenset[str] = frozenset()

    def of_a_part(self, damage: str) -> Sequence[str]:
        """The faults that a damage makes of any part, wherever it stands or only before it."""
        return self.of.get((damage, PART)) or self.of.get((damage, PART_BEFORE), ())


def making_of(base: KnowledgeBase) -> Making:
    """The faults of the rules whose words have slots, by what makes them."""
    things = [each for each in base.wordings.values() if each.role == "thing"]
    features = {
        wording.name: tuple(each for text in wording.words for each in slots_of(text))
        for wording in things
    }
    of: dict[tuple[str, str], tuple[str, ...]] = {}
    made = Making(
        of=of,
        on={each.name: tuple(on.name for on in each.on) for each in things if each.on},
        holds=features,
        of_one=frozenset(
            each.name for each in base.wordings.values() if each.role == DAMAGE_OF_ONE
        ),
    )
    for fault in base.faults.values():
        for text in fault.also:
            slots = slots_of(text)
            if len(slots) == 2 and slots[0] == COUNTED:
                made.counted.setdefault(slots[1], fault.name)
            elif len(slots) == 2:
                for thing in (slots[1], *features.get(slots[1], ())):
                    pair = (slots[0], thing)
                    of[pair] = (*of.get(pair, ()), fault.name)
            elif slots:
                made.bare.setdefault(slots[0], fault.name)
    renewals = (each.name for each in base.wordings.values() if each.role == RENEWAL)
    return replace(made, told_of_parts=frozenset((*made.counted, *renewals)))


def spelled_out(base: KnowledgeBase, text: str) -> tuple[str, ...]:
    """The words of a wording, names of other wordings in braces spelled out by their words.

    `{fails-to} close` gives `won't close`, `doesn't close` and so on.
    """
    name = _SLOT.search(text)
    if name is None or name[1] is None:
        return (text,)
    return tuple(
        f"{text[: name.start()]}{words}{rest}"
        for rest in spelled_out(base, text[name.end() :])
        for words in base.wordings[name[1]].words
    )


def false_makings(base: KnowledgeBase) -> dict[str, tuple[str, str]]:
    """For each feature of a material, the feature and value that a false one makes.

    `also "{false} {gem}"` in a value says that a false gem makes this value.
    """
    made: dict[str, tuple[str, str]] = {}
    for feature in base.features.values():
        for value in feature.values:
            for text in value.also:
                slots = slots_of(text)
                said = base.wordings.get(slots[0]) if len(slots) == 2 else None
                if said is not None and said.role == "false":
                    made.setdefault(slots[1], (feature.name, value.name))
    return made


def slots_of(text: str) -> tuple[str, ...]:
    """The names in braces in the words of a fault, and `#`; none where it has no braces.

    >>> slots_of("{missing} {stone}"), slots_of("stone missing")
    (('missing', 'stone'), ())
    """
    if "{" not in text:
        return ()
    return tuple(match[1] or match[2] for match in _SLOT.finditer(text))
