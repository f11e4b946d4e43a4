"""The typed syntax tree: one frozen dataclass for each kind of entry.

Every node carries the `Span` it was read from. Spans take no part in equality,
so two trees are equal when they say the same thing, wherever it was written. The types stand
in `entries` by subject; whoever reads entries takes them from here.
"""

from __future__ import annotations

from dataclasses import field
from typing import TypeAlias

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.entries.asking import Answers, Asking, Together
from markrules.language.entries.citing import SOURCE_KINDS, Cite, Source
from markrules.language.entries.clues_and_findings import (
    ADVICE,
    CATEGORIES,
    CAUTION_LEVELS,
    CAUTION_PLACES,
    CHOICES,
    LISTING_PARTS,
    STRENGTHS,
    Advice,
    Caution,
    Clue,
    Finding,
    Sign,
    Type,
)
from markrules.language.entries.faults_and_grades import (
    FAULT_VALUES,
    MENDINGS,
    SEVERITIES,
    Fault,
    Grade,
)
from markrules.language.entries.features import (
    ADDED_TO,
    DATINGS,
    EFFORTS,
    FEATURE_KINDS,
    Feature,
    More,
    Piece,
    Shade,
    Value,
    Wording,
)
from markrules.language.entries.listings import CLAIM_SUBJECTS, Claim
from markrules.language.entries.marks import METAL_FORMS, Maker, Mark, MetalMark, Register, Row
from markrules.language.entries.misleading import (
    ALL_ELSE,
    MISLEADING_KINDS,
    Chance,
    Fill,
    Misleading,
    Order,
    Remark,
    Slot,
)
from markrules.language.entries.weighing import (
    Certainty,
    Commonness,
    Esteem,
    Family,
    Fittings,
    Origin,
    PieceException,
    Prior,
    Setting,
    Shares,
    SharesRow,
    Trust,
)
from markrules.language.spans import Named, Span, its_span

__all__ = [
    "ADDED_TO",
    "ADVICE",
    "ALL_ELSE",
    "CATEGORIES",
    "CAUTION_LEVELS",
    "CAUTION_PLACES",
    "CHOICES",
    "CLAIM_SUBJECTS",
    "DATINGS",
    "EFFORTS",
    "FAULT_VALUES",
    "FEATURE_KINDS",
    "LISTING_PARTS",
    "MENDINGS",
    "METAL_FORMS",
    "MISLEADING_KINDS",
    "SEVERITIES",
    "SOURCE_KINDS",
    "STRENGTHS",
    "WITHDRAWABLE",
    "Advice",
    "Answers",
    "Asking",
    "Book",
    "Case",
    "Caution",
    "Certainty",
    "Chance",
    "Cite",
    "Claim",
    "Clue",
    "Commonness",
    "Entry",
    "Esteem",
    "Expect",
    "Family",
    "Fault",
    "Feature",
    "Fill",
    "Finding",
    "Fittings",
    "Grade",
    "Maker",
    "Mark",
    "MetalMark",
    "Misleading",
    "More",
    "Order",
    "Origin",
    "Piece",
    "PieceException",
    "Prior",
    "Register",
    "Remark",
    "Row",
    "Setting",
    "Shade",
    "Shares",
    "SharesRow",
    "Sign",
    "Slot",
    "Source",
    "Together",
    "Trust",
    "Type",
    "Value",
    "Withdraw",
    "Wording",
]


@dataclass(frozen=True, slots=True)
class Expect:
    """One expectation of a case.

    `kind` is clue, type, misleading, finding, sign, fault, caution, maker, years, year or sees;
    `wanted` is False after `not`. `years` holds one year or the two ends.
    """

    kind: str
    name: Named | None = None
    years: tuple[int, ...] = ()
    condition: Condition | None = None
    wanted: bool = True
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Case:
    """A worked example: `given` holds notes in plain words and conditions as observations."""

    name: str
    given: tuple[str | Condition, ...]
    expect: tuple[Expect, ...]
    note: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


WITHDRAWABLE = (
    "clue",
    "type",
    "misleading",
    "finding",
    "sign",
    "fault",
    "caution",
    "maker",
    "claim",
    "setting",
    "prior",
    "wording",
    "metal-mark",
    "register",
    "case",
)
"""Kinds of entries that rules of one's own may take back."""


@dataclass(frozen=True, slots=True)
class Withdraw:
    """An entry of the rules before these that is not to be used: its `kind` and name, and why.

    `when` is its condition, where it has one, and `replaced` tells that an entry of the same
    kind and name beside the withdrawal stands in its place; both are filled in when it is found.
    """

    name: str
    kind: str
    why: str = ""
    cites: tuple[Cite, ...] = ()
    when: Condition | None = None
    replaced: bool = False
    span: Span = its_span()


Entry: TypeAlias = (
    Source
    | Trust
    | Certainty
    | Setting
    | Family
    | Prior
    | Commonness
    | Esteem
    | Grade
    | Shade
    | Piece
    | Wording
    | Feature
    | More
    | Clue
    | Finding
    | Sign
    | Fault
    | Caution
    | Maker
    | Register
    | MetalMark
    | Claim
    | Case
    | Type
    | Origin
    | PieceException
    | Fittings
    | Shares
    | Asking
    | Answers
    | Together
    | Misleading
    | Withdraw
    | Slot
    | Remark
)


@dataclass(frozen=True, slots=True)
class Book:
    """All entries of one rule file, in order.

    `broken` holds (kind, name) of entries that lost a line, or all, to a problem: what is
    not found in them may yet stand in the text.
    """

    file: str
    entries: tuple[Entry, ...]
    broken: tuple[tuple[str, str], ...] = field(default=(), compare=False)
