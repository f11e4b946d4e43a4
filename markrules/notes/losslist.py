"""A list behind one word of damage, put together: `missing: two stones, the pin stem and a dangle`.

Commas part a note, and what stands behind one is spoken of anew; only a list that shows itself as
one goes on with the damage it began with. A colon behind the damage shows it, and so does `and`
before the last thing, where little words lead to it: `lacks a stone, its catch and the safety
chain`, but not `missing a stone, gilt and silver`.
"""

from __future__ import annotations

from markrules.language.roles import DAMAGE_ROLES
from markrules.named_tuple import NamedTuple
from markrules.notes.damage_told import EXCEPTION, SOUND, damage_names, things_in
from markrules.notes.items import Item
from markrules.notes.matching import matched
from markrules.notes.segments import Segment
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.vocabulary import Vocabulary

LIKEWISE = "likewise"
"""The role of words by which what was told right before is said of this as well: `so is`."""
MOST_LISTED = 6
"""Stretches that one list reaches over at most: nobody lists more."""
_LITTLE = ("filler", "count", "number", "describing", "opening", "link", "join", LIKEWISE)
"""Roles of words that may stand in a list beside its things."""


class _Words(NamedTuple):
    """A stretch with its items, and whether each of its words was found or is a number."""

    tokens: Tokens
    items: list[Item]
    whole: bool


class _Head(NamedTuple):
    """The word of damage with which a list may begin: its tokens, the items behind them, whether
    things are gone by it, and whether a phrase with it names a thing already.
    """

    first: int
    end: int
    behind: list[Item]
    loses: bool
    named: bool


def with_lists(vocabulary: Vocabulary, segments: list[Segment]) -> list[Segment]:
    """The segments, those of a list of what is damaged led by the damage it began with."""
    if not any(segment.goes_on and not segment.runs_on for segment in segments):
        return segments
    found = list(segments)
    at = 0
    while at < len(segments):
        # Read ahead and not as they come: whether it is a list shows only at its last thing, by the
        # `and`.
        following = segments[at + 1 : at + 1 + MOST_LISTED]
        led_by, more = "", 0
        if following and following[0].goes_on and _may_begin(vocabulary, segments[at].text):
            led_by, more = _list(vocabulary, segments[at].text, following)
        for each in range(at + 1, at + 1 + more):
            found[each] = segments[each]._replace(led_by=led_by)
        at += 1 + more
    for at, segment in enumerate(found):
        if at and segment.goes_on and not segment.led_by and _is_likewise(vocabulary, segment):
            led_by = found[at - 1].led_by or _told(vocabulary, found[at - 1].text)
            found[at] = segment._replace(led_by=led_by)
    return found


def _is_likewise(vocabulary: Vocabulary, segment: Segment) -> bool:
    """Whether nothing is said but that a part is so as well: `so is the catch`, `pin too`."""
    lower = segment.text.casefold()
    if not any(word in lower for word in vocabulary.likewise):
        return False
    words = _read(vocabulary, segment.text)
    bare = all(_in_list(words, each) and _is_part(words, each) for each in words.items)
    told_again = any(item.role(LIKEWISE) for item in words.items)
    if any(item.role("link") for item in words.items):  # with a safety chain too
        return False
    return bare and words.whole and told_again and _names(words, words.items)


def _told(vocabulary: Vocabulary, text: str) -> str:
    """The last word for damage in a stretch, as it stands there; none where it is denied."""
    words = _read(vocabulary, text)
    for at in range(len(words.items) - 1, -1, -1):
        item = words.items[at]
        if not item.role(*DAMAGE_ROLES) and not item.meaning.tells_fault:
            continue
        if any(each.role("negation", "told") for each in words.items[:at]):
            return ""
        if item.role(*DAMAGE_ROLES):
            return words.tokens.slice(item.first, item.end)
        for token in (item.end - 1, item.first):
            if words.tokens.folded[token] in vocabulary.making.bare_words:
                return words.tokens.slice(token, token + 1)
        return ""
    return ""


def _may_begin(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a stretch has a colon, or a word of loss."""
    return ":" in text or not vocabulary.losses.isdisjoint(text.casefold().split())


def _list(vocabulary: Vocabulary, text: str, following: list[Segment]) -> tuple[str, int]:
    """The damage with which a stretch begins a list, and over how many of the next it goes on."""
    begins = _read(vocabulary, text)
    head = _head(vocabulary, begins)
    if head is None or not begins.whole or not all(_in_list(begins, each) for each in head.behind):
        return "", 0
    led_by = begins.tokens.slice(head.first, head.end)
    by_colon = _is_before_colon(begins, head)
    if not by_colon and not (head.loses and (head.named or _names(begins, head.behind))):
        return "", 0
    more = 0
    for segment in following:
        if not segment.goes_on:
            break
        words = _read(vocabulary, segment.text)
        listed = words.whole and all(_in_list(words, each) for each in words.items)
        if not listed or not _names(words, words.items):
            break
        # Without a colon only bare parts go on with the loss: `missing a stone, rollover catch`
        # tells of a catch that is there.
        if not by_colon and not all(_is_part(words, each) for each in words.items):
            break
        more += 1
        if not by_colon and _ends_list(words):
            return led_by, more
    return (led_by, more) if by_colon else ("", 0)


def _read(vocabulary: Vocabulary, text: str) -> _Words:
    tokens = tokens_of(text, vocabulary.folding)
    found = matched(vocabulary, tokens)
    whole = all(tokens.numeric[index] for index in found.unknown)
    return _Words(tokens, found.items, whole)


def _head(vocabulary: Vocabulary, words: _Words) -> _Head | None:
    """The last word for damage that is not denied, alone or at the beginning of a phrase."""
    losses = vocabulary.making.counted.keys()
    for at in range(len(words.items) - 1, -1, -1):
        item = words.items[at]
        alone = item.role(*DAMAGE_ROLES) or (item.role(EXCEPTION) and item.role(SOUND))
        if not alone and not item.meaning.tells_fault:
            continue
        # What is denied or only told of the first thing need not hold for those behind a comma.
        if any(each.role("negation", "told") for each in words.items[:at]):
            return None
        if alone:
            loses = not losses.isdisjoint(damage_names(item))
            return _Head(item.first, item.end, words.items[at + 1 :], loses, named=False)
        first = vocabulary.words.first(words.tokens.folded[item.first])
        if first is None or first.meaning.roles.isdisjoint(DAMAGE_ROLES):
            return None
        named = Item(item.first, item.first + 1, first.meaning)
        loses = not losses.isdisjoint(damage_names(named))
        return _Head(named.first, named.end, words.items[at + 1 :], loses, named=True)
    return None


def _is_before_colon(words: _Words, head: _Head) -> bool:
    """Whether a stretch begins with the word of damage, and a colon follows it."""
    tokens = words.tokens
    if head.end >= len(tokens):
        return False
    gap = tokens.text[tokens.ends[head.end - 1] : tokens.starts[head.end]]
    before = (item for item in words.items if item.first < head.first)
    return ":" in gap and all(item.role("filler") for item in before)


def _in_list(words: _Words, item: Item) -> bool:
    """Whether an item may stand in a list: a thing, a number or a little word."""
    if item.role(*DAMAGE_ROLES, "negation", "absent", "mark", "told"):
        return False
    return item.role(*_LITTLE) or _names(words, [item])


def _names(words: _Words, items: list[Item]) -> bool:
    """Whether some of these items name a thing, and no measure or year."""
    named = [item for item in items if item.measure is None and item.years is None]
    return bool(things_in(words.tokens, named))


def _is_part(words: _Words, item: Item) -> bool:
    """Whether an item names a part as such, and not of what kind it is: no `rollover catch`."""
    return item.role("thing") or not _names(words, [item])


def _ends_list(words: _Words) -> bool:
    """Whether `and` leads to a last thing that an article, a number or the like stands before."""
    for at in range(len(words.items) - 1, -1, -1):
        item = words.items[at]
        if item.role("join"):
            led = item.end < len(words.tokens) and words.tokens.numeric[item.end]
            after = words.items[at + 1 : at + 2]
            return led or (bool(after) and after[0].role("filler") and not _names(words, after))
    return False
