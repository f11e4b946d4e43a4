"""What is wrong in a rule file, and where."""

from __future__ import annotations

from typing import Literal

from markrules.frozen import dataclass
from markrules.language.spans import Span


@dataclass(frozen=True, slots=True)
class Place:
    """Another place that a problem speaks of, and why."""

    span: Span
    reason: str


@dataclass(frozen=True, slots=True)
class Problem:
    """Something wrong in a rule text, told in the writer's words.

    `code` is short, stable and documented; `severity` is error or warning.
    """

    code: str
    message: str
    place: Span
    also: tuple[Place, ...] = ()
    nearest: str | None = None
    severity: Literal["error", "warning"] = "error"
