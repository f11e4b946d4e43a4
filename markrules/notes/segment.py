"""One segment of a note, read by itself: what is seen, denied, measured, and not understood."""

from __future__ import annotations

import re

from markrules.inference.observation import Observation, State
from markrules.notes.leftover import leftover
from markrules.notes.markreading import MarksRead, doubted, read_marks
from markrules.notes.marktext import Written, written_in
from markrules.notes.matching import Item, Matched, matched, matched_without
from markrules.notes.measuring import measured, year_seen
from markrules.notes.negation import negated_tokens
from markrules.notes.saying import Open, Said
from markrules.notes.tokens import QUOTED, tokens_of
from markrules.notes.view import LEADS
from markrules.notes.vocabulary import TOLD_MAKER, Vocabulary

_QUOTED = re.compile(QUOTED)
_MARKISH = re.compile(r"[^a-zà-öø-ÿ0-9\s,.()/½¼¾-]")
_SAYS = frozenset(("value", "feature", "piece"))


def said(vocabulary: Vocabulary, text: str, after_mark: bool, shouting: bool) -> Said:
    """What a segment says. `after_mark`: the last one ended in a mark; `shouting`: all capitals."""
    return _SegmentReader(vocabulary, text, after_mark, shouting).read()


class _SegmentReader:
    """Holds one segment while it is read; used once."""

    def __init__(self, vocabulary: Vocabulary, text: str, after_mark: bool, shouting: bool) -> None:
        self.vocabulary = vocabulary
        self.tokens = tokens_of(_unquoted(vocabulary, text), vocabulary.folding)
        self.matched: Matched = matched(vocabulary, self.tokens, shouting)
        self.written = Written()
        if after_mark or self._may_hold_text():
            self.written = written_in(vocabulary, self.tokens, self.matched, after_mark, shouting)
        self.items = self.matched.items
        if self.written.claimed:
            claimed = self.written.claimed
            self.matched = matched_without(vocabulary, self.tokens, self.matched, claimed)
            self.items = [item for item in self.matched.items if item.first not in claimed]
        self.negated = negated_tokens(self.items, len(self.tokens))
        self.named = {
            sense.name
            for item in self.items
            if "feature" in item.meaning.kinds
            for sense in item.senses
            if sense.kind == "feature"
        }
        self.certainty = self._certainty()
        self.heard = any(item.role("told") for item in self.items)
        self.order: list[Observation | Open] = []
        self.mark_absent = False
        self.on_mark = bool(self.written.places) or self.written.lead

    def read(self) -> Said:
        marks = self._read_marks()
        for item in self.items:
            self._read_item(item)
        self._read_signs()
        self._read_makers()
        self.order += measured(self.vocabulary, self.tokens, self.items, self.certainty, self.heard)
        for item in self.matched.items:
            if item.years is not None:
                self._read_years(item)
        rest = leftover(self.tokens, self.matched, self.written)
        return Said(
            order=tuple(self.order),
            marks=marks.marks,
            pieces=self._pieces(),
            not_understood=rest.stretches,
            assumed=self._slips(),
            total=rest.total,
            understood=rest.understood,
            ends_in_mark=bool(self.written.places),
            mark_absent=self.mark_absent,
            letter=marks.letter,
            inner_piece=self._inner_piece(),
        )

    def _may_hold_text(self) -> bool:
        """Whether it is worth looking for text: capitals, signs, lead words, or known texts."""
        if _MARKISH.search(self.tokens.text) or any(
            item.role(*LEADS) or self._asks_text(item) for item in self.matched.items
        ):
            return True
        folded, numeric = self.tokens.folded, self.tokens.numeric
        if not self.vocabulary.lead_words.isdisjoint(folded):
            return True
        numbered = any(
            number and len(word) > 3 for number, word in zip(numeric, folded, strict=True)
        )
        texts = self.vocabulary.texts if numbered else self.vocabulary.says
        for index in range(len(folded)):
            found = texts.longest(folded, numeric, index)
            if found is not None and found[0] > index + 1:
                return True
        return False

    def _asks_text(self, item: Item) -> bool:
        return "feature" in item.meaning.kinds and any(
            sense.name in self.vocabulary.text_features for sense in item.senses
        )

    def _certainty(self) -> str:
        """The least sure of the segment's hedges; a question mark outside a text is the least."""
        rank = self.vocabulary.certainty_rank
        names = [
            sense.name
            for item in self.items
            if "certainty" in item.meaning.kinds
            for sense in item.senses
            if sense.kind == "certainty" and sense.name in rank
        ]
        for match in re.finditer(r"\?", self.tokens.text):
            inside = any(start <= match.start() < end for start, end in self.written.places)
            if not inside or any(
                match.start() == end - 1 and doubted(self.vocabulary, self.tokens, start, end)
                for start, end in self.written.places
            ):
                names.append(self.vocabulary.least_sure)
                break
        return max(names, key=lambda name: rank.get(name, 0), default=self.vocabulary.sure)

    def _see(
        self,
        feature: str,
        value: str,
        words: str,
        state: State = "seen",
        *,
        number: float | None = None,
        assumed: str = "",
    ) -> None:
        self.order.append(
            Observation(
                feature,
                value,
                state,
                number,
                certainty=self.certainty,
                heard=self.heard,
                words=words,
                assumed=assumed,
            )
        )

    def _read_marks(self) -> MarksRead:
        if not (self.written.places or self.written.symbols):
            return MarksRead()
        read = read_marks(self.vocabulary, self.tokens, self.items, self.written, self.negated)
        self.on_mark = self.on_mark and read.feature != "label"
        for text in read.texts:
            self._see(read.feature, text.text, self.tokens.text, text.state, assumed=text.assumed)
        return read.with_certainty(self.certainty, self.heard)

    def _read_item(self, item: Item) -> None:
        kinds = item.meaning.kinds
        negated = self.negated[item.first]
        if "value" not in kinds and "feature" not in kinds and not item.role(*LEADS, "absent"):
            return
        if "feature" in kinds and self._unit_of_measure(item):
            return
        if not negated:
            self._read_absent(item)
        values = [(sense.name, sense.value) for sense in item.senses if sense.kind == "value"]
        features = [sense.name for sense in item.senses if sense.kind == "feature"]
        if negated and features and self._may_be_absent(features[0], item):
            self._absent(features[0], item)
        elif values:
            self._value(values, item, "ruled-out" if negated else "seen")
        elif negated and item.role("mark", "mark-noun") and not self.written.places:
            self.mark_absent = self.mark_absent or self._plainly_negated(item)

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
        else:
            self._see(feature, "", self._words(item), "absent")

    def _plainly_negated(self, item: Item) -> bool:
        """`no marks`, but not `no ogham inscription`: nothing unknown narrows the word."""
        return not any(self.negated[index] for index in self.matched.unknown if index < item.first)

    def _value(self, values: list[tuple[str, str]], item: Item, state: State) -> None:
        named = [choice for choice in values if choice[0] in self.named]
        choices = tuple(dict.fromkeys(named or values))
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

    def _read_signs(self) -> None:
        """Values that stand in the segment as a sign alone, such as a C in a circle."""
        if self.tokens.text.isascii():
            return
        for char in sorted(self.vocabulary.signs.keys() & set(self.tokens.text)):
            for sense in self.vocabulary.signs[char]:
                if sense.kind == "value":
                    self._see(sense.name, sense.value, char)

    def _read_makers(self) -> None:
        """Makers named in the note without being read off the piece: kept as told."""
        features = self.vocabulary.base.features
        unknown = [*self.matched.unknown]
        for index in unknown if TOLD_MAKER in features else ():
            if index not in self.matched.unknown or not self.tokens.raw(index)[0].isupper():
                continue
            found = self.vocabulary.texts.longest(self.tokens.folded, self.tokens.numeric, index)
            maker = (
                next((each for each in found[1].senses if each.kind == "maker"), None)
                if found
                else None
            )
            if found is None or maker is None:
                continue
            end = found[0]
            self.matched.unknown[:] = [x for x in self.matched.unknown if not index <= x < end]
            self.matched.items.append(Item(index, end))
            title = self.vocabulary.base.makers[maker.name].title
            words = self.tokens.slice(index, end)
            self.order.append(
                Observation(TOLD_MAKER, title, heard=True, certainty=self.certainty, words=words)
            )

    def _count(self, item: Item) -> float | None:
        """The number that stands in a phrase or just before it: `2 stones missing`."""
        for index in range(item.end - 1, max(-1, item.first - 3), -1):
            if self.tokens.numeric[index] and self.tokens.folded[index].isdigit():
                return float(self.tokens.folded[index])
        return None

    def _read_years(self, item: Item) -> None:
        claimed = item.first in self.written.claimed
        named = self._signed_features(item) if claimed else ()
        others = self.items if claimed else self.matched.items
        seen = year_seen(self.vocabulary, self.tokens, others, item, named)
        if seen is None or (claimed and seen.heard):
            return
        self.order.append(
            Observation(
                seen.feature,
                seen.value,
                number=seen.number,
                years=seen.years,
                certainty=self.certainty,
                heard=seen.heard or self.heard,
                words=self.tokens.text,
            )
        )

    def _signed_features(self, item: Item) -> tuple[str, ...]:
        """The features that a sign in the text around this item names: the C of copyright."""
        text = self.tokens.text
        for start, end in self.written.places:
            if start <= self.tokens.starts[item.first] < end:
                return tuple(
                    sense.name
                    for char in text[start:end]
                    for sense in self.vocabulary.signs.get(char, ())
                    if sense.kind == "feature"
                )
        return ()

    def _pieces(self) -> tuple[tuple[str, bool], ...]:
        """Piece types in order, each with whether it follows the one before without a break."""
        pieces: list[tuple[str, bool]] = []
        last_end = -1
        for item in self.items:
            name = "" if self.negated[item.first] else self._piece_of(item)
            if name:
                pieces.append((name, item.first == last_end))
                last_end = item.end
        return tuple(pieces)

    def _piece_of(self, item: Item) -> str:
        """The piece type that a phrase names, or that its last word names (`hinged bangle`).

        The last word counts only where what is said of it can be said of that piece type; a
        little word (`set`) counts only where nothing else names one.
        """
        if item.role("filler"):
            return ""
        for sense in item.senses:
            if sense.kind == "piece":
                return sense.name
        if "value" not in item.meaning.kinds or item.end == item.first + 1:
            return ""
        name = self._last_word_piece(item)
        chain = set(self.vocabulary.base.broader(name)) if name else set()
        for sense in item.senses if name else ():
            feature = self.vocabulary.feature(sense.name) if sense.kind == "value" else None
            if feature is not None and (
                not feature.on or not chain.isdisjoint(each.name for each in feature.on)
            ):
                return name
        return ""

    def _last_word_piece(self, item: Item) -> str:
        node = self.vocabulary.words.first(self.tokens.folded[item.end - 1])
        if node is None or "filler" in node.meaning.roles:
            return ""
        senses = node.meaning.senses
        return next((sense.name for sense in senses if sense.kind == "piece"), "")

    def _inner_piece(self) -> str:
        """The piece type that the last word of any phrase names, for want of a better one."""
        names = (self._last_word_piece(item) for item in self.items)
        return next((name for name in names if name), "")

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


def _unquoted(vocabulary: Vocabulary, text: str) -> str:
    """The text with quotes taken off words of the rules: a 'safety' catch, a "C" clasp."""
    if not _QUOTED.search(text):
        return text

    def bare(match: re.Match[str]) -> str:
        inner = match[0][1:-1]
        known = tokens_of(inner, vocabulary.folding)
        if not known:
            return match[0]
        ahead = tokens_of(f"{inner} {text[match.end() : match.end() + 40]}", vocabulary.folding)
        found = vocabulary.words.longest(ahead.folded, ahead.numeric, 0)
        if found is None or "value" not in found[1].kinds:
            return match[0]
        whole = found[0] > len(known) or (found[0] == len(known) and inner.islower())
        return f" {inner} " if whole else match[0]

    return _QUOTED.sub(bare, text)
