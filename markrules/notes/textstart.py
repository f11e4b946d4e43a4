"""Where text on the piece begins."""

from __future__ import annotations

from collections.abc import Callable

from markrules.frozen import dataclass
from markrules.late import late
from markrules.notes.items import LINKS, Item
from markrules.notes.listed_names import is_a_name
from markrules.notes.others_names import is_owners, likening
from markrules.notes.senses import Meaning
from markrules.notes.view import View
from markrules.notes.vocabulary import PLACE_FEATURES


@dataclass(slots=True)
class Stand:
    """Where the eye stands in a segment while it looks for text.

    `led`: a lead word came before; `fresh`: nothing but little words since; `linked`: a little
    word such as `and` since the last text; `direct`: the lead word is right before; `noun`: it
    is one such as `initials`; `doubtful`: it may as well describe (`engraved`).
    """

    led: bool = False
    fresh: bool = False
    linked: bool = False
    direct: bool = False
    noun: bool = False
    doubtful: bool = False

    @property
    def expecting(self) -> bool:
        """Whether text is to be expected here."""
        return self.fresh or (self.linked and self.led)


def starts(view: View, index: int, stand: Stand) -> bool:
    """Whether text on the piece begins at this chunk."""
    if _counts(view, index):
        return False
    if (not stand.direct or stand.doubtful) and _of_somebody_else(view, index):
        return False
    begun = view.raw(index)[:1] in _SIGNS and view.look(index) != "signs"  # `©Novak`
    begun = begun or _is_torn(view, index)
    return begun or _registered(view, index) or _STARTS[view.look(index)](view, index, stand)


_SIGNS = ("©", "®", "™")


_LEAST_TORN = 3
"""Letters of a torn word, and of a known word that stands in no mark."""
_GAP_INSIDE = late(r"\[?[^\W\d_]+(?:[?_]{1,3}[^\W\d_]*)*[?_]{1,3}[^\W\d_]+[?_]*")
_GAP_IN_CAPITALS = late(r"[A-Z]+(?:[*?_]{1,3}[A-Z]+)+")
_GAP_BEFORE = late(r"(?:\.{2,}|…)[^\W\d_]+")
_GAP_AFTER = late(r"[^\W\d_]+\?")


def _is_torn(view: View, index: int) -> bool:
    """Whether a word was written with a sign for letters not read, so that no lead word is needed:
    `Kram?r`. A sign at an end, in small letters, may be a writer's pause or doubt, unless what
    follows is of a mark: `...parelli is all I see`, `menz? on the clip`.
    """
    raw, chunk = view.raw(index), view.chunks[index]
    if sum(map(str.isalpha, raw)) < _LEAST_TORN or chunk.look not in ("plain", "name", "capitals"):
        return False
    if any(
        view.knows(token) and len(view.tokens.raw(token)) >= _LEAST_TORN
        for token in range(chunk.first, chunk.after)
    ):
        return False
    if _GAP_INSIDE.fullmatch(raw) or _GAP_IN_CAPITALS.fullmatch(raw):
        return True
    following = view.item(index + 1)
    if following is None or not (_GAP_BEFORE.fullmatch(raw) or _GAP_AFTER.fullmatch(raw)):
        return False
    return following.role("part-letters", "lost-letters") or following.value_of(*PLACE_FEATURES)


def _registered(view: View, index: int) -> bool:
    """Whether a register's words with a capital, and its number, begin here, though the first of
    them may be short for something else too: `Rd No 123456` is not red.
    """
    look, end = view.look(index), view.registered_until(index)
    return look in ("name", "capitals", "mixed") and end > view.chunks[index].after


def _of_somebody_else(view: View, index: int) -> bool:
    """Whether a name in capitals begins here that is of somebody whose the piece was, or that it is
    only likened to: `gift from NOVAK`, `NOVAK style`. What is told of a false mark, or how sure
    somebody is of one, and what is denied, speaks of a mark all the same: `fake NOVAK`.
    """
    if not _names_nothing(view, index):
        return False
    while index and _names_nothing(view, index - 1):
        index -= 1
    first, text = view.chunks[index].first, view.text_at(index)
    end = text[0] if text is not None and "maker" in text[1].kinds else 0
    if not end:
        while index < len(view.chunks) and _names_nothing(view, index):
            index += 1
        end = view.chunks[index - 1].after
    likened = likening(view.vocabulary, view.tokens, first, end)
    if any(
        item.first < likened.stop
        and likened.start < item.end
        and (item.means("value") or item.role("negation") or view.about_marks(item))
        for item in view.matched.items
    ):
        return False
    return bool(likened) or is_owners(view.vocabulary, view.tokens, view.matched, first, end)


def _names_nothing(view: View, index: int) -> bool:
    """Whether a chunk is written as a name is, and is no word of the rules."""
    return view.look(index) in ("capitals", "name", "letter") and view.item(index) is None


def _counts(view: View, index: int) -> bool:
    """Whether a number in letters stands before what it counts: `MARKED 925, ONE STONE CHIPPED`.

    A listed maker's name that begins with one counts nothing: `NINE WEST`.
    """
    if view.look(index) not in ("capitals", "name", "plain") or index + 1 == len(view.chunks):
        return False
    text = view.text_at(index)
    if text is not None and "maker" in text[1].kinds and text[0] > view.chunks[index].after:
        return False
    return view.tokens.numeric[view.chunks[index].first] and view.raw(index).isalpha()


def _quoted(view: View, index: int, stand: Stand) -> bool:
    """What stands in quotes, unless it is only said: the 'crown jewels' of the box."""
    inner = view.raw(index).strip(_QUOTE_SIGNS)
    words = inner.split()
    before = view.item(index - 1) if index else None
    the = before is not None and before.role("opening")
    said = the and len(words) > 1 and all(word.isalpha() and word.islower() for word in words)
    return stand.led or stand.expecting or not said or view.vocabulary.is_text(inner)


_QUOTE_SIGNS = "\"'“”‘’ "


def _signs(view: View, index: int, _stand: Stand) -> bool:
    return any(char in _SIGNS for char in view.raw(index))


def _letter(view: View, index: int, stand: Stand) -> bool:
    item, text = view.item(index), view.text_at(index)
    if _spelling(view, index) or _and_another(view, index):
        return True
    if text is not None and view.look(index + 1) == "name" and view.text_at(index + 1) is not None:
        return text[0] > view.chunks[index + 1].first  # W. Germany
    if not stand.direct and _spoken_of(view, index):
        return False
    return stand.expecting and (item is None or item.end <= view.chunks[index].after)


def _and_another(view: View, index: int) -> bool:
    """Whether initials of a firm begin with this letter: `W & SB`, `J & Co`."""
    before = view.item(index - 1) if index else None
    if view.look(index - 1) == "letter" or (before is not None and before.role("made-by")):
        return False
    if index + 2 >= len(view.chunks) or view.raw(index + 1) not in ("&", "+"):
        return False
    item, other = view.item(index), view.item(index + 2)
    if item is not None and item.end > view.chunks[index].after:
        return False
    behind = view.item(index + 3)
    if view.look(index + 3) == "plain" and not (
        behind is not None and (behind.role("filler", *LINKS) or view.about_marks(behind))
    ):
        return False  # A & B stones
    firm = view.is_company(index + 2)
    initials = view.look(index + 2) in ("letter", "capitals") and (
        other is None or other.end <= view.chunks[index + 2].after
    )
    return firm or (initials and len(view.raw(index + 2)) <= _MOST_INITIALS)


_MOST_INITIALS = 4
"""Signs of initials behind an `&`."""


def _spoken_of(view: View, index: int) -> bool:
    """Whether a letter is spoken of and not read out: `the F is fancy`, `I suspect a copy`."""
    before, following = view.item(index - 1) if index else None, view.item(index + 1)
    if view.look(index + 1) != "plain":
        return False
    told = following is not None and not following.role(*LINKS) and not view.evidence(following)
    if view.raw(index) == "I":
        return told or following is None
    told = told and following is not None and following.role("filler")
    framed = before is not None and before.role("filler") and not before.role(*LINKS)
    return framed and told


def _capitals(view: View, index: int, stand: Stand) -> bool:
    """Capitals are text, unless they are words that the rules know and no text."""
    chunk, item, text = view.chunks[index], view.item(index), view.text_at(index)
    if item is not None and item.end - item.first > chunk.after - chunk.first:
        raw = view.tokens.slice(item.first, item.end)
        if raw != raw.upper():
            return stand.led and text is not None and text[0] >= item.end
    named = text is not None and text[1].kinds != {"maker"}  # JAPAN, but not a maker's RED
    if not stand.led and not named and _stressed(view, index):
        return False
    if not stand.led and len(view.chunks) > 1 and view.is_short_form(index):
        return False
    if not stand.led and item is not None and item.value_of(TOLD_PERIOD):  # a brooch from WW2
        return False
    if stand.expecting or text is not None or item is None:
        return True
    if "&" in view.raw(index) and item.end < chunk.after:  # W&SB, and not `with`
        return True
    if item.measure is not None or item.years is not None or item.means("role"):
        return False
    return len(view.raw(index)) > 2 and not view.evidence(item)


TOLD_PERIOD = "told-period"
"""The feature of a period that somebody names; those of some wars are written as letters."""


def _stressed(view: View, index: int) -> bool:
    """Whether a word that only describes is written large before what it describes: `RED stones`,
    `LARGE blue stone`, `WW2 sweetheart`.
    """
    item, following = view.item(index), view.item(index + 1)
    if item is None or view.look(index + 1) != "plain":
        return False
    features = view.vocabulary.base.features
    values = [features[sense.name] for sense in item.senses if sense.kind == "value"]
    if not values or not all(each.describes for each in values):
        return False
    return following is not None and not following.role("mark", "mark-noun", *LINKS)


def _name(view: View, index: int, stand: Stand) -> bool:
    """A word with a capital: after a lead word, or a text that the rules know."""
    item, text = view.item(index), view.text_at(index)
    if text is None and item is not None and item.means("piece"):  # Vintage Signed Brooch
        return False
    if stand.direct and not stand.doubtful:
        return not view.is_office(item) or view.is_slip(index) or _is_maker(view, index)
    if text is not None and (stand.expecting or stand.led):
        return item is None or (stand.expecting and not before_noun(view, index, text[0]))
    if text is not None and _known_text(view, index, text, item):
        return True
    return stand.expecting and item is None


def _may_be_named(view: View, index: int, item: Item) -> bool:
    """Whether a listed maker's name in small letters tells of nothing else that could be meant
    here, and ends what is said, but for where it stands: `signed celebrity on the back`.
    """
    told = item.means("value") or item.means("feature") or item.means("piece")
    if not _is_maker(view, index) or (told and not view.is_office(item)):
        return False
    behind = view.item(index + 1)
    return index + 1 == len(view.chunks) or (behind is not None and view.about_marks(behind))


def _is_maker(view: View, index: int) -> bool:
    """Whether a chunk is the whole name of a listed maker: signed Castlemark."""
    chunk = view.chunks[index]
    return chunk.after == chunk.first + 1 and is_a_name(view.vocabulary, view.tokens, chunk.first)


def before_noun(view: View, index: int, end: int) -> bool:
    """Whether a known word of small letters follows: the French eagle, not FRENCH. What may stand
    on a piece as well is one of two texts: `stamped sterling denmark`.
    """
    while index < len(view.chunks) and view.chunks[index].first < end:
        index += 1
    following = view.text_at(index) if index < len(view.chunks) else None
    if following is not None and is_asked(following[1]) and view.look(index) == "plain":
        return before_noun(view, index, following[0])
    item = view.item(index)
    return (
        view.look(index) == "plain" and item is not None and not item.role("filler", "mark", *LINKS)
    )


def is_asked(meaning: Meaning) -> bool:
    """Whether a text is one that the rules ask for, or a number that they know."""
    return not meaning.kinds.isdisjoint(("says", "number"))


def _known_text(view: View, index: int, text: tuple[int, Meaning], item: Item | None) -> bool:
    """`Made in France` without a lead word, or `Austria` where nothing else stands."""
    end, meaning = text
    if "maker" in meaning.kinds:
        return False
    if end > view.chunks[index].first + 1:
        return item is None or item.end < end or not view.evidence(item)
    return all(other in (index, *_small(view)) for other in range(len(view.chunks))) and (
        item is None or not view.evidence(item)
    )


def _small(view: View) -> list[int]:
    """The chunks that hold little words, or tell of marks."""
    return [
        index
        for index in range(len(view.chunks))
        if (item := view.item(index)) is not None
        and (item.role("filler", *LINKS) or view.about_marks(item))
    ]


def _figures(view: View, index: int, stand: Stand) -> bool:
    """Figures after a lead word, or `1/20 12K GF`; not a measure, nor a year by itself."""
    item = view.item(index)
    if item is not None and item.measure is not None:
        return False
    if item is not None and item.years is not None:
        before = view.item(index - 1)
        dated = before is not None and (
            view.names_year(before) or view.is_office(before) or view.linked(item.first)
        )
        if view.tokens.slice(item.first, item.end).casefold().endswith("s"):
            return False  # nobody strikes a decade: `I'd say 1960s`
        return stand.direct and not stand.doubtful and not dated
    if stand.direct or (stand.fresh and _after_colon(view, index)) or _spelling(view, index):
        return True
    if _small_share(view, index):
        return True
    if item is not None and view.evidence(item):
        raw = view.tokens.slice(item.first, item.end)
        return stand.expecting and raw == raw.upper()
    return _bare_figures(view, index, stand) or _code_in_its_place(view, index)


_SHARE = late(r"1/(?P<of>[1-9][0-9]{1,2})(?:th)?")
"""One tenth, or less: the share of gold in a mark; stones are weighed in larger ones."""


def _small_share(view: View, index: int) -> bool:
    """Whether a share of gold and its fineness, and no more, make a text that begins here: `gold
    filled, 1/20 14K` is not gold all through. `1/10 ct 14K` is the weight of a stone.
    """
    text, item = view.text_at(index), view.item(index)
    if text is None or _SHARE.fullmatch(view.raw(index)) is None:
        return False
    fineness = view.look(index + 1) in ("mixed", "figures") and (
        item is None or item.measure is None
    )
    return fineness and view.chunks[index].after < text[0] <= view.chunks[index + 1].after


_CODE = late(r"[A-Z][0-9]{1,2}|[0-9]{1,2}[A-Z]|[0-9]{1,3}[./][0-9]{2,3}")
"""A letter and a figure of a code of years, or figures of a fineness: `T9`, `9.375`."""
_FIGURES_OF_A_CODE = late(r"[0-9]{2}")


def _code_in_its_place(view: View, index: int) -> bool:
    """Whether a code stands here, and right behind it where it stands: `T9 on the back`."""
    end, raw = index + 1, view.raw(index)
    if view.look(end) == "letter" and _FIGURES_OF_A_CODE.fullmatch(raw):  # `95 P on the plaque`
        end += 1
    elif _CODE.fullmatch(raw) is None:
        return False
    item, known = view.item(end), view.item(index)
    told = known is not None and known.end > view.chunks[index].first + 1
    return not told and item is not None and item.value_of(*_WHERE_IT_STANDS)


_WHERE_IT_STANDS = (*PLACE_FEATURES, "mark-method")


def _spelling(view: View, index: int) -> bool:
    """Whether a spelling of the rules in capitals begins here: `1/20 12K GF`."""
    first, text = view.chunks[index].first, view.text_at(index)
    if text is None or text[0] <= first + 1:
        return False
    raw = view.tokens.slice(first, text[0])
    return raw == raw.upper() and sum(char.isupper() for char in raw) > 1


def _bare_figures(view: View, index: int, stand: Stand) -> bool:
    """Figures that nothing explains: text where text is expected and no noun follows."""
    if stand.fresh and view.look(index) == "mixed":
        return True
    following = view.item(index + 1)
    alone = following is None or following.role("filler", *LINKS) or view.about_marks(following)
    return alone and (stand.expecting or (stand.linked and view.item(index) is None))


def _plain(view: View, index: int, stand: Stand) -> bool:
    """Small letters: after `stamped` a known text or an unknown word; or `made in france`."""
    chunk, item = view.chunks[index], view.item(index)
    if chunk.after == chunk.first:
        return False
    colon = stand.fresh and _after_colon(view, index)
    if colon and (stand.noun or item is None):
        return item is None and not view.shouting and _few_unknown(view, index)
    if stand.direct and stand.noun:
        if item is None and view.linked(chunk.first) and not view.shouting:  # mark of novak
            return _few_unknown(view, index)
        return chunk.end - chunk.start == 1 and index + 1 == len(view.chunks)
    text = view.text_at(index)
    if text is not None:
        end, meaning = text
        asked = is_asked(meaning)
        named = item is not None and _may_be_named(view, index, item)
        if (stand.direct or colon) and not stand.doubtful and (item is None or asked or named):
            return not before_noun(view, index, end)
        if "maker" in meaning.kinds:  # a name by itself is told, not struck
            return False
        known = item is not None and item.end >= end and bool(item.senses)
        more = item is not None and (view.evidence(item) or item.end > end)  # `MONET to the back`
        if asked and not more and _placed(view, index, end):
            return True
        return asked and end > chunk.first + 1 and not known and not _is_unit(view, index)
    if not stand.direct or stand.doubtful or item is not None or view.shouting:
        return False
    return _few_unknown(view, index)


def _is_unit(view: View, index: int) -> bool:
    """Whether a word is the unit of a number right before it: `1/10 ct 14k` bears no CT 14K."""
    first = view.chunks[index].first
    return first > 0 and view.tokens.numeric[first - 1] and len(view.raw(index)) <= _LONGEST_UNIT


_LONGEST_UNIT = 2
"""Letters of `ct`, `cm`; what is longer may be a text behind a number: `12 made in france`."""


def _after_colon(view: View, index: int) -> bool:
    """Whether a colon stands right before: `mark: novak`, `stamped: 750`."""
    before = view.tokens.text[: view.chunks[index].start].rstrip()
    return before.endswith(":")


def _placed(view: View, index: int, end: int) -> bool:
    """Whether a place for marks stands right behind a text that ends there: `japan on the clip`."""
    while index < len(view.chunks) and view.chunks[index].first < end:
        index += 1
    item = view.item(index)
    return item is not None and item.value_of(*PLACE_FEATURES)


def _few_unknown(view: View, index: int) -> bool:
    """Whether at most three unknown words stand here before the end or a little word."""
    end = index
    while end < len(view.chunks) and view.item(end) is None:
        end += 1
    if end - index > 3:
        return False
    item = view.item(end)
    return item is None or item.role("filler", *LINKS) or view.about_marks(item)


_STARTS: dict[str, Callable[[View, int, Stand], bool]] = {
    "quoted": _quoted,
    "signs": _signs,
    "letter": _letter,
    "capitals": _capitals,
    "name": _name,
    "figures": _figures,
    "mixed": _figures,
    "plain": _plain,
}
