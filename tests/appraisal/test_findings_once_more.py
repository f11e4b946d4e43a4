"""What holds for a piece as it would be is found the way a reading finds it."""

from __future__ import annotations

import scoring
from shipped_base import shipped_reader

from markrules.appraisal.findings import cautions_with, findings_with
from markrules.reading.reader import Request


def test_findings_for_decisions_are_those_of_a_reading() -> None:
    """Every open note of the labelled corpus."""
    reader = shipped_reader()
    notes = [case["text"] for case in scoring.cases("notes", "open")]
    assert len(notes) > 50
    for note in notes:
        reading = reader.read(Request(note=note, next_looks=0))
        seen = (reading.observations, reading.piece_type)
        assert findings_with(reader.base, *seen) == reading.findings, note
        assert cautions_with(reader.base, *seen) == tuple(c.caution for c in reading.cautions), note
