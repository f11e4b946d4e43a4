"""Everything the command does has a place on the page: money, tables, files, search, metal."""

from __future__ import annotations

import io
import json
import re
import zipfile
from pathlib import Path
from typing import Any

import pytest
from command import markrules
from openpyxl import load_workbook
from shipped_base import shipped_reader
from web_serving import Served, Visitor

from markrules.catalogue.store import Catalogue
from markrules.marks.private_marks import PrivateMarks
from markrules.reading.reader import Request
from markrules.tasks.accounting import standing
from markrules.tasks.exporting import LEFT_OUT
from markrules.telling.words import years_of

OWN_RULE = """\
clue grandmothers-hook
    when   clasp is hook-and-eye
    made   mostly 1921 to 1926
    trust  weak
    why    "On three dated pieces of one family."
    cite   from-memory
"""
TABLE = "Stück,Zusatz,Angabe\nOne,brooch with a rollover catch,AUSTRIA\nTwo,bangle,\n"


def words(page: str) -> str:
    """The text of the main part, without tags."""
    main = page.partition("<main")[2].partition("</main>")[0]
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", main)).strip()


def box_of(visitor: Visitor, piece: str) -> str:
    found = re.search(r'href="(/box/\d+)', visitor.get(piece).text)
    assert found is not None
    return found[1]


def test_more_leads_to_every_place_and_each_answers(visitor: Visitor) -> None:
    page = visitor.get("/more").text.partition("<main")[2]
    addresses = re.findall(r'href="(/[^"]*)"', page)

    assert len(addresses) >= 14
    for address in addresses:
        assert visitor.get(address).status_code == 200, address
    nav = visitor.get("/").text.partition("<nav")[2].partition("</nav>")[0]
    assert nav.count("<a ") <= 6


# --- Money ------------------------------------------------------------------------------------


def test_a_sale_closes_the_piece_and_counts(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("selling", "brooch, rollover catch, unsigned", "ring")[0]
    box = box_of(visitor, piece)
    visitor.post(f"{box}/came", {"cost": "30 EUR", "when": "2026-01-02", "where": "a house"})
    visitor.post(f"{piece}/listed", {"price": "40 EUR", "venue": "web shop"})
    visitor.post(f"{piece}/stored", {"place": "shelf B, bag 12"})
    before = words(visitor.get(piece).text)
    assert "Cost 15.00 EUR its part of what the box cost" in before
    assert "Listed at 40.00 EUR , web shop" in before
    assert "Stored: shelf B, bag 12" in before

    fields = {"price": "34.50 EUR", "day": "2026-03-04", "fees": "2", "postage": "3,50"}
    page = visitor.post(f"{piece}/sold", {**fields, "venue": "fair", "paid_postage": "4"})

    # 34.50 and 4 came in; 2, 3.50 and 15 went out
    assert "Net 18.00 EUR after fees and postage and cost" in words(page.text)
    assert f'href="{piece}"' not in visitor.get(box).text
    with Catalogue(served.catalogue) as catalogue:
        found = catalogue.pieces.by_uid(piece.rpartition("/")[2])
        sale = standing(catalogue, found).sold
    assert sale is not None
    assert (sale.piece_type, sale.signed, sale.venue) == ("brooch", False, "fair")
    report = words(visitor.get("/report?by=venue").text)
    assert "fair" in report
    assert "18.00 EUR" in report

    visitor.post("/undo", {"back": piece})

    assert f'href="{piece}"' in visitor.get(box).text
    assert "Sold for" not in words(visitor.get(piece).text)


def test_a_price_that_names_no_currency_is_in_ones_own(served: Served, visitor: Visitor) -> None:
    one, other = visitor.start_box("own currency", "brooch", "ring")
    at = ("--catalogue", str(served.catalogue))
    assert visitor.post(f"{one}/sold", {"price": "12"}).status_code == 400
    visitor.post("/figures", {"currency": "GBP"})
    try:
        page = visitor.post(f"{one}/sold", {"price": "12", "fees": "1.20"})
        told = markrules("sell", "sold", "own currency", "2", "--price", "7.50", *at)
    finally:
        visitor.post("/figures", {"currency": ""})

    assert "Sold for 12.00 GBP" in words(page.text)
    assert told.returncode == 0, told.stderr
    assert "Sold for 7.50 GBP" in words(visitor.get(other).text)


def test_a_returned_piece_is_in_its_box_again(served: Served, visitor: Visitor) -> None:
    piece, other = visitor.start_box("returned", "brooch", "ring")
    visitor.post(f"{piece}/sold", {"price": "20 EUR", "day": "2026-03-04", "fees": "1"})
    sale = re.search(r'name="sale" value="(\d+)"', visitor.get(piece).text)
    assert sale is not None
    assert visitor.post(f"{other}/returned", {"sale": sale[1]}).status_code == 400

    page = visitor.post(f"{piece}/returned", {"sale": sale[1], "day": "2026-03-20"})

    assert "Came back 2026-03-20" in words(page.text)
    assert "20.00 EUR came back 2026-03-20" in words(visitor.get("/sales").text)
    assert f'href="{piece}"' in visitor.get(box_of(visitor, piece)).text
    visitor.post(f"{piece}/listed", {"price": "18 EUR"})
    at = ("--catalogue", str(served.catalogue))
    told = markrules("sell", "listed", "returned", "1", "--again", "--venue", "fair", *at)
    assert told.returncode == 0, told.stderr
    assert "Listed at 18.00 EUR , fair" in words(visitor.get(piece).text)
    assert markrules("sell", "listed", "returned", "2", "--again", *at).returncode == 2
    assert markrules("sell", "listed", "returned", "1", "--again", "--down", *at).returncode == 2
    assert "Listed at 18.00 EUR" in words(visitor.get(piece).text)
    visitor.post(f"{piece}/listed", {"down": "yes"})
    assert "Listed at" not in words(visitor.get(piece).text)


def test_what_was_paid_is_corrected(visitor: Visitor) -> None:
    piece = visitor.start_box("costs", "brooch")[0]
    page = visitor.post(f"{piece}/came", {"cost": "2.50 EUR", "where": "fair"}).text
    purchase = re.search(r'name="purchase" value="(\d+)"', page)
    assert purchase is not None

    page = visitor.post("/purchase/cost", {"purchase": purchase[1], "cost": "3.25 EUR"}).text

    assert "Cost 3.25 EUR" in words(page)
    page = visitor.post("/purchase/cost", {"purchase": purchase[1], "cost": ""}).text
    assert "What it cost is not written down" in words(page)


@pytest.mark.parametrize(
    ("where", "fields", "field", "said"),
    [
        ("sold", {"price": "cheap"}, "price", "not a price"),
        ("sold", {"price": "0 EUR"}, "price", "price of nothing"),
        ("sold", {"price": "5 EUR", "day": "2199-01-01"}, "day", "still to come"),
        ("sold", {"price": "5 EUR", "fees": "1 USD"}, "fees", "give one currency"),
        ("listed", {"price": "much"}, "price", "not a price"),
        ("came", {"cost": "some"}, "cost", "not a price"),
        ("came", {"when": "31.12.99"}, "when", "not a date"),
    ],
)
def test_bad_money_is_told_at_its_field(
    visitor: Visitor, where: str, fields: dict[str, str], field: str, said: str
) -> None:
    piece = visitor.start_box(f"bad money {where} {fields}", "brooch")[0]

    answer = visitor.post(f"{piece}/{where}", fields, fragment=True)
    plain = visitor.post(f"{piece}/{where}", fields)

    assert answer.status_code == 400
    assert answer.headers["x-field"] == field
    assert said in answer.text
    wrong = rf'name="{field}"[^>]* aria-invalid="true" aria-describedby="wrong"'
    assert re.search(wrong, plain.text)
    for name, value in fields.items():  # all that was typed is still there
        assert re.search(rf'name="{name}"[^>]*value="{re.escape(value)}"', plain.text), name
    assert "Sold for" not in words(visitor.get(piece).text)


def test_the_report_is_the_commands(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("report", "brooch")[0]
    visitor.post(f"{piece}/came", {"cost": "7 EUR", "when": "2026-01-02"})
    visitor.post(f"{piece}/sold", {"price": "5 EUR", "day": "2026-02-03"})
    told = markrules(
        "sell", "report", "--by", "month", "--json", "--catalogue", str(served.catalogue)
    )
    lines = json.loads(told.stdout)["lines"]

    table = visitor.get("/report.csv?by=month")
    book = load_workbook(io.BytesIO(visitor.get("/report.xlsx?by=month").content))

    rows = table.text.splitlines()
    assert rows[0].split(",")[:2] == ["group", "currency"]
    for number, line in enumerate(lines, 1):
        assert rows[number].split(",")[:3] == [
            line["group"],
            line["currency"],
            f"{line['bought']:.2f}",
        ]
    assert len(book["chart"]._charts) == 1
    unsold = visitor.get("/unsold.csv").text.splitlines()
    assert unsold[0] == "currency,unsold for,pieces,at cost"
    assert len(rows) == len(lines) + 1  # one table in a file
    page = visitor.get("/report?by=month").text
    assert page.count('<svg class="net') >= len(lines)
    assert "no tax advice" in page
    assert visitor.get("/report?year-starts=99-99").status_code == 400
    assert visitor.get("/report.pdf").status_code == 404


def test_pieces_are_sold_together(served: Served, visitor: Visitor) -> None:
    pieces = visitor.start_box("sold together", "brooch", "ring", "bangle")
    box = box_of(visitor, pieces[0])
    with Catalogue(served.catalogue) as catalogue:
        ids = [catalogue.pieces.by_uid(each.rpartition("/")[2]).id for each in pieces[:2]]
    data = {"act": "sell", "price": "25.01 EUR", "piece": [str(each) for each in ids]}
    token = {"token": visitor.token()}
    head = {"origin": served.address}

    page = visitor.client.post(f"{box}/several", data={**data, **token}, headers=head)

    assert re.findall(r"Choose No\. (\d+)", page.text) == ["3"]
    with Catalogue(served.catalogue) as catalogue:
        found = [catalogue.pieces.by_uid(each.rpartition("/")[2]) for each in pieces[:2]]
        prices = sorted(each.price_minor for one in found for each in catalogue.money.sales(one))
    assert prices == [1250, 1251]  # none of it is lost
    visitor.post("/undo", {"back": box})
    assert re.findall(r"Choose No\. (\d+)", visitor.get(box).text) == ["1", "2", "3"]


def test_a_lot_shares_its_cost_the_same_by_both_faces(served: Served, visitor: Visitor) -> None:
    pieces = visitor.start_box("bought together", "brooch", "ring", "bangle", "clip")
    box = box_of(visitor, pieces[0])
    with Catalogue(served.catalogue) as catalogue:
        ids = [catalogue.pieces.by_uid(each.rpartition("/")[2]).id for each in pieces]
    head = {"origin": served.address}

    def buy(chosen: list[int], cost: str, day: str = "") -> Any:
        data = {"act": "buy", "cost": cost, "bought": day, "piece": [str(each) for each in chosen]}
        return visitor.client.post(
            f"{box}/several", data={**data, "token": visitor.token()}, headers=head
        )

    def costs() -> list[int | None]:
        with Catalogue(served.catalogue) as catalogue:
            found = [catalogue.pieces.by_uid(each.rpartition("/")[2]) for each in pieces]
            stand = [standing(catalogue, each).cost for each in found]
        return [each.minor if each else None for each in stand]

    told = buy(ids[:3], "10 EUR").text
    assert "3 pieces share what they cost together, each 3.34 EUR or 3.33 EUR." in told
    assert costs() == [334, 333, 333, None]  # none of it is lost
    for cost, day in (("much", ""), ("4 EUR", "2024-13-40"), ("4 EUR", "")):
        assert buy(ids[2:] if not day else ids[3:], cost, day).status_code == 400
    assert costs() == [334, 333, 333, None]
    visitor.post("/undo", {"back": box})
    assert costs() == [None, None, None, None]

    at = ("--catalogue", str(served.catalogue))
    told = markrules("piece", "bought", "bought together", "1", "2", "3", "--cost", "10 EUR", *at)
    assert told.stdout.splitlines() == [
        "Piece 1: 3.34 EUR",
        "Piece 2: 3.33 EUR",
        "Piece 3: 3.33 EUR",
    ]
    assert costs() == [334, 333, 333, None]
    again = markrules("piece", "bought", "bought together", "3", "4", "--cost", "1 EUR", *at)
    assert again.returncode == 2
    assert "piece 3 has a cost of its own" in again.stderr
    assert markrules("piece", "bought", "bought together", "3", "4", *at).returncode == 2


def test_pieces_are_kept_as_a_set_and_let_go(served: Served, visitor: Visitor) -> None:
    one, other, _ = visitor.start_box("of a set", "brooch", "earrings", "ring")
    box = box_of(visitor, one)
    with Catalogue(served.catalogue) as catalogue:
        ids = [catalogue.pieces.by_uid(each.rpartition("/")[2]).id for each in (one, other)]
    data = {"act": "set", "set": "leaf set", "piece": [str(each) for each in ids]}
    token = {"token": visitor.token()}

    visitor.client.post(
        f"{box}/several", data={**data, **token}, headers={"origin": served.address}
    )

    page = words(visitor.get(one).text)
    assert "Of the set leaf set , with No. 2" in page
    visitor.post(f"{one}/alone")
    assert "Of the set" not in words(visitor.get(one).text)
    assert "Of the set leaf set" in words(visitor.get(other).text)


def test_steps_of_money_say_what_they_were_about(visitor: Visitor) -> None:
    piece = visitor.start_box("steps of money", "brooch")[0]
    visitor.post(f"{box_of(visitor, piece)}/came", {"cost": "3 EUR"})
    visitor.post(f"{piece}/listed", {"price": "5 EUR", "venue": "web shop"})
    visitor.post(f"{piece}/stored", {"place": "shelf B"})

    said = words(visitor.get("/past").text)

    assert "store: piece 1 in steps of money, shelf B" in said
    assert "list for sale: piece 1 in steps of money, web shop" in said
    assert "record acquisition: the box steps of money" in said


def test_any_step_of_the_list_is_taken_back(visitor: Visitor) -> None:
    piece = visitor.start_box("step by step", "brooch")[0]
    visitor.post(f"{piece}/see", {"words": "rollover catch"})
    visitor.post(f"{piece}/see", {"words": "tube hinge"})
    page = visitor.get("/past").text
    steps = re.findall(r'name="step" value="(\d+)"', page)

    visitor.post("/undo", {"step": steps[1], "back": "/past"})

    page = visitor.get(piece).text
    assert "<bdi>hinge: tube hinge</bdi>" in page
    assert "<bdi>catch: rollover</bdi>" not in page


@pytest.mark.parametrize("form", ["schema-org", "linked-art", "dublin-core", "csv", "edtf"])
def test_a_piece_is_written_in_open_standards(served: Served, visitor: Visitor, form: str) -> None:
    box = f"standards {form}"
    piece = visitor.start_box(box, "brooch, rollover catch")[0]
    at = ("--catalogue", str(served.catalogue))
    told = markrules("sheet", "export", box, "1", "--as", form, *at)

    answer = visitor.get(f"{piece}/export/{form}")

    assert answer.text == told.stdout
    assert answer.headers["content-disposition"].startswith("attachment")
    assert f"{piece}/export/{form}" in visitor.get(f"{piece}/papers").text
    assert visitor.get(f"{piece}/export/x").status_code == 404


# --- Tables -----------------------------------------------------------------------------------


def send_table(visitor: Visitor, box: str, text: str, name: str = "list.csv") -> str:
    """The key under which the table is held."""
    page = visitor.post(f"{box}/import", files={"table": (name, text.encode())})
    assert page.status_code == 200, words(page.text)
    return str(page.url.params["held"])


def test_a_table_is_looked_at_before_it_is_entered(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "from a table"}).url.path
    held = send_table(visitor, box, TABLE)
    # None of its headings is one that is known: nothing is taken until somebody says so.
    assert "Nothing is entered yet" in visitor.get(f"{box}/import?held={held}").text
    chosen = {"c0": "title", "c1": "note", "c2": "mark"}

    looked = visitor.get(f"{box}/import", params={"held": held, **chosen}).text
    entered = visitor.post(f"{box}/import/enter", {"held": held, **chosen})

    assert "2 good lines" in looked
    assert "catch: <b><bdi>rollover</bdi></b>" in looked
    assert "mark: <b><bdi>AUSTRIA</bdi></b>" in looked
    assert re.findall(r"Choose No\. (\d+)", entered.text) == ["1", "2"]
    visitor.post("/undo", {"back": box})
    assert "Choose No." not in visitor.get(box).text


def test_bad_lines_keep_the_good_ones_only_if_asked(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "bad lines"}).url.path
    held = send_table(visitor, box, "note,cost\nbrooch,3 EUR\nring,cheap\n")
    page = visitor.get(f"{box}/import?held={held}").text
    assert "1 bad one" in page

    refused = visitor.post(f"{box}/import/enter", {"held": held})
    taken = visitor.post(f"{box}/import/enter", {"held": held, "skip-bad": "yes"})

    assert refused.status_code == 400
    assert re.findall(r"Choose No\. (\d+)", taken.text) == ["1"]


def test_a_held_table_is_for_the_browser_that_sent_it(served: Served, visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "whose table"}).url.path
    held = send_table(visitor, box, TABLE)

    assert served.visitor().get(f"{box}/import?held={held}").status_code == 404
    assert visitor.get(f"{box}/import?held=0000").status_code == 404


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.xlsx", b"not a workbook"),
        ("../../etc/passwd.csv", b""),
        ("a.csv", b"\xff\xfe\x00"),
        ("a.json", b'{"note": '),
    ],
)
def test_what_is_no_table_is_told_by_its_own_name(visitor: Visitor, name: str, data: bytes) -> None:
    box = visitor.post("/boxes", {"name": f"no table {name}"}).url.path

    page = visitor.post(f"{box}/import", files={"table": (name, data)})

    assert page.status_code in (400, 404)
    assert "Traceback" not in page.text
    assert "markrules-held" not in page.text


def test_how_columns_are_taken_is_remembered_by_name(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "remembered"}).url.path
    held = send_table(visitor, box, TABLE)
    chosen = {"c0": "title", "c1": "note", "c2": "mark"}
    visitor.post(f"{box}/import/enter", {"held": held, **chosen, "remember": "their sheet"})

    again = send_table(visitor, box, TABLE)
    asked = {"held": again, "columns": "their sheet"}
    twice = visitor.get(f"{box}/import", params=asked).text
    page = visitor.get(f"{box}/import", params={**asked, "again": "yes"}).text

    assert "the box has the same as piece 2" in twice
    assert "<option>their sheet</option>" in page
    assert "2 good lines" in page
    missing = visitor.get(f"{box}/import", params={"held": again, "columns": "no such"})
    assert missing.status_code == 400


def test_money_and_storage_come_with_the_table(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "money of a table"}).url.path
    text = "note,cost,bought on,storage\nbrooch,12.50,23/4/2024,shelf C\n"
    held = send_table(visitor, box, text)

    looked = visitor.get(f"{box}/import?held={held}&currency=EUR").text
    page = visitor.post(f"{box}/import/enter", {"held": held, "currency": "EUR"})

    assert "12.50 EUR, 2024-04-23" in looked
    piece = re.search(r'href="(/piece/[a-z2-7]{16})', page.text)
    assert piece is not None
    said = words(visitor.get(piece[1]).text)
    assert "Cost 12.50 EUR" in said
    assert "Stored: shelf C" in said


def test_sold_prices_are_taken_in_from_a_list(visitor: Visitor) -> None:
    pasted = "date\tprice\ttype\n2026-01-01\t31 EUR\tbrooch\n2026-01-02\tcheap\tring\n"
    page = visitor.post("/sales/import", {"pasted": pasted})
    assert "1 good line, 1 bad one" in words(page.text)
    held = page.url.params["held"]

    assert visitor.post("/sales/import/enter", {"held": held}).status_code == 400
    page = visitor.post("/sales/import/enter", {"held": held, "skip-bad": "yes"})

    assert page.url.path == "/sales"
    assert "31.00 EUR" in page.text
    again = visitor.post("/sales/import", {"pasted": pasted})
    assert "recorded already" in again.text


def test_an_unknown_type_is_refused_with_the_nearest(visitor: Visitor) -> None:
    fields = {"when": "2026-01-01", "price": "3 EUR", "type": "neckslace"}

    answer = visitor.post("/sales", fields, fragment=True)

    assert answer.status_code == 400
    assert answer.headers["x-field"] == "type"
    assert 'nearest: "necklace"' in answer.text


def test_many_stones_are_put_in_at_once(visitor: Visitor) -> None:
    pasted = "12 x navette, 10x5 mm, red, foil\n3 x round, SS16, crystal\n0 x round, SS99\n"

    refused = visitor.post("/stones/many", {"pasted": pasted}, fragment=True)
    assert refused.status_code == 400
    assert "line 3" in refused.text
    assert "12 ×" not in visitor.get("/stones").text
    page = visitor.post("/stones/many", {"pasted": pasted, "skip-bad": "yes"})
    assert "12 ×" in page.text
    assert "3 ×" in page.text

    table = b"shape,size,colour,count\nround,SS16,blue,7\n"
    assert "7 ×" in visitor.post("/stones/many", files={"table": ("tin.csv", table)}).text
    assert visitor.post("/stones/many").status_code == 400
    bad = visitor.post("/stones/many", files={"table": ("tin.xlsx", b"junk")})
    assert bad.status_code == 400
    assert "markrules-held" not in bad.text


# --- Files ------------------------------------------------------------------------------------


def test_two_stones_in_mirror_places_are_compared(visitor: Visitor) -> None:
    differs = visitor.get("/stones?one=round, 4 mm, red&other=round, 4 mm, pink").text
    alike = visitor.get("/stones?one=4 mm, red&other=round, red, 4mm").text
    sampled = visitor.get("/stones?one=%23c01020&other=%231020c0").text
    half = visitor.get("/stones?one=round&other=")

    assert "probably replaced" in differs
    assert "colour: red and pink" in differs
    assert "do not differ" in alike
    assert "probably replaced" in sampled
    assert half.status_code == 400
    assert 'name="other" value="" aria-invalid="true"' in half.text
    assert 'value="round"' in half.text


def test_a_size_that_is_none_is_told_at_its_field(visitor: Visitor) -> None:
    page = visitor.get("/stones?shape=round&size=large")

    assert page.status_code == 400
    assert 'value="large" aria-invalid="true"' in page.text
    assert 'value="round"' in page.text


def test_the_tin_is_held_against_all_that_is_wanting_in_a_box(visitor: Visitor) -> None:
    notes = ("brooch, red stones, one stone missing", "ring, gold tone")
    pieces = visitor.start_box("wanting", *notes)
    visitor.post("/stones", {"shape": "round", "size": "4 mm", "colour": "red", "count": "3"})

    page = visitor.get(f"{box_of(visitor, pieces[0])}/stones").text
    empty = visitor.post("/boxes", {"name": "nothing wanting"})

    assert "No. 1" in page
    assert "3 ×" in page
    assert "No. 2" not in page
    assert "No piece in this box" in visitor.get(f"{empty.url.path}/stones").text


def test_an_empty_box_at_a_glance_says_so(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "empty at a glance"}).url.path
    page = visitor.get(f"{box}/glance").text

    assert "no piece in this box yet" in page
    assert "Keep all these decisions" not in page
    assert "What to do" not in page


def test_a_note_is_read_and_valued_without_being_kept(visitor: Visitor, served: Served) -> None:
    note = "brooch, rollover catch, two stones missing, blurgh"
    page = visitor.get("/note", params={"note": note}).text
    reading = shipped_reader().read(Request(note))

    assert years_of(reading.date) in page
    assert "blurgh" in page
    assert "Value, and what to do with it" in page
    assert "stones are gone" in page
    with Catalogue(served.catalogue) as kept:
        assert not any(
            each.note == note for box in kept.boxes.all() for each in kept.pieces.all(box)
        )


def test_rules_of_one_s_own_are_checked_and_put_in_order(
    served: Served, visitor: Visitor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("MARKRULES_RULES", str(tmp_path))
    file = tmp_path / "family.rules"
    file.write_text(OWN_RULE.replace("when   ", "when  "), encoding="utf-8")

    assert "family.rules" in visitor.get("/rules").text
    assert "Nothing is wrong" in visitor.post("/rules/check").text
    assert "1 file put into the common form" in visitor.post("/rules/form").text
    assert file.read_text(encoding="utf-8") == OWN_RULE
    file.write_text(OWN_RULE.replace("clasp", "claps"), encoding="utf-8")
    page = visitor.post("/rules/check").text
    assert "1 error" in page
    assert "family.rules:2:" in page
    assert str(tmp_path) not in page


def test_rules_are_tried_and_not_kept(visitor: Visitor) -> None:
    good = visitor.post("/rules/try", {"text": OWN_RULE}).text
    bad = visitor.post(
        "/rules/try", {"text": OWN_RULE.replace("hook-and-eye", "hook-and-eyes")}
    ).text

    assert "Nothing is wrong" in good
    assert "In the common form" in good
    assert "1 error" in bad
    assert "tried.rules:2:" in bad
    assert "nearest: &#34;hook-and-eye&#34;" in bad
    assert "hook-and-eyes" in bad
    assert (
        "grandmothers-hook"
        not in visitor.get("/book?q=grandmothers-hook").text.split("</form>")[-1]
    )


def test_rules_that_were_tried_can_be_kept(adding: Served, own: Path) -> None:
    """A clasp that nobody's rules know, from its words to a reading, on the page alone."""
    visitor = adding.visitor()
    rule = """
feature bow-clasp
    ask   "Is the clasp stamped with a bow?"
    value stamped-bow "a stamped bow"

clue grandmothers-bow
    when  bow-clasp is stamped-bow
    made  mostly 1921 to 1926
    trust moderate
    why   "On three dated pieces of one family."
    cite  from-memory
"""
    tried = visitor.post("/rules/try", {"text": rule}).text
    kept = visitor.post("/rules/keep", {"text": rule}).text
    read = words(visitor.get("/note", params={"note": "necklace, stamped bow"}).text)
    second = rule.replace("bow", "knot").replace("1921 to 1926", "1931 to 1936")
    visitor.post("/rules/keep", {"text": second})
    again = visitor.post("/rules/keep", {"text": second}).text
    held = (own / "kept-on-the-page.rules").read_text(encoding="utf-8")

    assert "Keep them" in tried
    assert "Kept, and used from now on. They stand in kept-on-the-page.rules." in kept
    assert "clue grandmothers-bow" in kept
    assert "1921–1926" in read
    assert "grandmothers bow" in read
    assert held.count("\nfeature ") == 2
    assert "two entries are called" in again
    assert "Keep them" not in again


def test_a_clasp_is_added_to_the_clasps_on_the_page_alone(adding: Served, own: Path) -> None:
    visitor = adding.visitor()
    rule = """more clasp
    value stamped-bow "a stamped bow"

clue grandmothers-bow
    when  clasp is stamped-bow
    made  mostly 1921 to 1926
    trust moderate
    why   "On three dated pieces of one family."
    cite  from-memory
"""
    tried = visitor.post("/rules/try", {"text": rule}).text
    wrong = visitor.post("/rules/try", {"text": rule.replace("more clasp", "more claps")}).text
    visitor.post("/rules/keep", {"text": rule})
    piece = visitor.start_box("bows", "necklace, stamped bow")[0]
    page = words(visitor.get(piece).text)
    again = visitor.post("/rules/keep", {"text": rule}).text

    assert "Keep them" in tried
    assert "unknown feature &#34;claps&#34;" in wrong
    assert "nearest: &#34;clasp&#34;" in wrong
    assert (own / "kept-on-the-page.rules").read_text(encoding="utf-8").count("\nmore ") == 1
    assert "1921–1927" in page
    assert "grandmothers bow" in page
    assert "is there already" in again
    assert "Keep them" not in again


def test_rules_that_were_kept_are_taken_back(adding: Served, own: Path) -> None:
    visitor = adding.visitor()
    file = own / "kept-on-the-page.rules"
    first = 'more clasp\n    value lobster-clasp\n        also "crayfish closer"\n'
    second = first.replace("lobster-clasp", "hook-and-eye").replace("crayfish", "claw and ring")

    def understood() -> bool:
        page = words(visitor.get("/note", params={"note": "necklace, crayfish closer"}).text)
        return "lobster clasp" in page

    assert not understood()
    visitor.post("/rules/keep", {"text": first})
    held = file.read_text(encoding="utf-8")
    page = visitor.post("/rules/keep", {"text": second}).text
    assert "Kept last" in page
    assert understood()
    back = visitor.post("/undo", {"back": "/rules"}).text
    assert "Taken back: more clasp is out of your own rules again." in back
    assert file.read_text(encoding="utf-8") == held
    assert "more clasp" in words(visitor.get("/past").text)
    visitor.post("/undo", {"back": "/rules"})
    assert not file.exists()
    assert not understood()


def test_a_file_that_was_changed_by_hand_is_not_put_back(adding: Served, own: Path) -> None:
    visitor = adding.visitor()
    file = own / "kept-on-the-page.rules"
    visitor.post("/rules/keep", {"text": 'more brooch\n    kind piece\n    also "spilla"\n'})
    with file.open("a", encoding="utf-8") as held:
        held.write("# Looked at by hand.\n")
    by_hand = file.read_text(encoding="utf-8")

    told = visitor.post("/undo", {"back": "/rules"})

    assert told.status_code == 409
    assert "was changed since: take more brooch out of it by hand" in told.text
    assert file.read_text(encoding="utf-8") == by_hand


def test_rules_with_errors_are_not_kept(adding: Served, own: Path) -> None:
    bad = adding.visitor().post("/rules/keep", {"text": OWN_RULE.replace("clasp", "claps")}).text

    assert "1 error" in bad
    assert "Keep them" not in bad
    assert not own.exists()


def test_a_note_tells_of_the_years_what_its_piece_tells(visitor: Visitor) -> None:
    """One way for both: where from, limits, what misleads, what is wrong with it, what to mind."""
    note = "brooch, C catch, lobster clasp, one stone missing, marked 9CT, celluloid"
    piece = visitor.get(visitor.start_box("both pages", note)[0]).text
    read = visitor.get("/note", params={"note": note}).text

    for said in ("Taken as most likely from", "surely ", "Make and condition", "Take care"):
        assert (said in read, said) == (said in piece, said)
    for told in re.findall(r'<p class="sub">.*?</p>', piece):
        assert told in read
    for card in ("against", "minded", "also", "metal", "make", "care"):
        wanted = re.search(rf'aria-labelledby="{card}".*?</section>', piece, re.DOTALL)
        there = re.search(rf'aria-labelledby="{card}".*?</section>', read, re.DOTALL)
        assert (wanted is None) == (there is None), card
        if wanted is not None and there is not None:
            assert words(wanted[0]) == words(there[0])


@pytest.mark.parametrize("letter", ["a", "é", "ש", "💍"])
def test_a_note_of_the_longest_fits_in_any_letters(visitor: Visitor, letter: str) -> None:
    note = "brooch, " + letter * 1_992

    assert visitor.get("/note", params={"note": note}).status_code == 200
    told = visitor.get("/note", params={"note": note + "aa"})
    assert told.status_code == 400
    assert "2,002 characters here; 2,000 at most" in told.text


def test_marks_of_one_s_own_are_taken_in(
    visitor: Visitor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = tmp_path / "marks.sqlite"
    monkeypatch.setenv("MARKRULES_MARKS", str(store))

    def send(text: str, **fields: str) -> str:
        files = {"marks": ("town.csv", text.encode(), "text/csv")}
        return words(visitor.post("/marks/own", fields, files=files).text)

    good = "text,maker\nQWERTZ,An invented maker\nASDFGH,Another\n"
    assert "2 marks would be added" in send(good, **{"try": "yes"})
    assert not store.exists()
    bad = send("text,maker\n,nobody\n")
    assert "1 bad line" in bad
    assert "nothing was added" in bad  # no line of it was good
    send(good)
    assert PrivateMarks(store).count() == 2
    assert "2 are there already" in send(good, **{"try": "yes"})


def test_a_guest_does_not_look_after_rules(shared: Served) -> None:
    from test_web_access import come_in

    host, guest = come_in(shared, "Ada"), come_in(shared, "Ben")

    assert "Try some rules" in host.get("/rules").text
    assert guest.post("/rules/try", {"text": OWN_RULE}).status_code == 403
    assert guest.post("/rules/form").status_code == 403
    assert guest.post("/marks/own").status_code == 403
    assert "at the computer that serves" in guest.get("/rules").text


def test_everything_is_archived_and_restored(served: Served, visitor: Visitor) -> None:
    visitor.start_box("archived", "brooch, rollover catch", "ring")
    packed = visitor.get("/archive")
    assert packed.headers["content-type"] == "application/zip"
    assert "manifest.json" in zipfile.ZipFile(io.BytesIO(packed.content)).namelist()

    page = visitor.post("/restore", files={"archive": ("tin.zip", packed.content)})

    assert page.status_code == 200
    place = re.search(r"<bdi>(/[^<]+restored[^<]+\.db)</bdi>", page.text)
    assert place is not None
    with Catalogue(served.catalogue) as ours, Catalogue(Path(place[1]), create=False) as theirs:
        assert ours.boxes.counts() == theirs.boxes.counts()
        assert [each.name for each in ours.boxes.all()] == [
            each.name for each in theirs.boxes.all()
        ]
    assert visitor.post("/restore", files={"archive": ("x.zip", b"junk")}).status_code == 400
    assert visitor.post("/restore").status_code == 400
    assert "Whole" in visitor.get("/files/check").text


def test_pieces_are_exported(visitor: Visitor) -> None:
    visitor.start_box("exported", "brooch, marked =SUM(A1)")
    table = visitor.get("/pieces.csv")
    lines = visitor.get("/pieces.jsonl").text.splitlines()

    assert table.headers["content-disposition"].startswith("attachment")
    assert "exported" in table.text
    assert any(json.loads(each).get("box") == "exported" for each in lines)
    assert visitor.get("/pieces.exe").status_code == 404
    assert f"Not in such a file: {LEFT_OUT}." in visitor.get("/files").text


def test_an_export_comes_back_as_it_was(visitor: Visitor) -> None:
    piece = visitor.start_box("there and back", "brooch, rollover catch, marked AUSTRIA")[0]
    box = box_of(visitor, piece)
    visitor.post(f"{piece}/came", {"cost": "3 EUR"})
    number = box.rpartition("/")[2]
    packed = visitor.get(f"/pieces.jsonl?box={number}").content
    again = {"table": ("tin.jsonl", packed.replace(b"there and back", b"another box"))}

    looked = visitor.post(f"{box}/import", files=again)
    here = visitor.post("/take-in/enter", {"held": looked.url.params["held"], "box": number})

    assert looked.url.path == "/take-in"
    assert "1 piece, with all that was kept" in words(looked.text)
    assert "1 piece were here already" in here.text or "here already" in here.text


def test_the_sheets_of_a_box_come_in_one_file(visitor: Visitor) -> None:
    piece = visitor.start_box("all sheets", "brooch, rollover catch", "ring")[0]
    box = box_of(visitor, piece)

    packed = visitor.get(f"{box}/sheets.zip")

    names = zipfile.ZipFile(io.BytesIO(packed.content)).namelist()
    assert "index.html" in names
    assert sum(name.endswith(".html") for name in names) >= 3
    assert f"{box}/sheets.zip" in visitor.get(box).text
    empty = visitor.post("/boxes", {"name": "no sheets"}).url.path
    assert visitor.get(f"{empty}/sheets.zip").status_code == 400


def test_a_guest_takes_no_archive_away(shared: Served) -> None:
    from test_web_access import come_in

    host, guest = come_in(shared, "Ada"), come_in(shared, "Ben")

    assert guest.get("/archive").status_code == 403
    assert guest.post("/restore", {"day": "2026-01-01"}).status_code == 403
    assert "Archive everything" not in guest.get("/files").text
    assert host.get("/archive").status_code == 200


# --- Boxes, search, marks ---------------------------------------------------------------------


def test_a_box_is_renamed(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "old name"}).url.path
    visitor.post("/boxes", {"name": "taken name"})

    page = visitor.post(f"{box}/rename", {"name": "new name", "note": "from an aunt"}).text
    refused = visitor.post(f"{box}/rename", {"name": "taken name"}, fragment=True)

    assert "<bdi>new name</bdi>" in page
    assert "from an aunt" in page
    assert refused.status_code == 400
    assert refused.headers["x-field"] == "name"
    visitor.post("/undo", {"back": box})
    assert "<bdi>old name</bdi>" in visitor.get(box).text


def test_pieces_are_found_by_all_that_is_known_of_them(visitor: Visitor) -> None:
    notes = ("brooch, rollover catch, marked QOXVINNE", "ring, green enamel", "bangle, bakelite")
    brooch, ring, bangle = visitor.start_box("finding place", *notes)
    visitor.get(box_of(visitor, brooch))  # reads them
    visitor.post(f"{ring}/see", {"feature": "catch", "value": "rollover"})
    visitor.post(f"{bangle}/stored", {"place": "cellar, crate 9"})
    visitor.post(f"{bangle}/leave", {"why": "given away"})

    def found(text: str) -> list[str]:
        page = visitor.get("/search", params={"q": text}).text
        return re.findall(r'<a class="row[^"]*" href="(/piece/[a-z2-7]{16})"', page)

    assert found("qoxvinne") == [brooch]
    assert found("?OXVIN...") == [brooch]
    assert set(found("rollover catch")) >= {brooch, ring}  # the ring by what was seen on it
    assert found("crate 9") == [bangle]
    assert found("finding place 2") == [ring]
    assert bangle in found("bakelite")
    assert "given away" in visitor.get("/search?q=crate 9").text
    assert found("no such thing anywhere") == []
    label = visitor.get("/search", params={"q": ring.rpartition("/")[2]})
    assert label.url.path == ring


def test_the_page_finds_by_maker(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("by maker", "brooch, marked EISENBERG")[0]
    visitor.get(box_of(visitor, piece))

    page = visitor.get("/search", params={"q": "Eisenberg original"}).text
    told = markrules("box", "search", "eisenberg", "--json", "--catalogue", str(served.catalogue))

    uid = piece.rpartition("/")[2]
    assert piece in visitor.get("/search?q=eisenberg").text
    assert uid in told.stdout
    assert "Find a piece" in page


def test_metal_and_numbers_say_what_the_command_says(visitor: Visitor) -> None:
    for mark, weight, price in (("14K", "5", "2400"), ("1/20 12K GF", "5", ""), ("EPNS", "9", "")):
        told = markrules("metal", mark, "--weight", weight, *(["--price", price] if price else []))
        query = {"text": mark, "weight": weight, "price": price}
        page = words(visitor.get("/metal", params=query).text)
        for line in told.stdout.splitlines()[-2:]:
            if line.startswith(("fine ", "melt ", "How much", "There is")):
                assert line[1:] in page.replace("&#39;", "'"), line
    assert "1931" in visitor.get("/numbers", params={"text": "PAT. 1,798,867"}).text
    assert "No mark of metal" in visitor.get("/metal?text=zzz").text
    for bad, field in (
        ("weight=-1", "weight"),
        ("weight=x", "weight"),
        ("weight=nan", "weight"),
        ("weight=5&stones=9", "stones"),
        ("weight=5&price=dear", "price"),
    ):
        answer = visitor.get(f"/metal?text=14K&{bad}")
        assert answer.status_code == 400, bad
        wrong = rf'name="{field}"[^>]* aria-invalid="true" aria-describedby="wrong"'
        assert re.search(wrong, answer.text), bad
        assert 'value="14K"' in answer.text


def test_dated_pieces_are_held_against_the_ranges(visitor: Visitor) -> None:
    case = {
        "piece_type": "brooch",
        "observations": ["rollover catch", "tube hinge"],
        "stated_from": 1930,
        "stated_to": 1940,
    }
    data = "\n".join(json.dumps({**case, "id": f"invented {n}"}) for n in range(3))

    page = visitor.post("/audit", files={"dated": ("dated.jsonl", data.encode())})

    assert page.status_code == 200, words(page.text)
    assert "3 pieces" in page.text
    assert visitor.post("/audit", files={"dated": ("a", b"{}")}).status_code == 400
    assert visitor.post("/audit").status_code == 400


def test_one_undo_takes_back_what_decide_saved_on_a_box(served: Served, visitor: Visitor) -> None:
    visitor.start_box("decided at once", "brooch", "ring", "bangle")
    at = ("--catalogue", str(served.catalogue))
    assert markrules("decide", "decided at once", "--save", *at).returncode == 0
    assert visitor.get("/").status_code == 200
    with Catalogue(served.catalogue) as catalogue:
        box = catalogue.boxes.named("decided at once")
        assert len(catalogue.decisions.standing(box)) == 3

        catalogue.steps.undo()

        assert catalogue.decisions.standing(box) == {}


@pytest.mark.slow
def test_no_page_is_heavy(visitor: Visitor) -> None:
    """What is sent for a page, packed, with its style, scripts and icons: 150 kB at most."""
    piece = visitor.start_box("weighed", "brooch, rollover catch, marked AUSTRIA")[0]
    features = [f"/book/feature/{name}" for name in shipped_reader().base.features][::4]
    paths = ["/", "/more", piece, f"{piece}/look?passed=mark", "/report", *features]

    def sent(path: str) -> int:
        with visitor.client.stream("GET", path, headers={"accept-encoding": "gzip"}) as answer:
            return sum(map(len, answer.iter_raw()))

    files: dict[str, int] = {}
    heavy = {}
    for path in [*paths, "/book/feature/hallmark-mark"]:
        parts = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', visitor.get(path).text))
        files.update({each: sent(each) for each in parts - files.keys()})
        weight = sent(path) + sum(files[each] for each in parts)
        if weight > 150_000:
            heavy[path] = weight

    assert heavy == {}
    assert files


def test_the_page_asks_the_catalogue_by_its_methods_alone() -> None:
    """No query stands in the page's own code: what it needs has a name in the catalogue."""
    import ast

    import markrules.web

    found = []
    for path in sorted(Path(markrules.web.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            asks = isinstance(node, ast.Attribute) and node.attr in ("rows", "row", "change", "db")
            if asks and isinstance(node.value, (ast.Name, ast.Attribute)):
                owner = node.value.attr if isinstance(node.value, ast.Attribute) else node.value.id
                if owner in ("catalogue", "_connection"):
                    found.append(f"{path.name}:{node.lineno}")

    assert found == []


def test_a_fault_that_counts_is_called_in_plain_words(visitor: Visitor) -> None:
    piece = visitor.start_box("counted faults", "brooch, 2 stones missing, 5.5 cm")[0]

    for path in (piece, f"{piece}/what-if"):
        page = words(visitor.get(path).text)
        assert "missing stones" in page
        assert "missing-stones" not in page
        assert "5.5" in page
