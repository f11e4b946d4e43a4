"""Whether the evidence bears a claim: by what was seen, by age, by years, or by the maker."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import cached_property

from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.conditions import evaluate
from markrules.knowledge.facts import Facts, phrase, runs
from markrules.language.conditions import Condition
from markrules.language.tree import Claim, Maker, Window
from markrules.sheets.attribution import attribution, date_words
from markrules.sheets.phrases import Found, Token, singular
from markrules.telling.limits import share_of_years
from markrules.telling.words import visible

_QUOTE = re.compile(r"[“\"]([^“”\"\n]+)[”\"]")
_LONGEST_QUOTE = 200
_ROUND_ABOUT = ("c", "ca", "circa", "about", "around")


class Judge:
    """Whether a claim is borne out by one piece; without a reading, none is."""

    def __init__(self, base: KnowledgeBase, reading: Reading | None) -> None:
        """What was seen is indexed once; what holds is asked once for each condition."""
        self.base = base
        self.reading = reading
        self.facts = Facts(reading.observations, base, reading.piece_type) if reading else None
        self._known: dict[int, bool] = {}

    def bears(self, claim: Claim, found: Found, tokens: Sequence[Token], text: str) -> bool:
        """Whether the words found may stand."""
        if self.reading is None:
            return claim.when is not None
        if claim.when is not None and not self._holds(claim.when):
            return True
        if claim.unless is not None and self._holds(claim.unless):
            return True
        last = tokens[found.after - 1]
        first = last if claim.about == "mark" else tokens[found.first]
        if self._quoted(text, first.start, last.end):
            return True
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

    def _holds(self, condition: Condition) -> bool:
        assert self.reading is not None
        assert self.facts is not None
        known = self._known.get(id(condition))
        if known is None:
            found = frozenset(self.reading.findings)
            known = self._known[id(condition)] = evaluate(condition, self.facts, found) is True
        return known

    def _by_age(self, claim: Claim, _: Found, __: Sequence[Token]) -> float:
        if claim.age is None:
            return 0.0
        return self._years(None, self._last_year() - claim.age)

    def _by_window(self, claim: Claim, _: Found, __: Sequence[Token]) -> float:
        if claim.made is None:
            return 0.0
        return self._years(*_ends(claim.made, self._last_year()))

    def _by_maker(self, claim: Claim, found: Found, _: Sequence[Token]) -> float:
        if claim.about != "maker" or self.reading is None:
            return 0.0
        return max(
            (each.probability for each in self.reading.makers if each.maker == found.name),
            default=0.0,
        )

    def _by_mark(self, claim: Claim, found: Found, _: Sequence[Token]) -> float:
        """Whether the name stands on the piece, as far as it was read."""
        if claim.about != "mark" or self.reading is None or found.name not in self.base.makers:
            return 0.0
        names = {phrase(each) for each in names_of(self.base.makers[found.name])}
        on_it = (runs(each.value) for each in self.reading.observations if each.is_read_mark)
        return 1.0 if any(names & each for each in on_it) else 0.0

    def _by_years(self, claim: Claim, found: Found, tokens: Sequence[Token]) -> float:
        if claim.about != "years" or self.reading is None or not self.reading.evidence:
            return 0.0
        if all(self._stands_on_piece(number) for number in found.numbers):
            return 1.0
        several = _alternatives(tokens, found)
        if len(several) > 1:
            return sum(self._years(*each) for each in several)
        first, last = min(map(int, found.numbers)), max(map(int, found.numbers))
        keys = [token.key for token in tokens[found.first : found.after]]
        if "s" in keys:
            last += 9
        elif set(keys) & set(_ROUND_ABOUT) and first == last:
            around = int(self.base.setting("claim-circa"))
            first, last = first - around, last + around
        return self._years(first, last)

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
        text = claim.instead.replace("{words}", singular(words.casefold()))
        return text.replace("{years}", years).replace("{maker}", maker)


_Share = Callable[[Judge, Claim, Found, Sequence[Token]], float]
_SHARES: tuple[_Share, ...] = (
    Judge._by_age,
    Judge._by_window,
    Judge._by_maker,
    Judge._by_mark,
    Judge._by_years,
)


_BETWEEN = frozenset(("or", "to"))


def _alternatives(tokens: Sequence[Token], found: Found) -> list[tuple[int, int]]:
    """The stretches of years that are told together: both of `1884–1908 or 1941–1951`."""
    parts = _BETWEEN | set(_ROUND_ABOUT)

    def told_with(token: Token) -> bool:
        return token.key in parts or (len(token.key) == 4 and token.key.isdecimal())

    first, after = found.first, found.after
    while first and told_with(tokens[first - 1]):
        first -= 1
    while after < len(tokens) and told_with(tokens[after]):
        after += 1
    keys = [token.key for token in tokens[first:after] if token.key not in _ROUND_ABOUT]
    groups = " ".join(keys).replace(" to ", " ").split(" or ")
    if len(groups) < 2:
        return []
    years = [[int(each) for each in group.split() if each.isdecimal()] for group in groups]
    return [
        (min(pair), max(pair))
        for group in years
        for at in range(0, len(group), 2)
        for pair in (group[at : at + 2],)
    ]


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
