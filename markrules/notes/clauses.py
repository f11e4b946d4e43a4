"""The clauses of a stretch of a note, each with its verb, before which its subject stands."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.named_tuple import NamedTuple
from markrules.notes.subject_words import (
    BEGINS_NOUN,
    JOINS,
    OWNING,
    SOME,
    Subjects,
    SubjectWord,
    owns,
)
from markrules.notes.things_named import ThingsNamed

LONGEST_SUBJECT = 9
"""Words of a subject at most, with what is told of it: `the lady next door that I got it from`."""
NEAR = 5
"""Words behind a verb among which what it is of stands."""
_ITSELF = frozenset(("it", "this", "these", "those", "that", "there"))
_OBJECTS = frozenset(("it", "them", "me", "us", "him"))


class Clause(NamedTuple):
    """Words `first` to `end` (not included) of a stretch, and where its verb stands.

    `joined` tells that it is told of the subject of the clause before.
    """

    first: int
    verb: int
    end: int
    joined: bool


class Clauses:
    """Finds the clauses of one stretch; used once. `goes_on` tells that the one before in its
    sentence is of something else than the piece.
    """

    def __init__(
        self, words: Sequence[SubjectWord], said: Subjects, things: ThingsNamed, *, goes_on: bool
    ) -> None:
        """Look at the words of one stretch."""
        self.all, self.said, self.things, self.goes_on = words, said, things, goes_on

    def found(self) -> list[Clause]:
        """All clauses, in order; what stands before the first verb belongs to the first."""
        words = self.all
        starts: list[tuple[int, int, bool]] = []
        index = 0
        while index < len(words):
            begun = self._begins(index, begun_before=bool(starts))
            index = index + 1 if begun is None else max(begun[1], index + 1)
            if begun is not None:
                starts.append(begun)
            if starts and self._is_inscribed(starts[-1][0], index):
                break
        ends = [*(first for first, *_ in starts[1:]), len(words)]
        return [
            Clause(first, verb, end, joined)
            for (first, verb, joined), end in zip(starts, ends, strict=False)
        ]

    def _is_inscribed(self, first: int, end: int) -> bool:
        """Whether what follows is a text that stands somewhere: `engraved I love you`."""
        vocabulary = self.things.vocabulary
        return any(
            vocabulary.folding[word.plain] in vocabulary.lead_words for word in self.all[first:end]
        )

    def _begins(self, at: int, *, begun_before: bool) -> tuple[int, int, bool] | None:
        """The clause that begins with a word, as (its first word, its verb, whether its subject is
        that of the one before); None where none begins.
        """
        words, said = self.all, self.said
        first = at
        while at < len(words) and words[at].plain in said.begins and at - first < 3:
            at += 1
        if not begun_before and at == first == 0 and self._is_a_time():
            at = 2  # every Sunday the ladies put on their pearls
        if at >= len(words):
            return None
        opened = first < at or (at == 0 and not begun_before)
        if not (opened or (begun_before and self._is_subject_inside(at))):
            return None
        if words[at].plain in said.somebody and self._is_verb_behind(at):
            return first, at + 1, False
        if words[at].plain in said.at_verb | _ITSELF:
            behind = self._is_verb(at + 1) or self._is_verb(self._past_adverbs(at + 1))
            return (first, at + 1, False) if behind else None
        if not opened:
            return None
        if self._is_verb(at) and (first < at or first == 0):
            return self._without_subject(first, at, begun_before=begun_before)
        for place in range(at + 1, min(at + NEAR + 1, len(words))):
            if words[place].plain == "there" and self._is_verb(place + 1):
                return first, place + 1, False
        verb = self._verb_of(at)
        return None if verb is None else (first, verb, False)

    def _is_a_time(self) -> bool:
        """Whether a stretch begins with when something was: `last week`, `every Sunday`."""
        if len(self.all) < 4 or self.all[1].plain not in self.said.times:
            return False
        return self.all[0].plain in ("every", "last", "next", "this", "that", "one", "each")

    def _is_subject_inside(self, at: int) -> bool:
        """Whether a pronoun inside a clause begins another: not the `I` of `World War I`."""
        word = self.all[at].plain
        if word not in self.said.somebody | self.said.at_verb | {"it"}:
            return False
        return not (word == "i" and at > 1 and self.all[at - 1].raw[:1].isupper())

    def _without_subject(
        self, first: int, at: int, *, begun_before: bool
    ) -> tuple[int, int, bool] | None:
        """The clause that begins with its verb: of the subject before (`and has a hinge`), or of
        who writes (`bought a pair of earrings too`, `would like to give it away`).
        """
        words, said = self.all, self.said
        if first < at and (begun_before or self.goes_on):
            return first, at, True
        if first:
            return None
        if words[at].plain in said.lives and self._has_other_object(at):
            return first, at, False
        if words[at].plain in said.wishes:
            main = self._past_adverbs(at + 1)
            if main < len(words) and words[main].plain in said.lives:
                return first, at, False
        return None

    def _is_verb_behind(self, at: int) -> bool:
        """Whether a word follows a pronoun that may be its verb: not `George I ring`."""
        if at + 1 >= len(self.all) or not self.all[at + 1].plain.isalpha():
            return False
        return self.all[at + 1].plain not in self.said.behind | JOINS

    def _is_verb(self, at: int) -> bool:
        return at < len(self.all) and self.all[at].plain in self.said.verbs

    def _past_adverbs(self, at: int) -> int:
        while at < len(self.all) and self.all[at].plain in self.said.before_verb:
            at += 1
        return at

    def _verb_of(self, at: int) -> int | None:
        """The finite verb behind the subject that begins here, None where there is none."""
        words, said = self.all, self.said
        behind_noun = False
        index = at + 1
        while index < len(words) and index - at <= LONGEST_SUBJECT:
            word = words[index].plain
            if word in said.somebody | said.at_verb or (
                word in ("it", "who", "that") and not behind_noun
            ):
                # The lady I got it from told me: past the verb of what is told of her.
                index = self._past_adverbs(index + 1)
                while index < len(words) and words[index].plain not in said.verbs:
                    index += 1
                index += 1
                while index < len(words) and words[index].plain in _OBJECTS:
                    index += 1  # the lady who sold it me
                continue
            if word in said.begins and word not in ("that", "who"):
                return None
            if self._ends_subject(at, index):
                return index
            behind_noun = behind_noun or word in said.behind
            index += 1
        return None

    def _ends_subject(self, at: int, index: int) -> bool:
        """Whether a word is the finite verb behind a subject that begins at `at`."""
        words, said = self.all, self.said
        word, last = words[index].plain, index - 1
        if word in said.finite:
            return True
        if index + 1 < len(words) and words[index + 1].plain in said.sides:
            return False  # a cameo of a lady left facing
        while last > at and words[last].plain in said.before_verb:
            last -= 1  # nan always wore it
        before = words[last].plain
        begins_noun = words[at].plain in BEGINS_NOUN or words[at].plain.isdigit()
        of_people = before in said.people
        if word not in said.verbs:
            if not word.endswith(("ed", "s")) or self.things.is_known(word):
                return False
            alone = before in said.outside and index == at + 2 and word.endswith("ed")
            return (begins_noun or owns(words[at])) and (of_people or alone)
        bare = index == 1 and before in said.outside and not self.things.is_part(before)
        stranded = last > at and words[last - 1].plain in _OBJECTS  # the lady I got it from told
        may_be_noun = before in BEGINS_NOUN or (before in said.behind and not stranded)
        return (begins_noun or of_people or bare) and not may_be_noun

    def _has_other_object(self, verb: int) -> bool:
        """Whether right behind a verb another thing is named: `bought a pair of earrings`."""
        if verb + 1 >= len(self.all) or not self.things.named:
            return False
        return self.all[verb + 1].plain in SOME | OWNING | self.said.another and any(
            self.things.is_other(word.plain) for word in self.all[verb + 1 : verb + 2 + NEAR]
        )
