"""What marks and numbers say, as plain data. The keys are stable."""

from __future__ import annotations

from typing import Any

from markrules.language.windows import Window
from markrules.marks.numbers import NumberReading
from markrules.marks.results import SearchAnswer


def answer_data(answer: SearchAnswer) -> dict[str, Any]:
    """The answer of a search as plain data; probabilities are rounded to six places."""
    return {
        "read": answer.query.text,
        "none_of_these": round(answer.none_of_these, 6),
        "results": [
            {
                "maker": each.maker,
                "name": each.title,
                "mark": each.text,
                "variant": each.mark,
                "probability": round(each.probability, 6),
                "used": list(window_ends(each.used)),
                "form": each.form,
                "method": each.method,
                "symbol": each.symbol,
                "assumed": list(each.assumed),
                "tell_apart": each.tell_apart,
                "aligned": str(each.aligned).split("\n") if each.aligned else [],
            }
            for each in answer.results
        ],
    }


def window_ends(window: Window | None) -> tuple[int | None, int | None]:
    """The earliest and latest year of a mark's use, as far as they are known."""
    if window is None:
        return (None, None)
    first = window.first or window.mostly_first
    last = window.last or window.mostly_last
    return (first.number if first else None, last.number if last else None)


def number_data(reading: NumberReading) -> dict[str, Any]:
    """One number reading as plain data."""
    return {
        "register": reading.register,
        "number": reading.number,
        "from": reading.first,
        "to": reading.last,
        "years": [list(pair) for pair in reading.years],
        "what": reading.what,
        "note": reading.note,
        "probability": round(reading.weight, 6),
        "sources": list(reading.sources),
        "alternatives": [number_data(each) for each in reading.alternatives],
    }
