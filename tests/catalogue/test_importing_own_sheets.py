"""A person's own sheet is taken as it is: its days, its sums, its words.

Days are held against python-dateutil, which reads the customs of both sides by itself; numbers
against openpyxl, which writes the sheets.
"""

from __future__ import annotations

import datetime
import tempfile
from pathlib import Path

import pytest
from building import reader
from dateutil import parser as dateutil_parser
from hypothesis import given
from hypothesis import strategies as st
from openpyxl import Workbook
from together import every_case

from markrules.catalogue.brought_tables import TableRow, rows_of
from markrules.catalogue.days import iso_day, reading_of
from markrules.catalogue.pricelist import sales_of
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.store import Catalogue
from markrules.catalogue.whole import whole_pieces
from markrules.tasks.entered_before import new_to_the_box
from markrules.tasks.importing import enter, read_table
from markrules.tasks.own_columns import (
    match_columns,
    names_of_columns,
    remember_columns,
    remembered_columns,
)

FORMS = (
    *("%d/%m/%Y", "%m/%d/%Y", "%d-%m-%Y", "%d.%m.%Y", "%Y-%m-%d", "%Y/%m/%d", "%d/%m/%y"),
    *("%d %B %Y", "%B %d, %Y", "%b %d %Y", "%d-%b-%y", "%d %b %Y", "%Y-%m-%dT%H:%M:%S"),
    *("%m/%d/%Y %I:%M %p", "%d/%m/%Y %H:%M", "%Y-%m-%d %H:%M:%S"),
)


@given(
    day=st.datetimes(datetime.datetime(1970, 1, 1), datetime.datetime(2067, 12, 31)),
    form=st.sampled_from(FORMS),
)
def test_days_are_read_as_another_library_reads_them(day: datetime.datetime, form: str) -> None:
    text = day.strftime(form)
    order = "month-first" if form.startswith("%m/") else "day-first"
    year_first = form.startswith("%Y")

    found = iso_day(text, order)

    theirs = dateutil_parser.parse(text, dayfirst=order == "day-first" and not year_first)
    assert found == day.date().isoformat()
    if "y" not in form:  # theirs turns years of two digits by the present year
        assert found == theirs.date().isoformat()


@every_case(
    ("text", "iso"),
    [
        ("2024", "2024"),
        ("06/2024", "2024-06"),
        ("June 2024", "2024-06"),
        ("30. Juni 2024", "2024-06-30"),
        ("3 août 2023", "2023-08-03"),
        ("1 de mayo de 2022", "2022-05-01"),
        ("3rd of March, 2024", "2024-03-03"),
        ("Sept 5, 2024", "2024-09-05"),
        ("1/1/69", "1969-01-01"),
        ("1/1/68", "2068-01-01"),
        ("20240630", "2024-06-30"),
    ],
)
def test_days_in_words_and_parts_of_days(text: str, iso: str) -> None:
    assert iso_day(text) == iso


@every_case("text", ["", "soon", "31/02/2024", "13/13/2024", "0/1/2024", "45473", "5"])
def test_what_is_no_day_is_refused(text: str) -> None:
    with pytest.raises(CatalogueProblem, match="is no day, read as day/month/year"):
        iso_day(text)


def test_a_column_tells_how_its_days_are_meant() -> None:
    british = reading_of([(2, "3/4/2024"), (3, "14/03/2024")])
    assert (british.order, british.line) == ("day-first", 3)
    assert british.words == "days read as day/month/year, for line 3 has 14/03/2024"
    american = reading_of([(2, "3/4/2024 10:30 AM"), (3, "3/14/24"), (4, "12.5.2024")])
    assert american.order == "month-first"
    neither = reading_of([(2, "3/4/2024"), (3, "2024-03-14"), (4, "5/5/2024")])
    assert neither.order == "day-first"
    assert neither.open == 1
    assert "none of them tells; --days month-first turns it" in neither.words
    assert reading_of([(2, "2024-03-14")]).words == ""
    assert reading_of([(2, "3/4/2024")], "month-first").order == "month-first"


def sheet(path: Path, rows: list[list[object]]) -> Path:
    book = Workbook()
    for row in rows:
        book.active.append(row)  # type: ignore[union-attr]
    book.save(path)
    return path


ROWS: list[list[object]] = [
    [
        *("Item", "Description", "Remarks", "Material", "Brand", "Condition", "Date bought"),
        *("Cost (EUR)", "Where bought", "Location", "Asking price", "SKU"),
    ],
    [
        *("Leaf", "brooch, rollover catch", "pin bent", "gold tone metal", "Fenwick", "very good"),
        *(datetime.datetime(2024, 3, 14, 10, 30), 12.345, "a fair", "shelf 3", 28, "A-1"),
    ],
    [
        *("Hoops", "earrings", None, "n/a", None, "one stone missing"),
        *("3/4/2024", 1234.567, None, "-", "1,250.50", None),
    ],
]


def test_a_sheet_is_taken_as_it_is(tmp_path: Path) -> None:
    file = sheet(tmp_path / "own.xlsx", ROWS)
    columns, found = read_table(reader(), file, currency="EUR")

    assert found.errors == ()
    assert columns.left == ()
    assert columns.taken["own number"] == ("SKU",)
    assert found.filled["SKU"] == 1
    leaf, hoops = (entry for _, entry in found.entries)
    assert leaf.piece.note == (
        "brooch, rollover catch. pin bent. gold tone metal. condition: very good"
    )
    assert leaf.piece.told == "Brand: Fenwick"
    assert {"catch", "finish", "fault", "piece"} <= {e.feature for e in leaf.piece.observations}
    assert leaf.bought is not None
    assert hoops.bought is not None
    # To the nearest cent, whatever the point may mean elsewhere.
    assert (leaf.bought.cost_minor, hoops.bought.cost_minor) == (1234, 123457)
    assert (leaf.bought.when, hoops.bought.when) == ("2024-03-14", "2024-04-03")
    assert leaf.bought.where == "a fair"
    assert [(e.kind, e.place, e.price_minor) for e in leaf.events] == [
        ("stored", "shelf 3", None),
        ("listed", "", 2800),
    ]
    assert [(e.kind, e.price_minor) for e in hoops.events] == [("listed", 125050)]

    with Catalogue(tmp_path / "c.db", create=True) as catalogue:
        box = catalogue.boxes.start("tin")
        assert list(enter(catalogue, box, found)) == [1, 2]
        assert [each.cost_minor for each in catalogue.money.acquisitions()] == [1234, 123457]
        assert catalogue.steps.last(1)[0].what == "add pieces"
        assert len(catalogue.pieces.search("brooch")) == 1
        catalogue.steps.undo()
        assert catalogue.pieces.all(box) == ()
        assert catalogue.money.acquisitions() == ()
        assert catalogue.money.events() == ()


def test_a_day_or_sum_that_cannot_be_is_a_bad_line(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text(
        "note,cost,date bought\nbrooch,4 EUR,31/02/2024\nclip,four,2024\nring,5,2024\nbar pin,,\n",
        encoding="utf-8",
    )
    _, found = read_table(reader(), file)
    assert [line for line, _ in found.errors] == [2, 3, 4]
    assert found.errors[0][1].startswith('bought on: "31/02/2024" is no day')
    assert found.errors[1][1].startswith('cost: "four"')
    assert "names no currency" in found.errors[2][1]
    assert [line for line, _ in found.entries] == [5]


def test_columns_are_remembered_by_name(tmp_path: Path) -> None:
    with Catalogue(tmp_path / "c.db", create=True) as catalogue:
        given = {"note": ("Beschreibung", "Mehr"), "catch": ()}
        remember_columns(catalogue, " my  list ", given)
        assert names_of_columns(catalogue) == ("my list",)
        assert remembered_columns(catalogue, "my list") == given
        assert catalogue.figures.all() == {}
        with pytest.raises(CatalogueProblem, match='nearest: "my list"'):
            remembered_columns(catalogue, "mylist")
        catalogue.steps.undo()
        assert names_of_columns(catalogue) == ()


def test_sold_prices_take_days_of_both_sides_and_numbers_of_sheets(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        ["Sold on", "Sold for", "Currency", "Fees"],
        ["6/30/2024", 12.345, "EUR", 0.125],
        ["3/4/2024", "1,250.50", "EUR", None],
    ]
    sales, errors = sales_of(rows_of(sheet(tmp_path / "sold.xlsx", rows)))
    assert errors == []
    assert [each.when for each in sales] == ["2024-06-30", "2024-03-04"]
    assert [each.price_minor for each in sales] == [1234, 125050]
    assert sales[0].fees_minor == 12


def test_where_no_heading_says_so_the_column_that_reads_as_notes_is_the_note(
    tmp_path: Path,
) -> None:
    file = tmp_path / "own.csv"
    lines = [f"{n},a tin,brooch with a rollover catch,B{n}" for n in range(1, 40)]
    file.write_text("\n".join(["Nr,Wherefrom it came,Whatever,Place", *lines]), encoding="utf-8")

    columns, found = read_table(reader(), file)

    assert columns.taken["note"] == ("Whatever",)
    assert len(found.entries) == 39
    with pytest.raises(CatalogueProblem, match="no column is headed like a note"):
        read_table(reader(), file, {"note": ()})


def test_short_headings_grades_and_running_numbers_are_taken_for_what_they_are(
    tmp_path: Path,
) -> None:
    """`Cond.` is the condition, `EX` no mark, `Cost EUR` tells its currency, and a bare number of
    an item is no title.
    """
    file = sheet(
        tmp_path / "own.xlsx",
        [
            ["Item", "Description", "Extra", "Cond.", "Cost EUR"],
            [14, "Brooch, gold tone", "C clasp", "EX", 4.5],
            [15, "Necklace, faux pearls", "", "for parts", 2],
        ],
    )
    columns, found = read_table(reader(), file)
    assert not found.errors
    assert columns.left == ("Item",)
    first, second = (entry for _, entry in found.entries)
    assert first.bought is not None
    assert (first.bought.cost_minor, first.bought.currency) == (450, "EUR")
    for entry, grade in ((first, "as-made"), (second, "for-parts")):
        seen = {(each.feature, each.value) for each in entry.piece.observations}
        assert ("stated-condition", grade) in seen
        assert not entry.piece.title
        assert not [value for feature, value in seen if feature == "mark"]
    assert ("catch", "c-catch") in {(e.feature, e.value) for e in first.piece.observations}


@pytest.mark.parametrize(
    ("heading", "feature", "cell", "number", "unit"),
    [
        ("Weight g", "weight", "8.25", 8.25, "g"),
        ("Weight (g)", "weight", "8,25", 8.25, "g"),
        ("Weight in grams", "weight", "8", 8.0, "g"),
        ("Weight oz", "weight", "1", 28.349523125, "g"),
        ("Length (cm)", "length", "5", 50.0, "mm"),
        ("Length inches", "length", "2", 50.8, "mm"),
        ("Width mm", "width", "31 mm", 31.0, "mm"),
        ("Length cm", "length", "2 in", 50.8, "mm"),
    ],
)
def test_a_heading_may_name_the_unit_of_bare_numbers(
    tmp_path: Path, heading: str, feature: str, cell: str, number: float, unit: str
) -> None:
    """Inch and ounce: NIST Handbook 44, Appendix C. A unit in the cell goes before."""
    from markrules.language.conditions import Quantity
    from markrules.language.units import converted

    file = tmp_path / "own.csv"
    file.write_text(f'note;"{heading}"\nbrooch;"{cell}"\n', encoding="utf-8")
    _, found = read_table(reader(), file)

    assert found.errors == ()
    ((_, entry),) = found.entries
    (seen,) = [each for each in entry.piece.observations if each.feature == feature]
    known = reader().base.features[feature].unit
    assert seen.number is not None
    assert converted(Quantity(seen.number, known), unit) == pytest.approx(number)


def test_a_heading_that_ends_in_a_unit_is_no_measure_by_that(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text("note,Came in,Sold in\nbrooch,May,June\n", encoding="utf-8")
    columns, _ = read_table(reader(), file)

    assert set(columns.taken) == {"note"}


def test_headings_are_found_beneath_a_title_and_days_that_a_sheet_keeps_as_numbers(
    tmp_path: Path,
) -> None:
    """Serial days as openpyxl, another hand's reader of the format, turns them."""
    from openpyxl.utils.datetime import from_excel

    rows = [
        ["Stock book of invented pieces"],
        [],
        ["No", "Type", "Material", "Date bought", "Paid GBP", "Location"],
        [1, "brooch", "gold tone", 46023, 12.5, "tin 1"],
        [],
        [2, "ring", "silver", datetime.datetime(2026, 3, 4, 14, 5), 7, "tin 2"],
    ]
    _, found = read_table(reader(), sheet(tmp_path / "own.xlsx", rows))

    assert found.errors == ()
    assert [line for line, _ in found.entries] == [4, 6]
    days = [entry.bought.when for _, entry in found.entries if entry.bought is not None]
    assert days == [from_excel(46023).date().isoformat(), "2026-03-04"]
    assert [entry.piece.note for _, entry in found.entries] == ["brooch. gold tone", "ring. silver"]


def test_headings_over_several_columns_give_way_to_those_beneath(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text(
        "What,,When,Money,\nPiece,Look,Bought,Paid,Ask\nbrooch,bird,5 Jan 2026,3 GBP,15 GBP\n",
        encoding="utf-8",
    )
    columns, found = read_table(reader(), file)

    assert columns.left == ()
    assert set(columns.taken) == {"note", "piece", "bought on", "cost", "asking price"}
    assert [(line, entry.piece.note) for line, entry in found.entries] == [(3, "bird")]


def test_a_first_row_that_tells_of_a_piece_is_not_lost_as_headings(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text("brooch,rollover catch,12.50\nearrings,screw back,4.00\n", encoding="utf-8")
    with pytest.raises(CatalogueProblem, match="tells of a piece"):
        read_table(reader(), file)


def test_headings_of_other_languages_are_known(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text(
        "Nr;Beschreibung;Gekauft am;Einkaufspreis;Ort\n1;brooch;14.03.2026;1.250,50 €;Karton 3\n",
        encoding="cp1252",
    )
    columns, found = read_table(reader(), file)

    assert columns.left == ("Nr",)
    ((_, entry),) = found.entries
    assert entry.bought is not None
    assert (entry.bought.when, entry.bought.cost_minor, entry.bought.currency) == (
        "2026-03-14",
        125050,
        "EUR",
    )
    assert [each.place for each in entry.events] == ["Karton 3"]


def test_a_title_tells_the_kind_of_piece_where_nothing_else_does(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text(
        "Title,Details\nCharm bracelet,7 charms\nGreat find,brooch with a bird\n"
        "Bird brooch,brooch with a bird\n",
        encoding="utf-8",
    )
    _, found = read_table(reader(), file)

    assert [entry.piece.note for _, entry in found.entries] == [
        "Charm bracelet, 7 charms",
        "brooch with a bird",
        "brooch with a bird",
    ]


def test_lines_of_sums_are_left_out_and_told(tmp_path: Path) -> None:
    file = tmp_path / "invented.csv"
    file.write_text(
        "Item,Description,Paid (GBP)\nB1,brooch with leaf,12\nB2,bangle,4\n"
        "Total,,16\n,2 items,\n,summary brooch,3\n"
    )

    columns, found = read_table(reader(), file)

    assert columns.taken["note"] == ("Description",)
    assert "title" not in columns.taken  # B1 is a number of somebody's own, and no title
    assert [line for line, _ in found.pieces] == [2, 3, 6]
    assert not found.errors
    assert [line for line, words in found.told if "adds up" in words] == [4, 5]


def test_several_pieces_in_a_line_are_told(tmp_path: Path) -> None:
    file = tmp_path / "invented.csv"
    file.write_text(
        "qty,items\n3,brooch; bangle\n2,brooch\n1,brooch\n1,brooch with pin and leaf\nx,bangle\n"
    )

    _, found = read_table(reader(), file)

    assert [line for line, _ in found.told] == [2, 3]
    assert "brooch, bangle" in dict(found.told)[2]
    assert "counts 2" in dict(found.told)[3]


def test_notes_over_several_columns_and_headings_alike_join(tmp_path: Path) -> None:
    file = tmp_path / "invented.csv"
    file.write_text("sku,Type,Note 1,Note 2,Note 2,Size\nAB-1,brooch,leaf,worn,bent,2 in\n")

    columns, found = read_table(reader(), file)

    assert columns.taken["note"] == ("Type", "Note 1", "Note 2", "Note 2 (2)", "Size")
    assert columns.left == ()
    assert columns.taken["own number"] == ("sku",)
    assert found.pieces[0][1].note == "brooch. leaf. worn. bent. Size: 2 in"


@pytest.mark.parametrize(
    ("cells", "field"),
    [
        (("13/04/2024", "2024-05-01"), "bought on"),
        (("12 March 2024", "1950s"), "bought on"),
        (("1950s", "c. 1940"), "told"),
        (("1955", "1961"), "told"),
    ],
)
def test_a_column_of_dates_is_of_days_or_of_making_by_its_cells(
    cells: tuple[str, str], field: str, tmp_path: Path
) -> None:
    file = tmp_path / "invented.csv"
    file.write_text("note,Date\nbrooch,{}\nbangle,{}\n".format(*cells))

    columns, _ = read_table(reader(), file)

    assert columns.taken[field] == ("Date",)


def test_the_first_sheet_with_headings_is_taken_and_the_others_are_told(tmp_path: Path) -> None:
    book = Workbook()
    assert book.active is not None
    book.active.title = "Read me"
    book.active.append(["My list is on another sheet"])
    listed = book.create_sheet("List")
    listed.append(["Note", "Paid (EUR)"])
    listed.append(["brooch", 4])
    book.create_sheet("Empty")
    file = tmp_path / "invented.xlsx"
    book.save(file)

    _, found = read_table(reader(), file)

    assert [piece.note for _, piece in found.pieces] == ["brooch"]
    assert found.told == ((0, 'the sheet "Read me" was not looked at'),)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-8", "cp1252"])
def test_a_text_file_is_a_table(encoding: str, tmp_path: Path) -> None:
    file = tmp_path / "invented.txt"
    file.write_text("Title\tDetails\nOld brooch\tblé, leaf\n", encoding=encoding)

    _, found = read_table(reader(), file)

    assert found.pieces[0][1].title == "Old brooch"
    assert "blé" in found.pieces[0][1].note


@pytest.mark.parametrize(
    ("heading", "field"),
    [("Marked", "mark"), ("Hallmarks", "mark"), ("Told by owner", "told"), ("Punze", "mark")],
)
def test_a_mark_and_what_was_told_are_taken_however_they_are_headed(
    tmp_path: Path, heading: str, field: str
) -> None:
    rows: list[list[object]] = [["Description", heading], ["Brooch, gold tone", "HARLOW"]]
    columns, found = read_table(reader(), sheet(tmp_path / "own.xlsx", rows))

    assert columns.taken[field] == (heading,)
    assert not found.errors
    assert not columns.left


SOLD_SHEET = """SKU,Item,Text,Where,Bin,Date bought,Cost,Sold Price,Sold Date,Fees,Postage,Platform
A1,Brooch,"gold tone, blue glass",Estate sale,Bin 4,3/14/2024,$4.50,$24.99,5/2/2024,3.31,4.75,web
A2,Clip earrings,"signed MONET, faux pearls",Thrift,Bin 4,3/14/2024,$2.00,,,,,
A3,Ring,"sterling, size 7",Thrift,Bin 9,12/25/2023,$5,$27.50,1/31/2024,13%,4,fair
"""


def test_sold_lines_leave_the_box_with_their_sales(tmp_path: Path) -> None:
    file = tmp_path / "own.csv"
    file.write_text(SOLD_SHEET, encoding="utf-8")
    columns, found = read_table(reader(), file, currency="USD")
    assert not found.errors
    assert columns.taken["bought where"] == ("Where",)
    assert columns.taken["storage"] == ("Bin",)
    with Catalogue(tmp_path / "own.db", create=True) as catalogue:
        box = catalogue.boxes.start("tin")
        enter(catalogue, box, found)
        assert [each.number for each in catalogue.pieces.all(box)] == [2]
        there = catalogue.pieces.all(box, gone=True)
        assert [each.gone_why for each in there] == ["sold", "", "sold"]
        sales = {sale.piece: sale for sale in catalogue.money.sales()}
        first, third = sales[there[0].id], sales[there[2].id]
        assert (first.price_minor, first.fees_minor, first.postage_minor) == (2499, 331, 475)
        assert (first.when, first.venue, first.currency) == ("2024-05-02", "web", "USD")
        assert (first.piece_type, first.signed) == ("brooch", None)
        assert third.fees_minor == 358  # 13% of 27.50, half a cent up
        again = new_to_the_box(catalogue.pieces.all(box, gone=True), found)
        assert len(again.errors) == 3
        catalogue.steps.undo()
        assert catalogue.money.sales() == ()
        undone = new_to_the_box(catalogue.pieces.all(box, gone=True), found)
        assert not undone.errors
        assert list(whole_pieces(catalogue, box)) == []
        catalogue.steps.redo()
        assert [whole.piece.gone_why for whole, _ in whole_pieces(catalogue, box)] == [
            "sold",
            "",
            "sold",
        ]
        assert catalogue.money.sales() == tuple(sales.values())


@every_case(
    ("cells", "told"),
    (
        ("$0,5/2/2024,", "a price of nothing is no sale"),
        ("$10,5/2/2099,", "2099-05-02 is still to come"),
        (",5/2/2024,", "no price it was sold for"),
        (",,3.31", "no price it was sold for"),
        ("$10,5/2/2024,110%", "more than the price"),
        ("$10,5/2/2024,£1", "fees in GBP, but the price in USD"),
        ("ten,5/2/2024,", "is not a price"),
    ),
)
def test_a_sale_that_cannot_be_is_a_bad_line(cells: str, told: str) -> None:
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "own.csv"
        head = "Description,Sold Price,Sold Date,Fees\n"
        good = '"ring, sterling",$7,3/14/2024,\n'
        file.write_text(f'{head}{good}"brooch, gold tone",{cells}\n', encoding="utf-8")
        _, found = read_table(reader(), file, currency="USD")
        assert [line for line, _ in found.errors] == [3]
        assert told in found.errors[0][1]


@every_case(
    ("cells", "field"),
    ((("3/4/2024", ""), "sold on"), (("$24", "18.50"), "sold price"), (("yes", "no"), "")),
)
def test_a_column_headed_sold_is_what_its_cells_are(cells: tuple[str, ...], field: str) -> None:
    rows = [
        TableRow(at, {"Note": "brooch", "Sold": each}, "", frozenset())
        for at, each in enumerate(cells)
    ]
    taken = match_columns(reader(), ["Note", "Sold"], None, rows).taken
    assert taken.get(field, ()) == (("Sold",) if field else ())
