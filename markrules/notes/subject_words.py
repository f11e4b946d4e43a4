"""The words by which subjects of clauses are told apart, and what words of a note are to them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markrules.frozen import dataclass
from markrules.late import late
from markrules.named_tuple import NamedTuple
from markrules.notes.folding import plain
from markrules.notes.tokens import QUOTED

SUBJECTS = (
    *("somebody", "somebody-at-verb", "person-noun", "outside-noun", "notices", "acts-on-it"),
    *("lives", "finite", "before-verb", "clause-begins", "behind-noun", "of-another"),
    *("tells-of-it", "wishes", "lies-somewhere", "as-pictured", "where", "behind-doing"),
    *("unless-named", "harms-it", "bears-no-text", "left-undone", "sends-it", "time-noun"),
    "side-noun",
)
"""The roles of the words of `Subjects`, in its order."""
BESIDE = frozenset(("beside", "behind", "next", "alongside", "under", "near"))
"""Words between a thing and the piece that it stands at; of `next to` the first."""

OWNING = frozenset(("my", "our", "your"))
OF_SOMEBODY = frozenset((*OWNING, "his", "her", "their"))
THIS = frozenset(("this", "these", "it"))
THE = frozenset(("the", "its", "their", "his", "her"))
SOME = frozenset(("a", "an", "some", "two", "three", "several", "many", "few", "lots", "any"))
BEGINS_NOUN = OF_SOMEBODY | THE | SOME | THIS | frozenset(("that", "those", "one", "all", "both"))
"""Words with which a noun begins."""
AGAIN = frozenset(("it", "its", "this", "these", "them"))
BEING = frozenset(("am", "is", "are", "was", "were", "be", "been", "being"))
ABLE = frozenset(("can", "could", "able"))
ONE = frozenset(("one", "ones"))
JOINS = frozenset(("and", "but", "or", "then", "so", "yet"))
ADDS = frozenset(("and", "or"))
OF_THINGS = frozenset(("that", "which", "who", "whose"))
YEAR = late(r"(?:1[5-9]|20)[0-9]{2}s?")
_LETTERS = re.compile(r"[a-z]+")
ASIDE = r"(?<=\w )\((?:[^()\s]+\s){0,2}[^()\s]+\)(?= \w)"
"""A few words in brackets inside a clause, and no subject of it: stone (see photo) is missing."""
_WORD = late(rf"(?P<quote>{QUOTED}|{ASIDE})|[^\W_]+(?:['’][^\W\d_]+)*")


@dataclass(frozen=True, slots=True)
class Subjects:
    """Words, plain and in lower case: pronouns of people, pronouns of people only before what
    people do, nouns of people and of things that are no piece, verbs of noticing, of doing
    something to the piece and of all else that people do, verbs that end a subject, words that may
    stand before the verb of meaning, words with which a clause begins, words behind the noun of a
    subject, words of another thing than the one spoken of, and of what stands on something; those
    with which a wish begins, of lying somewhere, of what pictures show people doing, of places, of
    what may follow when something was done to a thing, of things that a piece may picture and
    that are of it where they were named before, and of what other things do to a piece.

    `triggers` are all without which no subject is looked for, `verbs` all verbs, `of_people` those
    of what people do.
    """

    somebody: frozenset[str]
    at_verb: frozenset[str]
    people: frozenset[str]
    outside: frozenset[str]
    notices: frozenset[str]
    acts: frozenset[str]
    lives: frozenset[str]
    finite: frozenset[str]
    before_verb: frozenset[str]
    begins: frozenset[str]
    behind: frozenset[str]
    another: frozenset[str]
    tells: frozenset[str]
    wishes: frozenset[str]
    lying: frozenset[str]
    as_pictured: frozenset[str]
    where: frozenset[str]
    behind_doing: frozenset[str]
    unless_named: frozenset[str]
    harms: frozenset[str]
    textless: frozenset[str]
    undone: frozenset[str]
    sending: frozenset[str]
    times: frozenset[str]
    sides: frozenset[str]
    triggers: frozenset[str]
    verbs: frozenset[str]
    of_people: frozenset[str]


def subjects_of(words: Sequence[frozenset[str]], kin: frozenset[str]) -> Subjects:
    """The words of the roles `SUBJECTS`, in their order, with words of kin that are people too."""
    somebody, at_verb, people, outside, notices, acts, lives, finite, *rest = words
    people |= kin
    another = rest[SUBJECTS.index("of-another") - 8]
    of_people = notices | acts | lives
    triggers = somebody | at_verb | people | outside | another | OF_SOMEBODY | BESIDE | {"it"}
    told = (somebody, at_verb, people, outside, notices, acts, lives, finite, *rest)
    return Subjects(*(*told, triggers, finite | of_people, of_people))


class SubjectWord(NamedTuple):
    """A word of a segment, plain, as written, and where it stands."""

    plain: str
    raw: str
    start: int
    end: int


def may_tell_of_others(subjects: Subjects, note: str) -> bool:
    """Whether a note has words without which it has no subject but the piece."""
    return not subjects.triggers.isdisjoint(_LETTERS.findall(note.casefold()))


def words_of(text: str) -> list[SubjectWord]:
    """The words of a text, in order, without those in quotes and short ones in brackets."""
    return [
        SubjectWord(plain(match[0]), match[0], match.start(), match.end())
        for match in _WORD.finditer(text)
        if match.lastgroup != "quote"
    ]


def owns(word: SubjectWord) -> bool:
    """Whether a word is somebody's or something's, and its owner is no pronoun: `seller's`."""
    return word.raw.casefold().endswith(("'s", "’s", "s'", "s’"))
