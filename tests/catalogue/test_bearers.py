"""Who is named beside a piece in a list, on the terminal as on the page."""

from __future__ import annotations

import pytest

from markrules.catalogue.records import Box, Listed, Piece
from markrules.catalogue.sorting import LIKELY, Bearer, bearer_of
from markrules.cli.catalogue import list_lines

PIECE = Piece(1, "p1", 1, 1, "", "brooch", "", None, "2026-01-01", "")


def listed(maker: str, probability: float, unlisted: str = "", in_part: str = "") -> Listed:
    return Listed(PIECE, 1950, 1960, maker, probability, 0.0, "", True, unlisted, in_part)


@pytest.mark.parametrize(
    ("line", "bearer"),
    [
        (listed("trifari", LIKELY), Bearer("trifari")),
        (listed("trifari", LIKELY - 0.01), Bearer()),
        (listed("trifari", 0.13, unlisted="NOVAK"), Bearer(signature="NOVAK")),
        (listed("trifari", 0.13, in_part="?RIF..."), Bearer(signature="?RIF...", in_part=True)),
        (listed("trifari", 0.9, in_part="?RIF..."), Bearer("trifari")),
        (listed("", 0.0), Bearer()),
    ],
)
def test_nobody_is_named_who_is_less_than_likely(line: Listed, bearer: Bearer) -> None:
    assert bearer_of(line) == bearer


def test_the_terminal_names_no_unlikely_maker() -> None:
    lines = list_lines([(Box(1, "tin", "", ""), listed("trifari", 0.13))], 80)
    assert "13%" not in lines[1]
