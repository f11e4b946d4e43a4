"""A partially pooled linear model, fitted exactly: conjugate normal, inverse-gamma.

    y_i = x_i b + e_i,   e_i ~ N(0, s2 v_i),   b_j ~ N(0, s2 r_j2),   s2 ~ inverse gamma

One column, the level, has a flat prior. What is told of an effect by few rows stays near its
prior, near zero: effects are pooled as far as the rows leave them open. See Gelman et al.,
Bayesian Data Analysis, 3rd ed., 14.2 and 14.8; Lindley and Smith, Journal of the Royal
Statistical Society B 34 (1972). How far effects reach beside the noise (`r`) is taken from a
small grid of scales, each weighed by its marginal likelihood; nothing is sampled.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

from markrules.frozen import dataclass

Design = Mapping[str, float]
LEVEL = "level"
"""The column that every row has, with a flat prior."""


@dataclass(frozen=True, slots=True)
class Observed:
    """A row: what is known of it, its value, and its noise variance beside that of a plain one."""

    design: Design
    value: float
    noise: float = 1.0


@dataclass(frozen=True, slots=True)
class NoisePrior:
    """What is thought of the noise before any row: its deviation, and for how many rows that
    counts.
    """

    deviation: float
    rows: float


class MatrixFactor:
    """The factor L D L' of a symmetric positive definite matrix that is mostly zeros.

    Columns are eliminated in the order of how many others they meet, fewest first, which keeps
    the factor nearly as empty as the matrix (George and Liu, Computer Solution of Large Sparse
    Positive Definite Systems, 1981, chapter 5).
    """

    def __init__(
        self, matrix: Mapping[str, Mapping[str, float]], more: Mapping[str, float]
    ) -> None:
        """Factor a matrix given by rows, both halves, with `more` added to its diagonal."""
        self.order = sorted(matrix, key=lambda name: (len(matrix[name]), name))
        place = {name: at for at, name in enumerate(self.order)}
        rows: list[dict[int, float]] = [
            {place[other]: value for other, value in matrix[name].items() if place[other] >= at}
            for at, name in enumerate(self.order)
        ]
        self.pivots: list[float] = []
        self.columns: list[list[tuple[int, float]]] = []
        for at, row in enumerate(rows):
            pivot = row.pop(at) + more[self.order[at]]
            below = sorted(row.items())
            for here, (one, value) in enumerate(below):
                target, scaled = rows[one], value / pivot
                for other, also in below[here:]:
                    target[other] = target.get(other, 0.0) - scaled * also
            self.pivots.append(pivot)
            self.columns.append([(one, value / pivot) for one, value in below])
        self.place = place

    @property
    def log_determinant(self) -> float:
        """The logarithm of the determinant."""
        return math.fsum(math.log(pivot) for pivot in self.pivots)

    def solve(self, given: Design) -> dict[str, float]:
        """The solution for a right side; columns that the matrix lacks are left out."""
        found = [0.0] * len(self.order)
        for name, value in given.items():
            at = self.place.get(name)
            if at is not None:
                found[at] = value
        for at, column in enumerate(self.columns):
            value = found[at]
            if value:
                for other, factor in column:
                    found[other] -= factor * value
        for at, pivot in enumerate(self.pivots):
            found[at] /= pivot
        for at in range(len(found) - 1, -1, -1):
            found[at] -= math.fsum(factor * found[other] for other, factor in self.columns[at])
        return dict(zip(self.order, found, strict=True))


@dataclass(frozen=True, eq=False, slots=True)
class FittedModel:
    """The model as fitted for one scale of its effects.

    `reach` gives the prior deviation of a column beside that of the noise; `freedom` and
    `variance` are those of the t distribution of what is next; `evidence` is the logarithm of the
    marginal likelihood, up to a part that all scales share.
    """

    factor: MatrixFactor
    effects: Mapping[str, float]
    reach: Callable[[str], float]
    freedom: float
    variance: float
    evidence: float

    def mean(self, design: Design) -> float:
        """What is expected of a row."""
        return math.fsum(value * self.effects.get(name, 0.0) for name, value in design.items())

    def doubt(self, design: Design) -> float:
        """The variance of that mean beside the noise, columns never met before included."""
        solved = self.factor.solve(design)
        known = math.fsum(value * solved.get(name, 0.0) for name, value in design.items())
        unmet = math.fsum(
            (value * self.reach(name)) ** 2 for name, value in design.items() if name not in solved
        )
        return known + unmet

    def pulls(self, design: Design, rows: Sequence[Observed]) -> list[float]:
        """How far the mean moves with each row's value: the weights of a linear smoother."""
        solved = self.factor.solve(design)
        return [
            math.fsum(value * solved[name] for name, value in row.design.items()) / row.noise
            for row in rows
        ]


@dataclass(frozen=True, eq=False, slots=True)
class Sums:
    """What rows come to, whatever the effects may reach: weighed squares and products."""

    matrix: Mapping[str, Mapping[str, float]]
    right: Mapping[str, float]
    squares: float
    count: int


def sums_of(rows: Sequence[Observed]) -> Sums:
    """The weighed squares and products of rows."""
    matrix: dict[str, dict[str, float]] = {LEVEL: {LEVEL: 0.0}}
    right: dict[str, float] = {}
    squares = 0.0
    for row in rows:
        weight = 1 / row.noise
        squares += weight * row.value**2
        items = tuple(row.design.items())
        for name, value in items:
            scaled = weight * value
            right[name] = right.get(name, 0.0) + scaled * row.value
            line = matrix.setdefault(name, {})
            for other, also in items:
                line[other] = line.get(other, 0.0) + scaled * also
    return Sums(matrix, right, squares, len(rows))


def fitted(sums: Sums, reach: Callable[[str], float], noise: NoisePrior) -> FittedModel:
    """The model fitted to at least one row; `reach` must be above zero for all but LEVEL."""
    more, prior = {LEVEL: 0.0}, 0.0
    for name in sums.matrix:
        if name != LEVEL:
            more[name] = reach(name) ** -2
            prior += math.log(more[name])
    factor = MatrixFactor(sums.matrix, more)
    effects = factor.solve(sums.right)
    left = sums.squares - math.fsum(value * effects[name] for name, value in sums.right.items())
    freedom = noise.rows + sums.count - 1
    # What is left over is never below 0; rounding can bring it there where rows fit exactly.
    spread = noise.rows * noise.deviation**2 + max(left, 0.0)
    evidence = 0.5 * (prior - factor.log_determinant - freedom * math.log(spread))
    return FittedModel(factor, effects, reach, freedom, spread / freedom, evidence)
