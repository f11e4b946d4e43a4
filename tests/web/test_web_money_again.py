"""Money on the page as it happens: costs corrected, one price for several, a return a year later;
and a person's columns, taken again as they were remembered.
"""

from __future__ import annotations

import csv
import io
import re

from web_serving import Served, Visitor

from markrules.catalogue.store import Catalogue


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def line(visitor: Visitor, by: str, group: str) -> dict[str, str]:
    table = visitor.get(f"/report.csv?by={by}").text
    return next(row for row in csv.DictReader(io.StringIO(table)) if row["group"] == group)


def test_costs_one_price_and_a_return_stand_where_they_happened(
    served: Served, visitor: Visitor
) -> None:
    pieces = visitor.start_box("as it happened", "brooch", "ring", "bangle")
    visitor.post(f"{pieces[0]}/came", {"cost": "7 CHF", "when": "1997-01-02"})
    visitor.post(f"{pieces[1]}/came", {"cost": "5 CHF", "when": "1997-01-02"})
    page = visitor.get(pieces[0]).text
    purchase = re.search(r'name="purchase" value="(\d+)"', page)
    assert purchase is not None
    visitor.post("/purchase/cost", {"purchase": purchase[1], "cost": "9 CHF"})
    with Catalogue(served.catalogue) as catalogue:
        found = [catalogue.pieces.by_uid(each.rpartition("/")[2]) for each in pieces]
    box = f"/box/{found[0].box}"
    data = {
        "act": "sell",
        "price": "31 CHF",
        "day": "1998-12-20",
        "token": visitor.token(),
        "piece": [str(each.id) for each in found[:2]],
    }
    head = {"origin": served.address}
    visitor.client.post(f"{box}/several", data=data, headers=head)
    sold = line(visitor, "year", "1998")
    assert (sold["sold"], sold["taken"], sold["cost of sold"]) == ("2", "31.00", "14.00")
    assert sold["net"] == "17.00"

    with Catalogue(served.catalogue) as catalogue:
        (sale,) = catalogue.money.sales(found[0])
    visitor.post(f"{pieces[0]}/returned", {"sale": str(sale.id), "day": "1999-01-09"})
    assert line(visitor, "year", "1998") == sold
    back = line(visitor, "year", "1999")
    assert (back["sold"], back["returned"], back["refunded"]) == ("0", "1", "15.50")
    assert (back["cost of sold"], back["net"]) == ("-9.00", "-6.50")
    told = words(visitor.get("/report?by=year").text)
    assert "15.50 CHF 1 came back" in told
    assert "less 9.00 CHF" in told
    assert "the money given back on the day it came back" in told
    unsold = visitor.get("/unsold.csv").text
    assert "CHF,all,1,9.00" in unsold

    visitor.post("/undo", {"back": box})
    assert "1999" not in [row["group"] for row in _rows(visitor)]


def _rows(visitor: Visitor) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(visitor.get("/report.csv?by=year").text)))


def _hold(visitor: Visitor, box: str, text: str) -> str:
    page = visitor.post(f"{box}/import", {"pasted": text})
    return str(page.url.params["held"])


def test_a_column_that_was_left_out_stays_left_out_when_taken_again(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "taken again"}).url.path
    held = _hold(visitor, box, "note\ttitle\tcost\nbrooch, glass\tnot mine\t3 EUR\n")
    chosen = {"c0": "note", "c1": "-", "c2": "cost"}
    visitor.post(f"{box}/import/enter", {"held": held, **chosen, "remember": "without titles"})
    again = _hold(visitor, box, "title\tcost\tnote\nnor this\t4 EUR\tring, silver\n")

    page = visitor.get(f"{box}/import?held={again}&columns=without+titles").text

    labels = re.findall(r'<label class="field"><bdi>.*?</label>', page, re.DOTALL)
    becomes = {words(each).split()[0]: re.findall(r'"([^"]+)" selected', each) for each in labels}
    assert becomes == {"title": [], "cost": ["cost"], "note": ["note"]}
    assert "nor this" not in words(page.partition("The first pieces")[2])


def test_columns_that_are_not_there_are_told(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "taken elsewhere"}).url.path
    held = _hold(visitor, box, "note\tprice paid\nbrooch, glass\t3 EUR\n")
    chosen = {"c0": "note", "c1": "cost"}
    visitor.post(f"{box}/import/enter", {"held": held, **chosen, "remember": "a sheet of mine"})
    other = _hold(visitor, box, "what\tsince\nring, silver\t2020\n")

    page = visitor.get(f"{box}/import?held={other}&columns=a+sheet+of+mine")

    assert page.status_code in (200, 400)
    assert "What each column becomes" in page.text or "a sheet of mine" in page.text
