"""One segment of a note, read by itself: what is seen, denied, measured, and not understood."""

from __future__ import annotations

import re
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from markrules.knowledge.observation import Observation, State
from markrules.language.builtin import COLOUR, STATED_CONDITION
from markrules.late import late
from markrules.notes.account import account_of
from markrules.notes.contrast import (
    ASIDE_ROLES,
    answered,
    either,
    put_right,
    questioned,
    set_aside,
)
from markrules.notes.damage import damaged_in
from markrules.notes.damage_told import Damaged, things_in
from markrules.notes.dating import years_read
from markrules.notes.grading import GRADE, with_grades
from markrules.notes.halfread import PART_LEADS, with_gaps
from markrules.notes.hedging import certainty_of
from markrules.notes.leftover import leftover
from markrules.notes.markreading import MarksRead, read_marks
from markrules.notes.marktext import PLACING, Written, written_in
from markrules.notes.matching import LINKS, Item, Matched, matched, matched_without
from markrules.notes.materials import Materials
from markrules.notes.measuring import measured
from markrules.notes.naming import named_makers, pieces_of
from markrules.notes.negation import negated_tokens
from markrules.notes.numbering import MONEY
from markrules.notes.saying import Fault, Open, Portion, Said, Spoken, Unread
from markrules.notes.shading import with_shades
from markrules.notes.spelling import corrected
from markrules.notes.story import STORY_ROLES, told_of_origin
from markrules.notes.tokens import Tokens, tokens_of
from markrules.notes.unquoting import unquoted
from markrules.notes.unreadmark import unread_mark
from markrules.notes.view import LEADS
from markrules.notes.vocabulary import (
    DATE_LETTER,
    DEVICE_NOUN,
    MARK_FORM,
    MARK_PREFIXES,
    MARK_STATE,
    PICTURED_FEATURES,
    PLACE_FEATURES,
    PLACED_FEATURES,
    Vocabulary,
)

_MARKISH = re.compile(r"[^a-zà-öø-ÿ0-9\s,.()/½¼¾-]")
_SPELT_OUT = late(r"(?<![^\W_])[a-z](?:[.-][a-z]){3,}(?![^\W_])")
"""Small letters of one word, parted by dots or dashes: `t.r.i.f.o.l.d`, read as capitals."""
_COPYRIGHT = late(r"\([cC]\)")
_LETTER_WITH = late(
    r"(?P<letter>\b[A-Z](?:[ .&]{0,3}[A-Z]){0,3}\.?) "
    r"(?=(?:with|under|below|beside|inside|in|on) (?:an? )?(?P<what>\w+))"
)
_NAME_WITH = late(
    r"(?P<name>[A-Z][\w'’-]{2,}(?: [A-Z][\w'’-]{2,}){0,2}) (?P<where>with|\w+) (?:an? |the )?"
    r"(?P<what>\w+)(?: (?P<behind>\w+))?"
)
_FORM_WITHIN = 40
"""Characters behind letters in which words for the form of their mark end."""
_NUMBERED = late(r"(?:N[oOrR]\.?|n[or]\.|N°|№|#) ?[0-9][0-9,.]{2,}")
"""A number with a sign that says so: `No. 124 stamped`; `no 150 stones` is a denial."""
LONGEST_COUNT = 3
"""Figures of the largest number that counts parts; a year has more."""
_SAYS = frozenset(("value", "feature", "piece"))


def said(
    vocabulary: Vocabulary,
    text: str,
    after_mark: bool,
    shouting: bool,
    denied: bool = False,
    listed: bool = False,
    led_by: str = "",
) -> Said:
    """What a segment says. `after_mark`: the last one ended in a mark; `shouting`: all capitals;
    `denied`: a denial of damage goes on from the last one; `listed`: one of things does; `led_by`:
    words of an earlier one that hold for this one too.
    """
    denials = (denied, listed)
    return _SegmentReader(vocabulary, text, after_mark, shouting, denials, led_by).read()


def no_mark(vocabulary: Vocabulary) -> Observation:
    """That somebody looked for marks, and found none."""
    return Observation("mark", state="absent", certainty=vocabulary.sure, words="no mark")


def _led(vocabulary: Vocabulary, text: str) -> str:
    """The text, led by the word that tells of a mark where it begins with one that nothing names.

    `T with a crown above it` is a mark, although no word says so; so is `No. 1852188 on the clip`.
    """
    if _NUMBERED.match(text.lstrip()):
        return f"{vocabulary.mark_word} {text.lstrip()}"
    found = _LETTER_WITH.match(text.lstrip())
    if found is None:
        named = _is_name_with_device(vocabulary, text.lstrip())
        return f"{vocabulary.mark_word} {text.lstrip()}" if named else text
    framed = found["what"].casefold() in vocabulary.device_words
    if not framed and not _is_form(vocabulary, text.lstrip()[found.end() :]):
        return text
    return f"{vocabulary.mark_word} {text.lstrip()}"


def _is_name_with_device(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a text begins with a name that the rules do not know for a word of theirs, and a
    device stands over or under it: `Novak with a crown above it`, `Novak below a crown`.
    """
    found = _NAME_WITH.match(text)
    if found is None or found["what"].casefold() not in vocabulary.device_words:
        return False
    placed = found["where"].casefold() in PLACING or (found["behind"] or "").casefold() in PLACING
    tokens = tokens_of(found["name"], vocabulary.folding)
    listed = vocabulary.texts.longest(tokens.folded, tokens.numeric, 0)
    if listed is not None and listed[0] == len(tokens) and "maker" in listed[1].kinds:
        return placed
    return placed and all(
        vocabulary.words.first(fold) is None and not corrected(vocabulary, fold)
        for fold in tokens.folded
    )


def _is_form(vocabulary: Vocabulary, text: str) -> bool:
    """Whether a text begins with words for the form of a mark: `in dotted oval`."""
    words = tokens_of(text[:_FORM_WITHIN], vocabulary.folding)
    found = vocabulary.words.longest(words.folded, words.numeric, 0) if words else None
    return found is not None and any(
        each.kind == "value" and each.name == MARK_FORM for each in found[1].senses
    )


def _end_of(item: Item) -> int:
    return item.end


class _SegmentReader:
    """Holds one segment while it is read; used once."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        text: str,
        after_mark: bool,
        shouting: bool,
        denied: tuple[bool, bool],
        led_by: str,
    ) -> None:
        self.vocabulary = vocabulary
        text = _COPYRIGHT.sub("\N{COPYRIGHT SIGN}", unquoted(vocabulary, text))
        text = _SPELT_OUT.sub(lambda run: run[0].upper(), text)
        if not {"(", "[", "]"}.isdisjoint(text):
            text = with_gaps(vocabulary, text)
        led = f"{led_by} {text.lstrip()}" if led_by else _led(vocabulary, text)
        self.tokens = tokens_of(led, vocabulary.folding)
        self.added = len(led) - len(text.lstrip()) if led != text else 0
        self.matched: Matched = matched(vocabulary, self.tokens, shouting)
        self.written = Written()
        if after_mark or self._may_hold_text():
            self.written = written_in(vocabulary, self.tokens, self.matched, after_mark, shouting)
        self.items = self.matched.items
        if self.written.claimed:
            claimed = self.written.claimed
            self.matched = matched_without(vocabulary, self.tokens, self.matched, claimed)
            self.items = [item for item in self.matched.items if item.first not in claimed]
        claimed = self.written.claimed
        shaded = with_shades(vocabulary, self.tokens, self.matched, claimed)
        graded = with_grades(vocabulary, self.tokens, shaded, claimed)
        if graded is not self.matched:
            self.matched = graded
            self.items = [item for item in graded.items if item.first not in claimed]
        self.damaged = damaged_in(vocabulary.making, self.tokens, self.items, self.matched.unknown)
        telling = {each.item.first for each in self.damaged}
        self.harmed = {each.thing.first for each in self.damaged if each.thing is not None}
        self.harmed |= {
            item.first
            for item, following in pairwise(self._telling_items())
            if following.meaning.tells_fault and not item.meaning.tells_fault
        }
        losing = {
            each.item.first
            for each in self.damaged
            if each.thing is not None
            and (
                each.thing.first >= each.item.end  # or 3 stones lacking, a trombone catch
                or (each.thing.end == each.item.first and self._is_counted(each.thing))
            )
        }
        self.negated = negated_tokens(
            self.items, self.tokens, telling, *denied, vocabulary.denials, losing
        )
        self.gone = {
            each.thing.first
            for each in self.damaged
            if each.thing is not None
            and not self.negated[each.item.first]
            and self._is_wholly_gone(each, each.thing)
        }
        self.named = {
            sense.name
            for item in self.items
            if "feature" in item.meaning.kinds
            for sense in item.senses
            if sense.kind == "feature"
        }
        roles = frozenset[str]().union(*[item.meaning.roles for item in self.items])
        self.of_story = (
            told_of_origin(vocabulary, self.tokens, self.items)
            if not roles.isdisjoint(STORY_ROLES)
            or not vocabulary.story.isdisjoint(self.tokens.folded)
            else frozenset[int]()
        )
        asked = "?" in self.tokens.text or ":" in self.tokens.text
        if asked or not roles.isdisjoint(ASIDE_ROLES):
            aside = set_aside(self.tokens, self.items, self.vocabulary.materials)
            for item in self.items:
                if item.first in aside:
                    self.negated[item.first : item.end] = [True] * (item.end - item.first)
        self.materials = Materials(vocabulary, self.tokens, self.items, self.negated)
        self.certainty = certainty_of(vocabulary, self.tokens, self.items, self.written)
        self.heard = any(item.role("told") for item in self.items)
        self.moods = self._moods()
        self.order: list[Observation | Open | Fault | Unread] = []
        self.telling = telling
        self.made: dict[int, list[int]] = {}  # first token of an item: places in `order`
        self.mark_absent = False
        by_lead = self.written.lead and not self.written.loose
        self.on_mark = bool(self.written.places) or by_lead or self._of_marks()

    def read(self) -> Said:
        marks = self._read_marks()
        texts = list(range(len(self.order)))
        mood = self.certainty, self.heard
        for item in self.items:
            if self.negated[item.first] and item.first in self.harmed:
                continue  # no single stone missing: it is the damage that is denied
            if item.first in self.gone:
                continue  # missing safety chain: there is none to be seen
            before = len(self.order)
            self.certainty, self.heard = self.moods.get(item.first, mood)
            self._read_item(item)
            self.certainty, self.heard = mood
            self.made[item.first] = list(range(before, len(self.order)))
        for first in marks.shaping:
            self.made[first] += texts
        for damaged in self.damaged:
            if not damaged.past:
                self._read_damage(damaged)
        self._account_for_past()
        self._read_signs()
        self._read_unread_mark()
        self.order += named_makers(
            self.vocabulary, self.tokens, self.matched, self.certainty, self.heard
        )
        self.order += measured(self.vocabulary, self.tokens, self.items, self.certainty, self.heard)
        self.order += years_read(
            self.vocabulary,
            self.tokens,
            self.matched,
            self.written,
            self.certainty,
            self.heard,
            of_label=marks.feature == "label",
        )
        account = account_of(
            self.tokens,
            self.matched,
            self.written,
            self.order,
            self.made,
            self.damaged,
            self.vocabulary.text_features,
        )
        unknown = [index for index, lost in enumerate(account.unknown) if lost]
        rest = leftover(self.tokens, self.matched, self.written, unknown)
        return Said(
            order=tuple(self.order),
            marks=marks.marks,
            pieces=()
            if answered(self.tokens, self.items)  # a hatpin? no
            else pieces_of(self.vocabulary, self.tokens, self.items, self.negated),
            not_understood=rest.stretches,
            assumed=self._slips(),
            total=rest.total,
            understood=rest.understood,
            ends_in_mark=bool(self.written.places) or self._opens_mark(),
            mark_absent=self.mark_absent,
            letter=marks.letter,
            things=self._things(),
            denies=self._denies_damage(),
            denies_thing=self._denies_thing(),
            account=self._as_written(account.portions(self.tokens, self.vocabulary.little)),
            folds=tuple(self.tokens.folded[self._led_by() :]),
            either=any(item.first == 0 and item.role("alternative") for item in self.items),
        )

    def _is_wholly_gone(self, damaged: Damaged, thing: Item) -> bool:
        """Whether damage of a thing is the very fault that the rules make of there being none:
        `missing safety chain` is `no safety chain`, while of rhinestones the rest are there.
        """
        making = self.vocabulary.making
        there = making.bare.keys() - making.counted.keys()  # broken, detached
        if not thing.means("value") or not there.isdisjoint(damaged.damages):
            return False
        words = self.tokens.folded[thing.first : thing.end]
        faults = {fault for fault, _ in damaged.choices}
        for denial in self.vocabulary.denials:
            found = self.vocabulary.words.longest([denial, *words], [False] * (len(words) + 1), 0)
            if found is not None and found[0] > len(words):
                for sense in found[1].senses:
                    if sense.kind == "value" and sense.name == "fault" and sense.value in faults:
                        return True
        return False

    def _is_counted(self, thing: Item) -> bool:
        """Whether a number stands right before a thing: `3 stones`."""
        return thing.first > 0 and self.tokens.numeric[thing.first - 1]

    def _telling_items(self) -> Iterator[Item]:
        """The items, without the little words that lead on from a thing to its damage."""
        return (item for item in self.items if not item.role("filler"))

    def _opens_mark(self) -> bool:
        """Whether the segment says how a mark is lettered, and the text is still to come: `signed
        in script, Novak`.
        """
        led = self.written.lead and not self.written.loose
        return led and bool(self.items) and max(self.items, key=_end_of).value_of(MARK_FORM)

    def _moods(self) -> dict[int, tuple[str, bool]]:
        """How sure of, and whether only heard, items are of which less holds than of the segment:
        `sold as jade but is glass`, `gold with rubies?`, `amber or plastic`.
        """
        if self.certainty == self.vocabulary.sure and not self.heard:
            return dict.fromkeys(self._either(), (self.vocabulary.least_sure, False))
        right = put_right(self.items)
        doubted = questioned(self.tokens, self.items)
        no_question = self.tokens.text.replace("?", " ")
        plain = Tokens(
            no_question,
            self.tokens.folded,
            self.tokens.starts,
            self.tokens.ends,
            self.tokens.numeric,
        )
        moods: dict[int, tuple[str, bool]] = {}
        for item in self.items:
            since = [each for each in self.items if each.first > right] if right >= 0 else []
            own = since if right >= 0 and item.first > right else self.items
            asked = item.first in doubted and not answered(self.tokens, self.items)
            tokens = self.tokens if asked else plain
            certainty = certainty_of(self.vocabulary, tokens, list(own), self.written)
            moods[item.first] = certainty, any(each.role("told") for each in own)
        for first in self._either():
            moods[first] = self.vocabulary.least_sure, moods[first][1]
        return moods

    def _either(self) -> frozenset[int]:
        """The first tokens of what the writer leaves open: one of two, and nobody denied them."""
        if not any(item.role("alternative") for item in self.items):
            return frozenset()
        found = either(self.items, self.vocabulary.materials)
        return frozenset(first for first in found if not self.negated[first])

    def _as_written(self, portions: tuple[Portion, ...]) -> tuple[Portion, ...]:
        """The portions without the word that was put before a letter with a device."""
        if not self.added or not portions:
            return portions
        by = self._led_by()
        first, *rest = (
            replace(each, first=max(each.first - by, 0), end=each.end - by) for each in portions
        )
        words = first.words[self.added :]
        if not words and rest:  # the words put before tell of something by themselves
            return (replace(rest[0], order=(*first.order, *rest[0].order)), *rest[1:])
        return (replace(first, words=words), *rest)

    def _led_by(self) -> int:
        """How many words were put before what was written."""
        return bisect_left(self.tokens.starts, self.added)

    def _denies_damage(self) -> bool:
        """Whether the last damage that the segment speaks of is denied."""
        for item in reversed(self.items):
            if item.first in self.telling or item.meaning.tells_fault:
                return self.negated[item.first]
        return False

    def _denies_thing(self) -> bool:
        """Whether the segment begins with a denial and ends in the thing that is denied."""
        if not self.items or not self.items[0].role("negation"):
            return False
        last = self.items[-1]
        named = last.means("value") or last.means("feature")
        return named and last.first not in self.telling and self.negated[last.first]

    def _may_hold_text(self) -> bool:
        """Whether it is worth looking for text: capitals, signs, lead words, or known texts."""
        if _MARKISH.search(self.tokens.text) or any(
            item.role(*LEADS, *PART_LEADS) or self._asks_text(item) for item in self.matched.items
        ):
            return True
        folded, numeric = self.tokens.folded, self.tokens.numeric
        if not self.vocabulary.lead_words.isdisjoint(folded):
            return True
        numbered = any(
            number and len(word) > 3 for number, word in zip(numeric, folded, strict=True)
        )
        texts = self.vocabulary.texts if numbered else self.vocabulary.says
        placed = {item.first for item in self.matched.items if item.value_of(*PLACE_FEATURES)}
        for index in range(len(folded)):
            found = texts.longest(folded, numeric, index)
            if found is not None and (found[0] > index + 1 or found[0] in placed):
                return True
        return False

    def _of_marks(self) -> bool:
        """Whether some words speak of marks and of nothing else: `hallmarks include a lion`."""
        return any(
            all(
                sense.name.startswith(MARK_PREFIXES) and sense.name not in PLACE_FEATURES
                for sense in item.senses
                if sense.kind == "value"
            )
            for item in self.items
            if "value" in item.meaning.kinds and not item.role("damage")
        )

    def _asks_text(self, item: Item) -> bool:
        return "feature" in item.meaning.kinds and any(
            sense.name in self.vocabulary.text_features for sense in item.senses
        )

    def _see(
        self,
        feature: str,
        value: str,
        words: str,
        state: State = "seen",
        *,
        number: float | None = None,
        assumed: str = "",
        certainty: str = "",
    ) -> None:
        self.order.append(
            Observation(
                feature,
                value,
                state,
                number,
                certainty=certainty or self.certainty,
                heard=self.heard,
                words=words,
                assumed=assumed,
            )
        )

    def _read_marks(self) -> MarksRead:
        if not (self.written.places or self.written.symbols):
            return MarksRead()
        read = read_marks(
            self.vocabulary,
            self.tokens,
            self.items,
            self.written,
            self.negated,
            self.certainty,
            self.heard,
        )
        self.on_mark = self.on_mark and read.feature != "label"
        for text in read.texts:
            self._see(
                read.feature,
                text.text,
                self.tokens.text,
                text.state,
                assumed=text.assumed,
                certainty=text.certainty,
            )
        return read

    def _read_item(self, item: Item) -> None:
        kinds = item.meaning.kinds
        negated = self.negated[item.first]
        if GRADE in kinds:
            grade = next(sense.name for sense in item.senses if sense.kind == GRADE)
            state: State = "ruled-out" if negated else "seen"
            self._see(STATED_CONDITION, grade, self._words(item), state)
        if "value" not in kinds and "feature" not in kinds and not item.role(*LEADS, "absent"):
            return
        if "feature" in kinds and self._unit_of_measure(item):
            return
        if not negated:  # `not unmarked` tells of no mark that is wanting
            self._read_absent(item)
        values = self._values_of(item)
        features = [sense.name for sense in item.senses if sense.kind == "feature"]
        if negated and features and self._may_be_absent(features[0], item):
            self._absent(features[0], item)
        elif values:
            self._value(values, item, "ruled-out" if negated else "seen")
            if not negated:
                self._read_within(item, values)
        elif negated and self._denies_marks(item):
            self._absent("mark", item)

    def _values_of(self, item: Item) -> list[tuple[str, str]]:
        """The values that an item means here, by all that stands beside it."""
        values = [(sense.name, sense.value) for sense in item.senses if sense.kind == "value"]
        if item.first in self.telling:
            values = (
                [] if not item.role("thing") else [each for each in values if each[0] != "fault"]
            )
        values, doubted = self.materials.without_coats(item, values)
        if doubted:
            self.certainty = self.vocabulary.least_sure
        values = self.materials.as_told(item, values)
        excepted = item.first in self.harmed and item.role("sound")  # all stones there bar one
        if excepted or self.materials.names_a_place(item):
            values = []
        if self._before_damage(item):  # a tiny chip is no small piece
            values = [each for each in values if not self._describes(each[0])]
        values = self._not_of_marks(item, values)
        if self._is_device(item):
            values = self._of_device(item, values)
        return self._pictured(item, values)

    def _read_within(self, item: Item, values: list[tuple[str, str]]) -> None:
        """What a phrase tells besides by a word that it holds: the plastic of `celluloid beads`."""
        within = self.vocabulary.within
        features = {name for each in values for name in within.get("=".join(each), ())}
        if not features:
            return
        words = self.tokens.folded[item.first : item.end]
        at = 0
        while at < len(words):
            end = len(words) - (at == 0)  # the whole phrase has been read
            found = None
            if at < end:
                found = self.vocabulary.words.longest(words[:end], [False] * end, at)
            inner = [
                (sense.name, sense.value)
                for sense in (found[1].senses if found else ())
                if sense.kind == "value" and sense.name in features
            ]
            own = {name for name, value in values if name in within.get(f"{name}={value}", ())}
            if found and own and not any(map(str.isdigit, "".join(words[at : found[0]]))):
                inner = [each for each in inner if each[0] not in own]  # 9ct of rose gold
            if len(inner) == 1:
                self._value(inner, item, "seen")
            at = found[0] if found else at + 1

    def _not_of_marks(self, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
        """The values without what would be said of a mark, where words tell of something else:
        `rubbed` of no mark, `on the back` of a wire.
        """
        of_marks = (*PLACE_FEATURES, MARK_STATE)
        if any(name in of_marks for name, _ in values):
            harm = item.role("damage") and not self.on_mark
            if harm or self._place_of_a_thing(item):
                values = [each for each in values if each[0] not in of_marks]
        if any(name == MARK_FORM for name, _ in values) and self._form_of_a_thing(item):
            values = [each for each in values if each[0] != MARK_FORM]
        if not self._of_letters(item):
            values = [each for each in values if not each[0].startswith(f"{DATE_LETTER}-")]
        return values

    def _of_letters(self, item: Item) -> bool:
        """Whether words beside an item, or it by its several words, speak of a date letter: `plain`
        and `small` alone do not.
        """
        if item.end > item.first + 1:
            return True
        return any(
            sense.kind in ("feature", "value") and sense.name.startswith((DATE_LETTER, "hallmark"))
            for other in self.items
            if other is not item
            for sense in other.senses
        )

    def _pictured(self, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
        """The values without pictures where nothing is pictured; none at all where what may be a
        picture tells of where the piece came from: `from a lion house`, and no assay office or
        the like either: `bought in Chester`.
        """
        of_story = item.first in self.of_story
        if of_story:
            values = [each for each in values if each[0] not in PLACED_FEATURES]
        if all(name not in PICTURED_FEATURES for name, _ in values):
            return values
        if of_story:
            return []
        if self._is_no_picture(item):
            return [each for each in values if each[0] not in PICTURED_FEATURES]
        return values

    def _is_no_picture(self, item: Item) -> bool:
        """Whether the words are a part that is damaged (`one butterfly missing`) or a little word:
        `does` is no doe.
        """
        harmed = item.first in self.harmed and item.role("thing")
        return harmed or item.role("filler", *LINKS)

    def _is_device(self, item: Item) -> bool:
        """Whether the words name the device of a mark: `marked leaf`."""
        first, end = self.tokens.starts[item.first], self.tokens.ends[item.end - 1]
        return any(start <= first and end <= stop for start, stop in self.written.pictures)

    def _of_device(self, item: Item, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
        """What the words for a device mean of the mark; they picture nothing on the piece."""
        own = [each for each in values if each[0].startswith(MARK_PREFIXES)]
        if own:
            return own
        words = [*self.tokens.folded[item.first : item.end], DEVICE_NOUN]
        found = self.vocabulary.words.longest(words, [False] * len(words), 0)
        if found is None or found[0] < len(words):
            return []
        return [
            (sense.name, sense.value)
            for sense in found[1].senses
            if sense.kind == "value" and sense.name.startswith(MARK_PREFIXES)
        ]

    def _place_of_a_thing(self, item: Item) -> bool:
        """Whether a place for marks tells where something else is: `a wire on the back`."""
        if self.on_mark or not self.vocabulary.lead_words.isdisjoint(self.tokens.folded):
            return False
        named = any(self.tokens.raw(index)[0].isupper() for index in self.matched.unknown)
        return not named and any(
            (other.role("thing", "damage") and not self._of_text(other))
            or any(
                sense.kind == "value" and not sense.name.startswith(MARK_PREFIXES)
                for sense in other.senses
            )
            for other in self.items
            if other is not item
        )

    def _form_of_a_thing(self, item: Item) -> bool:
        """Whether the form of a mark is that of something else: leaves `in a curve`."""
        if self.written.places or not self.vocabulary.lead_words.isdisjoint(self.tokens.folded):
            return False
        return any(
            sense.kind == "value" and not sense.name.startswith((*MARK_PREFIXES, COLOUR))
            for other in self.items
            if other is not item
            for sense in other.senses
        )

    def _of_text(self, item: Item) -> bool:
        """Whether words for a thing are those of text: `stamp on the back`."""
        return item.role("mark", "mark-noun", "label")

    def _denies_marks(self, item: Item) -> bool:
        """Whether a denied word tells that no mark was found."""
        of_marks = item.role("mark", "mark-noun") and not self.written.places
        return of_marks and self._plainly_negated(item)

    def _before_damage(self, item: Item) -> bool:
        return any(each.item.first == item.end for each in self.damaged)

    def _describes(self, name: str) -> bool:
        feature = self.vocabulary.feature(name)
        return feature is not None and feature.describes and name != "fault"

    def _read_absent(self, item: Item) -> None:
        for sense in item.senses:
            if sense.kind == "role" and sense.name == "absent":
                self._absent(sense.value, item)

    def _unit_of_measure(self, item: Item) -> bool:
        """Whether the word only tells what is measured just before: `25 cm long`."""
        features = self.vocabulary.base.features
        named = any(
            sense.kind == "feature" and features[sense.name].kind == "number"
            for sense in item.senses
        )
        return named and any(
            other.measure is not None and other.end == item.first for other in self.items
        )

    def _may_be_absent(self, name: str, item: Item) -> bool:
        """Whether a denied word speaks of a whole part: no year or measure, no description."""
        feature = self.vocabulary.feature(name)
        if feature is None or feature.kind in ("number", "year"):
            return False
        return not feature.describes or not item.means("value")

    def _absent(self, feature: str, item: Item) -> None:
        if feature == "mark":
            self.mark_absent = True
            self.order.append(no_mark(self.vocabulary))
        else:
            self._see(feature, "", self._words(item), "absent")

    def _plainly_negated(self, item: Item) -> bool:
        """`no marks`, but not `no ogham inscription`: nothing unknown narrows the word."""
        return not any(self.negated[index] for index in self.matched.unknown if index < item.first)

    def _value(self, values: list[tuple[str, str]], item: Item, state: State) -> None:
        # A feature named in the segment settles what its words mean: `clasp: barrel`.
        named = [choice for choice in values if choice[0] in self.named]
        choices = tuple(dict.fromkeys(named or values))
        faults = [choice for choice in choices if choice[0] == "fault"]
        if faults and len(faults) < len(choices):  # resized: how it is made, and a fault
            self._value([choice for choice in choices if choice[0] != "fault"], item, state)
            self._value(faults, item, state)
            return
        number = self._count(item) if any(name == "fault" for name, _ in choices) else None
        slips = self.matched.slips
        assumed = ", ".join(
            self._slip(index) for index in range(item.first, item.end) if index in slips
        )
        words = self._words(item)
        if len(choices) == 1:
            feature, value = choices[0]
            self._see(feature, value, words, state, number=number, assumed=assumed)
            return
        self.order.append(
            Open(
                choices,
                state,
                number,
                self.certainty,
                self.heard,
                words,
                assumed,
                marked=self.on_mark,
                alone=sum(not _SAYS.isdisjoint(each.meaning.kinds) for each in self.items) == 1,
            )
        )

    def _read_damage(self, damaged: Damaged) -> None:
        item, thing = damaged.item, damaged.thing
        first = min(item.first, thing.first if thing else item.first)
        end = max(item.end, thing.end if thing else item.end)
        number = damaged.number or self._number_near(item, thing)
        denied = self.negated[item.first] or (thing is not None and self.negated[thing.first])
        denied = (denied or number == 0) and not damaged.none_left
        self.made.setdefault(item.first, []).append(len(self.order))
        self.order.append(
            Fault(
                damaged.choices,
                damaged.damages,
                "ruled-out" if denied else "seen",
                number or None,
                self.certainty,
                self.heard,
                self.tokens.slice(first, end),
                damaged.renewed and not denied,
                damaged.counted,
                tuple(self.made.get(thing.first, ())) if thing is not None else (),
            )
        )

    def _account_for_past(self) -> None:
        """Let damage that is no more be told by what put it right."""
        put_right: list[int] = []
        for damaged in reversed(self.damaged):
            if damaged.past:
                self.made.setdefault(damaged.item.first, []).extend(put_right)
            else:
                put_right = self.made.get(damaged.item.first, [])

    def _number_near(self, item: Item, thing: Item | None) -> float | None:
        """The number right before a word of damage or its thing: `two of the stones lost`."""
        for each in (item, thing):
            if each is not None:
                number = self._count(each)
                if number is not None:
                    return number
        after = item.end
        if thing is not None and any(
            after < each.first < thing.first and each.role("join") for each in self.items
        ):
            return None  # missing one drop and its catch
        if after < len(self.tokens) and self._counts_parts(after, item):
            return float(self.tokens.folded[after])
        return None

    def _counts_parts(self, index: int, own: Item) -> bool:
        """Whether a token is a number that counts parts: no measure, year, fineness or price."""
        fold = self.tokens.folded[index]
        if not fold.isdigit() or len(fold) > LONGEST_COUNT:
            return False
        start = self.tokens.starts[index]
        if start and self.tokens.text[start - 1] in MONEY:
            return False
        return not any(
            each.first <= index < each.end
            and each is not own
            and (each.measure is not None or each.years is not None or each.means("value"))
            for each in self.items
        )

    def _things(self) -> tuple[Spoken, ...]:
        """What was spoken of, for what the next segment says of it."""
        return tuple(
            Spoken(
                each.names,
                self._words(each.item),
                each.plural,
                tuple(self.made.get(each.item.first, ())),
            )
            for each in things_in(self.tokens, self.items)
            if each.item.first not in self.telling and not self.negated[each.item.first]
        )

    def _read_unread_mark(self) -> None:
        """A mark that is there without a letter of it being told."""
        if self.mark_absent:
            return
        found = unread_mark(self.tokens, self.items, self.negated, self.written)
        if found is not None:
            first, unread = found
            self.made.setdefault(first, []).append(len(self.order))
            self.order.append(replace(unread, heard=self.heard))

    def _read_signs(self) -> None:
        """Values that stand in the segment as a sign alone, such as a C in a circle."""
        if self.tokens.text.isascii():
            return
        for char in sorted(self.vocabulary.signs.keys() & set(self.tokens.text)):
            for sense in self.vocabulary.signs[char]:
                if sense.kind == "value":
                    self._see(sense.name, sense.value, char)

    def _count(self, item: Item) -> float | None:
        """The number that stands in a phrase or just before it: `2 stones missing`."""
        near = range(item.end - 1, max(-1, item.first - 3), -1)
        further = (item.first - 3,) if self._only_little_before(item) else ()
        for index in (*near, *further):
            if self.tokens.numeric[index] and self._counts_parts(index, item):
                return float(self.tokens.folded[self._of_so_many(index)])
        return None

    def _of_so_many(self, index: int) -> int:
        """The number that counts where one stands before another: 2 of `2 of the 7 stones`."""
        at = index - 1
        while at > 0 and self.tokens.folded[at] in self.vocabulary.little and at > index - 4:
            at -= 1
        if not (0 <= at < index - 1 and self.tokens.folded[at].isdigit()):
            return index
        node = self.vocabulary.words.first(self.tokens.folded[at + 1])
        return at if node is not None and "link" in node.meaning.roles else index

    def _only_little_before(self, item: Item) -> bool:
        """Whether the two words before say nothing of their own: `2 of them missing`."""
        start = item.first - 2
        little = [each for each in self.items if start <= each.first < item.first]
        covered = sum(each.end - each.first for each in little)
        return start > 0 and covered == 2 and all(each.role("filler", "link") for each in little)

    def _words(self, item: Item) -> str:
        return self.tokens.slice(item.first, item.end)

    def _slip(self, index: int) -> str:
        return f'"{self.tokens.raw(index)}" read as "{self.matched.slips[index]}"'

    def _slips(self) -> tuple[str, ...]:
        return tuple(
            self._slip(index)
            for index in sorted(self.matched.slips)
            if index not in self.written.claimed
        )
