"""Season codes that stand alone on a piece: `94 P` on the plaque of a house named beside it.

A register of letters whose name ends in `-season` is read so where the house is told of by the
words that its `reads` begin with.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.tree import Register, Row
from markrules.late import FIGURES, late

SEASON = "-season"
_NAMING = ("mark", "told-maker", "label")
"""Features whose words tell of a house."""

_SIGNS = late(r"[^0-9A-Z]")
_BETWEEN = late(r"(?<=[0-9])[A-Z]{2,}(?=[0-9])")
"""The linked initials of a house between the figures of a code."""

_CODE_IN_A_NOTE = late(
    r"(?<![\w.,/'’-])"
    r"(?:[0-9] ?[A-Z]{2} ?[0-9]|[0-9]{2} ?(?:[A-Z]{2} ?)?[A-Z]|[A-Z] ?[0-9]{2} ?[A-Z])"
    r"(?![\w'’/-])",
    among=FIGURES,
)
"""What may be a season: `2 CC 8`, `97 A`, `02 CC P`, `B14A`."""
_OF_A_LINE = late(r"[A-Z](?=[0-9]{2}[A-Z]$)")
"""A letter before a season, which tells of what line of goods it is: `B 14 A`."""


def season_observations(
    observations: Sequence[Observation], base: KnowledgeBase
) -> tuple[Observation, ...]:
    """The years of the season codes among the marks that were seen, one for each register.

    None for a register that was read already, or whose house nothing tells of.
    """
    marks = [each for each in observations if _is_mark(each)]
    if not marks:
        return ()
    told = " ".join(
        f"{each.value} {each.words}" for each in observations if each.feature in _NAMING
    ).casefold()
    known = {each.feature for each in observations}
    found: list[Observation] = []
    for register in _of_houses_told(told, base):
        if register.name in known:
            continue
        codes = ((each, _row(register, each.value)) for each in marks)
        read = next(((each, row) for each, row in codes if row is not None), None)
        if read is not None and (first := read[1].first) is not None:
            each, row = read
            years = (first, row.last if row.last is not None else first)
            found.append(
                Observation(
                    register.name,
                    row.key,
                    years=years,
                    certainty=each.certainty,
                    words=each.words,
                )
            )
    return tuple(found)


def stray_season(note: str, observations: Sequence[Observation], base: KnowledgeBase) -> str:
    """A season code anywhere in a note that tells of its house, where no text on the piece holds
    one: `Chanel, season code 97 A`. Empty where there is none.
    """
    codes = _CODE_IN_A_NOTE.findall(note)
    if not codes:
        return ""
    told = [each for each in observations if each.feature in _NAMING]
    words = " ".join(f"{each.value} {each.words}" for each in told).casefold()
    for register in _of_houses_told(words, base):
        if any(_row(register, each.value or "") for each in told):
            continue
        for code in codes:
            if _row(register, code) is not None:
                return str(code)
    return ""


def _of_houses_told(words: str, base: KnowledgeBase) -> Iterator[Register]:
    """The registers of seasons whose house some words, in small letters, tell of."""
    # By name: to look into a register makes all its rows, and a short note pays for it when cold.
    for name in base.registers:
        if name.endswith(SEASON):
            register = base.registers[name]
            if any(house in words for house in _houses(register)):
                yield register


def is_season_code(text: str, observations: Sequence[Observation], base: KnowledgeBase) -> bool:
    """Whether a text on a piece is the season code that was read among these: it names nobody."""
    return any(
        (row := _row(base.registers[each.feature], text)) is not None and row.key == each.value
        for each in observations
        if each.feature.endswith(SEASON) and each.feature in base.registers
    )


def _is_mark(each: Observation) -> bool:
    return each.feature == "mark" and each.state == "seen" and not each.heard and bool(each.value)


def _houses(register: Register) -> Iterator[str]:
    """The first words of what the register is read by, which name the house."""
    for words in register.reads:
        house = words.split()[0].casefold()
        if house.isalpha() and len(house) > 1:
            yield house


def _row(register: Register, text: str) -> Row | None:
    """The row of a code, however it is spaced and whatever signs stand in it; initials that stand
    between the figures of some rows may stand before the letter of others too.

    A code of two figures alone is none: too much else on a piece is two figures.
    """
    plain = _SIGNS.sub("", text.upper())
    for house in _houses(register):
        plain = plain.replace(house.upper(), "")
    if plain.isdigit():
        return None
    initials = {found[0] for row in register.rows for found in _BETWEEN.finditer(row.key)}
    bare = (re.sub(rf"(?<=[0-9]){each}(?=[A-Z]$)", "", plain) for each in sorted(initials))
    keys = (plain, *bare, *([plain[1:]] if _OF_A_LINE.match(plain) else []))
    return next((row for key in keys for row in register.rows if row.key == key), None)
