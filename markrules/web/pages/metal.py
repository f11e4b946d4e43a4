"""Marks of metal, and numbers of registers, read without a piece."""

from __future__ import annotations

import math

from starlette.responses import Response

from markrules.catalogue.problems import CatalogueProblem
from markrules.marks.numbers import find_numbers
from markrules.tasks.metal_marks import UNITS, metal_asked
from markrules.web.desk import Refused, Visit

LONGEST = 2_000


def metal(visit: Visit) -> Response:
    """What a mark of metal claims, and what the metal of a piece of that weight would fetch."""
    text = _text(visit)
    fields = ("weight", "stones", "price")
    given = {name: visit.query.get(name, "").strip()[:20] for name in fields}
    per = visit.query.get("per", "")
    asked, wrong, field = None, "", ""
    try:
        if text:
            asked = metal_asked(
                visit.base,
                text,
                _amount(given, "weight"),
                _amount(given, "stones") or 0.0,
                _amount(given, "price"),
                per if per in UNITS else "ozt",
            )
    except Refused as problem:
        wrong, field = str(problem), problem.field
    except CatalogueProblem as problem:
        wrong, field = str(problem), "stones"
    return visit.page(
        "metal.html",
        status=400 if wrong else 200,
        text=text,
        given=given,
        per=per,
        units=UNITS,
        asked=asked,
        wrong=wrong,
        field=field,
    )


def numbers(visit: Visit) -> Response:
    """The years of patent, design, trade mark and registry numbers."""
    text = _text(visit)
    found = find_numbers(text, visit.base) if text else ()
    return visit.page("numbers.html", text=text, found=found, titles=visit.base.sources)


def _text(visit: Visit) -> str:
    text = visit.query.get("text", "").strip()
    if len(text) > LONGEST:
        raise Refused(400, f"{len(text):,} characters here; {LONGEST:,} at most", "text")
    return text


def _amount(given: dict[str, str], name: str) -> float | None:
    """A number of zero or more; None for an empty field. Raises Refused, at the field."""
    text = given[name].replace(",", ".")
    if not text:
        return None
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0 <= number < 1e9:
        raise Refused(400, f'{name}: "{text}" is no number of zero or more', name)
    return number


ROUTES = (
    ("GET", "/metal", metal),
    ("GET", "/numbers", numbers),
)
