"""Colours as CIE Lab, by name or sampled, and how far apart two of them look.

The colour arithmetic is coloraide's; it is loaded when first needed.
"""

from __future__ import annotations

from typing import TypeAlias

from markrules.appraisal.shades import srgb, stone_colour
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.builtin import COLOUR

Lab: TypeAlias = tuple[float, float, float]
"""CIE L*a*b* for the D65 illuminant, as screens and photos use it."""

_TRIES = ("", "dark", "light")


@dataclass(frozen=True, slots=True)
class NamedColour:
    """The Lab of a colour name; `exact` is False where only its family of colours was known."""

    lab: Lab
    exact: bool


def difference(one: Lab, other: Lab) -> float:
    """The CIEDE2000 colour difference (ISO/CIE 11664-6); 1 is about the least that is seen."""
    from coloraide import Color

    return float(Color("lab-d65", list(one)).delta_e(Color("lab-d65", list(other)), method="2000"))


def lab_of_srgb(red: float, green: float, blue: float) -> Lab:
    """Lab of an sRGB colour (IEC 61966-2-1), each part from 0 to 255."""
    from coloraide import Color

    found = Color("srgb", [red / 255, green / 255, blue / 255]).convert("lab-d65").coords()
    return float(found[0]), float(found[1]), float(found[2])


def lab_of_name(base: KnowledgeBase, name: str) -> NamedColour | None:
    """The Lab of a colour name: a shade of the rules, a CSS colour (CSS Color Module Level 4), or
    a colour of the rules.

    A colour of the rules counts as the CSS colour that its value's name begins or ends with,
    and is not exact. None where neither knows it.
    """
    called = stone_colour(base, name)
    if called.shade:
        return NamedColour(lab_of_srgb(*srgb(base.shades[called.shade])), exact=True)
    words = " ".join((called.words if called.coat else name).casefold().replace("-", " ").split())
    direct = _css("".join(words.split()))
    if direct is not None:
        return NamedColour(direct, exact=True)
    shade = next((each for each in _TRIES if each and words.startswith(each + " ")), "")
    for wanted in (words, words.removeprefix(shade + " ") if shade else words):
        value = colour_value(base, wanted)
        for part in (value or "").split("-"):
            found = _css(shade + part) or _css(part)
            if found is not None:
                return NamedColour(found, exact=False)
    return None


def colour_value(base: KnowledgeBase, words: str) -> str | None:
    """The value of the rules' feature `colour` that these words stand for."""
    feature = base.features.get(COLOUR)
    for value in feature.values if feature is not None else ():
        names = {value.name.replace("-", " "), *(each.casefold() for each in value.also)}
        if words in names or f"{words} coloured" in names:
            return value.name
    return None


def _css(name: str) -> Lab | None:
    if not name.isalpha() or name == "transparent":
        return None
    from coloraide import Color

    try:
        found = Color(name).convert("lab-d65").coords()
    except (ValueError, KeyError):
        return None
    return float(found[0]), float(found[1]), float(found[2])
