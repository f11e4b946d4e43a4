"""Published dated pieces: what is fed to a reading, and how its answer is held against them.

The file of pieces is not part of the project. It is looked for where MARKRULES_CASES points,
else at ../shared/cases_dev.jsonl beside the checkout; tests that need it are skipped without.
"""

from __future__ import annotations

import json
import os
import statistics
from dataclasses import dataclass
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]


def cases_file() -> Path | None:
    """The file of published pieces, or None where there is none."""
    given = os.environ.get("MARKRULES_CASES")
    path = Path(given) if given else ROOT.parent / "shared" / "cases_dev.jsonl"
    return path if path.is_file() else None


def published_cases(path: Path) -> list[dict[str, Any]]:
    """All pieces of the file."""
    return [json.loads(line) for line in path.read_text("utf-8").splitlines() if line.strip()]


def question(case: dict[str, Any]) -> dict[str, Any]:
    """What a reading is given: the piece type and what was seen, nothing that tells the date."""
    return {key: case[key] for key in ("id", "piece_type", "observations")}


@dataclass(frozen=True)
class Score:
    """How readings stand against published dates."""

    dated: int
    inside: int
    widths: tuple[int, ...]
    distances: tuple[float, ...]

    @property
    def share_inside(self) -> float:
        """Share of pieces whose published midpoint lies inside the stated range."""
        return self.inside / self.dated

    @property
    def median_width(self) -> float:
        """Median length of the ranges in years, both ends counted."""
        return statistics.median(self.widths)

    @property
    def median_distance(self) -> float:
        """Median distance in years from the likeliest-half point to the published midpoint."""
        return statistics.median(self.distances)


def score(cases: list[dict[str, Any]], readings: list[dict[str, Any]]) -> Score:
    """Compare ranges with published years; doubted and undated pieces are left out."""
    inside, widths, distances = 0, [], []
    for case, reading in zip(cases, readings, strict=True):
        if case["date_doubted"] or case["stated_from"] is None:
            continue
        middle = (case["stated_from"] + (case["stated_to"] or case["stated_from"])) / 2
        date = reading["date"]
        inside += date["from"] <= middle <= date["to"]
        widths.append(date["to"] - date["from"] + 1)
        distances.append(abs(date["median"] - middle))
    return Score(len(widths), inside, tuple(widths), tuple(distances))
