"""Reading what the log holds gives what reading the note gives, on one core and on two."""

from __future__ import annotations

import csv
import functools
import io
import json
from pathlib import Path

import pytest
from building import NOTES, reader
from samples import samples, some_of
from together import every_case

from markrules.catalogue.readings import PieceEvidence, fingerprint
from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
from markrules.knowledge.observation import Observation
from markrules.reading.file_lines import lines_of
from markrules.reading.reader import Request
from markrules.reading.reading_data import reading_data
from markrules.tasks.demo import demo_folder
from markrules.tasks.entering import new_piece
from markrules.tasks.exporting import defused, export_csv, export_lines
from markrules.tasks.reading_pieces import read_evidence, read_pieces


def demo_notes() -> list[str]:
    lines = lines_of(demo_folder() / "box.csv")
    return [str(line.data["note"]) for line in lines if line.data is not None]


@every_case("note", [*some_of(demo_notes(), least=24), *NOTES])
def test_the_log_reads_like_the_note(note: str) -> None:
    """The reading of the note itself is the reference: the log must lose nothing of it."""
    piece = new_piece(reader(), note)
    evidence = PieceEvidence(1, piece.observations, "", 0, piece.not_understood, note)
    by_log = reading_data(read_evidence(reader(), evidence))
    by_note = reading_data(reader().read(Request(note=note, next_looks=3)))
    for each in (by_log, by_note):
        each.pop("observations")
        each.pop("account")  # of the words of a note: the log keeps only what came of them
    assert by_log == by_note


def filled(path: Path, notes: list[str]) -> Catalogue:
    catalogue = Catalogue(path)
    box = catalogue.boxes.start("tin")
    catalogue.pieces.add(box, [new_piece(reader(), note) for note in notes])
    return catalogue


def test_only_what_changed_is_read_again(tmp_path: Path) -> None:
    with filled(tmp_path / "c.db", list(NOTES)) as catalogue:
        version = reader().base.version
        box = catalogue.boxes.named("tin")

        def changed() -> list[int]:
            return catalogue.readings.to_read(box, changed_only=True, knowledge_version=version)

        assert len(changed()) == 5
        told: list[int] = []
        assert read_pieces(catalogue, changed(), reader, done=told.append) == 5
        assert sum(told) == 5
        assert changed() == []
        piece = catalogue.pieces.numbered(box, 3)
        before = catalogue.readings.latest(piece)
        catalogue.log.add(piece, [Observation("catch", "c-catch")])
        assert changed() == [piece.id]
        assert [each.fresh for each in catalogue.pieces.listed(box)] == [
            True,
            True,
            False,
            True,
            True,
        ]
        read_pieces(catalogue, changed(), reader)
        after = catalogue.readings.latest(piece)
        assert before is not None
        assert after is not None
        assert after.evidence_fingerprint != before.evidence_fingerprint
        assert len(catalogue.readings.of(piece)) == 2  # the earlier one stays
        assert len(catalogue.readings.to_read(changed_only=True, knowledge_version="other")) == 5
        catalogue.pieces.take_out(piece)
        assert len(catalogue.readings.to_read(box)) == 4


def test_a_stored_reading_is_the_reading(tmp_path: Path) -> None:
    with filled(tmp_path / "c.db", list(NOTES)) as catalogue:
        read_pieces(catalogue, catalogue.readings.to_read(), reader)
        for piece in catalogue.pieces.all():
            stored = catalogue.readings.latest(piece)
            assert stored is not None
            evidence = catalogue.readings.evidence(piece)
            now = reading_data(read_evidence(reader(), evidence))
            assert stored.data == json.loads(json.dumps(now))
            assert stored.knowledge_version == reader().base.version
            assert stored.evidence_fingerprint == evidence.fingerprint


def test_the_fingerprint_tells_evidence_apart() -> None:
    seen = [Observation("catch", "rollover"), Observation("mark", "AUSTRIA")]
    assert fingerprint(seen) == fingerprint(list(seen))
    others = [
        seen[::-1],
        seen[:1],
        [Observation("catch", "rollover", certainty="guess"), seen[1]],
        [Observation("catch", "rollover", "ruled-out"), seen[1]],
        [Observation("catch", "rollover", words="x"), seen[1]],
        [Observation("catchrollover", ""), seen[1]],
    ]
    assert len({fingerprint(each) for each in [seen, *others]}) == 7


def test_without_next_looks_all_else_is_the_same(tmp_path: Path) -> None:
    with filled(tmp_path / "c.db", list(NOTES)) as catalogue:
        read_pieces(catalogue, catalogue.readings.to_read(), reader)
        read_pieces(catalogue, catalogue.readings.to_read(), reader, next_looks=0)
        for piece in catalogue.pieces.all():
            with_looks, without = (each.data for each in catalogue.readings.of(piece))
            assert with_looks.pop("next")
            assert without.pop("next") == []
            # What other origins would make of it looks ahead as well, and is left out with them.
            with_looks["origin"].pop("others")
            assert without["origin"].pop("others") == []
            assert without == with_looks


@pytest.mark.slow
def test_two_cores_give_the_readings_of_one(tmp_path: Path) -> None:
    from markrules.cli.common import open_reader

    every = [f"{note}, {n % 7 + 1} cm" for n in range(15) for note in demo_notes()]
    notes = every[: samples(len(every))]
    opener = functools.partial(open_reader, ())
    found = []
    for jobs in (1, 2):
        with filled(tmp_path / f"{jobs}.db", notes) as catalogue:
            count = read_pieces(catalogue, catalogue.readings.to_read(), opener, jobs=jobs)
            assert count == len(notes)
            rows = catalogue.rows(
                "select piece_id, evidence, first_year, last_year, maker, data from reading"
            )
            found.append([tuple(row) for row in rows])
    assert found[0] == found[1]


def test_export_defuses_formulas_and_nothing_else(tmp_path: Path) -> None:
    """Starts that spreadsheets compute: OWASP, CSV Injection."""
    hostile = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1", " =1", '=HYPERLINK("x")']
    plain = ["brooch", "5-stone", "a=b", "", "'quoted", "é"]
    assert [defused(text) for text in hostile] == ["'" + text for text in hostile]
    assert [defused(text) for text in plain] == plain
    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.start("=box")
        pieces = [NewPiece(note=text, title=text, told=text) for text in hostile]
        catalogue.pieces.add(box, pieces)
        catalogue.log.add(catalogue.pieces.numbered(box, 1), [Observation("=mark", "@x")])
        out = io.StringIO(newline="")
        assert export_csv(catalogue, out) == len(hostile)
        rows = list(csv.reader(io.StringIO(out.getvalue(), newline="")))
        for row in rows:
            for cell in row:
                assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r"))
        assert [row[3] for row in rows[1:]] == ["'" + text for text in hostile]
        lines = io.StringIO()
        export_lines(catalogue, lines)
        data = [json.loads(line) for line in lines.getvalue().splitlines()]
        assert [each["note"] for each in data] == hostile
        assert data[0]["seen"] == [
            {"feature": "=mark", "value": "@x", "state": "seen", "certainty": "sure"}
        ]


def test_marks_are_found_by_what_is_left_of_them(tmp_path: Path) -> None:
    from markrules.tasks.finding_by_mark import find_by_mark

    marks = ["ACORNWERK", "BIRCHMONT", "HOLLYBRIDGE", "AUSTRIA"]
    with Catalogue(tmp_path / "c.db") as catalogue:
        box = catalogue.boxes.start("tin")
        seen = [NewPiece(observations=(Observation("mark", mark),)) for mark in marks]
        catalogue.pieces.add(box, seen)
        for query, number in [("?CORN...", 1), ("B?RCHM...", 2), ("HOLLY[BD]RIDGE", 3)]:
            found = find_by_mark(catalogue, reader().base, query)
            assert found[0].piece.number == number
        assert find_by_mark(catalogue, reader().base, "QZXQZXQZX") == ()
        line = catalogue.log.seen_on(catalogue.pieces.numbered(box, 1))[0].id
        catalogue.log.withdraw(catalogue.pieces.numbered(box, 1), line)
        found = find_by_mark(catalogue, reader().base, "?CORN...")
        assert all(each.piece.number != 1 for each in found)
