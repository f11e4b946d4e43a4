"""Places that several things may fill: one entry with a slot stands for an entry for each fill."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from markrules.language.conditions import And, AtLeast, Condition, Is, IsNot, IsSeen, Not, Or
from markrules.language.spans import Named
from markrules.language.tree import Book, Entry, Fill, Misleading, Remark, Slot
from markrules.late import late

BRACED = late(r"\{([a-z0-9-]+)\}")
"""A name in braces in the words of a remark, or in what a situation says."""
FAMILY = late(r"\{([^}]*?)\??\}")
"""A family in braces in the words of a claim; what a `?` stands after may be left out."""
REMARK = "remark"
"""The feature for what people remark on a piece: a turn of phrase, and nothing that is seen."""
PART, PART_BEFORE = "part", "part-before"
"""Stand in the words of a fault for any part that has words: `{loose} {part}` where nothing
narrower is made, `{dull} {part-before}` the same only where the part stands before the damage.
"""
ANY_PART = ("piece", PART, PART_BEFORE)
"""What stands for the piece, or for any part of it, in the words of a fault."""
THING = "thing"
"""Stands in a way of telling damage for anything that damage may be said of."""
UNREAD_DOING, UNREAD_LACK = "unread-doing", "unread-lack"
"""Stand there for a word that no rule knows and that has the form of what was done (-ed), or of
what is wanting (un-, -less)."""
BUILT_IN_SLOTS = (
    *("piece", "other-piece", "year", "its-year"),
    *(THING, UNREAD_DOING, UNREAD_LACK),
)
"""What stands for any piece type, for one that the piece is not, for a year in figures, for a year
that is not the piece's own but of the feature that the remark names, and what ways of telling
damage have besides."""


def filled_name(name: str, fill: Fill) -> str:
    """The name of an entry or a value with its slot filled: `newer-part` and `newer-part-clasp`."""
    return f"{name}-{fill.name}"


def slot_of(remark: Remark, slots: Mapping[str, Slot]) -> Slot | None:
    """The slot that stands first in the words of a remark."""
    for text in remark.words:
        for name in BRACED.findall(text):
            if name in slots:
                return slots[name]
    return None


def with_slots_filled(books: Iterable[Book]) -> list[Book]:
    """The books with one situation for each fill where a situation has `each`.

    Where the slot is not known, the entry stays as it is: the checker tells of it.
    """
    books = list(books)
    entries = [entry for book in books for entry in book.entries]
    slots: dict[str, Slot] = {}
    for entry in entries:
        if isinstance(entry, Slot):
            slots.setdefault(entry.name, entry)
    named = {
        entry.name: slot.name
        for entry in entries
        if isinstance(entry, Remark) and (slot := slot_of(entry, slots)) is not None
    }
    return [
        replace(
            book,
            entries=tuple(each for entry in book.entries for each in _filled(entry, slots, named)),
        )
        for book in books
    ]


def _filled(entry: Entry, slots: Mapping[str, Slot], named: Mapping[str, str]) -> Iterator[Entry]:
    slot = slots.get(entry.each.name) if isinstance(entry, Misleading) and entry.each else None
    if not isinstance(entry, Misleading):
        yield entry
        return
    if slot is None:
        yield _of_any_fill(entry, slots, named)
        return
    for fill in slot.fills:
        yield _Filler(slot.name, fill, named).entry(entry)


def _of_any_fill(
    entry: Misleading, slots: Mapping[str, Slot], named: Mapping[str, str]
) -> Misleading:
    """A situation without `each`: a remark that has a slot is meant with whatever fills it."""

    def values(name: Named) -> tuple[Named, ...]:
        slot = slots.get(named.get(name.name, ""))
        fills = slot.fills if slot is not None else ()
        return (name, *(replace(name, name=filled_name(name.name, each)) for each in fills))

    def widened(condition: Condition | None) -> Condition | None:
        match condition:
            case And() | Or() | AtLeast():
                parts = tuple(each for part in condition.parts if (each := widened(part)))
                return replace(condition, parts=parts)
            case Not():
                return replace(condition, part=widened(condition.part) or condition.part)
            case Is() | IsNot() if condition.feature.name == REMARK:
                every = tuple(each for name in condition.values for each in values(name))
                return replace(condition, values=every)
        return condition

    return replace(
        entry,
        when=widened(entry.when),
        told=widened(entry.told),
        unless=widened(entry.unless),
        known=widened(entry.known),
    )


class _Filler:
    """Puts one fill where the slot stands. `named` tells which slot each remark has."""

    def __init__(self, slot: str, fill: Fill, named: Mapping[str, str]) -> None:
        self._slot, self._fill, self._named = slot, fill, named

    def entry(self, entry: Misleading) -> Misleading:
        """The situation of this fill."""
        order = entry.order
        return replace(
            entry,
            each=None,
            name=filled_name(entry.name, self._fill),
            taken=self._text(entry.taken),
            truth=self._text(entry.truth),
            look=self._text(entry.look),
            why=self._text(entry.why),
            when=self._optional(entry.when),
            told=self._optional(entry.told),
            unless=self._optional(entry.unless),
            known=self._optional(entry.known),
            on=entry.on or self._fill.on,
            part=self._names(entry.part),
            never=self._names(entry.never),
            settle=self._names(entry.settle),
            order=order
            and replace(order, earlier=self._names(order.earlier), later=self._names(order.later)),
        )

    def _text(self, text: str) -> str:
        return text.replace(f"{{{self._slot}}}", self._fill.say or self._fill.name)

    def _names(self, names: Sequence[Named]) -> tuple[Named, ...]:
        found: dict[str, Named] = {}
        for name in names:
            for each in self._fill.part if name.name == self._slot else (name,):
                found.setdefault(each.name, each)
        return tuple(found.values())

    def _optional(self, condition: Condition | None) -> Condition | None:
        return None if condition is None else self._condition(condition)

    def _condition(self, condition: Condition) -> Condition:
        match condition:
            case And() | Or() | AtLeast():
                return replace(
                    condition, parts=tuple(self._condition(part) for part in condition.parts)
                )
            case Not():
                return replace(condition, part=self._condition(condition.part))
            case Is() | IsNot() if condition.feature.name == REMARK:
                return replace(condition, values=tuple(map(self._value, condition.values)))
            case IsSeen() if condition.feature.name == self._slot and self._fill.part:
                parts = tuple(replace(condition, feature=name) for name in self._fill.part)
                return parts[0] if len(parts) == 1 else Or(parts, condition.span)
        return condition

    def _value(self, value: Named) -> Named:
        """The remark made of this fill, where it has this slot."""
        if self._named.get(value.name) != self._slot:
            return value
        return replace(value, name=filled_name(value.name, self._fill))
