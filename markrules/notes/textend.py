"""How far text on the piece goes, once it has begun."""

from __future__ import annotations

import re

from markrules.late import late
from markrules.notes.items import LINKS, Item
from markrules.notes.textstart import before_noun, is_asked
from markrules.notes.view import LEADS, View

_DECADE = late(r"(?:ca?\.?)?['’]?(?:1[5-9]|20)?[0-9]0['’]?s[.,?]*", re.IGNORECASE)
"""What people say of the years: no piece bears it."""


def extended(view: View, first: int, led: bool, read: bool) -> int:
    """The chunk after the last one of the text that begins at `first`.

    `led`: a word such as `lettered` stands right before it, so that unknown words in small
    letters may belong to it; `read`: some word tells that it was read off the piece, so that short
    forms of dealers do: `marked 925 CZ`, but not `ring, 925 CZ`.
    """
    if view.look(first) == "quoted":
        return first + 1
    text = view.text_at(first)
    end = first + 1
    while text is not None and end < len(view.chunks) and view.chunks[end].first < text[0]:
        if _DECADE.fullmatch(view.raw(end)):  # `10K 60s`, which is no mark of more than 10K
            return end
        if not read and view.is_short_form(end):
            return end
        if view.look(end) == "figures" and _is_measured(view, view.chunks[end].after):
            return end
        end += 1
    while end < len(view.chunks) and (step := _joins(view, first, end, led, read)):
        end += step
    end = min(end, len(view.chunks))
    while end > first + 1 and not view.raw(end - 1).strip("-–—&/+:"):
        end -= 1
    return end


def _joins(view: View, first: int, index: int, led: bool, read: bool) -> int:
    """How many chunks from here on still belong to the text; 0 when it has ended."""
    chunk, item = view.chunks[index], view.item(index)
    if view.look(index - 1) in ("letter", "figures"):
        from markrules.notes.quantities import half_at

        half = half_at(view.vocabulary, view.tokens, chunk.first)
        if half:  # `size N and a half`
            return half
    gap = view.tokens.text[view.chunks[index - 1].end : chunk.start]
    if (
        "?" in view.raw(index - 1)[-1:] + gap and chunk.look == "figures"
    ):  # `marked KOREA? 1 stone dull`
        return 0
    measured = chunk.look == "figures" and _is_measured(view, chunk.after)
    if measured or any(char in "();:" for char in gap) or _DECADE.fullmatch(view.raw(index)):
        return 0
    initials = view.raw(index - 1) in ("&", "+")  # `W & SB`
    if _describes(view, index) or (not read and not initials and view.is_short_form(index)):
        return 0
    if view.raw(index) == "&" and view.look(index + 1) == "figures" != view.look(first):
        return 0  # `PW & 925`
    if view.shouting and view.raw(index).isalpha() and view.tokens.numeric[chunk.first]:
        return 0  # `MKD PAT PEND ONE PRONG BENT`
    if view.is_company(index):
        return 1
    if chunk.look in ("capitals", "signs", "figures", "letter", "mixed"):
        measured = item is not None and item.measure is not None
        longer = (  # `marked CIRO I think`
            item is not None
            and item.end > chunk.after
            and (item.means("value") or item.means("certainty"))
        )
        return int(not measured and not (longer and chunk.look == "letter"))
    if chunk.look == "name":
        return _name_joins(view, index, item, view.look(first))
    if chunk.look == "plain" and not view.shouting:
        another = _another_asked(view, first, index) if led else 0
        return another or _plain_joins(view, index, item, led, view.look(first))
    return 0


def _is_measured(view: View, after: int) -> bool:
    """Whether a unit stands right behind a number: `marked 925 7 inches`."""
    folded = view.tokens.folded
    return after < len(folded) and folded[after] in view.vocabulary.long_units


def _describes(view: View, index: int) -> bool:
    """Whether what the piece is like begins here: `MONET Gold Tone`, `Lisner AB stones`.

    It is a value told in several words, of which not all are written in capitals, unless it goes
    on with a number, as in `1/20 12kt gold filled`.
    """
    chunk, item = view.chunks[index], view.item(index)
    if item is None or item.end <= chunk.after or not item.means("value"):
        return False
    if view.look(index - 1) in ("figures", "mixed", "signs"):
        return False
    looks = [each.look for each in view.chunks[index:] if each.first < item.end]
    return any(look in ("plain", "name") for look in looks) and not view.shouting


def _name_joins(view: View, index: int, item: Item | None, before: str) -> int:
    """A capital first: unknown, a known text, a month before figures, or after a like word."""
    text = view.text_at(index)
    if text is not None:  # `Made in Usa`
        return max(1, _chunks_until(view, index, text[0]))
    if item is None:
        return 1
    if item.role("filler") and view.look(index + 1) == "figures":
        return 2
    comma = index + 2 < len(view.chunks) and not view.raw(index + 1)
    if item.role("filler") and comma and view.look(index + 2) == "figures":
        return 3  # `patented 17 October, 1868`
    told = item.role(*LEADS) or item.means("value") or item.means("piece")  # Novak Brooch
    return int(before == "name" and not told)


def _plain_joins(view: View, index: int, item: Item | None, led: bool, before: str) -> int:
    """Small words inside a text: `obt 3 July 1850`, `Organized labor the hope of the world`."""
    text = view.text_at(index)
    longer = text is not None and text[0] > view.chunks[index].first + 1
    if text is not None and longer and "number" in text[1].kinds:  # 1/20th 12kt gold filled
        return _chunks_until(view, index, text[0])
    if item is not None and view.names_year(item):
        return int(view.look(index + 1) == "figures")
    if before not in ("name", "plain"):
        return 0
    if item is None:
        return int(led)
    if not item.role("filler", "link") or item.means("value"):
        return 0
    named = view.look(index + 1) in ("name", "capitals") and before == "name"
    known = view.text_at(index + 1) if named and item.role("link") else None
    place = view.item(index + 1)
    if known is not None and (place is None or not view.evidence(place)):  # `Made in Hong Kong`
        return 1 + _chunks_until(view, index + 1, known[0])
    goes_on = named and (item.role("filler") or view.item(index + 1) is None)
    unknown = led and index + 1 < len(view.chunks) and _is_word(view, index + 1)
    return 2 if goes_on or (unknown and item.role("filler", "link")) else 0


def _another_asked(view: View, first: int, index: int) -> int:
    """How many chunks from here on are a text in small letters that the rules ask for, as they do
    for the one that begins at `first`, and behind which nothing follows that it would tell of:
    `stamped sterling denmark`, not `marked monet gilt`.
    """
    begun, text, item = view.text_at(first), view.text_at(index), view.item(index)
    if begun is None or text is None or not (is_asked(begun[1]) and is_asked(text[1])):
        return 0
    little = item is not None and item.role("filler", *LINKS)  # to, which a mark may be too
    named = "maker" in begun[1].kinds
    if little or named or before_noun(view, index, text[0]):
        return 0
    return _chunks_until(view, index, text[0])


def _is_word(view: View, index: int) -> bool:
    """Whether a chunk is a word that nothing explains, and no count: `on one only`."""
    first, numeric = view.chunks[index].first, view.tokens.numeric
    # A sign at the end is a chunk without a word.
    return view.item(index) is None and first < len(numeric) and not numeric[first]


def _chunks_until(view: View, index: int, token: int) -> int:
    """How many chunks from `index` on begin before this token."""
    return sum(chunk.first < token for chunk in view.chunks[index:])
