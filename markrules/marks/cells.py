"""The places of a mark one by one, as a form has them, and the text that they stand for.

Each place is a short text: a letter where it is sure; two to four letters, the likeliest first,
where it is not; `?` where one letter cannot be read and `...` for a run of them; `/` where a line
ends; nothing for a space. `C~`, `C=G` (alike likely) and `C:7 G:3` (weighed) stand for what the
syntax of readings has besides, so that no text is changed by being taken apart.
"""

from __future__ import annotations

import re
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.letters import ALPHABET, folded, visible
from markrules.marks.reading_syntax import PLACE, MarkSyntaxError, letters_and_words, parse
from markrules.marks.wear import wear_model

MOST_CANDIDATES = 4
"""Letters that a place can be; a fifth hardly ever is the right one."""

MOST_PLACES = 80
"""As many as a reading may have that is searched."""

ALIKE = 6
"""Look-alikes offered for a letter."""

FEWEST_SHOWN = 12
"""Places that a form has at least, so that most marks fit where no script adds more."""

SPARE = 2
"""Empty places after the last one filled, so that there is room to go on."""

_UNREAD, _RUN, _LINE, _SPACE = "?", "...", "/", ""
_RANKED = re.compile(r"\s*[^\W_](\s*>\s*[^\W_]){1,3}\s*")
_EQUAL = re.compile(r"[^\W_](=[^\W_]){1,3}")
_WEIGHED = re.compile(r"[^\W_]\s*:[\w\s:.%]*")
_MEANS_ELSE = frozenset("()[],=>~:")


@dataclass(frozen=True, slots=True)
class Cells:
    """A reading place by place; `described` is what its text says besides the letters.

    `as_written` is True where upper and lower case count.
    """

    places: tuple[str, ...] = ()
    described: tuple[str, ...] = ()
    as_written: bool = False


def cells_of(text: str) -> Cells:
    """The places of a reading. Raises MarkSyntaxError where `parse` does; empty for no text."""
    if not text.strip():
        return Cells()
    parse(text)
    letters, described = letters_and_words(visible(text))
    as_written = letters.startswith("=")
    places: list[str] = []
    for found in PLACE.finditer(letters.removeprefix("=")):
        kind = found.lastgroup
        if kind == "gap":
            places.append(_RUN)
        elif kind == "unread":
            places.append(_UNREAD)
        elif kind in ("space", "star"):
            places.append(_SPACE)
        elif kind == "doubt":
            places[-1] += found.group()
        elif kind in ("set", "inside"):
            places.append(_of_set(found["inside"]))
        elif kind != "letter" or found.group() not in _MEANS_ELSE:
            places.append(found.group())
    return Cells(_trimmed(places), described, as_written)


def text_of(cells: Cells) -> str:
    """The reading that places stand for.

    Raises MarkSyntaxError where a place holds what cannot stand there, naming the place.
    """
    if len(cells.places) > MOST_PLACES:
        raise MarkSyntaxError(f"{len(cells.places)} places; at most {MOST_PLACES} are searched")
    written = "".join(_written(each, number) for number, each in enumerate(cells.places, start=1))
    letters = " ".join(written.split())
    head = "=" if cells.as_written and (letters or cells.described) else ""
    described = "".join(f" ({each})" for each in cells.described)
    return f"{head}{letters}{described}".strip()


def laid_out(text: str) -> Cells:
    """The places of a text for a form; none for a text that breaks the syntax."""
    try:
        return cells_of(text)
    except MarkSyntaxError:
        return Cells()


def places_shown(laid: Cells) -> list[str]:
    """The places with empty ones behind them, to be filled."""
    more = max(FEWEST_SHOWN - len(laid.places), SPARE)
    return [*laid.places, *[""] * more]


def _trimmed(places: list[str]) -> tuple[str, ...]:
    """The places with one space for several, and none at both ends and beside ends of lines."""
    kept: list[str] = []
    for place in places:
        if place == _SPACE and (not kept or kept[-1] in (_LINE, _SPACE)):
            continue
        if place == _LINE and kept and kept[-1] == _SPACE:
            kept.pop()
        kept.append(place)
    if kept and kept[-1] == _SPACE:
        kept.pop()
    return tuple(kept)


def _of_set(inside: str) -> str:
    """A bracket as a place: its letters in order where they are ranked."""
    letters = re.findall(r"[^\W_]", inside)
    # A letter told twice is no ranking of letters: such a bracket stays as it was written.
    if len(set(map(folded, letters))) == len(letters):
        if _RANKED.fullmatch(inside):
            return "".join(letters)
        if _EQUAL.fullmatch("=".join(inside)):
            return "=".join(inside)
        if _WEIGHED.fullmatch(inside):
            return inside
    return f"[{inside}]"


def _written(place: str, number: int) -> str:
    text = visible(place)
    if not text:
        return " "
    if re.fullmatch(r"\.{2,}|…|\*+", text):
        return _RUN
    if text == _LINE:
        return " / "
    if text.startswith("[") or re.fullmatch(r"[^\s\[\](),=>~:]~+", text):
        return text
    if _WEIGHED.fullmatch(text):
        return f"[{text}]"
    if _EQUAL.fullmatch(text):
        return f"[{text.replace('=', '')}]"
    return _candidates(text.replace(" ", ""), number)


def _candidates(text: str, number: int) -> str:
    if set("?_") & set(text):
        return _UNREAD
    wrong = next((each for each in text if each in _MEANS_ELSE), None)
    if wrong is not None:
        raise MarkSyntaxError(
            f'place {number}: "{wrong}" cannot stand here; write a letter, or two to four, '
            "the likeliest first"
        )
    letters = list(dict.fromkeys(text))
    if len(letters) == 1:
        return letters[0]
    if len(letters) > MOST_CANDIDATES:
        raise MarkSyntaxError(
            f"place {number}: {len(letters)} letters, and at most {MOST_CANDIDATES} are weighed; "
            "write each letter of the mark at a place of its own"
        )
    return f"[{'>'.join(letters)}]"


@lru_cache(maxsize=2)
def look_alikes(base: KnowledgeBase) -> dict[str, str]:
    """For each letter, what may have been struck where it is read, likeliest first."""
    model = wear_model(base)
    found = {}
    for read in ALPHABET:
        chances, _ = model.read_from(read)
        others = sorted((each for each in ALPHABET if each != read), key=lambda a: -chances[a])
        found[read] = "".join(others[:ALIKE])
    return found
