"""Where a text makes a claim: the phrases of the rules, the longest at each place."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from functools import lru_cache
from itertools import accumulate
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.language.roles import IN_CLAIMS, OF_LISTINGS
from markrules.language.slots import REMARK
from markrules.language.tree import Claim, Finding, Maker
from markrules.notes.making import spelled_out
from markrules.sheets.phrases import (
    Folder,
    FoundPhrase,
    PhrasesOfOwners,
    TextToken,
    answered,
    joined,
    joined_or_answered,
    joined_or_parted_by_comma,
)


class ClaimFinder:
    """All claims of a base, ready to be looked for."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Folds all phrases, makers' names and negations of the rules."""
        self.folder = Folder(base)
        self.claims = list(base.claims.values())
        self.base = base
        kept = base.workings.parts("claims", lambda: self._worked_out(base))
        self.phrases = PhrasesOfOwners(
            [(tuple(keys), owner) for keys, owner in kept["phrases"]],
            {tuple(keys): name for keys, name in kept["names"]},
            frozenset(kept["common"]),
            families(base, self.folder),
            joined_or_answered,
        )
        names = {tuple(keys): name for keys, name in kept["names"]}
        self.unclaimed = Unclaimed(base, self.folder, names)
        cautions = (each.say for each in base.cautions.values())
        care = (each.say for each in base.findings.values() if _is_care(each))
        self.general = tuple(say for say in (*cautions, *care) if say)

    def _worked_out(self, base: KnowledgeBase) -> dict[str, list[Any]]:
        """All phrases with their owners' numbers, names and common words: folding them is long."""
        nones = [words for _, words in _wordings(base, "none-of")]
        phrases: list[tuple[tuple[str, ...], int]] = []
        for number, claim in enumerate(self.claims):
            for words in claim.words:
                phrases += [(keys, 2 * number) for keys in self._spelled_out(words, nones)]
            phrases += [(self.folder.phrase(words), 2 * number + 1) for words in claim.fine]
        return {
            "phrases": phrases,
            "names": list(_names(base, self.folder).items()),
            "common": sorted(_common(base, self.folder)),
        }

    def _spelled_out(self, words: str, nones: Sequence[str]) -> list[tuple[str, ...]]:
        """The phrase, once for each way of saying `~`."""
        if _NONE not in words:
            return [self.folder.phrase(words)]
        return [self.folder.phrase(words.replace(_NONE, none)) for none in nones]

    def found(self, text: str) -> Iterator[tuple[Claim, list[TextToken], FoundPhrase]]:
        """The claims that the text makes, with their places; the longest phrase counts."""
        tokens = self.folder.tokens(text)
        makes: list[tuple[int, FoundPhrase]] = []
        fine: list[tuple[int, FoundPhrase]] = []
        for owner, found in self.phrases.find(text, tokens):
            if _may_be(self.claims[owner // 2], found):
                (fine if owner % 2 else makes).append((owner // 2, found))
        # A name that is listed says more than that it is written large.
        listed = {at for _, each in makes if each.name for at in range(each.first, each.after)}
        makes = [
            (number, each)
            for number, each in makes
            if self.claims[number].about != "maker"
            or each.name
            or listed.isdisjoint(range(each.first, each.after))
        ]
        covers = {number: _Covers() for number, _ in fine}
        for number, found in fine:
            covers[number].add(found)
        unsaid = self.unclaimed.places(text, tokens)
        # First of all: a claim that is taken back must not hold a shorter one within it either.
        makes = _not_taken_back(makes, unsaid.before)
        longer = _Covers()
        for _, found in makes:
            longer.add(found)
        # Care and cautions are our own sentences, of things in general; a listing may hold them
        # whole.
        general = tuple(_places(text, self.general)) if makes else ()
        for number, found in makes:
            if number in covers and (
                covers[number].hold(found) or self._left_open(tokens, found, covers[number])
            ):
                continue
            if longer.longer_than(found) or found.first in unsaid.inside:
                continue
            if self.unclaimed.denied(text, tokens, found.first, unsaid.denials):
                continue
            if self.unclaimed.doubted(text, tokens, found):
                continue
            if self.claims[number].about == "years" and self._are_of_a_life(text, tokens, found):
                continue
            if any(start <= tokens[found.first].start < end for start, end in general):
                continue
            yield self.claims[number], tokens, found

    def _are_of_a_life(self, text: str, tokens: Sequence[TextToken], found: FoundPhrase) -> bool:
        """Whether two years far apart stand in brackets alone: a life, or a reign."""
        if len(found.numbers) != 2 or found.first == 0:
            return False
        first, last = map(int, found.numbers)
        before = text[tokens[found.first - 1].end : tokens[found.first].start].strip()
        after = text[tokens[found.after - 1].end :].lstrip()
        alone = before == "(" and after[:1] == ")"
        # Years of a maker's life in brackets behind a name: no piece takes so long to make.
        return alone and last - first >= self.base.setting("claim-life")

    def _left_open(self, tokens: Sequence[TextToken], found: FoundPhrase, fine: _Covers) -> bool:
        """Whether what claims nothing is offered as well: `an opal or opal glass`."""
        after = found.after
        return (
            after < len(tokens) - 1
            and tokens[after].key in self.unclaimed.choices
            and fine.begin_at(after + 1)
        )


def _not_taken_back(
    makes: Sequence[tuple[int, FoundPhrase]], before: AbstractSet[int]
) -> list[tuple[int, FoundPhrase]]:
    """The phrases that do not end where nothing is claimed before; years that do are not claimed in
    part either: `1930s-style` names no 1930.
    """
    back = _Covers()
    for _, found in makes:
        if found.numbers and found.after in before:
            back.add(found)
    return [
        (number, found)
        for number, found in makes
        if found.after not in before and not (found.numbers and back.hold(found))
    ]


def _is_care(finding: Finding) -> bool:
    return finding.advise is not None and finding.advise.effect == "care"


def _places(text: str, sentences: Sequence[str]) -> Iterator[tuple[int, int]]:
    """Where advice of the rules stands word for word: it speaks of such pieces, not of this one."""
    for sentence in sentences:
        at = text.find(sentence)
        while at >= 0:
            yield at, at + len(sentence)
            at = text.find(sentence, at + len(sentence))


@dataclass(frozen=True, slots=True)
class Unsaid:
    """Tokens in a clause that claims nothing, tokens right before which nothing is claimed, and
    tokens right before which a denial ends."""

    inside: set[int]
    before: set[int]
    denials: set[int]


class Unclaimed:
    """Where a text claims nothing: after "cannot say whether", to the end of the clause, right
    before "was not tested", after "it is not", and in a sentence on such things in general that
    names nothing in hand: "jet was all the rage". The words are wordings of the rules.
    """

    def __init__(
        self, base: KnowledgeBase, folder: Folder, names: Mapping[tuple[str, ...], str]
    ) -> None:
        """Folds the wordings that `_ROLES` names, and of break, join, alternative. `names` are
        makers' names, folded: `*` in a wording.
        """
        said = [
            (folder.phrase(words), _ROLES.index(role))
            for role, words in _wordings(base, *_ROLES)
            if role != "denied-through"
        ]
        alike, none = families(base, folder), frozenset[str]()
        of_sentences = {_ROLES.index(role) for role in _OF_SENTENCES}
        clauses = [each for each in said if each[1] not in of_sentences]
        sentences = [each for each in said if each[1] in of_sentences]
        self._of_clauses = PhrasesOfOwners(clauses, names, none, alike)
        self._of_sentences = PhrasesOfOwners(
            sentences, names, none, alike, joined_or_parted_by_comma
        )
        self._about = frozenset(
            folder.key(words) for _, words in _wordings(base, "about-year") if " " not in words
        )
        self._breaks, self._joins, self.choices, self._through, self._relatives = (
            frozenset(folder.key(words) for _, words in _wordings(base, role) if " " not in words)
            for role in ("break", "join", "alternative", "denied-through", "relative")
        )

    def places(self, text: str, tokens: Sequence[TextToken]) -> Unsaid:
        """Where nothing is claimed, and where denials end."""
        inside: set[int] = set()
        before: set[int] = set()
        denials: dict[int, int] = {}
        spared: set[int] = set()
        said = [
            (_ROLES[number], phrase)
            for phrases in (self._of_clauses, self._of_sentences)
            for number, phrase in phrases.find(text, tokens)
        ]
        inside.update(self._told_or_general(text, tokens, said))
        for role, phrase in said:
            if role in _LEAVING_OPEN:
                inside.update(self._question_before(text, tokens, phrase))
            # Taken above: they reach over whole sentences, the others within a clause.
            if role in _OF_SENTENCES:
                continue
            if role == "no-claim":
                aside = phrase.first > 0 and self._comma_before(text, tokens, phrase.first)
                # Its own last word may begin a claim: `if this *were solid gold*`.
                end = self._end(text, tokens, phrase.after, aside)
                inside.update(range(phrase.first + 1, end))
            elif role == "negation":
                denials[phrase.after] = max(phrase.first, denials.get(phrase.after, 0))
            elif role == "no-denial":
                spared.update(range(phrase.first, phrase.after))
            elif role == "answered-no":
                inside.update(self._asked_before(text, tokens, phrase))
            elif phrase.first and self._tells_of_before(text, tokens, phrase):
                before.add(phrase.first)
            elif role == "doubted-after" and self._ends_sentence(text, tokens, phrase):
                inside.update(range(self._start(text, tokens, phrase.first), phrase.first))
            elif self._ends_clause(text, tokens, phrase.after):
                inside.update(
                    range(self._start_of_choice(text, tokens, phrase.first), phrase.first)
                )
        ends = {after for after, first in denials.items() if first not in spared}
        return Unsaid(inside, before, ends)

    def _told_or_general(
        self, text: str, tokens: Sequence[TextToken], said: Sequence[tuple[str, FoundPhrase]]
    ) -> set[int]:
        """The tokens of sentences that pass on what others said, or tell of no piece in hand."""
        inside: set[int] = set()
        kinds = _Covers()
        for role, phrase in said:
            if role == "of-kinds":
                kinds.add(phrase)
        # `Most of these were made abroad` has a word of both kinds: the longer phrase speaks.
        these = {
            phrase.first
            for role, phrase in said
            if role == "of-this" and not kinds.longer_than(phrase)
        }
        others = {phrase.first for role, phrase in said if role == "of-others"}
        for role, phrase in said:
            if role == "as-told" and self._opens(text, tokens, phrase):
                end = self._end(text, tokens, phrase.after + 1, aside=False)
                inside.update(range(phrase.after, end))
            elif role == "of-kinds" and phrase.first not in inside:
                sentence = self._sentence(text, tokens, phrase.first)
                aside = self._relative(text, tokens, phrase.first, sentence)
                if aside is not None:
                    inside.update(aside)
                    continue
                if these.isdisjoint(sentence):
                    inside.update(sentence)
                    self._go_on(text, tokens, sentence.stop, inside, these, others)
            elif role == "history-told" and self._heads(text, tokens, phrase):
                inside.update(range(phrase.first, phrase.after))
                self._go_on(text, tokens, phrase.after, inside, these, None)
        return inside

    def _go_on(
        self,
        text: str,
        tokens: Sequence[TextToken],
        start: int,
        inside: set[int],
        these: set[int],
        others: set[int] | None,
    ) -> None:
        """Add the sentences from `start` on that tell of others still, to the first that names the
        piece in hand or is a field of its own, `Weight: 12 g`. Each is to hold one of `others`,
        such as `he` or `the firm`; all count where that is None: beneath a heading.
        """
        while start < len(tokens) and start not in inside:
            sentence = self._sentence(text, tokens, start)
            if not these.isdisjoint(sentence) or self._is_field(text, tokens, sentence):
                return
            if others is not None and others.isdisjoint(sentence):
                return
            inside.update(sentence)
            start = sentence.stop

    def _relative(
        self, text: str, tokens: Sequence[TextToken], at: int, sentence: range
    ) -> range | None:
        """The clause at `at` that only adds to a thing named before it: `a line of turquoise which
        was a symbol of love`; the rest of the sentence still tells of the piece. It ends with its
        sentence, or at a comma. None where no such clause stands there.
        """
        for place in range(at, max(sentence.start, at - _FARTHEST_RELATIVE), -1):
            if tokens[place].key in self._relatives:
                after = at + 1
                while after < sentence.stop and joined(text, tokens, after):
                    after += 1
                return range(place, after)
        return None

    @staticmethod
    def _is_field(text: str, tokens: Sequence[TextToken], sentence: range) -> bool:
        """Whether a few words with a colon behind them stand there alone."""
        if len(sentence) > _LONGEST_FIELD or sentence.stop >= len(tokens):
            return False
        gap = text[tokens[sentence.stop - 1].end : tokens[sentence.stop].start]
        return gap.lstrip(" \t").startswith(":")

    @staticmethod
    def _heads(text: str, tokens: Sequence[TextToken], phrase: FoundPhrase) -> bool:
        """Whether a phrase is a heading: first in its sentence, and all of it."""
        first, after = phrase.first, phrase.after
        opens = not first or _SENTENCE.search(text, tokens[first - 1].end, tokens[first].start)
        return (
            opens is not None
            and after < len(tokens)
            and _SENTENCE.search(text, tokens[after - 1].end, tokens[after].start) is not None
        )

    @staticmethod
    def _sentence(text: str, tokens: Sequence[TextToken], at: int) -> range:
        """The tokens of the sentence that holds the one at `at`; a long one counts in part."""

        def parted(place: int) -> bool:
            return _SENTENCE.search(text, tokens[place - 1].end, tokens[place].start) is not None

        first, after = at, at + 1
        while first and at - first < _LONGEST_SENTENCE and not parted(first):
            first -= 1
        while after < len(tokens) and after - at < _LONGEST_SENTENCE and not parted(after):
            after += 1
        return range(first, after)

    def denied(self, text: str, tokens: Sequence[TextToken], first: int, denials: set[int]) -> bool:
        """Whether what begins at token `first` is denied: right before it, with at most one word
        between, or more where these are such as a denial goes through.
        """
        for at in range(first, max(0, first - _LONGEST_DENIAL), -1):
            if not joined(text, tokens, at):
                return False
            if at in denials:
                return True
            # `Not a single chip` denies the chip and `not gold but brass` not the brass: a word
            # that is no such ends what the denial reaches.
            if at < first and tokens[at].key not in self._through:
                return False
        return False

    @staticmethod
    def doubted(text: str, tokens: Sequence[TextToken], found: FoundPhrase) -> bool:
        """Whether a question mark in brackets follows; a lone one may ask for applause."""
        return _DOUBT.match(text, tokens[found.after - 1].end) is not None

    def _start_of_choice(self, text: str, tokens: Sequence[TextToken], end: int) -> int:
        """Where a choice begins that ends with a comma before `end`: `bone, ivory or plastic, I
        cannot tell`. Without an `or` in it there is none, and `end` itself is given.
        """
        if not end or not self._comma_before(text, tokens, end):
            return end
        # Walked back from the doubt, as it closes the choice: from the front, every comma of a
        # listing might begin one.
        at, chosen = end - 1, False
        while True:
            chosen = chosen or tokens[at].key in self.choices
            more = at and end - at < _LONGEST_CLAUSE and tokens[at - 1].key not in self._breaks
            if not more or not (joined(text, tokens, at) or self._comma_before(text, tokens, at)):
                return at if chosen else end
            at -= 1

    def _ends_sentence(self, text: str, tokens: Sequence[TextToken], doubt: FoundPhrase) -> bool:
        """Whether a doubt stands after a comma and closes what is said: `it is gold, I think`."""
        return (
            doubt.first > 0
            and self._comma_before(text, tokens, doubt.first)
            and (doubt.after >= len(tokens) or not joined(text, tokens, doubt.after))
        )

    def _start(self, text: str, tokens: Sequence[TextToken], end: int) -> int:
        """Where the clause begins that a comma ends before the token `end`."""
        at = end - 1
        while (
            at > 0
            and end - at < _LONGEST_CLAUSE
            and joined(text, tokens, at)
            and tokens[at - 1].key not in self._breaks
        ):
            at -= 1
        return at

    def _ends_clause(self, text: str, tokens: Sequence[TextToken], after: int) -> bool:
        """Whether nothing more is said there: `I cannot tell its age` speaks of something else."""
        return (
            after >= len(tokens)
            or not joined(text, tokens, after)
            or tokens[after].key in self._joins | self._breaks
        )

    @staticmethod
    def _comma_before(text: str, tokens: Sequence[TextToken], at: int) -> bool:
        return text[tokens[at - 1].end : tokens[at].start].strip() == ","

    def _opens(self, text: str, tokens: Sequence[TextToken], phrase: FoundPhrase) -> bool:
        """Whether a phrase stands first in its sentence, with a comma behind it."""
        first = phrase.first
        opens = not first or _SENTENCE.search(text, tokens[first - 1].end, tokens[first].start)
        return (
            opens is not None
            and phrase.after < len(tokens)
            and self._comma_before(text, tokens, phrase.after)
        )

    def _tells_of_before(self, text: str, tokens: Sequence[TextToken], phrase: FoundPhrase) -> bool:
        """Whether a phrase goes on from what stands before it, or answers it: `Hallmarks: none.`"""
        gap = text[tokens[phrase.first - 1].end : tokens[phrase.first].start]
        if joined(text, tokens, phrase.first) or gap.strip() in _BRACKETS:
            return True
        ends = phrase.after >= len(tokens) or not joined(text, tokens, phrase.after)
        return ends and answered(text, tokens, phrase.first)

    def _asked_before(self, text: str, tokens: Sequence[TextToken], phrase: FoundPhrase) -> range:
        """What an answer of no is given to: the question before it, `Is it silver? No`, or the
        field, `Signed: no`; nothing where more follows in its clause, or nothing was asked.
        """
        first, after = phrase.first, phrase.after
        if not first:
            return range(0)
        goes_on = after < len(tokens) and joined(text, tokens, after)
        # `Signed: no longer legible` is no answer; `Signed: no` at the end of its line is one.
        if goes_on and "\n" not in text[tokens[after - 1].end : tokens[after].start]:
            return range(0)
        gap = text[tokens[first - 1].end : tokens[first].start].strip()
        asked = range(self._sentence(text, tokens, first - 1).start, first)
        field = gap == ":" and len(asked) <= _LONGEST_FIELD
        return asked if field or gap == "?" else range(0)

    def _question_before(
        self, text: str, tokens: Sequence[TextToken], phrase: FoundPhrase
    ) -> tuple[int, ...] | range:
        """The question that a sentence leaves open with its last words: `Old stock? It came on a
        card, so maybe.` What stands in the midst of an answer may doubt something else.
        """
        sentence = self._sentence(text, tokens, phrase.first)
        if not sentence.start or phrase.after < sentence.stop:
            return ()
        gap = text[tokens[sentence.start - 1].end : tokens[sentence.start].start]
        return self._sentence(text, tokens, sentence.start - 1) if "?" in gap else ()

    def _end(self, text: str, tokens: Sequence[TextToken], start: int, aside: bool) -> int:
        """Where the clause ends that begins at `start`; one put aside by a comma before it goes on
        behind another only where a choice is told: `, possibly shell, bone or horn`.
        """
        # Behind a doubt put aside by a comma, `and` goes on with what is not doubted.
        joins = self.choices if aside else self._joins
        most = min(len(tokens), start + _LONGEST_CLAUSE)
        at = start
        while at < most and tokens[at].key not in self._breaks:
            if "." in text[tokens[at - 1].end : tokens[at].start]:
                break
            if (
                not joined(text, tokens, at)
                and not self._in_list(text, tokens, at, joins)
                and not self._years_in_brackets(text, tokens, at)
            ):
                break
            at += 1
        return at

    def _years_in_brackets(self, text: str, tokens: Sequence[TextToken], at: int) -> bool:
        """Whether a bracket opens there that tells years: `perhaps Victorian (ca 1870)`."""
        if text[tokens[at - 1].end : tokens[at].start].strip() != "(":
            return False
        year = at + 1 if tokens[at].key in self._about and at + 1 < len(tokens) else at
        return _is_year(tokens[year].key)

    def _in_list(
        self, text: str, tokens: Sequence[TextToken], at: int, joins: frozenset[str]
    ) -> bool:
        """Whether the comma before a token stands in a list: `ruby, garnet, shell or plastic`."""
        if not self._comma_before(text, tokens, at):
            return False
        item = at
        for later in range(at + 1, min(len(tokens), at + 1 + _LONGEST_LIST)):
            if not joined(text, tokens, later):
                if not self._comma_before(text, tokens, later):
                    return False
                item = later
            elif tokens[later].key in joins:
                return True
            if later - item >= _LONGEST_ITEM:
                return False
        return False


_NONE = "~"
_OF_SENTENCES = ("as-told", "of-kinds", "of-this", "of-others", "history-told")
_LEAVING_OPEN = ("no-claim", "no-claim-after", "doubted-after", "answered-no")
_ROLES = (
    *("no-claim", "no-claim-after", "doubted-after", "answered-no"),
    *("negation", "no-denial", "denied-through"),
    *_OF_SENTENCES,
)
_LONGEST_CLAUSE = 12
_LONGEST_DENIAL = 7
_FARTHEST_RELATIVE = 4
_LONGEST_ITEM = 4
_LONGEST_LIST = 12
_LONGEST_FIELD = 3
_LONGEST_SENTENCE = 40
_BRACKETS = ("(", "[")
_SENTENCE = re.compile(r"[.!?;:\n•|]")
_DOUBT = re.compile(r"\s?[(\[]\?[)\]]")


def families(base: KnowledgeBase, folder: Folder) -> dict[str, list[tuple[str, ...]]]:
    """What may stand in braces in the words of claims: the wordings of the role in-claims."""
    return {
        wording.name: [
            folder.phrase(text.casefold())
            for words in wording.words
            for text in spelled_out(base, words)
        ]
        for wording in base.wordings.values()
        if wording.role == IN_CLAIMS
    }


def _wordings(base: KnowledgeBase, *roles: str) -> Iterator[tuple[str, str]]:
    for wording in base.wordings.values():
        if wording.role in roles:
            yield from ((wording.role, words.casefold()) for words in wording.words)


def _may_be(claim: Claim, found: FoundPhrase) -> bool:
    """Numbers in a claim about years are years, and others are as the claim says."""
    if claim.about == "years" and not all(map(_is_year, found.numbers)):
        return False
    if claim.about == "karat" and any(map(_has_decimals, found.numbers)):
        return False  # `10.00 carats` weighs a stone
    if claim.figures is None:
        return True
    low, high = claim.figures
    return any(low <= _figure(number) <= high for number in found.numbers)


def _has_decimals(number: str) -> bool:
    return not number.isdecimal()


def _figure(number: str) -> float:
    """The number as written with a point or comma; a fraction or a row of them is none."""
    try:
        return float(number.replace(",", "."))
    except ValueError:
        return -1.0


class _Covers:
    """Stretches of tokens, asked whether one of them covers another: in the time of a search."""

    def __init__(self) -> None:
        self._ends: dict[int, int] = {}
        self._reach: list[tuple[int, int]] | None = None

    def add(self, found: FoundPhrase) -> None:
        self._ends[found.first] = max(found.after, self._ends.get(found.first, 0))
        self._reach = None

    def begin_at(self, first: int) -> bool:
        """Whether a stretch begins there."""
        return first in self._ends

    def hold(self, found: FoundPhrase) -> bool:
        """Whether a stretch begins no later and ends no earlier."""
        return self._farthest(found.first) >= found.after

    def longer_than(self, found: FoundPhrase) -> bool:
        """Whether a stretch covers it and more."""
        here = self._ends.get(found.first, 0)
        return here > found.after or self._farthest(found.first - 1) >= found.after

    def _farthest(self, first: int) -> int:
        """The greatest end of all stretches that begin at `first` or before."""
        # All phrases are added before the first is asked about, so they are sorted once.
        if self._reach is None:
            starts = sorted(self._ends)
            ends = accumulate((self._ends[start] for start in starts), max)
            self._reach = list(zip(starts, ends, strict=True))
        at = bisect_right(self._reach, first, key=lambda pair: pair[0])
        return self._reach[at - 1][1] if at else 0


def _is_year(number: str) -> bool:
    return len(number) == 4 and number.isdigit() and 1700 <= int(number) <= 2099


@lru_cache(maxsize=4)
def claim_finder(base: KnowledgeBase) -> ClaimFinder:
    """The finder for a base, made once."""
    return ClaimFinder(base)


def _names(base: KnowledgeBase, folder: Folder) -> dict[tuple[str, ...], str]:
    names: dict[tuple[str, ...], str] = {}
    for maker in base.makers.values():
        for text in (maker.title, *maker.also, *_short_names(maker)):
            keys = folder.phrase(text)
            # Two letters stand in too many words; `#` and `*` mean a figure and a maker in a
            # phrase.
            if keys and len("".join(keys)) >= 3 and not set(keys) & {"#", "*"}:
                names.setdefault(keys, maker.name)
    return names


def _short_names(maker: Maker) -> list[str]:
    """Parts of the title that stand on a mark of the maker: they name it as well as the whole.

    So does a word of it that is a mark of its own: the name of the family, mostly.
    """
    marks = [mark.text.casefold() for mark in maker.marks]
    parts = [part.strip() for part in re.split(r"[,(&]", maker.title)]
    named = [part for part in parts if any(_stands_in(part.casefold(), mark) for mark in marks)]
    words = re.findall(r"\w+", maker.title)
    surname = [word for word in words if len(word) > _SHORTEST_PART and word.casefold() in marks]
    return named + surname


def _stands_in(part: str, mark: str) -> bool:
    return len(part) >= _SHORTEST_PART and re.search(rf"\b{re.escape(part)}\b", mark) is not None


_SHORTEST_PART = 4


def _common(base: KnowledgeBase, folder: Folder) -> frozenset[str]:
    """Words with a meaning of their own in the rules: a maker of that name must be named so.

    Words of remarks have none: great names stand among them.
    """
    texts: set[str] = set()
    for feature in base.features.values():
        for value in feature.values:
            texts.update((value.name, *value.also))
    for piece in base.pieces.values():
        texts.update((piece.name, *piece.also))
    for wording in base.wordings.values():
        if wording.role != REMARK and wording.role not in OF_LISTINGS:
            texts.update(wording.words)
    found = map(folder.phrase, texts)
    return frozenset(keys[0] for keys in found if len(keys) == 1)
