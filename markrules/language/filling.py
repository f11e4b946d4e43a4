"""How the lines of an entry fill its fields, by the kind of key."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import field, replace
from typing import Any, TypeAlias

from markrules.frozen import dataclass
from markrules.language import roles, tree
from markrules.language.conditions import Quantity
from markrules.language.kinds import Key
from markrules.language.nearest import nearest
from markrules.language.problems import Problem
from markrules.language.raw import RawLine, WindowPart, unrolled
from markrules.language.spans import Named, Span
from markrules.language.tree import Advice
from markrules.language.windows import Spread, Wave, Window, Year


@dataclass(slots=True)
class Complaints:
    """Problems, in the order in which they are met."""

    problems: list[Problem] = field(default_factory=list)

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


Fields: TypeAlias = dict[str, Any]


def _value(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    value = line.value
    if type(value) is float:
        value = _bounded(told, key, line, value)
    elif type(value) is tuple and key.field in ("fineness", "share", "figures"):
        value = _ascending(told, line, value)
    values[key.field] = value


def _bounded(told: Complaints, key: Key, line: RawLine, value: float) -> float:
    if key.example.endswith("%") and value > 1:
        told.note("share-too-large", f"`{line.key}` is a share of at most 100%", line.span)
        return 1.0
    return value


def _ascending(told: Complaints, line: RawLine, ends: tuple[float, float]) -> tuple[float, float]:
    if ends[0] > ends[1]:
        message = f"`{line.key}` runs backwards: write the smaller number first"
        told.note("range-crossed", message, line.span)
        return ends[1], ends[0]
    return ends


def _word(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values[key.field] = told.chosen(key, line.value, line.key)


def _list(_: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).extend(unrolled(line.value))


def _words(_: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).extend(name.name for name in unrolled(line.value))


def _item(_: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values.setdefault(key.field, []).append(line.value)


def _flag(_: Complaints, key: Key, __: RawLine, values: Fields) -> None:
    values[key.field] = True


def _role(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    role = line.value[0]
    values["role"] = told.chosen(key, role, line.key)
    if len(line.value) > 1:
        values["target"] = line.value[1]
    if (role.name in roles.TARGETS) != (len(line.value) > 1):
        told.note(
            "role-target",
            "a feature stands after `absent`, such as: role absent mark; a wording of damage after"
            " `sound` and `left`; and nothing after any other role",
            role.span,
        )


def _advice(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    """`first CHOICE ABOUT` and the like, `care`, `identify CATEGORY`, or `describe PART`."""
    effect, *rest = line.value
    known = told.chosen(key, effect, line.key)
    wanted, form, words = _ADVICE.get(known, (2, "CHOICE ABOUT", tree.CHOICES))
    if len(rest) != wanted:
        told.note("advice", f"write `{' '.join(('advise', known, form)).strip()}`", effect.span)
        return
    choice = told.chosen(replace(key, choices=words), rest[0], known) if rest else ""
    about = rest[1].name if len(rest) > 1 else ""
    values[key.field] = Advice(known, choice, about, effect.span)


_ADVICE: dict[str, tuple[int, str, tuple[str, ...]]] = {
    "care": (0, "", ()),
    "identify": (1, "CATEGORY", tree.CATEGORIES),
    "describe": (1, "PART", tree.LISTING_PARTS),
}
"""How many words follow, what they are, and which the first may be; of the others, a choice."""


def _mending(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values["mend"] = told.chosen(key, line.value[0], line.key)
    values["mend_how"] = line.value[1]


def _direction(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    values["direction"] = line.key
    if line.value is not None:
        values["strength"] = told.chosen(key, line.value, line.key)
    else:
        values["strength"] = "weak"
        if line.key != "neutral":
            told.note(
                "missing-strength",
                f"how strong? write: {line.key} weak, {line.key} moderate or {line.key} strong",
                line.span,
            )


def _microns(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    quantity: Quantity = line.value
    if quantity.unit != "microns":
        told.note(
            "unknown-unit", "a thickness is given in microns, such as 2.5 microns", quantity.span
        )
    values[key.field] = quantity.number


def _row(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    row, tail, *unit = line.value
    if unit and unit[0].name != "mm":
        told.note("unknown-unit", "a size is given in mm", unit[0].span, "mm")
    if tail is not None:
        row = _row_with(told, row, unrolled(tail))
    values.setdefault(key.field, []).append(row)


def _row_with(told: Complaints, row: Any, extras: tuple[tuple[Named, Any], ...]) -> Any:
    more: Fields = {}
    qualifiers = []
    for name, value in extras:
        field_name = _ROW_FIELDS.get(name.name)
        if field_name is None:
            qualifiers.append((name.name, value))
        elif field_name in more:
            told.note("doubled-line", f"`{name}` stands twice in this row", name.span)
        else:
            more[field_name] = unrolled(value) if field_name == "cites" else value
    return replace(row, qualifiers=tuple(qualifiers), **more)


_ROW_FIELDS = {"trust": "trust", "cite": "cites", "note": "note"}


def _window(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    parts = unrolled(line.value)
    made: Fields = {"span": _stretch(parts[0].span, line.end)}
    gaps: list[tuple[Year, Year]] = []
    for part in parts:
        ends = _window_part(part)
        if "gap" in ends:
            gaps.append(ends["gap"])
        elif made.keys() & ends.keys():
            word = part.words.split()[0]
            told.note("doubled-part", f"`{word}` stands twice in this window", part.span)
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


_FIRST_WAVE = (
    "a spread begins with the years by which 10, 50 and 90% of the surviving pieces had been "
    "made, such as: 1938 1943 1950"
)
_NEXT_WAVE = (
    "a further wave begins with `again` and tells its share, such as: again 1972 1988 2003 at 5%"
)


def _spread(told: Complaints, key: Key, line: RawLine, values: Fields) -> None:
    """A spread begins with its first wave; `again` and `background` follow."""
    waves: list[Wave] = []
    background: float | None = None
    for part in unrolled(line.value):
        if part.wave is not None:
            if part.again != bool(waves):
                told.note("unexpected", _NEXT_WAVE if waves else _FIRST_WAVE, line.span)
                return
            waves.append(part.wave)
        elif background is not None:
            told.note("doubled-part", "`background` stands twice in this spread", part.span)
        else:
            background = part.background
    if waves:
        values[key.field] = Spread(tuple(waves), background, _stretch(line.span, line.end))
    else:
        told.note("unexpected", _FIRST_WAVE, line.span)


FILLERS: Mapping[str, Callable[[Complaints, Key, RawLine, Fields], None]] = {
    "value": _value,
    "word": _word,
    "list": _list,
    "item": _item,
    "window": _window,
    "spread": _spread,
    "words": _words,
    "flag": _flag,
    "role": _role,
    "advice": _advice,
    "mending": _mending,
    "direction": _direction,
    "row": _row,
    "microns": _microns,
}
