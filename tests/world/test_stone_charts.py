"""Stone sizes against published charts; each group names its source."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base
from together import every_case

from markrules.appraisal.stone_sizes import nearest_sizes, stone_size


# Taylor Crystal, size conversion reference (taylorcrystal.hu).
@every_case(
    ("code", "low", "high"),
    [
        *(("PP1", 0.8, 0.9), ("PP6", 1.3, 1.35), ("PP7", 1.35, 1.4), ("PP10", 1.6, 1.7)),
        *(("PP13", 1.9, 2.0), ("PP20", 2.6, 2.7), ("SS21", 4.8, 4.9), ("SS24", 5.27, 5.44)),
        *(("SS29", 6.14, 6.32), ("SS30", 6.32, 6.5), ("SS34", 7.07, 7.27), ("SS39", 8.16, 8.41)),
    ],
)
def test_code_gives_the_millimetres_of_the_chart(code: str, low: float, high: float) -> None:
    size = stone_size(shipped_base(), code)
    assert size is not None
    assert (size.low_mm, size.high_mm) == (low, high)


# The Rhinestone Store, Rhinestone sizes and cuts: the millimetres that stones are sold as.
@every_case(
    ("code", "sold_as_mm"),
    [
        *(("SS6", 2.0), ("SS8", 2.3), ("SS9", 2.6), ("SS10", 2.8), ("SS12", 3.0), ("SS16", 4.0)),
        *(
            ("SS20", 4.7),
            ("SS30", 6.4),
            ("SS34", 7.1),
            ("SS40", 8.6),
            ("SS42", 9.1),
            ("SS48", 11.0),
        ),
    ],
)
def test_millimetres_sold_as_lead_back_to_the_code(code: str, sold_as_mm: float) -> None:
    assert code in [size.code for size in nearest_sizes(shipped_base(), sold_as_mm)]


# Diamonte.net, Stoning tips: what SS means (SS30 is given there as 6.3 to 6.5).
@pytest.mark.parametrize(
    ("code", "low", "high"), [("SS12", 3.0, 3.2), ("SS16", 3.8, 4.0), ("SS20", 4.6, 4.8)]
)
def test_second_chart_agrees(code: str, low: float, high: float) -> None:
    size = stone_size(shipped_base(), code)
    assert size is not None
    assert (size.low_mm, size.high_mm) == (low, high)


# Swarovski Professional, Size charts: PP in steps of 0.1 mm up to 4.2 mm.
@every_case("number", range(21, 36))
def test_pearl_plate_sizes_step_by_a_tenth(number: int) -> None:
    size = stone_size(shipped_base(), f"PP{number}")
    assert size is not None
    assert size.high_mm - size.low_mm == pytest.approx(0.1)
    assert size.high_mm == pytest.approx(2.8 + 0.1 * (number - 21))


def test_sizes_rise_without_a_step_back() -> None:
    for series in ("SS", "PP"):
        rows = [
            row
            for row in shipped_base().registers["stone-size"].rows
            if row.key.startswith(series)
            and row.key[2:].isdigit()
            and not row.key[2:].startswith("0")
        ]
        lows = [row.low_mm for row in sorted(rows, key=lambda row: int(row.key[2:]))]
        assert lows == sorted(lows, key=lambda low: low or 0.0)


def test_every_code_leads_to_its_millimetres_and_back() -> None:
    for row in shipped_base().registers["stone-size"].rows:
        size = stone_size(shipped_base(), row.key.lower())
        assert size is not None
        assert row.key in [each.code for each in nearest_sizes(shipped_base(), size.middle_mm)]
