"""What is wrong with the entries of one text, as they are built."""

from __future__ import annotations

from dataclasses import dataclass, field

from markrules.language.nearest import nearest
from markrules.language.shapes import Key
from markrules.language.tree import Named, Problem, Span


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
