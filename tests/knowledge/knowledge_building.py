"""Small bases from rule text, for the tests of knowledge."""

from __future__ import annotations

from pathlib import Path

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load

FOUNDATIONS = """
trust strong
    misread 6%
piece ornament
piece brooch
    under ornament
piece bar-pin
    under brooch
piece necklace
    under ornament
feature catch
    ask    "What holds the pin?"
    describes
    value rollover
    value trombone
    value open-c
feature finish
    kind   many
    ask    "How is it finished?"
    describes
    value gilt
    value matt
    value foiled
feature width
    kind   number
    unit   mm
    ask    "How wide?"
feature year-mark
    kind   year
    ask    "What year stands on it?"
"""


def base_of(folder: Path, *texts: str) -> KnowledgeBase:
    """The base of the foundations and these texts, which must hold no errors."""
    folder.mkdir(parents=True, exist_ok=True)
    for number, text in enumerate((FOUNDATIONS, *texts)):
        (folder / f"{number}.rules").write_text(text, encoding="utf-8")
    base, problems = load([folder], cache_folder=None)
    assert [each for each in problems if each.severity == "error"] == []
    return base
