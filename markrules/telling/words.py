"""Years, chances, sizes and names as a person writes them."""

from __future__ import annotations

import re
import unicodedata

from markrules.inference.chances import percent
from markrules.inference.reading import ClueReading, Dating
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.late import late

CM_PER_INCH = 2.54
"""The international inch, exactly (yard and pound agreement of 1959)."""
GRAMS_PER_OUNCE = 28.349523125
"""The avoirdupois ounce, exactly (yard and pound agreement of 1959)."""

_KEPT_FORMAT = "\u200c\u200d"  # joiners: letters of Persian and Indic scripts, and emoji, need them
_CHANCE = "chance-"
LEVEL_LEAST = 6
"""Years about as likely as the likeliest, from which on no single one is named."""


def years(first: int | None, last: int | None) -> str:
    """A stretch of years: `1911–1938`, `1911 or later`, `1938 or earlier`, `1925`, `any year`."""
    if first is None and last is None:
        return "any year"
    if first is None:
        return f"{last} or earlier"
    if last is None:
        return f"{first} or later"
    return str(first) if first == last else f"{first}–{last}"


def years_of(date: Dating) -> str:
    """The years of a reading: one range, or those of a set, of which one is meant."""
    if len(date.years) < 2:
        return years(date.range.first, date.range.last)
    runs = [years(each.first, each.last) for each in date.years]
    return f"{', '.join(runs[:-1])} or {runs[-1]}"


def likeliest(date: Dating) -> str:
    """The likeliest year, or the years about as likely: `likeliest anywhere in 1911–1925`."""
    first, last = date.level
    if last - first < LEVEL_LEAST:
        return f"likeliest {date.likeliest}"
    return f"likeliest anywhere in {years(first, last)}"


def window_years(clue: ClueReading) -> str:
    """The years of a clue: `1911–1960`, `1911–1960 but not 1942–1945`."""
    gaps = [years(*each) for each in clue.gaps]
    return years(clue.first, clue.last) + (f" but not {listed(gaps)}" if gaps else "")


def fate_of_part(clue: ClueReading) -> str:
    """What most likely became of the part that a clue was read from; empty where it is original."""
    branches = clue.branches
    fates = (
        (branches.refit, "thought fitted or put on later"),
        (branches.reuse, "thought an older part used again"),
        (branches.misread, "thought misread or misleading"),
    )
    return "".join(f"; {fate} ({percent(share)})" for share, fate in fates if share >= 0.5)


def bounds(first: int | None, last: int | None) -> str:
    """As `years`, for a title or a sentence: `no earlier than 1911`, `no later than 1938`."""
    if first is None and last is not None:
        return f"no later than {last}"
    if last is None and first is not None:
        return f"no earlier than {first}"
    return years(first, last)


def chance(base: KnowledgeBase, probability: float) -> str:
    """A probability in words and figures: `very likely (83%)`.

    The words are the names of the settings that begin with `chance-`; a probability has the
    word of the greatest figure that it reaches. Without such settings, only figures.
    """
    steps = [
        (entry.value, name.removeprefix(_CHANCE).replace("-", " "))
        for name, entry in base.settings.items()
        if name.startswith(_CHANCE)
    ]
    reached = [step for step in steps if step[0] <= probability]
    figures = percent(probability)
    return f"{max(reached)[1]} ({figures})" if reached else figures


def telling(bits: float) -> str:
    """How much a clue told, in words: of the bits by which it moved the years."""
    return "much" if bits >= 1 else "something" if bits >= 0.3 else "little"


def plain(name: str) -> str:
    """The name of an entry as words; a letter by itself is one of shape, as in C catch."""
    words = name.split("-")
    return " ".join(word.upper() if len(word) == 1 and word != "a" else word for word in words)


def shown(value: object) -> object:
    """What a page shows for a value: a text made visible, nothing for None, else the value."""
    if type(value) is str:
        return visible(value.replace("\r\n", "\n"))
    return "" if value is None else value


def printable(text: str) -> str:
    """The text without control, format and line-break characters, safe for a terminal."""
    if text.isprintable():
        return text
    return "".join(
        " " if character in "\t\n\r\v\f" else character
        for character in text
        if character in "\t\n\r\v\f" or unicodedata.category(character)[0] != "C"
    )


def cells(text: str) -> int:
    """How many cells of a terminal a printable text takes: two for a wide letter, none for marks.

    Wide are the letters that Unicode calls so (East Asian Width W and F), most emoji among them.
    """
    if text.isascii():
        return len(text)
    return sum(map(_cells_of, text))


def _cells_of(letter: str) -> int:
    if unicodedata.category(letter) in ("Mn", "Me"):
        return 0
    return 2 if unicodedata.east_asian_width(letter) in "WF" else 1


def shorten(text: str, width: int) -> str:
    """The text on one line of at most `width` cells, control and direction characters out."""
    clean = printable(text)
    if cells(clean) <= width:
        return clean
    room, end = width - 1, 0
    for letter in clean:
        room -= _cells_of(letter)
        if room < 0:
            break
        end += 1
    return clean[:end] + "…"


def padded(text: str, width: int) -> str:
    """The text with blanks behind it, up to `width` cells: a column of a table."""
    return text + " " * max(0, width - cells(text))


_SECOND_CELL = "\ufdd0"
"""Stands for nothing (Unicode: a noncharacter), and for the second cell of a wide letter here."""


def in_lines(text: str, width: int, first: str = "", rest: str = "") -> list[str]:
    """A printable text in lines of at most `width` cells, the first and the others indented so.

    To import `textwrap` takes a hundredth of a cold reading: a caller that can does without.
    """
    import textwrap

    if text.isascii():
        return textwrap.wrap(
            text, width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
        )

    class ByCells(textwrap.TextWrapper):
        """Cuts a word that no line holds, but no wide letter between its two cells."""

        def _handle_long_word(
            self, reversed_chunks: list[str], cur_line: list[str], cur_len: int, width: int
        ) -> None:
            word, room = reversed_chunks[-1], width - cur_len
            if 0 < room < len(word) and word[room] == _SECOND_CELL:
                room -= 1
            if room > 0:
                cur_line.append(word[:room])
                reversed_chunks[-1] = word[room:]
            elif not cur_line:  # no line holds a wide letter: one must, or it would never end
                cur_line.append(word[:2])
                reversed_chunks[-1] = word[2:]

    wrapper = ByCells(
        width=width, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
    lines = wrapper.wrap("".join(map(_by_cells, text)))
    return [line.replace(_SECOND_CELL, "") for line in lines]


def _by_cells(letter: str) -> str:
    return letter + _SECOND_CELL * (_cells_of(letter) - 1)


def visible(text: str) -> str:
    """The text with what cannot be printed made visible, so that it appears as itself.

    Control, format and direction characters, lone surrogates and unassigned places become
    their number, as `[U+202E]`: letters that every font has, where few have the control
    pictures of U+2400. Line breaks and tabs stay.
    """
    return "".join(map(_shown, text)) if not text.isprintable() else text


def _shown(character: str) -> str:
    if character in "\n\t" or character in _KEPT_FORMAT or character.isprintable():
        return character
    if unicodedata.category(character) in ("Zs", "Co"):
        return " " if unicodedata.category(character) == "Zs" else character
    return f"[U+{ord(character):04X}]"


def shortened(text: str, most: int) -> str:
    """The text in at most so many characters, cut between words where that can be done."""
    if len(text) <= most:
        return text
    cut = text[: max(0, most - 1)]
    at_word = cut.rsplit(" ", 1)[0].rstrip(" ,;:–-")
    return f"{at_word if len(at_word) > most // 2 else cut.rstrip()}…"


def size(base: KnowledgeBase, observation: Observation) -> str:
    """A measure in both systems: `5.5 cm (2.2 in)`, `23 g (0.81 oz)`; empty for anything else."""
    feature = base.features.get(observation.feature)
    number = observation.number
    if feature is None or number is None or feature.kind != "number":
        return ""
    if feature.unit == "mm":
        centimetres = number / 10
        inches = centimetres / CM_PER_INCH
        # Whoever measured in inches finds the quarters and eighths again: 2 1/4 is 2.25, not 2.2.
        as_read = _INCHES.search(observation.value) is not None
        told = f"{inches:.2f}".rstrip("0").rstrip(".") if as_read else _figure(inches)
        return f"{_figure(centimetres)} cm ({told} in)"
    if feature.unit == "g":
        return f"{_figure(number)} g ({number / GRAMS_PER_OUNCE:.2f} oz)"
    return f"{_figure(number)} {feature.unit}".strip()


_INCHES = late(r"in(?:ch|ches)?\b|[\"”″]", re.IGNORECASE)


def _figure(number: float) -> str:
    """One decimal, two below 1, none where it adds nothing."""
    text = f"{number:.2f}" if number < 1 else f"{number:.1f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def value_words(base: KnowledgeBase, observation: Observation) -> str:
    """What was seen, in words: the value, the text in quotes, or the measure."""
    feature = base.features.get(observation.feature)
    kind = feature.kind if feature is not None else "choice"
    if observation.state == "absent":
        return "looked for, and not there"
    said = size(base, observation) or _said(observation, kind)
    if observation.state == "replaced":
        return f"{said} (a later part)"
    return f"not {said}" if observation.state == "ruled-out" else said


def _said(observation: Observation, kind: str) -> str:
    if kind in ("choice", "many"):
        number = observation.number
        count = f" ({number:g})" if number is not None else ""
        return plain(observation.value) + count
    return f"“{observation.value}”" if kind == "text" else observation.value


def day(moment: str) -> str:
    """The date of a moment in ISO 8601."""
    return moment[:10]


def moment(text: str) -> str:
    """A date-time of the catalogue, shortened: `2024-06-30 14:05`."""
    return text[:16].replace("T", " ")


def count_of(number: int, one: str, many: str = "") -> str:
    """`1 piece`, `5 pieces`."""
    return f"{number:,} {one if number == 1 else many or plural(one)}"


def plural(noun: str) -> str:
    """The regular plural: brooches, earrings (which are several already), families."""
    if noun.endswith("s"):
        return noun
    if noun.endswith(("ch", "sh", "x", "z")):
        return f"{noun}es"
    if noun.endswith("y") and noun[-2:-1] not in "aeiou":
        return f"{noun[:-1]}ies"
    return f"{noun}s"


def one_of(noun: str) -> str:
    """`a brooch`, `an anklet`, and `earrings`, which take no article."""
    if noun.endswith("s"):
        return noun
    return f"{'an' if noun[:1].casefold() in 'aeiou' else 'a'} {noun}"


def listed(items: list[str] | tuple[str, ...], last: str = "and") -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def capital(text: str) -> str:
    """The text with its first letter large."""
    return text[:1].upper() + text[1:]
