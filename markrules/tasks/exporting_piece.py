"""A piece in an open standard, as text: both faces write it here."""

from __future__ import annotations

import json

from markrules.sheets.matter import SheetMatter

FORMS = {
    "schema-org": ("schema.org", "json"),
    "linked-art": ("Linked Art", "json"),
    "dublin-core": ("Dublin Core", "xml"),
    "csv": ("CSV", "csv"),
    "edtf": ("its years, EDTF", "txt"),
}
"""The forms a piece is written in: what each is called, and how its file ends."""


def piece_as(matter: SheetMatter, form: str) -> str:
    """The piece in one of `FORMS`. Raises KeyError for another."""
    from markrules.language.escaping import json_in_html
    from markrules.sheets.exports.dublin_core import dublin_core
    from markrules.sheets.exports.linked_art import linked_art
    from markrules.sheets.exports.schema_org import schema_org
    from markrules.sheets.exports.shared import exported
    from markrules.sheets.exports.table import row, table

    if form not in FORMS:
        raise KeyError(form)
    piece = exported(matter)
    if form == "edtf":
        return f"{piece.edtf}\n"
    if form == "dublin-core":
        return dublin_core(piece)
    if form == "csv":
        return table([row(piece)])
    data = schema_org(piece) if form == "schema-org" else linked_art(piece)
    return json_in_html(json.dumps(data, ensure_ascii=False, indent=1)) + "\n"
