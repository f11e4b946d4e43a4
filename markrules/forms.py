"""The forms of JSON that the commands write: a JSON Schema (draft 2020-12) for each.

A form is named `NAME/VERSION`. The version grows when a key changes its meaning or goes; keys that
are added do not change it, so that a program should pass over what it does not know.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Form:
    """A form: the command that writes it with `--json`, what it tells, and its version."""

    command: str
    tells: str
    version: int = 1


FORMS: Mapping[str, Form] = {
    "appraisal": Form(
        "value; decide BOX NUMBER", "condition, value, metal and decision of a piece", version=2
    ),
    "archive": Form("box archive", "the archive that was written, and its rows by table"),
    "audit": Form("rules audit", "how readings stand against dated pieces"),
    "batch": Form("read --batch", "a line of a batch: a reading with its `id`, or an error"),
    "book": Form("rules book", "the folder and files of the book of rules"),
    "bought": Form("piece bought", "what was written down of a purchase"),
    "bought-together": Form("piece bought", "each piece's part of what a lot cost"),
    "box": Form("box start, rename", "a box"),
    "box-check": Form("box check", "what was looked at in a catalogue, and its faults"),
    "box-import": Form("box import", "how a table was taken in"),
    "box-read": Form("box read", "how many pieces were read"),
    "box-taken-in": Form("box take-in", "what became of the pieces of an export"),
    "boxes": Form("box list", "the boxes and how many pieces each holds"),
    "claims": Form("sheet check", "phrases that say more than the evidence or the law bears"),
    "complete": Form("sheet complete", "what a sheet of a piece still wants"),
    "copy": Form("box copy", "the copy of a catalogue"),
    "cost": Form("sell cost", "the corrected cost of a purchase"),
    "decisions": Form("decide BOX", "what to do with each piece of a box, its lots and mates"),
    "demo": Form("demo", "the readings of the invented demo box"),
    "entered": Form("box add, paste", "pieces entered, and what was understood of their notes"),
    "figure": Form("figures set", "a figure of one's own"),
    "figures": Form("figures show", "all figures of one's own, and what each means"),
    "glance": Form("glance", "a box at a glance"),
    "lamps": Form("lamps", "a mark's relief from photos under several lamps"),
    "listed": Form("sell listed", "a piece put up for sale, or taken down"),
    "listing": Form("sheet listing", "the text of a listing, and its problems"),
    "marks": Form("marks find", "whose mark a text may be"),
    "marks-import": Form("marks import", "how a list of marks was taken in"),
    "metal": Form("metal", "what marks of metal content claim"),
    "numbers": Form("numbers", "numbers of registers and their years"),
    "own-maker": Form("rules add-maker, take-out-maker", "an entry of one's own, written or gone"),
    "photos": Form("piece photo", "the photos of a piece"),
    "piece": Form("piece tell, title, own-number, gone", "a piece"),
    "piece-in-full": Form("piece show", "a piece with its log, photos and latest reading"),
    "pieces": Form("box show, search", "pieces with the years and maker of their latest reading"),
    "price-dropped": Form("prices drop", "the number of a sold price that no longer counts"),
    "prices-import": Form("prices import", "how a table of sold prices was taken in"),
    "problems": Form("rules check", "problems in rules"),
    "reading": Form("read", "a reading: when, by whom, how sure, why, what next"),
    "redone": Form("box redo", "the step that was done again"),
    "report": Form("sell report", "bought, sold, fees, net, and what is unsold", version=2),
    "restored": Form("box restore", "the catalogue made of an archive, and its rows by table"),
    "rules-counted": Form("rules list", "how many entries of each kind there are"),
    "rules-listed": Form("rules list KIND", "the names of the entries of a kind"),
    "sale": Form("prices add", "a sold price"),
    "sale-returned": Form("sell returned", "a sale that came back"),
    "sales": Form("prices list", "sold prices"),
    "seen": Form("piece see, correct", "lines added to the log of what was seen on a piece"),
    "set": Form("piece set", "pieces that belong together"),
    "sheets": Form("sheet box", "the sheets that were written for a box"),
    "sold": Form("sell sold", "sales, with what each keeps of its piece"),
    "standing": Form("sell show", "what a piece cost, fetched and left"),
    "steps": Form("box steps", "what was done to a catalogue, step by step"),
    "stone": Form("stones add, use", "spare stones of one kind"),
    "stones": Form("stones list", "the tin of spare stones"),
    "stones-fitting": Form("stones match", "spare stones that fit, and what to buy"),
    "stones-import": Form("stones import", "how a table or text of spare stones was taken in"),
    "stones-mirrored": Form("stones mirror", "whether two mirrored stones differ"),
    "stored": Form("sell stored", "where a piece is kept"),
    "undone": Form("box undo", "the step that was taken back"),
}
"""Every form, by its name; its schema lies beside it under the same name."""

FOLDER = Path(__file__).parent / "_schemas"


def versioned(data: Any, form: str) -> Any:
    """The data with the name and version of its form under `schema`, first; a list has them in
    each of its objects.

    Raises KeyError for a form that is not in FORMS.
    """
    stamp = {"schema": f"markrules-{form}/{FORMS[form].version}"}
    if isinstance(data, list):
        return [{**stamp, **each} for each in data]
    return {**stamp, **data}


def schemas() -> tuple[str, ...]:
    """The names of all forms that have a schema, sorted."""
    return tuple(sorted(each.name.removesuffix(".json") for each in FOLDER.glob("*.json")))


def schema(name: str) -> dict[str, Any]:
    """The JSON Schema of a form, by its name (`reading`), as a new dictionary.

    Raises KeyError, with the nearest name, for a form that is not known.
    """
    if name not in schemas():
        from markrules.language.nearest import nearest

        near = nearest(name, schemas())
        hint = f'; nearest: "{near}"' if near else ""
        raise KeyError(f'no form is called "{name}"{hint}')
    found: dict[str, Any] = json.loads(_text(name))
    return found


@cache
def _text(name: str) -> str:
    return (FOLDER / f"{name}.json").read_text(encoding="utf-8")
