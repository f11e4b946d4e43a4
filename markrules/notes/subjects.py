"""Clauses of a note by their subjects: of the piece, or of what people and other things do and are.

`I love my garden`, `the shop window was full of rings` and `my other ring is gold` speak of no part
of the piece; `I noticed a chip`, `she had it repaired` and `the box is fine but the pin is bent`
do. The subject is what stands before the finite verb. Of a thing that is no piece nothing is
taken. Of a person the verb decides: what one notices is of the piece, and what one does to it was
done; else only the piece, where it is named again, is told of.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from markrules.notes.clauses import NEAR, Clause, Clauses
from markrules.notes.had_years import DECADES
from markrules.notes.subject_words import (
    ABLE,
    ADDS,
    AGAIN,
    BEGINS_NOUN,
    BEING,
    BESIDE,
    OF_SOMEBODY,
    OF_THINGS,
    ONE,
    OWNING,
    THE,
    THIS,
    YEAR,
    SubjectWord,
    owns,
    words_of,
)
from markrules.notes.things_named import ThingsNamed

if TYPE_CHECKING:
    from markrules.notes.segments import Segment
    from markrules.notes.vocabulary import Vocabulary

PIECE, PERSON, OUTSIDE, OTHER = "piece", "person", "outside", "other"
WHEN = "when"
"""Begins a clause that tells the time of the one before it."""


def of_other_subjects(
    vocabulary: Vocabulary, segments: Sequence[Segment]
) -> tuple[list[Segment], frozenset[int]]:
    """The segments, each parted where its subject turns from the piece to something else or back,
    and the places of those that are of something else.
    """
    reader = _SubjectReader(vocabulary)
    found: list[Segment] = []
    silent: set[int] = set()
    for at, each in enumerate(segments):
        for start, end, is_silent in reader.stretches(segments, at):
            text = each.text[start:end]
            if not text.strip(" .!(-,;"):
                continue
            if is_silent:
                silent.add(len(found))
            if start == 0 and end == len(each.text):
                found.append(each)
            elif start == 0:
                found.append(each._replace(text=text))
            else:
                found.append(type(each)(text, True))
    return found, frozenset(silent)


class _SubjectReader:
    """Reads the segments of one note in their order; used once."""

    def __init__(self, vocabulary: Vocabulary) -> None:
        self.words = vocabulary.subjects
        self.subject, self.silent = PIECE, False
        self.things = ThingsNamed(vocabulary)
        self.list_until = -1
        self.holds = False
        self.goes_on = False

    def stretches(self, segments: Sequence[Segment], at: int) -> Iterator[tuple[int, int, bool]]:
        """The stretches of a segment, as (start, end, whether it is of something else)."""
        segment = segments[at]
        words = words_of(segment.text)
        self.goes_on = segment.goes_on
        if not segment.goes_on:
            self.subject, self.silent = PIECE, False
        if at <= self.list_until:
            yield 0, len(segment.text), True
            return
        begun, was = 0, False
        goes_on = self.subject != PIECE
        clauses = Clauses(words, self.words, self.things, goes_on=goes_on).found()
        if not clauses and self.silent and any(word.plain in ONE for word in words):
            was = True  # her rings went to my cousin, the gold ones at least
        for clause in clauses:
            silent_from = self._silent_from(words, clause)
            start = words[clause.first].start
            if silent_from is None:
                if was:
                    yield begun, start, True
                    begun, was = start, False
            else:
                place = words[silent_from].start
                if place > start and was:
                    yield begun, start, True
                    begun, was = start, False
                if not was:
                    if place > begun:
                        yield begun, place, False
                    begun, was = place, True
        yield begun, len(segment.text), was
        self.things.note(words)
        if was and self.holds and not any(word.plain in ADDS for word in words):
            self._list_behind(segments, at)

    def _list_behind(self, segments: Sequence[Segment], at: int) -> None:
        """Find how far a list goes on that a clause of something else began: `buttons, hooks, a
        thimble and beads`. Its last entry has `and` before it.
        """
        following = at + 1
        while following < len(segments) and segments[following].goes_on:
            text = segments[following].text
            words = words_of(text)
            if any(word.plain in self.words.finite for word in words) or len(words) > NEAR * 2:
                return
            if any(word.plain in ADDS for word in words[1:]):
                self.list_until = following
                return
            following += 1

    def _silent_from(self, words: Sequence[SubjectWord], clause: Clause) -> int | None:
        """The word from which on a clause is of something else; None where it is of the piece."""
        if clause.joined:
            subject = self.subject
            relative = words[clause.first].plain in OF_THINGS
            if relative:
                return clause.first if self.silent else None
        else:
            subject = self._subject(words, clause)
            self.subject = subject
        found: int | None = None
        if subject in (OUTSIDE, OTHER):
            if self._is_outside(words, clause, subject):
                found = clause.first
            elif subject == OUTSIDE:  # the photo shows it on a jacket
                found = self._place_behind(words, clause.verb, clause.end, shown=True)
        elif subject == PERSON:
            found = self._of_person(words, clause)
        else:
            found = self._lay_behind(words, clause)
        self.silent = found is not None
        main = self._main_verb(words, clause)
        self.holds = subject != PERSON or words[main].plain in self.words.lives
        return found

    def _subject(self, words: Sequence[SubjectWord], clause: Clause) -> str:
        """What the subject of a clause is."""
        said = self.words
        first = clause.first
        while first < clause.verb and words[first].plain in said.begins:
            first += 1
        subject = words[first : clause.verb]
        if not subject:
            return PERSON
        if words[clause.first].plain in ("what", "all"):
            return PIECE  # what I have is a bangle
        if subject[-1].plain == "there":
            another = (
                self._names_another(words, clause.verb, clause.end)
                or self._in_the_same(words, clause)
                or self._was_there_also(words, clause)
            )
            if another:
                return OTHER
            return OUTSIDE if self._is_there_in_it(words, clause) else PIECE
        pronoun = subject[0].plain
        if pronoun in said.somebody or pronoun == "you":
            return PERSON
        if pronoun in said.at_verb:
            verb = words[self._main_verb(words, clause)].plain
            return PERSON if verb in said.of_people - said.finite else PIECE
        if len(subject) == 1 and pronoun in BEGINS_NOUN:
            return PIECE
        return self._of_noun(words, subject, clause)

    def _of_noun(
        self, words: Sequence[SubjectWord], subject: Sequence[SubjectWord], clause: Clause
    ) -> str:
        """What a subject is that is no pronoun."""
        said = self.words
        noun, rest = self._noun_and_rest(subject)
        while len(noun) > 2 and noun[-2].plain in said.people:
            if self.things.is_known(noun[-1].plain):
                break
            noun.pop()  # the neighbours upstairs
        head, begins = noun[-1].plain, noun[0].plain
        if owns(noun[-1]):
            return PIECE
        if self._is_of_outside(noun, rest):
            return OUTSIDE
        definite = begins in BEGINS_NOUN or owns(noun[0])
        if head in said.people and (definite or clause.first == 0):
            owned = begins in OF_SOMEBODY or owns(noun[0])
            if owned or rest or self._is_no_picture(words, clause, head):
                return PERSON
        if begins in ("this", "these"):
            return PIECE
        if self._is_another(noun, clause) or self._is_told_apart(head, rest):
            return OTHER
        if self._names_outside(noun) and (definite or head in said.outside):
            return OUTSIDE
        if begins in OF_SOMEBODY - OWNING and self.things.named and self.things.is_other(head):
            return OTHER
        if begins in OWNING and not self.things.is_known(head):
            return OUTSIDE
        return PIECE

    def _is_of_outside(self, noun: Sequence[SubjectWord], rest: Sequence[str]) -> bool:
        """Whether a noun is a part of what is no piece: `the lining of the bag`, `the key to the
        cabinet`, `the hinge on the jewellery box`.
        """
        if len(rest) < 3 or rest[0] not in ("of", "on", "to") or rest[1] not in OF_SOMEBODY | THE:
            return False
        if self.things.is_piece(noun[-1].plain):
            return False
        if self.things.is_part_of_several_words([*(each.plain for each in noun), *rest], len(noun)):
            return False
        whole = [word for word in rest[2:5] if word not in self.words.behind]
        return (
            bool(whole)
            and whole[-1] in self.words.outside - self.words.unless_named
            and not self.things.is_named(whole[-1])
        )

    def _noun_and_rest(self, subject: Sequence[SubjectWord]) -> tuple[list[SubjectWord], list[str]]:
        """The noun of a subject, and the words behind it, which tell where or whose it is."""
        said = self.words
        ends = said.behind | said.somebody | said.at_verb | OF_SOMEBODY | {"it", "who", "that"}
        cut = next(
            (at for at, word in enumerate(subject) if at and word.plain in ends), len(subject)
        )
        noun = list(subject[:cut])
        while len(noun) > 1 and (
            noun[-1].plain in said.before_verb
            or len(noun[-1].plain) == 1
            or noun[-1].plain.isdigit()
        ):
            noun.pop()
        return noun, [word.plain for word in subject[cut:]]

    def _is_no_picture(self, words: Sequence[SubjectWord], clause: Clause, head: str) -> bool:
        """Whether what is told of a person shows that none is pictured: `the lady told me`."""
        if not self.things.says_something(head):
            return True
        verb = words[self._main_verb(words, clause)].plain
        return verb in (self.words.lives | self.words.notices) - self.words.as_pictured

    def _is_another(self, noun: Sequence[SubjectWord], clause: Clause) -> bool:
        """Whether a noun is of another piece: `my other ring`, and `the other one` where nothing
        of this one was told right before.
        """
        said, head = self.words, noun[-1].plain
        if said.another.isdisjoint(word.plain for word in noun):
            return False
        if noun[0].plain in OWNING or self.things.is_piece(head) or head in said.outside:
            return True
        return head in ONE | said.another and clause.first == 0 and not self.goes_on

    def _is_told_apart(self, head: str, rest: Sequence[str]) -> bool:
        """Whether what stands behind a noun tells it from the piece: `the ring beside it`, `the
        coat it was pinned to`, `the earrings I sold`.
        """
        said = self.words
        if not rest:
            return False
        if "it" in rest and rest[-1] in said.behind:
            return True
        owned = (each == "own" and before in OF_SOMEBODY for before, each in pairwise(rest))
        if any(owned):
            return True  # the clasp of my own necklace
        if len(rest) > 1 and rest[0] in BESIDE and not THIS.isdisjoint(rest):
            return True
        sold = rest[0] in said.somebody and not said.lives.isdisjoint(rest)
        return sold and (self.things.is_piece(head) or head in ONE)

    def _names_outside(self, noun: Sequence[SubjectWord]) -> bool:
        """Whether a noun is of a thing that is no piece: `the shop window`, not `the box clasp`."""
        pictured = self.words.unless_named & self.things.said
        outside = [word.plain for word in noun if word.plain in self.words.outside - pictured]
        if not outside or any(self.things.is_named(word) for word in outside):
            return False
        head = noun[-1].plain
        if len(noun) == 1:
            return not self.things.is_part(head)  # box has seen better days: that of the piece
        if self.things.is_part_together(noun):
            return False
        return head in outside or not (self.things.is_piece(head) or self.things.is_part(head))

    def _main_verb(self, words: Sequence[SubjectWord], clause: Clause) -> int:
        """The verb that tells what is done, behind `have been` and `would also`."""
        said = self.words
        at = clause.verb
        auxiliary = said.finite - said.lives - said.notices - said.acts
        while at < clause.end - 1 and words[at].plain in auxiliary | said.before_verb:
            at += 1
        return at

    def _names_another(
        self, words: Sequence[SubjectWord], first: int, end: int, *, parts: bool = False
    ) -> bool:
        """Whether another thing than the piece is named: `a similar one`, `another brooch`. With
        `parts` a mere `one`, and what may be a part, are taken for parts of it: `the red one`.
        """
        said = self.words
        for at in range(first, min(end, first + NEAR + 1)):
            word = words[at].plain
            following = [each.plain for each in words[at + 1 : min(at + 5, end)]]
            cut = next((n for n, each in enumerate(following) if each in said.behind), 3)
            noun = following[: min(cut, 3)]
            others = any(each in ONE or self.things.is_piece(each) for each in noun)
            if word in said.another and others and not (parts and self._ends_in_a_part(noun)):
                return True
            if word == "others":
                return True
            if (
                not parts
                and word in ("a", "an", "the", "some")
                and noun
                and noun[-1] in ONE
                and following[cut : cut + 1] != ["of"]
            ):
                return True
            if word == "one" and following[:1] in (["like"], ["with"], ["in"]):
                return True
        return False

    def _ends_in_a_part(self, noun: Sequence[str]) -> bool:
        return bool(noun) and self.things.is_part(noun[-1])

    def _in_the_same(self, words: Sequence[SubjectWord], clause: Clause) -> bool:
        """Whether something was where the piece was: `in the same bag`."""
        return any(
            words[at].plain == "same"
            and not self.things.is_part(words[at + 1].plain)
            and not self.things.is_piece(words[at + 1].plain)
            for at in range(clause.first, clause.end - 1)
        )

    def _is_there_in_it(self, words: Sequence[SubjectWord], clause: Clause) -> bool:
        """Whether something is in what is no piece: `there was broken jewellery in that tin`."""
        for at in range(clause.verb + 1, clause.end - 2):
            if words[at].plain in ("in", "on", "at") and words[at + 1].plain in BEGINS_NOUN:
                noun = self._noun_and_rest(words[at + 2 : min(at + 5, clause.end)])[0]
                if noun and self._names_outside(noun):
                    return True
        return False

    def _was_there_also(self, words: Sequence[SubjectWord], clause: Clause) -> bool:
        """Whether another piece was there besides: `there were also two watches`."""
        near = [word.plain for word in words[clause.verb : min(clause.verb + NEAR + 1, clause.end)]]
        if not self.things.named or "also" not in near:
            return False
        whole = {word.plain for word in words[clause.verb : clause.end]}
        about = not self.words.outside.isdisjoint(whole)
        return any(
            self.things.is_other(word) and (about or not self.things.is_part(word)) for word in near
        )

    def _is_outside(self, words: Sequence[SubjectWord], clause: Clause, subject: str) -> bool:
        """Whether a clause of another thing is of nothing but that: `the lamp was cheap`, not `the
        skin has eaten the gold off`.
        """
        plains = [word.plain for word in words[clause.first : clause.end]]
        if subject == OUTSIDE and self._harms_it(words, clause):
            return False
        if subject == OUTSIDE and not self.words.tells.isdisjoint(plains):
            before = [word.plain for word in words[clause.first : clause.verb]]
            return not self.words.textless.isdisjoint(before)
        return not self._is_again(words, clause.verb, clause.end, strictly=True)

    def _harms_it(self, words: Sequence[SubjectWord], clause: Clause) -> bool:
        """Whether a thing harmed what is no such thing itself: `the moth ate the ribbon`."""
        main = self._main_verb(words, clause)
        if main + 1 >= clause.end or words[main].plain not in self.words.harms:
            return False
        following = words[main + 1].plain
        if following in AGAIN:
            return True
        return following in THE and self._noun_from(words, main + 2, clause.end) is not None

    def _is_again(
        self, words: Sequence[SubjectWord], first: int, end: int, *, strictly: bool
    ) -> bool:
        """Whether words name the piece again, or a part of it as one that is known: `the pin`."""
        for at in range(first, end):
            word = words[at].plain
            if word in AGAIN and not strictly:
                return True
            if word in THE | THIS and at + 1 < end:
                noun = self._noun_from(words, at + 1, end)
                if noun is None or self._is_of_most(words[at + 1].plain):
                    continue
                if self.things.is_piece(noun) and (self.things.is_named(noun) or word in THIS):
                    return True
                if (
                    word in ("the", "its")
                    and self.things.is_part(noun)
                    and not self.things.is_piece(noun)
                ):
                    return True
        return False

    def _is_of_most(self, word: str) -> bool:
        """Whether a word behind `the` tells of no known thing: `the most enormous pearls`."""
        return word == "most" or (word.endswith("est") and not self.things.says_something(word))

    def _noun_from(self, words: Sequence[SubjectWord], first: int, end: int) -> str | None:
        """The last word of the noun that begins here."""
        last = None
        for word in words[first : min(end, first + 4)]:
            if word.plain in self.words.behind | self.words.begins | self.words.finite:
                break
            if word.plain in self.words.outside:
                return None
            if word.plain in self.words.another:
                return None
            last = word.plain
        return last

    def _lay_behind(self, words: Sequence[SubjectWord], clause: Clause) -> int | None:
        """The word from which on a clause of the piece tells only where it was, and among what:
        `this was in a lot with two watches`.
        """
        at = self._main_verb(words, clause)
        if words[at].plain not in self.words.lying and at == clause.verb:
            return None
        for place in range(clause.verb, min(clause.end - 2, at + 2)):
            if words[place].plain in ("in", "among", "amongst", "from") and (
                words[place + 1].plain in BEGINS_NOUN - {"its"}
            ):
                near = [word.plain for word in words[place + 1 : min(place + 5, clause.end)]]
                if any(word in self.words.outside for word in near):
                    break
        else:
            return None
        plains = [word.plain for word in words[place : clause.end]]
        if not self.words.tells.isdisjoint(plains) or any(map(_is_year, plains)):
            return None
        return None if self._is_again(words, place, clause.end, strictly=True) else place

    def _of_person(self, words: Sequence[SubjectWord], clause: Clause) -> int | None:
        said = self.words
        main = self._main_verb(words, clause)
        behind = range(main, clause.end)
        verb = words[main].plain if main < clause.end else ""
        # Who mends the red one mends a stone of it, who expects another pin misses one on it.
        parts = verb in said.acts | said.notices
        if self._names_another(words, main + 1, clause.end, parts=parts):
            return clause.first
        if verb in said.notices or words[clause.end - 1].plain in said.notices:
            aside = self._in_the_same(words, clause) or self._is_of_its_kind(words, main, clause)
            return clause.first if aside else None
        if verb in said.sending:
            return clause.first  # I'll post it in an envelope
        if verb in said.acts and words[main - 1].plain in BEING and verb.endswith("ed"):
            return clause.first  # we are closed
        if any(self._is_done(words, main, at, clause.end) for at in behind):
            if verb in said.acts and self._left_undone(words, clause.verb, main):
                return clause.first  # I didn't clean the silver
            return clause.first if self._of_another_piece(words, main, clause.end) else None
        introduces = not self.things.named and any(
            self.things.is_piece(words[at].plain) for at in behind
        )
        if introduces:
            return None
        if not self._is_again(words, main, clause.end, strictly=False):
            near = range(max(clause.first - 1, 0), clause.first + 1)
            of_a_time = any(words[at].plain == WHEN for at in near)  # when she was 18 in 1961
            dated = (self.goes_on or of_a_time) and any(_is_year(words[at].plain) for at in behind)
            return None if dated else clause.first  # of whose it was: she died 1931
        return self._place_behind(words, main, clause.end)

    def _is_of_its_kind(self, words: Sequence[SubjectWord], main: int, clause: Clause) -> bool:
        """Whether somebody tells of a material in general: `he said amber floats`. Its noun has no
        article and names no part, and its verb is of the present and none that the rules know.
        """
        if words[clause.first].plain in ("i", "we") or words[clause.verb - 1].plain in ("i", "we"):
            return False
        at = main + 1
        if at < clause.end and words[at].plain == "that":
            at += 1
        noun: list[str] = []
        for word in words[at : min(at + 3, clause.end)]:
            ends = word.plain.endswith("s") and not self.things.is_known(word.plain)
            if noun and ends and word.plain not in self.words.finite:
                return self.things.says_something(noun[-1]) and not self.things.is_part(noun[-1])
            if word.plain in BEGINS_NOUN | self.words.finite | self.words.behind:
                return False
            noun.append(word.plain)
        return False

    def _left_undone(self, words: Sequence[SubjectWord], first: int, main: int) -> bool:
        """Whether somebody did not do something, and could have: `never polished`, `didn't clean`,
        but not `couldn't close`.
        """
        said = [word.plain for word in words[first:main]]
        return not self.words.undone.isdisjoint(said) or ("not" in said and ABLE.isdisjoint(said))

    def _is_done(self, words: Sequence[SubjectWord], main: int, at: int, end: int) -> bool:
        """Whether a word tells of something done to the piece: `had it repaired`, not `has the
        repaired version`.
        """
        if words[at].plain not in self.words.acts:
            return False
        if at == main or at + 1 == end:
            return True
        following = words[at + 1].plain
        return (
            following
            in self.words.behind | self.words.begins | BEGINS_NOUN | self.words.behind_doing
        )

    def _of_another_piece(self, words: Sequence[SubjectWord], first: int, end: int) -> bool:
        """Whether what is done is done to another piece: `sold the setting from another ring`; or
        to what is no piece: `stuck a label on the bag`.
        """
        if not self._is_again(words, first, end, strictly=False):
            for at in range(first + 1, end - 1):
                if words[at].plain in THE | OF_SOMEBODY and self._names_outside(
                    self._noun_and_rest(words[at + 1 : min(at + 4, end)])[0]
                ):
                    return True
        if not self.things.named:
            return False
        for at in range(first + 1, end):
            word = words[at].plain
            if word in self.words.another | {"a", "an"} | OWNING:
                near = words[at + 1 : min(at + 4, end)]
                others = [
                    each.plain
                    for place, each in enumerate(near)
                    if self.things.is_other(each.plain)
                    and not self.things.is_part_together(near[: place + 1])
                ]
                if others and (word in OWNING or not all(map(self.things.is_part, others))):
                    return True
        return False

    def _place_behind(
        self, words: Sequence[SubjectWord], first: int, end: int, *, shown: bool = False
    ) -> int | None:
        """The word from which on a clause tells only where the piece was: `kept it in a drawer`;
        with `shown`, where it is in a picture, whatever that place has.
        """
        for at in range(first + 1, end - 1):
            if words[at].plain in AGAIN and words[at + 1].plain in self.words.where:
                rest = [word.plain for word in words[at + 1 : end]]
                told = any(_is_number(word) or word in self.words.tells for word in rest)
                again = "with" in rest and not shown
                again = again or self._is_again(words, at + 1, end, strictly=False)
                return None if told or again else at + 1
        return None


def _is_year(word: str) -> bool:
    return word in DECADES or YEAR.fullmatch(word) is not None


def _is_number(word: str) -> bool:
    return word in DECADES or word[:1].isdigit()
