"""One segment of a note, read by itself: what is seen, denied, measured, and not understood."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Container, Iterable
from dataclasses import replace

from markrules.knowledge.observation import Observation, State
from markrules.language.builtin import STATED_CONDITION
from markrules.notes.account import account_of
from markrules.notes.as_designed import BY_DESIGN, DESIGN_NOUN, designed_in
from markrules.notes.contrast import (
    answered,
)
from markrules.notes.counting import counted, number_near
from markrules.notes.damage_by_order import MOST_ALL_SAID, faults_of, said_so
from markrules.notes.damage_told import EXCEPTION, SOUND, Damaged, things_in
from markrules.notes.damage_ways import ASSUMED
from markrules.notes.dating import years_read
from markrules.notes.grading import GRADE
from markrules.notes.hedging import certainty_of, years_doubted
from markrules.notes.items import Item
from markrules.notes.laid import Laid
from markrules.notes.leftover import leftover
from markrules.notes.markreading import MarksRead, read_marks
from markrules.notes.meant import values_meant
from markrules.notes.measuring import measured
from markrules.notes.moods import moods_of
from markrules.notes.naming import named_makers
from markrules.notes.pieces_named import pieces_of
from markrules.notes.saying import Open, OpenFault, Portion, Said, SpokenThing, Unread
from markrules.notes.unreadmark import unread_mark
from markrules.notes.view import LEADS
from markrules.notes.vocabulary import (
    MARK_FORM,
    MARK_PREFIXES,
    Vocabulary,
)

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
    laid = Laid(vocabulary, text, after_mark, shouting, denials, led_by)
    return _SegmentReader(laid).read()


def no_mark(vocabulary: Vocabulary) -> Observation:
    """That somebody looked for marks, and found none."""
    return Observation("mark", state="absent", certainty=vocabulary.sure, words="no mark")


def _first_of(item: Item) -> int:
    return item.first


def _end_of(item: Item) -> int:
    return item.end


def _tells_condition(each: Observation | Open | OpenFault | Unread) -> bool:
    """Whether something tells of a fault, seen or denied, or calls the condition by a grade."""
    if isinstance(each, Observation):
        return each.feature in ("fault", STATED_CONDITION)
    if isinstance(each, Open):
        return any(feature == "fault" for feature, _ in each.choices)
    return isinstance(each, OpenFault)


def _choices_of(each: Observation | Open) -> tuple[tuple[str, str], ...]:
    """The features that something said may be of, each with its value."""
    return each.choices if isinstance(each, Open) else ((each.feature, each.value),)


def _faults_at(each: Observation | Open | OpenFault | Unread) -> tuple[tuple[str, str], ...]:
    """The faults that something said may be, each with what led to it."""
    if isinstance(each, OpenFault):
        return each.choices if each.state == "seen" else ()
    fault = isinstance(each, Observation) and each.feature == "fault" and each.state == "seen"
    return ((each.value, ""),) if fault and isinstance(each, Observation) else ()


class _SegmentReader:
    """Holds what a segment was found to say while it is read; used once."""

    def __init__(self, laid: Laid) -> None:
        self.laid = laid
        self.vocabulary, self.tokens, self.matched = laid.vocabulary, laid.tokens, laid.matched
        self.written, self.items, self.damaged = laid.written, laid.items, laid.damaged
        self.negated, self.added = laid.negated, laid.added
        self.certainty = certainty_of(self.vocabulary, self.tokens, self.items, self.written)
        self.heard = any(item.role("told") for item in self.items)
        self.on_mark = laid.of_marks()
        self.order: list[Observation | Open | OpenFault | Unread] = []
        self.made: dict[int, list[int]] = {}  # first token of an item: places in `order`
        self.guessed: dict[int, list[int]] = {}  # words of a saying: places in `order`
        self.mark_absent = False
        self.owned = -1  # first token of the word by which something was cut in for an owner
        self.designed = self._designed()

    def read(self) -> Said:
        """All that the segment says, and the account of its words."""
        marks = self._read_marks()
        self.owned = marks.owned
        self._read_items(marks.shaping)
        for damaged in self.damaged:
            if not damaged.past and damaged.item.first not in self.designed:
                self._read_damage(damaged)
        self._account_for_past()
        self._renew_stand_ins()
        self._read_saying()
        self._read_signs()
        self._read_unread_mark()
        self._read_figures(of_label=marks.feature == "label")
        return self._said(marks)

    def _designed(self) -> frozenset[int]:
        """The first tokens of words of damage that tell how the piece was made."""
        if not any(item.role(BY_DESIGN, DESIGN_NOUN) for item in self.items):
            return frozenset()
        unknown = (Item(index, index + 1) for index in self.matched.unknown)
        return designed_in(sorted([*self.items, *unknown], key=_first_of))

    def _read_items(self, shaping: Iterable[int]) -> None:
        """What each phrase says by itself. `shaping` are the items that tell how a mark looks: to
        them the texts of the mark are put down as well.
        """
        texts = list(range(len(self.order)))
        mood = self.certainty, self.heard
        moods = moods_of(self.laid, *mood)
        for item in self.items:
            if self.negated[item.first] and item.first in self.laid.harmed:
                continue  # no single stone missing: it is the damage that is denied
            if item.first in self.laid.gone:
                continue  # missing safety chain: there is none to be seen
            if item.first in self.designed:
                continue  # a bent leaf design
            before = len(self.order)
            self.certainty, self.heard = moods.get(item.first, mood)
            self._read_item(item)
            self.certainty, self.heard = mood
            self.made[item.first] = list(range(before, len(self.order)))
        for first in shaping:
            self.made[first] += texts

    def _read_figures(self, of_label: bool) -> None:
        """Makers named, measures and years, which no one phrase of the rules tells."""
        mood = self.certainty, self.heard
        self.order += named_makers(self.vocabulary, self.tokens, self.matched, *mood)
        self.order += measured(self.vocabulary, self.tokens, self.items, *mood)
        if years_doubted(self.tokens, self.items):
            mood = self.vocabulary.least_sure, self.heard
        self.order += years_read(
            self.vocabulary, self.tokens, self.matched, self.written, *mood, of_label=of_label
        )

    def _said(self, marks: MarksRead) -> Said:
        """What was read, with the account of the words that nothing was made of."""
        account = account_of(
            self.tokens,
            self.matched,
            self.written,
            self.order,
            self.made,
            self.damaged,
            self.vocabulary.text_features,
        )
        for index in self.guessed:
            account.order[index].update(self.guessed[index])
            account.unknown[index] = False
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

    def _opens_mark(self) -> bool:
        """Whether the segment says how a mark is lettered, and the text is still to come: `signed
        in script, Novak`.
        """
        led = self.written.lead and not self.written.loose
        return led and bool(self.items) and max(self.items, key=_end_of).value_of(MARK_FORM)

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
            if item.first in self.laid.telling or item.meaning.tells_fault:
                return self.negated[item.first]
        return False

    def _denies_thing(self) -> bool:
        """Whether the segment begins with a denial and ends in the thing that is denied."""
        if not self.items or not self.items[0].role("negation"):
            return False
        last = self.items[-1]
        named = last.means("value") or last.means("feature")
        return named and last.first not in self.laid.telling and self.negated[last.first]

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
                text.feature,
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
        values, doubtful = values_meant(self.laid, item, self.on_mark)
        if doubtful:  # of this item alone: `read` puts back how sure the segment is
            self.certainty = self.vocabulary.least_sure
        if item.first == self.owned:  # of an inscription, and of no ornament
            values = [each for each in values if each[0].startswith(MARK_PREFIXES)]
        features = [sense.name for sense in item.senses if sense.kind == "feature"]
        if negated and features and self._may_be_absent(features[0], item):
            self._absent(features[0], item)
        elif values:
            self._value(values, item, "ruled-out" if negated else "seen")
            if not negated:
                self._read_within(item, values)
        elif negated and self._denies_marks(item):
            self._absent("mark", item)

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

    def _denies_marks(self, item: Item) -> bool:
        """Whether a denied word tells that no mark was found."""
        of_marks = item.role("mark", "mark-noun") and not self.written.places
        return of_marks and self._plainly_negated(item)

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
        named = [choice for choice in values if choice[0] in self.laid.named]
        choices = tuple(dict.fromkeys(named or values))
        faults = [choice for choice in choices if choice[0] == "fault"]
        if faults and len(faults) < len(choices):  # resized: how it is made, and a fault
            self._value([choice for choice in choices if choice[0] != "fault"], item, state)
            self._value(faults, item, state)
            return
        number = counted(self.laid, item) if any(name == "fault" for name, _ in choices) else None
        assumed = self._slips_in(item.first, item.end)
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
        number = damaged.number or number_near(self.laid, item, thing)
        denied = self.negated[item.first] or (thing is not None and self.negated[thing.first])
        denied = (denied or number == 0) and not damaged.none_left
        self.made.setdefault(item.first, []).append(len(self.order))
        self.order.append(
            OpenFault(
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
                self._slips_in(first, end),
            )
        )

    def _read_saying(self) -> None:
        """Damage that only the order of words tells, where the segment tells of no other."""
        if self.damaged or self.designed or any(map(_tells_condition, self.order)):
            return
        of_marks = self.laid.of_marks()
        if of_marks and self.written.places:
            return
        if any(item.role(SOUND) for item in self.items) and not any(
            item.role(EXCEPTION) for item in self.items
        ):
            return
        told = {
            index: item.first
            for item in self.items
            if self.made.get(item.first)
            for index in range(item.first, item.end)
        }
        marks = {item.first for item in self.items if item.role("mark", "mark-noun")}
        saying = said_so(
            self.vocabulary.damage_ways,
            self.vocabulary.making,
            self.tokens,
            self.items,
            self.matched.unknown,
            self.negated,
            told,
            marks if of_marks else None,
        )
        if saying is None:
            return
        first, end = saying.first, saying.end
        if len(self.tokens) <= MOST_ALL_SAID:
            first, end = self._led_by(), len(self.tokens)
        for index in saying.words:
            self.guessed[index] = [len(self.order)]
        self.order.append(
            OpenFault(
                faults_of(self.vocabulary.making, saying),
                saying.damages,
                "seen",
                None,
                self.certainty,
                self.heard,
                self.tokens.slice(first, end).strip(" .,;:!"),
                renewed=False,
                counted=False,
                assumed=ASSUMED,
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

    def _renew_stand_ins(self) -> None:
        """Let what stands in for a part be a later one: the lobster of `clasp replaced by a
        lobster`.
        """
        renewed = self.vocabulary.renewed
        for at, item in enumerate(self.items):
            told = {
                name
                for place in self.made.get(item.first, ())
                for name, _ in _faults_at(self.order[place])
                if name in renewed
            }
            stand_in = self._led_to(at) if told and not self.negated[item.first] else None
            things = {each for fault in told for each in renewed[fault]}
            for place in self.made.get(stand_in.first, ()) if stand_in is not None else ():
                seen = self.order[place]
                if isinstance(seen, Observation | Open) and seen.state == "seen":
                    names = [name for name, _ in _choices_of(seen)]
                    if any(self._is_one_of(name, things) for name in names):
                        self.order[place] = replace(seen, state="replaced")

    def _is_one_of(self, name: str, things: Container[str]) -> bool:
        """Whether a feature is one of which a piece shows one value, and is of these things."""
        feature = self.vocabulary.feature(name)
        return feature is not None and feature.kind == "choice" and name in things

    def _led_to(self, at: int) -> Item | None:
        """The item that a word at the end of this one, or right behind it, leads to."""
        links = self.vocabulary.making.links
        led = self.tokens.folded[self.items[at].end - 1] in links
        for item in self.items[at + 1 :]:
            if self.made.get(item.first):
                return item if led else None
            led = led or self.tokens.folded[item.first] in links
            if not item.role("link", "filler", "opening"):
                return None
        return None

    def _things(self) -> tuple[SpokenThing, ...]:
        """What was spoken of, for what the next segment says of it."""
        return tuple(
            SpokenThing(
                each.names,
                self._words(each.item),
                each.plural,
                tuple(self.made.get(each.item.first, ())),
            )
            for each in things_in(self.tokens, self.items)
            if each.item.first not in self.laid.telling and not self.negated[each.item.first]
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

    def _words(self, item: Item) -> str:
        return self.tokens.slice(item.first, item.end)

    def _slip(self, index: int) -> str:
        return f'"{self.tokens.raw(index)}" read as "{self.matched.slips[index]}"'

    def _slips_in(self, first: int, end: int) -> str:
        """What was taken for the slips of the pen among some tokens."""
        slips = self.matched.slips
        return ", ".join(self._slip(index) for index in range(first, end) if index in slips)

    def _slips(self) -> tuple[str, ...]:
        return tuple(
            self._slip(index)
            for index in sorted(self.matched.slips)
            if index not in self.written.claimed
        )
