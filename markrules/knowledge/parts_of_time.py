"""Early, mid and late: the thirds of a decade or a century, the same wherever years are written."""

from __future__ import annotations


def third_of(first: int, length: int, third: int) -> tuple[int, int]:
    """The first and last year of a third (0, 1 or 2) of so many years that begin with `first`.

    >>> third_of(1950, 10, 2)
    (1956, 1959)
    """
    return first + third * length // 3, first + (third + 1) * length // 3 - 1
