"""One segment of a note, read by itself: what is seen, negated, measured, and not understood."""

from __future__ import annotations

import re

from markrules.inference.observation import Observation, State
from markrules.notes.marktext import MarkFinder, Written
from markrules.notes.matching import Item, Matched, matched, matched_without
from markrules.notes.measuring import measured, year_seen
from markrules.notes.negation import negated_tokens
from markrules.notes.saying import MarkText, Open, Said
from markrules.notes.senses import longest
from markrules.notes.tokens import QUOTED, Tokens, tokens_of
from markrules.notes.vocabulary import (
    DEVICE_FEATURES,
    MARK_PREFIX,
    PLACE_FEATURES,
    Vocabulary,
)

_QUOTED = re.compile(QUOTED)
_QUIET = ("filler", "link", "times")


def said(vocabulary: Vocabulary, text: str, after_mark: bool, shouting: bool) -> Said:
    """What a segment says. `after_mark`: the one before ended in a mark; `shouting`: all capitals."""
    return _SegmentReader(vocabulary, text, after_mark, shouting).read()


class _SegmentReader:
    """Holds one segment while it is read; used once."""

    def __init__(self, vocabulary: Vocabulary, text: str, after_mark: bool, shouting: bool) -> None:
        self.vocabulary = vocabulary
        self.tokens: Tokens = tokens_of(_unquoted(vocabulary, text), vocabulary.folding)
        self.matched: Matched = matched(vocabulary, self.tokens, shouting)
        self.written: Written = MarkFinder(
            vocabulary, self.tokens, self.matched, after_mark, shouting
        ).find()
        if self.written.claimed:
            self.matched = matched_without(
                vocabulary, self.tokens, self.matched, self.written.claimed
            )
        self.items = [item for item in self.matched.items if not self._claimed(item)]
        self.negated = negated_tokens(self.items, len(self.tokens))
        self.named = {
            sense.name for item in self.items for sense in item.senses if sense.kind == "feature"
        }
        self.certainty = self._certainty()
        self.heard = any(item.role("told") for item in self.items)
        self.order: list[Observation | Open] = []
        self.marks: list[MarkText] = []
        self.mark_absent = False

    def read(self) -> Said:
        self._read_marks()
        for item in self.items:
            self._read_item(item)
        self._read_signs()
        self.order += measured(self.vocabulary, self.tokens, self.items, self.certainty, self.heard)
        for item in self.matched.items:
            if item.years is not None:
                self._read_years(item)
        missing, total = self._not_understood()
        return Said(
            order=tuple(self.order),
            marks=tuple(self.marks),
            pieces=self._pieces(),
            not_understood=tuple(missing[0]),
            assumed=self._slips(),
            total=total,
            understood=total - missing[1],
            ends_in_mark=bool(self.written.places),
            mark_absent=self.mark_absent,
        )

    def _claimed(self, item: Item) -> bool:
        return item.first in self.written.claimed

    def _certainty(self) -> str:
        """The least sure of the segment's hedges; a question mark outside a text is the least."""
        rank = self.vocabulary.certainty_rank
        names = [
            sense.name
            for item in self.items
            for sense in item.senses
            if sense.kind == "certainty" and sense.name in rank
        ]
        for match in re.finditer(r"\?", self.tokens.text):
            inside = any(start <= match.start() < end for start, end in self.written.places)
            if not inside or self._doubted(match.start()):
                names.append(self.vocabulary.least_sure)
                break
        return max(names, key=lambda name: rank.get(name, 0), default=self.vocabulary.sure)

    def _doubted(self, position: int) -> bool:
        """Whether a `?` ends a text that the rules know whole: AUSTRIA? is a doubt, AUST? a loss."""
        for start, end in self.written.places:
            if position == end - 1:
                inner = tokens_of(self.tokens.text[start : end - 1], self.vocabulary.folding)
                found = (
                    longest(self.vocabulary.texts, inner.folded, inner.numeric, 0)
                    if inner
                    else None
                )
                return found is not None and found[0] == len(inner)
        return False

    # --- Text on the piece --------------------------------------------------------------------

    def _read_marks(self) -> None:
        text = self.tokens.text
        label = self._on_label()
        place, words = self._about_marks()
        for index, (start, end) in enumerate(self.written.places):
            written = _inner(text[start:end])
            if self._doubted(end - 1) and written.endswith("?"):
                written = written[:-1].rstrip()
            if not written:
                continue
            assumed = self.written.assumed.get((start, end), "")
            state: State = "ruled-out" if self._negated_at(start) else "seen"
            self._see("label" if label else "mark", written, text, state, assumed=assumed)
            if state == "seen":
                following = [*self.written.places[index + 1 :], (len(text), len(text))][0][0]
                low = 0 if index == 0 else start
                symbols = tuple(text[a:b] for a, b in self.written.symbols if low <= a < following)
                self.marks.append(
                    MarkText(written, words, symbols, self.certainty, place, label, self.heard)
                )
        if not self.written.places and self.written.symbols and not any(self.negated):
            symbols = tuple(text[a:b] for a, b in self.written.symbols)
            self.marks.append(
                MarkText("", words, symbols, self.certainty, place, label, self.heard)
            )

    def _on_label(self) -> bool:
        if not self.written.places:
            return False
        folded, numeric = self.tokens.folded, self.tokens.numeric
        return any(
            index not in self.written.claimed
            and longest(self.vocabulary.labels, folded, numeric, index) is not None
            for index in range(len(folded))
        )

    def _about_marks(self) -> tuple[str, tuple[str, ...]]:
        """Where the segment's text stands, and words of its lettering, as written."""
        places, words = [], []
        for item in self.items:
            for sense in item.senses:
                if sense.kind == "value" and sense.name.startswith(MARK_PREFIX):
                    if sense.name in PLACE_FEATURES:
                        places.append(self.tokens.slice(item.first, item.end))
                    elif sense.name not in DEVICE_FEATURES:
                        words.append(self.tokens.slice(item.first, item.end))
        return " ".join(dict.fromkeys(places)), tuple(dict.fromkeys(words))

    def _negated_at(self, position: int) -> bool:
        return any(
            self.negated[index]
            for index in range(len(self.tokens))
            if self.tokens.starts[index] >= position
        ) and any(
            self.negated[index] and self.tokens.starts[index] <= position < self.tokens.ends[index]
            for index in range(len(self.tokens))
        )

    def _see(
        self,
        feature: str,
        value: str,
        words: str,
        state: State = "seen",
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

    # --- Everything else ----------------------------------------------------------------------

    def _read_item(self, item: Item) -> None:
        negated = self.negated[item.first]
        for sense in item.senses:
            if sense.kind == "role" and sense.name == "absent" and not negated:
                self._absent(sense.value, item)
        values = [(sense.name, sense.value) for sense in item.senses if sense.kind == "value"]
        features = [sense.name for sense in item.senses if sense.kind == "feature"]
        if negated and features and self._may_be_absent(features[0], item):
            self._absent(features[0], item)
        elif values:
            self._value(values, item, "ruled-out" if negated else "seen")
        elif negated and item.role("mark", "mark-noun") and not self.written.places:
            self.mark_absent = self.mark_absent or self._plainly_negated(item)

    def _may_be_absent(self, name: str, item: Item) -> bool:
        """Whether a negated word speaks of a whole part: no year or measure, no mere description."""
        feature = self.vocabulary.feature(name)
        if feature is None or feature.kind in ("number", "year"):
            return False
        return not feature.describes or not item.means("value")

    def _absent(self, feature: str, item: Item) -> None:
        if feature == "mark":
            self.mark_absent = True
            return
        self._see(feature, "", self._words(item), "absent")

    def _plainly_negated(self, item: Item) -> bool:
        """`no marks`, but not `no ogham inscription`: nothing unknown narrows the word."""
        return not any(self.negated[index] for index in self.matched.unknown if index < item.first)

    def _value(self, values: list[tuple[str, str]], item: Item, state: State) -> None:
        named = [choice for choice in values if choice[0] in self.named]
        choices = tuple(dict.fromkeys(named or self._fitting(values)))
        number = self._count(item) if any(name == "fault" for name, _ in choices) else None
        assumed = ", ".join(
            f'"{self.tokens.raw(index)}" read as "{self.matched.slips[index]}"'
            for index in range(item.first, item.end)
            if index in self.matched.slips
        )
        words = self._words(item)
        if len(choices) == 1:
            feature, value = choices[0]
            self._see(feature, value, words, state, number, assumed)
        else:
            self.order.append(
                Open(choices, state, number, self.certainty, self.heard, words, assumed)
            )

    def _fitting(self, values: list[tuple[str, str]]) -> list[tuple[str, str]]:
        """Beside a mark, a word tells of the mark; elsewhere, of the piece, where it can do both."""
        marked = bool(self.written.places) or self.written.lead
        fitting = [each for each in values if each[0].startswith(MARK_PREFIX) == marked]
        return fitting or values

    def _read_signs(self) -> None:
        """Values that stand in the segment as a sign alone, such as a C in a circle."""
        for char in sorted(self.vocabulary.signs.keys() & set(self.tokens.text)):
            for sense in self.vocabulary.signs[char]:
                if sense.kind == "value":
                    self._see(sense.name, sense.value, char)

    def _count(self, item: Item) -> float | None:
        """The number that stands in a phrase or just before it: `2 stones missing`."""
        for index in range(item.end - 1, max(-1, item.first - 3), -1):
            if self.tokens.numeric[index] and self.tokens.folded[index].isdigit():
                return float(self.tokens.folded[index])
        return None

    def _read_years(self, item: Item) -> None:
        claimed = self._claimed(item)
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
            names = [sense.name for sense in item.senses if sense.kind == "piece"]
            if names and not self.negated[item.first]:
                pieces.append((names[0], item.first == last_end))
                last_end = item.end
        return tuple(pieces)

    def _words(self, item: Item) -> str:
        return self.tokens.slice(item.first, item.end)

    def _slips(self) -> tuple[str, ...]:
        return tuple(
            f'"{self.tokens.raw(index)}" read as "{meant}"'
            for index, meant in sorted(self.matched.slips.items())
            if index not in self.written.claimed
        )

    def _not_understood(self) -> tuple[tuple[list[str], int], int]:
        """The stretches that nothing fits with their number of words, and all words that carry meaning."""
        count = len(self.tokens)
        quiet, known = [False] * count, [False] * count
        for item in self.matched.items:
            only_quiet = item.role(*_QUIET) and all(s.kind in ("role", "unit") for s in item.senses)
            for index in range(item.first, item.end):
                known[index] = True
                quiet[index] = only_quiet
        for index in self.written.claimed:
            known[index], quiet[index] = True, False
        for start, end in self.written.symbols:
            for index in range(count):
                known[index] = known[index] or start <= self.tokens.starts[index] < end
        for index in range(count):
            if not known[index] and self.tokens.numeric[index]:
                known[index] = index + 1 < count and (known[index + 1])
        unknown = [index for index in range(count) if not known[index]]
        return (self._stretches(unknown), len(unknown)), count - sum(quiet)

    def _stretches(self, indexes: list[int]) -> list[str]:
        stretches: list[str] = []
        for position, index in enumerate(indexes):
            if position and indexes[position - 1] == index - 1:
                continue
            end = index + 1
            while end in indexes[position:]:
                end += 1
            stretches.append(self.tokens.slice(index, end))
        return stretches


def _unquoted(vocabulary: Vocabulary, text: str) -> str:
    """The text with quotes taken off words of the rules in small letters: a `safety` catch."""

    def bare(match: re.Match[str]) -> str:
        inner = match[0][1:-1]
        if not inner.islower():
            return match[0]
        tokens = tokens_of(inner, vocabulary.folding)
        found = longest(vocabulary.words, tokens.folded, tokens.numeric, 0) if tokens else None
        return f" {inner} " if found is not None and found[0] == len(tokens) else match[0]

    return _QUOTED.sub(bare, text)


def _inner(text: str) -> str:
    """A text without its quotes and without commas and colons at its ends."""
    text = text.strip(" ,;:")
    if _QUOTED.fullmatch(text):
        text = text[1:-1].strip()
    return text
