"""A note filled in like a form: what its heads name is denied where the answer is no."""

from __future__ import annotations

from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.notes.understanding import understand

NO = ("{}: no", "{}: none", "{}: No.", "{} - none", "{}: n/a", "{}\nnone", "{}? no")
HEADS = ("safety chain", "rhinestones", "enamel", "seed pearls", "rollover catch", "filigree")
"""Things that a piece may have, as a form asks for them."""
FAULTS = ("damage", "chips", "cracks", "repairs", "missing stones", "dents", "scratches", "wear")


def _seen(note: str) -> list[tuple[str, str]]:
    found = understand(shipped_reader().vocabulary, note).observations
    return [(each.feature, str(each.value)) for each in found if each.state == "seen"]


@every_case("answer", NO)
@every_case("head", HEADS + FAULTS)
def test_what_the_answer_denies_is_not_told(head: str, answer: str) -> None:
    for note in (f"brooch\n{answer.format(head)}", f"Brooch. {answer.format(head.capitalize())}"):
        assert _seen(note) == [], note


@every_case("answer", ["{}: yes", "{}: two", "{}"])
@every_case("head", ["safety chain", "rhinestones", "chips", "missing stones"])
def test_what_the_answer_grants_is_told(head: str, answer: str) -> None:
    assert _seen(f"brooch\n{answer.format(head)}")


@every_case("head", ["Hallmarks", "Marks", "Signed", "Marked", "Maker's mark"])
def test_marks_that_the_answer_denies_were_looked_for(head: str) -> None:
    found = understand(shipped_reader().vocabulary, f"brooch\n{head}: none").observations
    assert any(each.state in ("absent", "ruled-out") for each in found)
    assert not any(each.state == "seen" for each in found)


def test_every_value_of_every_choice_is_denied_by_no() -> None:
    base, vocabulary = shipped_base(), shipped_reader().vocabulary
    told, asked = [], 0
    for feature in base.features.values():
        if feature.name not in ("catch", "clasp", "fitting", "enamel", "gem", "organic", "plastic"):
            continue
        for value in feature.values:
            name = value.name.replace("-", " ")
            for way in ("{}: no", "{} - none"):
                asked += 1
                found = understand(vocabulary, f"brooch, {way.format(name)}").observations
                told += [
                    (name, way)
                    for each in found
                    if each.feature == feature.name and each.state == "seen"
                ]
    assert asked > 200
    assert told == []
