"""Damage is not lost on any thing of the rules, whatever words for both are put together.

Each word for a thing is said to be damaged by a word of each kind of damage in turn. Left out is
only what has no sense: that text on the piece is gone, or that it wants another, or that one is
alone of what comes in no pair. What is lost all the same (13 of 25,000 when this was written) are
words that run together with others: `hook on`.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from notes_base import shipped, shipped_vocabulary
from samples import samples

from markrules.language.tree import Wording

TEXT = ("stamp-or-mark",)
SHOWN = (
    ("setting", "glued"),
    ("mark-method", "scratched-mark"),
    ("chatelaine-mount", "pin-mounted"),
    ("stone-back", "open-back"),
    ("bead-holding", "beads-in-glue"),
)
"""What some words for damage tell of how a thing was made."""
BOX = "box-or-label"
"""What may be newer than the piece and is no part of it."""
SENSELESS = ("missing", "wanted", "out-of-it", "empty", "remains")
ALONE, OF_TWO = "sole", "half-of-two"
"""What is alone is so of what comes by twos: of stones, marks and boxes nobody says it."""


def _things() -> dict[str, list[Wording]]:
    """The words for things, with the wordings they belong to."""
    things: dict[str, list[Wording]] = {}
    for wording in shipped_vocabulary().base.wordings.values():
        if wording.role == "thing":
            for text in wording.words:
                if "{" not in text:
                    things.setdefault(text, []).append(wording)
    return things


def _notes() -> Iterator[str]:
    wordings = shipped_vocabulary().base.wordings.values()
    damages = [each for each in wordings if each.role in ("damage", "renewal")]
    for at, (thing, named) in enumerate(_things().items()):
        on = [piece.name for each in named for piece in each.on]
        pins = any("pin" in each.name or "catch" in each.name for each in named)
        piece = on[0] if on else "brooch" if pins else "necklace"
        text = all(each.name in TEXT for each in named)
        for nth, damage in enumerate(damages):
            words = [each for each in damage.words if "{" not in each]
            newer_box = damage.role == "renewal" and any(each.name == BOX for each in named)
            if damage.name == ALONE and not any(each.name == OF_TWO for each in named):
                continue
            if words and not newer_box and not (text and damage.name in SENSELESS):
                yield f"{piece}, {thing} {words[(at + nth) % len(words)]}"


def _told(note: str) -> bool:
    """Whether a fault arises, what people remark of a part, or what the damage shows of the making:
    stones that were glued, initials that are scratched in.
    """
    told = {(each.feature, each.value) for each in shipped(note).observations}
    features = {feature for feature, _ in told}
    return not features.isdisjoint(("fault", "remark")) or not told.isdisjoint(SHOWN)


def _silent(note: str) -> bool:
    return not _told(note) and not shipped(note).not_understood


def test_no_damage_of_any_thing_is_lost(capsys: pytest.CaptureFixture[str]) -> None:
    step = 600 // samples(600)
    notes = list(_notes())[::step]
    lost = [note for note in notes if not _told(note)]
    silent = [note for note in lost if _silent(note)]
    with capsys.disabled():
        print(f"\n{len(notes)} damaged things: {len(lost)} lost, {len(silent)} untold", end="")

    assert len(notes) > 3000
    assert len(silent) * 2000 <= len(notes), silent
    assert len(lost) * 1000 <= len(notes), lost
