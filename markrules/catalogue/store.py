"""The catalogue: boxes, pieces, what was seen, and what was decided, in one SQLite file.

Each method that changes something is one transaction, and tells its step, so that it can be
taken back with `undo`. What was seen is a log that only grows. The parts, each over the one
open file:

    steps      undo, redo, last
    log        what was seen: add, withdraw, of, seen_on
    boxes      start, all, named, change, counts
    pieces     add, numbered, all, listed, change, take_out, search
    sets       start, all, pieces_of_set
    photos     add, of, picture, thumbnail, pin
    money      record_acquisition, acquisitions, record_sales, sales, events
    stones     add, all, use
    decisions  decide, of, standing
    figures    all, set
    readings   to_read, evidence, store, latest

Beside it: `entering` makes new pieces from notes, `reading` reads pieces on all cores, `tables`
takes files in, `exporting` and `archive` write them.
"""

from __future__ import annotations

from pathlib import Path

from markrules.catalogue.boxes import Boxes
from markrules.catalogue.core import OpenFile, now
from markrules.catalogue.decisions import Decisions
from markrules.catalogue.kept_figures import KeptFigures
from markrules.catalogue.log import Log, standing
from markrules.catalogue.money import Money
from markrules.catalogue.photos import Photos
from markrules.catalogue.pieces import Pieces, new_uid
from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.catalogue.readings import KeptReadings
from markrules.catalogue.records import NewPiece
from markrules.catalogue.sets import Sets
from markrules.catalogue.steps import Steps
from markrules.catalogue.stones import Stones

__all__ = [
    "Catalogue",
    "CatalogueProblem",
    "FileTrouble",
    "NewPiece",
    "new_uid",
    "now",
    "standing",
]


class Catalogue(OpenFile):
    """An open catalogue. Use it as a context manager, or call `close`."""

    def __init__(self, path: Path, *, create: bool = True, browser: str = "") -> None:
        """Open the file, making it where there is none and `create` is set.

        `browser` stands for the admitted browser that changes are made from; empty for the
        terminal. Raises FileTrouble where the file cannot be used.
        """
        super().__init__(path, create=create, browser=browser)
        self.steps = Steps(self)
        self.log = Log(self)
        self.boxes = Boxes(self)
        self.pieces = Pieces(self)
        self.sets = Sets(self)
        self.photos = Photos(self)
        self.money = Money(self)
        self.stones = Stones(self)
        self.decisions = Decisions(self)
        self.figures = KeptFigures(self)
        self.readings = KeptReadings(self)
