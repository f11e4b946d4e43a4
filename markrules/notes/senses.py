"""What a phrase may mean, and the tree in which phrases are looked up."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from markrules.knowledge.kept_parts import row_of_word, rows_by_word
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import Folding
from markrules.notes.tokens import Cut, phrase_of


class Sense(NamedTuple):
    """One meaning of a phrase.

    `kind` is `value` (of the feature `name`), `feature`, `piece`, `role` (of a wording; for
    the role `absent`, `value` is the feature), `certainty`, `unit`, `grade` (of the whole piece),
    `shade` (of stones; `value` is its colour),
    or, for texts that stand on pieces, `says` (a text that the rules ask for), `number` (a
    register's or a metal-content mark's spelling) or `maker`.
    """

    kind: str
    name: str
    value: str = ""


class Meaning:
    """All meanings of one phrase, with their kinds and, of wordings, the roles.

    `tells_fault` says whether the phrase names a fault by itself: `verdigris`.
    """

    __slots__ = ("kinds", "roles", "senses", "tells_fault")

    def __init__(self, senses: tuple[Sense, ...]) -> None:
        """Gather kinds and roles once, where they are asked for many times."""
        self.senses = senses
        self.kinds = frozenset([sense.kind for sense in senses])
        self.roles = frozenset([sense.name for sense in senses if sense.kind == "role"])
        self.tells_fault = any(sense.kind == "value" and sense.name == "fault" for sense in senses)


NO_MEANING = Meaning(())

_ENTERING = threading.RLock()
"""Held while phrases are entered: a page is read by one thread for each visitor, and one that sees
half of the phrases of a word would take the note for something else. One for all, since a
vocabulary that holds a lock could not be sent to another process."""


MOST_ENTERED = 1 << 14
"""First words of which it is kept where they lead, be it nowhere: some five times those of the
rules."""


class Node(dict[str, "Node"]):
    """A place in the tree of phrases: the next words, and what the phrase up to here means."""

    __slots__ = ("meaning",)

    def __init__(self) -> None:
        """Start with no next word and no meaning."""
        super().__init__()
        self.meaning = NO_MEANING


_UNKNOWN = Node()
"""Stands where a first word was not looked up yet."""


class SensePhrases:
    """Phrases and their meanings, found by their words.

    A phrase is only cut into words when a word with the same first two letters is looked up, and
    one that was kept, already cut, only entered when its first word is: of thousands of phrases
    a note needs a few hundred, and one note must not wait for the rest.
    """

    def __init__(
        self, folding: Folding, kept: Mapping[str, Any] | None = None, name: str = ""
    ) -> None:
        """Start empty, or with the phrases that were kept under this name; notes and phrases
        are folded alike.
        """
        self._folding = folding
        self._kept = kept or {}
        self._name = name
        self._taken: set[str] = set()
        self._entered: dict[str, Node | None] = {}
        self._waiting: dict[str, list[tuple[str, Sense]]] = {}
        self._root = Node()
        self.signs: dict[str, tuple[Sense, ...]] = {}

    def add(self, text: str, sense: Sense) -> None:
        """Enter a phrase as the rules write it; one without a word goes to `signs`."""
        self._entered.clear()
        begin = text[:2].lower()
        if not (begin.isalpha() and begin.isascii()) or begin in self._folding.moving:
            words = phrase_of(text, self._folding)
            if not words:
                self.signs[text] = (*self.signs.get(text, ()), sense)
                return
            begin = words[0][:2]
        waiting = self._waiting.get(begin)
        if waiting is None:
            self._waiting[begin] = [(text, sense)]
        else:
            waiting.append((text, sense))

    def first(self, word: str) -> Node | None:
        """The place in the tree after this first word, or None where no phrase begins so."""
        known = self._entered.get(word, _UNKNOWN)
        return known if known is not _UNKNOWN else self._looked_up(word)

    def _looked_up(self, word: str) -> Node | None:
        with _ENTERING:
            self._take(word)
            for text, sense in self._waiting.pop(word[:2], ()):
                words = phrase_of(text, self._folding)
                self._take(words[0])
                self._enter(words, sense)
            if len(self._entered) >= MOST_ENTERED:  # words that somebody types are without end
                self._entered.clear()
            found = self._entered[word] = self._root.get(word)
        return found

    def _take(self, word: str) -> None:
        """Enter the kept phrases of this first word, which go before others; once."""
        key = f"{self._name}:{word[:2]}"
        if word not in self._taken and key in self._kept:
            self._taken.add(word)
            for words, *sense in row_of_word(self._kept[key], word) or ():
                self._enter(words.split(" "), Sense(*sense))

    def _enter(self, words: Iterable[str], sense: Sense) -> None:
        node = self._root
        for part in words:
            following = node.get(part)
            if following is None:
                following = node[part] = Node()
                if node is self._root:
                    self._entered.pop(part, None)
            node = following
        if sense not in node.meaning.senses:
            node.meaning = Meaning((*node.meaning.senses, sense))

    def to_keep(self, name: str, cut: Cut | None = None) -> dict[str, bytes]:
        """All phrases that wait, under this name: cut into words, by their first word.

        Some thousand words begin phrases: a part for each would take longer to find than to read.
        So those with the same two first letters lie together, and one of them is decoded.
        """
        cut = cut if cut is not None else Cut(self._folding)
        kept: dict[str, bytes] = {}
        for begin, waiting in self._waiting.items():
            of_words: dict[str, list[list[str]]] = {}
            for text, sense in waiting:
                words = cut[text]
                of_words.setdefault(words[0], []).append([" ".join(words), *sense])
            kept[f"{name}:{begin}"] = rows_by_word(of_words)
        return kept

    def waiting(self) -> Iterator[tuple[str, Sense]]:
        """All phrases that were not yet cut, as written, each with a meaning."""
        for waiting in self._waiting.values():
            yield from waiting

    def texts(self) -> Iterator[str]:
        """All phrases that were not yet cut, as written, and the words of the others."""
        found: list[str] = []
        with _ENTERING:
            for waiting in self._waiting.values():
                found.extend(text for text, _ in waiting)
            nodes: list[tuple[str, Node]] = list(self._root.items())
            while nodes:
                word, node = nodes.pop()
                found.append(word)
                nodes.extend(node.items())
        return iter(found)

    def longest(
        self,
        words: list[str],
        numeric: list[bool],
        start: int,
        passed_over: frozenset[str] = frozenset(),
    ) -> tuple[int, Meaning] | None:
        """The end and meanings of the longest phrase that begins at `start`, or None.

        Up to three of the words in `passed_over`, and numbers, may stand inside a phrase
        without belonging to it (`stones are all missing`). `#` in a phrase takes any number.
        """
        node = self.first(words[start])
        found = _walked(node, words, numeric, start, passed_over) if node is not None else None
        if numeric[start]:
            node = self.first("#")
            other = _walked(node, words, numeric, start, passed_over) if node is not None else None
            if other is not None and (found is None or other[0] > found[0]):
                return other
        return found

    def every(
        self, words: Sequence[str], start: int, passed_over: frozenset[str] = frozenset()
    ) -> Iterator[tuple[int, Sense]]:
        """The end and one meaning of every phrase that begins at `start`, the shorter first.

        Up to two of the words in `passed_over` may stand inside a phrase without belonging to it.
        """
        node = self.first(words[start])
        if node is None:
            return
        skipped = 0
        index = start + 1
        while node is not None:
            yield from ((index, sense) for sense in node.meaning.senses)
            following = node.get(words[index]) if index < len(words) else None
            while (
                following is None
                and node
                and skipped < 2
                and index + 1 < len(words)
                and words[index] in passed_over
            ):
                skipped += 1
                index += 1
                following = node.get(words[index])
            node = following
            index += 1


def _walked(
    node: Node, words: list[str], numeric: list[bool], start: int, passed_over: frozenset[str]
) -> tuple[int, Meaning] | None:
    """The longest phrase from a node on, that the word at `start` leads to."""
    found = (start + 1, node.meaning) if node.meaning.senses else None
    skipped = 0
    for index in range(start + 1, len(words) if node else 0):
        following = node.get(words[index])
        if following is None and numeric[index]:
            following = node.get("#")
        if following is not None:
            node = following
            if node.meaning.senses:
                found = (index + 1, node.meaning)
        elif skipped < 3 and (words[index] in passed_over or numeric[index]):
            skipped += 1
        else:
            break
    return found


def by_first_letter(
    texts: Iterable[str], folding: Folding, shortest: int
) -> dict[tuple[str, int], list[str]]:
    """All words of at least `shortest` letters, as written and as folded, by first letter and
    length: a slip may be one in either of two spellings.
    """
    words = {
        each for each in "\n".join(texts).replace("-", " ").casefold().split() if each.isalpha()
    }
    index: dict[tuple[str, int], list[str]] = {}
    for word in sorted(words | {folding[word] for word in words}):
        if len(word) >= shortest and word.isalpha():
            index.setdefault((word[0], len(word)), []).append(word)
    return index
