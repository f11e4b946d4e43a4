"""What only looks like a material, or stands for it, is never told as the material."""

from __future__ import annotations

from shipped_base import shipped_reader
from together import every_case

from markrules.notes.understanding import understand

METALS = ("gold", "silver", "platinum")
STONES = ("pearls", "diamonds", "ruby", "jade", "turquoise", "ivory", "amber", "coral", "jet")
OF_ANY = (
    "{}-look", "{} look", "{} effect", "{} style", "{} type", "{} tone", "{} appearance",
    "{} substitute", "{} wannabe", "{} alternative", "{} inspired", "{} esque", "{} coloured",
    "meant to look like {}", "made to look like {}", "pretend {}", "fake {}",
    "faux {}", "false {}", "mock {}", "pseudo {}", "simulated {}", "imitation {}", "imi {}",
    "artificial {}", "man made {}", "costume {}", "replica {}", "copy of {}", "so called {}",
    "not {}", "not real {}", "isn't {}", "instead of {}", "rather than {}", "without {}",
)  # fmt: skip
OF_STONES = ("{} plastic", "{} resin", "{} glass", "{} lucite", "glass {}", "plastic {}")
UNSURE = (
    "could be {}",
    "resembles {}",
    "maybe {}",
    "{}?",
    "I hope {}",
    "probably {}",
    "looks like {}",
)
AS_IT_IS = ("{}", "real {}", "genuine {}", "{} and glass", "glass and {}", "plastic, {}")
MADE = ("synthetic", "imitation", "freshwater", "glass", "plastic", "base", "white-metal")
"""What values of these features are called that are no material of nature."""


def _told(words: str) -> dict[str, str]:
    """The metals, gems, pearls and organic materials that are told as seen, and how surely."""
    found = understand(shipped_reader().vocabulary, f"brooch, {words}").observations
    return {
        str(each.value): each.certainty
        for each in found
        if each.feature in ("metal", "gem", "organic", "pearl")
        and each.state == "seen"
        and not str(each.value).startswith(MADE)
    }


@every_case("way", OF_ANY + OF_STONES)
def test_what_only_looks_like_a_material(way: str) -> None:
    kinds = STONES + (METALS if way in OF_ANY else ())
    told = {kind: _told(way.format(kind)) for kind in kinds}
    assert {kind: each for kind, each in told.items() if each} == {}


@every_case("way", UNSURE)
def test_what_may_be_a_material_is_a_guess(way: str) -> None:
    told = {kind: _told(way.format(kind)) for kind in STONES + METALS}
    assert all(
        certainty in ("fair", "guess") for each in told.values() for certainty in each.values()
    )
    assert any(told.values())


@every_case("way", AS_IT_IS)
def test_a_material_beside_others_is_told(way: str) -> None:
    told = {kind: _told(way.format(kind)) for kind in STONES + METALS}
    assert [kind for kind, each in told.items() if not each] == []
