"""Which words of a segment stand written on the piece: `marked AUSTRIA`, `signed Trifari`."""

from __future__ import annotations

from dataclasses import dataclass, field

from markrules.notes.chunks import Chunk, chunks_of
from markrules.notes.matching import Item, Matched
from markrules.notes.senses import Sense, longest
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import DEVICE_FEATURES, Vocabulary

LEADS = ("mark", "mark-noun")
"""Roles of words that text follows: `stamped`, and `initials`."""


@dataclass(slots=True)
class Written:
    """Texts found in a segment as (start, end) places, and the tokens that belong to them.

    `symbols` holds the places of devices beside a text or a lead word. `assumed` holds for a place what had to be assumed; `lead` tells that a word such as
    `marked` stands in the segment.
    """

    places: list[tuple[int, int]] = field(default_factory=list)
    claimed: set[int] = field(default_factory=set)
    symbols: list[tuple[int, int]] = field(default_factory=list)
    assumed: dict[tuple[int, int], str] = field(default_factory=dict)
    lead: bool = False


class MarkFinder:
    """Looks through one segment for text that stands on the piece."""

    def __init__(
        self,
        vocabulary: Vocabulary,
        tokens: Tokens,
        matched: Matched,
        after_mark: bool,
        shouting: bool,
    ) -> None:
        """Take a matched segment; `after_mark` tells that the one before ended in a mark."""
        self.vocabulary = vocabulary
        self.tokens = tokens
        self.shouting = shouting
        self.after_mark = after_mark
        self.items: list[Item | None] = [None] * len(tokens)
        for item in matched.items:
            self.items[item.first : item.end] = [item] * (item.end - item.first)
        self.chunks = chunks_of(tokens, self.items, shouting)
        self.leads: list[int] = []
        self.alone = not any(
            sense.kind in ("value", "feature", "piece")
            for item in matched.items
            for sense in item.senses
        )

    def find(self) -> Written:
        """The texts of the segment, in order."""
        written = Written()
        spans = self._forward()
        if not spans and self.leads:
            spans = self._backward()
        for first, end in spans:
            self._claim(first, end, written)
        written.lead = bool(self.leads)
        if spans or self.leads:
            self._add_symbols(written)
        return written

    def _add_symbols(self, written: Written) -> None:
        index = 0
        while index < len(self.chunks):
            item = self._item(index)
            end = index + 1
            if item is not None and _device(item) and item.first not in written.claimed:
                end = self._symbol_end(index, item)
                written.symbols.append((self.chunks[index].start, self.chunks[end - 1].end))
            index = end

    def _symbol_end(self, index: int, item: Item) -> int:
        """The chunk after a device and the letter that it goes with: `crown over the T`."""
        end = max(index + 1, self._chunk_after(item.end, index))
        ahead = end
        while ahead < len(self.chunks) and ahead < end + 3:
            between = self._item(ahead)
            if self.chunks[ahead].look == "letter":
                return ahead + 1
            if between is None or not between.role("filler", "link"):
                break
            ahead += 1
        return end

    def _claim(self, first: int, end: int, written: Written) -> None:
        place = (self.chunks[first].start, self.chunks[end - 1].end)
        if place[0] >= place[1]:
            return
        written.places.append(place)
        written.claimed.update(range(self.chunks[first].first, self.chunks[end - 1].after))
        if not self.leads and not self.after_mark and self.chunks[first].look != "quoted":
            written.assumed[place] = "taken as text on the piece"
        elif self.chunks[first].look == "plain":
            written.assumed[place] = "small letters taken as the text on the piece"

    def _forward(self) -> list[tuple[int, int]]:
        spans: list[tuple[int, int]] = []
        fresh = linked = led = self.after_mark
        lead_end, noun = -1, False
        index = 0
        while index < len(self.chunks):
            item = self._item(index)
            if item is not None and self._leads(item) and self._is_lead(index, item):
                self.leads.append(index)
                index = lead_end = self._chunk_after(item.end, index)
                fresh = led = True
                noun = item.role("mark-noun") and not item.role("mark")
                continue
            direct = index == lead_end
            if self._starts(index, fresh, linked and led, direct, noun):
                end = self._extended(index, direct and not noun)
                spans.append((index, end))
                index, fresh, linked = end, False, False
                continue
            if item is not None and led and _device(item):
                index = self._symbol_end(index, item)
                continue
            following = index + 1 if item is None else self._chunk_after(item.end, index + 1)
            if item is not None and item.role("filler", "link", "count"):
                linked = linked or item.role("link")
                lead_end = following if direct and item.role("filler") else lead_end
            elif self.chunks[index].look == "signs":
                lead_end = following if direct else lead_end
            elif item is None or not self._about_marks(item):
                fresh = linked = False
            fresh = fresh and bool(self.leads)  # a mark goes on in the next segment at once or not
            index = following
        return spans

    def _leads(self, item: Item) -> bool:
        """Whether the item is a lead word, or a phrase about marks that holds one."""
        if item.role(*LEADS):
            return True
        words = self.tokens.folded[item.first : item.end]
        return self._about_marks(item) and not self.vocabulary.lead_words.isdisjoint(words)

    def _is_lead(self, index: int, item: Item) -> bool:
        """A word that may describe as well (`engraved`) leads only where text stands beside it."""
        if not item.means("value") or not item.role("mark") or self._about_marks(item):
            return True
        following = self._chunk_after(item.end, index)
        while following < len(self.chunks):
            after = self._item(following)
            if after is None or not after.role("filler", "link"):
                break
            following += 1
        if following < len(self.chunks) and self.chunks[following].look not in ("plain", "signs"):
            return True
        return index > 0 and self._may_precede(index - 1)

    def _starts(self, index: int, fresh: bool, linked: bool, direct: bool, noun: bool) -> bool:
        chunk, item = self.chunks[index], self._item(index)
        look = chunk.look
        text = self._text_at(chunk)
        if look == "quoted":
            return True
        if look == "signs":
            return any(char in "©®™" for char in self.tokens.text[chunk.start : chunk.end])
        if look == "capitals":
            return self._capitals(chunk, item, text, fresh or linked)
        if look == "letter":
            return (fresh or linked) and (item is None or item.end <= chunk.after)
        if look == "name":
            if direct:
                return True
            if text is not None and (fresh or linked or self.leads):
                return True
            if text is not None and self._unled_name(chunk, item, text):
                return True
            return (fresh or linked) and item is None
        if look in ("figures", "mixed"):
            if item is not None and (item.measure or (item.years and not direct)):
                return False
            return fresh or linked or self._number_text(chunk, text)
        if look == "plain":
            return self._plain(index, text, direct, noun)
        return False

    def _capitals(
        self, chunk: Chunk, item: Item | None, text: tuple[int, tuple[Sense, ...]] | None, led: bool
    ) -> bool:
        """Capitals are text unless the rules know them as an abbreviation and no text."""
        if item is not None and item.end > chunk.after and item.means("value") and not led:
            return text is not None and text[0] >= item.end
        if led or text is not None:
            return True
        return item is None or not (item.senses or item.measure or item.years)

    def _unled_name(
        self, chunk: Chunk, item: Item | None, text: tuple[int, tuple[Sense, ...]]
    ) -> bool:
        """`Made in France`, or `Austria` where nothing else stands in the segment."""
        end, senses = text
        if all(sense.kind == "maker" for sense in senses) or (item is not None and item.senses):
            return False
        return end > chunk.first + 1 or self.alone

    def _number_text(self, chunk: Chunk, text: tuple[int, tuple[Sense, ...]] | None) -> bool:
        """`1/20 12K GF`: a spelling of the rules that begins with a number, in capitals."""
        if text is None or text[0] <= chunk.first + 1:
            return False
        raw = self.tokens.slice(chunk.first, text[0])
        return sum(char.isupper() for char in raw) > 1 and raw == raw.upper()

    def _plain(
        self, index: int, text: tuple[int, tuple[Sense, ...]] | None, direct: bool, noun: bool
    ) -> bool:
        """Small letters: after `stamped` a known text or an unknown word; or `made in france`."""
        chunk, item = self.chunks[index], self._item(index)
        if chunk.after == chunk.first:
            return False
        if direct and noun:
            single = chunk.end - chunk.start == 1
            return single and index + 1 == len(self.chunks)
        if text is not None:
            end, senses = text
            wanted = any(sense.kind in ("says", "number") for sense in senses)
            if direct and (item is None or wanted):
                return True
            known = item is not None and item.end >= end and bool(item.senses)
            return wanted and end > chunk.first + 1 and not known
        return direct and item is None and not self.shouting and self._few_unknown(index)

    def _few_unknown(self, index: int) -> bool:
        """Whether at most three unknown words stand here before the end or a little word."""
        end = index
        while end < len(self.chunks) and self._item(end) is None:
            end += 1
        if end - index > 3:
            return False
        item = self._item(end) if end < len(self.chunks) else None
        return item is None or item.role("filler", "link", "place")

    def _extended(self, index: int, led: bool) -> int:
        """The chunk after the last one of the text that begins here."""
        chunk = self.chunks[index]
        if chunk.look == "quoted":
            return index + 1
        text = self._text_at(chunk)
        end = max(index + 1, self._chunk_after(text[0], index) if text else 0)
        while end < len(self.chunks):
            step = self._joins(index, end, led)
            if not step:
                break
            end += step
        while end > index + 1 and self.chunks[end - 1].look == "signs":
            last = self.chunks[end - 1]
            if self.tokens.text[last.start : last.end].strip("-–—&/+:") != "":
                break
            end -= 1
        return end

    def _joins(self, first: int, index: int, led: bool) -> int:
        """How many chunks from here on still belong to the text; 0 when it has ended."""
        chunk, item = self.chunks[index], self._item(index)
        before = self.chunks[first].look
        if self._breaks(index):
            return 0
        if chunk.look in ("capitals", "signs", "figures", "letter", "mixed"):
            longer = item is not None and item.end > chunk.after and item.means("value")
            measured = item is not None and item.measure is not None
            return 0 if measured or (longer and chunk.look == "letter") else 1
        if chunk.look == "name":
            if item is None or self._text_at(chunk) is not None:
                return 1
            if item.role("filler") and self._look(index + 1) == "figures":  # a month
                return 2
            return int(before == "name" and not item.role(*LEADS) and not item.means("value"))
        if chunk.look == "plain" and not self.shouting:
            return self._plain_joins(index, led, before)
        return 0

    def _plain_joins(self, index: int, led: bool, before: str) -> int:
        item = self._item(index)
        if item is not None and self._names_year(item):  # obt 3 July 1850
            return int(self._look(index + 1) == "figures")
        if before not in ("name", "plain"):
            return 0
        if item is None:
            return int(led)
        if not item.role("filler"):
            return 0
        if self._look(index + 1) in ("name", "capitals") and before == "name":
            return 2
        following = index + 1
        return 2 if led and following < len(self.chunks) and self._item(following) is None else 0

    def _look(self, index: int) -> str:
        return self.chunks[index].look if index < len(self.chunks) else ""

    def _names_year(self, item: Item) -> bool:
        features = self.vocabulary.base.features
        return any(
            sense.kind == "feature" and features[sense.name].kind == "year" for sense in item.senses
        )

    def _breaks(self, index: int) -> bool:
        """Whether a bracket or colon before this chunk parts it from what stands before."""
        gap = self.tokens.text[self.chunks[index - 1].end : self.chunks[index].start]
        return any(char in "();:" for char in gap)

    def _backward(self) -> list[tuple[int, int]]:
        """Text before its lead: `Czechoslovakia stamped on the ring`, `C.H maker's mark`."""
        for lead in self.leads:
            end = lead
            while end > 0 and self._is_filler(end - 1):
                end -= 1
            first = end
            while first > 0 and self._may_precede(first - 1):
                first -= 1
            if first < end:
                return [(first, end)]
        return []

    def _may_precede(self, index: int) -> bool:
        chunk, item = self.chunks[index], self._item(index)
        if chunk.look in ("quoted", "capitals"):
            return item is None or not item.means("value") or self._text_at(chunk) is not None
        if chunk.look == "name":
            return (
                item is None
                or (not item.senses)
                or (self._text_at(chunk) is not None and not item.means("feature"))
            )
        return chunk.look == "letter" and item is None

    def _is_filler(self, index: int) -> bool:
        item = self._item(index)
        return item is not None and item.role("filler")

    def _about_marks(self, item: Item) -> bool:
        return any(
            sense.kind == "certainty" or (sense.kind == "value" and sense.name.startswith("mark-"))
            for sense in item.senses
        )

    def _text_at(self, chunk: Chunk) -> tuple[int, tuple[Sense, ...]] | None:
        if chunk.first >= chunk.after:
            return None
        return longest(self.vocabulary.texts, self.tokens.folded, self.tokens.numeric, chunk.first)

    def _item(self, index: int) -> Item | None:
        chunk = self.chunks[index]
        return self.items[chunk.first] if chunk.first < chunk.after else None

    def _chunk_after(self, token: int, index: int) -> int:
        """The first chunk from `index` on whose tokens begin at or after `token`."""
        while index < len(self.chunks) and self.chunks[index].first < token:
            index += 1
        return index


def _device(item: Item) -> bool:
    return any(sense.kind == "value" and sense.name in DEVICE_FEATURES for sense in item.senses)
