"""Notes read by several threads at once are read as by one: a page has a thread a visitor."""

from __future__ import annotations

import csv
import sys
import threading
from collections.abc import Iterator, Sequence

import pytest
from notes_base import shipped_vocabulary
from shipped_base import shipped_base

from markrules.notes.understanding import Understanding, understand
from markrules.notes.vocabulary import Vocabulary
from markrules.tasks.demo import demo_folder


@pytest.fixture
def often() -> Iterator[None]:
    """Threads take turns hundreds of times more often than they would."""
    usual = sys.getswitchinterval()
    sys.setswitchinterval(1e-5)
    yield
    sys.setswitchinterval(usual)


@pytest.mark.usefixtures("often")
def test_threads_read_alike_while_words_are_looked_up_for_the_first_time() -> None:
    with (demo_folder() / "box.csv").open(encoding="utf-8", newline="") as handle:
        notes = [row["note"] for row in csv.DictReader(handle)]
    alone: dict[str, Understanding] = {n: understand(shipped_vocabulary(), n) for n in notes}
    for _ in range(4):
        vocabulary = Vocabulary(shipped_base())
        differing: list[str] = []

        def read(mine: Sequence[str], new: Vocabulary, out: list[str]) -> None:
            out += [note for note in mine if understand(new, note) != alone[note]]

        threads = [
            threading.Thread(target=read, args=(each, vocabulary, differing))
            for each in (notes, notes[::-1], notes)
        ]
        for each in threads:
            each.start()
        for each in threads:
            each.join()

        assert differing == []
