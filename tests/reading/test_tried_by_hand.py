"""What a lip or a magnet tells of the stuff, and what follows for the years.

Black glass was sold in place of Whitby jet from the 1860s into the 1920s.
"""

from __future__ import annotations

from shipped_base import shipped_reader

from markrules.inference.engine import NO_EVIDENCE
from markrules.inference.reading import Reading
from markrules.reading.reader import Request


def _read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def test_cold_jet_has_the_years_of_black_glass_and_is_not_called_undated() -> None:
    bare, cold = _read("brooch"), _read("jet brooch, cold to the touch")
    assert NO_EVIDENCE in bare.notes
    assert not bare.evidence
    assert cold.evidence
    assert NO_EVIDENCE not in cold.notes
    assert cold.date.median < bare.date.median


def test_a_magnet_alone_moves_no_year() -> None:
    assert _read("brooch, attracted to a magnet").date == _read("brooch").date
