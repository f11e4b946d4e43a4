"""Words beside a fineness in a note: known ones take the metal away, others make it a guess."""

from __future__ import annotations

import pytest
from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.marks.metal import find_metal_marks
from markrules.reading.reader import Request


def read(note: str) -> Reading:
    return shipped_reader().read(Request(note=note, next_looks=0))


def surely_gold(note: str) -> bool:
    return any(
        each.feature == "metal" and each.value.startswith("gold") and each.certainty == "sure"
        for each in read(note).observations
    )


@every_case(
    "words",
    [
        "14K gold sandwich",
        "18k gold skin",
        "10k gold face",
        "14k gold facing",
        "14k crust",
        "14K shelled",
        "14kt micro plated",
        "18 kt heavy layered",
        "585 doublé",
        "14 kt Walzgold",
        "golddouble 585",
        "585 auf 925",
        "oro laminado 14k",
        "chapado oro 18k",
        "baño de oro 18k",
        "placcato oro 18k",
        "14K 1/40 R.G.P.",
        "gold plate 14k 1/40",
        "14K gold trim",
        "B & F 9ct",
        "14k zorbed",
    ],
)
def test_a_fineness_with_such_a_word_is_no_solid_gold(words: str) -> None:
    assert not surely_gold(f"ring, {words}")
    claims = [
        metal.how
        for reader in (shipped_reader(),)
        for metal in reader.metals(read(f"ring, marked {words}").observations)
        if metal.mark.startswith(("karat", "carat", "gold-"))
    ]
    assert "solid" not in claims


@every_case("words", ["14k gold", "18K", "14k gold ring, zorbed stones", "9ct gold"])
def test_one_by_itself_is_gold_as_before(words: str) -> None:
    assert surely_gold(f"ring, {words}")


def metals(note: str) -> set[str]:
    """The metals of the piece that a note tells for sure."""
    return {
        each.value
        for each in shipped_reader().understand(note).observations
        if each.feature == "metal" and each.state == "seen" and each.certainty == "sure"
    }


METALS = ("14k gold", "585", "solid gold", "sterling", "platinum", "silver", "18ct gold")


@every_case("metal", METALS)
@every_case(
    "told",
    [
        "pendant, {} shield",
        "pendant with {} letters",
        "pendant, monogram in {}",
        "pendant, collets of {}",
        "pendant, trim: {}",
        "pendant, the clasp is {}",
        "pendant, only the bow is {}",
        "pendant, the bow is {}",
        "pendant, {} on the petals",
        "pendant with a {} heart",
        "pendant, {} petals",
        "pendant; {} end caps, no stones",
        "pendant, letters in {}",
    ],
)
def test_a_metal_told_of_a_part_is_not_the_piece_s(metal: str, told: str) -> None:
    assert metals(told.format(metal)) == set()


@every_case("metal", METALS)
@every_case(
    "told",
    [
        *("{} pendant", "pendant, {}", "pendant in {}", "{} heart pendant", "pendant, all {}"),
        "{} shield name pendant",
    ],
)
def test_a_metal_told_of_the_piece_is(metal: str, told: str) -> None:
    assert len(metals(told.format(metal))) == 1


def test_what_a_part_is_set_in_is_the_piece() -> None:
    assert metals("jasper plaque in a silver frame, pendant") == {"silver"}
    assert metals("brooch, tiny sterling letter C") == {"sterling"}


def test_another_metal_tells_of_the_piece_whatever_part_is_of_it() -> None:
    assert metals("bracelet, pinchbeck clasp") == {"pinchbeck"}


@pytest.mark.parametrize("words", ["585 ribbon", "14k gold shield", "925 silver beads"])
def test_a_part_behind_a_fineness_is_not_of_a_maker_with_that_word_in_its_name(words: str) -> None:
    found = find_metal_marks(words, shipped_reader().base)
    assert found
    assert "solid" not in {each.how for each in found}


@pytest.mark.parametrize("words", ["TRIFARI STERLING", "KREMENTZ 14K", "14K CROWN TRIFARI"])
def test_a_maker_beside_a_fineness_takes_nothing_from_it(words: str) -> None:
    assert [each.how for each in find_metal_marks(words, shipped_reader().base)] == ["solid"]
