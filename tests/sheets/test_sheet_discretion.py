"""People's names and streets leave with a sheet only where they are asked for."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from shipped_base import shipped_base
from together import every_case

from markrules.language.roles import OF_PEOPLE
from markrules.language.tree import Wording
from markrules.sheets.content import content
from markrules.sheets.discretion import forms_of, without_people
from markrules.sheets.exports.linked_art import linked_art
from markrules.sheets.exports.schema_org import schema_org
from markrules.sheets.exports.shared import exported
from markrules.sheets.exports.table import row
from markrules.sheets.labels import Label, labels_page
from markrules.sheets.listing import listing
from markrules.sheets.matter import Owner

HIDDEN = ("Invented Observer", "Imogen Madeup", "12 Elm Street", "Mrs. Nobody")


@pytest.fixture
def owned(make_matter):
    """A piece whose record is full of people."""
    return make_matter(
        "brooch, rollover catch, gold tone",
        owners=(Owner("1950", "12 Elm Street, Springfield", "Imogen Madeup", "a gift"),),
        told="Imogen Madeup of 12 Elm Street had it from Mrs. Nobody in 1950.",
        of_set="Invented set",
    )


def _everything(matter) -> str:
    piece = exported(matter)
    made = [content(matter), linked_art(piece), schema_org(piece), row(piece)]
    return json.dumps(made, ensure_ascii=False)


def test_people_and_streets_stay_at_home(owned) -> None:
    said = _everything(owned)
    assert [each for each in HIDDEN if each in said] == []
    for kept in ("Springfield", "a gift", "1950", "Invented set"):
        assert kept in said


def test_they_are_shown_where_asked_for(owned) -> None:
    said = _everything(replace(owned, people=True))
    assert [each for each in HIDDEN if each not in said] == []


def test_the_fingerprint_is_of_the_whole_record(owned) -> None:
    assert content(owned)["digest"] == content(replace(owned, people=True))["digest"]


@every_case(
    ("text", "left"),
    [
        ("from 221B Baker Street", "from [an address]"),
        ("bought of Dr. Invented Person", "bought of [a person]"),
        ("Hauptstraße 12, Wien", "[an address], Wien"),
        ("12 pearls in a row", "12 pearls in a row"),
        ("made in 1950, two stones missing", "made in 1950, two stones missing"),
    ],
)
def test_what_is_taken_out(text: str, left: str) -> None:
    assert without_people(forms_of(shipped_base()), text) == left


def test_law_for_sellers_is_no_part_of_a_sheet(make_matter) -> None:
    sheet = content(make_matter("brooch, ivory, coral"))
    assert "law" not in {each["level"] for each in sheet["cautions"]}


def test_a_name_in_the_note_leaves_by_none_of_its_ways(make_matter) -> None:
    """As told, as words that no rule knows, and as the note; a listing has it neither."""
    matter = make_matter(
        "brooch, bought by Mrs Eldreda Harmsworthy of 14 Mill Lane in 1956, gold tone, leaf,"
        " Harmsworthy had it from Paris"
    )

    said = _everything(matter) + listing(matter).text()
    assert [each for each in ("Harmsworthy", "Eldreda", "Mill Lane") if each in said] == []
    assert "Harmsworthy" in _everything(replace(matter, people=True))


def test_a_sheet_for_buyers_holds_no_word_for_sellers(make_matter) -> None:
    said = json.dumps(content(make_matter("ring, marked 9CT, Chester, 2.3 g, bakelite")))

    for words in ("May be said", "Say what you", "to sell unmarked", "do not sell"):
        assert words not in said


@every_case(
    ("text", "shown"),
    [
        ("my grandmother Ada Hale wore it", "my grandmother [a person] wore it"),
        ("It belonged to Ada Hale.", "It belonged to [a person]."),
        ("Granny Hale's, from my friend Ada", "Granny [a person], from my friend [a person]"),
        ("inherited from A. B. Hale in 1931", "inherited from [a person] in 1931"),
        ("my late husband bought it", "my late husband bought it"),
        ("Mother Of Pearl brooch, mother of pearl", "Mother Of Pearl brooch, mother of pearl"),
        ("bought from Harrods", "bought from Harrods"),
        ("Gran's Victorian brooch, aged", "Gran's Victorian brooch, aged"),
    ],
)
def test_names_behind_kinship_and_ownership_stay_at_home(text: str, shown: str) -> None:
    assert without_people(forms_of(shipped_base()), text) == shown


def test_no_part_of_a_name_or_a_street_is_left_among_unknown_words(make_matter) -> None:
    """A number and a name of a street, cut off by the comma before it, said where she lived."""
    note = "brooch, my grandmother Edith Marlow of 14 Larch Street wore it in 1931, paste"
    said = json.dumps(content(make_matter(note, told=note)))
    assert not [each for each in ("Edith", "Marlow", "Larch", "14 ") if each in said]


def test_a_label_names_nobody() -> None:
    label = Label("abc", "tin", 1, "brooch, my grandmother Ada Hale wore it")
    made = labels_page(shipped_base(), [label])
    assert "my grandmother [a person]" in made
    assert "Ada" not in made


def test_another_word_in_the_rules_hides_another_name() -> None:
    """Own rules add a word of kinship and a street; what they take back names nobody."""
    base = shipped_base()
    text = "from Oma Ada Hale of 14 Long Larch Steeg, my cousin Ida Hale"
    assert without_people(forms_of(base), text) == (
        "from Oma Ada Hale of 14 Long Larch Steeg, my cousin [a person]"
    )
    own = {
        "oma": Wording("oma", "elder", ("oma",)),
        "steeg": Wording("steeg", "street-noun", ("steeg",)),
    }
    kept = {name: each for name, each in base.wordings.items() if each.role != "kin"}
    other = replace(base, wordings={**kept, **own})
    assert without_people(forms_of(other), text) == (
        "from Oma [a person] of [an address], my cousin Ida Hale"
    )


def test_without_such_words_nothing_is_hidden() -> None:
    text = "Mrs Ada Hale of 14 Larch Street"
    bare = replace(shipped_base(), wordings={})
    assert without_people(forms_of(bare), text) == text


@every_case(
    ("cut", "told"),
    [
        ("In Memory of M.K. 1868", "Engraved “In Memory of M.K. 1868”."),
        ("Mizpah", "Engraved “Mizpah”."),
        ("To Imogen from Ada 1902", "Engraved “To [a person] from [a person] 1902”."),
        ("Imogen Madeup", "Engraved “[a person]”."),
    ],
)
def test_an_inscription_is_told_and_names_in_it_where_asked_for(
    make_matter, cut: str, told: str
) -> None:
    matter = make_matter(f'brooch, gold tone, engraved "{cut}"')
    assert listing(matter).text().count("ngraved") == 1
    assert told in listing(matter).text()
    assert "Imogen" not in _everything(matter)
    asked = replace(matter, people=True)
    assert f"Engraved “{cut}”." in listing(asked).text()
    assert cut in _everything(asked)


@every_case("role", OF_PEOPLE)
def test_each_word_of_the_rules_hides_what_it_is_for(role: str) -> None:
    """Every word in the place that its role has: none is spelled in a form that never fits."""
    base = shipped_base()
    shapes = {
        "address-form": ("{} Hale had it", "[a person] had it"),
        "whose": ("{} cousin Ada Hale", "{} cousin [a person]"),
        "kin": ("my {} Ada Hale", "my {} [a person]"),
        "elder": ("{} Ada Hale", "{} [a person]"),
        "had-by": ("it, {} Ada Hale", "it, {} [a person]"),
        "street-noun": ("at 14 larch {}, up", "at [an address], up"),
        "street-short": ("at 14 Larch {}, up", "at [an address], up"),
        "number-street": ("at 14 {} du larch", "at [an address]"),
        "street-number": ("at {} della larch 14, up", "at [an address], up"),
        "street-end": ("at Larch{} 14a, up", "at [an address], up"),
    }
    text, shown = shapes[role]
    words = [each for w in base.wordings.values() if w.role == role for each in w.words]
    assert words
    for word in words:
        assert without_people(forms_of(base), text.format(word)) == shown.format(word)
        dashed = word.replace(" ", "-")
        assert without_people(forms_of(base), text.format(dashed)) == shown.format(dashed)


def test_what_does_not_fit_names_nobody_who_was_told_of(make_matter) -> None:
    note = "brooch, made by my great aunt Eliza Bantry of 14 Larch Street, safety catch, from 1790"
    data = content(make_matter(note))
    assert data["concluded"]["against"]
    told = repr(data)
    assert "Bantry" not in told
    assert "Larch" not in told
