"""Is what the entries say complete: citations, questions, values, tables, words?"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from markrules.language.checks.asked_values import conditions_of
from markrules.language.checks.known_names import KnownNames, kind_of
from markrules.language.checks.names import cites_of
from markrules.language.conditions import Is, IsNot, atoms
from markrules.language.nearest import nearest
from markrules.language.problems import Place
from markrules.language.spans import Span
from markrules.language.tree import (
    Caution,
    Claim,
    Clue,
    Esteem,
    Fault,
    Feature,
    Maker,
    MetalMark,
    Misleading,
    Prior,
    Register,
    Remark,
    Row,
    Shares,
    Sign,
    Type,
)


def check_citations(known: KnownNames) -> None:
    """A clue must cite; other knowledge should."""
    for entry in known.entries:
        kind = kind_of(entry)
        if known.is_broken(kind, entry.name) or any(True for _ in cites_of(entry)):
            continue
        message = (
            f'{kind} "{entry.name}" cites nothing; where there is no source, '
            "write: cite common-practice or cite from-memory"
        )
        if isinstance(entry, Clue | Type):
            known.note("no-citation", message, entry.span)
        elif isinstance(
            entry, Sign | Fault | Caution | Maker | Register | MetalMark | Claim | Misleading
        ):
            known.warn("no-citation", message, entry.span)


def check_misleading(known: KnownNames) -> None:
    """What misleads must say when: of what was seen, of what was told, or of both."""
    for entry in known.each(Misleading):
        broken = known.is_broken("misleading", entry.name)
        if entry.when is None and entry.told is None and not broken:
            message = f'misleading "{entry.name}" says nothing of when: give it `when` or `told`'
            known.note("empty-misleading", message, entry.span)
        if any(each.share > 1 for each in entry.chances):
            message = f'a chance of misleading "{entry.name}" is above 100%'
            known.note("share-too-large", message, entry.span)


def check_esteem(known: KnownNames) -> None:
    """A factor of prices is above zero: logarithms of it are added."""
    for entry in known.each(Esteem):
        if not entry.brings > 0 and not known.is_broken("esteem", entry.name):
            message = f'`brings` of esteem "{entry.name}" is a factor above 0, such as: brings 2'
            known.note("senseless", message, entry.span)


def check_remarks(known: KnownNames) -> None:
    """A remark is known by words, or by what the words of a whole note tell."""
    for entry in known.each(Remark):
        if not entry.words and not entry.tells and not known.is_broken("remark", entry.name):
            message = (
                f'remark "{entry.name}" has no line `words`, such as: words "{{part}} ~ {{newer}}"'
            )
            known.note("missing-line", message, entry.span)


def check_features(known: KnownNames) -> None:
    """Features have values where their kind needs them, and rules that use them."""
    used = _used_values(known)
    for feature in known.each(Feature):
        if known.is_broken("feature", feature.name):
            continue
        built_in = known.features[feature.name]
        if built_in.kind in ("choice", "many") and not built_in.values:
            message = f'feature "{feature.name}" has no values'
            known.note("without-values", message, feature.span)
        if feature.values and feature.kind not in ("choice", "many"):
            message = f'feature "{feature.name}" is of kind {feature.kind} and takes no values'
            known.note("no-values", message, feature.values[0].span)
        if feature.unit and feature.kind != "number":
            message = f'feature "{feature.name}" is of kind {feature.kind} and takes no unit'
            known.note("unit", message, feature.span)
        if built_in.kind in ("choice", "many") and not built_in.describes:
            _unused_values(known, feature, used)
        _shares(known, feature)


def _used_values(known: KnownNames) -> set[tuple[str, str]]:
    return {
        (atom.feature.name, value.name)
        for kind, condition in conditions_of((*known.entries, *known.drafts))
        if kind != "case"
        for atom, _ in atoms(condition)
        if isinstance(atom, Is | IsNot)
        for value in atom.values
    }


def _unused_values(known: KnownNames, feature: Feature, used: set[tuple[str, str]]) -> None:
    for value in feature.values:
        if (feature.name, value.name) not in used:
            message = (
                f'no rule asks for value "{value.name}" of feature "{feature.name}"; where it '
                "only describes, write `describes` in the feature"
            )
            known.warn("unused-value", message, value.span)


def _shares(known: KnownNames, feature: Feature) -> None:
    total = sum(value.share or 0 for value in feature.values)
    if feature.kind == "choice" and total > 1.0001:
        message = f'the shares of feature "{feature.name}" add up to {total:.0%}'
        known.warn("shares", message, feature.span)


def check_words(known: KnownNames) -> None:
    """Warn of words that stand for two values of one feature."""
    for feature in known.features.values():
        first: dict[str, tuple[str, Span]] = {}
        for value in feature.values:
            for word in (value.name.replace("-", " "), *value.also):
                name, span = first.setdefault(word.casefold(), (value.name, value.span))
                if name != value.name:
                    message = (
                        f'"{word}" stands for two values of feature "{feature.name}": '
                        f'"{name}" and "{value.name}"'
                    )
                    known.warn("doubled-word", message, value.span, (Place(span, "also here"),))


def check_tables(known: KnownNames) -> None:
    """Rows and points stand in order and fit the kind of their table."""
    for register in known.each(Register):
        for row in register.rows:
            _row_kind(known, register, row)
        _row_columns(known, register)
        if register.kind == "number":
            _ascending(known, register)
    for shares in known.each(Shares):
        _shares_rows(known, shares)
    for prior in known.each(Prior):
        if bool(prior.points) == (prior.common is not None):
            _prior_form(known, prior)
            continue
        years = [year for year, _ in prior.points]
        if any(later <= earlier for earlier, later in pairwise(years)):
            known.note("order", f'the years of prior "{prior.name}" do not rise', prior.span)
        if prior.common is None and not any(weight > 0 for _, weight in prior.points):
            known.note("no-weight", f'prior "{prior.name}" has no weight above 0', prior.span)


def _prior_form(known: KnownNames, prior: Prior) -> None:
    """A prior speaks in points or in one spread."""
    if known.is_broken("prior", prior.name):
        return
    message = f'prior "{prior.name}" takes either lines `at` or one line `common`'
    known.note("missing-line" if not prior.points else "doubled-line", message, prior.span)


def _shares_rows(known: KnownNames, shares: Shares) -> None:
    if any(later.year <= earlier.year for earlier, later in pairwise(shares.rows)):
        known.note("order", f'the years of shares "{shares.name}" do not rise', shares.span)
    for row in shares.rows:
        total = sum(share for _, share in row.values)
        if total > 1.0001:
            message = f'the shares of "{shares.name}" in {row.year} add up to {total:.0%}'
            known.note("share-too-large", message, row.values[0][0].span)


def _row_kind(known: KnownNames, register: Register, row: Row) -> None:
    has_years = row.first is not None
    if has_years == (register.kind == "size"):
        form = 'row "SS16" is 3.8 to 4.0 mm' if register.kind == "size" else "row 119966 in 1940"
        message = f"a {register.kind} register has rows such as: {form}"
        known.note("row-kind", message, row.span)
    elif register.kind == "number" and not row.key.isdigit():
        message = "the key of a row in a number register is a whole number"
        known.note("row-kind", message, row.span)
    if _backwards(row):
        known.note("range-crossed", "this row runs backwards", row.span)


def _backwards(row: Row) -> bool:
    years = row.first is not None and row.last is not None and row.first > row.last
    sizes = row.low_mm is not None and row.high_mm is not None and row.low_mm > row.high_mm
    return years or sizes


def _row_columns(known: KnownNames, register: Register) -> None:
    for row in register.rows:
        for column, _ in row.qualifiers:
            if column not in register.columns:
                message = f'register "{register.name}" has no column "{column}"'
                near = nearest(column, register.columns)
                known.note("unknown-column", message, row.span, near=near)


def _ascending(known: KnownNames, register: Register) -> None:
    for before, row in _pairs(register):
        if int(row.key) <= int(before.key):
            message = f"row {row.key} stands after row {before.key}: numbers must rise"
        elif (row.first or 0) < (before.first or 0) or (row.last or 0) < (before.last or 0):
            message = f"row {row.key} is of an earlier year than row {before.key} above it"
        else:
            continue
        known.note("order", message, row.span, also=(Place(before.span, "the row before"),))


def _pairs(register: Register) -> Iterator[tuple[Row, Row]]:
    rows = [row for row in register.rows if row.key.isdigit() and row.first is not None]
    return pairwise(rows)
