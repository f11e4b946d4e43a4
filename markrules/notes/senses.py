"""What a phrase may mean, and the tree in which phrases are looked up."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Sense(NamedTuple):
    """One meaning of a phrase.

    `kind` is `value` (of the feature `name`), `feature`, `piece`, `role` (of a wording; for
    the role `absent`, `value` is the feature), `certainty`, `unit`, or, for texts that stand
    on pieces, `says` (a text that the rules ask for), `number` (a register's or a metal-content
    mark's spelling) or `maker`.
    """

    kind: str
    name: str
    value: str = ""


class Node(dict[str, "Node"]):
    """A place in the tree of phrases: the next words, and what the phrase up to here means."""

    __slots__ = ("senses",)

    def __init__(self) -> None:
        """Start with no next word and no meaning."""
        super().__init__()
        self.senses: tuple[Sense, ...] = ()


def add(root: Node, phrase: Iterable[str], sense: Sense) -> None:
    """Enter a phrase, given as folded words, with one meaning more."""
    node = root
    for word in phrase:
        following = node.get(word)
        if following is None:
            following = node[word] = Node()
        node = following
    if node is not root and sense not in node.senses:
        node.senses = (*node.senses, sense)


def longest(
    root: Node,
    words: list[str],
    numeric: list[bool],
    start: int,
    passed_over: frozenset[str] = frozenset(),
) -> tuple[int, tuple[Sense, ...]] | None:
    """The end and meanings of the longest phrase that begins at `start`, or None.

    Up to three of the words in `passed_over`, and numbers, may stand inside a phrase without
    belonging to it (`stones are all missing`). `#` in a phrase takes any number.
    """
    node = root.get(words[start])
    if node is None and numeric[start]:
        node = root.get("#")
    if node is None:
        return None
    found = (start + 1, node.senses) if node.senses else None
    skipped = 0
    for index in range(start + 1, len(words)):
        following = node.get(words[index])
        if following is None and numeric[index]:
            following = node.get("#")
        if following is not None:
            node = following
            if node.senses:
                found = (index + 1, node.senses)
        elif skipped < 3 and (words[index] in passed_over or numeric[index]):
            skipped += 1
        else:
            break
    return found


def by_first_letter(root: Node, shortest: int) -> dict[tuple[str, int], list[str]]:
    """All words of at least `shortest` letters in a tree, by first letter and length."""
    found: set[str] = set()
    waiting = [root]
    while waiting:
        node = waiting.pop()
        found.update(node)
        waiting.extend(node.values())
    index: dict[tuple[str, int], list[str]] = {}
    for word in sorted(found):
        if len(word) >= shortest and word.isalpha():
            index.setdefault((word[0], len(word)), []).append(word)
    return index
