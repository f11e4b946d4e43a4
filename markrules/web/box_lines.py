"""The lines of boxes, remembered until the catalogue changes."""

from __future__ import annotations

import threading

from markrules.catalogue.records import Box
from markrules.catalogue.sorting import BoxLine, Choices, choices_in, lines_of_box
from markrules.catalogue.store import Catalogue
from markrules.catalogue.watching import state_of
from markrules.frozen import dataclass

BOXES_KEPT = 8

State = tuple[int, int]


@dataclass(frozen=True, eq=False, slots=True)
class KeptLines:
    """The lines of a box as they were when the catalogue stood at `state`."""

    state: State
    lines: list[BoxLine]
    choices: Choices


class Lines:
    """Reads the lines of a box once for each state of the catalogue."""

    def __init__(self) -> None:
        """Nothing is read yet."""
        self._kept: dict[int, KeptLines] = {}
        self._lock = threading.Lock()

    def of(self, catalogue: Catalogue, box: Box) -> KeptLines:
        """The lines as they are now."""
        state = state_of(catalogue)
        with self._lock:
            kept = self._kept.get(box.id)
        return kept if kept is not None and kept.state == state else self._read(catalogue, box)

    def lately(self, catalogue: Catalogue, box: Box) -> KeptLines:
        """The lines as they were when last read: enough for the choices that a form offers."""
        with self._lock:
            kept = self._kept.get(box.id)
        return kept if kept is not None else self._read(catalogue, box)

    def _read(self, catalogue: Catalogue, box: Box) -> KeptLines:
        state = state_of(catalogue)
        lines = lines_of_box(catalogue, box)
        kept = KeptLines(state, lines, choices_in(lines))
        with self._lock:
            self._kept.pop(box.id, None)
            self._kept[box.id] = kept
            while len(self._kept) > BOXES_KEPT:
                del self._kept[next(iter(self._kept))]
        return kept
