"""A mark place by place: plain forms, and cells to tap in a real browser."""

from __future__ import annotations

import re
from collections.abc import Iterator
from urllib.parse import urlencode

import pytest
from web_browsing import PHONE, Browser, axe_source, browsing
from web_serving import Served, Visitor

from markrules.catalogue.store import Catalogue
from markrules.marks.cells import Cells, text_of


def marks_kept(served: Served, piece: str) -> list[str]:
    """The texts of marks that stand for a piece."""
    with Catalogue(served.catalogue) as catalogue:
        evidence = catalogue.readings.evidence(catalogue.pieces.by_uid(piece.rpartition("/")[2]))
    return [each.value for each in evidence.observations if each.feature == "mark"]


def posted(places: tuple[str, ...], **more: str) -> dict[str, object]:
    fields = {"feature": "mark", "value": "", "was": "", "certainty": "sure", **more}
    return {**fields, "cell": list(places)}


def test_places_of_a_plain_form_become_a_ranked_reading(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("plain places", "brooch")[0]

    page = visitor.post(f"{piece}/see", posted(("C", "IL", "R", "", "", "")))  # type: ignore[arg-type]

    assert page.status_code == 200
    assert marks_kept(served, piece) == ["C[I>L]R"]
    assert "Signed" in page.text


@pytest.mark.parametrize(
    ("places", "more", "says"),
    [
        (("A", "TRIFA"), {}, "place 2: 5 letters"),
        (("A", "("), {}, "place 2"),
        (("A",), {"value": "B"}, "both changed"),
        (("?", "?"), {}, "no letter was read"),
        (("A", "[CG"), {}, "no partner"),
    ],
)
def test_what_cannot_be_read_is_refused_and_nothing_kept(
    served: Served, visitor: Visitor, places: tuple[str, ...], more: dict[str, str], says: str
) -> None:
    piece = visitor.start_box(f"refused {places} {more}", "brooch")[0]

    page = visitor.post(f"{piece}/see", posted(places, **more))  # type: ignore[arg-type]

    assert page.status_code == 400
    assert says in page.text
    assert marks_kept(served, piece) == []


def test_the_line_alone_counts_where_no_place_was_changed(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("line alone", "brooch")[0]

    visitor.post(f"{piece}/see", posted(("", ""), value="[C>G]IRO (script)"))  # type: ignore[arg-type]

    assert marks_kept(served, piece) == ["[C>G]IRO (script)"]


def test_the_search_takes_places_and_lays_out_what_it_took(visitor: Visitor) -> None:
    asked = urlencode(
        [("read", "TRIFARI, script"), ("was", "TRIFARI, script")]
        + [("cell", each) for each in ("T", "R", "I", "FE", "A", "R", "I", "")]
    )

    page = visitor.get(f"/marks?{asked}").text

    assert 'value="TRI[F&gt;E]ARI (script)"' in page
    assert re.findall(r'name="cell" value="(\w+)"', page) == ["T", "R", "I", "FE", "A", "R", "I"]
    assert "Trifari" in page


@pytest.mark.parametrize("text", ["[C", "<script>", '"><b>', "A" * 300, "((((", "\x00\u202e"])
def test_no_text_breaks_the_places(visitor: Visitor, text: str) -> None:
    page = visitor.get(f"/marks?{urlencode([('read', text), ('cell', text)])}")
    part = visitor.get(f"/letters?{urlencode({'read': text})}", headers={"x-fragment": "part"})

    assert page.status_code == 200
    assert part.status_code in (200, 400)
    for each in (page.text, part.text):
        assert "<b>" not in each.partition('class="cells"')[2].partition("</ol>")[0]
        assert "<script>" not in each


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with browsing(PHONE) as found:
        yield found


def open_letters(browser: Browser, address: str) -> None:
    browser.open(address)
    browser.press(browser.one(".by-letters summary"))


def value_of(browser: Browser, selector: str = ".letters [data-whole]") -> str:
    return str(browser.one(selector).get_property("value"))


def tap(browser: Browser, words: str) -> None:
    browser.press(browser.button(words))


@pytest.mark.slow
def test_candidates_are_tapped_in_order_on_a_phone(
    browser: Browser, served: Served, visitor: Visitor
) -> None:
    piece = visitor.start_box("tapped", "brooch")[0]
    open_letters(browser, f"{served.address}{piece}")
    browser.one("#piece-letters [data-whole]").send_keys("CIRO")
    browser.wait(lambda: browser.one(".cells input").get_property("value") == "C")

    browser.press(browser.all("#piece-letters .cells input")[0])
    tap(browser, "or O")
    tap(browser, "or G")

    assert value_of(browser) == "[C>O>G]IRO"
    assert browser.one(".alike [role=status]").text == "Place 1: C, or else O, or else G"
    assert browser.one(".alike [aria-pressed=true]").text.endswith("3. or G")
    sizes = [each.size for each in browser.all(".alike button, #piece-letters .cells input")]
    assert min(min(each["width"], each["height"]) for each in sizes) >= 40
    assert not browser.run("return document.documentElement.scrollWidth > innerWidth")

    tap(browser, "or O")
    assert value_of(browser) == "[C>G]IRO"
    tap(browser, "only C: sure")
    assert value_of(browser) == "CIRO"
    tap(browser, "? unread")
    assert value_of(browser) == "?IRO"
    browser.press(browser.one("#piece-letters button.main, .by-letters button.main"))
    browser.wait(lambda: "?IRO" in browser.one("#signed").text)

    assert marks_kept(served, piece) == ["?IRO"]
    assert browser.complaints() == []


@pytest.mark.slow
def test_the_keyboard_is_enough_for_places(browser: Browser, served: Served) -> None:
    from selenium.webdriver.common.keys import Keys

    browser.open(f"{served.address}/marks")
    first = browser.one(".cells input")
    browser.run("arguments[0].focus()", first)
    here = browser.driver.switch_to
    for letter in "TRI":
        here.active_element.send_keys(letter)
    assert value_of(browser) == "TRI"

    here.active_element.send_keys(Keys.ARROW_LEFT)
    here.active_element.send_keys("L")
    assert value_of(browser) == "TR[I>L]"
    here.active_element.send_keys(Keys.ARROW_DOWN)
    assert here.active_element.get_attribute("data-act") == "sure"
    here.active_element.send_keys(Keys.TAB)
    here.active_element.send_keys(Keys.ENTER)
    assert re.fullmatch(r"TR\[I>L>\w\]|TRI", value_of(browser))
    here.active_element.send_keys(Keys.ESCAPE)
    assert here.active_element.get_attribute("aria-label") == "Place 3"
    browser.wait(lambda: browser.one(".found .aligned"))
    assert "cell=" not in browser.driver.current_url
    here.active_element.send_keys(Keys.ARROW_RIGHT)
    here.active_element.send_keys(Keys.SPACE)
    here.active_element.send_keys("X")
    assert value_of(browser).endswith(" X")


WRITTEN = (
    ("C", "IL", "R"),
    ("CGOQ", "", "A", "/", "B"),
    ("?", "...", "A", "C~"),
    ("C:7 G:3", "C=G", "CC", "…", "é"),
    ("", "A", "", "", "B&", ""),
)


@pytest.mark.slow
def test_script_and_server_write_places_alike(browser: Browser, served: Served) -> None:
    for places in WRITTEN:
        browser.open(f"{served.address}/marks")
        written = browser.run(
            "const cells = [...document.querySelectorAll('.cells input')];"
            "arguments[0].forEach((text, at) => { cells[at].value = text; });"
            "cells[0].dataset.before = 'x';"
            "cells[0].dispatchEvent(new Event('input', {bubbles: true}));"
            "return document.querySelector('[data-whole]').value;",
            list(places),
        )

        assert written == text_of(Cells(places))


@pytest.mark.slow
def test_the_guided_look_asks_for_a_mark_by_places(
    browser: Browser, served: Served, visitor: Visitor
) -> None:
    piece = visitor.start_box("guided places", "brooch, C catch")[0]
    browser.open(f"{served.address}{piece}/look")
    for _ in range(25):
        asked = browser.one("#part").get_attribute("data-asked")
        if asked == "mark":
            break
        browser.press(browser.one("button[name=dont-know]"))
        browser.wait(lambda asked=asked: browser.one("#part").get_attribute("data-asked") != asked)
    assert asked == "mark"

    cells = browser.all(".cells input")
    browser.run("arguments[0].scrollIntoView({block: 'center'})", cells[0])
    cells[0].click()
    for letter in "CIRO":
        browser.driver.switch_to.active_element.send_keys(letter)
    browser.run("arguments[0].focus()", browser.all(".cells input")[0])
    tap(browser, "or G")
    browser.press(browser.one(".question .pinned button.main"))

    browser.wait(lambda: browser.all(".change"))
    assert marks_kept(served, piece) == ["[C>G]IRO"]


@pytest.mark.slow
def test_places_work_without_scripts(served: Served, visitor: Visitor) -> None:
    piece = visitor.start_box("places without scripts", "brooch")[0]
    with browsing(PHONE, scripts=False) as plain:
        open_letters(plain, f"{served.address}{piece}")
        for cell, letters in zip(plain.all(".cells input"), ("C", "IL", "R", "O"), strict=False):
            cell.send_keys(letters)
        assert plain.one(".without summary").is_displayed()
        plain.press(plain.one(".by-letters button.main"))
        plain.wait(lambda: plain.one("#signed"))
        assert marks_kept(served, piece) == ["C[I>L]RO"]

        plain.open(f"{served.address}/marks?read=TR%3FFARI")
        plain.all(".cells input")[2].clear()
        plain.all(".cells input")[2].send_keys("IL")
        plain.press(plain.button("Find"))
        plain.wait(lambda: plain.one(".found .aligned"))
        assert value_of(plain) == "TR[I>L]FARI"


@pytest.mark.slow
def test_axe_finds_nothing_where_a_place_is_open(browser: Browser, served: Served) -> None:
    """WCAG 2.2 A and AA and axe-core's best practices, with look-alikes offered."""
    source = axe_source()
    found = []
    for scheme in ("light", "dark"):
        browser.scheme(scheme)
        browser.open(f"{served.address}/marks?read=%5BC%3EG%5DIRO")
        browser.run("document.querySelector('.cells input').focus()")
        browser.run(source)
        found += browser.driver.execute_async_script(
            "const done = arguments[0]; axe.run(document).then((r) =>"
            " done(r.violations.map((v) => v.id + ': ' + v.nodes.map((n) => n.target))));"
        )
    browser.scheme("light")

    assert found == []
