"""What state a piece is in: a grade with its reasons, what was changed, what is wanting."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from markrules.appraisal.findings import FAULT, faults_named
from markrules.frozen import dataclass
from markrules.inference.fates import is_a_mark
from markrules.inference.reading import FaultReading, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import BY_NATURE, Observation
from markrules.language.builtin import STATED_CONDITION

COUNTED = ("slight", "moderate", "severe", "more-of-one", "of-one-most")
"""What the settings `points-NAME` tell the points of."""


@dataclass(frozen=True, slots=True)
class GradeStep:
    """A step of condition: a piece has it from so many `points` of faults on.

    `rank` counts steps from 0, the best. `share` is what such a piece fetches beside one of
    the best grade, above 0.
    """

    name: str
    rank: int
    points: float
    share: float
    also: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The name as a person says it."""
        return self.name.replace("-", " ")


@dataclass(frozen=True, slots=True)
class Ladder:
    """All grades, best first, and the points of each severity.

    `beside` are the words that may stand between a grade and the word for condition.
    """

    grades: tuple[GradeStep, ...]
    points: Mapping[str, float]
    nouns: frozenset[str] = frozenset()
    beside: frozenset[str] = frozenset()

    def at(self, points: float) -> GradeStep:
        """The grade that so many points reach."""
        return [each for each in self.grades if each.points <= points or each.rank == 0][-1]

    def in_words(self, text: str) -> GradeStep | None:
        """The grade whose words stand in a text, the worst of several; None where none does.

        Longer words are looked for first: `very good` is not `good`. A word after `not` or `no`
        says nothing.
        """
        said = f" {' '.join(self._closed_up(_plain(text).split()))} "
        words = _worded(self.grades)
        found = [words[match["word"]] for match in _any_of(tuple(words)).finditer(said)]
        return max(found, key=lambda grade: grade.rank, default=None)

    def _closed_up(self, words: Sequence[str]) -> list[str]:
        """The words, without those that only stand before condition: `nice vintage condition`."""
        kept: list[str] = []
        for word in words:
            while word in self.nouns and kept and kept[-1] in self.beside:
                kept.pop()
            kept.append(word)
        return kept


@lru_cache(maxsize=8)
def _worded(grades: tuple[GradeStep, ...]) -> dict[str, GradeStep]:
    """Each grade by its words: asked for with every sale that a piece is compared with."""
    return {_plain(word): each for each in grades for word in (each.words, *each.also)}


@lru_cache(maxsize=8)
def _any_of(words: tuple[str, ...]) -> re.Pattern[str]:
    """Any of these words, the longest first, not behind a denial: in one pass over the text."""
    longest = "|".join(re.escape(each) for each in sorted(words, key=len, reverse=True))
    return re.compile(rf"(?<! not)(?<! no) (?P<word>{longest})(?= )")


def _plain(text: str) -> str:
    return " ".join("".join(c if c.isalnum() else " " for c in text.casefold()).split())


def ladder(base: KnowledgeBase) -> Ladder:
    """The grades of the rules, best first, and what each severity counts.

    Rules without any grade give one grade that every piece has.
    """
    found = sorted(base.grades.values(), key=lambda entry: (entry.points, entry.name))
    grades = tuple(
        # Above zero, for prices are compared by the logarithm of what a grade brings.
        GradeStep(entry.name, rank, entry.points, max(1e-3, entry.brings), entry.also)
        for rank, entry in enumerate(found)
    )
    named = {name: base.settings.get(f"points-{name}") for name in COUNTED}
    points = {name: entry.value for name, entry in named.items() if entry is not None}
    nouns, beside = (frozenset(base.words_of(role)) for role in ("condition", "beside-condition"))
    return Ladder(grades or (GradeStep("any", 0, 0.0, 1.0),), points, nouns, beside)


AT_HOME = ("home", "partly")
"""Words of the rules for what can be mended without a workshop, wholly or in part."""
NOT_STATED = "not stated"
"""What is said in place of a grade where nothing was noted of the condition."""
_UNTOUCHED = ("none", "up")


@dataclass(frozen=True, slots=True)
class Flaw:
    """A fault as it counts here: `count` stones or parts (1 where not said), its points."""

    fault: str
    say: str
    severity: str
    count: int
    points: float
    mend: str
    how: str
    caution: str

    @property
    def at_home(self) -> bool:
        """Whether it can be mended without a workshop, wholly or in part."""
        return self.mend in AT_HOME


@dataclass(frozen=True, slots=True)
class Changed:
    """A part thought not to be the first: what was seen, the probability, and why."""

    part: str
    words: str
    probability: float
    why: str


@dataclass(frozen=True, slots=True)
class Completeness:
    """Stones and parts. `counted` is True where somebody looked and all stones are there."""

    counted: bool
    stones_wanting: int
    stones_odd: int
    stones_failed: int
    parts_wanting: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SaidCondition:
    """What somebody calls the condition, in their `words`, and the step that these stand for.

    `told` is True where it was only heard: then it is shown and counts for nothing.
    """

    grade: GradeStep
    words: str
    told: bool


@dataclass(frozen=True, slots=True)
class Condition:
    """The state of a piece: its grade, the reasons, and what could be done about it.

    `looked` is False where no fault was noted and nobody said that there is none. `said` is what
    people call it, `against` tells that faults contradict what was said: the faults decide then.
    """

    grade: GradeStep
    points: float
    reasons: tuple[str, ...]
    flaws: tuple[Flaw, ...]
    changed: tuple[Changed, ...]
    completeness: Completeness
    looked: bool
    said: tuple[SaidCondition, ...] = ()
    against: str = ""

    @property
    def stated(self) -> bool:
        """Whether anything is known of the condition: silence and hearsay are no praise."""
        return self.looked or bool(self.flaws) or bool(_own(self.said))

    @property
    def words(self) -> str:
        """The grade as a person says it; `not stated` where nobody told of the condition."""
        return self.grade.words if self.stated else NOT_STATED

    @property
    def mendable(self) -> tuple[Flaw, ...]:
        """The flaws that can be mended at a kitchen table, wholly or in part."""
        return tuple(flaw for flaw in self.flaws if flaw.at_home)


def condition_of(base: KnowledgeBase, reading: Reading) -> Condition:
    """The condition that a reading tells of. Thresholds and words are settings of the rules."""
    steps = ladder(base)
    counts = _counts(reading.observations)
    flaws = tuple(_flaw(steps, fault, counts.get(fault.fault, 1)) for fault in reading.faults)
    points = sum(flaw.points for flaw in flaws)
    completeness = _completeness(base, reading, flaws)
    looked = completeness.counted or any(
        each.feature == FAULT and not each.heard and each.assumed != BY_NATURE
        for each in reading.observations
    )
    said = _said(steps, reading.observations)
    by_faults = steps.at(points)
    grade = _worse(by_faults, _own(said))
    against = _against(said, by_faults, flaws)
    return Condition(
        grade=grade,
        points=points,
        reasons=(*_of_said(said), *([against] if against else []), *_reasons(flaws, looked, said)),
        flaws=flaws,
        changed=_changed(base, reading),
        completeness=completeness,
        looked=looked,
        said=said,
        against=against,
    )


def _said(steps: Ladder, observations: Iterable[Observation]) -> tuple[SaidCondition, ...]:
    named = {each.name: each for each in steps.grades}
    return tuple(
        SaidCondition(named[each.value], _words(each), each.heard)
        for each in observations
        if each.feature == STATED_CONDITION and each.state == "seen" and each.value in named
    )


def _words(each: Observation) -> str:
    """The words as written, without what leads up to them: `condition: `, `condition=`."""
    text = each.words.rpartition("=")[2].rpartition(":")[2].strip()
    text = text or each.value.replace("-", " ")
    return text.strip(" .:;,")


def _own(said: Sequence[SaidCondition]) -> tuple[SaidCondition, ...]:
    """What whoever had the piece in hand says of it."""
    return tuple(each for each in said if not each.told)


def _worse(by_faults: GradeStep, own: Sequence[SaidCondition]) -> GradeStep:
    """The worst of what the faults reach and of what is said: not every fault is noted."""
    return max((by_faults, *(each.grade for each in own)), key=lambda grade: grade.rank)


def _against(said: Sequence[SaidCondition], by_faults: GradeStep, flaws: Sequence[Flaw]) -> str:
    """What is said of the condition beside faults that contradict it; empty where none does."""
    better = [each for each in said if each.grade.rank < by_faults.rank]
    if not better or not flaws:
        return ""
    worst = max(flaws, key=lambda flaw: flaw.points)
    called = " and ".join(dict.fromkeys(f"“{each.words}”" for each in better))
    fault = worst.say[:1].lower() + worst.say[1:].rstrip(".")
    return f"Said to be {called}; and yet: {fault}. What was seen decides."


def _of_said(said: Sequence[SaidCondition]) -> tuple[str, ...]:
    return tuple(
        f"Told, and not seen: “{each.words}” ({each.grade.words})."
        if each.told
        else f"Stated: “{each.words}” ({each.grade.words})."
        for each in said
    )


def grade_without(base: KnowledgeBase, condition: Condition, mended: Iterable[str]) -> GradeStep:
    """The grade once the named faults are mended.

    Where somebody stated less than the faults account for, that much stays.
    """
    gone = frozenset(mended)
    steps = ladder(base)
    left = steps.at(sum(flaw.points for flaw in condition.flaws if flaw.fault not in gone))
    unaccounted = condition.grade.rank > steps.at(condition.points).rank
    return _worse(left, _own(condition.said)) if unaccounted else left


def _counts(observations: Iterable[Observation]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for each in observations:
        if each.feature == FAULT and each.state == "seen" and not each.heard:
            count = int(min(9999, max(1.0, each.number or 1.0)))
            counts[each.value] = max(count, counts.get(each.value, 1))
    return counts


def _flaw(steps: Ladder, fault: FaultReading, count: int) -> Flaw:
    one = 0.0 if fault.value in _UNTOUCHED else steps.points.get(fault.severity, 0.0)
    more = (count - 1) * steps.points.get("more-of-one", 0.0) if one else 0.0
    points = one + min(more, steps.points.get("of-one-most", more))
    return Flaw(
        fault.fault,
        fault.say,
        fault.severity,
        count,
        points,
        fault.mend,
        fault.mend_how,
        fault.caution,
    )


def _reasons(
    flaws: tuple[Flaw, ...], looked: bool, said: Sequence[SaidCondition] = ()
) -> tuple[str, ...]:
    if not flaws:
        if looked:
            return ("Looked at, and no fault found.",)
        return ("No fault was noted by itself." if said else "Nothing was noted of the condition.",)
    ordered = sorted(flaws, key=lambda flaw: -flaw.points)
    return tuple(f"{flaw.say} ({_many(flaw)})" for flaw in ordered)


def _many(flaw: Flaw) -> str:
    return f"{flaw.severity}, {flaw.count} of them" if flaw.count > 1 else flaw.severity


def _changed(base: KnowledgeBase, reading: Reading) -> tuple[Changed, ...]:
    least = base.setting("thought-replaced")
    by_clue = [
        Changed(clue.feature, clue.words, clue.branches.refit + clue.branches.reuse, clue.why)
        for clue in reading.clues
        if clue.branches.refit + clue.branches.reuse >= least and not is_a_mark(base, clue.feature)
    ]
    named = faults_named(base, "part-was-changed")
    by_fault = [
        Changed(fault.fault, fault.say, 1.0, fault.originality)
        for fault in reading.faults
        if fault.fault in named
    ]
    return (*by_fault, *sorted(by_clue, key=lambda each: -each.probability))


def _completeness(base: KnowledgeBase, reading: Reading, flaws: tuple[Flaw, ...]) -> Completeness:
    def count(finding: str) -> int:
        named = faults_named(base, finding)
        return sum(flaw.count for flaw in flaws if flaw.fault in named)

    wanting = faults_named(base, "part-is-wanting")
    stones = count("stone-is-wanting")
    return Completeness(
        counted="all-stones-counted" in reading.findings and not stones,
        stones_wanting=stones,
        stones_odd=count("stone-does-not-match"),
        stones_failed=count("stone-has-failed"),
        parts_wanting=tuple(flaw.say for flaw in flaws if flaw.fault in wanting),
    )
