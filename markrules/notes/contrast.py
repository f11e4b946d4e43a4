"""What a segment sets aside or puts right: `brass rather than gold`, `sold as jade but glass`."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Set as AbstractSet

from markrules.language.builtin import COLOUR
from markrules.language.roles import DAMAGE_ROLES
from markrules.late import late
from markrules.notes.items import Item
from markrules.notes.segments import Segment
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PICTURED_FEATURES

SET_ASIDE = "set-aside"
"""The role of words behind which stands what it is not: `rather than`, `thought it was`."""
OF_MATERIAL = "sets-aside-a-material"
"""The role of words that do so right before a material alone: `too heavy for plastic`."""
ASIDE_ROLES = (SET_ASIDE, OF_MATERIAL, "imitates")
"""Without words of these roles, or a question, nothing is set aside."""
_QUESTION = late(r"\?")
_ANSWERED = late(r"[?:]\s*\S+(?: \S+)?\s*$")


def set_aside(tokens: Tokens, items: Sequence[Item], materials: AbstractSet[str]) -> frozenset[int]:
    """The first tokens of the items that are named as what the piece is not.

    They stand behind a word such as `rather than`, behind `looks like` where a word such as `but`
    follows or another value of the same feature was named, or before a question that is answered
    with no, and reach to the next little word that parts things. What looks like one of the
    `materials` is a false one, and told as that; what something pictured looks like is pictured.
    """
    found: set[int] = set()
    begun = likened = False
    seen: set[str] = set()
    pictured = frozenset(PICTURED_FEATURES)
    for at, item in enumerate(items):
        features = _features(item)
        alike = seen - materials - pictured
        if item.role(SET_ASIDE) or (
            item.role(OF_MATERIAL)
            and at + 1 < len(items)
            and items[at + 1].first == item.end
            and not materials.isdisjoint(_features(items[at + 1]))
        ):
            begun, likened = True, False
        elif item.role("imitates"):
            # `Looks like gold but is brass` denies the gold; `looks like gold` alone says how sure
            # it is.
            begun, likened = _put_right_behind(items[at + 1 :]), True
        elif item.role("break", "link", "story-end") and not item.means("value"):
            begun = likened = False
        elif features and (begun or (likened and not alike.isdisjoint(features))):
            found.add(item.first)
        else:
            seen |= features
    if answered(tokens, items):
        found.update(
            item.first
            for item in items[:-1]
            if _features(item) or item.role(*DAMAGE_ROLES, "mark", "mark-noun")
        )
    return frozenset(found)


def _put_right_behind(items: Sequence[Item]) -> bool:
    """Whether a word such as `but` follows, and behind it what the piece is."""
    broken = False
    for item in items:
        broken = broken or item.role("break")
        if broken and item.means("value"):
            return True
    return False


def answered(tokens: Tokens, items: Sequence[Item]) -> bool:
    """Whether a segment is a question, or the line of a form, answered with no: `enamel? no`,
    `safety chain: none`.
    """
    last = items[-1] if items else None
    if last is None or not last.role("negation") or last.end != len(tokens):
        return False
    return _ANSWERED.search(tokens.text) is not None and "?" not in tokens.slice(
        last.first, last.end
    )


def put_right(items: Sequence[Item]) -> int:
    """The first token behind which something is said in the writer's own words: that of the word
    such as `but` that ends what was told or doubted; -1 where nothing is.
    """
    spoken = False
    for item in items:
        if item.role("told") or item.means("certainty") or item.role("imitates"):
            spoken = True
        elif spoken and item.role("break"):
            return item.first
    return -1


def questioned(tokens: Tokens, items: Sequence[Item]) -> frozenset[int]:
    """The first tokens of the items that a question mark doubts: what stands before it, back to
    the little word before the last thing that was named (`gold with rubies?` doubts the rubies).
    """
    found: set[int] = set()
    begin = 0
    for match in _QUESTION.finditer(tokens.text):
        before = [item for item in items if begin <= tokens.starts[item.first] < match.start()]
        begin = match.end()
        for item in reversed(before):
            named = any(_features(each) for each in before if each.first in found)
            # Once a thing is doubted, the little word before it parts it from what is sure.
            if item.role("link") and not _features(item) and named:
                break
            found.add(item.first)
    return frozenset(found)


def either(items: Sequence[Item], materials: AbstractSet[str]) -> frozenset[int]:
    """The first tokens of the items of which one at most is meant: `amber or plastic`, `rollover
    or trombone`.

    On both sides of such a word stand values of one feature, or `materials`; colours and little
    words may come between. What is pictured may be either and is told as both.
    """
    found: set[int] = set()
    for at, item in enumerate(items):
        if not item.role("alternative") or item.means("value"):
            continue
        before = _value_beside(reversed(items[:at]))
        behind = _value_beside(items[at + 1 :])
        if before is None or behind is None:
            continue
        one, other = _features(before), _features(behind)
        # A piece may have two faults and show two things, but one catch: only of that is `or` a
        # choice.
        alike = one & other - {"fault"} - {*PICTURED_FEATURES}
        if alike or (one <= materials and other <= materials):
            found |= {before.first, behind.first}
    return frozenset(found)


def _value_beside(items: Iterable[Item]) -> Item | None:
    """The nearest item that names a value, past colours and little words that say nothing."""
    for item in items:
        if item.means("value") and _features(item) != {COLOUR}:
            return item
        if not item.means("value") and not item.role("filler"):
            return None
    return None


def with_answers(
    segments: list[Segment], denials: AbstractSet[str], goings_on: Sequence[str]
) -> list[Segment]:
    """The segments, a bare no joined to the question before it: `safety chain? no`.

    So is the no of `old repairs? none that I can see`, and one that stands alone behind a dash, a
    comma or on a line of its own: `damage - none`. What an answer goes on with stands by itself:
    `trombone catch? no just a rollover`. What `or` adds to a question belongs to it:
    `jade? or green glass`.
    """
    joined: list[Segment] = []
    for each in segments:
        asked = joined and joined[-1].text.endswith("?")
        first, _, rest = each.text.strip(" .!").partition(" ")
        goes_on = not rest or any(
            f"{rest} ".casefold().startswith(f"{each} ") for each in goings_on
        )
        if asked and rest and first.casefold() == "or":  # jade? or green glass
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text} {each.text.strip()}")
        elif asked and first.casefold() in denials and goes_on:
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text} {first}")
            joined += [Segment(rest, True)] if rest else []
        elif joined and not rest and first.casefold() in denials:
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text}: {first}")
        else:
            joined.append(each)
    return joined


def false_behind(items: Sequence[Item]) -> Item | None:
    """The word behind all materials of a segment that tells that they are not real ones, if any:
    `the pearls are fake`; not `pearls, no fake ones`.
    """
    for at in range(len(items) - 1, 0, -1):
        if items[at].means("value"):
            return None
        if items[at].role("false"):
            return None if items[at - 1].role("negation") else items[at]
    return None


def with_what_is_said_of(segments: list[Segment], alone: AbstractSet[str]) -> list[Segment]:
    """The segments, words that alone are said of what stands before joined to it: `earring,
    single`.
    """
    joined: list[Segment] = []
    for each in segments:
        if joined and each.goes_on and each.text.strip(" .!").casefold() in alone:
            joined[-1] = joined[-1]._replace(text=f"{joined[-1].text}, {each.text}")
        else:
            joined.append(each)
    return joined


def with_exceptions(
    segments: list[Segment], excepting: AbstractSet[str], relatives: AbstractSet[str]
) -> list[Segment]:
    """The segments, what is told of an exception joined to it: `good apart from the link | which
    is glued`. `excepting` are the words that except, `relatives` those that begin such a clause, in
    lower case.
    """
    joined: list[Segment] = []
    for each in segments:
        first, parted, _ = each.text.partition(" ")
        if joined and each.goes_on and parted and first.casefold() in relatives:
            before = joined[-1].text.casefold()
            if any(f" {word} " in f" {before} " for word in excepting):
                joined[-1] = joined[-1]._replace(text=f"{joined[-1].text} {each.text}")
                continue
        joined.append(each)
    return joined


def _features(item: Item) -> set[str]:
    return {sense.name for sense in item.senses if sense.kind in ("value", "feature")}
