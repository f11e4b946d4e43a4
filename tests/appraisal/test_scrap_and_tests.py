"""When a metal test pays, and what of a coat is scrap."""

from __future__ import annotations

from appraisal_building import THIRTY_TO_FIFTY, appraised_note, figures, sale
from together import every_case

RINGS = tuple(sale(price, at, piece_type="ring") for at, price in enumerate((150, 180, 210, 260)))
GOLD = {"gold_price": "60/g", "refiner_share": "10%"}


@every_case(
    ("note", "price_of_test", "choice"),
    (
        ("ring, marked 14K, 3 g", "10", "alone"),  # sold alone either way: a test tells nothing
        ("ring, marked 14K, 3 g", "40", "alone"),
        ("ring, marked 14K, 12 g", "10", "test"),  # its metal is worth more than the ring
        ("ring, marked 14K", "10", "test"),  # not weighed: what it brings is not known
    ),
)
def test_a_test_that_leaves_less_than_none_is_not_proposed(
    note: str, price_of_test: str, choice: str
) -> None:
    decision = appraised_note(note, RINGS, figures(test_cost=price_of_test, **GOLD)).decision
    assert decision.choice == choice
    test = next(each for each in decision.weighed if each.choice == "test")
    bare = next(each for each in decision.weighed if each.choice == "alone")
    if choice == "alone":
        assert test.net is not None
        assert bare.net is not None
        assert test.net < bare.net
        assert "sold as not tested" in test.against[0]
        assert test.against[0] in decision.reasons


@every_case("note", ("brooch, 1/20 12K GF, 40 g", "locket, marked GOLD FILLED, 30 g"))
def test_one_piece_of_coated_metal_is_no_scrap(note: str) -> None:
    for sales in ((), THIRTY_TO_FIFTY):
        found = appraised_note(note, sales, figures(**GOLD))
        choices = {each.choice for each in found.decision.weighed}
        assert found.melt is not None
        assert found.melt.value is not None
        assert "melt" not in choices
        assert found.decision.floor is None
        assert "gold-price" not in found.decision.wanting
        assert any("no scrap" in words for words in found.melt.words)


def test_solid_metal_keeps_its_floor() -> None:
    found = appraised_note("ring, marked 14K, 3 g", (), figures(**GOLD))
    assert found.decision.floor is not None
    assert any(each.choice == "melt" for each in found.decision.weighed)
