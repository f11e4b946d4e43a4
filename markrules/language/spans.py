"""Where in a file something stands, and a name with its place."""

from __future__ import annotations

from dataclasses import field

from markrules.frozen import dataclass


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of one line: file name, line and columns (both counted from 1, end excluded)."""

    file: str
    line: int
    column: int
    end_column: int


NOWHERE = Span("", 0, 0, 0)


def its_span() -> Span:
    """A field for where a node stands, which counts for nothing where two are compared."""
    return field(default=NOWHERE, compare=False, repr=False)


@dataclass(frozen=True, slots=True)
class Named:
    """A name written in a rule (a feature, a value, a source ...) and where it stands."""

    name: str
    span: Span = its_span()

    def __str__(self) -> str:
        """The bare name."""
        return self.name
