"""What of a piece is compared with sales, and the settings of the rules for it."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterable, Mapping

from markrules.appraisal.condition import Condition, GradeStep, Ladder, ladder
from markrules.appraisal.findings import speaks
from markrules.appraisal.known_at_sale import known_of
from markrules.frozen import dataclass
from markrules.inference.reading import IN_PART, NOT_READ, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.marks.kept import kept_vocabulary
from markrules.marks.metal import find_metal_marks
from markrules.marks.reading_variants import letters_of_a_name

DAYS_A_YEAR = 365.25
"""The mean over four years."""
_UNSIGNED = ""

_POOL = (
    "type",
    "maker",
    "esteem",
    "make",
    "signed",
    "era",
    "material",
    "subject",
    "size",
    "condition",
    "grade",
    "condition-untold",
    "signed-untold",
    "time",
    "sold-together",
    "venue",
    "design",
    "noise",
    "untold-noise",
    "drift-noise",
)
"""The parts of a price; `price-by-NAME` of the rules tells how far each reaches, as a deviation of
log prices."""


@dataclass(frozen=True, slots=True)
class Fitting:
    """How prices are fitted: each is the setting `price-NAME`, with hyphens, of the rules.

    `odd_from`: spreads from the expected price on from which a price counts less; `odd_most`: the
    most that odd prices widen the variance, as a factor. `few_to_judge`, `few_to_fit`: with fewer
    sales none is called odd, and the reach of single groups of effects stays as the rules have
    it; `fit_gain`: the log evidence that another reach must gain to be taken. `sought_freedom`:
    degrees of freedom of the t prior of makers. `knot_years`, `knot_first`, `knot_last`: the knots
    of the curve of prices by age. `undated_years`: the age of a sale without a day. `design_told`:
    of maker, subject and size so many must be told to know a design again. `rise_told`: a yearly
    rise or fall of at least this share is said.
    """

    odd_from: float
    odd_most: float
    few_to_judge: float
    few_to_fit: float
    fit_gain: float
    sought_freedom: float
    knot_years: float
    knot_first: float
    knot_last: float
    undated_years: float
    design_told: float
    rise_told: float


@dataclass(frozen=True, slots=True)
class Profile:
    """What of a piece is compared with sales.

    `makers` are (names in lower case, probability); the empty set of names is the unknown
    maker. `grade` is the rank of its condition, None where it is not stated. `signed` is None
    where nobody looked, years where nothing seen tells of them.
    """

    piece_type: str
    makers: tuple[tuple[frozenset[str], float], ...]
    first_year: int | None
    last_year: int | None
    signed: bool | None
    grade: int | None
    materials: tuple[str, ...] = ()
    subjects: tuple[str, ...] = ()
    size_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Level:
    """How the trade esteems a maker: the name of the entry, and the logarithm of what its pieces
    bring beside those of an ordinary signed one.
    """

    name: str
    adds: float


@dataclass(frozen=True, eq=False, slots=True)
class LikenessSettings:
    """The settings of the comparison, read from the rules once.

    `types` holds the piece type of each word for one, `chains` the type itself and those
    broader, less the one that holds every piece. `levels` holds what is thought of makers before
    any sale, by each name as it is compared.
    """

    base: KnowledgeBase
    steps: Ladder
    pool: Mapping[str, float]
    types: Mapping[str, str]
    chains: Mapping[str, tuple[str, ...]]
    fitting: Fitting
    levels: Mapping[str, Level]

    def level_of(self, names: Iterable[str]) -> Level | None:
        """What is thought of a maker of these names; None where nothing is."""
        return next((self.levels[name] for name in names if name in self.levels), None)

    def taken_off(self, grade: GradeStep | None) -> float:
        """The logarithm of the share that a grade leaves; not stated: as most pieces are."""
        untold = int(self.base.setting("grade-when-untold"))
        usual = self.steps.grades[min(untold, len(self.steps.grades) - 1)]
        return math.log((grade or usual).share)

    def type_named(self, words: str) -> str:
        """The piece type that these words stand for; empty where the rules know none."""
        return self.types.get(" ".join(words.casefold().replace("-", " ").split()), "")


def measure(base: KnowledgeBase) -> LikenessSettings:
    """The comparison as the rules set it: the settings `price-by-NAME` for the names below."""
    pool = {name: base.setting(f"price-by-{name}") for name in _POOL}
    types = {
        " ".join(word.casefold().replace("-", " ").split()): name
        for name, piece in base.pieces.items()
        for word in (*piece.also, name)
    }
    chains = {name: below_root(base, name) for name in base.pieces}
    fitting = base.settings_as(Fitting, "price-")
    return LikenessSettings(base, ladder(base), pool, types, chains, fitting, _levels(base))


def _levels(base: KnowledgeBase) -> Mapping[str, Level]:
    """The esteem of makers by their names; a name that makers of unlike esteem share is none's."""
    found: dict[str, set[Level | None]] = {}
    of = {
        each.name: Level(entry.name, math.log(entry.brings))
        for entry in base.esteems.values()
        for each in entry.makers
    }
    for maker in base.makers:
        for name in _names(base, maker):
            found.setdefault(name, set()).add(of.get(maker))
    alone = {name: levels for name, levels in found.items() if len(levels) == 1}
    return {name: level for name, (level,) in alone.items() if level is not None}


def profile_of(base: KnowledgeBase, reading: Reading, condition: Condition) -> Profile:
    """The profile of a piece that was read."""
    known = known_of(base, reading)
    signature = unlisted_signature(base, reading)
    unlisted = frozenset({folded(signature)} - {""})
    makers = tuple(
        (_names(base, share.maker) if share.maker else unlisted, share.probability)
        for share in reading.makers[:8]
    )
    return Profile(
        piece_type=reading.piece_type,
        makers=makers,
        first_year=reading.date.span.first if reading.evidence else None,
        last_year=reading.date.span.last if reading.evidence else None,
        signed=signed(base, reading),
        grade=condition.grade.rank if condition.stated else None,
        materials=tuple(folded(each) for each in known.materials),
        subjects=tuple(folded(each) for each in known.subjects),
        size_mm=known.size_mm,
    )


def unlisted_signature(base: KnowledgeBase, reading: Reading) -> str:
    """The one legible signature of a maker in no list, as read: pieces that bear it are of one
    house, whoever that is. Empty without one, with several, or with so few letters that many
    share them.
    """
    least = base.setting("price-signature-letters")
    found = {
        each.text.strip()
        for each in reading.marks
        if each.unlisted and sum(sign.isalpha() for sign in each.text) >= least
    }
    return found.pop() if len(found) == 1 else ""


def signed(base: KnowledgeBase, reading: Reading) -> bool | None:
    """Whether a maker signed it: by the rules' word, a maker named surely enough, a legible mark
    that no list holds, a mark that nobody could read, letters struck with a mark of metal content,
    as many letters as a signature has where a part was read, or no mark. None where nothing tells:
    letters alone may be an owner's.
    """
    least = base.setting("maker-named")
    if any(share.maker and share.probability >= least for share in reading.makers):
        return True
    if any(each.unlisted or each.how == NOT_READ for each in reading.marks):
        return True
    if any(
        each.about == "signed" and each.effect != "done" for each in speaks(base, reading.findings)
    ):
        return True
    read = [each.text for each in reading.marks if each.how != "heard"]
    if any(find_metal_marks(text, base) for text in read):
        return True
    least, words = base.setting("price-signature-letters"), kept_vocabulary(base)
    in_part = [each.text for each in reading.marks if each.how == IN_PART]
    if any(letters_of_a_name(text, words) >= least for text in in_part):
        return True
    if any(sum(sign.isalpha() for sign in text) > 1 for text in read):
        return None
    marks = [each for each in reading.observations if each.feature == "mark" and not each.heard]
    return False if marks else None


def below_root(base: KnowledgeBase, piece_type: str) -> tuple[str, ...]:
    """The type and all broader ones, nearest first, less the broadest, that holds every piece."""
    chain = base.broader(piece_type)
    roots = [each for each in base.pieces.values() if each.under is None]
    return chain[:-1] if len(roots) == 1 and len(base.pieces) > 1 else chain


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
        return frozenset({folded(name)} - {_UNSIGNED})
    return frozenset(folded(each) for each in (maker.name, maker.title, *maker.also))


def folded(text: str) -> str:
    """Lower case, single spaces, letters and figures only: names of makers as they are compared."""
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())
