"""A sheet and a listing say what their years rest on: also on a year that was only told."""

from __future__ import annotations

from markrules.sheets.content import content
from markrules.sheets.listing import listing


def test_a_year_of_having_is_told_and_not_seen(make_matter) -> None:
    matter = make_matter("gold tone necklace, worn in 1947")
    sheet = content(matter)

    assert sheet["concluded"]["grounds"] == "what was seen and told"
    assert [each["text"] for each in sheet["told"]["lines"]] == ["worn in 1947"]
    assert "1947" not in str(sheet["seen"])
    assert "by what is seen on it and what was told of it" in listing(matter).text()


def test_what_is_only_told_of_a_part_that_is_seen_is_no_ground(make_matter) -> None:
    matter = make_matter("gold tone brooch, rollover catch, said to have had a C catch")

    assert content(matter)["concluded"]["grounds"] == "what was seen"
    assert "by what is seen on it (" in listing(matter).text()
