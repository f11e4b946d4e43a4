"""Everyday notes of ordinary pieces of 1960 to 2015, against the decade that their writer gives.

The notes were written from general knowledge of fashion before the rules for those years, fifteen
to a decade, in the words of people who know no trade terms. A third was laid aside and not looked
at while rules were written. The years of the fashions behind them: museum and newspaper accounts
named in rules/sources, and memory.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from command import markrules

DATA = Path(__file__).parent / "data"
MEETS_AT_LEAST = 0.75


def notes_in(name: str) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (DATA / name).read_text(encoding="utf-8").splitlines()]


def runs(date: dict[str, Any]) -> list[tuple[int, int]]:
    """The runs of years that a reading gives, whether one range or a set of years."""
    stated = date.get("years") or [[date["from"], date["to"]]]
    return [(int(first), int(last)) for first, last, *_ in stated]


def meets(date: dict[str, Any], note: dict[str, Any]) -> bool:
    return any(first <= note["to"] and last >= note["from"] for first, last in runs(date))


@pytest.mark.parametrize("name", ["everyday_notes.jsonl"])
def test_ranges_meet_the_stated_decade(name: str, tmp_path: Path) -> None:
    notes = notes_in(name)
    batch = tmp_path / "notes.jsonl"
    batch.write_text("\n".join(json.dumps({"id": n["id"], "note": n["note"]}) for n in notes))
    done = markrules("read", "--batch", str(batch))
    assert done.returncode == 0, done.stderr
    readings = {r["id"]: r for r in map(json.loads, done.stdout.splitlines())}
    missed = [n["id"] for n in notes if not meets(readings[n["id"]]["date"], n)]
    share = 1 - len(missed) / len(notes)
    print(f"\n{name}: {len(notes)} notes, {share:.0%} meet their decade; missed: {missed}")
    assert share >= MEETS_AT_LEAST


def test_a_third_of_the_notes_is_kept_aside() -> None:
    used, aside = notes_in("everyday_notes.jsonl"), notes_in("everyday_notes_kept_aside.jsonl")
    assert len(aside) * 2 == len(used)
    assert not {n["note"] for n in used} & {n["note"] for n in aside}
    for decade in range(1960, 2011, 10):
        assert sum(n["from"] == decade for n in used + aside) == 15
