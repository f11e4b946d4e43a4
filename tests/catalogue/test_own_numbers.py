"""The owner's own numbers of pieces, and sets that a table names: kept, found, on the label."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from building import reader
from together import every_case

from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import NewPiece
from markrules.catalogue.store import Catalogue
from markrules.sheets.labels import STOCKS, Label, labels_page
from markrules.tasks.entered_before import new_to_the_box
from markrules.tasks.exporting import export_csv, export_lines
from markrules.tasks.finding import find_pieces
from markrules.tasks.importing import enter, read_table
from markrules.tasks.taking_in import kept_pieces

TABLE = """SKU,Note,Set
BR-0001,"brooch, leaf",Blue suite
ER-0002,"earrings, clip",blue  suite
RG-0003,"ring, 925",alone
RG-0003,"ring, 925",yes
NK-0005,"necklace, glass beads",3 pc
"""


def in_box(tmp_path: Path, text: str = TABLE) -> Catalogue:
    (tmp_path / "own.csv").write_text(text, encoding="utf-8")
    catalogue = Catalogue(tmp_path / "own.db")
    box = catalogue.boxes.start("tin")
    enter(catalogue, box, read_table(reader(), tmp_path / "own.csv")[1])
    return catalogue


def test_numbers_and_sets_of_a_table_are_kept_and_told(tmp_path: Path) -> None:
    with in_box(tmp_path) as catalogue:
        _, found = read_table(reader(), tmp_path / "own.csv")
        numbers = [each.own_number for each in catalogue.pieces.all()]
        (of,) = catalogue.sets.all()
        members = [each.number for each in catalogue.sets.pieces_of_set(of.id)]

    assert numbers == ["BR-0001", "ER-0002", "RG-0003", "RG-0003", "NK-0005"]
    assert (of.name, members) == ("Blue suite", [1, 2])
    assert found.told == (
        (4, 'names the set "alone" alone: no set is made'),
        (5, 'the own number "RG-0003" stands on line 4, too'),
        (6, '"3 pc" names no set: give its lines one name'),
    )


@every_case(
    ("text", "numbers"),
    [
        ("br-0001", [1]),
        ("BR", [1]),
        ("rg-0003", [3, 4]),
        ("0003", []),
        ("%", []),
        ("_R-0001", []),
    ],
)
def test_a_piece_is_found_by_its_own_number(
    text: str, numbers: list[int], tmp_path_factory: pytest.TempPathFactory
) -> None:
    with in_box(tmp_path_factory.mktemp("own")) as catalogue:
        found = find_pieces(catalogue, reader(), text)
        own = [each for each in found if each.because.startswith("own number")]
        assert [each.listed.piece.number for each in own] == numbers


@pytest.mark.parametrize("form", [".csv", ".jsonl"])
def test_own_numbers_come_through_an_export(form: str, tmp_path: Path) -> None:
    out = io.StringIO()
    with in_box(tmp_path, 'SKU,Note\n"=1+1","brooch, leaf"\nBR 2,"ring, 925"\n') as catalogue:
        (export_csv if form == ".csv" else export_lines)(catalogue, out)
    file = tmp_path / f"out{form}"
    file.write_text(out.getvalue(), encoding="utf-8", newline="")

    pieces = kept_pieces(file).pieces
    assert [each.piece.own_number for _, each in pieces] == ["=1+1", "BR 2"]


def test_a_number_is_changed_taken_back_and_bounded(tmp_path: Path) -> None:
    with in_box(tmp_path) as catalogue:
        first = catalogue.pieces.all()[0]
        assert catalogue.pieces.change(first, own_number="  A   7 ").own_number == "A 7"
        catalogue.steps.undo()
        assert catalogue.pieces.by_id(first.id).own_number == "BR-0001"
        with pytest.raises(CatalogueProblem, match="has 41 signs"):
            catalogue.pieces.change(first, own_number="9" * 41)


def test_pieces_alike_with_two_numbers_are_two(tmp_path: Path) -> None:
    (tmp_path / "own.csv").write_text('SKU,Note\nA-1,"ring, 925"\nA-2,"ring, 925"\n')
    _, found = read_table(reader(), tmp_path / "own.csv")
    with Catalogue(tmp_path / "own.db") as catalogue:
        box = catalogue.boxes.start("tin")
        catalogue.pieces.add(box, [NewPiece("ring, 925", own_number="A-3")])
        assert new_to_the_box(catalogue.pieces.all(box), found).errors == ()
        catalogue.pieces.add(box, [NewPiece("ring, 925", own_number="a-2")])
        assert [line for line, _ in new_to_the_box(catalogue.pieces.all(box), found).errors] == [3]


@every_case("heading", ["No", "Nr", "Item", "Ref", "ID"])
def test_a_column_that_counts_the_lines_is_no_number_of_ones_own(heading: str) -> None:
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder, "own.csv")
        file.write_text(f'{heading},Note\n1,"ring, 925"\n2,"brooch, leaf"\n')
        assert "own number" not in read_table(reader(), file)[0].taken
        file.write_text(f'{heading},Note\nA-1,"ring, 925"\nA-2,"brooch, leaf"\n')
        assert read_table(reader(), file)[0].taken["own number"] == (heading,)


@every_case("stock", sorted(STOCKS))
def test_every_label_bears_the_own_number(stock: str) -> None:
    base = reader().base
    page = labels_page(base, [Label("a" * 16, "attic tin", 3, "brooch", "BR-<1>")], stock)
    assert "BR-&lt;1&gt;" in page
