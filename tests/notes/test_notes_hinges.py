"""A hinge belongs to what turns on it: that of a locket is no part of a pin's fastening."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

PINS = ("brooch", "bar pin", "watch pin")
BODIES = ("locket", "hinged bangle", "compact", "cigarette case", "pendant")
OF_A_PIN = {"missing-pin", "sprung-catch", "replaced-catch"}
SAID = (
    ("hinge broken", "body-hinge-broken", "missing-pin"),
    ("broken hinge", "body-hinge-broken", "missing-pin"),
    ("the hinge is missing", "body-hinge-broken", "missing-pin"),
    ("loose hinge", "body-hinge-worn", "sprung-catch"),
    ("hinge bent", "body-hinge-worn", "sprung-catch"),
    ("hinge replaced", "replaced-part", "replaced-catch"),
)


def _faults(note: str) -> set[str]:
    told = (line.partition(": ")[0].partition(" ")[0] for line in lines(shipped(note)))
    return {line.removeprefix("fault=") for line in told if line.startswith("fault=")}


@every_case(("words", "of_a_body", "of_a_pin"), SAID)
def test_a_fault_of_a_hinge_is_told_of_what_turns_on_it(
    words: str, of_a_body: str, of_a_pin: str
) -> None:
    for piece in BODIES:
        assert _faults(f"{piece}, {words}") == {of_a_body}
    for piece in PINS:
        assert _faults(f"{piece}, {words}") == {of_a_pin}


@every_case("smell", ["smells like", "smelled of", "a faint odour of", "smell of"])
def test_a_smell_names_the_plastic_and_no_fault(smell: str) -> None:
    told = lines(shipped(f"plastic comb, {smell} camphor when rubbed"))
    assert any(line.startswith("plastic=celluloid") for line in told)
    assert not any(line.startswith("fault=") for line in told)
