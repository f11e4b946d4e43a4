"""Findings stand in layers, and circles are found: against SciPy's graph algorithms."""

from __future__ import annotations

import re
from collections import defaultdict

from hypothesis import given, settings
from hypothesis import strategies as st
from samples import samples

from markrules.language.checker import check
from markrules.language.checks.circles import FindingStep, dependencies, layers
from markrules.language.parser import parse
from markrules.language.problems import Problem
from markrules.language.tree import Finding

SIZE = 9
edges = st.lists(
    st.tuples(st.integers(0, SIZE - 1), st.integers(0, SIZE - 1), st.booleans()), max_size=16
)
Edges = list[tuple[int, int, bool]]


def _rules(graph: Edges) -> str:
    """Findings that rest on each other as the graph says; True denies."""
    rests: dict[int, list[str]] = defaultdict(list)
    for start, goal, denies in graph:
        rests[start].append(f"{'not ' * denies}found f{goal}")
    base = 'feature a\n    ask "?"\n    describes\n    value b\n'
    return base + "".join(
        f"finding f{name}\n    when {' and '.join(['a is b', *rests[name]])}\n"
        for name in range(SIZE)
    )


def _findings(text: str) -> list[Finding]:
    book, problems = parse(text, "x")
    assert problems == ()
    return [entry for entry in book.entries if isinstance(entry, Finding)]


def _components(graph: Edges) -> list[int]:
    """The strongly connected component of each finding, by scipy.sparse.csgraph."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    starts, goals = [edge[0] for edge in graph], [edge[1] for edge in graph]
    matrix = coo_matrix(([1] * len(graph), (starts, goals)), shape=(SIZE, SIZE))
    labels: list[int] = connected_components(matrix, connection="strong")[1].tolist()
    return labels


def _problems(text: str) -> list[Problem]:
    found = check([parse(text, "x")[0]])
    return [each for each in found if each.code in ("circle", "negative-circle")]


@settings(max_examples=samples(200))
@given(edges)
def test_layers_are_the_strong_components_each_after_what_it_rests_on(graph: Edges) -> None:
    groups = layers(dependencies(_findings(_rules(graph))))
    labels = _components(graph)

    sets: dict[int, set[str]] = defaultdict(set)
    for name, label in enumerate(labels):
        sets[label].add(f"f{name}")
    assert sorted(map(sorted, groups)) == sorted(map(sorted, sets.values()))
    place = {name: at for at, group in enumerate(groups) for name in group}
    assert all(place[f"f{goal}"] <= place[f"f{start}"] for start, goal, _ in graph)


@settings(max_examples=samples(200))
@given(edges)
def test_a_circle_is_told_with_a_way_round_it_exactly_where_there_is_one(graph: Edges) -> None:
    labels = _components(graph)
    inside = [edge for edge in graph if labels[edge[0]] == labels[edge[1]]]
    circular = {labels[edge[0]] for edge in inside}
    negative = {labels[edge[0]] for edge in inside if edge[2]}

    problems = _problems(_rules(graph))

    assert len(problems) == len(circular)
    assert sum(each.code == "negative-circle" for each in problems) == len(negative)
    for problem in problems:
        _is_a_way_round(problem, graph)


def _is_a_way_round(problem: Problem, graph: Edges) -> None:
    steps = problem.message.split(": ")[1].split(" -> ")
    names = [int(re.sub(r"\D", "", step)) for step in steps]
    denies = [step.startswith("not ") for step in steps]
    assert names[0] == names[-1]
    for at in range(1, len(steps)):
        assert (names[at - 1], names[at], denies[at]) in graph
    assert any(denies[1:]) == (problem.code == "negative-circle")


def test_a_value_put_by_a_finding_is_a_step_too() -> None:
    text = (
        "finding a\n    when  c is x\n    means d is y\n"
        "finding b\n    when  not (d is z or d is absent)\n"
        "finding e\n    when  d is y\n"
        "finding f\n    when  d is z\n"
    )

    assert dependencies(_findings(text)) == {
        "a": (),
        "b": (FindingStep("a", True),),
        "e": (FindingStep("a", False),),
        "f": (),
    }


def test_a_long_chain_needs_no_deep_recursion() -> None:
    text = (
        "".join(f"finding f{name}\n    when found f{name + 1}\n" for name in range(5_000))
        + "finding f5000\n    when a is b\n"
    )

    assert layers(dependencies(_findings(text)))[0] == ["f5000"]
