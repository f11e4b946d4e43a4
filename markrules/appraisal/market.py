"""What prices hang on, as far as sold prices tell: one fitted model for all sales in a currency.

The logarithm of a price is a sum of what its type, maker, signature, years, condition, material,
size and subject add, each pooled towards nothing where few sales tell of it, and of the day it
was sold. How far each usually reaches are settings of the rules.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from markrules.appraisal.condition import GradeStep
from markrules.appraisal.likeness import (
    DAYS_A_YEAR,
    Fitting,
    Level,
    LikenessSettings,
    Profile,
    day_of,
    folded,
)
from markrules.appraisal.pooled import (
    LEVEL,
    Design,
    FittedModel,
    NoisePrior,
    Observed,
    fitted,
    sums_of,
)
from markrules.appraisal.weighted import weighted_quantile
from markrules.catalogue.amounts import decimals_of
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass

SCALES = (0.5, 0.8, 1.25, 2.0)
"""How far effects may reach beside what the rules say; each is weighed by how well it fits."""
MAD_TO_SD = 1.4826
"""The median distance from the median, times this, is the standard deviation of normal data:
1 / Phi^-1(3/4); Rousseeuw and Croux, Journal of the American Statistical Association 88 (1993)."""
MOST_TOKENS = 6
"""Words of a material or subject that count: a listing may name everything."""
UNKNOWN_MAKER = "?"
_GROUPS = ("maker", "type", "make", "era", "material", "grade", "size", "time")
"""Groups of effects whose reach is fitted, those that matter most first."""
_STEPS = (0.4, 2.0)
"""Parts of its usual reach that are tried for each group of effects."""


@dataclass(frozen=True, eq=False, slots=True)
class Market:
    """The sales of one currency as fitted.

    `rows` stand beside `sales`; `offset` was taken off each logarithm; `fits` come with their
    shares of belief. `tails` is how much larger the variance is with odd prices at full weight.
    `trend` is how much prices rise in a year, as a logarithm.
    """

    compared: LikenessSettings
    currency: str
    sales: tuple[Sale, ...]
    rows: tuple[Observed, ...]
    fits: tuple[tuple[FittedModel, float], ...]
    offset: float
    usual_size: float
    tails: float
    types: frozenset[str]
    makers: Mapping[str, int]

    @property
    def trend(self) -> float:
        """The logarithm by which prices rise in a year, by the sales' own days."""
        return -math.fsum(share * fit.effects.get("time", 0.0) for fit, share in self.fits)


def market(
    compared: LikenessSettings, sales: Sequence[Sale], currency: str, today: datetime.date
) -> Market | None:
    """The market that these sales show, all in the one currency; None without any."""
    if not sales:
        return None
    sizes = [math.log(sale.size_mm) for sale in sales if sale.size_mm]
    # Where no sale tells a size any will do: without one there is no effect of size.
    usual = weighted_quantile(sizes, [1.0] * len(sizes), 0.5) if sizes else math.log(40.0)
    logs = [math.log(paid(sale)) for sale in sales]
    offset = weighted_quantile(logs, [1.0] * len(logs), 0.5)
    rows = [
        _row(compared, sale, value - offset, today, usual)
        for sale, value in zip(sales, logs, strict=True)
    ]
    fits = _fits(compared, rows)
    tails = 1.0
    if len(rows) >= compared.fitting.few_to_judge:
        plain, rows = rows, _odd_less(compared, rows, max(fits, key=lambda each: each[1])[0])
        fits = _fits(compared, rows)
        tails = _tails(compared, plain, rows, max(fits, key=lambda each: each[1])[0])
    types = frozenset(
        each
        for sale in sales
        for each in compared.chains.get(compared.type_named(sale.piece_type), ())
    )
    makers: dict[str, int] = {}
    for sale in sales:
        if sale.maker.strip():
            makers[folded(sale.maker)] = makers.get(folded(sale.maker), 0) + 1
    return Market(
        compared, currency, tuple(sales), tuple(rows), fits, offset, usual, tails, types, makers
    )


def paid(sale: Sale) -> float:
    """The price of a sale in whole units of its currency (euros, pounds, yen)."""
    return float(sale.price_minor / 10 ** decimals_of(sale.currency.upper()))


# --- Rows of the model ----------------------------------------------------------------------


def _row(
    compared: LikenessSettings, sale: Sale, value: float, today: datetime.date, usual_size: float
) -> Observed:
    """A sale as a row; what its condition took off is put back as the rules would have it."""
    grade = compared.steps.in_words(sale.condition)
    years = _years_ago(sale.when, today, compared.fitting.undated_years)
    # Who names the maker of a sale has read a mark, or knows as surely.
    signed = True if sale.maker.strip() else sale.signed
    # Signed by nobody one knows is another thing than unsigned: it has an effect of its own.
    maker = folded(sale.maker) or (UNKNOWN_MAKER if signed else "")
    piece_type = compared.type_named(sale.piece_type)
    design: dict[str, float] = {LEVEL: 1.0}
    _add_type(compared, design, piece_type)
    _add_signed(design, signed)
    _add_maker(compared, design, maker, piece_type, 1.0)
    adds = _add_esteem(compared.level_of([maker]), design)
    _add_era(compared.fitting, design, sale.first_year, sale.last_year)
    _add_words(design, "material", _tokens(sale.material))
    _add_words(design, "subject", _tokens(sale.subject))
    if sale.size_mm:
        design["size"] = math.log(sale.size_mm) - usual_size
    taken = compared.taken_off(grade)
    design["condition"] = taken
    _add_grade(design, grade)
    design["time"] = years
    if sale.pieces > 1:
        design["sold together"] = 1.0
    if sale.venue.strip():
        design[f"venue {folded(sale.venue)}"] = 1.0
    words = (_tokens(sale.material), _tokens(sale.subject))
    noise = _noise(compared, grade is None, years)
    noise -= _add_design(compared, design, piece_type, maker, *words, sale.size_mm)
    return Observed(_clean(design), value - taken - adds, noise)


def rows_for(found: Market, piece: Profile) -> list[tuple[Design, float, float, float]]:
    """The piece as rows, one for each maker it may be of: row, known part, noise and belief."""
    compared = found.compared
    chances: dict[tuple[str, Level | None], float] = {}
    for names, share in piece.makers:
        key = "|".join(sorted(name for name in names if name in found.makers)) if names else ""
        if names and not key:
            key = UNKNOWN_MAKER
        if not names:
            key = UNKNOWN_MAKER if piece.signed else ""
        which = (key, compared.level_of(names))
        chances[which] = chances.get(which, 0.0) + share
    total = math.fsum(chances.values()) or 1.0
    chances = chances or {("", None): 1.0}
    grade = None if piece.grade is None else compared.steps.grades[piece.grade]
    taken = compared.taken_off(grade)
    made: list[tuple[Design, float, float, float]] = []
    for (key, level), share in chances.items():
        design: dict[str, float] = {LEVEL: 1.0}
        _add_type(compared, design, piece.piece_type)
        _add_signed(design, True if key else piece.signed)
        names_met = [name for name in key.split("|") if name]
        met = math.fsum(found.makers.get(name, 0) for name in names_met)
        for name in names_met:
            part = found.makers.get(name, 0) / met if met else 1.0
            _add_maker(compared, design, name, piece.piece_type, part)
        adds = _add_esteem(level, design)
        _add_era(compared.fitting, design, piece.first_year, piece.last_year)
        _add_words(design, "material", piece.materials[:MOST_TOKENS])
        _add_words(design, "subject", piece.subjects[:MOST_TOKENS])
        if piece.size_mm:
            design["size"] = math.log(piece.size_mm) - found.usual_size
        design["condition"] = taken
        _add_grade(design, grade)
        noise = _noise(compared, grade is None, 0.0)
        words = (piece.materials[:MOST_TOKENS], piece.subjects[:MOST_TOKENS])
        noise -= _add_design(compared, design, piece.piece_type, key, *words, piece.size_mm)
        made.append((_clean(design), taken + adds, noise, share / total if chances else 1.0))
    return made


def _clean(design: dict[str, float]) -> dict[str, float]:
    return {name: value for name, value in design.items() if value}


def _add_grade(design: dict[str, float], grade: GradeStep | None) -> None:
    design[f"grade {grade.name}" if grade is not None else "condition untold"] = 1.0


def _add_type(compared: LikenessSettings, design: dict[str, float], piece_type: str) -> None:
    for each in compared.chains.get(piece_type, ()):
        design[f"type {each}"] = 1.0


def _add_signed(design: dict[str, float], signed: bool | None) -> None:
    if signed:
        design["signed"] = 1.0
    elif signed is None:
        design["signed untold"] = 1.0


def _add_maker(
    compared: LikenessSettings, design: dict[str, float], maker: str, piece_type: str, part: float
) -> None:
    if not maker:
        return
    design[f"maker {maker}"] = part
    chain = compared.chains.get(piece_type, ())
    if chain and maker != UNKNOWN_MAKER:
        design[f"make {maker}, {chain[-1]}"] = part


def _add_esteem(level: Level | None, design: dict[str, float]) -> float:
    """What is thought of a maker before any sale, which the sales of all makers thought of alike
    correct together; gives the logarithm that is known of it.
    """
    if level is None:
        return 0.0
    design[f"esteem {level.name}"] = 1.0
    return level.adds


def _add_era(
    fitting: Fitting, design: dict[str, float], first: int | None, last: int | None
) -> None:
    """The years as shares of the two knots on either side, over the whole stretch."""
    if first is None and last is None:
        return
    start = first if first is not None else last or 0
    end = last if last is not None else start
    points = (start, (start + end) / 2, end)
    for year in points:
        within = min(max(year, fitting.knot_first), fitting.knot_last)
        place = (within - fitting.knot_first) / fitting.knot_years
        below = math.floor(place)
        for knot, share in ((below, 1 - (place - below)), (below + 1, place - below)):
            name = f"era {fitting.knot_first + fitting.knot_years * knot:.0f}"
            if share:
                design[name] = design.get(name, 0.0) + share / len(points)


def _add_words(design: dict[str, float], what: str, words: Sequence[str]) -> None:
    # So that many words together reach no further than one: their variances add up.
    for word in words:
        design[f"{what} {word}"] = 1 / math.sqrt(len(words))


def _add_design(
    compared: LikenessSettings,
    design: dict[str, float],
    piece_type: str,
    maker: str,
    materials: Sequence[str],
    subjects: Sequence[str],
    size_mm: float | None,
) -> float:
    """The one design that pieces alike in all that was told are of; gives the variance that it
    explains beside the noise, 0 where too little was told to know a design again.

    Sales of one design lie closer together than the rest of the model can tell. What the design
    explains is taken off the noise, so that a design met once changes nothing for other pieces.
    """
    named = maker if maker != UNKNOWN_MAKER else ""
    alike = bool(named) + bool(subjects) + bool(size_mm)
    told = bool(piece_type and materials and (named or subjects))
    if not told or alike < compared.fitting.design_told:
        return 0.0
    parts = (piece_type, named, *sorted(materials), *sorted(subjects), f"{size_mm or 0:.0f}")
    design[f"{DESIGN} {'; '.join(parts)}"] = 1.0
    return compared.pool[DESIGN]


DESIGN = "design"


def _tokens(text: str) -> tuple[str, ...]:
    words = (folded(part) for part in text.replace(",", ";").split(";"))
    return tuple(dict.fromkeys(word for word in words if word))[:MOST_TOKENS]


def _years_ago(when: str, today: datetime.date, undated: float) -> float:
    day = day_of(when)
    return undated if day is None else max(0.0, (today - day).days / DAYS_A_YEAR)


def _noise(compared: LikenessSettings, untold: bool, years: float) -> float:
    """The noise variance beside that of a fresh sale of stated condition."""
    pool = compared.pool
    more = pool["untold-noise"] ** 2 if untold else 0.0
    return 1.0 + more + pool["drift-noise"] ** 2 * years


# --- Fitting ------------------------------------------------------------------------------------


def _fits(
    compared: LikenessSettings, rows: Sequence[Observed]
) -> tuple[tuple[FittedModel, float], ...]:
    """The model for each scale of the effects, those of no weight left out.

    First the common scale, then each group of effects by itself: where it fits better with half
    or twice its reach, it keeps that.
    """
    noise, sums = _noise_prior(compared, rows), sums_of(rows)
    groups = dict.fromkeys(_GROUPS, 1.0)

    own: dict[str, float] = {}

    def fit(wanted: Mapping[str, float], scale: float) -> FittedModel:
        return fitted(sums, _reach(compared, wanted, scale, own), noise)

    fits = [fit(groups, scale) for scale in SCALES]
    if len(rows) >= compared.fitting.few_to_fit:
        at, best = max(zip(SCALES, fits, strict=True), key=lambda pair: pair[1].evidence)
        for group in _GROUPS:
            for step in _STEPS:
                tried = {**groups, group: step}
                other = fit(tried, at)
                if other.evidence > best.evidence + compared.fitting.fit_gain:
                    best, groups = other, tried
        own |= _sought(best, compared.fitting.sought_freedom)
        fits = [fit(groups, scale) for scale in SCALES]
    top = max(fit.evidence for fit in fits)
    weights = [math.exp(fit.evidence - top) for fit in fits]
    total = math.fsum(weights)
    return tuple(
        (fit, weight / total)
        for fit, weight in zip(fits, weights, strict=True)
        if weight > 0.02 * total
    )


def _sought(fit: FittedModel, freedom: float) -> dict[str, float]:
    """How much further than usual each maker's effect may reach: a few makers are sought.

    A t prior in place of a normal one, by a step of the EM algorithm on its scales (Gelman et
    al., Bayesian Data Analysis, 3rd ed., 17.2), of so many degrees of freedom. What is expected of
    the square of an effect is the square of its mean and its variance: by the mean alone a maker
    of one sale would be drawn the nearer to the usual, the less is known of it.
    """
    found = {}
    for name, effect in fit.effects.items():
        if name.startswith("maker "):
            square = effect**2 / fit.variance + fit.doubt({name: 1.0})
            off = square / fit.reach(name) ** 2
            found[name] = math.sqrt((freedom + off) / (freedom + 1))
    return found


def _noise_prior(compared: LikenessSettings, rows: Sequence[Observed]) -> NoisePrior:
    """A little trust in a small spread, and while sales are few, more in a usual one."""
    setting = compared.base.setting
    trust = setting("price-spread-trust")
    wanting = max(0.0, setting("price-spread-until") - len(rows))
    squares = trust * setting("price-spread") ** 2
    squares += wanting * setting("price-spread-few") ** 2
    return NoisePrior(math.sqrt(squares / (trust + wanting)), trust + wanting)


def _reach(
    compared: LikenessSettings, groups: Mapping[str, float], scale: float, own: Mapping[str, float]
) -> Callable[[str], float]:
    pool = compared.pool

    def reach(name: str) -> float:
        group = name.partition(" ")[0]
        if group == DESIGN:  # a share of the noise, and no scale of its own
            return max(1e-3, math.sqrt(pool[DESIGN]))
        whole = name.replace(" ", "-")
        usual = pool.get(whole if whole in pool else group, 0.5) / pool["noise"]
        # Above zero, for its inverse square is added to the diagonal.
        return max(1e-3, usual * scale * groups.get(group, 1.0) * own.get(name, 1.0))

    return reach


def _tails(
    compared: LikenessSettings,
    plain: Sequence[Observed],
    kept: Sequence[Observed],
    fit: FittedModel,
) -> float:
    """What odd prices add to the variance: the next price may be odd too, and a mean of money
    feels it.
    """
    off = [(row.value - fit.mean(row.design)) ** 2 for row in plain]
    full = math.fsum(each / row.noise for each, row in zip(off, plain, strict=True))
    less = math.fsum(each / row.noise for each, row in zip(off, kept, strict=True))
    return min(compared.fitting.odd_most, full / less) if less > 0 else 1.0


def _odd_less(
    compared: LikenessSettings, rows: Sequence[Observed], fit: FittedModel
) -> list[Observed]:
    """Rows far from what the model expects count less (Huber, Annals of Mathematical Statistics
    35, 1964), and for no design of their own: a design
    would take up any price.

    How far is usual follows from the median distance from the median, for one slip of the pen
    would widen a variance and pull a mean until it seems usual itself.
    """
    bare = [_of_no_design(compared, row) for row in rows]
    offs = [(row.value - fit.mean(row.design)) / math.sqrt(row.noise) for row in bare]
    even = [1.0] * len(offs)
    middle = weighted_quantile(offs, even, 0.5)
    distances = [abs(off - middle) for off in offs]
    spread = MAD_TO_SD * weighted_quantile(distances, even, 0.5)
    far = compared.fitting.odd_from * max(spread, compared.base.setting("price-spread"))
    return [
        row if distance <= far else replace(alone, noise=alone.noise * distance / far)
        for row, alone, distance in zip(rows, bare, distances, strict=True)
    ]


def _of_no_design(compared: LikenessSettings, row: Observed) -> Observed:
    """The row as if nobody knew its design: what that explains is noise again."""
    kept = {name: value for name, value in row.design.items() if not name.startswith(DESIGN)}
    lost = len(row.design) - len(kept)
    return replace(row, design=kept, noise=row.noise + lost * compared.pool[DESIGN])
