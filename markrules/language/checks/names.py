"""Does every name lead somewhere, and only to one place?"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from markrules.frozen import dataclass
from markrules.language.builtin import COLOUR
from markrules.language.checks.asked_values import check_value
from markrules.language.checks.known_names import KnownNames, kind_of
from markrules.language.conditions import (
    And,
    Between,
    Compare,
    Condition,
    Is,
    IsAbsent,
    IsNot,
    Says,
)
from markrules.language.nearest import nearest
from markrules.language.problems import Place
from markrules.language.roles import DAMAGE_ROLES, IN_CLAIMS, OF_LISTINGS, TARGETS
from markrules.language.slots import ANY_PART, BRACED, BUILT_IN_SLOTS, FAMILY
from markrules.language.spans import Named, Span
from markrules.language.tree import (
    ALL_ELSE,
    Asking,
    Case,
    Cite,
    Claim,
    Clue,
    Entry,
    Esteem,
    Fault,
    Feature,
    Fill,
    Finding,
    Fittings,
    Maker,
    Mark,
    Misleading,
    More,
    Piece,
    PieceException,
    Prior,
    Register,
    Remark,
    Row,
    Shade,
    Shares,
    Sign,
    Slot,
    Source,
    Together,
    Type,
    Value,
    Wording,
)

# Words with a meaning of their own where a feature, or a value, could stand.
RESERVED_FEATURES = (
    "at",
    "clue",
    "caution",
    "finding",
    "found",
    "maker",
    "misleading",
    "not",
    "sign",
    "type",
    "year",
)
RESERVED_VALUES = ("absent", "not", "one", "seen")


def check_names(known: KnownNames) -> None:
    """Check that names are not doubled or reserved, and that all references resolve."""
    _doubled_entries(known)
    fillings = _fillings(known)
    families = {each.name for each in known.each(Wording) if each.role == IN_CLAIMS}
    for entry in known.entries:
        for kind, name in references(entry):
            known.resolve(kind, name)
        if isinstance(entry, Feature):
            _reserved(known, entry)
            _doubled_parts(known, entry.values, f'feature "{entry.name}"', "value")
            _slots(known, entry, fillings)
        elif isinstance(entry, Maker):
            _doubled_parts(known, entry.marks, f'maker "{entry.name}"', "mark")
        elif isinstance(entry, Fault):
            _slots(known, entry, fillings)
        elif isinstance(entry, Finding):
            _meant(known, entry)
            _advised(known, entry)
        elif isinstance(entry, Case):
            _expected(known, entry)
        elif isinstance(entry, Shares):
            _shared(known, entry)
        elif isinstance(entry, Misleading):
            _blamed(known, entry)
        elif isinstance(entry, Slot | Remark | Shade):
            _small(known, entry)
        elif isinstance(entry, Wording) and entry.role in DAMAGE_ROLES:
            _spelled(known, entry)
        elif isinstance(entry, Claim | Wording):
            _in_claims(known, entry, families)
    _broader(known)


def _meant(known: KnownNames, finding: Finding) -> None:
    """The value that a finding puts to a feature must be there."""
    if finding.means is not None:
        check_value(known, *finding.means)


def _slots(known: KnownNames, entry: Fault | Feature, fillings: _Fillings) -> None:
    """What stands in braces in the words of a fault, a damage first, then a thing; and of a
    value, a wording of the role `false` first, then a feature.
    """
    roles = DAMAGE_ROLES if isinstance(entry, Fault) else ("false",)
    texts = (
        [(text, entry.span) for text in entry.also]
        if isinstance(entry, Fault)
        else [(text, value.span) for value in entry.values for text in value.also]
    )
    for text, span in texts:
        if "{" not in text:
            continue
        for at, name in enumerate(re.findall(r"\{([^}]*)\}", text)[:2]):
            fits = fillings.wordings.get(name) in roles if at == 0 else name in fillings.things
            if not fits:
                kind = " or ".join(roles) if at == 0 else "thing"
                message = f'no wording of the role {kind} is called "{name}"'
                known.note("unknown-slot", message, span)


@dataclass(frozen=True, slots=True)
class _Fillings:
    """What may stand in braces: each wording with its role, and all that may be a thing."""

    wordings: Mapping[str, str]
    things: frozenset[str]


def _fillings(known: KnownNames) -> _Fillings:
    wordings = {each.name: each.role for each in known.entries if isinstance(each, Wording)}
    features = {each.name for each in known.entries if isinstance(each, Feature)} | set(ANY_PART)
    things = {name for name, role in wordings.items() if role == "thing"} | features
    return _Fillings(wordings, frozenset(things))


def _spelled(known: KnownNames, entry: Wording) -> None:
    """What stands in braces in words of damage are wordings, all words of which are meant."""
    for name in dict.fromkeys(name for text in entry.words for name in BRACED.findall(text)):
        if name not in known.by_kind["wording"]:
            near = nearest(name, known.by_kind["wording"])
            known.note("unknown-slot", f'no wording is called "{name}"', entry.span, near=near)


def _in_claims(known: KnownNames, entry: Claim | Wording, families: Collection[str]) -> None:
    """What stands in braces in the words of a claim, or of what claims nothing, are families."""
    words = (*entry.words, *entry.fine) if isinstance(entry, Claim) else entry.words
    if isinstance(entry, Wording) and entry.role not in OF_LISTINGS:
        return
    for name in dict.fromkeys(name for text in words for name in FAMILY.findall(text)):
        if name not in families:
            message = f'no wording of the role {IN_CLAIMS} is called "{name}"'
            known.note("unknown-slot", message, entry.span, near=nearest(name, families))


def _braced(known: KnownNames, texts: Iterable[str], span: Span) -> None:
    """What stands in braces in words of a remark, or of a fill, must be known."""
    for name in dict.fromkeys(name for text in texts for name in BRACED.findall(text)):
        if name in BUILT_IN_SLOTS or name in known.features:
            continue
        if name not in known.by_kind["slot"] and name not in known.by_kind["wording"]:
            words = (*known.by_kind["slot"], *known.by_kind["wording"])
            message = f'no slot, wording or feature is called "{name}"'
            known.note("unknown-slot", message, span, near=nearest(name, words))


def _advised(known: KnownNames, finding: Finding) -> None:
    """What is done must be what some advice puts first, or speaks against."""
    advice = finding.advise
    if advice is None or advice.effect != "done":
        return
    undone = [
        each.advise.about
        for each in known.each(Finding)
        if each.advise is not None
        and each.advise.effect in ("first", "against")
        and each.advise.choice == advice.choice
    ]
    if advice.about not in undone:
        near = nearest(advice.about, undone)
        message = f"no finding advises `first {advice.choice} {advice.about}`"
        known.note("unknown-advice", message, advice.span, near=near)


def _doubled_entries(known: KnownNames) -> None:
    first: dict[tuple[str, str], Entry] = {}
    for entry in known.entries:
        if isinstance(entry, More):  # named as the entry that it adds to; several may add
            continue
        kind = kind_of(entry)
        before = first.setdefault((kind, entry.name), entry)
        if before is not entry:
            told = f'two entries are called {kind} "{entry.name}"'
            if kind == "feature" and before.span.file != entry.span.file:
                told += (
                    "; a feature stands in one place: call one of your own something else, or add"
                    f" to this one with: more {entry.name}"
                )
            known.note(
                "doubled-name",
                told,
                entry.span,
                also=(Place(before.span, "first written here"),),
            )


def _doubled_parts(
    known: KnownNames, parts: Sequence[Value | Mark | Fill], owner: str, what: str
) -> None:
    first: dict[str, Value | Mark | Fill] = {}
    for part in parts:
        before = first.setdefault(part.name, part)
        if before is not part:
            known.note(
                "doubled-name",
                f'{owner} has {what} "{part.name}" twice',
                part.span,
                also=(Place(before.span, "first written here"),),
            )


def _reserved(known: KnownNames, feature: Feature) -> None:
    if feature.name in RESERVED_FEATURES:
        message = f'"{feature.name}" has a meaning in conditions; call this feature something else'
        known.note("reserved-name", message, feature.span)
    for value in feature.values:
        if value.name in RESERVED_VALUES:
            message = f'"{value.name}" has a meaning in conditions; call this value something else'
            known.note("reserved-name", message, value.span)


def references(entry: Entry) -> Iterator[tuple[str, Named]]:
    """Names that an entry refers to, outside its conditions, with the kind of each."""
    yield from (("source", cite.source) for cite in cites_of(entry))
    match entry:
        case Clue() | Type():
            yield "trust", entry.trust
            yield from (("maker", name) for name in entry.points)
            yield from _optional("family", getattr(entry, "family", None))
        case Remark():
            yield from _optional("feature", entry.year)
            yield from (("wording", name) for name in entry.damages)
            yield from _optional("fault", entry.shows)
        case Fittings() | PieceException() | Asking() | Together():
            yield from (("feature", name) for name in entry.of)
        case Feature() | Piece() | Wording() | Prior():
            kind, line = _ONE_NAME[type(entry)]
            kind = TARGETS.get(entry.role, kind) if isinstance(entry, Wording) else kind
            yield from _optional(kind, getattr(entry, line))
        case Fault():
            yield from (("feature", name) for name in entry.within)
        case Maker():
            yield from _optional("commonness", entry.common)
            for mark in entry.marks:
                yield from _optional("trust", mark.trust)
                yield from (("feature", name) for name in mark.never)
        case Esteem():
            yield from (("maker", name) for name in entry.makers)
        case Register():
            yield from (each for row in entry.rows for each in _optional("trust", row.trust))
        case Slot():
            yield from (("feature", name) for fill in entry.fills for name in fill.part)
            yield from (("piece", name) for fill in entry.fills for name in fill.on)
    yield from (("claim", name) for name in getattr(entry, "beside", ()))
    if isinstance(entry, Feature | More):
        yield from (("feature", name) for each in entry.values for name in each.within)
    if isinstance(
        entry, Clue | Feature | Sign | Prior | Type | Shares | Misleading | Wording | Remark
    ):
        yield from (("piece", name) for name in entry.on)


_ONE_NAME: Mapping[type[Entry], tuple[str, str]] = {
    Feature: ("family", "family"),
    Piece: ("piece", "under"),
    Wording: ("feature", "target"),
    Prior: ("origin", "origin"),
}
"""Entries that name one other: its kind, and the field that holds it."""


def _optional(kind: str, name: Named | None) -> Iterator[tuple[str, Named]]:
    if name is not None:
        yield kind, name


def cites_of(entry: Entry) -> Iterator[Cite]:
    """Every citation of an entry, those of its marks and rows among them."""
    yield from getattr(entry, "cites", ())
    parts: Iterable[Mark | Row] = ()
    if isinstance(entry, Maker):
        parts = entry.marks
    elif isinstance(entry, Register):
        parts = entry.rows
    for part in parts:
        yield from part.cites


def _expected(known: KnownNames, case: Case) -> None:
    for given in case.given:
        if not isinstance(given, str) and not _is_sight(given):
            message = (
                "`given` tells what was seen: one value, absence, text or measure, and no more"
            )
            known.note("vague-given", message, given.span)
    for expect in case.expect:
        if expect.name is not None:
            known.resolve(expect.kind, expect.name)
        if len(expect.years) == 2 and expect.years[0] > expect.years[1]:
            message = "these years run backwards: write the earlier year first"
            known.note("range-crossed", message, expect.span)


def _shared(known: KnownNames, shares: Shares) -> None:
    """The feature of a table of shares, and each value in its rows, must be there."""
    feature = shares.of[0] if shares.of else Named(shares.name, shares.span)
    if known.resolve("feature", feature) is not None:
        for row in shares.rows:
            for value, _ in row.values:
                check_value(known, feature, value)


def _small(known: KnownNames, entry: Slot | Remark | Shade) -> None:
    """Entries of words alone: their braces, fills and colours."""
    if isinstance(entry, Slot):
        _doubled_parts(known, entry.fills, f'slot "{entry.name}"', "fill")
        for fill in entry.fills:
            _braced(known, fill.words, fill.span)
    elif isinstance(entry, Remark):
        _braced(known, (*entry.words, *entry.never), entry.span)
    else:
        _coloured(known, entry)


def _coloured(known: KnownNames, shade: Shade) -> None:
    """A shade must be of a known colour, and its own be written as six hexadecimal digits."""
    colour = Named(COLOUR, shade.of.span)
    if known.resolve("feature", colour) is not None:
        check_value(known, colour, shade.of)
    if not re.fullmatch(r"#[0-9A-Fa-f]{6}", shade.looks):
        message = f'"{shade.looks[:40]}" is no colour: write # and six hexadecimal digits'
        known.note("no-colour", message, shade.span)


def _blamed(known: KnownNames, entry: Misleading) -> None:
    """The parts it blames, what would settle it and what does not count must be there."""
    if entry.each is not None:
        known.resolve("slot", entry.each)
        return
    for name in (*entry.part, *entry.settle):
        known.resolve("feature", name)
    for chance in entry.chances:
        for name in chance.on:
            known.resolve("piece", name)
    order = (*entry.order.earlier, *entry.order.later) if entry.order is not None else ()
    for name in (*entry.never, *order):
        if name.name == ALL_ELSE and name in order:
            continue
        if name.name not in known.by_kind["clue"] and not known.is_broken("clue", name.name):
            known.resolve("feature", name, "feature or clue")


def _is_sight(condition: Condition) -> bool:
    """True if a condition says what a person saw, so that it can be taken as seen."""
    if isinstance(condition, And):
        return all(_is_sight(part) for part in condition.parts)
    if isinstance(condition, Is):
        return len(condition.values) == 1
    return isinstance(condition, IsNot | IsAbsent | Says | Compare | Between)


def _broader(known: KnownNames) -> None:
    """A piece type must not be broader than itself."""
    pieces = {piece.name: piece for piece in known.each(Piece)}
    for piece in pieces.values():
        chain = [piece.name]
        under = piece.under
        while under is not None and under.name in pieces and under.name not in chain:
            chain.append(under.name)
            under = pieces[under.name].under
        if under is not None and under.name == piece.name and min(chain) == piece.name:
            message = f"piece types stand under each other: {' -> '.join([*chain, piece.name])}"
            known.note("piece-circle", message, piece.span)


def check_sources(known: KnownNames) -> None:
    """Warn of sources that nothing cites."""
    used = {
        cite.source.name for entry in (*known.entries, *known.drafts) for cite in cites_of(entry)
    }
    for source in known.each(Source):
        if source.name not in used and not known.is_broken("source", source.name):
            known.warn("unused-source", f'source "{source.name}" is never cited', source.span)
