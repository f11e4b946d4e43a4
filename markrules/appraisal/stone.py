"""A stone as it is looked for or described, and words for stones that say the same."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markrules.appraisal.colours import Lab
from markrules.appraisal.shades import stone_colour
from markrules.appraisal.stone_sizes import stone_size
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.notes.vocabulary import PART_SIZE

FEATURES = {
    "shape": "outline",
    "cut": "stone-cut",
    "back": "stone-back",
    "colour": "colour",
    "size": "stone-measure",
}
"""The features of the rules that describe a stone."""

COATING = "stone-coating"
"""What stones are coated with stands beside their colour."""

SYNONYMS = {"shape": "stone-cut", "cut": "stone-cut", "back": "stone-back"}
"""Where the rules list words that say the same; outlines are too broad to tell shapes apart."""


@dataclass(frozen=True, slots=True)
class Stone:
    """A stone as looked for or described. Empty or None is what nobody said.

    `size_mm` is (least, most) of a round stone or of the longer side, `across_mm` of the shorter
    side of one that has two. `lab` stands before `colour` where both are given.
    """

    shape: str = ""
    size_mm: tuple[float, float] | None = None
    colour: str = ""
    lab: Lab | None = None
    cut: str = ""
    back: str = ""
    across_mm: tuple[float, float] | None = None


_TWO_SIDES = re.compile(
    r"(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:mm)?\s*(?:x|×|\*|by)\s*(\d{1,3}(?:[.,]\d{1,2})?)\s*(?:mm)?",
    re.IGNORECASE | re.ASCII,
)


@dataclass(frozen=True, slots=True)
class Measure:
    """The size of a stone in millimetres, each as (least, most): its longer side or its width if
    round, and its shorter side where it has two.
    """

    long: tuple[float, float]
    across: tuple[float, float] | None = None

    @property
    def words(self) -> str:
        """As a person writes it: `10 × 5 mm`, `4 mm`, `3.8 to 4 mm`."""
        sides = [self.long, *((self.across,) if self.across is not None else ())]
        said = [f"{a:g}" if a == b else f"{a:g} to {b:g}" for a, b in sides]
        return f"{' × '.join(said)} mm"


def measured(base: KnowledgeBase, text: str) -> Measure | None:
    """The size that `10x5`, `10 × 5 mm`, `4 mm`, `SS16` or `PP24` tells; None for anything else."""
    two = _TWO_SIDES.fullmatch(text.strip())
    if two is None:
        one = sized(base, text)
        return Measure(one) if one is not None else None
    sides = sorted((float(each.replace(",", ".")) for each in two.groups()), reverse=True)
    if not sides[1] > 0:
        return None
    return Measure((sides[0], sides[0]), (sides[1], sides[1]))


def sized(base: KnowledgeBase, text: str) -> tuple[float, float] | None:
    """Least and most millimetres of `4 mm`, `3.8`, `SS16` or `PP24`; None where it is neither."""
    plain = text.strip().casefold().removesuffix("mm").strip().replace(",", ".")
    try:
        number = float(plain)
    except ValueError:
        size = stone_size(base, text)
        return (size.low_mm, size.high_mm) if size is not None else None
    return (number, number) if 0 < number < 1000 else None


def stone_of(base: KnowledgeBase, observations: Sequence[Observation], note: str = "") -> Stone:
    """The stone that a piece is set with, as far as it was described. Values are the rules', but
    for a colour that the trade has a name for.

    Where no size of a stone was told as such, the size of a part counts, if it is no larger than
    stones are, or else a size code of the note: SS29.
    """
    seen = [each for each in observations if each.state == "seen" and not each.heard]

    def value(what: str) -> str:
        return next((e.value for e in seen if e.feature == FEATURES[what] and e.value), "")

    sizes = [e.number for e in seen if e.feature == FEATURES["size"] and e.number is not None]
    size = Measure((sizes[-1], sizes[-1])) if sizes else _size_told(base, seen, note)
    shape = next((e.words or e.value for e in seen if e.feature == FEATURES["shape"]), "")
    shades = (e.words for e in seen if e.feature == FEATURES["colour"])
    colour = next((words for words in shades if stone_colour(base, words).shade), value("colour"))
    coats = (e.words for e in seen if e.feature == COATING and e.words)
    coat = next((words for words in coats if stone_colour(base, words).coat), "")
    if coat and not stone_colour(base, colour).coat:
        colour = f"{plain(colour)} {coat}".strip()
    long, across = (size.long, size.across) if size is not None else (None, None)
    return Stone(shape, long, colour, None, value("cut"), value("back"), across)


def _size_told(base: KnowledgeBase, seen: Sequence[Observation], note: str) -> Measure | None:
    parts = (measured(base, each.value) for each in seen if each.feature == PART_SIZE)
    largest = base.setting("stone-largest")
    for size in parts:
        if size is not None and size.long[1] <= largest:
            return size
    codes = (measured(base, each[0]) for each in _CODE.finditer(note))
    return next((each for each in codes if each is not None), None)


_CODE = re.compile(r"\b[a-z]{2}\s?\d{1,2}\b", re.IGNORECASE | re.ASCII)


def apart_mm(one: tuple[float, float] | None, other: tuple[float, float] | None) -> float | None:
    """How far two ranges of sizes lie apart in millimetres; None where one is not known."""
    if one is None or other is None:
        return None
    return round(max(0.0, one[0] - other[1], other[0] - one[1]), 6)


def alike(base: KnowledgeBase, what: str, one: str, other: str) -> bool:
    """Whether two words for a shape, cut or back say the same, as far as the rules know."""
    values = [value_named(base, SYNONYMS[what], each) for each in (one, other)]
    bare = {plain(each).removesuffix(" cut") for each in (one, other)}
    return len(bare) == 1 or (values[0] != "" and values[0] == values[1])


def value_named(base: KnowledgeBase, feature: str, words: str) -> str:
    """The value of a feature of the rules that these words stand for; empty where none does."""
    entry, wanted = base.features.get(feature), plain(words)
    for value in entry.values if entry is not None else ():
        if wanted in (plain(value.name), *map(plain, value.also)):
            return value.name
    return ""


def plain(text: str) -> str:
    """Lower case, single spaces, hyphens as spaces."""
    return " ".join(text.casefold().replace("-", " ").split())
