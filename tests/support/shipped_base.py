"""The rules beside the source and a reader over them, once for a process.

They come through the compiled cache that all processes of a run share. That the compiled form
is the same as the built one is tested with the cache itself.
"""

from __future__ import annotations

from functools import cache

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.knowledge.places import cache_folder, shipped_rules
from markrules.reading.reader import Reader

LAST_YEAR = 2026


@cache
def shipped_base() -> KnowledgeBase:
    """The shipped rules, which hold no error."""
    base, problems = load([shipped_rules()], cache_folder=cache_folder())
    assert not [each for each in problems if each.severity == "error"]
    return base


@cache
def shipped_reader() -> Reader:
    """A reader over them, with the years up to 2026."""
    return Reader(shipped_base(), LAST_YEAR)
