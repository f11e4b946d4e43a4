"""The catalogue: boxes, pieces, what was seen, and what was decided, in one SQLite file.

Each method that changes something is one transaction, and tells its step, so that it can be
taken back with `undo`. What was seen is a log that only grows. The parts:

    core      transactions and rows: change, moment, rows, db
    steps     undo, redo, steps
    log       log, withdraw, log_of, seen_on
    boxes     start_box, boxes, box, change_box, box_counts
    pieces    add_pieces, piece_in, pieces, listed, change_piece, take_out, start_set, sets
    photos    add_photo, photos_of, picture, thumbnail, pin
    money     record_acquisition, acquisitions, record_sales, sales
    stock     add_stones, stones, use_stones, decide, decisions, figures, set_figure
    readings  to_read, evidence, store_readings, reading_of
    finding   search

Beside it: `entering` makes new pieces from notes, `reading` reads pieces on all cores, `tables`
takes files in, `exporting` and `archive` write them.
"""

from __future__ import annotations

from markrules.catalogue.core import now
from markrules.catalogue.finding import Finding
from markrules.catalogue.log import standing
from markrules.catalogue.pieces import new_uid
from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.records import NewPiece

__all__ = [
    "Catalogue",
    "CatalogueProblem",
    "FileTrouble",
    "NewPiece",
    "new_uid",
    "now",
    "standing",
]


class Catalogue(Finding):
    """An open catalogue. Use it as a context manager, or call `close`."""
