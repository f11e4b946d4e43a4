"""Listing text follows the evidence, and passes the check that others' texts must pass."""

from __future__ import annotations

import re

import pytest
from sheets_notes import NOTES

from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.claims import check_text
from markrules.sheets.listing import listing


@pytest.mark.parametrize("note", NOTES)
@pytest.mark.parametrize("length", [20, 33, 60, 80, 200])
def test_a_title_keeps_its_length(make_matter, note: str, length: int) -> None:
    made = listing(make_matter(note), length)
    assert 0 < len(made.title) <= length


def test_a_title_of_no_length_is_refused(make_matter) -> None:
    with pytest.raises(ValueError, match="20 characters or more"):
        listing(make_matter("brooch"), 5)


@pytest.mark.parametrize("note", NOTES)
def test_the_text_passes_the_claims_check(make_matter, note: str) -> None:
    matter = make_matter(note)
    made = listing(matter)
    left = check_text(matter.base, f"{made.title}. {made.description}", matter.reading)
    assert [flag.words for flag in left] == []


def test_measures_stand_in_both_systems(make_matter) -> None:
    """1 in = 2.54 cm and 1 oz = 28.349523125 g, exactly (agreement of 1959; NIST SP 811)."""
    made = listing(make_matter("brooch, 50.8 mm long, 28.35 g"))
    assert made.measurements == ("length 5.1 cm (2 in)", "weight 28.4 g (1.00 oz)")


def test_wording_follows_the_share_of_the_maker(make_matter) -> None:
    signed = make_matter("earrings, clip backs, signed TRIFARI with crown")
    assert attribution(signed.base, signed.reading).strength == "by"
    unsigned = make_matter("brooch, rhinestones, unsigned")
    assert attribution(unsigned.base, unsigned.reading).words == "unsigned"
    unknown = make_matter("brooch, marked QXZVWJ")
    assert attribution(unknown.base, unknown.reading).strength == "marked"
    silent = make_matter("brooch")
    assert attribution(silent.base, silent.reading).strength == "unknown"


def test_years_are_told_as_sure_as_they_are(make_matter) -> None:
    range_words = date_words(*_parts(make_matter("brooch, AB rhinestones, snap rivets")))
    assert re.fullmatch(r"circa 19\d\d–19\d\d", range_words)
    assert date_words(*_parts(make_matter("brooch"))) == "date not known"


def test_faults_are_said_and_none_is_claimed_where_nobody_looked(make_matter) -> None:
    assert "stones" in listing(make_matter("brooch, missing stones")).condition
    assert "on record" in listing(make_matter("brooch")).condition


def _parts(matter):
    return matter.base, matter.reading
