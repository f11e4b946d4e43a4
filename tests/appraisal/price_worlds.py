"""Invented markets: sales drawn at random, by rules of their own. All of it is made up.

Nothing here is imported from the program: what a price hangs on is drawn anew for each world, with
prices that are rounded as sellers round them, odd ones among them, and most things left untold.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import numpy as np

TODAY = datetime.date(2026, 6, 1)
TYPES = (
    *("brooch", "bar-pin", "dress-clip", "necklace", "locket"),
    *("bracelet", "bangle", "earrings", "ring", "pendant"),
)
WORDS = ("as made", "light wear", "worn", "damaged", "for parts")
MATERIALS = ("sterling", "gold-plated", "rhinestone", "enamel", "bakelite", "glass", "base-metal")


@dataclass(frozen=True)
class Sold:
    """A sale as it happened. None or an empty text is what nobody wrote down."""

    price: float
    day: datetime.date
    piece_type: str
    maker: str
    signed: bool | None
    first_year: int | None
    last_year: int | None
    condition: str
    materials: tuple[str, ...]
    size_mm: float | None
    sought: bool
    named: bool
    """Whether the trade calls the maker sought: of those that are three in four, of others few."""


def world(seed: int, sales: int, asked: int = 0) -> list[Sold]:
    """Sales of one market, in a random order; behind them, sold today, the pieces asked for."""
    random = np.random.default_rng(seed)
    spread = random.uniform(0.3, 0.6)
    of_type = dict(zip(TYPES, random.normal(0, random.uniform(0.2, 0.6), len(TYPES)), strict=True))
    makers = [f"House {n}" for n in range(40)]
    popular = 1 / np.arange(1, 41) ** 1.1
    of_maker = random.normal(0.2, random.uniform(0.3, 0.6), 40)
    sought = set(random.choice(12, 3, replace=False).tolist())
    for n in sought:
        of_maker[n] += random.uniform(0.8, 1.5)
    talk = np.random.default_rng((seed, 1)).random(40)
    named = {n for n in range(40) if talk[n] < (0.75 if n in sought else 0.03)}
    both = random.normal(0, random.uniform(0.05, 0.35), (40, len(TYPES)))
    name_adds = random.uniform(0.0, 0.7)
    peak, height = random.integers(1900, 1960), random.uniform(-0.2, 0.6)
    steps = -np.cumsum(random.uniform(0.05, 0.75, 5)) + 0.05
    of_material = dict(zip(MATERIALS, random.normal(0, 0.35, len(MATERIALS)), strict=True))
    by_size = random.uniform(0.0, 0.6)
    yearly = random.normal(0.0, 0.05)
    told = random.uniform(0.4, 0.9, 6)
    level = random.uniform(2.5, 4.0)
    found = []
    for number in range(sales + asked):
        kind = TYPES[int(len(TYPES) * random.beta(1, 2.2))]
        is_signed = random.random() < 0.5
        n = int(random.choice(40, p=popular / popular.sum())) if is_signed else -1
        year = int(np.clip(random.normal(1952, 22), 1860, 2010))
        state = int(random.choice(5, p=(0.2, 0.4, 0.25, 0.1, 0.05)))
        stuff = tuple(random.choice(MATERIALS, int(random.integers(1, 3)), replace=False).tolist())
        size = float(np.exp(random.normal(3.7, 0.35)))
        ago = float(random.exponential(2.5)) * (number < sales)
        value = level + of_type[kind] + steps[state] + by_size * (np.log(size) - 3.7) - yearly * ago
        value += height * np.exp(-(((year - peak) / 30) ** 2))
        value += float(np.mean([of_material[each] for each in stuff]))
        if is_signed:
            value += name_adds + of_maker[n] + both[n, TYPES.index(kind)]
        odd = random.random() < 0.04
        value += random.standard_t(3) * spread if odd else random.normal(0, spread)
        known = random.random(6) < told
        width = int(random.integers(5, 25))
        found.append(
            Sold(
                price=_rounded(float(np.exp(value)), random),
                day=TODAY - datetime.timedelta(days=round(ago * 365)),
                piece_type=kind,
                maker=makers[n] if is_signed else "",
                signed=is_signed if is_signed or known[0] else None,
                first_year=year - width if known[1] else None,
                last_year=year + width if known[1] else None,
                condition=WORDS[state] if known[2] else "",
                materials=stuff if known[3] else (),
                size_mm=round(size) if known[4] else None,
                sought=n in sought,
                named=n in named,
            )
        )
    return found


def _rounded(price: float, random: np.random.Generator) -> float:
    """To a whole sum, a half, or 99 cents, as sellers do; never below half of one."""
    ways = (round(price), round(price * 2) / 2, round(price) + 0.99, 5 * round(price / 5))
    return max(0.5, float(ways[int(random.integers(0, 4))]))
