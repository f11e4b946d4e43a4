"""British and Nordic date letters: all years that fit what was seen, each with its likelihood.

An office's table is the letter register named after it (`birmingham-date-letter` for the
value `birmingham` of the feature `hallmark-office`). How often case, style and shield are
misjudged stands in the rules, and so does the doubt about rows written from memory.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.tree import Register, Row
from markrules.late import FIGURES, late
from markrules.marks.mark_shares import letter_shares
from markrules.marks.registers import letter_rows, spread
from markrules.named_tuple import NamedTuple

_TABLE = "-date-letter"
_TWINS = {"I": "J", "J": "I"}


class YearWeight(NamedTuple):
    """A year and how likely it is among the years that fit; the likelihoods add to 1."""

    year: int
    weight: float


@dataclass(frozen=True, slots=True)
class SeenLetter:
    """What was seen of a date letter; None where nobody told.

    `letters` are all letters that it can be. `case`, `style` and `shield` are value names of
    the features `date-letter-case`, `date-letter-style` and `date-letter-shield`.
    """

    letters: tuple[str, ...]
    case: str | None = None
    style: str | None = None
    shield: str | None = None


def date_letter_years(
    base: KnowledgeBase,
    office: str | None,
    letter: str,
    *,
    style: str | None = None,
    shield: str | None = None,
    case: str | None = None,
) -> tuple[YearWeight, ...]:
    """All years in which the office, or any office, used a letter like this one.

    Without `case` the letter as written down counts a little. `[CG]` and `C or G` offer
    several letters. Empty where no table has the letter.
    """
    seen = SeenLetter(_letters(letter), case, style, shield)
    tables = _tables(base, office, "")
    weighed = [pair for register, share in tables for pair in _rows(base, register, seen, share)]
    return tuple(YearWeight(*pair) for pair in spread(_with_doubt(base, weighed)))


def hallmark_observations(
    observations: Sequence[Observation], base: KnowledgeBase
) -> tuple[Observation, ...]:
    """The years that the date letter and the office seen together stand for.

    One observation on the office's register, with a weight for each year; none where no date
    letter was seen, or no table has it. Without an office all offices are weighed by how
    often they are met, and the likeliest lends its register.
    """
    seen = [each for each in observations if each.state == "seen" and not each.heard]
    letter = next((each for each in seen if each.feature == "date-letter" and each.value), None)
    if letter is None:
        letter = _stamped_letter(seen, base)
    if letter is None:
        return ()
    values = {each.feature: each.value for each in seen}
    office = values.get("hallmark-office")
    look = SeenLetter(
        _letters(letter.value), *(values.get(f"date-letter-{part}") for part in _LOOK)
    )
    tables = _tables(base, office, _told_by(seen))
    by_table = [(register, _rows(base, register, look, share)) for register, share in tables]
    return _observed(base, letter, office, by_table)


_LOOK = ("case", "style", "shield")


def _observed(
    base: KnowledgeBase,
    letter: Observation,
    office: str | None,
    by_table: Sequence[tuple[Register, list[tuple[Row, float]]]],
) -> tuple[Observation, ...]:
    years = spread(_with_doubt(base, [pair for _, rows in by_table for pair in rows]))
    if not years:
        return ()
    register, _ = max(by_table, key=lambda table: sum(weight for _, weight in table[1]))
    assumed = "" if office else "no office was told: all of them are weighed"
    return (
        Observation(
            register.name,
            letter.value,
            years=(years[0][0], years[-1][0]),
            certainty=letter.certainty,
            words=letter.words,
            assumed=assumed,
            weights=years,
        ),
    )


_YEAR_MARK = "-year-mark"
_CODE = late(r"[^\W\d_][0-9]{1,2}", among=FIGURES)
_FINENESS_OF_A_LAND = late(r"(?<!\w)[0-9]{3} ?[A-Z](?!\w)", among=FIGURES)
_CODE_IN_A_NOTE = late(
    r"(?<![\w.,/'’-])(?<!size )([A-Z])([1-9][0-9]?)(?![\w.,/'’-]*\w)", among=FIGURES
)


def _stamped_letter(seen: Sequence[Observation], base: KnowledgeBase) -> Observation | None:
    """A stamped letter and number (`T9`) beside the marks of a land that dates its work so."""
    codes = (each for each in seen if each.feature == "mark" and _CODE.fullmatch(each.value))
    code = next(codes, None)
    return code if code is not None and _of_the_land(base, _told_by(seen)) else None


def is_year_code(text: str, seen: Sequence[Observation], base: KnowledgeBase) -> bool:
    """Whether a letter and its number are the year mark of a land that the rest tells of."""
    return bool(_CODE.fullmatch(text) and _of_the_land(base, _told_by(seen)))


_OF_THE_LAND = ("mark", "metal", "hallmark-mark", "date-letter", "said-origin", "fineness-told")
"""Features whose values and words may tell of what land the marks are."""


def stray_year_code(note: str, seen: Sequence[Observation], base: KnowledgeBase) -> str:
    """A letter and its number anywhere in a note that are the year mark of a land that the rest
    tells of, where none is among what was seen: `T9 and three crowns`. Empty where there is none.
    """
    found = _CODE_IN_A_NOTE.findall(note)
    if not found or any(_CODE.fullmatch(each.value or "") for each in seen):
        return ""
    # A fineness with the letter of its land may have been read without the letter: `925H U7`.
    stamped = "".join(_FINENESS_OF_A_LAND.findall(note)[:1])
    registers = _of_the_land(base, f"{_told_by(seen)} {stamped.casefold()} ")
    codes = ("".join(each) for each in found)
    code = next((each for each in codes if any(letter_rows(one, each) for one in registers)), "")
    return f"{stamped} {code}" if code and stamped else code


def _told_by(seen: Sequence[Observation]) -> str:
    """All that may tell of what land the marks are: texts, hallmarks, and how it was said."""
    told = [
        text
        for each in seen
        if each.feature in _OF_THE_LAND
        for text in (each.value.replace("-", " "), each.words)
    ]
    return f" {' '.join(told).casefold()} "


def _of_the_land(base: KnowledgeBase, told: str) -> list[Register]:
    """The year marks of the lands that are told of, by the words with which they are read."""
    return [
        register
        for name, register in base.registers.items()
        if name.endswith(_YEAR_MARK)
        and any(
            f" {words.strip(' #').casefold()} " in told
            for words in (name.removesuffix(_YEAR_MARK), *register.reads)
        )
    ]


def _tables(base: KnowledgeBase, office: str | None, told: str) -> list[tuple[Register, float]]:
    """The letter tables to look into, with how often each is met; the office's alone if told,
    or else those of the land that is told of.
    """
    own = [] if office else _of_the_land(base, told)
    if own:
        return [(register, 1.0) for register in own]
    feature = base.features.get("hallmark-office")
    untold = letter_shares(base).office_untold
    shares = {value.name: value.share or untold for value in feature.values} if feature else {}
    offices = [office] if office else list(shares)
    named = [(base.registers.get(f"{each}{_TABLE}"), shares.get(each, untold)) for each in offices]
    tables = [(register, share) for register, share in named if register is not None]
    if not office:
        tables += [
            (register, untold)
            for name, register in base.registers.items()
            if register.kind == "letter" and name.endswith(_YEAR_MARK)
        ]
    return tables


def _letters(text: str) -> tuple[str, ...]:
    """The letters that were read: `R`, `[CG]`, `C or G`, `C/G`, `Z7`; marks of doubt dropped."""
    plain = text.strip().strip("?~'\"().").strip()
    if re.fullmatch(r"[^\W\d_] ?[0-9]{1,2}", plain):
        return (plain.replace(" ", ""),)
    choice = re.fullmatch(r"\[([^\W\d_]{2,6})\]", text.strip("?~ "))
    if choice:
        return tuple(choice[1])
    parts = re.split(r"\s*(?:/|,|\bor\b)\s*", plain[:40])
    return tuple(part for part in parts if re.fullmatch(r"[^\W\d_]", part))


def _rows(
    base: KnowledgeBase, register: Register, seen: SeenLetter, share: float
) -> list[tuple[Row, float]]:
    """The rows that can be meant, each with how well it fits what was seen."""
    found: list[tuple[Row, float]] = []
    for letter in seen.letters:
        rows = [(row, 1.0) for row in letter_rows(register, letter)]
        twin = _TWINS.get(letter.upper())
        if twin:
            slip = base.setting("letter-twin-slip")
            rows += [(row, slip) for row in letter_rows(register, twin)]
        found += [(row, fit * share * _fit(base, row, letter, seen)) for row, fit in rows]
    return found


def _fit(base: KnowledgeBase, row: Row, letter: str, seen: SeenLetter) -> float:
    told = dict(row.qualifiers)
    typed = "capital" if letter.isupper() else "small"
    case_slip = "letter-case-slip" if seen.case else "typed-case-slip"
    case = _agreement(told.get("case", ""), seen.case or typed, base.setting(case_slip))
    style = _agreement(told.get("style", ""), seen.style, base.setting("letter-style-slip"))
    shield = _agreement(told.get("shield", ""), seen.shield, base.setting("letter-shield-slip"))
    return case * style * shield


def _agreement(told: str, seen: str | None, slip: float) -> float:
    """How likely a look gives `seen` where the table says `told`: 1 less the slip, or the slip.

    Halfway between where the table or the observer says nothing.
    """
    if not told or not seen:
        return 0.5  # as likely as not, whatever the slip: (1 - slip + slip) / 2
    agrees = seen.replace("-", " ") in told.replace("-", " ")
    return 1 - slip if agrees else slip


def _with_doubt(base: KnowledgeBase, rows: Iterable[tuple[Row, float]]) -> list[tuple[Row, float]]:
    """The rows, with the doubt about each spread over the two years before and after it."""
    spread_out: list[tuple[Row, float]] = []
    shares = letter_shares(base)
    # Of what is off, a half lies before and a half behind.
    by_two = 1 / (2 * (shares.off_by_one + 1))
    by_one = shares.off_by_one * by_two
    for row, weight in rows:
        trust = base.trusts.get(row.trust.name) if row.trust else None
        doubt = trust.misread if trust else shares.row_doubt
        spread_out.append((row, weight * (1 - doubt)))
        for step, part in ((-2, by_two), (-1, by_one), (1, by_one), (2, by_two)):
            spread_out.append((_moved(row, step), weight * doubt * part))
    return spread_out


def _moved(row: Row, step: int) -> Row:
    first, last = row.first or 0, row.last or row.first or 0
    return Row(row.key, first + step, last + step)
