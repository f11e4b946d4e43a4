"""A gem's name before what is coloured through is its colour: coral enamel is no coral."""

from __future__ import annotations

from notes_base import lines, shipped
from together import every_case

GEMS = ("turquoise", "coral", "amber", "jade", "ivory", "onyx", "lapis", "emerald", "ruby", "jet")
COLORED = ("enamel", "plastic", "lucite", "glass", "rhinestones", "paste", "plastic beads")


def _materials(note: str) -> set[str]:
    told = (line.partition(": ")[0] for line in lines(shipped(note)))
    return {line.partition("=")[0] for line in told} & {"gem", "organic"}


@every_case("gem", GEMS)
@every_case("colored", COLORED)
def test_a_gems_name_before_what_is_colored_is_no_gem(gem: str, colored: str) -> None:
    assert not _materials(f"necklace, {gem} {colored}")
    assert not _materials(f"{gem} {colored} necklace with a box clasp")


@every_case("gem", GEMS)
@every_case("beside", ["{} beads", "{} cabochons", "{} and enamel", "enamel, {}"])
def test_a_gem_beside_it_stays_the_gem(gem: str, beside: str) -> None:
    assert _materials(f"necklace, {beside.format(gem)}")
