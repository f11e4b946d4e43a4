"""The other ways of telling a price, from general-purpose libraries, and how all are measured.

scikit-learn: RidgeCV and KNeighborsRegressor over one-hot columns. Each gives the logarithm of the
middle and of both ends of an 80% range, by its own errors on sales that it was not fitted to.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import partial

import numpy as np
from appraisal_building import compared
from price_worlds import TODAY, WORDS, Sold

from markrules.appraisal.likeness import Level, Profile, folded
from markrules.appraisal.value import value_of
from markrules.catalogue.records import Sale

Told = tuple[float, float, float, float]
"""Logarithms of the low end, the middle and the high end, and the expected price itself."""
SOUGHT = 2.5
"""What a sought maker is thought to bring beside an ordinary one; it brings 2.2 to 4.5 times."""
Way = Callable[[Sequence[Sold], Sequence[Sold]], list[Told]]


def ours(sales: Sequence[Sold], asked: Sequence[Sold], *, named: bool = False) -> list[Told]:
    """The program's own estimate; where `named`, told which makers the trade calls sought."""
    kept = tuple(
        Sale(n, None, each.day.isoformat(), round(each.price * 100), "EUR", each.maker,
             each.piece_type.replace("-", " "), each.first_year, each.last_year, each.condition,
             each.signed, "", "", material="; ".join(each.materials), size_mm=each.size_mm)
        for n, each in enumerate(sales)
    )  # fmt: skip
    told = []
    sought = Level("sought", math.log(SOUGHT))
    makers = {folded(each.maker): sought for each in (*sales, *asked) if named and each.named}
    known = replace(compared(), levels=makers)
    for each in asked:
        names = frozenset([folded(each.maker)]) if each.maker else frozenset()
        piece = Profile(
            each.piece_type, ((names, 1.0),), each.first_year, each.last_year, each.signed,
            WORDS.index(each.condition) if each.condition else None,
            tuple(map(folded, each.materials)), (), each.size_mm,
        )  # fmt: skip
        found = value_of(known, piece, kept, "EUR", TODAY).estimate
        if found is None:
            told.append((np.nan, np.nan, np.nan, np.nan))
            continue
        logs = np.log([found.low, found.middle, found.high])
        told.append((*map(float, logs), found.expected))
    return told


def global_median(sales: Sequence[Sold], asked: Sequence[Sold]) -> list[Told]:
    """The median and the outer tenths of all sales."""
    return [_quantiles([each.price for each in sales])] * len(asked)


def type_by_signed(sales: Sequence[Sold], asked: Sequence[Sold]) -> list[Told]:
    """The same of the sales of the type, signed or not; of all where there are fewer than three."""
    told = []
    for one in asked:
        like = [s.price for s in sales if (s.piece_type, s.signed) == (one.piece_type, one.signed)]
        told.append(_quantiles(like if len(like) > 2 else [s.price for s in sales]))
    return told


def _quantiles(prices: Sequence[float]) -> Told:
    low, middle, high = np.log(np.quantile(prices, (0.1, 0.5, 0.9)))
    return float(low), float(middle), float(high), float(np.mean(prices))


def _columns(each: Sold, alone: float) -> dict[str, float]:
    row = {f"type {each.piece_type}": 1.0, f"signed {each.signed}": 1.0}
    row[f"maker {each.maker}"] = alone
    row[f"named as sought {each.named}"] = 1.0
    row["ago"] = (TODAY - each.day).days / 365 / 3
    if each.condition:
        row["worn"] = WORDS.index(each.condition) / 2
    else:
        row["condition untold"] = 1.0
    if each.first_year is not None and each.last_year is not None:
        middle = (each.first_year + each.last_year) / 2
        row["year"], row["year squared"] = (middle - 1950) / 25, ((middle - 1950) / 25) ** 2
    else:
        row["years untold"] = 1.0
    row |= {f"material {name}": 1.0 for name in each.materials}
    row["size" if each.size_mm else "size untold"] = (
        (np.log(each.size_mm) - 3.7) / 0.35 if each.size_mm else 1.0
    )
    return row


def _machine(make: Callable[[int], object], alone: float) -> Way:
    def told(sales: Sequence[Sold], asked: Sequence[Sold]) -> list[Told]:
        # Two seconds to import, which every process that only collects tests would take.
        from sklearn.feature_extraction import DictVectorizer
        from sklearn.model_selection import KFold, cross_val_predict

        vectors = DictVectorizer(sparse=False)
        known = vectors.fit_transform([_columns(each, alone) for each in sales])
        wanted = vectors.transform([_columns(each, alone) for each in asked])
        logs = np.log([each.price for each in sales])
        folds = KFold(min(10, len(sales)), shuffle=True, random_state=1)
        machine = make(len(sales))
        errors = logs - cross_val_predict(machine, known, logs, cv=folds)
        machine.fit(known, logs)  # type: ignore[attr-defined]
        middle = machine.predict(wanted)  # type: ignore[attr-defined]
        low, high = np.quantile(errors, (0.1, 0.9))
        more = np.mean(np.exp(errors))
        return [(m + low, m, m + high, float(np.exp(m) * more)) for m in middle]

    return told


def _ridge(_: int) -> object:
    from sklearn.linear_model import RidgeCV

    return RidgeCV(np.logspace(-1.5, 2.5, 13))


def _neighbours(count: int) -> object:
    from sklearn.model_selection import GridSearchCV
    from sklearn.neighbors import KNeighborsRegressor

    return GridSearchCV(
        KNeighborsRegressor(weights="distance"),
        {"n_neighbors": [k for k in (2, 4, 7, 11, 17, 25) if k < count * 0.7]},
        cv=min(5, count),
        scoring="neg_mean_absolute_error",
    )


ridge: Way = _machine(_ridge, 1.0)
neighbours: Way = _machine(_neighbours, 1.5)
WAYS: dict[str, Way] = {
    "this program": ours,
    "told who is sought": partial(ours, named=True),
    "global median": global_median,
    "type by signed": type_by_signed,
    "nearest neighbours": neighbours,
    "ridge": ridge,
}


def measured(told: Sequence[Told], asked: Sequence[Sold]) -> dict[str, float]:
    """Median error (share of the price), share held by the 80% ranges, their width in logarithms,
    and for sought makers the expected money beside the money really paid.
    """
    table = np.array(told)
    real = np.log([each.price for each in asked])
    there = ~np.isnan(table[:, 1])
    table, real = table[there], real[there]
    sought = np.array([each.sought for each in asked])[there]
    return {
        "error": float(np.median(np.expm1(np.abs(table[:, 1] - real)))),
        "held": float(np.mean((table[:, 0] <= real) & (real <= table[:, 2]))),
        "width": float(np.mean(table[:, 2] - table[:, 0])),
        "expected": float(table[sought, 3].sum()) if sought.any() else 0.0,
        "paid": float(np.exp(real[sought]).sum()) if sought.any() else 0.0,
        "told": float(there.mean()),
    }
