"""What a piece may fetch, from prices really paid for pieces like it; without any, nothing."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from markrules.appraisal.likeness import DAYS_A_YEAR, LikenessSettings, Profile, day_of, folded
from markrules.appraisal.market import Market, market, paid, rows_for
from markrules.appraisal.pooled import Design
from markrules.appraisal.weighted import t_cdf, weighted_quantile
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass

MASS = 0.8
LEAST_BELIEF = 0.03
"""Makers and fits that are less likely than this are left out of the sums."""
LIKELIER = 0.5
CLOSE = 1e-12
"""How near to the share asked for a quantile comes; prices are rounded long before."""
MOST_STEPS = 100
"""Of false position at most; fifteen are usual, more where parts lie narrow and far apart."""


@dataclass(frozen=True, slots=True)
class Carried:
    """A sale that carries the estimate.

    `price` is as paid; `counted` is brought to the piece's own condition and to today; `pull` is
    how far the estimate follows it (1: one to one), `share` the part of all pull that it has.
    """

    sale: Sale
    price: float
    counted: float
    pull: float
    share: float


@dataclass(frozen=True, slots=True)
class SetAside:
    """A sale that does not count, and why."""

    sale: Sale
    reason: str


@dataclass(frozen=True, slots=True)
class Estimate:
    """What the next such piece may fetch, in `currency`.

    `low` to `high` holds the next sale with probability `mass`; `middle` is as likely to be
    passed as not. `expected` is the mean of what the next sale brings: nets of many pieces are
    added, and a sum of means is the mean of the sum, which a sum of middles is not. It is the
    one price that value and decision count with, and is never above `high`. `quartiles` are
    weighted quantiles of the prices as counted. `effective` is how many sales of the very same
    piece the evidence is worth; `yearly` the share by which prices rise in a year.
    """

    currency: str
    low: float
    middle: float
    high: float
    expected: float
    quartiles: tuple[float, float, float]
    mass: float
    effective: float
    yearly: float
    carried: tuple[Carried, ...]


@dataclass(frozen=True, slots=True)
class Valuation:
    """An estimate, or None where no sale carries one; the sales set aside; and plain words."""

    estimate: Estimate | None
    set_aside: tuple[SetAside, ...]
    words: tuple[str, ...]


def value_of(
    compared: LikenessSettings,
    piece: Profile,
    sales: Sequence[Sale],
    currency: str,
    today: datetime.date,
    mass: float = MASS,
) -> Valuation:
    """The estimate for a piece from sales, in one currency; others are set aside and told.

    All sales of the currency are counted together, where at least one is of a kind with the piece
    or of its maker; else there is no estimate. Raises ValueError where `mass` is not between 0
    and 1.
    """
    if not 0 < mass < 1:
        raise ValueError("mass lies between 0 and 1")
    found, aside = _market(compared, tuple(sales), currency.upper(), today)
    if found is not None and not _related(found, piece):
        aside = (*aside, *(SetAside(sale, "of another kind and maker") for sale in found.sales))
        found = None
    estimate = _estimate(found, piece, mass) if found is not None else None
    words = _words(compared, estimate, aside)
    if estimate is not None:
        words = (*_esteemed(compared, piece), *words)
    return Valuation(estimate, aside, words)


def _esteemed(compared: LikenessSettings, piece: Profile) -> tuple[str, ...]:
    """What is thought of its maker before any sale, where it is likelier than not that one."""
    likely = next((names for names, share in piece.makers if share > LIKELIER), frozenset[str]())
    level = compared.level_of(likely)
    if level is None:
        return ()
    name = level.name.replace("-", " ")
    return (
        f'Its maker counts as "{name}", {math.exp(level.adds):.2g} times an ordinary one, as far as'
        " your own sales do not tell.",
    )


@lru_cache(maxsize=8)
def _market(
    compared: LikenessSettings, sales: tuple[Sale, ...], currency: str, today: datetime.date
) -> tuple[Market | None, tuple[SetAside, ...]]:
    """The sales of one currency as fitted, and those set aside; kept for the pieces that follow."""
    reasons = [_why_not(sale, currency) for sale in sales]
    counted = [sale for sale, why in zip(sales, reasons, strict=True) if not why]
    aside = [SetAside(sale, why) for sale, why in zip(sales, reasons, strict=True) if why]
    return market(compared, counted, currency, today), tuple(aside)


def _why_not(sale: Sale, currency: str) -> str:
    if sale.currency.upper() != currency:
        return f"sold in {sale.currency.upper() or 'no currency'}, not {currency}"
    if sale.price_minor <= 0:
        return "no price"
    return "sold and sent back" if sale.returned else ""


def _related(found: Market, piece: Profile) -> bool:
    """Whether any sale is of the piece's kind, or one of its likely makers."""
    chain = found.compared.chains.get(piece.piece_type, ())
    if not chain or found.types.intersection(chain):
        return True
    named = {name for names, share in piece.makers if share >= 0.5 for name in names}
    return any(folded(sale.maker) in named for sale in found.sales if sale.maker.strip())


def not_below(found: Valuation, floor: float | None, *, proved: bool) -> Valuation:
    """The valuation with its metal as a floor: `floor` is what that brings at least, in the
    money of the estimate, None where it is not known; `proved` whether a test found it.

    Nobody sells tested metal for less than it brings, so each end of the range and the expected
    price are at least that. Metal that is only marked or said may be none: it is told beside.
    """
    estimate = found.estimate
    if floor is None or estimate is None or estimate.low >= floor:
        return found
    brings = f"{floor:,.2f} {estimate.currency}"
    if not proved:
        told = f"Not below {brings} if its metal is what it is marked or said to be."
        return replace(found, words=(told, *found.words))
    told = (
        f"Its metal, tested, brings {brings}, so nothing below that is in the range."
        if estimate.high > floor
        else f"Its metal, tested, brings {brings}, more than sales of pieces like it tell of."
    )
    raised = replace(
        estimate,
        low=max(estimate.low, floor),
        middle=max(estimate.middle, floor),
        high=max(estimate.high, floor),
        expected=max(estimate.expected, floor),
    )
    return replace(found, estimate=raised, words=(told, *found.words))


# --- The estimate -------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Part:
    """A part of what is believed of the next log price: a t distribution, and how far it is."""

    belief: float
    middle: float
    spread: float
    freedom: float

    def below(self, value: float) -> float:
        return t_cdf((value - self.middle) / self.spread, self.freedom)

    @property
    def mean(self) -> float:
        """The mean price of a lognormal of the same middle and spread."""
        # A float holds e to the 709: what lies beyond is no price.
        return math.exp(min(700.0, self.middle + self.spread**2 / 2))


def _estimate(found: Market, piece: Profile, mass: float) -> Estimate:
    rows = [row for row in rows_for(found, piece) if row[3] >= LEAST_BELIEF]
    total = math.fsum(row[3] for row in rows)
    parts, doubt = [], 0.0
    for design, known, noise, belief in rows:
        for fit, share in found.fits:
            unsure = fit.doubt(design)
            weight = belief * share / total
            doubt += weight * unsure
            middle = found.offset + known + fit.mean(design)
            spread = math.sqrt(fit.variance * (found.tails * noise + unsure))
            parts.append(_Part(weight, middle, spread, round(fit.freedom, 3)))
    low, middle, high = (_quantile(parts, q) for q in ((1 - mass) / 2, 0.5, (1 + mass) / 2))
    expected = math.fsum(part.belief * part.mean for part in parts)
    carried = _carried(found, max(rows, key=lambda row: row[3]))
    prices = [each.counted for each in carried]
    weights = [each.share for each in carried]
    quartiles = [weighted_quantile(prices, weights, q) for q in (0.25, 0.5, 0.75)]
    return Estimate(
        currency=found.currency,
        low=math.exp(low),
        middle=math.exp(middle),
        high=math.exp(high),
        # Few sales leave so wide a tail that its mean lies beyond any price likely to be met.
        expected=min(expected, math.exp(high)),
        quartiles=(quartiles[0], quartiles[1], quartiles[2]),
        mass=mass,
        effective=1 / max(doubt, 1e-9),
        yearly=math.expm1(found.trend),
        carried=carried,
    )


def _quantile(parts: Sequence[_Part], share: float) -> float:
    """The value below which the parts together hold a share.

    By false position, the end that stays counted half each time: the Illinois method (M. Dowell
    and P. Jarratt, BIT 11, 1971), which asks for a quarter of what halving asks for.
    """

    def over(value: float) -> float:
        return math.fsum(part.belief * part.below(value) for part in parts) - share

    centre = math.fsum(part.belief * part.middle for part in parts)
    reach = max(part.spread for part in parts)
    low, high = centre - reach, centre + reach
    at_low, at_high = over(low), over(high)
    while at_low > 0 and high - low < 1e4:
        low -= high - low
        at_low = over(low)
    while at_high < 0 and high - low < 1e4:
        high += high - low
        at_high = over(high)
    if at_low >= 0 or at_high <= 0:  # beyond a reach of 1e4 there is no price
        return min(700.0, low if at_low >= 0 else high)
    kept = 0
    for _ in range(MOST_STEPS):
        middle = (low * at_high - high * at_low) / (at_high - at_low)
        at_middle = over(middle)
        if abs(at_middle) < CLOSE:
            break
        if at_middle < 0:
            low, at_low = middle, at_middle
            at_high /= 2 if kept == 1 else 1
            kept = 1
        else:
            high, at_high = middle, at_middle
            at_low /= 2 if kept == -1 else 1
            kept = -1
    return min(700.0, middle)


def _carried(found: Market, row: tuple[Design, float, float, float]) -> tuple[Carried, ...]:
    """Each sale with its pull on the likeliest reading of the piece, the strongest first."""
    design = row[0]
    fit = max(found.fits, key=lambda each: each[1])[0]
    pulls = fit.pulls(design, found.rows)
    total = math.fsum(abs(pull) for pull in pulls) or 1.0
    slope = fit.effects.get("condition", 0.0)
    made = []
    for sale, line, pull in zip(found.sales, found.rows, pulls, strict=True):
        price = paid(sale)
        worse = design.get("condition", 0.0) - line.design.get("condition", 0.0)
        by_grade = worse * (1 + slope)
        by_time = fit.effects.get("time", 0.0) * line.design.get("time", 0.0)
        counted = price * math.exp(by_grade - by_time)
        made.append(Carried(sale, price, counted, pull, abs(pull) / total))
    return tuple(sorted(made, key=lambda each: -each.share))


OF_ONE_SALE = " of one sale of the very same piece"
"""How few sales that are hardly like it are counted, in the words of a valuation."""


def _words(
    compared: LikenessSettings, estimate: Estimate | None, aside: Sequence[SetAside]
) -> tuple[str, ...]:
    words = []
    if estimate is None:
        words.append("No sold price of a piece like this is known, so no value is given.")
    else:
        if estimate.effective < compared.base.setting("price-spread-until"):
            many = len(estimate.carried)
            sales = f"{many} sales count together" if many > 1 else "1 sale counts"
            words.append(f"{sales} as {estimate.effective:.1f}{OF_ONE_SALE}: the range is wide.")
        if _spans(estimate.carried) and abs(estimate.yearly) >= compared.fitting.rise_told:
            way = "rose" if estimate.yearly > 0 else "fell"
            words.append(
                f"Prices are brought to today: among these sales they {way}"
                f" by {abs(estimate.yearly):.0%} a year."
            )
    reasons: dict[str, int] = {}
    for each in aside:
        reasons[each.reason] = reasons.get(each.reason, 0) + 1
    words += [
        f"{count} sale{'s' if count > 1 else ''} set aside: {reason}."
        for reason, count in reasons.items()
    ]
    return tuple(words)


def _spans(carried: Sequence[Carried]) -> bool:
    """Whether the sales lie at least half a year apart: only then do they tell of time."""
    days = [day for each in carried if (day := day_of(each.sale.when)) is not None]
    return bool(days) and (max(days) - min(days)).days > DAYS_A_YEAR / 2
