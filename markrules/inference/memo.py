"""What was costly to make is kept by what it was made from."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from contextlib import suppress
from typing import Generic, TypeVar

Key = TypeVar("Key", bound=Hashable)
Made = TypeVar("Made")


class Memo(Generic[Key, Made]):
    """Keeps what was made for a key; beyond `limit` keys the oldest is forgotten.

    What is made must depend on nothing but the key, so that forgetting changes no answer.
    """

    __slots__ = ("_kept", "_limit")

    def __init__(self, limit: int) -> None:
        """A memory for at most `limit` keys."""
        self._limit = limit
        self._kept: dict[Key, Made] = {}

    def __contains__(self, key: Key) -> bool:
        """Whether something is kept for the key."""
        return key in self._kept

    def get(self, key: Key, make: Callable[[], Made]) -> Made:
        """What was kept for the key, or what `make` gives, which is then kept."""
        try:
            return self._kept[key]
        except KeyError:
            made = make()
            if len(self._kept) >= self._limit:
                # Another thread may add at the same moment; then this one leaves room to it.
                with suppress(RuntimeError, StopIteration):
                    self._kept.pop(next(iter(self._kept)), None)
            self._kept[key] = made
            return made
