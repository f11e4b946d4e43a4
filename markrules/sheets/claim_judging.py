"""Whether the evidence bears a claim: by what was seen, by age, by years, or by the maker."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from collections.abc import Set as AbstractSet
from functools import cached_property, lru_cache

from markrules.appraisal.melt import METAL, TESTED_AS
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import evaluate
from markrules.knowledge.facts import Facts, phrase, runs
from markrules.knowledge.observation import Observation
from markrules.language.conditions import Condition
from markrules.language.tree import Claim, Maker
from markrules.language.windows import Window
from markrules.marks.metal import find_metal_marks
from markrules.reading.reader import METAL_MARK
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.phrases import Folder, FoundPhrase, TextToken, singular
from markrules.telling.limits import share_of_years
from markrules.telling.words import visible

_QUOTE = re.compile(r"[“\"]([^“”\"\n]+)[”\"]")
_LONGEST_QUOTE = 200
ABOUT, BETWEEN, OR = "about-year", "between-years", "or"
"""The roles of words beside years, and the word between years of which one is meant."""
AT_LEAST, AT_LATEST = "at-least", "at-latest"
"""The role of words by which an age told is the least: over, more than."""
_OF_MAKING = ("made", "assayed", "imported", "engraved")
"""What years read on a piece date, where they lie near its making."""
_YEAR = re.compile(r"(?<!\d)1[789]\d\d(?!\d)|(?<!\d)20\d\d(?!\d)")
_AGES = 2000
_ROUNDED_AGE = 10
"""An age told is rounded: to a tenth of itself, at least to the years of `circa`."""


class Judge:
    """Whether a claim is borne out by one piece; without a reading, none is."""

    def __init__(self, base: KnowledgeBase, reading: Reading | None) -> None:
        """What was seen is indexed once; what holds is asked once for each condition."""
        self.base = base
        self.reading = reading
        self.facts = Facts(reading.observations, base, reading.piece_type) if reading else None
        self._known: dict[int, bool] = {}

    def bears(
        self, claim: Claim, found: FoundPhrase, tokens: Sequence[TextToken], text: str
    ) -> bool:
        """Whether the words found may stand."""
        if self.reading is None:
            return claim.when is not None
        if claim.when is not None and not self._holds(claim.when):
            return True
        fits = claim.about != "karat" or self._as_fine(found, tokens)
        if fits and claim.unless is not None and self._holds(claim.unless):
            return True
        last = tokens[found.after - 1]
        first = last if claim.about == "mark" else tokens[found.first]
        if self._quoted(text, first.start, last.end):
            return True
        if claim.about == "mark" and self._part_of_a_mark(found, tokens, text):
            return True
        # Rules may ask more, or less, of one claim by a setting of its name.
        least = self.base.setting(f"{claim.name}-share", self.base.setting("claim-share"))
        return any(share(self, claim, found, tokens) >= least for share in _SHARES)

    def _quoted(self, text: str, start: int, end: int) -> bool:
        """Whether the words stand within quotes that give a mark as it was read on the piece."""
        assert self.reading is not None
        for quote in _QUOTE.finditer(text, max(0, start - _LONGEST_QUOTE), end + _LONGEST_QUOTE):
            if quote.start() < start and end < quote.end():
                inside = quote.group(1).casefold().strip()
                return any(
                    each.is_read_mark and inside == visible(each.value).casefold().strip()
                    for each in self.reading.observations
                )
        return False

    def _part_of_a_mark(self, found: FoundPhrase, tokens: Sequence[TextToken], text: str) -> bool:
        """Whether the name is a part of a longer mark that was read, and so names nobody: the first
        word of `marked WEST GERMANY`. All of it is written large, or beside a figure.
        """
        assert self.reading is not None

        def goes_on(at: int) -> bool:
            if not 0 < at < len(tokens) or text[tokens[at - 1].end : tokens[at].start] != " ":
                return False
            sides = (text[each.start : each.end] for each in tokens[at - 1 : at + 1])
            return all(each.isupper() or each.isdigit() for each in sides)

        first, after = found.after - 1, found.after
        while goes_on(first):
            first -= 1
        while goes_on(after):
            after += 1
        if after - first < 2 or after == found.after:
            return False
        whole = text[tokens[first].start : tokens[after - 1].end].casefold()
        return any(
            each.is_read_mark and whole == " ".join(visible(each.value).casefold().split())
            for each in self.reading.observations
        )

    def _holds(self, condition: Condition) -> bool:
        assert self.reading is not None
        assert self.facts is not None
        # By identity: the conditions live as long as the base, and to hash one walks all of it.
        known = self._known.get(id(condition))
        if known is None:
            found = frozenset(self.reading.findings)
            known = self._known[id(condition)] = evaluate(condition, self.facts, found) is True
        return known

    def _as_fine(self, found: FoundPhrase, tokens: Sequence[TextToken]) -> bool:
        """Whether a number of 24ths is a fineness on record, or no fineness is on record."""
        if not self._finenesses:
            return True
        said = [_of_24(number) for number in found.numbers] or [
            sum(self._number_words.get(token.key, 0) for token in tokens[found.first : found.after])
        ]
        return any(
            low - _ROUNDED <= karat * 1000 / 24 <= high + _ROUNDED
            for karat in said
            for low, high in self._finenesses
        )

    @cached_property
    def _number_words(self) -> dict[str, int]:
        """Words for numbers, by the wordings of the rules: `fourteen` is 14."""
        return {
            word: number
            for wording in self.base.wordings.values()
            if wording.role == "number"
            for number, word in enumerate(wording.words)
        }

    @cached_property
    def _finenesses(self) -> list[tuple[float, float]]:
        """What a test found, else what marks tell, else what the metal was said to be: lowest and
        highest, in thousandths.
        """
        assert self.reading is not None
        seen = [e for e in self.reading.observations if e.state == "seen" and not e.heard]
        for feature in (TESTED_AS, METAL_MARK, METAL):
            found = [
                fineness
                for each in seen
                if each.feature == feature
                for fineness in self._told_by(each)
            ]
            if found:
                return found
        return []

    def _told_by(self, seen: Observation) -> list[tuple[float, float]]:
        """What a mark of metal content, or a metal by the words for it, tells of fineness."""
        mark = self.base.metal_marks.get(seen.value)
        if mark is not None and mark.fineness is not None:
            return [mark.fineness]
        read = find_metal_marks(seen.words, self.base)
        return [each.fineness for each in read if each.fineness is not None]

    def _by_age(self, claim: Claim, _: FoundPhrase, __: Sequence[TextToken]) -> float:
        if claim.age is None:
            return 0.0
        return self._years(None, self._last_year() - claim.age)

    def _by_window(self, claim: Claim, _: FoundPhrase, __: Sequence[TextToken]) -> float:
        if claim.made is None:
            return 0.0
        return self._years(*_ends(claim.made, self._last_year()))

    def _by_maker(self, claim: Claim, found: FoundPhrase, tokens: Sequence[TextToken]) -> float:
        if claim.about != "maker" or self.reading is None:
            return 0.0
        if not found.name:
            return self._by_words_read(tokens[found.first : found.after])
        return max(
            (each.probability for each in self.reading.makers if each.maker == found.name),
            default=0.0,
        )

    def _by_words_read(self, said: Sequence[TextToken]) -> float:
        """Whether a word of a name that no list holds was read on the piece."""
        assert self.reading is not None
        name = {token.key for token in said if token.large}
        folder = _folder(self.base)
        read = (
            folder.phrase(each.value) for each in self.reading.observations if each.is_read_mark
        )
        return 0.0 if all(name.isdisjoint(words) for words in read) else 1.0

    def _by_mark(self, claim: Claim, found: FoundPhrase, _: Sequence[TextToken]) -> float:
        """Whether the name stands on the piece, as far as it was read."""
        if claim.about != "mark" or self.reading is None or found.name not in self.base.makers:
            return 0.0
        names = {phrase(each) for each in names_of(self.base.makers[found.name])}
        on_it = (runs(each.value) for each in self.reading.observations if each.is_read_mark)
        return 1.0 if any(names & each for each in on_it) else 0.0

    def _by_years(self, claim: Claim, found: FoundPhrase, tokens: Sequence[TextToken]) -> float:
        if claim.about != "years" or self.reading is None or not self.reading.evidence:
            return 0.0
        if all(self._stands_on_piece(number) for number in found.numbers):
            return 1.0
        several = _alternatives(tokens, found, _of_roles(self.base, ABOUT, BETWEEN))
        if several and any(self._dated_within(*each) for each in several):
            return 1.0
        if several:
            return sum(self._years(*each) for each in _apart(several))
        first, last = min(map(int, found.numbers)), max(map(int, found.numbers))
        keys = [token.key for token in tokens[found.first : found.after]]
        if not _of_roles(self.base, AT_LATEST).isdisjoint(keys):
            return self._years(None, last - 1)
        if _DECADE in keys:
            last += 9
        elif not _of_roles(self.base, ABOUT).isdisjoint(keys) and first == last:
            around = int(self.base.setting("claim-circa"))
            first, last = first - around, last + around
        return 1.0 if self._dated_within(first, last) else self._years(first, last)

    def _by_years_ago(self, claim: Claim, found: FoundPhrase, tokens: Sequence[TextToken]) -> float:
        """Of `some 170 years old`: the years about then; of `over 90 years old`, all before."""
        if claim.about != "ago" or self.reading is None or not self.reading.evidence:
            return 0.0
        ago = max((int(each) for each in found.numbers if each.isdecimal()), default=0)
        if not 0 < ago < _AGES:
            return 0.0
        then = self._last_year() - ago
        around = max(int(self.base.setting("claim-circa")), ago // _ROUNDED_AGE)
        keys = (token.key for token in tokens[found.first : found.after])
        at_least = not _of_roles(self.base, AT_LEAST).isdisjoint(keys)
        first, last = None if at_least else then - around, then + around
        if first is not None and self._dated_within(first, last):
            return 1.0
        return self._years(first, then if at_least else last)

    def _by_record(self, claim: Claim, found: FoundPhrase, tokens: Sequence[TextToken]) -> float:
        """Whether what the words name is on record as seen, by any name the rules know it by."""
        if claim.about != "seen" or self.reading is None:
            return 0.0
        said = tuple(token.key for token in tokens[found.first : found.after])
        folder = _folder(self.base)
        for each in self.reading.observations:
            if each.state != "seen" or each.heard:
                continue
            feature = self.base.features.get(each.feature)
            values = () if feature is None else feature.values
            value = next((one for one in values if one.name == each.value), None)
            names = (each.words, *(() if value is None else (value.name, *value.also)))
            # `lava` is on record where `lava beads` are.
            if any(said == folder.phrase(name.casefold())[: len(said)] for name in names if name):
                return 1.0
        return 0.0

    def _dated_within(self, first: int, last: int) -> bool:
        """Whether a year that somebody read on the piece, within words or alone, lies there."""
        assert self.reading is not None
        return any(
            first <= int(year) <= last
            for each in self.reading.observations
            if each.state == "seen" and not each.heard and self._dates_making(each.feature)
            for year in _YEAR.findall(each.value)
        )

    def _dates_making(self, name: str) -> bool:
        feature = self.base.features.get(name)
        return feature is not None and feature.dates in _OF_MAKING

    def _stands_on_piece(self, number: str) -> bool:
        assert self.reading is not None
        return any(number in each.value for each in self.reading.observations if not each.heard)

    def _years(self, first: int | None, last: int | None) -> float:
        if self.reading is None or not self.reading.evidence:
            return 0.0
        return share_of_years(self.reading, first, last)

    def _last_year(self) -> int:
        assert self.reading is not None
        return self.reading.date.first_year + len(self.reading.date.curve) - 1

    @cached_property
    def _years_and_maker(self) -> tuple[str, str]:
        if self.reading is None:
            return "date not known", "maker not known"
        words = attribution(self.base, self.reading).words
        return date_words(self.base, self.reading), words

    def better(self, claim: Claim, words: str) -> str:
        """The better words of a claim, with what is known of this piece put in."""
        years, maker = self._years_and_maker
        one = singular(words.casefold())
        text = claim.instead.replace("{words}", one)
        text = text.replace(_OF_SEVERAL, "" if one == words.casefold() else "s")
        return text.replace("{years}", years).replace("{maker}", maker)


def _of_24(number: str) -> float:
    """The number as written with a point or comma; one that is none agrees with no fineness."""
    try:
        return float(number.replace(",", "."))
    except ValueError:
        return 0.0


_ROUNDED = 12
"""Thousandths by which stamps round karats, at most: 14K as 585, 24K as 990."""
_OF_SEVERAL = "(s)"
"""In better words: an s, where what was said is told of several."""
_Share = Callable[[Judge, Claim, FoundPhrase, Sequence[TextToken]], float]
_SHARES: tuple[_Share, ...] = (
    Judge._by_age,
    Judge._by_window,
    Judge._by_maker,
    Judge._by_mark,
    Judge._by_years,
    Judge._by_years_ago,
    Judge._by_record,
)


@lru_cache(maxsize=32)
def _of_roles(base: KnowledgeBase, *roles: str) -> frozenset[str]:
    """The words of some roles."""
    return frozenset(base.words_of(*roles))


@lru_cache(maxsize=4)
def _folder(base: KnowledgeBase) -> Folder:
    return Folder(base)


_WIDEST_GAP = 3  # signs between two years told together: a dash with blanks
_COMMA = 2  # signs between one stretch of years and the next of a list: a comma and a blank
_DECADE = "s"


def _alternatives(
    tokens: Sequence[TextToken], found: FoundPhrase, parts: AbstractSet[str]
) -> list[tuple[int, int]]:
    """The stretches of years that are told together: both of `1884–1908 or 1941–1951`, and
    that of `1920s to 1940s`; none where one year or two stand alone. `parts` are the words that
    may stand among them.
    """
    parts = parts | {OR, _DECADE}

    def told_with(token: TextToken, gap: int) -> bool:
        return gap <= _WIDEST_GAP and (token.key in parts or _is_year(token))

    first, after = found.first, found.after
    while first and told_with(tokens[first - 1], tokens[first].start - tokens[first - 1].end):
        first -= 1
    while after < len(tokens) and told_with(
        tokens[after], tokens[after].start - tokens[after - 1].end
    ):
        after += 1
    groups: list[list[tuple[int, int]]] = [[]]
    for at in range(first, after):
        if at > first and _told(tokens[at - 1]) and _gap(tokens, at) == _COMMA:
            groups.append([])
        if tokens[at].key == OR:
            groups.append([])
        elif _is_year(tokens[at]):
            year = int(tokens[at].key)
            decade = at + 1 < after and tokens[at + 1].key == _DECADE
            groups[-1].append((year, year + 9 if decade else year))
    if len(groups) < 2 and not any(last > year for year, last in groups[0]):
        return []
    return [
        (min(year for year, _ in pair), max(last for _, last in pair))
        for group in groups
        for at in range(0, len(group), 2)
        for pair in (group[at : at + 2],)
    ]


def _told(token: TextToken) -> bool:
    """Whether a stretch of years may end with it: not with the `c` of `c. 1950`."""
    return _is_year(token) or token.key == _DECADE


def _gap(tokens: Sequence[TextToken], at: int) -> int:
    """How many signs stand before a token."""
    return tokens[at].start - tokens[at - 1].end


def _apart(several: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
    """The same years in stretches that share none, so that no year is counted twice."""
    apart: list[tuple[int, int]] = []
    for first, last in sorted(several):
        if apart and first <= apart[-1][1] + 1:
            apart[-1] = (apart[-1][0], max(last, apart[-1][1]))
        else:
            apart.append((first, last))
    return apart


def _is_year(token: TextToken) -> bool:
    return len(token.key) == 4 and token.key.isdecimal()


def names_of(maker: Maker) -> tuple[str, ...]:
    """By what names a maker is known: title, other names, and the texts of its marks."""
    marks = [mark.text for mark in maker.marks if mark.text]
    return tuple(each for each in (maker.title, *maker.also, *marks) if each)


def _ends(made: Window, last_year: int) -> tuple[int | None, int | None]:
    def year_of(year: object) -> int | None:
        if year is None:
            return None
        return last_year if getattr(year, "now", False) else int(getattr(year, "number", 0))

    return year_of(made.first or made.mostly_first), year_of(made.last or made.mostly_last)
