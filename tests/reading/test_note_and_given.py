"""What a note says and what is given by name: one takes the other's place, or both count."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader

from markrules.reading.observing import observe
from markrules.reading.reader import Request
from markrules.tasks.entering import new_piece

NOTE = "brooch, C catch, one stone missing, marked MONTEL"


@pytest.mark.parametrize(
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

    read = reader.read(Request(NOTE, named)).observations
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
