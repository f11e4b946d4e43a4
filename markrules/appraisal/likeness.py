"""How much a sale tells of a piece: one share for each thing compared, multiplied."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from markrules.appraisal.condition import Condition, Ladder, ladder
from markrules.appraisal.findings import speaks
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase

DAYS_A_YEAR = 365.25
_UNSIGNED = ""


@dataclass(frozen=True, slots=True)
class Profile:
    """What of a piece is compared with sales.

    `makers` are (names in lower case, probability); the empty set of names is the unknown
    maker. `grade` is the rank of its condition. `signed` is None where nobody looked.
    """

    piece_type: str
    makers: tuple[tuple[frozenset[str], float], ...]
    first_year: int
    last_year: int
    signed: bool | None
    grade: int


@dataclass(frozen=True, slots=True)
class Likeness:
    """The shares, each from 0 to 1; their product is the weight of the sale."""

    maker: float
    piece_type: float
    era: float
    signed: float
    condition: float
    recency: float

    @property
    def weight(self) -> float:
        """How much of a full sale it counts as."""
        alike = self.maker * self.piece_type * self.era * self.signed
        return alike * self.condition * self.recency


@dataclass(frozen=True, eq=False, slots=True)
class Measure:
    """The settings of the comparison, read from the rules once.

    `types` holds the piece type of each word for one, `chains` the type itself and those
    broader, less the one that holds every piece.
    """

    base: KnowledgeBase
    steps: Ladder
    like: Mapping[str, float]
    types: Mapping[str, str]
    chains: Mapping[str, tuple[str, ...]]

    def type_named(self, words: str) -> str:
        """The piece type that these words stand for; empty where the rules know none."""
        return self.types.get(" ".join(words.casefold().replace("-", " ").split()), "")


def measure(base: KnowledgeBase) -> Measure:
    """The comparison as the rules set it: the settings whose names begin with `like-`."""
    like = {
        name.removeprefix("like-"): entry.value
        for name, entry in base.settings.items()
        if name.startswith("like-")
    }
    types = {
        " ".join(word.casefold().replace("-", " ").split()): name
        for name, piece in base.pieces.items()
        for word in (*piece.also, name)
    }
    chains = {name: below_root(base, name) for name in base.pieces}
    return Measure(base, ladder(base), like, types, chains)


def profile_of(base: KnowledgeBase, reading: Reading, condition: Condition) -> Profile:
    """The profile of a piece that was read. A condition not stated counts as an untold sale's."""
    untold = int(base.setting("grade-when-untold", 1))
    makers = tuple((_names(base, share.maker), share.probability) for share in reading.makers[:8])
    return Profile(
        piece_type=reading.piece_type,
        makers=makers,
        first_year=reading.date.range.first,
        last_year=reading.date.range.last,
        signed=signed(base, reading),
        grade=condition.grade.rank if condition.stated else untold,
    )


def signed(base: KnowledgeBase, reading: Reading) -> bool | None:
    """Whether a maker signed it: by the rules' word, a maker named surely enough, a legible mark
    that no list holds, or no mark.
    """
    least = base.setting("maker-named", 0.6)
    if any(share.maker and share.probability >= least for share in reading.makers):
        return True
    if any(each.unlisted for each in reading.marks):
        return True
    if any(each.about == "signed" for each in speaks(base, reading.findings)):
        return True
    marks = [each for each in reading.observations if each.feature == "mark" and not each.heard]
    return False if marks else None


def likeness(compared: Measure, piece: Profile, sale: Sale, today: datetime.date) -> Likeness:
    """How like the piece a sale is, and how fresh. A date that cannot be read counts as old."""
    return Likeness(
        maker=_maker(compared, piece, sale),
        piece_type=_type(compared, piece.piece_type, compared.type_named(sale.piece_type)),
        era=_era(compared, piece, sale),
        signed=_signed(compared, piece, sale),
        condition=_condition(compared, piece, sale),
        recency=_recency(compared, sale.when, today),
    )


def _maker(compared: Measure, piece: Profile, sale: Sale) -> float:
    if not sale.maker.strip():
        if sale.signed is False:
            return (
                sum(
                    share * (1.0 if not names else compared.like.get("other-maker", 0.15))
                    for names, share in piece.makers
                )
                or 1.0
            )
        return compared.like.get("maker-untold", 0.6)
    sold, other = _folded(sale.maker), compared.like.get("other-maker", 0.15)
    named = sum(share for names, share in piece.makers if sold in names)
    return min(1.0, named + (1 - named) * other)


def _type(compared: Measure, piece: str, sold: str) -> float:
    own, other = compared.chains.get(piece, ()), compared.chains.get(sold, ())
    if not own or not other:
        return compared.like.get("type-untold", 0.3)
    if piece == sold:
        return 1.0
    if sold in own or piece in other:
        return compared.like.get("narrower-type", 0.7)
    return compared.like.get("cousin-type", 0.25) if set(own) & set(other) else 0.0


def below_root(base: KnowledgeBase, piece_type: str) -> tuple[str, ...]:
    """The type and all broader ones, nearest first, less the broadest, that holds every piece."""
    chain = base.broader(piece_type)
    roots = [each for each in base.pieces.values() if each.under is None]
    return chain[:-1] if len(roots) == 1 and len(base.pieces) > 1 else chain


def _era(compared: Measure, piece: Profile, sale: Sale) -> float:
    """The overlap coefficient of the two stretches: shared years over those of the shorter."""
    if sale.first_year is None and sale.last_year is None:
        return compared.like.get("era-untold", 0.6)
    first = sale.first_year if sale.first_year is not None else sale.last_year or 0
    last = sale.last_year if sale.last_year is not None else first
    shared = min(last, piece.last_year) - max(first, piece.first_year) + 1
    shorter = max(1, min(last - first, piece.last_year - piece.first_year) + 1)
    overlap = min(1.0, max(0.0, shared / shorter))
    least = compared.like.get("era-apart", 0.25)
    return least + (1 - least) * overlap


def _signed(compared: Measure, piece: Profile, sale: Sale) -> float:
    sold = True if sale.maker.strip() else sale.signed
    if sold is None or piece.signed is None:
        return compared.like.get("signed-untold", 0.7)
    return 1.0 if sold == piece.signed else compared.like.get("signed-other", 0.3)


def _condition(compared: Measure, piece: Profile, sale: Sale) -> float:
    grade = compared.steps.in_words(sale.condition)
    if grade is None:
        return compared.like.get("grade-untold", 0.8)
    return float(compared.like.get("grade-step", 0.8) ** abs(grade.rank - piece.grade))


def _recency(compared: Measure, when: str, today: datetime.date) -> float:
    half = max(0.01, compared.like.get("half-years", 4.0))
    day = day_of(when)
    years = (today - day).days / DAYS_A_YEAR if day is not None else 3 * half
    return float(0.5 ** (max(0.0, years) / half))


def day_of(text: str) -> datetime.date | None:
    """The day of an ISO 8601 date, or the middle of a year or month alone; None if neither."""
    parts = text.strip()[:10].split("-")
    try:
        year, *rest = (int(part) for part in parts)
        month = rest[0] if rest else 7
        day = rest[1] if len(rest) > 1 else (15 if rest else 1)
        return datetime.date(year, month, day)
    except ValueError:
        return None


def _names(base: KnowledgeBase, name: str) -> frozenset[str]:
    maker = base.makers.get(name)
    if maker is None:
        return frozenset({_folded(name)} - {_UNSIGNED})
    return frozenset(_folded(each) for each in (maker.name, maker.title, *maker.also))


def _folded(text: str) -> str:
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())
