"""A piece as a Linked Art object (linked.art, a profile of CIDOC CRM, ISO 21127) in JSON-LD.

Terms of the Getty thesaurus stand only where the identifier is surely known; see `aat.json`.
"""

from __future__ import annotations

from typing import Any

from markrules.inference.reading import Reading
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.exports.shared import Exported, borne_materials, seen_texts, thesaurus
from markrules.sheets.matter import SheetPhoto
from markrules.sheets.printing import data_uri
from markrules.telling.limits import firm_limits, mass_of_years, nearly_all_years, share_of_years
from markrules.telling.words import bounds, plain, visible, years_of

CONTEXT = "https://linked.art/ns/v1/linked-art.json"
_AAT = "http://vocab.getty.edu/aat/"


def linked_art(piece: Exported) -> dict[str, Any]:
    """The HumanMadeObject."""
    data: dict[str, Any] = {
        "@context": CONTEXT,
        "id": piece.address,
        "type": "HumanMadeObject",
        "_label": piece.name,
        "classified_as": _types(piece),
        "identified_by": _names(piece),
        "referred_to_by": _texts(piece),
        "dimension": _dimensions(piece),
        "produced_by": _production(piece),
        "representation": [_picture(each) for each in piece.matter.photos],
    }
    return {key: value for key, value in data.items() if value}


def _term(kind: str, key: str, type_: str = "Type", **more: Any) -> dict[str, Any]:
    number, label = thesaurus()[kind][key]
    return {"id": f"{_AAT}{number}", "type": type_, "_label": label, **more}


def _types(piece: Exported) -> list[dict[str, Any]]:
    """The nearest type that the thesaurus surely has, and that it is a type of work."""
    known = thesaurus()["pieces"]
    chain = piece.matter.base.broader(piece.matter.reading.piece_type)
    name = next((each for each in chain if each in known), "ornament")
    return [_term("pieces", name, classified_as=[_term("texts", "work-type")])]


def _names(piece: Exported) -> list[dict[str, Any]]:
    matter = piece.matter
    names: list[dict[str, Any]] = [
        {"type": "Name", "content": piece.name, "classified_as": [_term("texts", "preferred")]}
    ]
    if matter.uid:
        names.append(_identifier("system", matter.uid))
    if matter.box and matter.number is not None:
        names.append(_identifier("number", f"{matter.box} {matter.number}"))
    return names


def _identifier(kind: str, text: str) -> dict[str, Any]:
    return {
        "type": "Identifier",
        "content": visible(text),
        "classified_as": [_term("texts", kind)],
    }


def _texts(piece: Exported) -> list[dict[str, Any]]:
    matter = piece.matter
    owners = [
        ", ".join(part for part in (each.when, each.where, each.who_from, each.note) if part)
        for each in matter.owners
    ]
    pairs = [
        ("description", piece.listing.description),
        ("condition", piece.listing.condition),
        ("materials", ", ".join(borne_materials(matter))),
        ("dimensions", "; ".join(piece.listing.measurements)),
        *(("inscription", text) for text in seen_texts(matter, "mark")),
        *(("provenance", text) for text in owners),
    ]
    return [_statement(kind, visible(text)) for kind, text in pairs if text]


def _statement(kind: str, text: str) -> dict[str, Any]:
    return {
        "type": "LinguisticObject",
        "content": text,
        "classified_as": [_term("texts", kind, classified_as=[_term("texts", "brief")])],
    }


def _dimensions(piece: Exported) -> list[dict[str, Any]]:
    known, found = thesaurus()["features"], []
    for each in piece.matter.reading.observations:
        feature = piece.matter.base.features.get(each.feature)
        if each.heard or each.number is None or feature is None or each.feature not in known:
            continue
        unit, value = ("g", each.number) if feature.unit == "g" else ("cm", each.number / 10)
        found.append(
            {
                "type": "Dimension",
                "_label": plain(each.feature),
                "value": round(value, 4),
                "unit": _term("units", unit, "MeasurementUnit"),
                "classified_as": [_term("features", each.feature)],
            }
        )
    return found


def _production(piece: Exported) -> dict[str, Any]:
    """When and by whom; nothing at all where nothing seen speaks of either."""
    reading = piece.matter.reading
    if not reading.evidence:
        return {}
    date = reading.date
    # CIDOC CRM, P82a and P82b: nothing of it lies outside, which no range of 80% may claim.
    earliest, latest = nearly_all_years(reading)
    words = date_words(piece.matter.base, reading)
    data: dict[str, Any] = {
        "type": "Production",
        "timespan": {
            "type": "TimeSpan",
            "_label": words,
            "identified_by": [{"type": "Name", "content": date.edtf}],
            "begin_of_the_begin": f"{earliest:04d}-01-01T00:00:00Z",
            "end_of_the_end": f"{latest:04d}-12-31T23:59:59Z",
            "referred_to_by": [_statement("description", text) for text in _how_sure(reading)],
        },
    }
    found = attribution(piece.matter.base, reading)
    if found.maker is None:
        return data
    likely = f"{found.words}: probability {found.maker.probability:.2f}"
    data["referred_to_by"] = [_statement("description", likely)]
    if found.strength == "by":
        title = visible(found.maker.title)
        data["carried_out_by"] = [{"type": "Group", "_label": title}]
    return data


def _how_sure(reading: Reading) -> list[str]:
    """The years most likely and their probability, the same of the bounds of the span, and limits
    that hold for sure.
    """
    date, (first, last) = reading.date, firm_limits(reading)
    said = [f"{years_of(date)}: probability {mass_of_years(reading.date):.2f}"]
    if len(date.years) > 1:
        said.append("; ".join(f"{e.first}-{e.last}: probability {e.mass:.2f}" for e in date.years))
    earliest, latest = nearly_all_years(reading)
    outer = share_of_years(reading, earliest, latest)
    said.append(f"{earliest}–{latest}: probability {outer:.2f}")
    if first is not None or last is not None:
        said.append(f"certain: {bounds(first, last)}")
    return said


def _picture(photo: SheetPhoto) -> dict[str, Any]:
    """A photo in the export itself: the smaller copy, which tells no place and no time."""
    shown: dict[str, Any] = {
        "type": "DigitalObject",
        "_label": visible(photo.place) or "photo",
        "format": photo.media_type,
        "access_point": [{"id": data_uri(photo), "type": "DigitalObject"}],
    }
    return {"type": "VisualItem", "digitally_shown_by": [shown]}
