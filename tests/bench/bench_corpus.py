"""Precision and recall of the observations of notes, over the labelled corpus of the tests.

python tests/bench/bench_corpus.py
"""

from __future__ import annotations

import sys
from pathlib import Path

TESTS = Path(__file__).parents[1]
sys.path[:0] = [str(TESTS / "notes"), str(TESTS / "support")]

from notes_base import shipped, shipped_vocabulary  # noqa: E402 - found on the path just added
from scoring import report  # noqa: E402


def main() -> None:
    """Print a line for each part."""
    for line in report(shipped_vocabulary().base, shipped):
        print(line)


if __name__ == "__main__":
    main()
