"""The table of kinds is the one place that says what entries there are; all else follows."""

from __future__ import annotations

import dataclasses

from shipped_base import shipped_base
from together import every_case

from markrules.book import layout
from markrules.knowledge.base import KnowledgeBase
from markrules.language import tree
from markrules.language.grammar import grammar, grammar_text
from markrules.language.kinds import FIELDS, KINDS, SHAPES
from markrules.language.parser import parse


def test_the_base_has_a_field_for_each_kind_and_no_other() -> None:
    held = {
        each.name for each in dataclasses.fields(KnowledgeBase) if each.type.startswith("Mapping[")
    }

    assert held == {kind.field for kind in KINDS.values()} == set(FIELDS.values())


def test_every_type_of_entry_in_the_tree_has_a_kind() -> None:
    assert set(FIELDS) == {each.__name__ for each in tree.Entry.__args__}


@every_case("word", SHAPES)
def test_keys_fill_fields_of_the_type_and_fields_are_filled_by_keys(word: str) -> None:
    shape = SHAPES[word]
    fields = {each.name for each in dataclasses.fields(shape.type)}
    filled = {key.field for key in shape.keys.values()}

    assert filled <= fields
    assert set(shape.required) <= set(shape.keys)


@every_case("word", KINDS)
def test_the_grammar_takes_every_line_of_a_kind(word: str) -> None:
    """Each key stands with its own example, below an entry of its kind."""
    for key, about in KINDS[word].keys.items():
        text = f"{word} some\n    {key} {about.example}\n"
        _, problems = parse(text, "a.rules")
        assert [each for each in problems if each.code in ("unexpected", "unknown-line")] == []


def test_all_keys_and_kinds_are_words_of_the_grammar() -> None:
    known = grammar().terminals
    assert {*SHAPES, *(key for shape in SHAPES.values() for key in shape.keys)} <= set(known)
    assert "entry_lines" not in grammar_text()


def test_every_entry_that_is_shipped_stands_in_the_book() -> None:
    base = shipped_base()
    addresses = layout.addresses(base, layout.pages(base))

    for word, kind in KINDS.items():
        missing = [name for name in getattr(base, kind.field) if (word, name) not in addresses]
        assert missing == [], word
