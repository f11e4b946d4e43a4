"""A piece in the fifteen elements of Dublin Core (ISO 15836-1), as pairs and as XML."""

from __future__ import annotations

from xml.sax.saxutils import escape

from markrules.sheets.attribution import attribution
from markrules.sheets.exports.shared import Exported
from markrules.sheets.object_id import observations_for
from markrules.telling.words import plain, visible

ELEMENTS = "http://purl.org/dc/elements/1.1/"


def pairs(piece: Exported) -> list[tuple[str, str]]:
    """Element and value, in the order of the standard; elements may stand more than once."""
    matter = piece.matter
    found = attribution(matter.base, matter.reading)
    creator = found.maker.title if found.strength == "by" and found.maker is not None else ""
    subjects = [plain(each.value) for each in observations_for(matter, "subject") if each.value]
    said = [
        ("title", piece.name),
        ("creator", creator),
        *(("subject", text) for text in subjects),
        ("description", piece.listing.description),
        ("date", piece.edtf if matter.reading.evidence else ""),
        ("type", "PhysicalObject"),
        *(("format", text) for text in piece.listing.measurements),
        ("identifier", piece.address),
        ("identifier", matter.uid),
    ]
    return [(name, visible(text)) for name, text in said if text]


def dublin_core(piece: Exported) -> str:
    """The pairs as XML."""
    lines = [f"  <dc:{name}>{escape(text)}</dc:{name}>" for name, text in pairs(piece)]
    return "\n".join(
        (
            '<?xml version="1.0" encoding="UTF-8"?>',
            f'<record xmlns:dc="{ELEMENTS}">',
            *lines,
            "</record>",
            "",
        )
    )
