"""When what misleads counts as named: the kind, and of kinds that are of a part the part too."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shipped_base import shipped_reader

from markrules.auditing.doubts import named_rightly
from markrules.inference.reading import MisleadingReading
from markrules.reading.reader import Request

NOTE = "brooch"


def said(kind: str, *part: str, probability: float = 0.7) -> MisleadingReading:
    return MisleadingReading(
        name="said",
        kind=kind,
        heading=kind,
        part=part,
        taken="one thing",
        truth="another",
        look="closely",
        probability=probability,
        stated=probability >= 0.5,
        settle=(),
        why="",
        cites=(),
    )


@pytest.mark.parametrize(
    ("told", "parts", "as_before", "part_named"),
    [
        (said("replaced", "catch"), ("catch", "hinge"), True, True),
        (said("replaced", "clasp"), ("catch", "hinge"), False, False),
        (said("replaced"), ("catch", "hinge"), True, False),
        (said("replaced"), (), True, True),
        (said("copy"), ("plastic",), True, True),
        (said("revival", "catch"), ("catch",), False, False),
        (said("replaced", "catch", probability=0.4), ("catch",), False, False),
    ],
)
def test_a_kind_of_a_part_is_named_with_its_part(
    told: MisleadingReading, parts: tuple[str, ...], as_before: bool, part_named: bool
) -> None:
    reading = replace(shipped_reader().read(Request(note=NOTE, next_looks=0)), misleading=(told,))
    key = ("replaced", "copy")

    assert named_rightly(reading, key, parts) is as_before
    assert named_rightly(reading, key, parts, part_named=True) is part_named
