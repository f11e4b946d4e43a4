"""What misleads, as it is written: its lines, and years that are compared."""

from __future__ import annotations

from together import every_case

from markrules.language.checker import check
from markrules.language.conditions import Before, Compare, OfType, OfTypeUntil
from markrules.language.parser import parse
from markrules.language.spans import Named
from markrules.language.tree import Chance, Misleading, Order


def _condition(text: str) -> object:
    book, problems = parse(f"finding f\n    when {text}\n", "x")
    assert problems == ()
    return book.entries[0].when  # type: ignore[union-attr]


@every_case(
    ("text", "expected"),
    [
        ("a before b", Before(Named("a"), Named("b"))),
        ("a after b", Before(Named("b"), Named("a"))),
        ("engraved before assayed by 3", Before(Named("engraved"), Named("assayed"), 3)),
        ("found type clear-belly", OfType(Named("clear-belly"))),
        ("found type until 1945", OfTypeUntil(1945)),
    ],
)
def test_years_are_compared_and_types_asked_for(text: str, expected: object) -> None:
    assert _condition(text) == expected


def test_every_line_fills_its_field() -> None:
    text = """misleading revival
    kind   revival
    on     brooch
    when   style is deco
    told   told-date is seen
    known  told-date over 1970
    order  style, plastic after rest by 10
    dated  from 1960
    taken  "an old one"
    is     "a new one"
    part   plastic
    look   "Seams."
    settle pin-mount
    chance 60%
    chance 75% on bracelet, ring
    never  told-date
    cite   from-memory
"""
    (entry,) = parse(text, "x")[0].entries

    assert isinstance(entry, Misleading)
    assert (entry.kind, entry.taken, entry.truth) == ("revival", "an old one", "a new one")
    assert entry.chances == (
        Chance(0.6),
        Chance(0.75, (Named("bracelet"), Named("ring"))),
    )
    assert entry.part == (Named("plastic"),)
    assert entry.order == Order((Named("rest"),), (Named("style"), Named("plastic")), 10)
    assert isinstance(entry.known, Compare)
    assert entry.dated is not None
    assert entry.dated.first is not None


def _codes(lines: str) -> list[str]:
    text = f"""feature style
    ask   "Style?"
    value deco
feature said-year
    kind  year
    ask   "What was said?"
    describes
clue deco
    when  style is deco
    made  mostly 1920 to 1940
    trust weak
    why   "x"
    cite  from-memory
trust weak
    misread 30%
misleading m
    kind   revival
    when   style is deco
{lines}
    taken  "a"
    is     "b"
    look   "c"
    cite   from-memory
"""
    found = check([parse(text, "x")[0]])
    return [each.code for each in found if each.severity == "error"]


@every_case(
    ("lines", "codes"),
    [
        ("    order style before rest by 10", []),
        ("    order deco after rest", []),
        ("    order style before stile", ["unknown-feature"]),
        ("    told  said-year is seen\n    dated from year + 15", []),
        ("    dated from year + 15", ["relative-year"]),
    ],
)
def test_what_an_order_names_and_years_count_from_is_checked(lines: str, codes: list[str]) -> None:
    assert _codes(lines) == codes
