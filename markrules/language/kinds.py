"""Every kind of entry, in one table: its type in the tree, its field in the base, its key width.

The checker, the cache, the base, the commands and the formatter read this table. A new kind is
a line here, its type in `tree`, its lines in `shapes` and `grammar.lark`, and its meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from markrules.frozen import dataclass
from markrules.language import tree


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of entry: its type, the field of the base that holds such entries by name, and how
    wide the formatter sets its keys (0: not set).
    """

    type: type[Any]
    field: str
    width: int = 0


KINDS: Mapping[str, Kind] = {
    "source": Kind(tree.Source, "sources", 6),
    "trust": Kind(tree.Trust, "trusts"),
    "certainty": Kind(tree.Certainty, "certainties"),
    "setting": Kind(tree.Setting, "settings"),
    "family": Kind(tree.Family, "families"),
    "prior": Kind(tree.Prior, "priors", 6),
    "commonness": Kind(tree.Commonness, "commonness"),
    "grade": Kind(tree.Grade, "grades", 6),
    "shade": Kind(tree.Shade, "shades", 5),
    "piece": Kind(tree.Piece, "pieces", 5),
    "wording": Kind(tree.Wording, "wordings", 5),
    "feature": Kind(tree.Feature, "features", 6),
    "clue": Kind(tree.Clue, "clues", 6),
    "finding": Kind(tree.Finding, "findings", 5),
    "sign": Kind(tree.Sign, "signs", 6),
    "fault": Kind(tree.Fault, "faults", 8),
    "caution": Kind(tree.Caution, "cautions", 5),
    "maker": Kind(tree.Maker, "makers", 7),
    "register": Kind(tree.Register, "registers", 5),
    "metal-mark": Kind(tree.MetalMark, "metal_marks", 8),
    "claim": Kind(tree.Claim, "claims", 7),
    "case": Kind(tree.Case, "cases", 6),
    "type": Kind(tree.Type, "types", 6),
    "origin": Kind(tree.Origin, "origins", 4),
    "exception": Kind(tree.PieceException, "exceptions", 7),
    "fittings": Kind(tree.Fittings, "fittings", 5),
    "shares": Kind(tree.Shares, "shares", 4),
    "asking": Kind(tree.Asking, "asking", 8),
    "answers": Kind(tree.Answers, "answers", 4),
    "together": Kind(tree.Together, "together", 4),
    "misleading": Kind(tree.Misleading, "misleading", 6),
    "withdraw": Kind(tree.Withdraw, "withdrawals", 4),
    "slot": Kind(tree.Slot, "slots", 5),
    "remark": Kind(tree.Remark, "remarks", 5),
}

NAMES: Mapping[str, str] = {kind.type.__name__: name for name, kind in KINDS.items()}
"""The word of each type of entry, by the type's name."""

FIELDS: Mapping[str, str] = {kind.type.__name__: kind.field for kind in KINDS.values()}
"""The field of the base that holds each type of entry, by the type's name."""
