"""What a segment calls the state of the whole piece: very good condition, as found, for parts.

A word of praise is a grade only where it is said of the condition of the piece: beside a word of
the role `condition` (`good used condition`, `condition: fair`), alone between two commas, or last
behind what the piece is (`brooch, VGC`). Beside anything else it praises that: good weight, mint
green, enamel in excellent condition.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from markrules.language.builtin import COLOUR
from markrules.language.roles import DAMAGE_ROLES
from markrules.named_tuple import NamedTuple
from markrules.notes.items import LINKS, Item
from markrules.notes.matching import Matched
from markrules.notes.pieces_named import piece_of
from markrules.notes.senses import Meaning, Sense
from markrules.notes.tokens import Tokens
from markrules.notes.vocabulary import PICTURED_FEATURES, Vocabulary

GRADE = "grade"
"""The kind of sense of words that grade the piece."""
_GOES_ON = ("break", "negation", "after-negation", "count", "told", *LINKS, *DAMAGE_ROLES)
"""Roles of what may follow a grade without taking it over: `condition good but no pin`."""
_OF_NOTHING = ("told", "negation", "break")
"""Roles of what may stand beside a grade that is all a segment says."""
_PICTURED = frozenset(PICTURED_FEATURES) - {COLOUR}
"""What a piece shows stands for the piece: a swan in good condition."""
_SUBSTANCE = frozenset(("value", "feature", "piece"))


class _Graded(NamedTuple):
    """A grade in a segment, by its tokens. `noun`: beside a word for condition; `damage`: the
    item that tells of damage in the same words (for parts).
    """

    first: int
    end: int
    grade: str
    noun: bool
    damage: Item | None = None


def with_grades(
    vocabulary: Vocabulary, tokens: Tokens, found: Matched, claimed: Sequence[int] | set[int] = ()
) -> Matched:
    """The items, those that grade the whole piece in place of what their words mean elsewhere.

    `claimed` tokens are text on the piece.
    """
    folded = tokens.folded
    if vocabulary.begins_grade.isdisjoint(folded):
        return found
    graded = _GradeFinder(vocabulary, tokens, found, set(claimed)).graded()
    if graded is None:
        return found
    sense = Sense(GRADE, graded.grade)
    if graded.damage is not None:  # it stays damage too
        both = graded.damage._replace(meaning=Meaning((*graded.damage.senses, sense)))
        items = [both if each is graded.damage else each for each in found.items]
        return Matched(items, found.unknown, found.slips)
    first = graded.first
    for each in found.items:  # `in good condition` is one phrase, and `in` no word without it
        beside = folded[each.first : graded.first]
        if each.first < graded.first < each.end and vocabulary.beside_condition.issuperset(beside):
            first = each.first
    sound = [  # in good condition except for the catch
        each
        for other in found.items
        if first < other.end and other.first < graded.end
        for each in other.senses
        if each.kind == "role" and each.name == "sound"
    ]
    item = Item(first, graded.end, Meaning((sense, *dict.fromkeys(sound))))
    apart = [each for each in found.items if each.end <= item.first or each.first >= item.end]
    return Matched(
        sorted([*apart, item], key=lambda each: each.first),
        [index for index in found.unknown if not item.first <= index < item.end],
        found.slips,
    )


class _GradeFinder:
    """Looks for the grade of one segment."""

    def __init__(
        self, vocabulary: Vocabulary, tokens: Tokens, found: Matched, claimed: set[int]
    ) -> None:
        self.vocabulary, self.tokens, self.claimed = vocabulary, tokens, claimed
        self.of: list[Item | None] = [None] * len(tokens)
        self.items = found.items
        for item in found.items:
            self.of[item.first : item.end] = [item] * (item.end - item.first)

    def graded(self) -> _Graded | None:
        """The grade of the piece; of several the last step, for a seller says the best first."""
        runs = self._runs()
        fitting = [run for run in runs if self._of_the_piece(run)]
        if not fitting:
            return None
        first = fitting[0]
        worst = max(fitting, key=lambda run: self._points(run.grade))
        return first._replace(grade=worst.grade)

    def _points(self, grade: str) -> float:
        return self.vocabulary.base.grades[grade].points

    def _runs(self) -> list[_Graded]:
        """Stretches of grades, words beside them, and a word for condition at either end."""
        runs: list[_Graded] = []
        index, count = 0, len(self.tokens)
        while index < count:
            run = self._run_at(index)
            if run is not None:
                runs.append(run)
                index = run.end
            else:
                index += 1
        return runs

    def _run_at(self, start: int) -> _Graded | None:
        vocabulary, folded = self.vocabulary, self.tokens.folded
        index, count = start, len(folded)
        noun = folded[start] in vocabulary.condition_words
        if noun:
            index += 1
            while index < count and (folded[index] in vocabulary.beside_condition):
                index += 1
        grades: list[str] = []
        damage: Item | None = None
        end = index
        while index < count:
            found = self._grade_at(index)
            if found is not None:
                grades.append(found.grade)
                damage = damage or found.damage
                noun = noun or found.noun
                index = end = found.end
            elif grades and folded[index] in vocabulary.condition_words and not noun:
                noun, end = True, index + 1
                break
            elif grades and folded[index] in vocabulary.beside_condition:
                index += 1
            else:
                break
        if not grades or not self.claimed.isdisjoint(range(start, end)):
            return None
        return _Graded(start, end, max(grades, key=self._points), noun, damage)

    def _grade_at(self, index: int) -> _Graded | None:
        """The grade that begins here.

        Words of wear and damage make a fault, and are a grade besides only where they say, in
        two words or more, that the piece is past use: needs repair, for parts.
        """
        tokens = self.tokens
        if tokens.folded[index] not in self.vocabulary.begins_grade:
            return None
        beside = self.vocabulary.beside_condition
        found = self.vocabulary.grades.longest(tokens.folded, tokens.numeric, index, beside)
        if found is None:
            return None
        end, meaning = found
        grade, damage = meaning.senses[0].name, None
        noun = tokens.folded[end - 1] in self.vocabulary.condition_words
        follows = self._followed_by_noun(end)
        for at in range(index, end):
            item = self.of[at]
            if item is None or ((noun or follows) and item.first >= index):
                continue
            inside = item.first >= index and item.end <= end
            if not inside and self._substance(item):
                return None  # mint green; heavy wear to the plating
            if item.role(*DAMAGE_ROLES) or any(sense.name == "fault" for sense in item.senses):
                if end == index + 1 or self._points(grade) < self._severe():
                    return None
                damage = damage or item
        return _Graded(index, end, grade, noun, damage)

    def _severe(self) -> float:
        """The points of a severe fault: what reaches them is past use as it is."""
        setting = self.vocabulary.base.settings.get("points-severe")
        return setting.value if setting is not None else math.inf

    def _followed_by_noun(self, end: int) -> bool:
        """Whether a word for condition comes next, words beside it passed over."""
        folded, vocabulary = self.tokens.folded, self.vocabulary
        while end < len(folded) and folded[end] in vocabulary.beside_condition:
            end += 1
        return end < len(folded) and folded[end] in vocabulary.condition_words

    def _of_the_piece(self, run: _Graded) -> bool:
        if run.noun:
            return not self._of_a_part(run)
        return self._alone(run) or self._behind_piece(run)

    def _of_a_part(self, run: _Graded) -> bool:
        """Whether a part of the piece stands right before or behind: `clasp in good condition`."""
        before = self._before(run.first)
        if before is not None and self._part(before):
            joined = self._between(before.end, run.first)
            if joined != "apart" and not self._hangs_on_piece(before, joined):
                return True
        after = self.of[run.end] if run.end < len(self.tokens) else None
        if after is None:
            return run.end < len(self.tokens) and not self._names_piece(run.end)
        if after.role(*_GOES_ON) or after.means("certainty") or not self._substance(after):
            return False
        return self._part(after) and not self._names_piece(run.end)

    def _hangs_on_piece(self, part: Item, joined: str) -> bool:
        """`brooch with blue stones excellent condition`: nothing says that it is the stones'."""
        return joined == "beside" and self._names_piece(0, part.first)

    def _between(self, first: int, end: int) -> str:
        """What joins a thing to a grade behind it: nothing (`beside`), a word (`joined`), or
        something that parts them (`apart`).
        """
        for index in range(first, end):
            item = self.of[index]
            if item is not None and item.role("break", "join"):
                return "apart"
        return "beside" if first == end else "joined"

    def _alone(self, run: _Graded) -> bool:
        """Whether the segment says nothing else."""
        beside = self.vocabulary.beside_condition
        return all(
            run.first <= index < run.end
            or self.tokens.folded[index] in beside
            or (
                (item := self.of[index]) is not None
                and (item.role(*_OF_NOTHING) or item.means("certainty"))
                and not self._substance(item)
            )
            for index in range(len(self.tokens))
        )

    def _behind_piece(self, run: _Graded) -> bool:
        """Whether it ends the segment, and what the piece is stands right before it."""
        if any(
            self.tokens.folded[index] not in self.vocabulary.beside_condition
            for index in range(run.end, len(self.tokens))
        ):
            return False
        before = self._before(run.first)
        if before is None or not self._is_piece(before) or before.means("feature"):
            return False
        return all(
            self.tokens.folded[index] in self.vocabulary.beside_condition
            for index in range(before.end, run.first)
        )

    def _before(self, index: int) -> Item | None:
        """The last thing named before a token."""
        named = [each for each in self.items if each.end <= index and self._substance(each)]
        return named[-1] if named else None

    def _names_piece(self, first: int, end: int | None = None) -> bool:
        return any(
            self._is_piece(item)
            for item in self.items
            if item.first >= first and (end is None or item.end <= end)
        )

    def _is_piece(self, item: Item) -> bool:
        return bool(piece_of(self.vocabulary, self.tokens, item))

    def _substance(self, item: Item) -> bool:
        return not item.meaning.kinds.isdisjoint(_SUBSTANCE) or item.role("thing", "label")

    def _part(self, item: Item) -> bool:
        """Whether an item names a part or a matter, and not the piece or what it shows."""
        if self._is_piece(item):
            return False
        names = {sense.name for sense in item.senses if sense.kind in ("value", "feature")}
        return names.isdisjoint(_PICTURED)
