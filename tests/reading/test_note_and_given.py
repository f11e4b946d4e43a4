"""What a note says and what is given by name: one takes the other's place, or both count."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.reading.observing import observe
from markrules.reading.reader import Request
from markrules.tasks.entering import new_piece

NOTE = "brooch, C catch, one stone missing, marked MONTEL"


@every_case(
    ("given", "stands", "goes"),
    [
        ("mark=STERLING", {"mark=MONTEL", "mark=STERLING", "catch=c-catch"}, set()),
        ("fault=chipped-part", {"fault=missing-stones", "fault=chipped-part"}, set()),
        ("catch=trombone", {"catch=trombone", "fault=missing-stones"}, {"catch=c-catch"}),
        ("fault=none", {"mark=MONTEL"}, {"fault=missing-stones"}),
        ("mark=none", {"fault=missing-stones"}, {"mark=MONTEL"}),
        ("fault=not missing-stones", {"mark=MONTEL"}, {"fault=missing-stones"}),
    ],
)
def test_marks_and_faults_stand_beside_each_other_and_one_catch_goes(
    given: str, stands: set[str], goes: set[str]
) -> None:
    reader = shipped_reader()
    named = (observe(reader.base, given),)

    read = reader.read(Request(NOTE, named, next_looks=0)).observations
    entered = new_piece(reader, NOTE, observations=named).observations

    for seen in (read, entered):
        said = {f"{each.feature}={each.value}" for each in seen if each.state == "seen"}
        assert stands <= said
        assert not goes & said
        assert named[0] in seen


def test_a_feature_s_own_name_goes_before_another_s_word_for_it() -> None:
    base = shipped_reader().base

    assert observe(base, "enamel-work=even-enamel").feature == "enamel-work"
    assert all(
        observe(base, f"{each.name}={each.values[0].name}").feature == each.name
        for each in base.features.values()
        if each.values
    )


@pytest.mark.parametrize(
    ("given", "meaning"),
    [
        ("piece=not brooch", "piece: not brooch"),
        ("piece=earrings", ""),
        ("piece=brooch", "piece: brooch"),
    ],
)
def test_words_for_a_type_that_the_piece_is_not_are_told_so(given: str, meaning: str) -> None:
    """No account says of a piece what the reading below it does not hold."""
    reader = shipped_reader()
    reading = reader.read(Request("pin, c clasp", (observe(reader.base, given),), next_looks=0))

    pin = next(each for each in reading.account if each.words == "pin")
    assert pin.meaning == meaning
    assert pin.fate == ("understood" if meaning else "neutral")


def test_a_year_code_beside_the_marks_of_its_land_is_one_of_them() -> None:
    reader = shipped_reader()
    told = reader.understand("brooch, marked 813H, C catch, T9, zorb T9")
    alone = reader.understand("brooch, T9")

    (code,) = (each for each in told.observations if each.value == "T9")
    assert (code.feature, code.state, code.words) == ("mark", "seen", "T9")
    assert [each.words for each in told.account if each.fate == "not-understood"] == ["zorb T9"]
    assert told.not_understood == ("zorb T9",)
    assert told.marks[-1].text == "T9"
    assert alone.not_understood == ("T9",)
    assert told.words_understood == told.words_total - 3
    dated = reader.read(Request("silver brooch, marked 813H, T9", next_looks=0)).observations
    assert any(each.feature == "finnish-year-mark" for each in dated)
