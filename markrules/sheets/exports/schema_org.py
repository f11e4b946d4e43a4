"""A piece as a schema.org Product, in JSON-LD (W3C Recommendation, 1.1)."""

from __future__ import annotations

from typing import Any

from markrules.sheets.attribution import attribution
from markrules.sheets.exports.shared import Exported, borne_materials
from markrules.sheets.matter import SheetPhoto
from markrules.sheets.printing import data_uri
from markrules.telling.limits import firm_limits, mass_of_years
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
        "image": [_image(each) for each in matter.photos],
        "material": borne_materials(matter),
        "additionalProperty": _properties(piece),
        **_measures(piece),
    }
    if matter.uid:
        data["sku"] = visible(matter.uid)
    span = matter.reading.date.range
    if matter.reading.evidence and firm_limits(matter.reading) == (span.first, span.first):
        data["productionDate"] = str(span.first)
    found = attribution(matter.base, matter.reading)
    if found.strength == "by" and found.maker is not None:
        data["manufacturer"] = {"@type": "Organization", "name": visible(found.maker.title)}
    return {key: value for key, value in data.items() if value not in ("", [])}


def _image(photo: SheetPhoto) -> dict[str, Any]:
    """A photo in the export itself: the smaller copy, which tells no place and no time."""
    data = {
        "@type": "ImageObject",
        "contentUrl": data_uri(photo),
        "encodingFormat": photo.media_type,
        "width": str(photo.width),
        "height": str(photo.height),
        "caption": visible(photo.place),
    }
    return {key: value for key, value in data.items() if value}


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
    reading = piece.matter.reading
    found = attribution(piece.matter.base, reading)
    pairs = [
        ("condition", piece.listing.condition),
        *((f"measurement {at}", text) for at, text in enumerate(piece.listing.measurements, 1)),
        ("knowledge version", reading.knowledge_version),
        ("evidence (SHA-256)", piece.digest),
    ]
    likely = found.maker.probability if found.maker is not None else None
    return [
        *_years(piece),
        _property("attribution", found.words, likely),
        *(_property(name, value) for name, value in pairs if value),
    ]


def _years(piece: Exported) -> list[dict[str, Any]]:
    """The years with their probability, and the limits of the whole piece, as numbers."""
    reading = piece.matter.reading
    if not reading.evidence:
        return [_property("date (EDTF)", piece.edtf)]
    date = reading.date
    runs = date.years if len(date.years) > 1 else (date.range,)
    first, last = firm_limits(reading)
    found = [_property("date (EDTF)", piece.edtf, mass_of_years(reading.date))]
    for run in runs:
        between = {"minValue": run.first, "maxValue": run.last}
        found.append({**_property("year of making", "", run.mass), **between})
    if first is not None:
        found.append({**_property("not made before"), "minValue": first})
    if last is not None:
        found.append({**_property("not made after"), "maxValue": last})
    return found


def _property(name: str, value: str = "", probability: float | None = None) -> dict[str, Any]:
    """A property, and how likely it is, from 0 to 1, where that is known."""
    data: dict[str, Any] = {"@type": "PropertyValue", "name": name}
    if value:
        data["value"] = value
    if probability is not None:
        data["valueReference"] = {
            "@type": "PropertyValue",
            "name": "probability",
            "value": round(probability, 3),
            "minValue": 0,
            "maxValue": 1,
        }
    return data
