"""The shipped rules, loaded once for all checks against the world."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from markrules.knowledge.base import KnowledgeBase

RULES = Path(__file__).parents[2] / "rules"


@cache
def shipped() -> KnowledgeBase:
    """The knowledge base made from the rules beside the source."""
    from markrules.knowledge.loading import load

    base, _ = load([RULES], cache_folder=None)
    return base
