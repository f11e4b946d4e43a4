"""A part that a piece has not got by nature is none that it lost."""

import pytest
from shipped_base import shipped_reader

from markrules.appraisal.condition import condition_of
from markrules.reading.reader import Request


def _faults(note: str) -> set[tuple[str, str]]:
    found = shipped_reader().understand(note)
    return {(each.value, each.state) for each in found.observations if each.feature == "fault"}


@pytest.mark.parametrize(
    "note",
    [
        "sautoir of glass beads, no clasp",
        "54 inches, no clasp, glass beads",
        "rope of pearls with no clasp",
        "bracelet, no clasp, stretchy",
        "no clasp. stretchy bracelet of wooden beads",
        "bangle no clasp",
    ],
)
def test_a_denied_clasp_is_no_fault_where_there_is_none_by_nature(note: str) -> None:
    assert ("missing-clasp", "seen") not in _faults(note)
    assert ("missing-clasp", "ruled-out") in _faults(note)


@pytest.mark.parametrize(
    "note",
    [
        "sautoir of glass beads, clasp missing",
        "rope of pearls, missing clasp",
        "bangle, broken clasp",
        "link bracelet, no clasp",
        "hinged bangle, no clasp",
        "choker of crystal beads, no clasp",
    ],
)
def test_a_clasp_that_is_gone_stays_a_fault(note: str) -> None:
    assert ("missing-clasp", "seen") in _faults(note)


def test_the_account_says_that_no_clasp_is_none_missing() -> None:
    account = shipped_reader().understand("sautoir of glass beads, no clasp").account
    assert [each.meaning for each in account if each.words == "no clasp"] == [
        "fault: not missing clasp"
    ]


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("sautoir of glass beads, no clasp", False),
        ("sautoir of glass beads, no clasp, no chips", True),
        ("choker of crystal beads, no clasp", True),
    ],
)
def test_none_by_nature_says_nothing_of_the_condition(note: str, told: bool) -> None:
    reader = shipped_reader()
    reading = reader.read(Request(note=note, next_looks=0))
    assert condition_of(reader.base, reading).stated is told
