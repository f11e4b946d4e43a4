"""A matched segment seen chunk by chunk, for finding the text that stands on the piece."""

from __future__ import annotations

from markrules.notes.chunks import Chunk, chunks_of
from markrules.notes.items import LINKS, Item
from markrules.notes.matching import Matched
from markrules.notes.senses import Meaning
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import DATE_OFFICE, DEVICE_FEATURES, MARK_PREFIXES, Vocabulary

LEADS = ("mark", "mark-noun", "label")
"""Roles of words that text follows: `stamped`, `initials`, `paper label`."""


def ends_in_link(vocabulary: Vocabulary, tokens: Tokens, token: int) -> bool:
    """Whether the token before this one is a little word such as `of`, be it part of a phrase."""
    node = vocabulary.words.first(tokens.folded[token - 1]) if token > 0 else None
    return node is not None and not node.meaning.roles.isdisjoint(LINKS)


class View:
    """The chunks of a segment with the phrase that each begins or belongs to."""

    def __init__(
        self, vocabulary: Vocabulary, tokens: Tokens, matched: Matched, shouting: bool
    ) -> None:
        """Lay the matched items out over the tokens and cut the text into chunks."""
        self.vocabulary = vocabulary
        self.tokens = tokens
        self.shouting = shouting
        self.matched = matched
        self._slips = matched.slips
        self._items: list[Item | None] = [None] * len(tokens)
        for item in matched.items:
            self._items[item.first : item.end] = [item] * (item.end - item.first)
        self.chunks: list[Chunk] = chunks_of(tokens, self._items, shouting)

    def item(self, index: int) -> Item | None:
        """The item that the chunk's first token belongs to."""
        if not 0 <= index < len(self.chunks):
            return None
        chunk = self.chunks[index]
        return self._items[chunk.first] if chunk.first < chunk.after else None

    def knows(self, token: int) -> bool:
        """Whether a token belongs to words that the rules know."""
        return self._items[token] is not None

    def is_slip(self, index: int) -> bool:
        """Whether the chunk was understood only as a slip of the pen."""
        return self.chunks[index].first in self._slips

    def look(self, index: int) -> str:
        """How the chunk is written; empty beyond the end."""
        return self.chunks[index].look if 0 <= index < len(self.chunks) else ""

    def raw(self, index: int) -> str:
        """The chunk as written."""
        chunk = self.chunks[index]
        return self.tokens.text[chunk.start : chunk.end]

    def after(self, item: Item, index: int) -> int:
        """The first chunk after `index` that begins at or after the item's end."""
        index += 1
        while index < len(self.chunks) and self.chunks[index].first < item.end:
            index += 1
        return index

    def text_at(self, index: int) -> tuple[int, Meaning] | None:
        """The known text that begins at this chunk: the token after it, and its meanings.

        None where it would end inside a chunk: `American-made` is not AMERICAN.
        """
        chunk = self.chunks[index]
        if chunk.first >= chunk.after:
            return None
        found = self.vocabulary.texts.longest(self.tokens.folded, self.tokens.numeric, chunk.first)
        return found if found is not None and found[0] >= chunk.after else None

    def registered_until(self, index: int) -> int:
        """The token after a register's words and number that begin at this chunk; 0 for none."""
        text = self.text_at(index)
        if text is None:
            return 0
        registers = self.vocabulary.base.registers
        own = any(each.kind == "number" and each.name in registers for each in text[1].senses)
        return text[0] if own else 0

    def about_marks(self, item: Item) -> bool:
        """Whether the words tell how sure somebody is, or how and where text stands."""
        return any(
            sense.kind == "certainty"
            or (sense.kind == "value" and sense.name.startswith(MARK_PREFIXES))
            for sense in item.senses
        )

    def is_company(self, index: int) -> bool:
        """Whether a chunk behind an `&` tells a company: `Co`."""
        return self.raw(index - 1) in ("&", "+") and self.raw(index).strip(".").casefold() == "co"

    def is_filler(self, index: int) -> bool:
        """Whether the chunk carries no meaning."""
        item = self.item(index)
        return item is not None and item.role("filler")

    def is_short_form(self, index: int) -> bool:
        """Whether the chunk is a short form of dealers for what the piece is or has: `CZ`, `RG`."""
        raw, item = self.raw(index), self.item(index)
        if self.shouting or len(raw) != 2 or not raw.isalpha() or item is None:
            return False
        chunk = self.chunks[index]
        whole = item.end == chunk.after or self.look(index + 1) == "plain"  # `CZ halo`
        return whole and item.first == chunk.first and item.means("value") and self.evidence(item)

    def evidence(self, item: Item) -> bool:
        """Whether the words may count for something, and do not only describe."""
        features = self.vocabulary.base.features
        return any(
            sense.kind in ("piece", "feature")
            or (
                sense.kind == "value"
                and (sense.name == "fault" or not features[sense.name].describes)
            )
            for sense in item.senses
        )

    def describes(self, index: int) -> bool:
        """Whether the words at a chunk only describe the piece, and count for nothing: `Italy`."""
        item, features = self.item(index), self.vocabulary.base.features
        return item is not None and any(
            sense.kind == "value" and sense.name != "fault" and features[sense.name].describes
            for sense in item.senses
        )

    def is_office(self, item: Item | None) -> bool:
        """Whether an item names an assay office, which hallmarks tell and no letters spell."""
        return item is not None and any(
            sense.kind == "value" and sense.name == DATE_OFFICE for sense in item.senses
        )

    def linked(self, token: int) -> bool:
        """Whether a little word such as `of` stands right before a token."""
        return ends_in_link(self.vocabulary, self.tokens, token)

    def names_year(self, item: Item) -> bool:
        """Whether the words announce a year: `dated`, `hallmark for`."""
        features = self.vocabulary.base.features
        return any(
            sense.kind == "feature" and features[sense.name].kind == "year" for sense in item.senses
        )

    def is_device(self, item: Item, pictured: bool) -> bool:
        """Whether the words name a device; with `pictured`, also one that may be the subject."""
        return any(
            sense.kind == "value"
            and (sense.name == DEVICE_FEATURES[0] or (pictured and sense.name in DEVICE_FEATURES))
            for sense in item.senses
        )

    def asks_text(self, item: Item) -> bool:
        """Whether the words name a feature whose value is a text: `date letter`, `ring size`."""
        features = self.vocabulary.base.features
        return "feature" in item.meaning.kinds and any(
            sense.kind == "feature" and features[sense.name].kind == "text" for sense in item.senses
        )

    def symbol_end(self, index: int, item: Item) -> int:
        """The chunk after a device and the letter that it goes with: `crown over the T`."""
        end = self.after(item, index)
        for ahead in range(end, min(end + 3, len(self.chunks))):
            if self.chunks[ahead].look == "letter":
                return ahead + 1
            between = self.item(ahead)
            if between is None or not between.role("filler", *LINKS):
                break
        return end
