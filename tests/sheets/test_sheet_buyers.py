"""What a buyer reads on a sheet: flaws first-hand, metal no surer than it is, no bench work."""

from __future__ import annotations

from dataclasses import replace

import pytest
from together import every_case

from markrules.sheets.content import content
from markrules.sheets.exports.shared import borne_materials
from markrules.sheets.matter import Owner
from markrules.sheets.printing import sheet_page


def _rows(made: dict[str, object]) -> dict[str, tuple[str, str, str]]:
    seen = made["seen"]
    assert isinstance(seen, dict)
    return {each["what"]: (each["said"], each["words"], each["sure"]) for each in seen["rows"]}


def test_a_fault_is_told_in_the_words_of_who_saw_it(make_matter) -> None:
    """`cut shank` stands for cut, sized and worn alike: this one is worn."""
    made = content(make_matter("ring, gold tone, shank worn thin, one stone missing at the top"))
    assert [each["say"] for each in made["seen"]["faults"]] == [
        "One stone missing at the top.",
        "Shank worn thin.",
    ]
    faults = [each["said"] for each in made["seen"]["rows"] if each["what"] == "fault"]
    assert faults == ["shank worn thin", "one stone missing at the top"]


@every_case(
    ("note", "what", "sure"),
    [
        ("brooch, sterling, enamel", "metal", "as noted, not proved"),
        ("brooch, sterling, marked STERLING, enamel", "metal", ""),
        ("cufflinks, silver, hallmarked Birmingham 1978", "metal", ""),
        ("brooch, gold tone, moonstone", "gem", "as noted, not proved"),
        ("brooch, gold tone, moonstone, stones tested", "gem", ""),
        ("brooch, gold tone, perhaps moonstone", "gem", "guess"),
        ("brooch, gold tone, moonstone", "finish", ""),
    ],
)
def test_a_material_that_nothing_proves_is_only_noted(
    make_matter, note: str, what: str, sure: str
) -> None:
    """As in a listing (16 CFR 23.3, 23.5, 23.25): a mark, a hallmark or a test bears the name."""
    rows = _rows(content(make_matter(note)))
    assert rows[what][2] == sure


def test_what_is_of_no_told_kind_is_named_as_noted(make_matter) -> None:
    rows = _rows(content(make_matter("brooch, blue enamel, boxed, plastic")))
    assert rows["packaging"][:2] == ("boxed", "")
    assert not [said for said, _, _ in rows.values() if "unnamed" in said or "no told" in said]


def test_dangers_of_the_bench_are_not_on_a_sheet(make_matter) -> None:
    made = content(make_matter("bangle, bakelite, one stone missing"))
    cautions = " ".join(each["say"] for each in made["cautions"])
    assert cautions
    assert "Glues" not in cautions
    assert "asbestos" not in cautions


def test_an_export_names_a_material_of_no_kind_told_without_words_of_the_rules(
    make_matter,
) -> None:
    assert borne_materials(make_matter("beads, plastic, blue enamel")) == [
        "bead",
        "plastic",
        "enamel",
    ]


def test_what_was_told_within_a_sentence_is_told_once(make_matter) -> None:
    note = "brooch, shell cameo, told it was grandmother's from Naples about 1900"

    lines = content(make_matter(note))["told"]["lines"]

    assert [each["text"] for each in lines] == ["told it was grandmother's from Naples about 1900"]


@pytest.mark.parametrize(
    ("note", "asked_for"),
    [("ring marked 18K", True), ("ring, marked 18K, tests as 18K gold at a jeweller", False)],
)
def test_a_test_is_advised_only_where_none_was_made(
    make_matter, note: str, asked_for: bool
) -> None:
    said = " ".join(each.say for each in make_matter(note).reading.cautions)

    assert ("Before money" in said) == asked_for


def test_earrings_are_told_of_on_earrings_alone(make_matter) -> None:
    assert not make_matter("brooch, gilt, new screws").reading.misleading
    assert make_matter("earrings, gilt, new screws").reading.misleading


def test_how_much_a_clue_weighs_is_told_by_its_trust_and_in_no_unit(make_matter) -> None:
    page = sheet_page(make_matter("brooch, rollover catch, AB rhinestones"))
    assert "(strong)" in page
    assert " bits" not in page


def test_a_sheet_speaks_of_no_rules_and_no_fields(make_matter) -> None:
    """A buyer is told what is known of the piece, and not how it was entered."""
    matter = make_matter("brooch, marked NOVAK, gold tone")
    fields = tuple(
        replace(each, observation=replace(one, words=f"{one.feature}={one.value}"))
        for each in matter.seen
        for one in (each.observation,)
    )
    made = content(replace(matter, seen=fields))
    assert "these rules" not in str(made)
    assert not [words for _, words, _ in _rows(made).values() if "=" in words]


def test_an_empty_step_is_no_chain_of_ownership(make_matter) -> None:
    owners = (Owner("", "", "", ""), Owner("", "a fair", "", ""))
    bare = replace(make_matter("brooch"), owners=owners)
    assert [step["how"] for step in content(bare)["told"]["chain"]] == ["a fair"]


@every_case(
    ("note", "called"),
    [
        ("parure, necklace bracelet and earrings, AB stones", "Parure of necklace, bracelet and"),
        ("parure: necklace, bracelet and brooch, AB stones", "Parure of necklace, bracelet and"),
        ("parure, AB stones", "Parure"),
        ("brooch, AB stones", "Brooch"),
    ],
)
def test_a_set_is_headed_by_its_pieces(make_matter, note: str, called: str) -> None:
    assert content(make_matter(note))["heading"].startswith(called)
