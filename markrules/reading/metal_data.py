"""Marks of metal content as plain data."""

from __future__ import annotations

from typing import Any

from markrules.marks.metal import MetalReading


def metal_data(reading: MetalReading) -> dict[str, Any]:
    """One decoded mark; ranges are pairs, shares parts of one, fineness in thousandths."""
    return {
        "mark": reading.mark,
        "words": reading.words,
        "metal": reading.metal,
        "how": reading.how,
        "over": reading.over,
        "fineness": _pair(reading.fineness),
        "share": _pair(reading.share),
        "fine_share": _pair(reading.fine_share),
        "karat": str(reading.karat) if reading.karat is not None else None,
        "fraction": str(reading.fraction) if reading.fraction is not None else None,
        "least_microns": reading.least_microns,
        "country": reading.country,
        "law": reading.law,
        "years": list(reading.years) if reading.years is not None else None,
        "say": reading.say,
        "may_be_said": reading.claim,
        "may_not_be_said": reading.never,
        "test": reading.test,
        "note": reading.note,
        "sources": list(reading.sources),
        "probability": round(reading.weight, 6),
        "alternatives": [metal_data(each) for each in reading.alternatives],
    }


def _pair(pair: tuple[float, float] | None) -> list[float] | None:
    return [round(end, 6) for end in pair] if pair is not None else None
