"""Walking over conditions: their parts, and the features that they speak of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, TypeAlias

from markrules.frozen import dataclass
from markrules.language.spans import Named, Span, its_span

# --- Conditions -----------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Is:
    """`catch is rollover`, `catch is one of (rollover, trombone)`: one of the values was seen."""

    feature: Named
    values: tuple[Named, ...]
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class IsNot:
    """`catch is not rollover`: something else was seen there, or this was ruled out."""

    feature: Named
    values: tuple[Named, ...]
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class IsSeen:
    """`us-patent is seen`: any value at all was seen."""

    feature: Named
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class IsAbsent:
    """`catch is absent`: somebody looked, and there is none."""

    feature: Named
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number and its unit as written (`5.5 cm`); `unit` is empty for a bare number."""

    number: float
    unit: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Compare:
    """`width over 5 cm`: `sign` is one of < <= > >= (over, under, at least, at most in words)."""

    feature: Named
    sign: Literal["<", "<=", ">", ">="]
    quantity: Quantity
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Between:
    """`width between 2 cm and 5 cm`, both ends included."""

    feature: Named
    low: Quantity
    high: Quantity
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Says:
    """`mark says "MADE IN", "FABRIQUE"`: any of these texts stands on the piece.

    Case, spacing, dots and accents do not matter; whole words do.
    """

    feature: Named
    texts: tuple[str, ...]
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Found:
    """`found early-fastening`: the finding of that name holds."""

    finding: Named
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class OfType:
    """`found type clear-belly`: the named type holds. Only what misleads can ask for it."""

    type: Named
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class OfTypeUntil:
    """`found type until 1945`: a named type holds whose first wave was over by that year.

    Nine in ten of its surviving pieces of that wave had been made by then. Only what misleads
    can ask for it.
    """

    year: int
    span: Span = its_span()

    @property
    def found_as(self) -> str:
        """The name under which what holds is found."""
        return f"type until {self.year}"


@dataclass(frozen=True, slots=True)
class Before:
    """`engraved before assayed by 3`: the years read off the one lie before those of the other.

    Each side is a feature that holds years, or a meaning of years (`DATINGS` in `tree`) that
    stands for every feature of that meaning. `by` is the least number of years between them.
    """

    earlier: Named
    later: Named
    by: int = 1
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class And:
    """All parts hold."""

    parts: tuple[Condition, ...]
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Or:
    """At least one part holds."""

    parts: tuple[Condition, ...]
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Not:
    """The part is known not to hold (unknown stays unknown)."""

    part: Condition
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class AtLeast:
    """`at least 2 of (…, …, …)`."""

    count: int
    parts: tuple[Condition, ...]
    span: Span = its_span()


Condition: TypeAlias = (
    Is
    | IsNot
    | IsSeen
    | IsAbsent
    | Compare
    | Between
    | Says
    | Found
    | OfType
    | OfTypeUntil
    | Before
    | And
    | Or
    | Not
    | AtLeast
)

ON_A_FEATURE = (Is, IsNot, IsSeen, IsAbsent, Compare, Between, Says)


def atoms(condition: Condition, negated: bool = False) -> Iterator[tuple[Condition, bool]]:
    """The innermost conditions, first to last; the flag is True below a `not`."""
    if isinstance(condition, Not):
        yield from atoms(condition.part, True)
    elif isinstance(condition, And | Or | AtLeast):
        for part in condition.parts:
            yield from atoms(part, negated)
    else:
        yield condition, negated


def features_in(condition: Condition) -> Iterator[Named]:
    """The features that a condition names, first to last."""
    for atom, _ in atoms(condition):
        if isinstance(atom, ON_A_FEATURE):
            yield atom.feature
        elif isinstance(atom, Before):
            yield from (atom.earlier, atom.later)


def groups(condition: Condition) -> Iterator[AtLeast]:
    """The `at least N of` conditions inside, the condition itself among them."""
    if isinstance(condition, AtLeast):
        yield condition
    if isinstance(condition, Not):
        yield from groups(condition.part)
    elif isinstance(condition, And | Or | AtLeast):
        for part in condition.parts:
            yield from groups(part)
