"""A piece as a schema.org Product, in JSON-LD (W3C Recommendation, 1.1)."""

from __future__ import annotations

from typing import Any

from markrules.sheets.attribution import attribution
from markrules.sheets.exports.facts import Exported
from markrules.sheets.object_id import observations_for
from markrules.telling.words import plain, visible

CONTEXT = {"@vocab": "https://schema.org/"}
"""Every name is one of schema.org's: given in full, so that nothing need be fetched."""
_UNIT_CODES = {"mm": "MMT", "g": "GRM"}
"""UN/CEFACT Recommendation 20 codes, as schema.org asks of `unitCode`."""
_OWN = ("width", "height", "depth", "weight")


def schema_org(piece: Exported) -> dict[str, Any]:
    """The Product. A maker stands there only where the evidence bears `by`."""
    matter = piece.matter
    data: dict[str, Any] = {
        "@context": CONTEXT,
        "@type": "Product",
        "@id": piece.address,
        "name": piece.name,
        "description": piece.listing.description,
        "category": plain(matter.reading.piece_type) or "jewelry",
        "itemCondition": {"@id": "https://schema.org/UsedCondition"},
        "material": _materials(piece),
        "additionalProperty": _properties(piece),
        **_measures(piece),
    }
    if matter.uid:
        data["sku"] = visible(matter.uid)
    span = matter.reading.date.range
    if matter.reading.evidence and span.first == span.last:
        data["productionDate"] = str(span.first)
    found = attribution(matter.base, matter.reading)
    if found.strength == "by" and found.maker is not None:
        data["manufacturer"] = {"@type": "Organization", "name": visible(found.maker.title)}
    return {key: value for key, value in data.items() if value not in ("", [])}


def _materials(piece: Exported) -> list[str]:
    return list(
        dict.fromkeys(
            plain(each.value)
            for each in observations_for(piece.matter, "materials")
            if each.state == "seen" and each.feature in ("metal", "finish") and each.value
        )
    )


def _measures(piece: Exported) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for each in piece.matter.reading.observations:
        feature = piece.matter.base.features.get(each.feature)
        if each.heard or each.number is None or feature is None or each.feature not in _OWN:
            continue
        found.setdefault(each.feature, _quantity(each.number, feature.unit))
    return found


def _quantity(number: float, unit: str) -> dict[str, Any]:
    return {
        "@type": "QuantitativeValue",
        "value": round(number, 3),
        "unitCode": _UNIT_CODES.get(unit, unit),
    }


def _properties(piece: Exported) -> list[dict[str, Any]]:
    date = piece.matter.reading.date
    share = f"{date.range.mass:.2f}" if piece.matter.reading.evidence else ""
    pairs = [
        ("date range (EDTF)", piece.edtf),
        ("earliest year of the range", str(date.range.first) if share else ""),
        ("latest year of the range", str(date.range.last) if share else ""),
        ("not made before", str(date.not_before or "")),
        ("not made after", str(date.not_after or "")),
        ("probability of the date range", share),
        ("attribution", attribution(piece.matter.base, piece.matter.reading).words),
        ("condition", piece.listing.condition),
        *((f"measurement {at}", text) for at, text in enumerate(piece.listing.measurements, 1)),
        ("knowledge version", piece.matter.reading.knowledge_version),
        ("evidence (SHA-256)", piece.digest),
    ]
    return [
        {"@type": "PropertyValue", "name": name, "value": value} for name, value in pairs if value
    ]
