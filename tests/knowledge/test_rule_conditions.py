"""Conditions in three values, against tables and laws from outside."""

from __future__ import annotations

import itertools
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from knowledge_building import base_of
from samples import samples
from together import every_case

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import compile_condition, evaluate
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import Observation
from markrules.knowledge.support import used
from markrules.language.conditions import And, AtLeast, Condition, Is, Not, Or
from markrules.language.parser import parse
from markrules.language.spans import Named
from markrules.language.tree import Finding

Truth = bool | None

# The strong tables of S. C. Kleene, Introduction to Metamathematics (1952), section 64:
# rows and columns in the order t, f, u.
KLEENE_AND = ("tfu", "fff", "ufu")
KLEENE_OR = ("ttt", "tfu", "tuu")
KLEENE_NOT = "ftu"
ORDER: tuple[Truth, ...] = (True, False, None)
LETTER: dict[str, Truth] = {"t": True, "f": False, "u": None}


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> KnowledgeBase:
    return base_of(tmp_path_factory.mktemp("rules"))


def condition(text: str) -> Condition:
    book, problems = parse(f"finding f\n    when {text}\n", "x")
    assert problems == ()
    finding = book.entries[0]
    assert isinstance(finding, Finding)
    return finding.when


def truth(base: KnowledgeBase, text: str, *seen: Observation, piece: str = "") -> Truth:
    return evaluate(condition(text), Facts(seen, base, piece))


def seen(feature: str, value: str = "", **more: object) -> Observation:
    return Observation(feature, value, **more)  # type: ignore[arg-type]


def absent(feature: str) -> Observation:
    return Observation(feature, state="absent")


def ruled_out(feature: str, value: str) -> Observation:
    return Observation(feature, value, state="ruled-out")


def _atom(name: str) -> Is:
    return Is(Named(name), (Named("yes"),))


def _facts(values: dict[str, Truth]) -> Facts:
    state = {True: "seen", False: "ruled-out"}
    return Facts(
        [
            Observation(name, "yes", state=state[value])  # type: ignore[arg-type]
            for name, value in values.items()
            if value is not None
        ]
    )


@every_case(("left", "right"), list(itertools.product(range(3), range(3))))
def test_and_or_follow_kleenes_tables(left: int, right: int) -> None:
    facts = _facts({"a": ORDER[left], "b": ORDER[right]})
    parts = (_atom("a"), _atom("b"))

    assert evaluate(And(parts), facts) is LETTER[KLEENE_AND[left][right]]
    assert evaluate(Or(parts), facts) is LETTER[KLEENE_OR[left][right]]


@every_case("at", range(3))
def test_not_follows_kleenes_table(at: int) -> None:
    assert evaluate(Not(_atom("a")), _facts({"a": ORDER[at]})) is LETTER[KLEENE_NOT[at]]


@every_case("values", list(itertools.product(ORDER, repeat=4)))
@every_case("count", [1, 2, 3, 4])
def test_at_least_is_known_when_no_way_of_knowing_more_can_change_it(
    values: tuple[Truth, ...], count: int
) -> None:
    names = "abcd"
    group = AtLeast(count, tuple(_atom(name) for name in names))
    unknown = values.count(None)
    # Every way in which the unknown ones may turn out, counted one by one.
    outcomes = {
        values.count(True) + sum(way) >= count for way in itertools.product((0, 1), repeat=unknown)
    }
    expected = outcomes.pop() if len(outcomes) == 1 else None

    assert evaluate(group, _facts(dict(zip(names, values, strict=True)))) is expected


_trees = st.recursive(
    st.sampled_from("abcd"),
    lambda inner: st.one_of(
        st.tuples(st.just("not"), inner),
        st.tuples(st.sampled_from(["and", "or"]), inner, inner),
    ),
    max_leaves=12,
)


def _as_condition(tree: object) -> Condition:
    if isinstance(tree, str):
        return _atom(tree)
    assert isinstance(tree, tuple)
    parts = tuple(_as_condition(part) for part in tree[1:])
    return Not(parts[0]) if tree[0] == "not" else (And if tree[0] == "and" else Or)(parts)


def _by_numbers(tree: object, values: dict[str, float]) -> float:
    """Kleene's connectives as minimum, maximum and complement on 0, 1/2, 1."""
    if isinstance(tree, str):
        return values[tree]
    assert isinstance(tree, tuple)
    parts = [_by_numbers(part, values) for part in tree[1:]]
    return 1 - parts[0] if tree[0] == "not" else (min if tree[0] == "and" else max)(parts)


@settings(max_examples=samples(400))
@given(_trees, st.tuples(*[st.sampled_from(ORDER)] * 4))
def test_any_tree_agrees_with_minimum_and_maximum(tree: object, values: tuple[Truth, ...]) -> None:
    named = dict(zip("abcd", values, strict=True))
    numbers = {name: {True: 1.0, False: 0.0, None: 0.5}[value] for name, value in named.items()}
    expected = {1.0: True, 0.0: False, 0.5: None}[_by_numbers(tree, numbers)]

    assert evaluate(_as_condition(tree), _facts(named)) is expected


@settings(max_examples=samples(200))
@given(_trees, st.tuples(*[st.sampled_from(ORDER)] * 4))
def test_what_was_used_is_enough_by_itself(tree: object, values: tuple[Truth, ...]) -> None:
    facts = _facts(dict(zip("abcd", values, strict=True)))
    made = _as_condition(tree)
    positions = used(made, facts)

    if evaluate(made, facts) is True:
        assert evaluate(made, Facts([facts.observations[at] for at in positions])) is True
    else:
        assert positions == ()


# Each line: condition, what was seen, what the language's own page says of it.
ROLLOVER, OPEN = seen("catch", "rollover"), seen("catch", "open-c")
GILT = seen("finish", "gilt")
CASES: list[tuple[str, tuple[Observation, ...], Truth]] = [
    ("catch is rollover", (), None),
    ("catch is rollover", (ROLLOVER,), True),
    ("catch is rollover", (OPEN,), False),
    ("catch is rollover", (ruled_out("catch", "rollover"),), False),
    ("catch is rollover", (ruled_out("catch", "open-c"),), None),
    ("catch is rollover", (absent("catch"),), False),
    ("catch is rollover", (ROLLOVER, OPEN), True),
    ("catch is one of (rollover, trombone)", (OPEN,), False),
    ("catch is one of (rollover, trombone)", (ruled_out("catch", "rollover"),), None),
    ("catch is not rollover", (), None),
    ("catch is not rollover", (OPEN,), True),
    ("catch is not rollover", (ROLLOVER,), False),
    ("catch is not rollover", (absent("catch"),), True),
    ("catch is not rollover", (ruled_out("catch", "rollover"),), True),
    ("catch is not one of (rollover, open-c)", (ruled_out("catch", "rollover"),), None),
    ("finish is matt", (GILT,), None),
    ("finish is not matt", (GILT,), None),
    ("finish is not matt", (absent("finish"),), True),
    ("finish is gilt and finish is matt", (GILT, seen("finish", "matt")), True),
    ("catch is seen", (), None),
    ("catch is seen", (OPEN,), True),
    ("catch is seen", (absent("catch"),), False),
    ("catch is seen", (ruled_out("catch", "open-c"),), None),
    ("catch is absent", (), None),
    ("catch is absent", (absent("catch"),), True),
    ("catch is absent", (OPEN,), False),
    ("catch is rollover", (seen("catch", "rollover", heard=True),), None),
    ("width over 5 cm", (), None),
    ("width over 5 cm", (seen("width", number=50.0),), False),
    ("width at least 5 cm", (seen("width", number=50.0),), True),
    ("width under 5 cm", (seen("width", number=49.9),), True),
    ("width at most 2 in", (seen("width", number=50.8),), True),
    ("width at most 2 in", (seen("width", number=50.9),), False),
    ("width between 2 cm and 5 cm", (seen("width", number=20.0),), True),
    ("width between 2 cm and 5 cm", (seen("width", number=19.0),), False),
    ("width over 5 cm", (absent("width"),), False),
    ("year-mark over 1900", (seen("year-mark", years=(1901, 1905)),), True),
    ("year-mark over 1900", (seen("year-mark", years=(1895, 1905)),), None),
    ("year-mark over 1900", (seen("year-mark", years=(1890, 1900)),), False),
    ("year-mark under 1900", (seen("year-mark", years=(1895, 1905)),), None),
    ("year-mark at most 1900", (seen("year-mark", years=(1890, 1900)),), True),
    ("year-mark between 1900 and 1910", (seen("year-mark", years=(1905, 1915)),), None),
    ("piece is brooch", (seen("piece", "bar-pin"),), True),
    ("piece is bar-pin", (seen("piece", "brooch"),), None),
    ("piece is necklace", (seen("piece", "brooch"),), False),
    ("piece is not necklace", (seen("piece", "bar-pin"),), True),
    ("piece is ornament", (seen("piece", "necklace"),), True),
    ('mark says "AUSTRIA"', (), None),
    ('mark says "AUSTRIA"', (seen("mark", "MADE IN AUSTRIA"),), True),
    ('mark says "austria"', (seen("mark", "AUSTRIA."),), True),
    ('mark says "MADE IN AUSTRIA"', (seen("mark", "AUSTRIA"),), False),
    ('mark says "AUSTRIA"', (seen("mark", "AUSTRIAN"),), False),
    ('mark says "MADE IN AUSTRIA"', (seen("mark", "AUSTRIA MADE IN"),), False),
    ('mark says "MADE IN AUSTRIA"', (seen("mark", "MADEIN / AUSTRIA"),), True),
    ('mark says "U.S.A."', (seen("mark", "made in USA"),), True),
    ('mark says "USA"', (seen("mark", "MADE IN U.S.A"),), True),
    ('mark says "PAT PEND"', (seen("mark", "PAT.PEND."),), True),
    ('mark says "DÉPOSÉ"', (seen("mark", "depose"),), True),
    ('mark says "©"', (seen("mark", "©TRIFOLD"),), True),
    ('mark says "TRIFOLD"', (seen("mark", "©TRIFOLD"),), True),
    ('mark says "AUSTRIA"', (seen("mark", "AUSTR?A"),), None),
    ('mark says "AUSTRIA"', (absent("mark"),), False),
    ('mark says "MADE IN AUSTRIA"', (ruled_out("mark", "AUSTRIA"),), False),
    ('mark says "AUSTRIA"', (ruled_out("mark", "MADE IN AUSTRIA"),), None),
    ('mark says one of ("AUTRICHE", "AUSTRIA")', (seen("mark", "Autriche"),), True),
]


@every_case(
    ("text", "observations", "expected"),
    CASES,
    ids=[f"{text} | {len(given)} | {at}" for at, (text, given, _) in enumerate(CASES)],
)
def test_what_a_condition_says_of_what_was_seen(
    base: KnowledgeBase, text: str, observations: tuple[Observation, ...], expected: Truth
) -> None:
    assert truth(base, text, *observations) is expected


def test_the_piece_type_of_a_reading_counts_as_seen(base: KnowledgeBase) -> None:
    assert truth(base, "piece is brooch", piece="bar-pin") is True
    assert truth(base, "piece is necklace", piece="bar-pin") is False


def test_a_finding_is_known_not_to_hold_when_what_it_rests_on_fails(tmp_path: Path) -> None:
    base = base_of(tmp_path, "finding old\n    when catch is open-c\n")
    test = compile_condition(condition("not found old"), base)

    assert test(Facts([], base), set()) is None
    assert test(Facts([ROLLOVER], base), set()) is True
    assert test(Facts([OPEN], base), {"old"}) is False


def test_without_a_base_two_values_are_one_too_many() -> None:
    assert evaluate(condition("catch is rollover"), Facts([OPEN])) is False
