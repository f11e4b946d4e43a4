"""Denials of what somebody does or thinks, and not of a thing: `I don't think the catch is new`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import MappingProxyType

from markrules.frozen import dataclass
from markrules.notes.items import Item
from markrules.notes.tokens import Tokens

DOINGS = ("denies-verb", "having", "thinking", "definite", "being")
"""The roles of the words of `Doings`, in its order."""

NO_DOINGS: Mapping[int, int] = MappingProxyType({})
"""That no denial is one of a doing."""

NEAR = 3
"""Words behind the verb within which its thing begins, and behind that the verb of the thing."""


@dataclass(frozen=True, slots=True)
class Doings:
    """Folded words: that deny a verb (`don't`), verbs of having, the denial of which is one of the
    thing (`have`), verbs of thought, whose denial is one of what is thought (`think`), words with
    which a thing begins that is there (`the`), and verbs of the thing (`is`).
    """

    denying: frozenset[str]
    having: frozenset[str]
    thinking: frozenset[str]
    definite: frozenset[str]
    being: frozenset[str]


NOTHING = -1
"""Where a denial begins that denies nothing of the piece."""


def denied_doings(doings: Doings, tokens: Tokens, items: Sequence[Item]) -> dict[int, int]:
    """For the first tokens of denials of a doing, the token from which on something is denied.

    `Don't think the stones are real` denies from `are` on, `didn't clean the silver` nothing. Of a
    thing that is not there one does not speak as `the` thing, save where a verb of having is
    denied: `doesn't have the clasp`.
    """
    found: dict[int, int] = {}
    for item in items:
        if not item.role("negation") or not _denies_a_verb(doings, tokens, item):
            continue
        verb = tokens.folded[item.end - 1 : item.end + 1]
        if not doings.having.isdisjoint(verb):
            continue
        begun = _first_of(doings.definite, tokens, item.end, item.end + NEAR)
        if begun is None:
            continue
        thinks = not doings.thinking.isdisjoint(tokens.folded[item.end : begun])
        of_it = _first_of(doings.being, tokens, begun + 1, begun + 2 + NEAR) if thinks else None
        found[item.first] = NOTHING if of_it is None else of_it
    return found


def _denies_a_verb(doings: Doings, tokens: Tokens, item: Item) -> bool:
    before = tokens.folded[item.first - 1] if item.first else ""
    return (
        tokens.folded[item.first] in doings.denying
        or f"{before} {tokens.folded[item.first]}" in doings.denying
    )


def _first_of(words: frozenset[str], tokens: Tokens, first: int, end: int) -> int | None:
    for at in range(first, min(end, len(tokens))):
        if tokens.folded[at] in words:
            return at
    return None
