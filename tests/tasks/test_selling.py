"""A sale copies what is known of the piece, closes it, counts at once, and can be taken back."""

from __future__ import annotations

import csv
import datetime
import io
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from shipped_base import shipped_reader
from together import every_case

from markrules.appraisal.accounts import AccountLine, Books, costs_of, report
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Acquisition, Piece, Sale
from markrules.catalogue.store import Catalogue
from markrules.tasks.accounting import accounts, standing, write_report
from markrules.tasks.appraising import appraise_piece, desk_of
from markrules.tasks.entering import new_piece
from markrules.tasks.reading_pieces import ReadPieces
from markrules.tasks.selling import Terms, refused, sell, terms_said

TRIFARI = "brooch marked TRIFARI, rhinestones, one stone missing, 4.5 cm"
TODAY = datetime.date.today().isoformat()


@pytest.fixture
def readings() -> ReadPieces:
    return ReadPieces(shipped_reader())


@pytest.fixture
def catalogue(tmp_path: Path) -> Catalogue:
    made = Catalogue(tmp_path / "invented.db")
    box = made.boxes.start("invented tin")
    made.pieces.add(
        box, [new_piece(shipped_reader(), note) for note in (TRIFARI, TRIFARI, "bangle, plain")]
    )
    return made


def pieces(catalogue: Catalogue) -> list[Piece]:
    return list(catalogue.pieces.all(catalogue.boxes.named("invented tin"), gone=True))


def terms(price: int = 4000, **changed: object) -> Terms:
    return replace(Terms(TODAY, price, "EUR", venue="a fair", fees_minor=500), **changed)  # type: ignore[arg-type]


def test_a_signature_in_no_list_makes_one_house_of_sales(
    tmp_path: Path, readings: ReadPieces
) -> None:
    made = Catalogue(tmp_path / "unlisted.db")
    box = made.boxes.start("invented tin")
    notes = [f"brooch signed {each}, enamel, 4 cm" for each in ("BRANDWICK", "Brandwick", "TWEELO")]
    notes += ["brooch signed ZQ, enamel, 4 cm", "brooch, enamel, 4 cm"]
    made.pieces.add(box, [new_piece(shipped_reader(), note) for note in notes])
    first, twin, other, initials, _ = pieces(made)
    sold = sell(readings, made, [first], terms(9000))
    sold += sell(readings, made, [initials], terms(1000))

    assert [sale.maker for sale in sold] == ["BRANDWICK", ""]
    desk = desk_of(readings, made)
    middles = {}
    for each in (twin, other):
        estimate = appraise_piece(desk, made, each).valuation.estimate
        assert estimate is not None
        middles[each.id] = estimate.middle
    assert middles[twin.id] > 1.5 * middles[other.id]


def test_a_sale_keeps_what_is_known_of_the_piece(
    catalogue: Catalogue, readings: ReadPieces
) -> None:
    first = pieces(catalogue)[0]
    (sale,) = sell(readings, catalogue, [first], terms())

    assert sale.piece == first.id
    assert sale.piece_type == "brooch"
    assert "Trifari" in sale.maker
    assert sale.signed is True
    assert sale.first_year is not None
    assert sale.condition == "worn"
    assert sale.size_mm == 45
    assert "rhinestone" in sale.material
    assert catalogue.pieces.by_id(first.id).gone_why == "sold"


def test_silence_on_condition_is_kept_as_silence(
    catalogue: Catalogue, readings: ReadPieces
) -> None:
    (sale,) = sell(readings, catalogue, [pieces(catalogue)[2]], terms())

    assert sale.condition == ""


def test_a_twin_is_valued_by_the_sale_at_once(catalogue: Catalogue, readings: ReadPieces) -> None:
    first, twin, _ = pieces(catalogue)
    assert appraise_piece(desk_of(readings, catalogue), catalogue, twin).valuation.estimate is None
    sell(readings, catalogue, [first], terms())
    found = appraise_piece(desk_of(readings, catalogue), catalogue, twin).valuation.estimate

    assert found is not None
    assert found.middle == pytest.approx(40, rel=0.05)
    assert found.low > 10
    assert found.high < 160


def test_a_sale_and_a_return_are_taken_back_by_undo(
    catalogue: Catalogue, readings: ReadPieces
) -> None:
    first = pieces(catalogue)[0]
    (sale,) = sell(readings, catalogue, [first], terms())
    catalogue.money.take_return(sale.id, note="clasp too stiff")
    assert not catalogue.pieces.by_id(first.id).gone
    assert catalogue.money.events(first)[-1].kind == "returned"

    catalogue.steps.undo()
    assert catalogue.pieces.by_id(first.id).gone_why == "sold"
    assert catalogue.money.sales(first)[0].returned == ""
    assert catalogue.money.events(first) == ()
    catalogue.steps.undo()
    assert not catalogue.pieces.by_id(first.id).gone
    assert catalogue.money.sales() == ()


def test_a_returned_sale_counts_for_no_estimate(catalogue: Catalogue, readings: ReadPieces) -> None:
    first, twin, _ = pieces(catalogue)
    (sale,) = sell(readings, catalogue, [first], terms())
    catalogue.money.take_return(sale.id)

    assert appraise_piece(desk_of(readings, catalogue), catalogue, twin).valuation.estimate is None


def test_what_left_cannot_be_sold_again(catalogue: Catalogue, readings: ReadPieces) -> None:
    first = pieces(catalogue)[0]
    sell(readings, catalogue, [first], terms())

    with pytest.raises(CatalogueProblem, match="left its box"):
        sell(readings, catalogue, [first], terms())
    assert len(catalogue.money.sales()) == 1


@pytest.mark.parametrize("changed", [{"price": 0}, {"day": "2999-01-01"}])
def test_sales_of_nothing_and_of_days_to_come_are_refused(
    catalogue: Catalogue, readings: ReadPieces, changed: dict[str, object]
) -> None:
    first = pieces(catalogue)[0]
    with pytest.raises(CatalogueProblem):
        sell(readings, catalogue, [first], terms(**changed))  # type: ignore[arg-type]

    assert not catalogue.pieces.by_id(first.id).gone


def test_one_price_for_several_is_shared_to_the_cent(
    catalogue: Catalogue, readings: ReadPieces
) -> None:
    sales = sell(readings, catalogue, pieces(catalogue), terms(1000, fees_minor=100))

    assert [each.price_minor for each in sales] == [334, 333, 333]
    assert sum(each.fees_minor or 0 for each in sales) == 100
    assert all(each.pieces == 3 for each in sales)


def test_how_a_piece_stands(catalogue: Catalogue, readings: ReadPieces) -> None:
    first, second, _ = pieces(catalogue)
    box = catalogue.boxes.named("invented tin")
    bought = catalogue.money.record_acquisition(
        box, when="2024-01-10", cost_minor=1000, currency="EUR"
    )
    catalogue.money.record_event(first, "listed", place="a shop", price_minor=5500, currency="EUR")
    catalogue.money.record_event(first, "stored", place="shelf B, bag 12")
    before = standing(catalogue, first)
    assert before.cost is not None
    assert before.cost.shared
    assert before.cost.minor == 334
    assert before.listed is not None
    assert before.listed.price_minor == 5500
    assert before.stored is not None

    catalogue.money.correct_acquisition(bought.id, cost_minor=1300, currency="EUR")
    sell(readings, catalogue, [first], terms(4000, postage_minor=300, paid_postage_minor=400))
    after = standing(catalogue, first)
    # 40.00 and 4.00 postage, less 5.00 fees, 3.00 postage, and 4.34: a third of 13.00, rounded up
    assert after.net_minor == 4000 + 400 - 500 - 300 - 434
    assert after.listed is None
    assert standing(catalogue, second).net_minor is None


def test_a_report_adds_up_and_is_written(
    catalogue: Catalogue, readings: ReadPieces, tmp_path: Path
) -> None:
    box = catalogue.boxes.named("invented tin")
    catalogue.money.record_acquisition(box, when="2024-04-05", cost_minor=900, currency="EUR")
    first, second, _ = pieces(catalogue)
    sell(readings, catalogue, [first], terms(day="2024-04-06"))
    (sale,) = sell(readings, catalogue, [second], terms(day="2024-04-20"))
    catalogue.money.take_return(sale.id)
    for by in ("box", "month", "year", "venue"):
        found = accounts(catalogue, by, (4, 6))  # type: ignore[arg-type]
        assert sum(line.taken for line in found.lines) == 8000
        assert sum(line.refunded for line in found.lines) == 4000
        # the fee of what came back stays a cost
        assert sum(line.net for line in found.lines) == 4000 - 500 - 500 - 300
    (stock,) = accounts(catalogue, "box").stock
    assert (stock.pieces, stock.cost) == (2, 600)
    years = accounts(catalogue, "year", (4, 6)).lines
    assert [line.group for line in years][:2] == ["2023/24", "2024/25"]

    lines, unsold = write_report(found, tmp_path / "r.csv")
    (row,) = csv.DictReader(io.StringIO(lines.read_text()))
    assert (row["net"], row["refunded"]) == ("27.00", "40.00")
    stock = list(csv.DictReader(io.StringIO(unsold.read_text())))
    assert stock[-1] == {"currency": "EUR", "unsold for": "all", "pieces": "2", "at cost": "6.00"}
    write_report(found, tmp_path / "r.xlsx")
    book = openpyxl.load_workbook(tmp_path / "r.xlsx")
    assert book.sheetnames == ["by venue", "unsold", "chart", "about"]
    heads = [cell.value for cell in book["by venue"][1]]
    assert [cell.value for cell in book["by venue"][2]][heads.index("net")] == 27
    assert book["by venue"].max_row == len(found.lines) + 1  # a table, and nothing beneath it
    assert "no tax advice" in book["about"]["A1"].value
    with pytest.raises(CatalogueProblem):
        write_report(found, tmp_path / "r.csv")


def test_no_report_is_left_of_two_files_where_one_is_there(
    catalogue: Catalogue, readings: ReadPieces, tmp_path: Path
) -> None:
    catalogue.money.record_acquisition(
        catalogue.boxes.named("invented tin"), when="2024-04-05", cost_minor=900, currency="EUR"
    )
    (tmp_path / "r-unsold.csv").write_text("mine")

    with pytest.raises(CatalogueProblem, match="r-unsold"):
        write_report(accounts(catalogue, "box"), tmp_path / "r.csv")
    assert not (tmp_path / "r.csv").exists()
    assert (tmp_path / "r-unsold.csv").read_text() == "mine"


def test_a_return_counts_when_it_came_back() -> None:
    """A year once told stays as it was: by hand, 70 with its postage, cost 9, fee 7, postage 3."""
    there = (Piece(1, "a", 1, 1, "", "", "", None, "", ""),)
    sale = Sale(1, 1, "2024-12-20", 6500, "GBP", "", "", None, None, "", None, "", "")
    sale = replace(sale, fees_minor=700, postage_minor=300, paid_postage_minor=500)
    bought = (Acquisition(1, None, 1, "2024-06-01", "", "", 900, "GBP", ""),)
    today = datetime.date(2025, 6, 1)

    def years(*sales: Sale) -> dict[str, AccountLine]:
        found = report(Books(there, {1: "tin"}, bought, sales), "year", today).lines
        return {line.group: line for line in found}

    back = replace(sale, returned="2025-01-10")
    before, after = years(sale), years(back)
    assert before["2024"].net == 7000 - 700 - 300 - 900
    assert after["2024"] == before["2024"]
    assert (after["2025"].sold, after["2025"].returned, after["2025"].refunded) == (0, 1, 7000)
    assert (after["2025"].cost, after["2025"].net) == (-900, 900 - 7000)
    # Sold again, it has cost what it cost once; the fees of the first sale stay spent.
    again = years(back, replace(sale, id=2, when="2025-03-01"))
    assert (again["2025"].cost, again["2025"].net) == (0, -700 - 300)
    assert sum(line.cost for line in again.values()) == 900
    for by in ("box", "venue"):
        (line,) = report(
            Books(there, {1: "tin"}, (), (back,)),
            by,
            today,  # type: ignore[arg-type]
        ).lines
        assert (line.taken, line.refunded, line.net) == (7000, 7000, -1000)
        assert line.without_cost == 0


@given(
    st.lists(st.tuples(st.integers(1, 3), st.booleans()), min_size=1, max_size=12),
    st.lists(st.integers(0, 100_000), min_size=1, max_size=4),
)
def test_costs_shared_over_a_lot_add_up_to_the_lot(
    kinds: list[tuple[int, bool]], costs: list[int]
) -> None:
    """Compared with sums of exact fractions, worked out apart."""
    own = [n for n, (_, alone) in enumerate(kinds) if alone]
    there = [Piece(n, str(n), box, n, "", "", "", None, "", "") for n, (box, _) in enumerate(kinds)]
    bought = [
        Acquisition(n, box, None, "2024", "", "", cost, "EUR", "")
        for n, (box, cost) in enumerate(zip((1, 2, 3, 1), costs, strict=False))
    ]
    bought += [Acquisition(90 + n, None, n, "2024", "", "", 77, "EUR", "") for n in own]
    found = costs_of(there, bought)
    for box in (1, 2, 3):
        sharing = [n for n, (of, alone) in enumerate(kinds) if of == box and not alone]
        total = sum(each.cost_minor or 0 for each in bought if each.box == box)
        if sharing and any(each.box == box for each in bought):
            assert sum(found[n].minor for n in sharing) == total
            even = Fraction(total, len(sharing))
            assert all(abs(found[n].minor - even) < 1 for n in sharing)
    assert all(found[n].minor == 77 for n in own)


def test_currencies_are_never_mixed() -> None:
    there = (Piece(1, "a", 1, 1, "", "", "", None, "", ""),)
    sale = Sale(1, 1, "2024-05-01", 5000, "GBP", "", "", None, None, "", None, "", "")
    books = Books(
        there,
        {1: "tin"},
        (Acquisition(1, None, 1, "2024", "", "", 900, "EUR", ""),),
        (sale, replace(sale, id=2, currency="EUR")),
    )
    lines = {line.currency: line for line in report(books, "box", datetime.date.today()).lines}

    assert lines["GBP"].cost == 0
    assert lines["GBP"].without_cost == 1
    assert lines["EUR"].cost == 900


def test_what_goes_for_another_currency_leaves_the_stock_at_its_cost() -> None:
    """All that a lot cost is cost of what was sold or lies in stock, whatever it was sold for."""
    there = tuple(Piece(n, f"p{n}", 1, n, "", "", "", None, "", "x" * (n < 4)) for n in range(1, 8))
    sales = tuple(
        Sale(n, n, "2024-05-01", 5000, currency, "", "", None, None, "", None, "", "")
        for n, currency in enumerate(("GBP", "EUR", "USD"), 1)
    )
    bought = (Acquisition(1, 1, None, "2024", "", "", 1000, "EUR", ""),)
    for by in ("box", "month", "year", "venue"):
        found = report(Books(there, {1: "tin"}, bought, sales), by, datetime.date.today())
        cost = sum(line.cost for line in found.lines if line.currency == "EUR")
        assert cost + found.stock[0].cost == 1000
        assert all(line.cost == 0 for line in found.lines if line.currency != "EUR")
        assert sum(line.net for line in found.lines if line.currency == "EUR") == 5000 - cost


def test_bad_lines_of_sold_prices_say_the_remedy() -> None:
    sale = Sale(0, None, "2024-05-01", 5000, "GBP", "", "brooch", None, None, "", None, "", "")
    lines = [
        (2, sale),
        (3, replace(sale, price_minor=0)),
        (4, replace(sale, when="2999-01-01")),
        (5, replace(sale, piece_type="broochh")),
        (6, replace(sale, note="another")),
    ]
    found = dict(refused(shipped_reader().base, lines, [replace(sale, id=7)]))

    assert sorted(found) == [2, 3, 4, 5]
    assert "sold price 7" in found[2]
    assert "leave the line out" in found[3]
    assert "still to come" in found[4]
    assert 'nearest: "brooch"' in found[5]


@every_case(
    ("price", "fees", "minor"),
    [
        ("55 EUR", "10%", 550),
        ("34.50 EUR", "12,9 %", 445),
        ("0.50 EUR", "1%", 1),
        ("100 JPY", "12.5%", 13),
        ("20 EUR", "100%", 2000),
        ("20 EUR", "0%", 0),
    ],
)
def test_fees_may_be_a_share_of_the_price(price: str, fees: str, minor: int) -> None:
    """Reckoned by hand; half a minor unit goes up (34.50 × 12.9% is 4.4505, 12.5 yen are 13)."""
    assert terms_said(price, fees=fees).fees_minor == minor


@every_case(
    ("fees", "told"),
    [
        ("101%", "fees: 101% is more than the price"),
        ("ten", 'fees: "ten" is not a price'),
        ("10%%", 'fees: "10%%" is not a price'),
        ("-3%", 'fees: "-3%" is not a price'),
    ],
)
def test_fees_that_are_none_are_told_as_fees(fees: str, told: str) -> None:
    with pytest.raises(CatalogueProblem, match=re.escape(told)):
        terms_said("20 EUR", fees=fees)
    with pytest.raises(CatalogueProblem, match=r"^postage: "):
        terms_said("20 EUR", postage="10%")


def test_nothing_is_sold_before_it_came_or_comes_back_before_it_was_sold(
    catalogue: Catalogue, readings: ReadPieces
) -> None:
    box = catalogue.boxes.named("invented tin")
    first, second, third = pieces(catalogue)
    catalogue.money.record_acquisition(box, when="2024-04", cost_minor=900, currency="EUR")
    catalogue.money.record_acquisition(second, when="2023-02-03", cost_minor=90, currency="EUR")
    with pytest.raises(CatalogueProblem, match="piece 1 was bought on 2024-04, and cannot"):
        sell(readings, catalogue, [first], terms(day="2024-03-31"))
    # Within a month of which no day is told anything may be; a purchase of its own counts alone.
    sell(readings, catalogue, [first], terms(day="2024-04-01"))
    (sale,) = sell(readings, catalogue, [second], terms(day="2023-06-01"))
    with pytest.raises(CatalogueProblem, match="cannot have come back on 2023-05-31"):
        catalogue.money.take_return(sale.id, "2023-05-31")
    assert not catalogue.pieces.by_id(third.id).gone
