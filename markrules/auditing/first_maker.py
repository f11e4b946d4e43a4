"""Whether the first maker that a reading names is the one that a source states."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping

from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.language.tree import Maker


@dataclass(frozen=True, slots=True)
class MakersMeant:
    """The makers of the rules that a source may mean, and the first that the reading names.

    `chance` is the probability that the reading gave it.
    """

    stated: frozenset[str]
    first: str
    chance: float

    @property
    def right(self) -> bool:
        """Whether the first of the makers named is one that the source may mean."""
        return self.first in self.stated


def attribution(
    stated_maker: str, reading: Reading, makers: Mapping[str, Maker]
) -> MakersMeant | None:
    """The reading's first maker beside the stated one.

    None where nothing on the piece bears a mark, or where no maker of the rules is stated:
    the unlisted maker stands apart and is not a choice.
    """
    stated = makers_named(stated_maker, makers)
    marked = any(each.feature == "mark" for each in reading.observations)
    if not stated or not marked:
        return None
    named = [each for each in reading.makers if each.maker]
    if not named:
        return MakersMeant(stated, "", 0.0)
    return MakersMeant(stated, named[0].maker, named[0].probability)


def makers_named(text: str, makers: Mapping[str, Maker]) -> frozenset[str]:
    """The makers of the rules whose name stands in a text, as whole words."""
    said = f" {_plain(text)} "
    return frozenset(
        name
        for name, maker in makers.items()
        if any(f" {each} " in said for each in _names(maker) if each)
    )


def _names(maker: Maker) -> list[str]:
    """The names that a text would use: the title as far as its first comma, and the others."""
    short = re.split(r",| & | \(", maker.title, maxsplit=1)[0]
    return [_plain(short), *(_plain(each) for each in maker.also)]


def _plain(text: str) -> str:
    folded = unicodedata.normalize("NFKD", text.casefold())
    letters = "".join(each for each in folded if not unicodedata.combining(each))
    return " ".join(re.findall(r"[\w']+", letters))
