"""A segment laid out: what stands where in it, before anything is said of the piece."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from markrules.late import late
from markrules.notes.contrast import ASIDE_ROLES, set_aside
from markrules.notes.damage import damaged_in
from markrules.notes.damage_told import Damaged
from markrules.notes.doings import denied_doings
from markrules.notes.grading import with_grades
from markrules.notes.had_years import with_years_of_having
from markrules.notes.halfread import PART_LEADS, with_gaps
from markrules.notes.items import Item
from markrules.notes.leadin import led
from markrules.notes.marktext import WrittenTexts, written_in
from markrules.notes.matching import Matched, matched, matched_without
from markrules.notes.materials import Materials
from markrules.notes.negation import negated_tokens
from markrules.notes.senses import Meaning, Sense
from markrules.notes.shading import with_shades
from markrules.notes.story import STORY_ROLES, told_of_origin
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.unquoting import unquoted
from markrules.notes.view import LEADS
from markrules.notes.vocabulary import MARK_PREFIXES, PLACE_FEATURES, Vocabulary

_DIGIT = late(r"[0-9]")
_MARKISH = late(r"[^a-zà-öø-ÿ0-9\s,.()/½¼¾-]")
_SPELT_OUT = late(r"(?<![^\W_])[a-z](?:[.-][a-z]){3,}(?![^\W_])")
"""Small letters of one word, parted by dots or dashes: `t.r.i.f.o.l.d`, read as capitals."""
_COPYRIGHT = late(r"\([cC]\)")


class Laid:
    """What stands where in a segment: its words, the text of a mark in it, its damage, its denials.

    `items` are the phrases that the rules know, without those that are text of a mark. `telling`
    are the first tokens of those that tell of damage, `harmed` of those that it is said of, and
    `gone` of parts that are wanting. `named` are the features that the segment speaks of by name,
    `of_story` the tokens that tell where the piece came from.
    """

    def __init__(
        self,
        vocabulary: Vocabulary,
        text: str,
        after_mark: bool,
        shouting: bool,
        denied: tuple[bool, bool],
        led_by: str,
    ) -> None:
        """Each step rests on those before it. The arguments are those of `segment.said`; `denied`
        are its `denied` and `listed`.
        """
        self.vocabulary = vocabulary
        text = _without_quotes(vocabulary, text)
        whole = f"{led_by} {text.lstrip()}" if led_by else led(vocabulary, text)
        self.tokens = tokens_of(whole, vocabulary.folding)
        self.added = len(whole) - len(text.lstrip()) if whole != text else 0
        self.matched, self.written = _matched(vocabulary, self.tokens, after_mark, shouting)
        claimed = self.written.claimed
        self.items = [item for item in self.matched.items if item.first not in claimed]
        self.damaged = damaged_in(vocabulary.making, self.tokens, self.items, self.matched.unknown)
        self.telling = {each.item.first for each in self.damaged}
        self.harmed = _harmed(self.damaged, self.items)
        losing = {each.item.first for each in self.damaged if _loses_behind(self.tokens, each)}
        self.negated = negated_tokens(
            self.items,
            self.tokens,
            self.telling,
            *denied,
            vocabulary.denials,
            losing,
            denied_doings(vocabulary.doings, self.tokens, self.items),
        )
        self.gone = {
            each.thing.first
            for each in self.damaged
            if each.thing is not None
            and not self.negated[each.item.first]
            and _is_wholly_gone(vocabulary, self.tokens, each, each.thing)
        }
        self.named = {
            sense.name
            for item in self.items
            if "feature" in item.meaning.kinds
            for sense in item.senses
            if sense.kind == "feature"
        }
        self.of_story = self._set_aside()
        self.materials = Materials(vocabulary, self.tokens, self.items, self.negated)

    def _set_aside(self) -> frozenset[int]:
        """The tokens of the piece's story. What is asked, or set against what holds, is denied.

        Both take a while to find, and most segments have no word that leads to either.
        """
        vocabulary, tokens = self.vocabulary, self.tokens
        roles = frozenset[str]().union(*[item.meaning.roles for item in self.items])
        of_story = frozenset[int]()
        if not (roles.isdisjoint(STORY_ROLES) and vocabulary.story.isdisjoint(tokens.folded)):
            of_story = told_of_origin(vocabulary, tokens, self.items)
        asked = "?" in tokens.text or ":" in tokens.text
        if asked or not roles.isdisjoint(ASIDE_ROLES):
            aside = set_aside(tokens, self.items, vocabulary.materials)
            for item in self.items:
                if item.first in aside:
                    self.negated[item.first : item.end] = [True] * (item.end - item.first)
        return of_story

    def of_marks(self) -> bool:
        """Whether the segment speaks of marks: by their text, by a word that leads to one, or by
        words that mean nothing else (`hallmarks include a lion`).
        """
        if self.written.places or (self.written.lead and not self.written.loose):
            return True
        return any(
            all(
                sense.name.startswith(MARK_PREFIXES) and sense.name not in PLACE_FEATURES
                for sense in item.senses
                if sense.kind == "value"
            )
            for item in self.items
            if "value" in item.meaning.kinds and not item.role("damage")
        )


def _without_quotes(vocabulary: Vocabulary, text: str) -> str:
    """The text with signs of one kind for what writers put in several ways."""
    text = _COPYRIGHT.sub("\N{COPYRIGHT SIGN}", unquoted(vocabulary, text))
    text = _SPELT_OUT.sub(lambda run: run[0].upper(), text)
    if not {"(", "[", "]"}.isdisjoint(text):
        text = with_gaps(vocabulary, text)
    return text


def _matched(
    vocabulary: Vocabulary, tokens: Tokens, after_mark: bool, shouting: bool
) -> tuple[Matched, WrittenTexts]:
    """The phrases that the rules know, and the text of a mark, which takes words from them."""
    found = matched(vocabulary, tokens, shouting)
    written = WrittenTexts()
    if after_mark or _may_hold_text(vocabulary, tokens, found):
        written = written_in(vocabulary, tokens, found, after_mark, shouting)
    claimed = written.claimed
    if claimed:
        found = matched_without(vocabulary, tokens, found, claimed)
    # Shades and grades are read where text of a mark is not: a name may be one of either.
    found = _with_no_idle_lead(vocabulary, tokens, found)
    shaded = with_shades(vocabulary, tokens, found, claimed)
    graded = with_grades(vocabulary, tokens, shaded, claimed)
    return with_years_of_having(vocabulary, tokens, graded), written


_NOTHING = Meaning((Sense("role", "filler"),))


def _with_no_idle_lead(vocabulary: Vocabulary, tokens: Tokens, found: Matched) -> Matched:
    """The same where words that lead to a name and to nothing else say nothing, if none follows:
    `sounds like Novak` tells of a maker, `sounds like glass` does not.
    """
    if not any(item.role("before-a-name") for item in found.items):
        return found
    items = [
        item._replace(meaning=_NOTHING)
        if item.role("before-a-name") and not _begins_name(vocabulary, tokens, found, item.end)
        else item
        for item in found.items
    ]
    return replace(found, items=items)


def _begins_name(vocabulary: Vocabulary, tokens: Tokens, found: Matched, at: int) -> bool:
    """Whether an unknown word in capitals, or a listed maker's name, stands at a token."""
    if at not in found.unknown:
        return False
    known = vocabulary.texts.longest(tokens.folded, tokens.numeric, at)
    return tokens.raw(at)[0].isupper() or (known is not None and "maker" in known[1].kinds)


def _harmed(damaged: list[Damaged], items: list[Item]) -> set[int]:
    """The first tokens of what damage is said of: by its word, or by a fault right behind it."""
    telling = (item for item in items if not item.role("filler"))
    return {each.thing.first for each in damaged if each.thing is not None} | {
        item.first
        for item, following in pairwise(telling)
        if following.meaning.tells_fault and not item.meaning.tells_fault
    }


def _loses_behind(tokens: Tokens, damaged: Damaged) -> bool:
    """Whether a word of loss is said of a thing right behind it, or of so many before it: `3 stones
    lacking, a trombone catch` does not deny the catch.
    """
    thing = damaged.thing
    if thing is None:
        return False
    counted = thing.first > 0 and tokens.numeric[thing.first - 1]
    return thing.first >= damaged.item.end or (thing.end == damaged.item.first and counted)


def _may_hold_text(vocabulary: Vocabulary, tokens: Tokens, found: Matched) -> bool:
    """Whether it is worth looking for text: capitals, signs, lead words, or known texts."""
    if _MARKISH.search(tokens.text) or any(
        item.role(*LEADS, *PART_LEADS) or _asks_text(vocabulary, item) for item in found.items
    ):
        return True
    folded, numeric = tokens.folded, tokens.numeric
    if not vocabulary.lead_words.isdisjoint(folded):
        return True
    numbered = any(number and len(word) > 3 for number, word in zip(numeric, folded, strict=True))
    texts = vocabulary.texts if numbered else vocabulary.says
    placed = {item.first for item in found.items if item.value_of(*PLACE_FEATURES)}
    if any(_DIGIT.search(" ".join(folded[max(first - 2, 0) : first])) for first in placed):
        return True  # T9 on the back, 95 P on the plaque
    for index in range(len(folded)):
        text = texts.longest(folded, numeric, index)
        if text is not None and (text[0] > index + 1 or text[0] in placed):
            return True
    return False


def _asks_text(vocabulary: Vocabulary, item: Item) -> bool:
    return "feature" in item.meaning.kinds and any(
        sense.name in vocabulary.text_features for sense in item.senses
    )


def _is_wholly_gone(vocabulary: Vocabulary, tokens: Tokens, damaged: Damaged, thing: Item) -> bool:
    """Whether damage of a thing is the very fault that the rules make of there being none:
    `missing safety chain` is `no safety chain`, while of rhinestones the rest are there.
    """
    making = vocabulary.making
    there = making.bare.keys() - making.counted.keys()  # broken, detached
    if not thing.means("value") or not there.isdisjoint(damaged.damages):
        return False
    words = tokens.folded[thing.first : thing.end]
    faults = {fault for fault, _ in damaged.choices}
    for denial in vocabulary.denials:
        found = vocabulary.words.longest([denial, *words], [False] * (len(words) + 1), 0)
        if found is not None and found[0] > len(words):
            for sense in found[1].senses:
                if sense.kind == "value" and sense.name == "fault" and sense.value in faults:
                    return True
    return False
