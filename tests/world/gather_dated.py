"""All dated pieces of the tests in one file, as `markrules rules audit FILE --folds 10` reads them.

    python tests/world/gather_dated.py [MORE.jsonl ...] > dated.jsonl
    markrules rules audit dated.jsonl --folds 10

The numbers of the engine that were chosen with dated pieces in view are refitted so, each part
held out in turn with all pieces of its sources. MORE are files of the same form, such as your own
pieces or those where MARKRULES_CASES points. Pieces whose years are not believed, or that were
read off them, are left out; what was told in one sentence is asked as one.
"""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

DATA = Path(__file__).parent / "data"
YEARS = (("stated_from", "stated_to"), ("from", "to"))
"""The keys of the stated years: of published pieces, and of everyday notes."""


def gathered(files: Iterable[Path]) -> Iterator[dict[str, Any]]:
    """The pieces of these files that state years, each text once."""
    known: set[str] = set()
    for path in files:
        for line in path.read_text(encoding="utf-8").splitlines():
            piece = _piece(path.stem, json.loads(line)) if line.strip() else None
            if piece is not None and (text := str(piece["observations"])) not in known:
                known.add(text)
                yield piece


def _piece(name: str, told: dict[str, Any]) -> dict[str, Any] | None:
    """The piece of one line; None where it states no years, or none that can be scored."""
    if told.get("date_doubted") or told.get("year_in_observations"):
        return None
    if "date" not in told.get("score_on", ["date"]):
        return None
    for first, last in YEARS:
        if told.get(first) and told.get(last):
            break
    else:
        return None
    seen = told.get("observations") or ([told["note"]] if told.get("note") else [])
    if not seen:
        return None
    own = f"{name} {told['id']}" if "id" in told else ""
    return {
        "id": own or f"{name} {seen[0][:40]}",
        "piece_type": told.get("piece_type", ""),
        "observations": seen,
        "stated_from": told[first],
        "stated_to": told[last],
        # A single stated year is mostly rounded, whatever its seller writes.
        "date_text": "circa" if told[first] == told[last] else "",
        # Notes that imply a situation make a trap; those of no source are each of their own.
        "kind": told.get("kind", "trap" if name.startswith("misleading") else "ordinary"),
        "source": told.get("source_address") or told.get("source") or own,
    }


def main() -> None:
    """Write the pieces of the tests, and of the files that are named."""
    own = sorted(DATA.glob("*.jsonl"))
    for piece in gathered([*own, *map(Path, sys.argv[1:])]):
        print(json.dumps(piece, ensure_ascii=False))


if __name__ == "__main__":
    main()
