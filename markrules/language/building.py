"""Raw entries to typed ones: keys to fields, and what is missing, doubled or out of bounds."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, dataclass, field, fields, replace
from functools import cache
from typing import Any

from markrules.language.nearest import nearest
from markrules.language.shapes import SHAPES, Key, Shape
from markrules.language.shaping import RawEntry, RawLine, WindowPart, unrolled
from markrules.language.tree import Entry, Named, Place, Problem, Quantity, Span, Window, Year

Fields = dict[str, Any]


@dataclass(slots=True)
class Builder:
    """Builds the entries of one file. `hurt` holds entries that lost a line to a problem."""

    hurt: set[tuple[str, int]] = field(default_factory=set)
    problems: list[Problem] = field(default_factory=list)
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
        shape: Shape,
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
        _TAKERS[key.take](self, key, line, values)

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

    def _finished(self, raw: RawEntry, shape: Shape, values: Fields) -> Any:
        missing = [key for key in shape.required if shape.keys[key].field not in values]
        if _at(raw) not in self.hurt:
            for key in missing:
                self._missing(raw, key, shape.keys[key])
        if not _needed(raw.kind) <= values.keys() | _defaults(raw.kind).keys():
            return None
        return shape.build(**{**_defaults(raw.kind), **values})

    def _missing(self, raw: RawEntry, key: str, shape: Key) -> None:
        names = "`better`, `poorer` or `neutral`" if key == "better" else f"`{key}`"
        self.note(
            "missing-line",
            f'{raw.kind} "{raw.name}" has no line {names}, such as: {key} {shape.example}',
            raw.name.span,
        )

    def note(self, code: str, message: str, span: Span, near: str | None = None) -> None:
        """Add a problem."""
        self.problems.append(Problem(code, message, span, (), near))

    def chosen(self, key: Key, word: Named, what: str) -> str:
        """The word, after a problem if it is not among those that the key allows."""
        if key.choices and word.name not in key.choices:
            self.note(
                "unknown-word",
                f'"{word}" cannot stand after `{what}`; known words: {", ".join(key.choices)}',
                word.span,
                nearest(word.name, key.choices),
            )
            return key.choices[0]
        return word.name


def _at(raw: RawEntry) -> tuple[str, int]:
    return raw.name.name, raw.name.span.line


@cache
def _needed(kind: str) -> frozenset[str]:
    """Fields without which an entry of this kind cannot be built."""
    return frozenset(
        each.name
        for each in fields(SHAPES[kind].build)
        if each.default is MISSING and each.default_factory is MISSING
    )


def _defaults(kind: str) -> Fields:
    """Fields of the tree without a default that a text may yet leave out."""
    return {"made": None, "cites": (), "why": ""} if kind == "clue" else {}


# --- How each kind of key fills its field ------------------------------------------------------


def _value(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    value = line.value
    if type(value) is float:
        value = _bounded(builder, key, line, value)
    elif type(value) is tuple and key.field in ("fineness", "share"):
        value = _ascending(builder, line, value)
    values[key.field] = value


def _bounded(builder: Builder, key: Key, line: RawLine, value: float) -> float:
    if key.example.endswith("%") and value > 1:
        builder.note("share-too-large", f"`{line.key}` is a share of at most 100%", line.span)
        return 1.0
    return value


def _ascending(builder: Builder, line: RawLine, ends: tuple[float, float]) -> tuple[float, float]:
    if ends[0] > ends[1]:
        message = f"`{line.key}` runs backwards: write the smaller number first"
        builder.note("range-crossed", message, line.span)
        return ends[1], ends[0]
    return ends


def _word(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values[key.field] = builder.chosen(key, line.value, line.key)


def _list(_: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).extend(unrolled(line.value))


def _words(_: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).extend(name.name for name in unrolled(line.value))


def _item(_: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).append(line.value)


def _flag(_: Builder, key: Key, __: RawLine, values: Fields) -> None:
    values[key.field] = True


def _role(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    role = line.value[0]
    values["role"] = builder.chosen(key, role, line.key)
    if len(line.value) > 1:
        values["target"] = line.value[1]
    if (role.name == "absent") != (len(line.value) > 1):
        builder.note(
            "role-target",
            "a feature stands after `absent`, such as: role absent mark, and after no other role",
            role.span,
        )


def _mending(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values["mend"] = builder.chosen(key, line.value[0], line.key)
    values["mend_how"] = line.value[1]


def _direction(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    values["direction"] = line.key
    if line.value is not None:
        values["strength"] = builder.chosen(key, line.value, line.key)
    else:
        values["strength"] = "weak"
        if line.key != "neutral":
            builder.note(
                "missing-strength",
                f"how strong? write: {line.key} weak, {line.key} moderate or {line.key} strong",
                line.span,
            )


def _microns(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    quantity: Quantity = line.value
    if quantity.unit != "microns":
        builder.note(
            "unknown-unit", "a thickness is given in microns, such as 2.5 microns", quantity.span
        )
    values[key.field] = quantity.number


def _row(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    row, tail, *unit = line.value
    if unit and unit[0].name != "mm":
        builder.note("unknown-unit", "a size is given in mm", unit[0].span, "mm")
    if tail is not None:
        row = _row_with(builder, row, unrolled(tail))
    values.setdefault(key.field, []).append(row)


def _row_with(builder: Builder, row: Any, extras: tuple[tuple[Named, Any], ...]) -> Any:
    more: Fields = {}
    qualifiers = []
    for name, value in extras:
        field_name = _ROW_FIELDS.get(name.name)
        if field_name is None:
            qualifiers.append((name.name, value))
        elif field_name in more:
            builder.note("doubled-line", f"`{name}` stands twice in this row", name.span)
        else:
            more[field_name] = unrolled(value) if field_name == "cites" else value
    return replace(row, qualifiers=tuple(qualifiers), **more)


_ROW_FIELDS = {"trust": "trust", "cite": "cites", "note": "note"}


def _window(builder: Builder, key: Key, line: RawLine, values: Fields) -> None:
    parts = unrolled(line.value)
    made: Fields = {"span": _stretch(parts[0].span, line.end)}
    gaps: list[tuple[Year, Year]] = []
    for part in parts:
        ends = _window_part(part)
        if "gap" in ends:
            gaps.append(ends["gap"])
        elif made.keys() & ends.keys():
            word = part.words.split()[0]
            builder.note("doubled-part", f"`{word}` stands twice in this window", part.span)
        else:
            made |= ends
    values[key.field] = Window(**made, gaps=tuple(gaps))


def _stretch(start: Span, end: tuple[int, int]) -> Span:
    """From a word to an end, if that is on the same line."""
    return replace(start, end_column=end[1]) if start.line == end[0] else start


def _window_part(part: WindowPart) -> Fields:
    words, years = part.words.split(), part.years
    if words[0] == "fade":
        return {"fade": part.fade}
    if words[0] == "except":
        return {"gap": (years[0], years[-1])}
    if words[0] != "mostly":
        return {"first" if words[0] == "from" else "last": years[0]}
    first = None if "until" in words else years[0]
    last = None if "onward" in words else years[-1]
    return {"mostly_first": first, "mostly_last": last}


_TAKERS: Mapping[str, Callable[[Builder, Key, RawLine, Fields], None]] = {
    "value": _value,
    "word": _word,
    "list": _list,
    "item": _item,
    "window": _window,
    "words": _words,
    "flag": _flag,
    "role": _role,
    "mending": _mending,
    "direction": _direction,
    "row": _row,
    "microns": _microns,
}
