"""The file of dated pieces that settings are refitted on: what is in it, and whether it is read."""

from __future__ import annotations

import json
from pathlib import Path

from gather_dated import DATA, gathered

from markrules.auditing.dated_pieces import cases_of


def test_an_audit_reads_every_piece_that_is_gathered(tmp_path: Path) -> None:
    pieces = list(gathered(sorted(DATA.glob("*.jsonl"))))
    path = tmp_path / "dated.jsonl"
    path.write_text("\n".join(map(json.dumps, pieces)), encoding="utf-8")

    cases, problems = cases_of(path)

    assert not problems
    assert len(cases) == len(pieces) >= 300
    assert all(each.dated and each.source for each in cases)
    assert len({each.name for each in cases}) == len(cases)
    assert {each.trap for each in cases} == {True, False}


def test_what_cannot_be_scored_is_left_out(tmp_path: Path) -> None:
    path = tmp_path / "more.jsonl"
    lines: list[dict[str, object]] = [
        {"id": "a", "note": "a brooch", "from": 1950, "to": 1959},
        {"id": "b", "note": "a brooch", "from": 1950, "to": 1959},
        {"id": "c", "observations": ["ring"], "stated_from": 1950, "stated_to": None},
        {
            "id": "d",
            "observations": ["pin"],
            "stated_from": 1,
            "stated_to": 2,
            "date_doubted": True,
        },
    ]
    path.write_text("\n".join(map(json.dumps, lines)), encoding="utf-8")

    assert [each["id"] for each in gathered([path])] == ["more a"]
