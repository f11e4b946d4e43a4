"""A legible mark that no list holds: told first on the page of its piece, and added with a form."""

from __future__ import annotations

import datetime
import threading
from pathlib import Path
from urllib.parse import unquote

import pytest
from shipped_base import shipped_base
from web_browsing import PHONE, browsing
from web_hostile import ATTACKS
from web_serving import Served, Visitor, serving

from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules
from markrules.reading.reader import Reader
from markrules.tasks.own_makers import OwnMaker, add_maker

NOVAK = {"name": "Novak Studio", "mark": "NOVAK", "years": "1950-1970", "country": "USA"}
"""The same maker in each test: rules that are new take seconds to be worked out."""


def test_an_unlisted_mark_is_told_with_the_nearest(visitor: Visitor) -> None:
    piece = visitor.start_box("nearly listed", "brooch, marked TRIFARY")[0]
    page = visitor.get(piece).text

    assert "not in these rules" in page
    assert "Nearest listed: &#34;TRIFARI&#34;" in page


def test_an_unlisted_mark_is_told_first(visitor: Visitor) -> None:
    piece = visitor.start_box("unlisted", "brooch, marked NOVAK")[0]
    page = visitor.get(piece).text

    assert "<bdi>NOVAK</bdi>, read in full: <strong>not in these rules</strong>" in page
    assert "No listed mark is near." in page
    assert page.index('id="signed"') < page.index('id="seen"')


def test_the_form_writes_the_maker_and_the_piece_is_read_again(
    adding: Served,
) -> None:
    visitor = adding.visitor()
    piece = visitor.start_box("known", "brooch, marked NOVAK")[0]
    bad = visitor.post(f"{piece}/know-maker", {**NOVAK, "years": "soon"})
    visitor.post(f"{piece}/know-maker", NOVAK)
    known = visitor.get(piece).text
    visitor.post(f"{piece}/forget-maker", {"entry": "novak-studio"})
    again = visitor.get(piece).text

    assert bad.status_code == 400
    assert "is not understood as years" in bad.text
    assert "Novak Studio" in known
    assert "Take it out again" in known
    assert "not in these rules" in again
    assert shipped_base().makers.get("novak-studio") is None


def test_what_is_wrong_stands_at_its_field(adding: Served) -> None:
    visitor = adding.visitor()
    piece = visitor.start_box("amiss", "brooch, marked NOVAK")[0]
    next_year = datetime.date.today().year + 1
    wrong = {
        ("years", "soon"): "is not understood as years",
        ("years", "1990-1950"): "the first year comes after the last",
        ("years", f"1850-{next_year}"): f"{next_year} has not come yet",
        ("name", " "): "the maker&#39;s name is missing",
        ("country", "x" * 201): "characters here; 200 at most",
        ("mark", "..."): "the mark has no letter",
    }
    for (field, value), said in wrong.items():
        filled = {"name": "Novak Studio", "mark": "NOVAK", field: value}
        told = visitor.post(f"{piece}/know-maker", filled, fragment=True)

        assert told.status_code == 400
        assert unquote(told.headers["x-field"]) == field
        assert said.replace("&#39;", "'") in told.text
    this_decade = f"1950-{next_year - 1}"
    kept = visitor.post(f"{piece}/know-maker", {"name": "Novak", "years": this_decade})
    assert kept.status_code == 200


def test_an_undo_takes_the_maker_out_before_any_step(adding: Served, own: Path) -> None:
    """The step before it is that the piece was entered: an undo would take the piece away."""
    visitor = adding.visitor()
    piece = visitor.start_box("undone", "brooch, marked NOVAK")[0]
    visitor.post(f"{piece}/know-maker", NOVAK)
    listed = visitor.get("/past").text
    undone = visitor.post("/undo", {"back": piece}).text
    held = (own / "own-makers.rules").read_text(encoding="utf-8")

    assert "novak studio" in listed
    assert "novak studio is out of your own rules again" in undone
    assert "not in these rules" in undone
    assert "maker " not in held
    assert visitor.get(piece).status_code == 200
    assert "novak studio" not in visitor.get("/past").text

    visitor.post(f"{piece}/know-maker", NOVAK)
    visitor.post(f"{piece}/see", {"words": "rollover catch"})
    later = visitor.post("/undo", {"back": piece}).text
    assert "Taken back: " in later
    assert "Novak Studio" in later
    assert "out of your own rules" in visitor.post("/undo", {"back": piece}).text


def test_of_a_maker_that_the_rules_know_the_page_says_so(adding: Served) -> None:
    visitor = adding.visitor()
    piece = visitor.start_box("beside", "brooch, marked NOVAK")[0]
    filled = {"name": "Napier", "mark": "NOVAK"}
    beside = visitor.post(f"{piece}/know-maker", filled).text
    again = visitor.post(f"{piece}/know-maker", filled).text

    assert "The rules know a Napier, too; yours stands beside it." in beside
    assert "Napier stands in your own rules with that mark already." in again


def test_two_that_are_added_at_once_are_both_kept(tmp_path: Path) -> None:
    base = shipped_base()
    names = [f"Invented Works {letter}" for letter in "ABCDEFGH"]
    adding_all = [
        threading.Thread(target=add_maker, args=(base, OwnMaker(name), tmp_path)) for name in names
    ]
    for each in adding_all:
        each.start()
    for each in adding_all:
        each.join()

    held = (tmp_path / "own-makers.rules").read_text(encoding="utf-8")
    assert all(f'"{name}"' in held for name in names)


@pytest.mark.slow
def test_in_a_browser_the_maker_is_added_and_taken_out_again(adding: Served, own: Path) -> None:
    with browsing(PHONE) as browser:
        piece = adding.visitor().start_box("pressed", "brooch, marked NOVAK")[0]
        browser.open(f"{adding.address}{piece}")
        years = browser.made
        first = browser.one("#signed").text

        browser.press(browser.one("#signed summary"))
        browser.write("#signed input[name=name]", "Novak Studio")
        browser.write("#signed input[name=years]", "1950-1970")
        browser.write("#signed input[name=country]", "USA")
        browser.press(browser.button("Add to my rules"))
        browser.wait(lambda: "Novak Studio" in browser.one("#signed").text, 60)
        known, known_years = browser.one("#signed").text, browser.made
        fits = not browser.run("return document.documentElement.scrollWidth > innerWidth")

        browser.press(browser.button("Take it out again"))
        browser.wait(lambda: "not in these rules" in browser.one("#signed").text, 60)
        again, again_years = browser.one("#signed").text, browser.made
        complaints = browser.complaints()

    assert "NOVAK" in first
    assert "not in these rules" in first
    assert "Known from your own rules." in known
    assert "not in these rules" not in known
    assert known_years != years
    assert (again, again_years) == (first, years)
    assert fits
    assert complaints == []
    assert not list(own.rglob("*novak*"))


def test_names_that_try_to_be_markup_or_rules_are_kept_as_names(tmp_path: Path, own: Path) -> None:
    names = [
        ATTACKS[0],
        ATTACKS[2],
        ATTACKS[4],
        'x"\n\nclue y\n    when catch is safety',
        "../../up",
        "a" * 300,
    ]

    with serving(tmp_path, open_anew=lambda: Reader(shipped_base(), 2026)) as running:
        visitor = running.visitor()
        piece = visitor.start_box("hostile", "brooch, marked TANVALE")[0]
        answers = [
            visitor.post(f"{piece}/know-maker", {"name": name, "mark": "TANVALE"}) for name in names
        ]
        page = visitor.get(piece).text

    base, _ = load([shipped_rules(), own], cache_folder=None, parsed_in=cache_folder())
    added = [base.makers[name] for name in base.makers if name not in shipped_base().makers]
    assert [answer.status_code for answer in answers][-1] == 400  # too long
    assert len(added) == len(names) - 1
    assert [each.title for each in added][:3] == names[:3]
    assert set(base.clues) == set(shipped_base().clues)
    assert [each.name for each in own.iterdir()] == ["own-makers.rules"]
    for answer in (*(answer.text for answer in answers), page):
        assert not any(attack in answer for attack in ATTACKS)


def test_guests_change_no_rules_of_the_owner(shared: Served) -> None:
    visitor = shared.visitor()
    refused = visitor.post("/piece/none/know-maker", {"name": "X", "mark": "X"})

    assert refused.status_code in (302, 303, 401, 403, 404)
