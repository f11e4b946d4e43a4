"""Syntax tree to JSON rows and back: what the fields say, and where entries stand.

A node is an array of its fields in order, without those at the end that have their default.
Entries, and parts that messages point to, begin with their span: four numbers, the file as
its place in a list of names. Other spans are left out, for only the checker asks for them;
a name is then no more than a text. For files that are to be checked again, all are kept. A
condition is preceded by its type's place in `VARIANTS`.
How a field is written follows from its annotation, so that a new field needs nothing here,
and a new kind of annotation fails loudly.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from functools import cache
from typing import Any, TypeAlias

from markrules.frozen import MISSING, layout
from markrules.language import conditions, problems, spans, tree, windows
from markrules.language.spans import Named, Span

Row: TypeAlias = list[Any]
Decode: TypeAlias = Callable[[Any], Any]
Encode: TypeAlias = Callable[[Any], Any]

HOMES = (spans, conditions, windows, tree, problems)
"""Where the types of nodes are defined."""
# The order is part of the format: add at the end.
VARIANTS = (
    conditions.Is,
    conditions.IsNot,
    conditions.IsSeen,
    conditions.IsAbsent,
    conditions.Compare,
    conditions.Between,
    conditions.Says,
    conditions.Found,
    conditions.And,
    conditions.Or,
    conditions.Not,
    conditions.AtLeast,
    conditions.OfType,
    conditions.OfTypeUntil,
    conditions.Before,
)
_WITHOUT_SPAN = frozenset(
    (*VARIANTS, Named, conditions.Quantity, windows.Window, windows.Spread, tree.Cite)
)
_PLAIN = ("str", "int", "float", "bool", "str | None", "int | None", "float | None")


def signature() -> str:
    """All types and fields that the codec knows, as text: a change makes old rows foreign."""
    kinds = [
        kind
        for module in HOMES
        for kind in vars(module).values()
        if isinstance(kind, type) and "__match_args__" in vars(kind)
    ]
    return repr([(kind.__name__, kind.__annotations__) for kind in kinds])


class _Ways(ABC):
    """How values of each annotation are turned, one way or the other, worked out once each."""

    def __init__(self, make: Callable[[Any], Any], every_span: bool) -> None:
        """`make` makes what holds several values."""
        self._make = make
        self._every_span = every_span
        self._ways: dict[str, Decode | None] = {}

    def _has_span(self, kind: Any) -> bool:
        return "span" in kind.__match_args__ and (self._every_span or kind not in _WITHOUT_SPAN)

    def _way(self, annotation: str) -> Decode | None:
        if annotation not in self._ways:
            self._ways[annotation] = self._new_way(annotation)
        return self._ways[annotation]

    def _new_way(self, annotation: str) -> Decode | None:
        if _is_plain(annotation):
            return None
        if annotation.endswith(" | None"):
            return _unless_none(self._way(annotation.removesuffix(" | None")))
        if annotation.startswith("tuple["):
            parts = [self._way(part) for part in _parts(annotation) if part != "..."]
            return _each(self._make, parts[0]) if "..." in annotation else _all(self._make, parts)
        return self._own_way(annotation)

    @abstractmethod
    def _own_way(self, annotation: str) -> Decode:
        """The way of a type of the tree."""


class Encoder(_Ways):
    """Makes rows. `files` are the names that spans may carry, each at its number."""

    def __init__(self, files: Sequence[str], *, every_span: bool = False) -> None:
        """A built-in entry stands in no file: that is the empty name, at -1 whatever the
        files are: its row is the same where a file more is read.
        """
        super().__init__(list, every_span)
        self._plans: dict[Any, tuple[bool, list[tuple[str, Any, Encode | None]]]] = {}
        self._numbers = {name: number for number, name in enumerate(files)} | {"": -1}

    def encode(self, node: Any) -> Row:
        """The row of a node of the tree."""
        has_span, told = self._plans.get(type(node)) or self._plan(type(node))
        row: Row = [self._span(node.span)] if has_span else []
        last = len(row)
        for name, default, way in told:
            value = getattr(node, name)
            row.append(value if way is None else way(value))
            if default is MISSING or value != default:
                last = len(row)
        return row[:last]

    def _plan(self, kind: Any) -> tuple[bool, list[tuple[str, Any, Encode | None]]]:
        """Whether the rows of a type begin with a span, and how each of its fields is written."""
        told = [
            (name, default, self._way(annotation)) for name, annotation, default in _layout(kind)
        ]
        plan = self._plans[kind] = self._has_span(kind), told
        return plan

    def _span(self, span: Span) -> Row:
        return [self._numbers[span.file], span.line, span.column, span.end_column]

    def _own_way(self, annotation: str) -> Encode:
        own: dict[str, Encode] = {
            "Named": self.encode if self._every_span else str,
            "Span": self._span,
            "Condition": self._condition,
            "str | Condition": _unless_text(self._condition),
        }
        if annotation in own:
            return own[annotation]
        _known(annotation)
        return self.encode

    def _condition(self, condition: Any) -> Row:
        return [VARIANTS.index(type(condition)), *self.encode(condition)]


class Decoder(_Ways):
    """Makes nodes from rows written for the same list of file names."""

    def __init__(self, files: Sequence[str], *, every_span: bool = False) -> None:
        """`files` are the names as given to the encoder, or where those files lie now."""
        super().__init__(tuple, every_span)
        self._files = (*files, "")
        self._variants: dict[int, Decode] = {}
        self._names: dict[str, Named] = {}

    def decoder(self, kind: str) -> Decode:
        """What makes a node of the type of that name from a row."""
        decode = self._way(kind)
        assert decode is not None
        return decode

    def _own_way(self, annotation: str) -> Decode:
        own: dict[str, Decode] = {
            "Named": self._node(Named) if self._every_span else self._named,
            "Span": self._span,
            "Condition": self._condition,
            "str | Condition": _unless_text(self._condition),
        }
        return own[annotation] if annotation in own else self._node(_known(annotation))

    def _named(self, name: str) -> Named:
        """One object serves wherever a name stands."""
        named = self._names.get(name)
        if named is None:
            named = self._names[name] = Named(name)
        return named

    def _span(self, row: Row) -> Span:
        return Span(self._files[row[0]], row[1], row[2], row[3])

    def _condition(self, row: Row) -> Any:
        variant = row.pop(0)
        decode = self._variants.get(variant)
        if decode is None:
            decode = self._variants[variant] = self.decoder(VARIANTS[variant].__name__)
        return decode(row)

    def _node(self, kind: Any) -> Decode:
        """A function from a row, which it uses up, to a node."""
        ways: list[tuple[int, Decode]] = []
        for at, (_, annotation, _) in enumerate(_layout(kind)):
            way = self._way(annotation)
            if way is not None:
                ways.append((at, way))
        make_span, leads = self._span, kind.__match_args__[0] == "span"

        def bare(row: Row) -> Any:
            count = len(row)
            for at, way in ways:
                if at < count:
                    row[at] = way(row[at])
            return kind(*row)

        def spanned(row: Row) -> Any:
            span = make_span(row.pop(0))
            count = len(row)
            for at, way in ways:
                if at < count:
                    row[at] = way(row[at])
            return kind(span, *row) if leads else kind(*row, span=span)

        return spanned if self._has_span(kind) else bare


def _unless_none(way: Decode | None) -> Decode:
    return lambda value: value if value is None or way is None else way(value)


def _unless_text(way: Decode) -> Decode:
    return lambda value: value if isinstance(value, str) else way(value)


def _each(make: Callable[[Any], Any], way: Decode | None) -> Decode:
    return make if way is None else lambda value: make([way(item) for item in value])


def _all(make: Callable[[Any], Any], ways: Sequence[Decode | None]) -> Decode:
    return lambda value: make(
        [item if way is None else way(item) for way, item in zip(ways, value, strict=True)]
    )


def _known(annotation: str) -> Any:
    kind: Any = next(
        (getattr(home, annotation) for home in HOMES if hasattr(home, annotation)), None
    )
    if not hasattr(kind, "__match_args__"):
        raise NotImplementedError(f"no way to write a field of type {annotation}")
    return kind


@cache
def _layout(kind: Any) -> tuple[tuple[str, str, Any], ...]:
    """Name, annotation and default of each field but the span."""
    return tuple(each for each in layout(kind) if each[0] != "span")


def _is_plain(annotation: str) -> bool:
    return annotation in _PLAIN or annotation.startswith("Literal[")


@cache
def _parts(annotation: str) -> tuple[str, ...]:
    """The types inside `tuple[...]`, split at the commas of the outermost level."""
    parts, depth, start = [], 0, 0
    inner = annotation[len("tuple[") : -1]
    for at, sign in enumerate(inner):
        depth += (sign == "[") - (sign == "]")
        if sign == "," and depth == 0:
            parts.append(inner[start:at].strip())
            start = at + 1
    return (*parts, inner[start:].strip())
