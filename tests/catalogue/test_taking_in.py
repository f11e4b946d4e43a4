"""What is exported and taken in again is what it was: compared row by row in SQL, which neither
the export nor the taking in is made with.
"""

from __future__ import annotations

import csv
import io
import json
import stat
import tempfile
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece, Sale
from markrules.catalogue.store import Catalogue
from markrules.catalogue.whole import take_in, whole_pieces
from markrules.knowledge.observation import Observation
from markrules.tasks.exporting import as_meant, defused, export_csv, export_lines
from markrules.tasks.taking_in import is_export, kept_pieces

COLUMNS = {
    "piece": "uid, number, title, note, told, added, gone, gone_why, not_understood",
    "seen": "feature, value, state, number, first_year, last_year, weights, certainty, heard,"
    " words, assumed, who, moment, withdrawn",
    "passed": "feature",
    "acquisition": "day, place, who_from, cost_minor, currency, note",
    "sale": "day, price_minor, currency, maker, piece_type, first_year, last_year, condition,"
    " signed, note, link, venue, fees_minor, postage_minor, paid_postage_minor, material, size_mm,"
    " subject, pieces, returned",
    "event": "kind, day, place, price_minor, currency, note, who, moment",
    "decision": "moment, who, choice, reason, sums",
}


def kept(catalogue: Catalogue) -> dict[str, list[Any]]:
    """All that hangs on pieces, by their identifiers, with no row number in it."""
    found: dict[str, list[Any]] = {}
    for table, columns in COLUMNS.items():
        if table == "piece":
            sql = f"select {columns} from piece where gone not like '%undone%' order by uid"
        else:
            named = ", ".join(f"{table}.{each.strip()}" for each in columns.split(","))
            sql = (
                f"select piece.uid, {named} from {table} join piece on piece.id = {table}.piece_id"
                f" order by piece.uid, {table}.id"
            )
        found[table] = [tuple(row) for row in catalogue.rows(sql)]
    found["corrects"] = [
        tuple(row)
        for row in catalogue.rows(
            "select piece.uid, (select count(*) from seen as other where other.piece_id = piece.id"
            " and other.id <= seen.corrects) from seen join piece on piece.id = seen.piece_id"
            " order by piece.uid, seen.id"
        )
    ]
    found["bought with the box"] = [
        tuple(row)
        for row in catalogue.rows(
            "select piece.uid, acquisition.day, acquisition.place, acquisition.cost_minor,"
            " acquisition.currency from piece join acquisition on acquisition.box_id = piece.box_id"
            " where piece.gone not like '%undone%' order by piece.uid, acquisition.id"
        )
    ]
    found["boxes"] = [
        tuple(row)
        for row in catalogue.rows(
            "select piece.uid, box.name, box.note from piece join box on box.id = piece.box_id"
            " where piece.gone not like '%undone%' order by piece.uid"
        )
    ]
    sets: dict[int, list[str]] = {}
    for row in catalogue.rows(
        "select piece_set.id, piece_set.name, piece_set.note, piece.uid from piece"
        " join piece_set on piece_set.id = piece.set_id order by piece.uid"
    ):
        sets.setdefault(row[0], [row[1], row[2]]).append(row[3])
    found["sets"] = sorted(sets.values())
    return found


words = st.text(st.characters(blacklist_categories=("Cs",), blacklist_characters="\0"), max_size=30)
texts = st.one_of(words, st.sampled_from(["", "=1+1", "'=1", "''+a", "a, b; c\n=d", '"', " x "]))
observations = st.builds(
    Observation,
    feature=st.sampled_from(["mark", "catch", "stone", "width"]),
    value=texts,
    state=st.sampled_from(["seen", "absent", "ruled-out", "replaced"]),
    number=st.none() | st.floats(-1e6, 1e6) | st.integers(-999, 999).map(float),
    years=st.none() | st.just((1911, 1934)),
    certainty=st.sampled_from(["sure", "fair", "guess"]),
    words=texts,
    assumed=texts,
    weights=st.sampled_from([(), ((1911, 0.25), (1936, 1e-7))]),
)
new_pieces = st.builds(
    NewPiece,
    note=texts,
    title=texts,
    told=texts,
    observations=st.lists(observations, max_size=4).map(tuple),
    not_understood=st.lists(texts, max_size=2).map(tuple),
)


def filled(place: Path, pieces: list[NewPiece], choose: Any) -> Catalogue:
    """A catalogue with pieces on which everything was done that can be."""
    catalogue = Catalogue(place, create=True)
    boxes = [catalogue.boxes.start("=tin, one"), catalogue.boxes.start("tin two")]
    for at, piece in enumerate(pieces):
        catalogue.pieces.add(boxes[at % 2], [piece], "observer")
    catalogue.boxes.change(boxes[0], note="=from a house, in one lot")
    catalogue.money.record_acquisition(
        boxes[0], when="2024-02", where="a house", cost_minor=4000, currency="GBP"
    )
    found = catalogue.pieces.all(gone=True)
    for piece in found[:4]:
        lines = [each.id for each in catalogue.log.seen_on(piece)]
        if lines:
            line = choose(lines)
            new = catalogue.log.add(piece, [Observation("mark", "FENWICK")], "other", corrects=line)
            if choose([True, False]):
                catalogue.log.withdraw(piece, new[0], "third")
        catalogue.log.pass_over(piece, ["hinge"])
    catalogue.sets.start("leaf set", found[:2], "bought so")
    catalogue.sets.start("leaf set", found[2:4])
    catalogue.money.record_acquisition(
        found[0], when="2024-03", where="a fair", who_from="@x", cost_minor=1250, currency="EUR"
    )
    catalogue.money.record_acquisition(found[-1], when="2023", where="a gift, without a price")
    catalogue.money.record_event(found[0], "stored", day="2024-04-01", place="shelf 3, bag B")
    catalogue.money.record_event(
        found[0], "listed", day="2024-05-01", place="fair", price_minor=4000, currency="EUR"
    )
    catalogue.decisions.decide(found[0], "alone", "=why", {"alone": 12.5}, "me")
    sale = Sale(0, None, "2024-06-30", 3450, "EUR", "x", "brooch", 1930, None, "good", True, "", "")
    catalogue.money.record_sold([found[0]], [sale])
    catalogue.money.take_return(catalogue.money.sales()[0].id, "2024-07-02", "did not fit")
    if len(found) > 1:
        catalogue.money.record_sold([found[1]], [sale])
    catalogue.pieces.add(boxes[0], [NewPiece(note="a slip")])
    catalogue.steps.undo()
    return catalogue


@pytest.mark.parametrize("form", ["csv", "jsonl"])
@settings(max_examples=samples(40), deadline=None)
@given(pieces=st.lists(new_pieces, min_size=1, max_size=6), data=st.data())
def test_what_is_exported_comes_back_whole(
    form: str, pieces: list[NewPiece], data: st.DataObject
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        place = Path(folder)
        file = place / f"out.{form}"
        with filled(place / "a.db", pieces, lambda xs: data.draw(st.sampled_from(xs))) as one:
            with file.open("w", encoding="utf-8", newline="") as out:
                count = (export_csv if form == "csv" else export_lines)(one, out)
            before = kept(one)

        read = kept_pieces(file)
        with Catalogue(place / "b.db", create=True) as other:
            done = take_in(other, [piece for _, piece in read.pieces])
            again = take_in(other, [piece for _, piece in read.pieces])
            after = kept(other)
            standing = [
                [each.observation for each in other.log.seen_on(piece)]
                for piece in other.pieces.all()
            ]

        assert read.errors == ()
        assert count == len(pieces) == len(done.numbers) == len(again.here)
        assert again.numbers == {}
        assert after == before
        assert all(isinstance(each, Observation) for line in standing for each in line)


BAD_MONEY = (
    {"acquisitions": {"cost_minor": -1}},
    {"acquisitions": {"currency": "eur"}},
    {"events": {"price_minor": -1}},
    {"events": {"currency": "E1R"}},
    {"sales": {"price_minor": 0}},
    {"sales": {"pieces": 0}},
    {"sales": {"fees_minor": -1}},
)


@pytest.mark.parametrize("change", BAD_MONEY, ids=str)
def test_an_amount_that_cannot_be_is_not_taken_in(
    tmp_path: Path, change: dict[str, dict[str, Any]]
) -> None:
    """In each record that holds one; and nothing of its piece, or of those before it, is kept."""
    with filled(tmp_path / "a.db", [NewPiece(note="one"), NewPiece(note="two")], max) as one:
        wholes = [whole for whole, _ in whole_pieces(one)]
    ((records, values),) = change.items()
    at = max(
        at for at, each in enumerate(wholes) if any(one.currency for one in getattr(each, records))
    )
    kept_records = getattr(wholes[at], records)
    wrong = tuple(replace(each, **values) if each.currency else each for each in kept_records)
    with Catalogue(tmp_path / "b.db", create=True) as other:
        with pytest.raises(CatalogueProblem):
            take_in(
                other, [*wholes[:at], replace(wholes[at], **{records: wrong}), *wholes[at + 1 :]]
            )
        assert not other.pieces.all(gone=True)
        assert not other.boxes.all()
        take_in(other, wholes)
        assert len(other.pieces.all(gone=True)) == len(wholes)


@pytest.mark.parametrize("text", ["\n", " \n", "=", "'", "'=", "\t", "-\n-", "\r\n"])
def test_a_text_of_signs_alone_comes_back_from_a_table(tmp_path: Path, text: str) -> None:
    new = NewPiece(note=text, title=text, told=text)
    with Catalogue(tmp_path / "a.db", create=True) as one:
        one.pieces.add(one.boxes.start("tin"), [new], "observer")
        before = kept(one)
        with (tmp_path / "out.csv").open("w", encoding="utf-8", newline="") as out:
            export_csv(one, out)
    with Catalogue(tmp_path / "b.db", create=True) as other:
        take_in(other, [piece for _, piece in kept_pieces(tmp_path / "out.csv").pieces])
        assert kept(other) == before


@given(text=texts)
def test_a_text_comes_back_from_its_defused_form(text: str) -> None:
    assert as_meant(defused(text)) == text
    assert defused(text) == text or defused(text) == "'" + text


def piece(**fields: Any) -> dict[str, Any]:
    """A line of an export, with fields changed; all of it invented."""
    data = {
        "form": "markrules-pieces/1",
        "box": "tin",
        "number": 3,
        "note": "clip",
        "identifier": "abcdefghijklmnop",
        "added": "2026-06-14T10:00:00+00:00",
        "log": [
            {"line": 7, "feature": "mark", "value": "FENWICK", "when": "2026-06-14T10:00:00+00:00"}
        ],
    }
    return {**data, **fields}


def line(**fields: Any) -> dict[str, Any]:
    return {**piece()["log"][0], **fields}


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"identifier": "no"}, "identifier is"),
        ({"number": 0}, "number: not a whole number from 1"),
        ({"number": True}, "number: not a whole number"),
        ({"box": "  "}, "box is empty"),
        ({"note": 5}, "note: not a text"),
        ({"added": "yesterday"}, 'added is "yesterday", not a moment'),
        ({"log": {}}, "log: not a list"),
        ({"log": [line(state="perhaps")]}, 'log, entry 1: state is "perhaps"'),
        ({"log": [line(corrects=9)]}, "log: line 7 corrects 9, not before it"),
        ({"log": [line(), line()]}, "log: line 7 stands twice"),
        ({"log": [line(withdrawn=True)]}, "log: line 7 takes nothing back"),
        ({"log": [line(years=[1950, 1940])]}, "years: not a first and a last"),
        ({"log": [line(number=float("nan"))]}, "number: not a number"),
        ({"log": [line(weights=[["a", 1]])]}, "weights: not a list"),
        ({"log": [line()] * 10_001}, "10,001 entries; 10,000 at most"),
        ({"sales": [{"id": 1, "when": "soon"}]}, 'sales, entry 1: "soon" is not a date'),
        ({"purchases": [{"cost_minor": -1}]}, "cost_minor: not a whole number"),
        ({"decisions": [{"when": "2026-06-14T10:00:00"}]}, "choice is empty"),
        ({"events": [{"kind": "eaten"}]}, 'kind is "eaten"; one of listed'),
    ],
)
def test_a_line_that_does_not_hold_is_told(
    tmp_path: Path, fields: dict[str, Any], says: str
) -> None:
    file = tmp_path / "x.jsonl"
    good = piece(identifier="a" * 16, number=1)
    file.write_text(json.dumps(good) + "\n" + json.dumps(piece(**fields)) + "\n", encoding="utf-8")

    found = kept_pieces(file)

    assert [number for number, _ in found.pieces] == [1]
    assert len(found.errors) == 1
    assert found.errors[0][0] == 2
    assert says in found.errors[0][1]


def test_what_is_no_export_is_refused_with_the_way_to_take_it(tmp_path: Path) -> None:
    file = tmp_path / "list.csv"
    file.write_text("note\nbrooch\n", encoding="utf-8")
    assert not is_export(file)
    with pytest.raises(CatalogueProblem, match="box import"):
        kept_pieces(file)


def test_an_edited_column_counts_and_a_cut_record_is_told(tmp_path: Path) -> None:
    with Catalogue(tmp_path / "a.db", create=True) as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece("brooch"), NewPiece("clip")])
        out = io.StringIO(newline="")
        export_csv(catalogue, out)
    rows = list(csv.DictReader(io.StringIO(out.getvalue(), newline="")))
    rows[0]["title"], rows[0]["set"] = "Leaf brooch", "leaf set"
    rows[1]["record"] = rows[1]["record"][:40]
    file = tmp_path / "edited.csv"
    with file.open("w", encoding="utf-8", newline="") as handle:
        writer = csv.DictWriter(handle, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)

    found = kept_pieces(file)

    assert [each.piece.title for _, each in found.pieces] == ["Leaf brooch"]
    assert found.pieces[0][1].set is not None
    assert found.pieces[0][1].set.name == "leaf set"
    assert found.errors[0][0] == 3
    assert "32,767" in found.errors[0][1]


def test_taking_in_is_one_step_and_is_taken_back(tmp_path: Path) -> None:
    file = tmp_path / "x.jsonl"
    lines = [piece(set="leaf set"), piece(identifier="b" * 16, number=1)]
    file.write_text("".join(json.dumps(each) + "\n" for each in lines), encoding="utf-8")
    with Catalogue(tmp_path / "a.db", create=True) as catalogue:
        box = catalogue.boxes.start("mine")
        catalogue.pieces.add(box, [NewPiece("ring")])
        done = take_in(catalogue, [each for _, each in kept_pieces(file).pieces], box)

        assert done.numbers == {"abcdefghijklmnop": ("mine", 3), "b" * 16: ("mine", 4)}
        assert done.renumbered == ("b" * 16,)
        assert len(catalogue.pieces.all(box)) == 3
        catalogue.steps.undo()
        assert [each.note for each in catalogue.pieces.all(box)] == ["ring"]
        assert catalogue.sets.all() == ()
        catalogue.steps.redo()
        assert len(catalogue.pieces.all(box)) == 3


def test_the_written_file_is_the_owners_alone(tmp_path: Path) -> None:
    from click.testing import CliRunner

    from markrules.cli.commands import cli

    place = ["--catalogue", str(tmp_path / "a.db")]
    runner = CliRunner()
    runner.invoke(cli, ["box", "start", "tin", *place])
    result = runner.invoke(cli, ["box", "export", "--to", str(tmp_path / "o.csv"), *place])
    assert result.exit_code == 0, result.output
    assert stat.S_IMODE((tmp_path / "o.csv").stat().st_mode) == 0o600
