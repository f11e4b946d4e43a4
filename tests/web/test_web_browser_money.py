"""Money on a phone in a real browser: a lot bought together, sold, back, and the report."""

from __future__ import annotations

import re
import time
from collections.abc import Iterator
from pathlib import Path

import pytest
from web_browsing import PHONE, Browser, browsing
from web_serving import Served

pytestmark = pytest.mark.slow


@pytest.fixture
def browser() -> Iterator[Browser]:
    with browsing(PHONE) as found:
        yield found


def unfold(browser: Browser, summary: str) -> None:
    path = f"//summary[normalize-space(.)={summary!r}]"
    browser.press(browser.driver.find_element("xpath", path))


def a_box(served: Served) -> tuple[str, str]:
    """A new box of three pieces, and the first of them."""
    visitor = served.visitor()
    piece = visitor.start_box(f"a lot {time.monotonic()}", "brooch", "ring", "bangle")[0]
    found = re.search(r'href="(/box/\d+)', visitor.get(piece).text)
    assert found is not None
    return served.address + found[1], served.address + piece


def offer(browser: Browser, summary: str, price: str, venue: str) -> None:
    unfold(browser, summary)
    browser.write("form[action$='/listed'] input[name=price]", price)
    browser.write("form[action$='/listed'] input[name=venue]", venue)
    browser.press(browser.button("Listed"))
    browser.wait(lambda: f"Listed at {price}" in browser.one("#money").text)


def sell(browser: Browser, price: str, day: str) -> None:
    browser.write("form[action$='/sold'] input[name=price]", price)
    browser.write("form[action$='/sold'] input[name=day]", day)
    browser.press(browser.one("form[action$='/sold'] button"))
    browser.wait(lambda: f"Sold for {price}" in browser.one("#money").text)


def test_a_lot_is_bought_offered_sold_back_and_offered_again(
    browser: Browser, served: Served
) -> None:
    box, piece = a_box(served)
    browser.open(box)
    unfold(browser, "Do something to several")
    browser.press(browser.one("#several input[name=all]"))
    browser.write("#several input[name=cost]", "10 EUR")
    browser.write("#several input[name=bought]", "2026-01-02")
    browser.press(browser.button("Share the cost"))
    browser.wait(lambda: "share what they cost together" in browser.one("#told").text)
    browser.open(piece)
    assert "3.34 EUR" in browser.one("#money").text

    offer(browser, "Offered somewhere", "20.00 EUR", "web shop")
    unfold(browser, "Sold")
    sell(browser, "18.00 EUR", "2026-04-10")
    unfold(browser, "It came back")
    browser.press(browser.button("It is back"))
    browser.wait(lambda: "Came back" in browser.one("#money").text)
    # Back, it is offered as it was by one tap: the form stands open and filled.
    price = browser.one("form[action$='/listed'] input[name=price]")
    assert price.get_attribute("value") == "20.00 EUR"
    browser.press(browser.button("Listed"))
    browser.wait(lambda: "Listed at 20.00 EUR, web shop" in browser.one("#money").text)
    offer(browser, "Listed again, or elsewhere", "22.00 EUR", "fair")
    unfold(browser, "Sold")
    assert browser.one("form[action$='/sold'] input[name=venue]").get_attribute("value") == "fair"
    sell(browser, "21.00 EUR", "2026-04-20")

    browser.open(f"{served.address}/report")
    browser.run("document.querySelector('select[name=by]').value = 'year'")
    browser.write("input[name=year-starts]", "04-06")
    browser.press(browser.button("Show"))
    browser.wait(lambda: "year-starts=04-06" in browser.driver.current_url)
    lines = [each.text for each in browser.all("table.list tbody th")]
    assert "2026/27" in lines, lines
    browser.run("document.querySelector('select[name=by]').value = 'venue'")
    browser.press(browser.button("Show"))
    browser.wait(lambda: "by=venue" in browser.driver.current_url)
    assert "fair" in browser.text
    assert browser.run("return document.documentElement.scrollWidth <= innerWidth")
    assert browser.complaints() == []


def test_columns_are_remembered_by_name(browser: Browser, served: Served, tmp_path: Path) -> None:
    box, _ = a_box(served)
    table = tmp_path / "own.csv"
    for again in (False, True):
        piece = "hatpin with a bent pin" if again else "brooch with a rollover catch"
        table.write_text(f"Was,Kam\n{piece},3 EUR\n", encoding="utf-8")
        browser.open(f"{box}/import")
        browser.one("input[name=table]").send_keys(str(table))
        browser.press(browser.button("Look at it"))
        browser.wait(lambda: browser.all("select[name=c0]"))
        if again:
            browser.press(browser.button("Take them so"))
        else:
            for column, field in (("c0", "note"), ("c1", "cost")):
                browser.run(f"document.querySelector('select[name={column}]').value = '{field}'")
            browser.press(browser.button("Look again"))
        browser.wait(lambda: browser.all("input[name=remember]"))
        assert "1 good line" in browser.text
        if not again:
            unfold(browser, "Remember how these columns are taken")
            browser.write("input[name=remember]", "my sheet")
        browser.press(browser.button("Enter 1 piece"))
        browser.wait(lambda: "1 piece entered" in browser.one("#told").text)
    assert browser.complaints() == []
