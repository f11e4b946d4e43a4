"""A stretch written without commas, cut where its writer begins the next thing.

`brooch gilt metal c hook a stone replaced mark rubbed` is five things side by side. In a sentence
little words stand between what is spoken of (`the pin has a hook`); where two things touch, and the
second begins with an article or a number, or the first is a thing with what is wrong with it, a
comma is wanting. Only long stretches are looked at: in a short one all words are of one thing.
"""

from __future__ import annotations

from itertools import pairwise

from markrules.language.roles import DAMAGE_ROLES
from markrules.notes.damage_left import LEFT
from markrules.notes.damage_told import SOUND, damage_names
from markrules.notes.items import Item
from markrules.notes.matching import matched
from markrules.notes.negation import STILL_DENIED
from markrules.notes.segments import SHORTEST_RUN_ON, Segment
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.view import LEADS
from markrules.notes.vocabulary import PLACE_FEATURES, Vocabulary

SHORTEST_CHAIN = 3
"""How often `and`, or `with`, stands in a stretch where it stands for commas: a list of two or
three things has one or two.
"""
WITH = "story-end"
"""The role of the little word with which the piece is told of again: `with`."""
MOST_COUNTED = 99
"""The largest number that counts parts of a piece: what is larger is a year or a fineness."""
LONGEST_LEAD_OF_NUMBER = 4
"""Words of a register before its number: `Brit Regd Des No`."""
SIZE_WORD = "size-word"
"""The feature of words for a size: small, tiny."""
OPENING = "opening"
"""The role of words with which, right behind something else, the next thing begins: `a`, `both`."""
_SPOKEN_OF = ("value", "feature", "piece")
_LEADING = (
    *("mark", "mark-noun", "link", "join", "break", "negation", "set-aside", "told", "person"),
    *("giver", "story", "made-by", "manner", "false", "imitates", "likeness"),
)
"""Roles of words behind which what they speak of is still to come."""
_PASSED = ("filler", "count", "number", "describing")


def parted(
    vocabulary: Vocabulary, segments: list[Segment], whole: frozenset[int] = frozenset()
) -> tuple[list[Segment], frozenset[int]]:
    """The segments, those that run on cut into what they tell, one behind the other.

    Those at the places `whole` are not cut; their places among what is given come back as well.
    """
    found: list[Segment] = []
    kept: set[int] = set()
    for place, segment in enumerate(segments):
        if place in whole:
            kept.add(len(found))
            found.append(segment)
            continue
        if not segment.may_run_on:
            found.append(segment)
            continue
        cuts = _cuts(vocabulary, segment.text)
        for begin, end in pairwise((0, *cuts, len(segment.text))):
            text = segment.text[begin:end].strip()
            goes_on, runs_on = segment.goes_on or begin > 0, not cuts.get(begin, True)
            found.append(Segment(text, goes_on, runs_on, "" if begin else segment.led_by))
    return found, frozenset(kept)


def _cuts(vocabulary: Vocabulary, text: str) -> dict[int, bool]:
    """Where in a text, in characters, something else begins; whether a word of a chain parts it."""
    tokens = tokens_of(text, vocabulary.folding)
    if len(tokens) < SHORTEST_RUN_ON:
        return {}
    items = matched(vocabulary, tokens).items
    covered = {at for item in items for at in range(item.first, item.end)}
    # A number that belongs to no phrase is a thing too: behind it, or with it, the next may begin.
    numbers = [at for at, number in enumerate(tokens.numeric) if number and at not in covered]
    items = sorted([*items, *(Item(at, at + 1) for at in numbers)], key=lambda item: item.first)
    stretch = _Stretch(vocabulary, tokens, items)
    chained = {at + 1 for at in stretch.chained}
    return {
        tokens.starts[items[at].first]: at in chained
        for at in range(1, len(items))
        if at in chained or stretch.begins(at)
    }


class _Stretch:
    """The items of one long stretch; used once."""

    def __init__(self, vocabulary: Vocabulary, tokens: Tokens, items: list[Item]) -> None:
        self.vocabulary, self.tokens, self.items = vocabulary, tokens, items
        self.features = vocabulary.base.features.keys()
        self.only_measure = sum(each.measure is not None for each in items) == 1
        self.losses = vocabulary.making.counted.keys()
        self.chained = self._chained()

    def _chained(self) -> set[int]:
        """The items at which a chain of `and`, or of `with`, goes on: `a leaf and gilt and a C
        catch and unsigned`. One between two values of a feature joins those: `black and white`.
        """
        ands = [at for at, item in enumerate(self.items) if item.role("join")]
        withs = [at for at, item in enumerate(self.items) if item.role("link") and item.role(WITH)]
        chained = {at for each in (ands, withs) if len(each) >= SHORTEST_CHAIN for at in each}
        return {at for at in chained if 0 < at < len(self.items) - 1 and not self._alike(at)}

    def _alike(self, at: int) -> bool:
        """Whether values of one feature stand on both sides of an item."""
        before, after = ({sense.name for sense in each.senses} for each in self._around(at))
        return not before.isdisjoint(after) and not before.isdisjoint(self.features)

    def _around(self, at: int) -> tuple[Item, Item]:
        return self.items[at - 1], self.items[at + 1]

    def begins(self, at: int) -> bool:
        """Whether something else than what stands before begins with this item."""
        before, item = self.items[at - 1], self.items[at]
        gap = self.tokens.text[self.tokens.ends[item.first - 1] : self.tokens.starts[item.first]]
        if not gap or gap.strip(" ?") or self._is_in_text(at):  # T9 is one word
            return False
        if self._opens_sentence(at) or self._is_small_damage(at):
            return not before.role(*_LEADING)
        if self._opens(at) or self._denies_anew(at):
            return self._is_closed(at - 1, item.first)
        if before.end != item.first:
            return False
        # Of several measures nobody can tell which is the piece's; one that stands alone is.
        if self.only_measure and item.measure is not None and self._is_spoken_of(at - 1):
            return self._stands_alone(at)
        if self.only_measure and before.measure is not None:
            return at > 1 and self._stands_alone(at - 1)
        if before.role("absent") or item.role("absent"):
            return item.role("absent") or self._is_spoken_of(at)
        if before.role(*DAMAGE_ROLES) and self._is_counted(at - 1):
            return self._is_thing(at)
        if before.role(*DAMAGE_ROLES):
            return self._is_told_of(at - 1) and (
                item.measure is not None or item.role(*LEADS) or self._begins_like(at)
            )
        return before.meaning.tells_fault and self._begins_like(at)

    def _is_in_text(self, at: int) -> bool:
        """Whether an item goes on with a text on the piece: `Rd No 123456`, which denies nothing,
        or `01 A on the plaque`, where the A is no article.
        """
        first, folded, numeric = self.items[at].first, self.tokens.folded, self.tokens.numeric
        for begin in range(max(0, first - LONGEST_LEAD_OF_NUMBER), first):
            text = self.vocabulary.texts.longest(folded, numeric, begin)
            if text is not None and "number" in text[1].kinds and text[0] > first:
                return True
        if self.tokens.raw(first) != "A" or not numeric[first - 1] or at + 1 == len(self.items):
            return False
        return self.items[at + 1].value_of(*PLACE_FEATURES, "mark-method")

    def _stands_alone(self, at: int) -> bool:
        """Whether a measure is said of the piece: nothing that could have it stands beside it."""
        if at + 1 == len(self.items):
            return True
        following = self.items[at + 1]
        return following.role("absent", *LEADS, *DAMAGE_ROLES) or self._is_opening(following)

    def _opens(self, at: int) -> bool:
        """Whether an article or a number, with what it is said of, stands here."""
        item = self.items[at]
        if not self._is_opening(item) or self.items[at - 1].value_of(SIZE_WORD):
            return False
        if item.means("value"):  # all stones in place
            return True
        following = at + 1
        while following < len(self.items) and (
            self.items[following].role(*_PASSED) and not self._is_spoken_of(following)
        ):
            following += 1
        if following >= len(self.items) or self.items[following].first > item.end + 3:
            return False
        if self._is_spoken_of(following):
            return True
        counted = self._counts(item.first)
        return counted and self.items[following].role(*DAMAGE_ROLES)

    def _opens_sentence(self, at: int) -> bool:
        """Whether a word with a capital begins a sentence, between words in small letters that do
        not lead to it: `signed Novak` and `a Victorian brooch` begin none.
        """
        item, before = self.items[at], self.items[at - 1]
        raw = self.tokens.raw(item.first)
        if not (raw[:1].isupper() and (raw[1:].islower() or raw == "A")):
            return False
        if raw[1:2] in ("'", "’"):  # I'm, written so in the middle of a sentence too
            return False
        if before.end == item.first and before.role("filler", "count") and not item.role("filler"):
            return False
        last = self.vocabulary.words.first(self.tokens.folded[item.first - 1])
        if last is not None and not last.meaning.roles.isdisjoint(_LEADING):
            return False  # hallmark for Chester
        after = self.tokens.raw(item.first + 1) if item.first + 1 < len(self.tokens) else ""
        return not self.tokens.raw(item.first - 1)[:1].isupper() and not after[:1].isupper()

    def _denies_anew(self, at: int) -> bool:
        """Whether a denial begins here, and no damage by itself: `carved with leaves no seam`."""
        item = self.items[at]
        return (
            item.role("negation")
            and not item.role(*DAMAGE_ROLES, "break", "denies-before")
            and not item.means("value")
            and at + 1 < len(self.items)
        )

    def _is_small_damage(self, at: int) -> bool:
        """Whether words for its size and for damage stand here: `a rose small nick`."""
        whole = self.items[at]
        if whole.role(*DAMAGE_ROLES) and whole.end > whole.first + 1:  # small nick, as one phrase
            first = self.vocabulary.words.first(self.tokens.folded[whole.first])
            senses = first.meaning.senses if first is not None else ()
            return any(sense.name == SIZE_WORD for sense in senses)
        if not whole.value_of(SIZE_WORD):
            return False
        following = at + 1
        while following < len(self.items) and self.items[following].role("filler", "count"):
            following += 1
        if following >= len(self.items) or self.items[following].first > self.items[at].end + 2:
            return False
        return self.items[following].role(*DAMAGE_ROLES)

    def _is_opening(self, item: Item) -> bool:
        if item.measure is not None or item.years is not None:
            return False
        if item.role(OPENING):
            return True
        if self.tokens.numeric[item.first]:
            return not item.senses and self._counts(item.first)
        first = self.vocabulary.words.first(self.tokens.folded[item.first])
        return first is not None and OPENING in first.meaning.roles

    def _counts(self, index: int) -> bool:
        """Whether a token is a number that counts parts, and no year or fineness."""
        fold = self.tokens.folded[index]
        return self.tokens.numeric[index] and fold.isdigit() and 0 < int(fold) <= MOST_COUNTED

    def _is_closed(self, at: int, first: int) -> bool:
        """Whether what stands right before the token `first` is told to its end."""
        item = self.items[at]
        if item.end != first:  # a number or a name that nothing explains: a text on the piece
            return self._is_text(first - 1) or self.tokens.raw(first - 1)[:1].isupper()
        if item.role(*_LEADING):
            return False
        last = self.vocabulary.words.first(self.tokens.folded[item.end - 1])
        if last is not None and not last.meaning.roles.isdisjoint(("link", "join")):
            return False
        if item.role(*DAMAGE_ROLES):
            noun = item.role(STILL_DENIED)
            return noun or (self._is_told_of(at) and self.losses.isdisjoint(damage_names(item)))
        told = self._is_spoken_of(at) or item.measure is not None or item.years is not None
        return told or self._is_text(first - 1)

    def _is_text(self, index: int) -> bool:
        """Whether a token looks like text on the piece: figures, or quoted."""
        raw = self.tokens.raw(index)
        return raw[:1] in "\"'“‘" or (self.tokens.numeric[index] and not self._counts(index))

    def _is_told_of(self, at: int) -> bool:
        """Whether a word of damage stands right behind its thing, which no other damage has."""
        other = at - 1
        while other >= 0 and (
            self.items[other].end == self.items[other + 1].first
            and self.items[other].role("filler", "count")
            and not self._is_thing(other)
        ):
            other -= 1
        if other < 0 or self.items[other].end != self.items[other + 1].first:
            return False
        if not self._is_thing(other):
            return False
        return other == 0 or not self.items[other - 1].role(*DAMAGE_ROLES)

    def _is_counted(self, at: int) -> bool:
        """Whether a loss is told, with its number, of several things named right before: the first
        three words of `stones 3 missing safety catch`.
        """
        if at < 2 or self.losses.isdisjoint(damage_names(self.items[at])):
            return False
        things, number, loss = self.items[at - 2 : at + 1]
        raw = self.tokens.raw(things.end - 1).casefold()
        return (
            things.end == number.first == number.end - 1 == loss.first - 1
            and self._counts(number.first)
            and self._is_thing(at - 2)
            and raw == f"{self.tokens.folded[things.end - 1]}s"
        )

    def _begins_like(self, at: int) -> bool:
        """Whether a thing with its damage right behind it begins here, too."""
        following = at + 1
        while following < len(self.items) and (
            self._is_thing(following) or self.items[following].role("filler")
        ):
            following += 1
        if following >= len(self.items) or not self._is_thing(at):
            return False
        item = self.items[following]
        if item.role(SOUND, LEFT) and following == at + 1:  # pin missing c catch present
            return True
        return item.role(*DAMAGE_ROLES) and self._is_told_of(following)

    def _is_thing(self, at: int) -> bool:
        item = self.items[at]
        if item.role(*DAMAGE_ROLES) and not item.role("thing"):
            return False
        return item.role("thing") or self._is_spoken_of(at)

    def _is_spoken_of(self, at: int) -> bool:
        return not self.items[at].meaning.kinds.isdisjoint(_SPOKEN_OF)
