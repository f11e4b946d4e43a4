"""The next look of a piece that is not kept yet: answered on its page, undone, kept with it."""

from __future__ import annotations

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import parse_qsl, urlsplit

import pytest
from shipped_base import shipped_base
from web_browsing import PHONE, browsing
from web_hostile import ATTACKS
from web_serving import Served, Visitor, serving

from markrules.catalogue.store import Catalogue
from markrules.web.desk import Refused
from markrules.web.unkept import address_with, answers_of, still_of

NOTE = "brooch, trombone catch, faceted glass stones, marked FEN?ICK"
SEEN = "fair back-texture=rough-cast"
UNKNOWN = "dont-know subject"


class Elements(HTMLParser):
    """The elements of a page by name, and the names of all attributes."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.names: list[str] = []
        self.attributes: set[str] = set()
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.names.append(tag)
        self.attributes.update(name for name, _ in attrs)


def words(page: str) -> str:
    return " ".join(re.sub(r"<[^>]*>", " ", page).split())


def page_of(visitor: Visitor, *answers: str, note: str = NOTE) -> str:
    given = [("note", note), *(("answer", each) for each in answers)]
    return visitor.get("/note", params=given).text


def made(page: str) -> str:
    found = re.search(r'id="made"[^>]*>([^<]+)<', page)
    assert found is not None
    return found[1]


def asked(page: str) -> str:
    found = re.search(r'<p class="ask">([^<]+)<', page)
    assert found is not None
    return found[1]


def test_an_answer_moves_the_years_and_asks_the_next(visitor: Visitor) -> None:
    before, after = page_of(visitor), page_of(visitor, SEEN)

    assert made(before) != made(after)
    assert asked(before) != asked(after)
    assert f"moved from {made(before)} to {made(after)}" in words(after)
    assert "back texture: rough cast fair" in words(after)


def test_what_is_posted_by_the_form_becomes_an_address_to_load_again(visitor: Visitor) -> None:
    """Without a script the form goes to its address, and is sent on to that of its answers."""
    given = {"note": NOTE, "answer": UNKNOWN, "feature": "back-texture", "value": "rough-cast"}
    answer = visitor.get("/note", params={**given, "certainty": "fair"})

    assert parse_qsl(urlsplit(str(answer.url)).query) == [
        ("note", NOTE),
        ("answer", UNKNOWN),
        ("answer", SEEN),
    ]
    assert made(answer.text) == made(page_of(visitor, SEEN))


@pytest.mark.parametrize("more", [{"value": "none"}, {"dont-know": "yes"}])
def test_none_and_not_known_are_answers_too(visitor: Visitor, more: dict[str, str]) -> None:
    given = {"note": NOTE, "feature": "back-texture", **more}
    page = visitor.get("/note", params=given).text

    assert asked(page) != asked(page_of(visitor))
    told = "back texture: none" if "value" in more else "back texture: not known"
    assert told in words(page)


def test_the_way_back_of_each_answer_leaves_the_others(visitor: Visitor) -> None:
    page = page_of(visitor, UNKNOWN, SEEN)
    ways = [unescape(each) for each in re.findall(r'<a data-part href="([^"]+)"[^>]*>Take', page)]

    assert [parse_qsl(urlsplit(each).query)[1:] for each in ways] == [
        [("answer", SEEN)],
        [("answer", UNKNOWN)],
    ]
    assert made(visitor.get(ways[1]).text) == made(page_of(visitor))


def test_the_piece_is_kept_with_its_answers_and_reads_as_before(
    visitor: Visitor, served: Served
) -> None:
    before = page_of(visitor, SEEN, UNKNOWN, "sure hinge=none")
    form = before[before.index('<form method="post" action="/note"') :].partition("</form>")[0]
    answers = re.findall(r'name="answer" value="([^"]*)"', form)
    sent = {"note": NOTE, "name": "kept with answers", "answer": answers}
    kept = visitor.post("/note", sent)

    assert kept.url.path.startswith("/piece/")
    assert made(kept.text) == made(before)
    assert asked(kept.text) == asked(before)
    assert re.findall(r'<p class="verdict">.*', kept.text) == re.findall(
        r'<p class="verdict">.*', before
    )
    with Catalogue(served.catalogue) as catalogue:
        piece = catalogue.pieces.by_uid(kept.url.path.rpartition("/")[2])
        seen = {
            (each.observation.feature, each.observation.value, each.observation.certainty)
            for each in catalogue.log.seen_on(piece)
        }
        assert ("back-texture", "rough-cast", "fair") in seen
        assert catalogue.log.passed_on(piece) == ("subject",)


def test_answers_go_with_a_note_that_was_mended_and_not_with_another(visitor: Visitor) -> None:
    given = {"answer": SEEN, "before": NOTE}
    mended = visitor.get("/note", params={**given, "note": f"{NOTE}, one stone missing"}).text
    other = visitor.get("/note", params={**given, "note": "a ring with a blue stone"})

    assert "back texture: rough cast" in words(mended)
    assert "back texture" not in words(other.text)
    assert "left out" in words(other.text)
    assert "answer" not in str(other.url)


@pytest.mark.parametrize(
    "answer",
    ["", "sure", "sure catch", "sure catch=blurgh", "dont-know blurgh", "mostly catch=rollover"],
)
def test_what_no_page_has_written_is_refused(visitor: Visitor, answer: str) -> None:
    told = visitor.get("/note", params={"note": NOTE, "answer": answer})

    assert told.status_code == 400
    assert "Traceback" not in told.text


def test_no_more_answers_than_a_piece_can_have() -> None:
    with pytest.raises(Refused, match="41 answers"):
        answers_of(shipped_base(), [("answer", f"sure size={each}") for each in range(41)])


@pytest.mark.parametrize("attack", ATTACKS)
def test_hostile_answers_stay_text(visitor: Visitor, attack: str) -> None:
    clean = " ".join(attack.split())
    note = f"brooch {clean}"
    page = visitor.get("/note", params={"note": note, "feature": "mark", "value": clean})
    bad = visitor.get("/note", params={"note": note, "answer": f"sure {clean}"})

    assert {page.status_code, bad.status_code} <= {200, 400}
    for each in (page, bad):
        held = Elements(each.text)
        assert held.names.count("script") == Elements(page_of(visitor)).names.count("script")
        assert not {"iframe", "img"} & set(held.names)
        assert not any(name.startswith("on") for name in held.attributes)


def test_an_address_holds_its_answers_whatever_is_in_them() -> None:
    base = shipped_base()
    given = [("answer", f"sure mark={each}") for each in ("A&B", "A=B", "?RIF...", "É+ %20")]
    answers = answers_of(base, given)
    address = address_with("note & more", answers)

    assert answers_of(base, parse_qsl(urlsplit(address).query)) == answers
    assert [each.seen[0].value for each in answers] == ["A&B", "A=B", "?RIF...", "É+ %20"]


def test_a_note_is_still_the_same_where_half_of_its_words_are() -> None:
    assert still_of("brooch, gilt, C catch", "brooch, gilt, tube hinge")
    assert not still_of("ring, silver", "brooch, gilt, tube hinge")
    assert still_of("anything", "")


def test_numbered_pieces_are_told_apart_and_kept_apart(visitor: Visitor, served: Served) -> None:
    note = "1. brooch, rollover catch\n2. ring <b>, marked 925"
    page = visitor.get("/note", params={"note": note}).text
    kept = visitor.post("/note", {"note": note, "name": "numbered"})

    assert "look like 2 pieces" in words(page)
    assert made_of(visitor, page) == [
        made(page_of(visitor, note=each))
        for each in ("brooch, rollover catch", "ring <b>, marked 925")
    ]
    assert "b" not in Elements(page.partition("numbered")[2].partition("</bdi>")[0]).names
    assert kept.url.path.startswith("/box/")
    with Catalogue(served.catalogue) as catalogue:
        box = catalogue.boxes.named("numbered")
        notes = [each.note for each in catalogue.pieces.all(box)]
    assert notes == ["brooch, rollover catch", "ring <b>, marked 925"]


def made_of(visitor: Visitor, page: str) -> list[str]:
    """The years of each piece behind its link, on the page that the link leads to."""
    ways = re.findall(r'<li><a href="(/note[^"]+)"', page)
    return [made(visitor.get(unescape(each)).text) for each in ways]


@pytest.mark.slow
def test_on_a_phone_answers_are_tapped_undone_and_kept(tmp_path: Path) -> None:
    with serving(tmp_path) as running, browsing(PHONE) as browser:
        browser.open(running.address)
        browser.write("textarea[name=note]", NOTE)
        browser.press(browser.button("Read it"))
        browser.wait(lambda: browser.one("#made"))
        first = browser.one("#made").text
        browser.press(browser.all("#part button.answer")[1])
        browser.wait(lambda: browser.all(".chip a"))
        second = browser.one("#made").text
        told = browser.one("#told").text
        question = browser.one("#part .ask").text
        browser.run("history.back()")
        browser.wait(lambda: not browser.all(".chip a") and browser.one("#made"))
        undone = browser.one("#made").text
        browser.one("body").send_keys("2")
        browser.wait(lambda: browser.all(".chip a"))
        by_key = browser.one("#made").text
        browser.one("body").send_keys("u")
        browser.wait(lambda: not browser.all(".chip a"))
        taken_back = browser.one("#made").text
        browser.one("body").send_keys("2")
        browser.wait(lambda: browser.all(".chip a"))
        browser.write("input[name=name]", "attic tin")
        browser.press(browser.button("Put it into the box"))
        browser.wait(lambda: browser.one("#answer .front, #seen-head"))

        assert first != second
        assert second in told
        assert (undone, by_key, taken_back) == (first, second, first)
        assert browser.made == second
        assert browser.one(".next .ask").text == question
        assert browser.complaints() == []
