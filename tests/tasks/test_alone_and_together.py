"""One piece decided by itself, and with all of its box: the same answer, also of large boxes."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from shipped_base import shipped_reader

from markrules.catalogue.store import Catalogue
from markrules.language.tree import Setting
from markrules.tasks.appraising import appraise_piece, appraise_pieces, desk_of
from markrules.tasks.entering import new_piece
from markrules.tasks.reading_pieces import ReadPieces

NOTES = (
    "single earring, clip back, clear rhinestones, gold tone",
    "single earring, clip back, clear rhinestones, gold tone",
    "ring, marked 585",
    "brooch, marked sterling",
    "brooch, rollover catch, two stones missing",
)


@pytest.mark.parametrize("at_once", [500, 2])
def test_a_piece_is_decided_alike_alone_and_with_its_box(tmp_path: Path, at_once: int) -> None:
    """A trip is shared and mates are looked for in a box of up to `box-at-once` pieces only."""
    reader = shipped_reader()
    settings = {**reader.base.settings, "box-at-once": Setting("box-at-once", at_once)}
    readings = ReadPieces(replace(reader, base=replace(reader.base, settings=settings)))
    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.start("invented tin")
        catalogue.pieces.add(box, [new_piece(reader, note) for note in NOTES])
        for name, value in (("trip-cost", "30"), ("test-cost", "5"), ("hour", "12")):
            catalogue.figures.set(name, value)
        desk = desk_of(readings, catalogue)
        pieces = catalogue.pieces.all(box)
        together = appraise_pieces(desk, catalogue, pieces)

        for piece in pieces:
            alone = appraise_piece(desk, catalogue, piece).decision
            assert alone == together.pieces[piece.id].decision
        sums = [
            one.what
            for found in together.pieces.values()
            for each in found.decision.weighed
            for one in each.option.sums
        ]
        assert any("trip" in each for each in sums)
        assert any("shared by" in each for each in sums) == (at_once > len(NOTES))
        assert bool(together.mates) == (at_once > len(NOTES))
