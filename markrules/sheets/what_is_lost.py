"""Of what a bare word of loss is said: `one of the stones missing` for "12 stones, one is missing".

A buyer who reads "Missing." does not know what. Where the words beside it or before it name the
things, they are told with how many; where none does, what the loss was taken to be stands behind
it in brackets. All words are those of the rules or of the note, small: no name comes along.
"""

from __future__ import annotations

import re
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.sheets.matter import SheetMatter
from markrules.telling.words import plain

_WORD = re.compile(r"[^\s,.;:()!?\"“”]+")
_APART = re.compile(r"[.;:()!?,\n]")


@dataclass(frozen=True, slots=True)
class _LossWords:
    """Words of the rules, small: of loss, those that count, and those that say nothing."""

    lost: frozenset[str]
    counts: frozenset[str]
    little: frozenset[str]
    things: frozenset[str]


@lru_cache(maxsize=4)
def _loss_words(base: KnowledgeBase) -> _LossWords:
    def of(*roles: str) -> set[str]:
        return set(map(str.casefold, base.words_of(*roles)))

    return _LossWords(
        lost=frozenset(each for each in of("no-claim-after") if " " not in each),
        counts=frozenset(of("count", "number")),
        little=frozenset(word for each in of("little", "opening") for word in each.split()),
        things=frozenset(of("thing", "takes-color")),
    )


def with_what_is_lost(matter: SheetMatter, fault: str, words: str) -> str:
    """The words of a flaw; where they are no more than a loss, with what is lost and how many."""
    known = _loss_words(matter.base)
    said = words.casefold().split()
    head = next((at for at, word in enumerate(said) if not _is_small(known, word)), len(said))
    if head == len(said) or said[head] not in known.lost:
        return words
    found = list(_WORD.finditer(matter.note))
    tokens = [each.group().casefold() for each in found]
    first = next((n for n in range(len(tokens)) if tokens[n : n + len(said)] == said), None)
    if first is None:
        return words
    lost, at, count = " ".join(said[head:]), first + head - 1, ""
    while at >= 0 and _is_small(known, tokens[at]):
        if _APART.search(matter.note[found[at].end() : found[at + 1].start()]):
            break
        if not count and (tokens[at] in known.counts or tokens[at].isdecimal()):
            count = _with_article(tokens, at)
        at -= 1
    thing = _things_before(matter, known, fault, tokens[: at + 1])
    if count and thing:
        return f"{count} of the {thing} {lost}"
    taken = plain(fault)
    if thing and not _parted(matter.note, found, at):
        return f"{thing} {lost}"
    return f"{count} {lost} ({taken})" if count else f"{lost} ({taken})"


def _is_small(known: _LossWords, word: str) -> bool:
    return word in known.little or word in known.counts or word == "of" or word.isdecimal()


def _with_article(tokens: list[str], at: int) -> str:
    """How many, as it is said: `a few`."""
    return f"a {tokens[at]}" if at and tokens[at - 1] == "a" else tokens[at]


def _parted(note: str, found: list[re.Match[str]], at: int) -> bool:
    """Whether a sign parts the word at a place from the next."""
    return at < 0 or bool(_APART.search(note[found[at].end() : found[at + 1].start()]))


def _things_before(matter: SheetMatter, known: _LossWords, fault: str, tokens: list[str]) -> str:
    """The last of what is told of by several that such a fault can be of, or of the piece itself
    where it goes by several: `stones`, `glass beads`, `earrings`.
    """
    base = matter.base
    features = [base.features[each.name] for each in base.faults[fault].within]
    names = {
        words.casefold()
        for feature in features
        for value in feature.values
        for words in (plain(value.name), *value.also)
    }
    names |= known.things | {plain(matter.reading.piece_type)}
    for at in range(len(tokens) - 1, -1, -1):
        if not tokens[at].endswith("s"):
            continue
        for length in (2, 1):
            some = " ".join(tokens[max(0, at + 1 - length) : at + 1])
            if some in names or some.removesuffix("s") in names:
                return some
    return ""
