"""Raw entries to typed ones: keys to fields, and what is missing, doubled or out of bounds."""

from __future__ import annotations

from dataclasses import MISSING, field, fields
from functools import cache
from typing import Any

from markrules.frozen import dataclass
from markrules.language.filling import FILLERS, Complaints, Fields
from markrules.language.kinds import SHAPES, Key, Kind, PartOfEntry
from markrules.language.problems import Place, Problem
from markrules.language.raw import RawEntry, RawLine
from markrules.language.spans import Span
from markrules.language.tree import Entry


@dataclass(slots=True)
class Builder(Complaints):
    """Builds the entries of one file. `hurt` holds entries that lost a line to a problem."""

    hurt: set[tuple[str, int]] = field(default_factory=set)
    broken: list[tuple[str, str]] = field(default_factory=list)

    def entry(self, raw: RawEntry) -> Entry | None:
        """The typed entry, or None where a line that it needs is not there."""
        before = len(self.problems)
        built: Entry | None = self._build(raw)
        if len(self.problems) > before or _at(raw) in self.hurt:
            self.broken.append((raw.kind, raw.name.name))
        return built

    def _build(self, raw: RawEntry) -> Any:
        shape = SHAPES[raw.kind]
        values: Fields = {"name": raw.name.name, "span": raw.name.span}
        if raw.text:
            values["say"] = raw.text
        seen: dict[str, Span] = {}
        for line in raw.lines:
            self._line(raw, shape, line, values, seen)
        for name, value in values.items():
            if type(value) is list:
                values[name] = tuple(value)
        return self._finished(raw, shape, values)

    def _line(
        self,
        raw: RawEntry,
        shape: Kind | PartOfEntry,
        line: RawLine | RawEntry,
        values: Fields,
        seen: dict[str, Span],
    ) -> None:
        if isinstance(line, RawEntry):
            part = self._build(line)
            if part is not None:
                values.setdefault(shape.keys[line.kind].field, []).append(part)
            return
        key = shape.keys[line.key]
        if key.take not in ("list", "words", "item", "row") and not self._alone(
            raw, line, key, seen
        ):
            return
        FILLERS[key.take](self, key, line, values)

    def _alone(self, raw: RawEntry, line: RawLine, key: Key, seen: dict[str, Span]) -> bool:
        first = seen.setdefault(key.field, line.span)
        if first is line.span:
            return True
        self.problems.append(
            Problem(
                "doubled-line",
                f'{raw.kind} "{raw.name}" has `{line.key}` twice; keep one',
                line.span,
                (Place(first, "first written here"),),
            )
        )
        return False

    def _finished(self, raw: RawEntry, shape: Kind | PartOfEntry, values: Fields) -> Any:
        missing = [key for key in shape.required if shape.keys[key].field not in values]
        if _at(raw) not in self.hurt:
            for key in missing:
                self._missing(raw, key, shape.keys[key])
        if not _needed(raw.kind) <= values.keys() | _defaults(raw.kind).keys():
            return None
        return shape.type(**{**_defaults(raw.kind), **values})

    def _missing(self, raw: RawEntry, key: str, shape: Key) -> None:
        names = "`better`, `poorer` or `neutral`" if key == "better" else f"`{key}`"
        self.note(
            "missing-line",
            f'{raw.kind} "{raw.name}" has no line {names}, such as: {key} {shape.example}',
            raw.name.span,
        )


def _at(raw: RawEntry) -> tuple[str, int]:
    return raw.name.name, raw.name.span.line


@cache
def _needed(kind: str) -> frozenset[str]:
    """Fields without which an entry of this kind cannot be built."""
    return frozenset(
        each.name
        for each in fields(SHAPES[kind].type)
        if each.default is MISSING and each.default_factory is MISSING
    )


def _defaults(kind: str) -> Fields:
    """Fields of the tree without a default that a text may yet leave out."""
    return {"made": None, "cites": (), "why": ""} if kind == "clue" else {}
