"""What a piece may fetch, from prices really paid for pieces like it; without any, nothing."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence

from markrules.appraisal.likeness import Likeness, Measure, Profile, likeness
from markrules.appraisal.weighted import robust_middle, t_quantile, weighted_quantile
from markrules.catalogue.prices import decimals_of
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass

MASS = 0.8
_LEAST_PRICE = 0.01


@dataclass(frozen=True, slots=True)
class Carried:
    """A sale that carries the estimate.

    `price` is as paid; `counted` is brought to the piece's own condition; `share` is the part
    of all weight that it has in the end, after odd prices were made to count less.
    """

    sale: Sale
    likeness: Likeness
    price: float
    counted: float
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
    passed as not; `expected` is the weighted mean of the prices, odd ones counting less.
    `quartiles` are weighted quantiles of the prices themselves. `effective` is how many full
    sales the evidence is worth.
    """

    currency: str
    low: float
    middle: float
    high: float
    expected: float
    quartiles: tuple[float, float, float]
    mass: float
    effective: float
    carried: tuple[Carried, ...]


@dataclass(frozen=True, slots=True)
class Valuation:
    """An estimate, or None where no sale carries one; the sales set aside; and plain words."""

    estimate: Estimate | None
    set_aside: tuple[SetAside, ...]
    words: tuple[str, ...]


def value_of(
    compared: Measure,
    piece: Profile,
    sales: Sequence[Sale],
    currency: str,
    today: datetime.date,
    mass: float = MASS,
) -> Valuation:
    """The estimate for a piece from sales, in one currency; others are set aside and told.

    Raises ValueError where `mass` is not between 0 and 1.
    """
    if not 0 < mass < 1:
        raise ValueError("mass lies between 0 and 1")
    weighed: list[tuple[Sale, Likeness]] = []
    aside: list[SetAside] = []
    for sale in sales:
        alike = likeness(compared, piece, sale, today)
        reason = _why_not(compared, sale, alike, currency)
        if reason:
            aside.append(SetAside(sale, reason))
        else:
            weighed.append((sale, alike))
    estimate = _estimate(compared, piece, weighed, currency, mass) if weighed else None
    return Valuation(estimate, tuple(aside), _words(compared, estimate, aside))


def _why_not(compared: Measure, sale: Sale, alike: Likeness, currency: str) -> str:
    if sale.currency.upper() != currency.upper():
        return f"sold in {sale.currency.upper() or 'no currency'}, not {currency.upper()}"
    if sale.price_minor <= 0:
        return "no price"
    if sale.returned:
        return "sold and sent back"
    if alike.weight < compared.like.get("least", 0.05):
        return "too unlike, or too long ago"
    return ""


def _estimate(
    compared: Measure,
    piece: Profile,
    weighed: Sequence[tuple[Sale, Likeness]],
    currency: str,
    mass: float,
) -> Estimate:
    """Student's t for the next log price, each sale's likelihood raised to its weight.

    The conjugate normal model with a prior on the spread alone (Gelman et al., Bayesian Data
    Analysis, 3rd ed., 3.2 to 3.3), each sale discounted as in a power prior (Ibrahim and Chen,
    Statistical Science 15, 2000): a sale half alike counts as half a sale.
    """
    counted = [_counted(compared, piece, sale) for sale, _ in weighed]
    logs = [math.log(price) for price in counted]
    setting = compared.base.setting
    spread, few = setting("price-spread", 0.2), setting("price-spread-few", 0.35)
    middle = robust_middle(logs, [alike.weight for _, alike in weighed], few)
    number = math.fsum(middle.weights)
    trust = setting("price-spread-trust", 0.3)
    wanting = max(0.0, setting("price-spread-until", 3.0) - number)
    freedom = trust + wanting + max(0.0, number - 1)
    squares = trust * spread**2 + wanting * few**2 + number * middle.variance
    variance = squares / freedom
    half = t_quantile((1 + mass) / 2, round(freedom, 3)) * math.sqrt(variance * (1 + 1 / number))
    shares = [weight / number for weight in middle.weights]
    quartiles = [weighted_quantile(counted, middle.weights, q) for q in (0.25, 0.5, 0.75)]
    return Estimate(
        currency=currency.upper(),
        low=math.exp(middle.mean - half),
        middle=math.exp(middle.mean),
        high=math.exp(min(700.0, middle.mean + half)),
        expected=math.fsum(s * p for s, p in zip(shares, counted, strict=True)),
        quartiles=(quartiles[0], quartiles[1], quartiles[2]),
        mass=mass,
        effective=number,
        carried=tuple(
            sorted(
                (
                    Carried(sale, alike, paid(sale), price, share)
                    for (sale, alike), price, share in zip(weighed, counted, shares, strict=True)
                ),
                key=lambda each: -each.share,
            )
        ),
    )


def _counted(compared: Measure, piece: Profile, sale: Sale) -> float:
    """The price brought to the piece's own condition by the shares of the two grades."""
    grades = compared.steps.grades
    untold = int(compared.base.setting("grade-when-untold", 1))
    sold = compared.steps.in_words(sale.condition) or grades[min(untold, len(grades) - 1)]
    own = grades[min(piece.grade, len(grades) - 1)]
    return max(_LEAST_PRICE, paid(sale) * own.share / sold.share)


def paid(sale: Sale) -> float:
    """The price of a sale in whole units of its currency (euros, pounds, yen)."""
    return float(sale.price_minor / 10 ** decimals_of(sale.currency.upper()))


def _words(
    compared: Measure, estimate: Estimate | None, aside: Sequence[SetAside]
) -> tuple[str, ...]:
    words = []
    if estimate is None:
        words.append("No sold price of a piece like this is known, so no value is given.")
    elif estimate.effective < compared.base.setting("price-spread-until", 3.0):
        many = len(estimate.carried)
        words.append(
            f"{many} sale{'s' if many > 1 else ''}, worth {estimate.effective:.1f} of the very"
            " same piece, are few: the range is wide."
        )
    reasons: dict[str, int] = {}
    for each in aside:
        reasons[each.reason] = reasons.get(each.reason, 0) + 1
    words += [
        f"{count} sale{'s' if count > 1 else ''} set aside: {reason}."
        for reason, count in reasons.items()
    ]
    return tuple(words)
