"""A name of many people, written with a slip, is no more a listed maker's than spelt right."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.marks.usual_names import names_near
from markrules.reading.reader import Request


def named(mark: str) -> float:
    """The probability that known makers have between them for a brooch so marked."""
    makers = shipped_reader().read(Request(f"brooch marked {mark}")).makers
    return sum(each.probability for each in makers if each.maker)


@every_case(
    ("right", "slip"),
    [("JOHNSON", "JHONSON"), ("JOHNSON", "JONHSON"), ("WILSON", "WLISON"), ("COLEMAN", "CLOEMAN")],
)
def test_letters_in_the_other_order_name_nobody_more_surely(right: str, slip: str) -> None:
    assert named(slip) <= named(right) + 0.05


def test_a_listed_name_that_few_bear_is_found_through_a_slip_as_before() -> None:
    assert named("TRFIARI") > 0.9


def test_one_slip_is_one_letter_or_two_side_by_side() -> None:
    assert "JOHNSON" in names_near("JHONSON")
    assert "JOHNSON" in names_near("JOHNSN")
    assert "JOHNSON" in names_near("JOHNSONN")
    assert "JOHNSON" in names_near("JOHNSOM")
    assert "JOHNSON" not in names_near("JOHNSON")
    assert "JOHNSON" not in names_near("JNOHSNO")
