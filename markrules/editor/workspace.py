"""Rule files as an editor has them open, over the rules that come with markrules; no protocol."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import field, fields, replace
from pathlib import Path
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.texts import DRAFTS
from markrules.language.builtin import COLOUR, VALUES_AS_ENTRIES
from markrules.language.checker import check, in_order
from markrules.language.checks.known_names import KnownNames, kind_of, known_in
from markrules.language.checks.names import references
from markrules.language.conditions import (
    ON_A_FEATURE,
    Before,
    Condition,
    Found,
    Is,
    IsNot,
    OfType,
    atoms,
)
from markrules.language.enlarging import enlarged
from markrules.language.lines import physical_lines
from markrules.language.parser import parse
from markrules.language.problems import Problem
from markrules.language.slots import FAMILY, filled_name, slot_of
from markrules.language.spans import Named, Span
from markrules.language.tree import (
    ALL_ELSE,
    DATINGS,
    Book,
    Case,
    Entry,
    Expect,
    Feature,
    Finding,
    Misleading,
    More,
    Remark,
    Shade,
    Shares,
    Slot,
)
from markrules.language.withdrawing import without_withdrawn

ALONE = "foundations.rules"
"""A folder with a file of this name is a whole rule base, and adds to no other."""


@dataclass(frozen=True, slots=True)
class Occurrence:
    """A name where it stands: of what kind of thing, and whether this is where it is defined.

    A value is of kind `value`, and named `FEATURE/VALUE`.
    """

    kind: str
    name: str
    span: Span
    defines: bool = False


@dataclass(slots=True)
class Workspace:
    """The rule files at hand: those shipped, compiled, and the person's own, parsed one by one.

    `shipped` are entries that are there already; `texts` are own files by their path, and `shown`
    files of the shipped rules that are open too: names are followed there, and nothing is checked.
    """

    shipped: tuple[Entry, ...] = ()
    texts: dict[str, str] = field(default_factory=dict)
    shown: dict[str, str] = field(default_factory=dict)
    _shipped_files: frozenset[str] | None = None
    _books: dict[str, tuple[str, Book, tuple[Problem, ...]]] = field(default_factory=dict)
    _known: KnownNames | None = None
    _at_rest: KnownNames | None = None

    def put(self, file: str, text: str) -> None:
        """Take the text of a file, new or changed."""
        if self.is_shipped(file):
            self.shown[file] = text
        elif self.texts.get(file) != text:
            self.texts[file] = text
            self._known = None

    def drop(self, file: str) -> None:
        """Forget a file that is no more."""
        self.texts.pop(file, None)
        self.shown.pop(file, None)
        self._books.pop(file, None)
        self._known = None

    def is_shipped(self, file: str) -> bool:
        """Whether a file is one of those that come with markrules."""
        if self._shipped_files is None:
            files = {each.span.file for each in self.shipped}
            # Editors name files from the root; spans name them as they were given.
            self._shipped_files = frozenset(str(Path(each).absolute()) for each in files)
        return str(Path(file).absolute()) in self._shipped_files

    def parsed(self, file: str) -> tuple[Book, tuple[Problem, ...]]:
        """The entries of a file and what its text has wrong, parsed again where it changed."""
        text = self.texts[file] if file in self.texts else self.shown[file]
        kept = self._books.get(file)
        if kept is None or kept[0] != text:
            kept = (text, *parse(text, file))
            self._books[file] = kept
        return kept[1], kept[2]

    def books(self) -> list[Book]:
        """The own files, parsed."""
        return [self.parsed(file)[0] for file in sorted(self.texts)]

    def known(self) -> KnownNames:
        """All that is known by name, own entries before shipped ones of the same name."""
        if self._known is None:
            self._known = known_in(enlarged([*self.books(), Book("", self.shipped)])[0])
            self._at_rest = self._known
        return self._known

    def known_at_rest(self) -> KnownNames:
        """All that was known when the keys last rested: what is offered with each key waits for no
        parsing of a long file.
        """
        return self._at_rest if self._at_rest is not None else self.known()

    def as_it_stands(self) -> CheckedFiles:
        """What there is to check now, parsed; it stays as it is while the person types on."""
        own = tuple((file, *self.parsed(file)) for file in sorted(self.texts))
        return CheckedFiles(self.shipped, own)

    def problems(self) -> dict[str, list[Problem]]:
        """The problems of every own file as it is now."""
        return problems_of(self.as_it_stands())

    def at(self, file: str, line: int, column: int) -> Occurrence | None:
        """The name that stands at a line and column, counted from 1; its end counts too."""
        if file not in self.texts and file not in self.shown:
            return None
        for each in self._in_file(file):
            span = each.span
            if span.line == line and span.column <= column <= span.end_column:
                return each
        return None

    def _in_file(self, file: str) -> Iterator[Occurrence]:
        book, known = self.parsed(file)[0], self.known()
        yield from occurrences(book.entries, known)
        yield from in_texts(self.texts.get(file) or self.shown.get(file, ""), file, known)

    def all_of(self, kind: str, name: str) -> list[Occurrence]:
        """Every place in own files where a thing is named."""
        found = (each for file in sorted(self.texts) for each in self._in_file(file))
        kinds = {kind}
        if name in self.known().by_kind["register"]:  # its feature is called so too
            kinds = {"register", "feature"} if kind in ("register", "feature") else kinds
        return [each for each in found if each.name == name and each.kind in kinds]

    def entry(self, kind: str, name: str) -> Any:
        """The entry or value that is so named, None where there is none."""
        known = self.known()
        if kind == "value":
            feature, _, value = name.partition("/")
            values = known.features[feature].values if feature in known.features else ()
            return next((each for each in values if each.name == value), None)
        if kind == "feature":
            return known.features.get(name)
        found = known.by_kind.get(kind, {}).get(name)
        return self._filled(kind, name) if found is None and kind in _WITH_SLOTS else found

    def _filled(self, kind: str, name: str) -> Entry | None:
        """The situation or remark with a slot that stands for one of this name, among others."""
        known = self.known()
        slots = {each.name: each for each in known.each(Slot)}
        for entry in known.by_kind[kind].values():
            slot = None
            if isinstance(entry, Remark):
                slot = slot_of(entry, slots)
            elif isinstance(entry, Misleading) and entry.each is not None:
                slot = slots.get(entry.each.name)
            fills = slot.fills if slot is not None else ()
            if name in [filled_name(entry.name, each) for each in fills]:
                return entry
        return None

    def definition(self, kind: str, name: str) -> Span | None:
        """Where a thing is defined; None for what is built in, and for what is not known."""
        found = self.entry(kind, name)
        return found.span if found is not None and found.span.file else None


@dataclass(frozen=True, slots=True)
class CheckedFiles:
    """What is checked: the shipped entries, and of each own file its path, its entries and what
    its text has wrong.
    """

    shipped: tuple[Entry, ...]
    own: tuple[tuple[str, Book, tuple[Problem, ...]], ...]


def problems_of(standing: CheckedFiles) -> dict[str, list[Problem]]:
    """The problems of every own file, as `markrules rules check` tells them, less the worked
    examples: those are read when the command is run.
    """
    drafts = [book for _, book, _ in standing.own if is_draft(book.file)]
    used = [book for _, book, _ in standing.own if not is_draft(book.file)]
    merged, amiss = without_withdrawn([[Book("", standing.shipped)], used])
    grown, wrong = enlarged(merged)
    found = [*amiss, *wrong, *check(grown, draft_books=drafts)]
    if drafts:
        # With the drafts among the rest, what they name of each other is known.
        mine = {each.file for each in drafts}
        every, wrong = enlarged([*merged, *drafts])
        met = [each for each in (*wrong, *check(every)) if each.place.file in mine]
        found += [replace(each, severity="warning") for each in met]
    told: dict[str, list[Problem]] = {file: [] for file, _, _ in standing.own}
    for file, _, in_text in standing.own:
        for each in in_text:
            told[file].append(replace(each, severity="warning") if is_draft(file) else each)
    for each in found:
        if each.place.file in told:
            told[each.place.file].append(each)
    return {file: sorted(dict.fromkeys(each), key=in_order) for file, each in told.items()}


def shipped_entries() -> tuple[Entry, ...]:
    """Every entry of the rules that come with markrules."""
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, shipped_rules
    from markrules.language.kinds import KINDS

    base, _ = load([shipped_rules()], cache_folder=cache_folder())
    return tuple(
        entry
        for kind in KINDS.values()
        for entry in getattr(base, kind.field, {}).values()
        # What was added stands in the entries that it was added to.
        if entry.span.file and not isinstance(entry, More)
    )


def is_draft(file: str) -> bool:
    """Whether a file is not ready, and lies below `drafts/`."""
    return DRAFTS in Path(file).parts


_WITH_SLOTS = ("misleading", "remark")
"""Kinds of entries that may stand for one for each fill of a slot."""


def in_texts(text: str, file: str, known: KnownNames) -> Iterator[Occurrence]:
    """The names in braces in quoted texts: of slots, wordings and features."""
    for number, line in enumerate(physical_lines(text), 1):
        if "{" not in line:
            continue
        for quoted in _QUOTED.finditer(line):
            for found in FAMILY.finditer(line, quoted.start(), quoted.end()):
                name = found[1]
                kind = next((kind for kind in _IN_BRACES if name in known.by_kind[kind]), None)
                if kind is not None:
                    span = Span(file, number, found.start(1) + 1, found.end(1) + 1)
                    yield Occurrence(kind, name, span)


_IN_BRACES = ("slot", "wording", "feature")
_QUOTED = re.compile(r'"[^"\\]*(?:\\.[^"\\]*)*"')


def occurrences(entries: Iterable[Entry], known: KnownNames) -> Iterator[Occurrence]:
    """Every name in some entries: what is defined, and what is spoken of."""
    for entry in entries:
        if isinstance(entry, Shares) and not entry.of:  # named as the feature that it is of
            yield Occurrence("feature", entry.name, entry.span)
        adds = isinstance(entry, More)
        kind = entry.kind if isinstance(entry, More) else kind_of(entry)
        yield Occurrence(kind, entry.name, entry.span, defines=not adds)
        for kind, name in references(entry):
            yield Occurrence(kind, name.name, name.span)
        if isinstance(entry, Feature | More):
            for value in entry.values:
                new = not adds or bool(value.say)
                yield Occurrence("value", f"{entry.name}/{value.name}", value.span, defines=new)
        yield from _special(entry, known)
        for condition in conditions_of(entry):
            yield from in_condition(condition)


def _special(entry: Entry, known: KnownNames) -> Iterator[Occurrence]:
    match entry:
        case Case():
            for expect in entry.expect:
                if expect.name is not None:
                    yield Occurrence(expect.kind, expect.name.name, expect.name.span)
        case Misleading():
            order = (*entry.order.earlier, *entry.order.later) if entry.order is not None else ()
            if entry.each is not None:
                yield Occurrence("slot", entry.each.name, entry.each.span)
            for name in (*entry.part, *entry.settle, *entry.never, *order):
                if name.name != ALL_ELSE or name not in order:
                    yield Occurrence(_either(known, entry, name), name.name, name.span)
            for chance in entry.chances:
                yield from (Occurrence("piece", each.name, each.span) for each in chance.on)
        case Shade():
            yield _value(COLOUR, entry.of)
        case Shares():
            feature = entry.of[0].name if entry.of else entry.name
            yield from (Occurrence("feature", each.name, each.span) for each in entry.of)
            for row in entry.rows:
                yield from (_value(feature, name) for name, _ in row.values)
        case Finding() if entry.means is not None:
            feature_name, value = entry.means
            yield Occurrence("feature", feature_name.name, feature_name.span)
            yield _value(feature_name.name, value)


def _either(known: KnownNames, entry: Misleading, name: Named) -> str:
    """What a situation names where several kinds may stand: its slot, a clue or a feature."""
    if entry.each is not None and name.name == entry.each.name:
        return "slot"
    return "clue" if name.name in known.by_kind["clue"] else "feature"


def conditions_of(entry: Entry) -> Iterator[Condition]:
    """The conditions of an entry, whatever its kind."""
    for each in fields(entry):
        value = getattr(entry, each.name)
        for part in value if isinstance(value, tuple) else (value,):
            if isinstance(part, Condition):
                yield part
            elif isinstance(part, Expect) and part.condition is not None:
                yield part.condition


def in_condition(condition: Condition) -> Iterator[Occurrence]:
    """The names in a condition, first to last."""
    for atom, _ in atoms(condition):
        if isinstance(atom, ON_A_FEATURE):
            yield Occurrence("feature", atom.feature.name, atom.feature.span)
        if isinstance(atom, Is | IsNot):
            yield from (_value(atom.feature.name, each) for each in atom.values)
        elif isinstance(atom, Found):
            yield Occurrence("finding", atom.finding.name, atom.finding.span)
        elif isinstance(atom, OfType):
            yield Occurrence("type", atom.type.name, atom.type.span)
        elif isinstance(atom, Before):
            for name in (atom.earlier, atom.later):
                if name.name not in DATINGS:
                    yield Occurrence("feature", name.name, name.span)


def _value(feature: str, value: Named) -> Occurrence:
    kind = VALUES_AS_ENTRIES.get(feature)
    if kind is not None:
        return Occurrence(kind, value.name, value.span)
    return Occurrence("value", f"{feature}/{value.name}", value.span)
