"""The categories are those that the International Council of Museums publishes
(archives.icom.museum/object-id/heritage/object.html, 1.1 to 1.11)."""

from __future__ import annotations

from markrules.sheets.matter import SheetMatter
from markrules.sheets.object_id import completeness

PUBLISHED = {
    "1.1": "Photographs",
    "1.2": "Type of Object",
    "1.3": "Measurements",
    "1.4": "Materials & Techniques",
    "1.5": "Inscriptions & Markings",
    "1.6": "Date or Period",
    "1.7": "Maker",
    "1.8": "Subject",
    "1.9": "Title",
    "1.10": "Distinguishing Features",
    "1.11": "Description",
}


def test_the_categories_are_those_of_the_standard(whole: SheetMatter) -> None:
    found = {each.number: each.name.replace(" and ", " & ") for each in completeness(whole)}
    assert {k: v.casefold() for k, v in found.items()} == {
        k: v.casefold() for k, v in PUBLISHED.items()
    }


def test_a_whole_record_lacks_nothing(whole: SheetMatter) -> None:
    assert [each.name for each in completeness(whole) if each.missing] == []


def test_an_empty_record_lacks_everything_and_asks_for_it(make_matter) -> None:
    found = completeness(make_matter(""))
    assert all(each.missing and each.ask.endswith(("?", "say so.")) for each in found)


def test_each_observation_fills_its_category(make_matter) -> None:
    def filled(note: str) -> set[str]:
        return {each.number for each in completeness(make_matter(note)) if not each.missing}

    assert {"1.2", "1.11"} <= filled("brooch")
    assert "1.3" in filled("brooch, 5 cm")
    assert "1.4" in filled("brooch, brass")
    assert "1.5" in filled("brooch, marked AUSTRIA")
    assert "1.5" in filled("brooch, unmarked")  # looked for, and none: that is on record too
    assert "1.8" in filled("brooch, flower")
    assert "1.10" in filled("brooch, missing stones")
    assert filled("brooch").isdisjoint({"1.1", "1.3", "1.4", "1.5", "1.8", "1.9", "1.10"})
