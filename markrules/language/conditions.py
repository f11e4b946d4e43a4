"""Walking over conditions: their parts, and the features that they speak of."""

from __future__ import annotations

from collections.abc import Iterator

from markrules.language.tree import (
    And,
    AtLeast,
    Between,
    Compare,
    Condition,
    Is,
    IsAbsent,
    IsNot,
    IsSeen,
    Named,
    Not,
    Or,
    Says,
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


def groups(condition: Condition) -> Iterator[AtLeast]:
    """The `at least N of` conditions inside, the condition itself among them."""
    if isinstance(condition, AtLeast):
        yield condition
    if isinstance(condition, Not):
        yield from groups(condition.part)
    elif isinstance(condition, And | Or | AtLeast):
        for part in condition.parts:
            yield from groups(part)
