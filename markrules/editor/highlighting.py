"""A grammar for colours, in the form that editors share (TextMate, JSON), made from the shapes."""

from __future__ import annotations

import json
import re
from typing import Any

from markrules.language.kinds import KINDS, SHAPES

CONDITION_WORDS = (
    *("and", "or", "not", "is", "one", "of", "seen", "absent", "over", "under", "at", "least"),
    *("most", "between", "before", "after", "by", "says", "found", "type"),
)
WINDOW_WORDS = (
    *("from", "mostly", "to", "until", "onward", "except", "fade", "again", "background"),
    *("now", "year"),
)


def grammar() -> dict[str, Any]:
    """The grammar, as data."""
    kinds = _any(KINDS)
    keys = _any({key for shape in SHAPES.values() for key in shape.keys} | {"value", "mark"})
    words = _any({*CONDITION_WORDS, *WINDOW_WORDS})
    return {
        "name": "markrules",
        "scopeName": "source.markrules",
        "fileTypes": ["rules"],
        "patterns": [
            {"name": "comment.line.number-sign.markrules", "match": "#.*$"},
            {
                "name": "string.quoted.double.markrules",
                "begin": '"',
                "end": '"|$',
                "patterns": [{"name": "constant.character.escape.markrules", "match": r'\\["\\]'}],
            },
            {
                "match": rf"^({kinds})[ \t]+([a-z0-9]+(?:-[a-z0-9]+)*)",
                "captures": {
                    "1": {"name": "keyword.declaration.markrules"},
                    "2": {"name": "entity.name.type.markrules"},
                },
            },
            {
                "match": rf"^[ \t]+({keys})(?=[ \t]|$)",
                "captures": {"1": {"name": "keyword.other.markrules"}},
            },
            {"name": "constant.numeric.markrules", "match": r"(?<![\w-])\d+(?:\.\d+)?%?(?![\w-])"},
            {"name": "keyword.operator.markrules", "match": rf"(?<![\w-])({words})(?![\w-])"},
            {"name": "variable.other.markrules", "match": r"[a-z0-9]+(?:-[a-z0-9]+)*"},
        ],
    }


def grammar_text() -> str:
    """The grammar as JSON."""
    return json.dumps(grammar(), ensure_ascii=False, indent=2)


def _any(words: Any) -> str:
    return "|".join(re.escape(each) for each in sorted(words, key=lambda each: (-len(each), each)))
