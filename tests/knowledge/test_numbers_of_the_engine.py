"""The numbers of the engine stand in the rules: all there, each what it is said to be."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from shipped_base import shipped_base
from together import every_case

import markrules
from markrules.frozen import dataclass as markrules_dataclass
from markrules.knowledge.base import Chance, KnowledgeBase, SenselessSetting, Several
from markrules.language.tree import Setting
from markrules.tasks.numbers_checked import GROUPS, ONE_OF_THESE, check_numbers
from markrules.tasks.own_rules import checked


def with_number(name: str, value: float | None) -> KnowledgeBase:
    """The shipped rules with one number moved, or taken away."""
    base = shipped_base()
    kept = {each: entry for each, entry in base.settings.items() if each != name}
    if value is not None:
        kept[name] = replace(base.settings[name], value=value)
    return replace(base, settings=kept)


def found(name: str, value: float | None) -> list[tuple[str, str]]:
    return [(each.code, each.message) for each in check_numbers(with_number(name, value))]


def test_the_shipped_numbers_are_all_there_and_make_sense() -> None:
    assert list(check_numbers(shipped_base())) == []


@every_case("name", ["wear-misread", "unlisted-pairs", "mark-case-agrees", "heed"])
def test_a_number_that_is_not_there_is_named(name: str) -> None:
    ((code, message),) = found(name, None)

    assert code == "needed"
    assert f'"{name}"' in message


@every_case(
    ("name", "value"),
    [
        ("wear-misread", 0.0),
        ("wear-misread", 1.0),
        ("wear-run-on", 1.5),
        ("full-slip", -0.1),
        ("mark-described-least", 0.0),
        ("unlisted-pairs", 0.5),
        ("letter-off-by-one", 0.0),
        ("misread-least", 0.0),
    ],
)
def test_a_number_that_can_be_no_chance_is_refused(name: str, value: float) -> None:
    ((code, message),) = found(name, value)

    assert code == "senseless"
    assert f'"{name}"' in message


@pytest.mark.parametrize(
    ("name", "value", "told"),
    [
        ("metal-least-karat", 25, "no more than 24"),
        ("metal-least-karat", 0, "1 or more"),
        ("metal-least-karat", 6.5, "a whole number"),
        ("metal-least-fineness", 1001, "no more than 1000"),
        ("metal-most-parts", 201, '"metal-least-part", which is 200'),
        ("metal-most-microns", 0.5, "a whole number"),
        ("number-most-digits", 0, "1 or more"),
        ("number-shortest-roman", -4, "1 or more"),
        ("number-last-year", 1749, "first-year"),
        ("number-first-century", 2100, '"number-last-year", which is 2030'),
    ],
)
def test_a_limit_of_stamped_figures_that_lets_nothing_through_is_refused(
    name: str, value: float, told: str
) -> None:
    problems = found(name, value)

    assert {code for code, _ in problems} == {"senseless"}
    assert any(told in message for _, message in problems)


def test_what_excludes_each_other_sums_to_no_more_than_all() -> None:
    assert found("unlisted-initials-of-three", 0.35) == []
    ((code, message),) = found("unlisted-initials-of-three", 0.36)
    assert code == "senseless"
    assert "101%" in message
    ((_, other),) = found("wear-any-letter", 0.81)
    assert "wear-turned-about" in other


def test_a_reading_by_a_senseless_number_is_refused_and_does_not_fail_somewhere() -> None:
    @markrules_dataclass
    class Numbers:
        some: Chance
        many: Several
        whole: int

    def base(**own: float) -> KnowledgeBase:
        return KnowledgeBase("n", settings={k: Setting(k, v) for k, v in own.items()})

    assert base(some=0.5, many=1.0, whole=3.0).settings_as(Numbers) == Numbers(0.5, 1.0, 3)
    for wrong in ({"some": 0.0}, {"some": 1.0}, {"many": 0.99}):
        with pytest.raises(SenselessSetting, match=next(iter(wrong))):
            base(**{"some": 0.5, "many": 1.0, "whole": 3.0, **wrong}).settings_as(Numbers)


def test_own_rules_with_a_senseless_number_are_refused_where_it_stands(tmp_path: Path) -> None:
    (tmp_path / "own.rules").write_text(
        'withdraw wear-misread\n    kind setting\n    why  "Invented."\n\n'
        'setting wear-misread\n    value 130%\n    why   "Invented."\n',
        encoding="utf-8",
    )

    problems = checked([tmp_path], cases=False).problems

    assert [(each.code, Path(each.place.file).name, each.place.line) for each in problems] == [
        ("senseless", "own.rules", 5)
    ]


def asked_for() -> Iterator[str]:
    """The names that the program asks for by themselves: `base.setting("lot-least")`."""
    for file in Path(markrules.__file__).parent.rglob("*.py"):
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            if not isinstance(node, ast.Call) or not node.args:
                continue
            # To write a call out takes long: only those of a text alone are.
            match node.args[0]:
                case ast.Constant(str(name)) if ast.unparse(node.func).endswith("setting"):
                    yield name


def test_every_number_that_the_program_asks_for_by_name_is_in_the_rules() -> None:
    names = set(asked_for())

    assert len(names) > 40
    assert names - set(shipped_base().settings) == set()


def test_every_number_of_the_rules_says_why() -> None:
    for name, entry in shipped_base().settings.items():
        assert len(entry.why.split()) >= 5, name
    for kind, prefix in GROUPS:
        assert kind.__doc__, prefix
    assert all(name in shipped_base().settings for names in ONE_OF_THESE for name in names)
