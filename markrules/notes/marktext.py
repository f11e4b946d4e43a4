"""Which words of a segment stand written on the piece: `marked AUSTRIA`, `signed Trifari`."""

from __future__ import annotations

from dataclasses import field

from markrules.frozen import dataclass
from markrules.notes.halfread import PART_LEADS
from markrules.notes.items import LINKS, Item
from markrules.notes.matching import Matched
from markrules.notes.numbering import is_all_numbering
from markrules.notes.textend import extended
from markrules.notes.textstart import Stand, starts
from markrules.notes.tokens import Tokens
from markrules.notes.view import LEADS, View
from markrules.notes.vocabulary import METAL_FEATURES, Vocabulary

ON_PIECE = "taken as text on the piece"
OR_TOLD = "taken as text on the piece, though it may be told of the piece"
"""What is assumed of `Italy` by itself: so stamped, or where somebody says that it comes from."""

MOST_INITIALS = 5
"""Signs of initials that a device may stand over without a word for a mark: `JF`, `W.&S.`."""

PLACING = frozenset(("over", "above", "top", "atop", "under", "below", "beneath", "underneath"))
"""Words for how a device and a letter stand to each other; a device with one of them is a mark."""


@dataclass(slots=True)
class WrittenTexts:
    """Texts found in a segment as (start, end) places, and the tokens that belong to them.

    `symbols` holds the places of devices that belong to a mark, `pictures` those of them that stand
    right after a lead word and would be the subject of the piece elsewhere, `assumed` for a place
    what had to be assumed; `lead` tells that a word such as `marked` stands in the segment, `loose`
    that all such words are of something loose: `in a box`.
    """

    places: list[tuple[int, int]] = field(default_factory=list)
    claimed: set[int] = field(default_factory=set)
    symbols: list[tuple[int, int]] = field(default_factory=list)
    pictures: list[tuple[int, int]] = field(default_factory=list)
    assumed: dict[tuple[int, int], str] = field(default_factory=dict)
    lead: bool = False
    loose: bool = False


def written_in(
    vocabulary: Vocabulary, tokens: Tokens, matched: Matched, after_mark: bool, shouting: bool
) -> WrittenTexts:
    """The texts of a matched segment; `after_mark` tells that the one before ended in a mark."""
    return _TextFinder(View(vocabulary, tokens, matched, shouting), after_mark).find()


class _TextFinder:
    """Walks once through a segment; used once."""

    def __init__(self, view: View, after_mark: bool) -> None:
        self.view = view
        self.after_mark = after_mark
        self.leads: list[int] = []
        self.spans: list[tuple[int, int]] = []
        self.devices: list[tuple[int, int]] = []
        self.pictures: list[int] = []

    def find(self) -> WrittenTexts:
        self._forward()
        if not self.spans and self.leads:
            self._backward()
        written = WrittenTexts(lead=bool(self.leads), loose=self._loose())
        for first, end in self.spans:
            self._claim(first, end, written)
        written.symbols = [self._place(first, end) for first, end in self.devices]
        written.pictures = [
            self._place(first, end) for first, end in self.devices if first in self.pictures
        ]
        return written

    def _loose(self) -> bool:
        items = [self.view.item(index) for index in self.leads]
        return bool(items) and all(
            item is not None and item.role("label") and not item.role("mark", "mark-noun")
            for item in items
        )

    def _place(self, first: int, end: int) -> tuple[int, int]:
        return self.view.chunks[first].start, self.view.chunks[end - 1].end

    def _claim(self, first: int, end: int, written: WrittenTexts) -> None:
        chunks = self.view.chunks
        place = (chunks[first].start, chunks[end - 1].end)
        words = range(chunks[first].first, chunks[end - 1].after)
        numbering = not self._spells_whole(first, words) and self._is_numbering(words)
        if place[0] >= place[1] or numbering:
            return
        written.places.append(place)
        written.claimed.update(range(chunks[first].first, chunks[end - 1].after))
        if not self.leads and not self.after_mark and chunks[first].look != "quoted":
            described = end == first + 1 and self.view.describes(first)
            named = chunks[first].look == "name" and described
            written.assumed[place] = OR_TOLD if named else ON_PIECE
        elif chunks[first].look == "plain":
            written.assumed[place] = "small letters taken as the text on the piece"

    def _spells_whole(self, index: int, words: range) -> bool:
        """Whether all of the words are a register's, with its number."""
        return self.view.registered_until(index) >= words.stop

    def _is_numbering(self, words: range) -> bool:
        """Whether the words are no text but a number of something: `IMG_1912`, `CHF 1912`."""
        return not self.leads and is_all_numbering(self.view.vocabulary, self.view.tokens, words)

    def _forward(self) -> None:
        view = self.view
        stand = Stand(self.after_mark, self.after_mark, self.after_mark)
        index = 0
        while index < len(view.chunks):
            item = view.item(index)
            numbered = item is not None and self._spells_number(index, item)
            if item is not None and not numbered and self._leads(index, item):
                self.leads.append(index)
                index = view.after(item, index)
                noun = not item.role("mark") and (
                    item.role("mark-noun", "label") or view.asks_text(item)
                )
                doubtful = item.means("value") and not view.about_marks(item)
                stand = Stand(True, True, False, True, noun, doubtful)
            elif starts(view, index, stand):
                end = extended(view, index, stand.direct and not stand.noun, stand.led)
                first = index
                if end == index + 1 and view.look(index) == "signs":  # `Novak (c)`
                    first = self._from(index)
                elif self._goes_on_torn(index):
                    first = index - 1
                self.spans.append((first, end))
                index, stand = end, Stand(led=stand.led, noun=stand.noun)
            else:
                index = self._passed(index, item, stand)

    def _goes_on_torn(self, index: int) -> bool:
        """Whether a name that nothing explains stands right before one letter that is all that was
        read of the next: `Hattie C...`.
        """
        view, raw = self.view, self.view.raw(index)
        if not (raw[1:] in ("...", "..", "…") and view.look(index - 1) == "name"):
            return False
        taken = self.spans[-1][1] if self.spans else 0
        return index > taken and self._may_precede(index - 1)

    def _spells_number(self, index: int, item: Item) -> bool:
        """Whether a register's words and its number go on behind an item: `patent number 2583988`
        is one text, though `patent number` alone tells what kind of mark there is.
        """
        return self.view.registered_until(index) > item.end

    def _passed(self, index: int, item: Item | None, stand: Stand) -> int:
        """Go by what is neither a lead word nor text, and keep in mind what it changes."""
        view = self.view
        following = index + 1 if item is None else view.after(item, index)
        if item is not None and self._is_symbol(index, item, stand):
            over = not self.spans and self._letter_beside(index, item)
            end = following if over else view.symbol_end(index, item)
            self.devices.append((index, end))
            stand.fresh = stand.direct = False
            if over:  # `crown above a T`: the letter is the text, and the device stands over it
                stand.led = stand.linked = True
            return end
        if item is not None and self._is_by(index, item, stand):
            stand.linked = True
        elif item is not None and item.role("filler", "count", *LINKS):
            stand.linked = stand.linked or (item.role(*LINKS) and (stand.led or bool(self.spans)))
            stand.direct = stand.direct and item.role("filler")
        elif view.look(index) != "signs" and (item is None or not view.about_marks(item)):
            stand.fresh = stand.linked = stand.direct = False
        else:
            stand.direct = False
        # A mark goes on in the next segment at its first word or not at all.
        stand.fresh = stand.fresh and bool(self.leads)
        return following

    def _is_by(self, index: int, item: Item, stand: Stand) -> bool:
        """Whether a word such as `by` leads on from one such as `signed` to a word that nothing
        names: `signed by novak`, but not `signed by the artist`.
        """
        lead = self.view.item(index - 1)
        if not (stand.direct and item.role("made-by") and lead is not None):
            return False
        following = self.view.after(item, index)
        named = self.view.look(following) and self.view.item(following) is None
        return lead.role("signed", "marked") and bool(named)

    def _is_symbol(self, index: int, item: Item, stand: Stand) -> bool:
        """A device after a lead word or text, or one whose own mark it is: `axe mark`."""
        ahead = self.view.after(item, index)
        following = self.view.item(ahead)
        if stand.led and self.view.is_device(item, pictured=bool(self.spans)):
            return True
        if not self.spans and self.view.is_device(item, pictured=True):
            letter = self._letter_beside(index, item)
            if letter and self._placed(index, letter):
                return True
        if stand.direct and not stand.doubtful and self.view.is_device(item, pictured=True):
            # `marked leaf` is a leaf for a mark; `a signed leaf brooch` is a leaf.
            alone = self.view.look(ahead) == "" or (
                following is not None and self.view.about_marks(following)
            )
            if alone:
                self.pictures.append(index)
                return True
        return (
            self.view.is_device(item, pictured=True)
            and following is not None
            and following.role("mark-noun")
        )

    def _letter_beside(self, index: int, item: Item) -> int:
        """The chunk of a letter or of initials that a device stands over, with nothing but little
        words between: `crown above a T`. 0 where there is none, or where it begins other words.
        """
        view = self.view
        ahead = view.after(item, index)
        while self._is_little(ahead):
            ahead += 1
        initials = view.look(ahead) == "capitals" and len(view.raw(ahead)) <= MOST_INITIALS
        if view.look(ahead) != "letter" and not initials:
            return 0
        said, behind = view.item(ahead), view.item(ahead + 1)
        if said is not None and said.end > view.chunks[ahead].after:  # under a C catch
            return 0
        ends = behind is not None and (behind.role(*LINKS) or view.about_marks(behind))
        alone = view.look(ahead + 1) != "plain" if behind is None else ends
        return ahead if alone else 0

    def _placed(self, index: int, letter: int) -> bool:
        """Whether a word between a device and a letter tells that one stands over the other."""
        words = (self.view.raw(at).casefold() for at in range(index, letter))
        return not PLACING.isdisjoint(words)

    def _leads(self, index: int, item: Item) -> bool:
        """Whether text may stand beside these words.

        A word that may describe as well (`engraved`) leads only where text does stand there, and
        so does one such as `begins with`.
        """
        if item.role(*PART_LEADS):
            return self._tells_part(index, item)
        words = self.view.tokens.folded[item.first : item.end]
        about = self.view.about_marks(item)
        holds = not self.view.vocabulary.lead_words.isdisjoint(words)
        # `box says` asks for a year and leads to a name.
        says = item.means("feature") and words[-1] in self.view.vocabulary.lead_words
        asks = self.view.asks_text(item) or says
        if not (item.role(*LEADS) or asks or (holds and (about or item.means("value")))):
            return False
        if asks or not item.means("value") or item.role("mark-noun", "label") or about:
            return True
        following = self.view.after(item, index)
        while self._is_little(following):
            following += 1
        if self.view.look(following) not in ("", "plain", "signs"):
            return True
        return index > 0 and self._may_precede(index - 1)

    def _tells_part(self, index: int, item: Item) -> bool:
        """Whether text that was read in part follows: `begins with TRIF`, no row of beads."""
        following = self.view.after(item, index)
        while self._is_little(following):
            following += 1
        look = self.view.look(following)
        if look in ("", "signs", "figures"):
            return False
        if look != "plain":
            return self.view.item(following) is None or look == "quoted"
        return bool(self.leads) or self.after_mark

    def _is_little(self, index: int) -> bool:
        item = self.view.item(index)
        return item is not None and item.role("filler", *LINKS)

    def _backward(self) -> None:
        """Text before its lead: `Czechoslovakia stamped on the ring`, `C.H maker's mark`."""
        for lead in self.leads:
            end = lead
            while end > 0 and self.view.is_filler(end - 1):
                end -= 1
            first = self._from(end)
            if first < end:
                self.spans.append((first, end))
                return
            first = self._known_before(lead)
            if first < lead:
                self.spans.append((first, lead))
                return

    def _from(self, end: int) -> int:
        """Where the names begin that stand right before a chunk: `Novak & Dorsch`."""
        first = end
        taken = self.spans[-1][1] if self.spans else 0
        year = self.view.look(first - 1) == "figures" if first > taken + 1 else False
        if year and self._names(first - 2):  # `Novak 1958 stamped`
            first -= 1
        while first > taken and self._may_precede(first - 1):
            first -= 1
            joined = first - 2 >= taken and self.view.raw(first - 1) == "&"
            if joined and self._may_precede(first - 2):
                first -= 1
        return first

    def _names(self, index: int) -> bool:
        """Whether a chunk is a word of a name that a year may follow."""
        return self.view.look(index) in ("name", "capitals") and self._may_precede(index)

    def _known_before(self, lead: int) -> int:
        """Where a text that the rules ask for begins, before a noun: `made in mexico stamp`.

        Before a verb it has a figure: `14K stamped`, but not `silver stamped`.
        """
        item = self.view.item(lead)
        if item is None or not item.role("mark", "mark-noun", "label"):
            return lead
        chunks = self.view.chunks
        figured = not item.role("mark-noun", "label")
        for first in range(max(0, lead - 4), lead):
            if figured and not any(letter.isdigit() for letter in self.view.raw(first)):
                continue
            at = first
            while at < lead and (text := self.view.text_at(at)) and "says" in text[1].kinds:
                at = next((k for k in range(at + 1, lead) if chunks[k].first >= text[0]), lead)
            if at == lead:
                return first
        return self._fineness_before(lead)

    def _fineness_before(self, lead: int) -> int:
        """Where the name of a metal begins that has a figure and ends at a lead: `K24 marked`."""
        for first in range(max(0, lead - 3), lead):
            item = self.view.item(first)
            ends = item is not None and self.view.after(item, first) == lead
            if ends and item is not None and item.value_of(*METAL_FEATURES):
                words = " ".join(self.view.raw(at) for at in range(first, lead))
                return first if any(map(str.isdigit, words)) else lead
        return lead

    def _may_precede(self, index: int) -> bool:
        item, text = self.view.item(index), self.view.text_at(index)
        look = self.view.look(index)
        if look in ("quoted", "capitals"):
            return item is None or not item.means("value") or text is not None
        if look == "name":
            known = item is not None and bool(item.senses) and not self.view.is_slip(index)
            return not known or (
                text is not None and item is not None and not item.means("feature")
            )
        return look == "letter" and item is None
