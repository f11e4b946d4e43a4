"""Units of quantities in rules: which measure the same thing, and how to change one to another."""

from __future__ import annotations

from collections.abc import Mapping

from markrules.language.conditions import Quantity

# International inch of 25.4 mm and avoirdupois pound of 453.59237 g (its ounce a sixteenth):
# NIST Handbook 44 (2023), Appendix C.
_MM: Mapping[str, float] = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_G: Mapping[str, float] = {"g": 1.0, "oz": 28.349523125}
MEASURES: tuple[Mapping[str, float], ...] = (_MM, _G)
UNITS = (*_MM, *_G)


def convertible(unit: str, wanted: str) -> bool:
    """True if a quantity in `unit` can be told in `wanted`; a bare number only as itself."""
    return unit == wanted or any(unit in measure and wanted in measure for measure in MEASURES)


def converted(quantity: Quantity, wanted: str) -> float:
    """The number of a quantity in the unit `wanted`.

    Raises ValueError where the two do not measure the same thing.
    """
    if quantity.unit == wanted:
        return quantity.number
    for measure in MEASURES:
        if quantity.unit in measure and wanted in measure:
            return quantity.number * measure[quantity.unit] / measure[wanted]
    raise ValueError(f"{quantity.unit or 'a bare number'} cannot be told in {wanted or 'none'}")
