"""The names that the trade has for colours of stones: jonquil, light siam, crystal AB."""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.builtin import COLOUR
from markrules.language.roles import SPELLINGS
from markrules.language.tree import Shade

COATING = "stone-coating"
"""The feature of the rules for what lies over the colour of a stone."""


@dataclass(frozen=True, slots=True)
class StoneColour:
    """A colour as somebody names it: a shade of the trade, the colour of the rules that it is a
    kind of, and a coat over it; empty where none is named. `words` are the rest, or all of it.

    `whole` is True where no more than a colour of the rules is named, which its shades all are.
    """

    words: str
    shade: str = ""
    colour: str = ""
    coat: str = ""
    whole: bool = False

    def same(self, other: StoneColour) -> bool:
        """Whether both name one colour and coat."""
        if self.coat != other.coat:
            return False
        if self.shade or other.shade:
            return self.shade == other.shade
        return self.words == other.words

    def holds(self, other: StoneColour) -> bool:
        """Whether the other is a kind of what is named here: siam of red."""
        return self.whole and self.coat == other.coat and self.colour == other.colour


def stone_colour(base: KnowledgeBase, text: str) -> StoneColour:
    """What a colour of stones is called: `lt topaz`, `Siam AB`, `dark red`."""
    known = _known(base)
    words = known.folded(text)
    coat, words = known.uncoated(words)
    shade = known.shades.get(words)
    if shade is not None:
        return StoneColour(words, shade.name, shade.of.name, coat)
    colour = known.colours.get(words, "")
    whole = bool(colour) and words in (known.folded(colour), *known.folded(colour).split(" or "))
    return StoneColour(words, "", colour, coat, whole)


def srgb(shade: Shade) -> tuple[int, int, int]:
    """The red, green and blue of a shade, each from 0 to 255."""
    red, green, blue = (int(shade.looks[at : at + 2], 16) for at in (1, 3, 5))
    return red, green, blue


def shade_words(base: KnowledgeBase, colour: StoneColour) -> str:
    """A colour as the trade orders it: the shade by its one name, and the coat by its short one."""
    name = colour.shade.replace("-", " ") if colour.shade else colour.words
    coat = _known(base).short.get(colour.coat, "")
    return " ".join(part for part in (name, coat) if part)


@dataclass(frozen=True, eq=False, slots=True)
class _Known:
    """The words of the rules for colours of stones, folded, gathered once."""

    shades: Mapping[str, Shade]
    colours: Mapping[str, str]
    coats: Mapping[str, str]
    short: Mapping[str, str]
    spellings: Mapping[str, str]

    def folded(self, text: str) -> str:
        words = "".join(each if each.isalnum() else " " for each in text.casefold()).split()
        return " ".join(self.spellings.get(each, each) for each in words)

    def uncoated(self, words: str) -> tuple[str, str]:
        """The coat that the first or last words name, and the words without it."""
        parts = words.split()
        for size in range(min(4, len(parts)), 0, -1):
            for coat, rest in ((parts[-size:], parts[:-size]), (parts[:size], parts[size:])):
                found = self.coats.get(" ".join(coat))
                if found is not None and " ".join(parts) not in self.shades:
                    return found, " ".join(rest)
        return "", words


@lru_cache(maxsize=4)
def _known(base: KnowledgeBase) -> _Known:
    spellings = {
        other: first
        for text in base.words_of(*SPELLINGS)
        for first, *others in (text.casefold().split(),)
        for other in others
    }
    known = _Known({}, {}, {}, {}, spellings)
    shades = {
        known.folded(word): each
        for each in base.shades.values()
        for word in (*each.also, each.name)
    }
    colours, coats, short = {}, {}, {}
    for value in base.features[COLOUR].values if COLOUR in base.features else ():
        names = (*value.also, value.name, *value.name.split("-or-"))
        colours.update({known.folded(word): value.name for word in names})
    for value in base.features[COATING].values if COATING in base.features else ():
        words = [known.folded(word) for word in (value.name, *value.also)]
        coats.update(dict.fromkeys(words, value.name))
        short[value.name] = min(words, key=lambda word: (len(word), word)).upper()
        if len(short[value.name]) > _LONGEST_SHORT:
            short[value.name] = value.name.replace("-", " ")
    return _Known(shades, colours, coats, short, spellings)


_LONGEST_SHORT = 5
"""A longer word is no abbreviation: then a coat is told by its name."""
