"""Which words of a segment are denied: `no catch`, `without safety chain`, `clasp missing`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from itertools import pairwise

from markrules.language.roles import DAMAGE_ROLES
from markrules.notes.doings import NO_DOINGS
from markrules.notes.items import Item
from markrules.notes.tokens import Tokens

OR = "alternative"
"""The role of words such as `or`, over which a denial reaches on: `no chips or a crack`."""
STILL_DENIED = "still-denied"
"""The role of words that may stand among further damage that a denial reaches: `any`, `visible`;
and of nouns for damage that have no plural: `wear`.
"""
FREE = "free-of-it"
"""The role of words by which what stands right before is denied: `rust free`."""
LIST_END = "list-end"
"""The role of words that end a list of what is denied: `etc`."""
_NOT_AT_ALL, _BEFORE, _AT_HAND = range(3)
"""How near a denial of damage is: none, one with other things behind it, the last thing said."""


def negated_tokens(
    items: list[Item],
    tokens: Tokens,
    telling: AbstractSet[int] = frozenset(),
    continued: bool = False,
    listed: bool = False,
    denials: AbstractSet[str] = frozenset(),
    losing: AbstractSet[int] = frozenset(),
    doings: Mapping[int, int] = NO_DOINGS,
) -> list[bool]:
    """For each token of a segment, whether what it names was denied.

    A denial reaches from its word over what it names, and over what `and` or `or` joins to
    that, but not past another little word (`no loss of enamel` leaves the enamel) nor past a
    word of the role `break` (but). A word of the role `after-negation` (missing) denies what
    stands last before it, or, where nothing does, what follows; one that tells of damage
    (`telling` holds their first tokens) denies nothing, and a denial of damage leaves its thing:
    `no loss of enamel`. To further damage it reaches over `or`, whatever stands between (`no cracks
    in the stone or chips`), and over `and` to nouns (`no chips and scratches`, but not `no chips
    and bent pin`). A denial that ends the segment right behind damage denies it: `chips: none`,
    `missing nothing`. One that both denies and tells of damage (`lacking`) does not deny what `and`
    joins behind it, nor the thing of which it tells the loss (`lacks its pin`): `losing` holds the
    first tokens of those with their thing behind them. `continued` tells that a denial of damage
    goes on from the segment before,
    `listed` that one of things does: `no stones, enamel or pearls`. `denials` are single words that
    deny: a phrase that begins with one denies as well (`no wear or other flaws`). `doings` are the
    first tokens of denials of what somebody does, and where something is denied all the same.
    """
    denial = _Denial(tokens, telling, continued, denials)
    if listed:
        denial.begin = 0
    for at, item in enumerate(items):
        if item.first in doings:
            denial.begin = doings[item.first]
        elif item.role("negation") and (
            item.first in losing or (item.first in telling and _closes(items[at:]))
        ):
            denial.close(item)
        elif _loses_nothing(items[at:], tokens, telling):
            denial.heed_none(item)
        else:
            denied = _ends_in_denial(items[at:], tokens) or _is_free_of_it(items[at:])
            denial.heed(item, ends_in_denial=denied)
    return denial.ended()


class _Denial:
    """What is denied so far in a segment that is gone through item by item."""

    def __init__(
        self,
        tokens: Tokens,
        telling: AbstractSet[int],
        continued: bool,
        denials: AbstractSet[str] = frozenset(),
    ) -> None:
        self.tokens, self.telling, self.continued = tokens, telling, continued
        self.denials = denials
        self.negated = [False] * len(tokens)
        self.before: Item | None = None  # what was named last
        self.begin = -1  # where a denial began that has not come to an end
        self.reach = _AT_HAND if continued else _NOT_AT_ALL
        self.alternatives = continued  # whether `or` follows a denial of damage

    def heed(self, item: Item, ends_in_denial: bool) -> None:
        """Take the next item; `ends_in_denial`: nothing but a denial follows."""
        if self.begin < 0 and item.role("thing") and self._counts_none(item):
            self.begin = item.first
        if item.role("break"):
            self._end(item.first)
            self._leave(_NOT_AT_ALL)
            self.before = None
        elif 0 <= self.begin < item.first and (
            item.role("link") or self._begins_anew(item) or self._after_colon(item)
        ):
            self._end(item.first)
        elif item.role("negation") and not item.means("value"):
            self.begin = item.end if self.begin < 0 else self.begin
        elif item.first in self.telling or item.meaning.tells_fault:
            self._heed_damage(item, ends_in_denial)
        elif self._denies_within(item):
            self._leave(_AT_HAND)
        elif item.role("after-negation") and not item.means("value") and self.begin < 0:
            if self.before is None:
                self.begin = item.end
            elif not _some_of_many(self.tokens, self.before):
                self._deny(self.before.first, self.before.end)
        elif self.begin == item.first and item.role("filler"):
            self.begin = item.end
        else:
            self._heed_behind_damage(item)
        if _substantive(item):
            self.before = item

    def _counts_none(self, item: Item) -> bool:
        """Whether a nought stands right before a thing: `0 stones tarnished`."""
        at = item.first - 1
        return at >= 0 and self.tokens.numeric[at] and self.tokens.folded[at] == "0"

    def _denies_within(self, item: Item) -> bool:
        """Whether a phrase that is no damage begins with a denial: `no signs of wear`."""
        several = item.end > item.first + 1
        return several and item.means("value") and self.tokens.folded[item.first] in self.denials

    def close(self, item: Item) -> None:
        """Take a word of damage that would deny what follows, where its thing stood before it."""
        self._heed_damage(item, ends_in_denial=False)

    def heed_none(self, item: Item) -> None:
        """Take a word of loss that would deny what follows, itself denied: `lacks nothing`."""
        self._heed_damage(item, ends_in_denial=True)

    def ended(self) -> list[bool]:
        """For each token whether it was denied, at the end of the segment."""
        self._end(len(self.tokens))
        return self.negated

    def _heed_damage(self, item: Item, ends_in_denial: bool) -> None:
        joined = self.reach != _NOT_AT_ALL and (
            self.alternatives or (self.reach == _AT_HAND and is_noun(self.tokens, item))
        )
        denied = self.begin >= 0 or joined or ends_in_denial or _none_counted(self.tokens, item)
        if denied:
            self._deny(item.first if self.begin < 0 else self.begin, item.end)
        self.begin = -1
        self._leave(_AT_HAND if denied else _NOT_AT_ALL)

    def _heed_behind_damage(self, item: Item) -> None:
        if item.role(OR, LIST_END):
            self.alternatives = True
        elif self.reach != _AT_HAND or item.role("join", "filler", "count", STILL_DENIED):
            return
        elif self.alternatives and not self.continued and _substantive(item):
            self._deny(item.first, item.end)
            self._leave(_NOT_AT_ALL)
        else:
            self.reach = _BEFORE

    def _begins_anew(self, item: Item) -> bool:
        """Whether a pronoun with its verb follows what is denied: `it's not gold it's brass`."""
        named = self.before is not None and self.before.first >= self.begin
        short = "'" in self.tokens.raw(item.first).replace("’", "'")
        return named and short and item.role("filler") and not item.role("negation")

    def _after_colon(self, item: Item) -> bool:
        """Whether a colon ends what is denied: `not perfect: a stone chipped`."""
        gap = self.tokens.text[self.tokens.ends[item.first - 1] : self.tokens.starts[item.first]]
        return ":" in gap and self.begin < item.first

    def _leave(self, reach: int) -> None:
        self.reach, self.alternatives = reach, self.continued

    def _end(self, end: int) -> None:
        self._deny(self.begin, end)
        self.begin = -1

    def _deny(self, begin: int, end: int) -> None:
        if begin >= 0:
            self.negated[begin:end] = [True] * (end - begin)


def is_noun(tokens: Tokens, item: Item) -> bool:
    """Whether damage is told as a noun (`cracks`, `wear`) and not of a thing (`bent`)."""
    single = item.end == item.first + 1
    plural = single and tokens.raw(item.first).casefold().endswith("s")
    return plural or item.role(STILL_DENIED)


def denial_goes_on(runs: Sequence[tuple[Tokens, list[Item]]]) -> int:
    """Over how many of the stretches behind a denial of damage it goes on.

    `no chips | cracks | or repairs` is one denial: stretches of nothing but damage and what it is
    said of, up to one that holds `or`. Without it only nouns go on: `no chips | cracks and dents`,
    but not `no missing stones | bent pin`.
    """
    nouns = 0
    for at, (tokens, items) in enumerate(runs):
        listed = True
        for item in items:
            if item.role(OR, LIST_END):
                return at + 1
            if item.role("negation", "break", "told") or not _may_be_listed(tokens, item):
                listed = False
                break
        if not listed:
            return nouns
        if nouns == at and all(
            item.role("join", STILL_DENIED) or is_noun(tokens, item) for item in items
        ):
            nouns = at + 1
    return nouns


def list_goes_on(runs: Sequence[tuple[Tokens, list[Item]]]) -> int:
    """Over how many of the stretches behind a denied thing its denial goes on: those of nothing
    but things, up to one that holds `or`. `no stones | enamel or pearls`, but not `no stones |
    enamel`.
    """
    for at, (tokens, items) in enumerate(runs):
        for item in items:
            if item.role("negation", "break", "told", "link", *DAMAGE_ROLES):
                return 0
            if not _may_be_listed(tokens, item) and not item.role(OR, "filler"):
                return 0
        alternatives = [place for place, item in enumerate(items) if item.role(OR)]
        if alternatives and alternatives[-1] < len(items) - 1:
            return at + 1
        if alternatives or not any(map(_substantive, items)):
            return 0
    return 0


def _may_be_listed(tokens: Tokens, item: Item) -> bool:
    if item.first and tokens.numeric[item.first - 1]:
        return False
    if item.role("join", STILL_DENIED, "thing", *DAMAGE_ROLES):
        return True
    return item.means("value") or item.means("feature")


def _none_counted(tokens: Tokens, item: Item) -> bool:
    """`Zero flaws`, `0 missing stones`."""
    before = item.first - 1
    return before >= 0 and tokens.numeric[before] and tokens.folded[before] == "0"


def _is_free_of_it(rest: list[Item]) -> bool:
    """Whether the next word tells that there is none of it: `rust free`, `scratch-free`."""
    return len(rest) > 1 and rest[1].role(FREE) and rest[1].first == rest[0].end


def _ends_in_denial(rest: list[Item], tokens: Tokens) -> bool:
    """Whether an item is followed by a denial and nothing else, or by its thing and a denial:
    `missing stones: none`.
    """
    if len(rest) < 2 or not rest[-1].role("negation") or rest[-1].means("value"):
        return False
    if rest[-1].end != len(tokens) or any(
        each.end != following.first for each, following in pairwise(rest)
    ):
        return False
    return all(each.role("thing", "filler") for each in rest[1:-1])


def _loses_nothing(rest: list[Item], tokens: Tokens, telling: AbstractSet[int]) -> bool:
    """Whether a word of loss that would deny what follows is itself denied: `lacks nothing`."""
    first = rest[0]
    return first.role("negation") and first.first in telling and _ends_in_denial(rest, tokens)


def _closes(rest: list[Item]) -> bool:
    """Whether a word ends what it is said in: `one stone lacking and a few dull`."""
    return len(rest) == 1 or rest[1].role("join", "break")


def _some_of_many(tokens: Tokens, item: Item) -> bool:
    """`Several seed pearls missing`, `stones missing`: the rest are there."""
    if item.means("feature"):
        return False
    before = item.first > 0 and tokens.numeric[item.first - 1]
    last = tokens.raw(item.end - 1).casefold()
    plural = last.endswith("s") and tokens.folded[item.end - 1] + "s" == last
    return before or plural


def _substantive(item: Item) -> bool:
    return not item.meaning.kinds.isdisjoint(("value", "feature", "piece"))
