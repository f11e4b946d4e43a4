"""Syntax tree to JSON rows and back, without loss.

A node is an array: its span, then its fields in order, without those at the end that have
their default. A span is four numbers (file, line, column, end column), the file as its place
in a list of names. Where a field can hold several types, the node is preceded by its type's
place in `VARIANTS`. How a field is written follows from its annotation, so that a new field
needs nothing here, and a new kind of annotation fails loudly.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import MISSING, fields
from functools import cache
from typing import Any, TypeAlias

from markrules.language import tree
from markrules.language.tree import Span

Row: TypeAlias = list[Any]
Decode: TypeAlias = Callable[[Any], Any]
Encode: TypeAlias = Callable[[Any], Any]

# The order is part of the format: add at the end.
VARIANTS = (
    tree.Is,
    tree.IsNot,
    tree.IsSeen,
    tree.IsAbsent,
    tree.Compare,
    tree.Between,
    tree.Says,
    tree.Found,
    tree.And,
    tree.Or,
    tree.Not,
    tree.AtLeast,
)
_PLAIN = ("str", "int", "float", "bool", "int | None", "float | None")


def signature() -> str:
    """All types and fields that the codec knows, as text: a change makes old rows foreign."""
    kinds = [kind for kind in vars(tree).values() if isinstance(kind, type)]
    return repr(
        [
            (kind.__name__, kind.__annotations__)
            for kind in kinds
            if hasattr(kind, "__dataclass_fields__")
        ]
    )


class Codec:
    """Encodes and decodes for one list of file names."""

    def __init__(self, files: Sequence[str]) -> None:
        """`files` are the names that spans may carry, each at its number."""
        self._files = (*files, "")
        self._numbers = {name: number for number, name in enumerate(self._files)}
        self._decoders: dict[str, Decode | None] = {}
        self._encoders: dict[str, Encode | None] = {}

    # --- Encoding ------------------------------------------------------------------------

    def encode(self, node: Any) -> Row:
        """The row of a node of the tree."""
        kind: Any = type(node)
        row: Row = [self._encode_span(node.span) if _has_span(kind) else 0]
        last = 0
        for name, annotation, default in _layout(kind):
            value = getattr(node, name)
            encode = self._encoder(annotation)
            row.append(value if encode is None else encode(value))
            if default is MISSING or value != default:
                last = len(row)
        return row[: max(last, 1)]

    def _encode_span(self, span: Span) -> list[int]:
        return [self._numbers[span.file], span.line, span.column, span.end_column]

    def _encoder(self, annotation: str) -> Encode | None:
        if annotation not in self._encoders:
            self._encoders[annotation] = self._new_encoder(annotation)
        return self._encoders[annotation]

    def _new_encoder(self, annotation: str) -> Encode | None:
        if _is_plain(annotation):
            return None
        if annotation.endswith(" | None"):
            return _unless_none(self._encoder(annotation.removesuffix(" | None")))
        if annotation.startswith("tuple["):
            return self._tuple_encoder(_parts(annotation))
        if annotation == "Condition":
            return self._encode_condition
        if annotation == "str | Condition":
            return _unless_text(self._encode_condition)
        if not hasattr(getattr(tree, annotation, None), "__dataclass_fields__"):
            raise NotImplementedError(f"no way to write a field of type {annotation}")
        return self.encode

    def _tuple_encoder(self, parts: Sequence[str]) -> Encode:
        if parts[-1] == "...":
            each = self._encoder(parts[0])
            return list if each is None else lambda value: [each(item) for item in value]
        all_of = [self._encoder(part) for part in parts]
        return lambda value: [
            item if part is None else part(item) for part, item in zip(all_of, value, strict=True)
        ]

    def _encode_condition(self, condition: Any) -> Row:
        return [VARIANTS.index(type(condition)), *self.encode(condition)]

    # --- Decoding ------------------------------------------------------------------------

    def decoder(self, kind: type[Any]) -> Decode:
        """What makes a node of this type from a row."""
        decode = self._decoder(kind.__name__)
        assert decode is not None
        return decode

    def _decoder(self, annotation: str) -> Decode | None:
        if annotation not in self._decoders:
            self._decoders[annotation] = self._new_decoder(annotation)
        return self._decoders[annotation]

    def _new_decoder(self, annotation: str) -> Decode | None:
        if _is_plain(annotation):
            return None
        if annotation.endswith(" | None"):
            return _unless_none(self._decoder(annotation.removesuffix(" | None")))
        if annotation.startswith("tuple["):
            return self._tuple_decoder(_parts(annotation))
        if annotation == "Condition":
            return self._condition
        if annotation == "str | Condition":
            return _unless_text(self._condition)
        return self._node_decoder(getattr(tree, annotation))

    def _tuple_decoder(self, parts: Sequence[str]) -> Decode:
        if parts[-1] == "...":
            each = self._decoder(parts[0])
            if each is None:
                return tuple
            return lambda value: tuple([each(item) for item in value])
        all_of = [self._decoder(part) for part in parts]
        return lambda value: tuple(
            [item if part is None else part(item) for part, item in zip(all_of, value, strict=True)]
        )

    def _condition(self, row: Row) -> Any:
        return self.decoder(VARIANTS[row[0]])(row[1:])

    def _node_decoder(self, kind: Any) -> Decode:
        files = self._files
        if kind.__name__ == "Named":  # by far the most frequent node
            named = tree.Named
            return lambda row: named(row[1], Span(files[row[0][0]], *row[0][1:]))
        ways: list[Decode | None] = []
        spanned, leads = _has_span(kind), fields(kind)[0].name == "span"

        def decode(row: Row) -> Any:
            if not ways:
                ways.extend(self._decoder(annotation) for _, annotation, _ in _layout(kind))
            values = [
                value if way is None else way(value)
                for way, value in zip(ways, row[1:], strict=False)
            ]
            if not spanned:
                return kind(*values)
            at = row[0]
            span = Span(files[at[0]], at[1], at[2], at[3])
            return kind(span, *values) if leads else kind(*values, span=span)

        return decode


def _unless_none(way: Decode | None) -> Decode:
    return lambda value: None if value is None or way is None else way(value)


def _unless_text(way: Decode) -> Decode:
    return lambda value: value if isinstance(value, str) else way(value)


@cache
def _layout(kind: Any) -> tuple[tuple[str, str, Any], ...]:
    """Name, annotation and default of each field but the span."""
    return tuple(
        (each.name, str(each.type), each.default) for each in fields(kind) if each.name != "span"
    )


@cache
def _has_span(kind: Any) -> bool:
    return "span" in kind.__dataclass_fields__


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
