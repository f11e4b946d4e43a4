"""Tables that people bring: read as they mean them, refused where they mean harm."""

from __future__ import annotations

import datetime
import io
import json
import zipfile
from collections.abc import Sequence
from pathlib import Path

import openpyxl
import pytest
from building import reader
from together import every_case

from markrules.catalogue.brought_tables import LONGEST_CELL, TableRow, rows_of
from markrules.catalogue.problems import CatalogueProblem, FileTrouble
from markrules.tasks.importing import pieces_of
from markrules.tasks.own_columns import match_columns

TABLE = [["Description", "Catch", "Price"], ['brooch, "leaf"', "rollover", "3"], ["é; ü", "", "4"]]


def sheet(path: Path, rows: Sequence[Sequence[object]]) -> Path:
    book = openpyxl.Workbook()
    assert book.active is not None
    for row in rows:
        book.active.append(list(row))
    book.save(path)
    return path


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_csv_is_read_whatever_program_wrote_it(
    tmp_path: Path, encoding: str, delimiter: str
) -> None:
    """RFC 4180, with the delimiters and encodings that spreadsheets write."""
    import csv

    path = tmp_path / "t.csv"
    with path.open("w", encoding=encoding, newline="") as out:
        csv.writer(out, delimiter=delimiter).writerows(TABLE)
    rows = list(rows_of(path))
    assert [list(row.cells.values()) for row in rows] == TABLE[1:]
    assert [row.line for row in rows] == [2, 3]


def test_a_line_break_in_quotes_stays_in_its_cell(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    path.write_text('note,title\n"a\nb",x\nc,y\n\n,\nd,e,f\n')
    rows = list(rows_of(path))
    assert [(row.line, row.cells.get("note")) for row in rows] == [(3, "a\nb"), (4, "c"), (7, None)]
    assert rows[-1].error == "3 cells under 2 headings"


def test_a_sheet_gives_whole_numbers_days_and_stored_values(tmp_path: Path) -> None:
    path = sheet(
        tmp_path / "t.xlsx",
        [
            ["Note", "Length (mm)", "Bought"],
            ["brooch", 55.0, datetime.datetime(2024, 6, 30)],
            [None, None, None],
            ["=1+1", 3.5, None],
        ],
    )
    rows = list(rows_of(path))
    assert [dict(row.cells) for row in rows] == [
        {"Note": "brooch", "Length (mm)": "55", "Bought": "2024-06-30"},
        {"Note": "", "Length (mm)": "3.5", "Bought": ""},  # a formula with no stored value
    ]
    assert [row.line for row in rows] == [2, 4]


def test_json_lines_take_texts_numbers_and_lists(tmp_path: Path) -> None:
    path = tmp_path / "t.jsonl"
    lines = ['{"note":"a","mark":["X","Y"],"length":5}', "[1]", "{", '{"note":{"a":1}}', ""]
    path.write_text("\n".join(lines))
    rows = list(rows_of(path))
    assert dict(rows[0].cells) == {"note": "a", "mark": "X; Y", "length": "5"}
    assert [bool(row.error) for row in rows] == [False, True, True, True]
    assert [row.line for row in rows] == [1, 2, 3, 4]


def test_headings_are_matched_to_fields_and_features() -> None:
    found = match_columns(reader(), ["Item", "Zusatz", "CATCH", "Length (mm)", "Ref"])
    assert dict(found.taken) == {
        "title": ("Item",),
        "catch": ("CATCH",),
        "length": ("Length (mm)",),
    }
    assert found.left == ("Zusatz", "Ref")
    given = {"note": ("Zusatz",), "catch": ()}
    found = match_columns(reader(), ["Item", "Zusatz", "CATCH"], given)
    assert dict(found.taken) == {"note": ("Zusatz",), "title": ("Item",)}


@every_case(
    ("headings", "given", "told"),
    [
        (["A", "B"], {}, "--column note=HEADING"),
        (["Text"], {"note": ["Txt"]}, 'nearest: "Text"'),
        (["Text"], {"nite": ["Text"]}, 'nearest: "note"'),
        (["Cost"], {}, "--column note=HEADING"),
    ],
)
def test_columns_that_cannot_be_matched_are_told(
    headings: list[str], given: dict[str, list[str]], told: str
) -> None:
    with pytest.raises(CatalogueProblem, match=told):
        match_columns(reader(), headings, given)


def test_each_bad_line_is_told_and_each_good_one_understood() -> None:
    rows = [
        TableRow(2, {"note": "brooch, AB stones", "catch": "safety catch", "length (mm)": "55"}),
        TableRow(3, {"note": "clip", "catch": "nonsense", "length (mm)": "long"}),
        TableRow(4, {"note": "", "catch": "", "length (mm)": ""}),
        TableRow(5, {"note": "x" * (LONGEST_CELL + 1), "catch": "", "length (mm)": ""}),
        TableRow(6, {}, "not CSV"),
    ]
    columns = match_columns(reader(), list(rows[0].cells))
    found = pieces_of(reader(), rows, columns)
    assert [line for line, _ in found.pieces] == [2]
    seen = {each.feature: each for each in found.pieces[0][1].observations}
    assert seen["length"].number == 55.0
    assert seen["piece"].value == "brooch"
    assert [line for line, _ in found.errors] == [3, 4, 5, 6]
    assert "write a number and its unit" in found.errors[0][1]


def test_words_that_are_no_value_join_the_note() -> None:
    rows = [TableRow(2, {"note": "clip", "metal": "gold tone metal", "catch": "nonsense"})]
    found = pieces_of(reader(), rows, match_columns(reader(), list(rows[0].cells)))
    piece = found.pieces[0][1]
    assert piece.note == "clip. gold tone metal. nonsense"
    assert ("finish", "gold-tone") in [(each.feature, each.value) for each in piece.observations]
    assert piece.not_understood == ("nonsense",)
    assert dict(found.as_words) == {"metal": 1, "catch": 1}


# --- Files that mean harm -------------------------------------------------------------------


def part(name: str, text: str) -> tuple[str, str]:
    return name, text


def repacked(path: Path, changes: dict[str, bytes]) -> Path:
    """A good XLSX file with parts exchanged or added."""
    good = sheet(path.with_name("good.xlsx"), [["note"], ["leaf"]])
    with (
        zipfile.ZipFile(good) as old,
        zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=9) as new,
    ):
        for name in old.namelist():
            new.writestr(name, changes.pop(name, old.read(name)))
        for name, data in changes.items():
            new.writestr(name, data)
    return path


SHEET = "xl/worksheets/sheet1.xml"
HEAD = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>'
TAIL = "</sheetData></worksheet>"


def test_a_package_that_swells_is_refused_before_it_is_unpacked(tmp_path: Path) -> None:
    path = repacked(tmp_path / "bomb.xlsx", {SHEET: b" " * 300_000_000})
    assert path.stat().st_size < 1_000_000
    with pytest.raises(CatalogueProblem, match="to 1"):
        list(rows_of(path))


def test_entities_that_multiply_are_refused(tmp_path: Path) -> None:
    """The "billion laughs" document: entities of entities, ten to the ninth in all."""
    levels = "".join(f'<!ENTITY l{n} "{("&l" + str(n - 1) + ";") * 10}">' for n in range(1, 10))
    document = f'<!DOCTYPE w [<!ENTITY l0 "lol">{levels}]>' + HEAD.replace(
        "<sheetData>", "<sheetData><row><c t='inlineStr'><is><t>&l9;</t></is></c></row>"
    )
    path = repacked(tmp_path / "laughs.xlsx", {SHEET: (document + TAIL).encode()})
    with pytest.raises(CatalogueProblem, match="damaged"):
        list(rows_of(path))


def test_a_sheet_with_cells_far_out_is_read_within_limits(tmp_path: Path) -> None:
    rows = (
        '<row r="1"><c r="A1" t="inlineStr"><is><t>note</t></is></c></row>'
        '<row r="2"><c r="A2" t="inlineStr"><is><t>leaf</t></is></c><c r="ZZZ2"><v>1</v></c></row>'
        '<row r="900000"><c r="A900000" t="inlineStr"><is><t>far</t></is></c></row>'
    )
    path = repacked(tmp_path / "far.xlsx", {SHEET: (HEAD + rows + TAIL).encode()})
    rows_found = rows_of(path)
    assert next(rows_found).cells["note"] == "leaf"
    with pytest.raises(CatalogueProblem, match="empty rows"):
        next(rows_found)


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("a.xlsx", b"PK\x03\x04 not really", "not an XLSX"),
        ("a.xlsx", b"note\nleaf\n", "not an XLSX"),
        ("a.csv", b"", ""),
        ("a.csv", b"note,note\na,b\n", "two columns"),
        ("a.csv", b",,\na,b\n", "no headings"),
        ("a.csv", (",".join(f"h{n}" for n in range(300)) + "\n").encode(), "300 columns"),
    ],
)
def test_files_that_are_no_tables_are_told(
    tmp_path: Path, name: str, data: bytes, told: str
) -> None:
    path = tmp_path / name
    path.write_bytes(data)
    if not told:
        assert list(rows_of(path)) == []
        return
    with pytest.raises(CatalogueProblem, match=told):
        list(rows_of(path))


def test_cells_beyond_the_limits_are_errors_of_their_line(tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    huge = "x" * 200_000  # beyond the field limit of the csv module, 131,072
    path.write_text(f"note\n{'y' * (LONGEST_CELL + 1)}\n{huge}\nzero\0byte\ngood\n")
    rows = list(rows_of(path))
    assert [bool(row.error) for row in rows] == [True, True, True, False]
    path = tmp_path / "t.jsonl"
    deep = "[" * 100_000 + "]" * 100_000
    path.write_text(f'{{"note":{deep}}}\n{{"note":"good"}}\n')
    assert [bool(row.error) for row in rows_of(path)] == [True, False]


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    for path in (tmp_path / "none.csv", tmp_path):
        with pytest.raises((CatalogueProblem, FileTrouble)):
            list(rows_of(path))


def test_too_many_rows_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("markrules.catalogue.brought_tables.MOST_ROWS", 10)
    path = tmp_path / "t.csv"
    path.write_text("note\n" + "leaf\n" * 11)
    with pytest.raises(CatalogueProblem, match="more than 10 rows"):
        list(rows_of(path))


def test_lines_of_any_bytes_never_raise_anything_else(tmp_path: Path) -> None:
    import random

    chance = random.Random(5)
    for name in ("a.csv", "a.jsonl", "a.xlsx"):
        for size in (0, 1, 50, 5000):
            path = tmp_path / name
            path.write_bytes(chance.randbytes(size))
            try:
                for row in rows_of(path):
                    json.dumps(dict(row.cells))
            except CatalogueProblem:
                continue
    damaged = bytearray(sheet(tmp_path / "b.xlsx", [["note"], ["leaf"]] * 50).read_bytes())
    for _ in range(60):
        data = bytearray(damaged)
        for _ in range(10):
            data[chance.randrange(len(data))] = chance.randrange(256)
        path = tmp_path / "c.xlsx"
        path.write_bytes(data)
        try:
            list(rows_of(path))
        except CatalogueProblem:
            continue
    assert io.BytesIO(damaged).read(2) == b"PK"


def test_a_file_that_is_no_text_is_refused_with_the_place(tmp_path: Path) -> None:
    place = tmp_path / "photo.csv"
    place.write_bytes(b"note\nring\0\x80\n")

    with pytest.raises(CatalogueProblem, match=r"photo\.csv: byte 10 is no text"):
        list(rows_of(place))
