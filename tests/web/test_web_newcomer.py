"""The first minute of somebody new to the page, on a phone, and what stood in the way."""

from __future__ import annotations

from pathlib import Path

import pytest
from web_browsing import PHONE, browsing
from web_serving import Served, Visitor, serving

from markrules.inference.engine import NO_EVIDENCE

HALF_READ = "brooch, trombone catch, faceted glass stones, marked FEN?ICK"


@pytest.mark.slow
def test_a_piece_is_read_at_once_and_then_kept(tmp_path: Path) -> None:
    """Two taps to the years and the reason, two more to its own page and its question."""
    with serving(tmp_path) as running, browsing(PHONE) as browser:
        browser.open(running.address)
        browser.write("textarea[name=note]", HALF_READ)
        browser.press(browser.button("Read it"))
        browser.wait(lambda: browser.one("#made"))
        years = browser.one("#made").text
        why = browser.one("[aria-labelledby=why]").text
        next_look = browser.one(".ask").text

        browser.write("input[name=name]", "attic tin")
        browser.press(browser.button("Put it into the box"))
        browser.wait(lambda: browser.one("#answer"))

        assert "trombone catch" in why
        assert browser.made == years
        assert browser.one(".next .ask").text == next_look
        way = {each.get_attribute("hash") for each in browser.all(".answer-card .jumps a")}
        assert way == {"#why", "#worth-head", "#seen-head", "#photos-head"}
        assert all(browser.all(each) for each in way)
        assert browser.complaints() == []


@pytest.mark.slow
def test_a_name_that_is_taken_is_told_at_its_field(tmp_path: Path) -> None:
    with serving(tmp_path) as running, browsing(PHONE) as browser:
        running.visitor().post("/boxes", {"name": "taken"})
        browser.open(f"{running.address}/note?note=brooch, jet")
        browser.write("input[name=name]", "taken")
        browser.press(browser.button("Put it into the box"))
        told = browser.wait(lambda: browser.one("[role=alert]").text)
        field = browser.one("input[name=name]")

        assert "taken" in told
        assert field.get_attribute("value") == "taken"
        assert field.get_attribute("aria-describedby") == "wrong"
        assert browser.run("return document.activeElement.name") == "name"
        assert browser.one("textarea[name=note]").get_attribute("value") == "brooch, jet"


@pytest.mark.slow
def test_no_word_of_an_answer_is_torn(served: Served) -> None:
    """On the narrowest phone a long word goes on behind a hyphen, where it may be parted at all."""
    piece = served.visitor().start_box("narrow", "brooch")[0]
    with browsing((320, 740)) as browser:
        browser.open(f"{served.address}{piece}/look?passed=mark")
        for each in browser.all(".kinds"):
            browser.run("arguments[0].open = true", each)
        torn = browser.run(
            "return [...document.querySelectorAll('.answer b')]"
            ".filter((each) => getComputedStyle(each).hyphens !== 'auto').length"
        )

    assert torn == 0


@pytest.mark.slow
def test_what_stays_in_reach_fits_the_narrowest_phone(served: Served) -> None:
    piece = served.visitor().start_box("in reach", "brooch")[0]
    with browsing((320, 640)) as browser:
        for page in ("/look?passed=mark", "/look", ""):
            browser.open(f"{served.address}{piece}{page}")
            beyond = browser.run(
                "const bar = document.querySelector('.pinned').getBoundingClientRect();"
                "return [...document.querySelectorAll('.pinned > *')].filter((each) =>"
                " each.getBoundingClientRect().right > bar.right + 1"
                " || each.scrollWidth > each.clientWidth + 1)"
                ".map((each) => each.textContent)"
            )
            assert beyond == [], page


def test_a_half_read_mark_of_nobody_listed_is_no_dead_end(
    adding: Served,
) -> None:
    visitor = adding.visitor()
    piece = visitor.start_box("half read", HALF_READ)[0]
    page = visitor.get(piece).text
    filled = {"name": "Fenwick Works", "mark": "FENWICK", "years": "1905-1930"}
    visitor.post(f"{piece}/know-maker", filled)
    known = visitor.get(piece).text

    assert "read in part: <strong>most likely of a maker not in these rules" in page
    assert 'href="/marks?read=FEN%3FICK"' in page
    assert "The whole mark" in page
    assert "Fenwick Works" in known


def test_nothing_is_said_twice(visitor: Visitor) -> None:
    page = visitor.get(visitor.start_box("bare", "ring")[0]).text

    assert page.count(NO_EVIDENCE) == 1
    assert "Nothing seen yet" not in page
    assert "you have not yet told your fee, postage" in page
    assert 'set <a href="/figures">your figures</a>.' in page


def test_of_a_piece_that_is_sold_nothing_is_asked(visitor: Visitor) -> None:
    piece = visitor.start_box("was sold", "brooch, jet")[0]
    visitor.post(f"{piece}/sold", {"price": "7 EUR", "day": "2026-05-01"})
    page = visitor.get(piece).text

    assert "there is nothing to decide" in page
    assert "Keep this decision" not in page
    assert 'id="next"' not in page
    assert "What it would be worth" in page


def test_an_empty_box_shows_no_list(visitor: Visitor) -> None:
    box = visitor.post("/boxes", {"name": "nothing in it"}).url.path
    page = visitor.get(box).text

    assert 'class="tray bare"' in page
    assert "Go to number" not in page
    visitor.post(f"{box}/pieces", {"notes": "ring"})
    assert 'class="tray"' in visitor.get(box).text


@pytest.mark.slow
def test_the_years_are_seen_at_once_where_a_word_is_not_understood(
    served: Served, visitor: Visitor
) -> None:
    """On a phone what was understood is folded: it stood above the years, and pushed them away."""
    note = "my grandmothers brooch, gold colored, blue stones, one is missing, blurgh on the back"
    piece = visitor.start_box("seen at once", note)[0]
    with browsing(PHONE) as browser:
        for path in (f"/note?note={note}", piece):
            browser.open(served.address + path)
            bottom = browser.run(
                "return document.querySelector('.made').getBoundingClientRect().bottom"
            )
            folded, account = browser.text, browser.one(".account").text
            browser.press(".account summary")
            told = browser.one(".account").text

            assert bottom < PHONE[1]
            assert "Not understood" in folded
            assert "blurgh" in folded
            assert "1 guessed" in folded
            assert "piece: brooch" not in account
            assert "piece: brooch" in told
            assert "missing stones" in told
