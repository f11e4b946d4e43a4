"""The shipped reader and small builders for the tests of appraisal. All prices are invented."""

from __future__ import annotations

import datetime
from functools import cache
from pathlib import Path

from shipped_base import shipped_reader

from markrules.appraisal.appraisal import Appraisal, appraise
from markrules.appraisal.figures import Figures, figures_from
from markrules.appraisal.likeness import LikenessSettings, measure
from markrules.catalogue.records import Sale
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.reader import Request

RULES = Path(__file__).parents[2] / "rules"
TODAY = datetime.date(2026, 6, 1)

GIVEN = {
    "currency": "EUR",
    "fee": "13%",
    "postage": "4",
    "listing-minutes": "10",
    "packing-minutes": "5",
    "hour": "12",
    "lot-price": "3",
    "stone-cost": "1",
    "mend-minutes": "10",
    "mend-chance": "90%",
    "stones-worth": "2",
    "strip-minutes": "5",
    "test-cost": "10",
    "silver-price": "0.90/g",
}


def shipped() -> KnowledgeBase:
    """The knowledge base made from the rules beside the source."""
    return shipped_reader().base


@cache
def compared() -> LikenessSettings:
    """The comparison as the rules set it."""
    return measure(shipped())


def figures(**changed: str | None) -> Figures:
    """The usual figures of these tests, with some changed, or left out by None."""
    named = {name.replace("_", "-"): value for name, value in changed.items()}
    kept = {**GIVEN, **named}
    return figures_from({name: value for name, value in kept.items() if value is not None})


def sale(price: float, number: int = 1, **changed: object) -> Sale:
    """A sale of an unsigned brooch of 1940 to 1965, lightly worn, today."""
    usual: dict[str, object] = {
        "when": TODAY.isoformat(),
        "currency": "EUR",
        "maker": "",
        "piece_type": "brooch",
        "first_year": 1940,
        "last_year": 1965,
        "condition": "light wear",
        "signed": False,
        "note": "",
        "link": "",
    }
    return Sale(number, None, price_minor=round(price * 100), **{**usual, **changed})  # type: ignore[arg-type]


THIRTY_TO_FIFTY = tuple(sale(price, n) for n, price in enumerate((30, 35, 38, 42, 50), 1))


def appraised_note(
    note: str, sales: tuple[Sale, ...] = THIRTY_TO_FIFTY, given: Figures | None = None, **more: int
) -> Appraisal:
    """The appraisal of a note by the shipped rules."""
    reader = shipped_reader()
    reading = reader.read(Request(note=note))
    metals = reader.metals(reading.observations)
    used = figures() if given is None else given
    return appraise(compared(), reading, metals, sales, used, TODAY, **more)
