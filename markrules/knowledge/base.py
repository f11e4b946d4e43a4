"""The knowledge base: checked entries by kind, ready to be asked. Immutable."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import field, replace
from typing import Any, TypeAlias, TypeVar

from markrules.frozen import dataclass, layout
from markrules.knowledge.observation import PLAIN
from markrules.knowledge.workings import Workings
from markrules.language.tree import (
    Answers,
    Asking,
    Case,
    Caution,
    Certainty,
    Claim,
    Clue,
    Commonness,
    Esteem,
    Family,
    Fault,
    Feature,
    Finding,
    Fittings,
    Grade,
    Maker,
    MetalMark,
    Misleading,
    More,
    Origin,
    Piece,
    PieceException,
    Prior,
    Register,
    Remark,
    Setting,
    Shade,
    Shares,
    Sign,
    Slot,
    Source,
    Together,
    Trust,
    Type,
    Withdraw,
    Wording,
)

Grouped = TypeVar("Grouped")
"""A dataclass of settings."""

Chance: TypeAlias = float
"""A probability of something that now and then happens: more than 0, less than 1."""

Several: TypeAlias = float
"""One or more: of so many things one is meant."""

Count: TypeAlias = int
"""A whole number, one or more."""


class UnfitSetting(Exception):
    """The rules hold no number that is asked of them, or one that makes no sense there."""

    def __init__(self, name: str, message: str) -> None:
        """For the setting of that name; the message says what is wrong with it."""
        super().__init__(message)
        self.name = name


class MissingSetting(UnfitSetting):
    """The rules hold no number that is asked of them: they are not complete."""

    def __init__(self, name: str) -> None:
        """For the setting of that name."""
        super().__init__(
            name,
            f'the rules hold no setting "{name}": write `setting {name}` with its value and why,'
            " or take the rules that come with markrules",
        )


class SenselessSetting(UnfitSetting):
    """The rules hold a number that cannot be what it is said to be."""

    def __init__(self, name: str, value: float, wanted: str) -> None:
        """For the setting of that name; `wanted` tells what it may be."""
        super().__init__(name, f'setting "{name}" is {value:g}, and is to be {wanted}')


@dataclass(frozen=True, eq=False)
class KnowledgeBase:
    """All entries, by name within their kind, in the order of the files.

    `features` holds the built-in ones too (`piece`, `mark`, `label`, `fault`, `metal-mark`,
    and one for each register). `findings` stand in an order in which each comes after all
    that it depends on. `settings` maps a setting's name to its number. `version` names the
    versions of the package and of the shipped rules and a fingerprint of the rule texts, as
    `0.1.0+2026.11.3f2a91c04b7d`. `workings` keeps what is worked out from the entries.
    """

    version: str
    sources: Mapping[str, Source] = field(default_factory=dict)
    trusts: Mapping[str, Trust] = field(default_factory=dict)
    certainties: Mapping[str, Certainty] = field(default_factory=dict)
    settings: Mapping[str, Setting] = field(default_factory=dict)
    families: Mapping[str, Family] = field(default_factory=dict)
    priors: Mapping[str, Prior] = field(default_factory=dict)
    commonness: Mapping[str, Commonness] = field(default_factory=dict)
    esteems: Mapping[str, Esteem] = field(default_factory=dict)
    grades: Mapping[str, Grade] = field(default_factory=dict)
    shades: Mapping[str, Shade] = field(default_factory=dict)
    pieces: Mapping[str, Piece] = field(default_factory=dict)
    wordings: Mapping[str, Wording] = field(default_factory=dict)
    features: Mapping[str, Feature] = field(default_factory=dict)
    additions: Mapping[str, More] = field(default_factory=dict)
    clues: Mapping[str, Clue] = field(default_factory=dict)
    findings: Mapping[str, Finding] = field(default_factory=dict)
    signs: Mapping[str, Sign] = field(default_factory=dict)
    faults: Mapping[str, Fault] = field(default_factory=dict)
    cautions: Mapping[str, Caution] = field(default_factory=dict)
    makers: Mapping[str, Maker] = field(default_factory=dict)
    registers: Mapping[str, Register] = field(default_factory=dict)
    metal_marks: Mapping[str, MetalMark] = field(default_factory=dict)
    claims: Mapping[str, Claim] = field(default_factory=dict)
    cases: Mapping[str, Case] = field(default_factory=dict)
    types: Mapping[str, Type] = field(default_factory=dict)
    origins: Mapping[str, Origin] = field(default_factory=dict)
    misleading: Mapping[str, Misleading] = field(default_factory=dict)
    withdrawals: Mapping[str, Withdraw] = field(default_factory=dict)
    slots: Mapping[str, Slot] = field(default_factory=dict)
    remarks: Mapping[str, Remark] = field(default_factory=dict)
    exceptions: Mapping[str, PieceException] = field(default_factory=dict)
    fittings: Mapping[str, Fittings] = field(default_factory=dict)
    shares: Mapping[str, Shares] = field(default_factory=dict)
    asking: Mapping[str, Asking] = field(default_factory=dict)
    answers: Mapping[str, Answers] = field(default_factory=dict)
    together: Mapping[str, Together] = field(default_factory=dict)
    loaded_from: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    workings: Workings = field(default_factory=Workings, init=False, repr=False)

    def __repr__(self) -> str:
        """The version alone: the entries would fill a book."""
        return f"<KnowledgeBase {self.version}>"

    def keeping(self, workings: Workings) -> KnowledgeBase:
        """The same base with a place for its workings; a base changed in any way loses it."""
        base = replace(self)
        object.__setattr__(base, "workings", workings)
        return base

    def setting(self, name: str, instead: float | None = None) -> float:
        """The number of a setting entry; `instead`, where given, if the rules hold none.

        The code holds no numbers beside those of the rules: `instead` is another entry's number.
        Raises MissingSetting where there is neither.
        """
        figures: Mapping[str, float] = self._in_short["settings"]
        figure = figures.get(name, instead)
        if figure is None:
            raise MissingSetting(name)
        return figure

    def words_of(self, *roles: str) -> list[str]:
        """The words of all wordings of these roles, as written and in the order of the rules."""
        return [
            text
            for wording in self.wordings.values()
            if wording.role in roles
            for text in wording.words
        ]

    def metal_of(self, mark: str) -> str | None:
        """The metal that a metal mark is of; None where there is no mark of that name."""
        metals: Mapping[str, str] = self._in_short["metals"]
        return metals.get(mark)

    @property
    def marked_metals(self) -> Collection[str]:
        """The metals that any metal mark is of."""
        metals: Collection[str] = self._in_short["marked"]
        return metals

    @property
    def _in_short(self) -> Mapping[str, Any]:
        """One thing of each entry, kept beside the entries: of hundreds that are asked for a
        number or a kind alone, none need be made.
        """
        return self.workings.parts(
            "short",
            lambda: {
                "kinds": {name: each.kind for name, each in self.features.items()},
                "marked": sorted({each.metal for each in self.metal_marks.values()}),
                "metals": {name: each.metal for name, each in self.metal_marks.items()},
                "settings": {name: each.value for name, each in self.settings.items()},
            },
        )

    def settings_as(self, kind: type[Grouped], prefix: str = "") -> Grouped:
        """Settings as the fields of a dataclass: each is the setting of the field's name behind the
        prefix, with hyphens; one annotated `int` or `Count` is counted whole.

        Raises MissingSetting where the rules lack one of them, and SenselessSetting where one
        annotated `Chance`, `Several` or `Count` is none.
        """
        return kind(
            **{
                name: self._fitting(f"{prefix}{name}".replace("_", "-"), annotation)
                for name, annotation, _ in layout(kind)
            }
        )

    def unfit_settings(self, kind: type[Any], prefix: str = "") -> Iterator[UnfitSetting]:
        """What `settings_as` would raise, for each of the settings; nothing where all is well."""
        for name, annotation, _ in layout(kind):
            try:
                self._fitting(f"{prefix}{name}".replace("_", "-"), annotation)
            except UnfitSetting as error:
                yield error

    def _fitting(self, name: str, annotation: str) -> float:
        """The number of a setting, as a field with that annotation holds it."""
        value = self.setting(name)
        if annotation == "Chance" and not 0 < value < 1:
            raise SenselessSetting(name, value, "more than 0 and less than 100%")
        if annotation == "Several" and not value >= 1:
            raise SenselessSetting(name, value, "1 or more")
        if annotation == "Count" and not (value >= 1 and value == int(value)):
            raise SenselessSetting(name, value, "a whole number, 1 or more")
        return int(value) if annotation in ("int", "Count") else value

    @property
    def certainty_levels(self) -> tuple[str, ...]:
        """The certainties that any look may be answered with: not those of names known by ear."""
        return tuple(name for name, each in self.certainties.items() if not each.by_ear)

    def doubts(self, certainty: str) -> bool:
        """Whether a certainty is less than that of what is written plainly; one that is not known
        is taken for plain.
        """
        told, plain = self.certainties.get(certainty), self.certainties.get(PLAIN)
        return told is not None and plain is not None and told.misread > plain.misread

    def kind_of(self, feature: str) -> str | None:
        """The kind of a feature; None for one not in the rules."""
        kinds: Mapping[str, str] = self._in_short["kinds"]
        return kinds.get(feature)

    def broader(self, piece: str) -> tuple[str, ...]:
        """The piece type itself and all broader ones, nearest first."""
        chain: list[str] = []
        while piece in self.pieces and piece not in chain:
            chain.append(piece)
            under = self.pieces[piece].under
            piece = under.name if under is not None else ""
        return tuple(chain)
