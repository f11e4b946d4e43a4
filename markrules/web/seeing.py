"""What is seen on a piece, into the log and into a reading; and what a new line changed."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markrules.catalogue.readings import Evidence
from markrules.catalogue.records import Piece
from markrules.frozen import dataclass
from markrules.inference.reading import DateRange, NextLook, Reading
from markrules.knowledge.observation import Observation
from markrules.language.tree import Feature
from markrules.reading.observing import observe
from markrules.tasks.entering import PIECE, Said, said_in
from markrules.tasks.questions import Offer, offer_of
from markrules.telling.words import plain, years
from markrules.web.desk import Refused, Visit
from markrules.web.letters import text_posted

MOST_PASSED = 40


@dataclass(frozen=True, slots=True)
class Change:
    """What an answer did to the years: the ranges before and after, and what was answered.

    `unknown` are the words of it that no rule knows.
    """

    before: str
    after: str
    answer: str
    unknown: tuple[str, ...] = ()

    @property
    def moved(self) -> bool:
        """Whether the range is another one now."""
        return self.before != self.after


@dataclass(frozen=True, slots=True)
class Question:
    """The next look as a question, with what it offers; `group` is the one chosen, if any."""

    look: NextLook
    feature: Feature
    offer: Offer
    group: str = ""


def passed_over(visit: Visit, piece: Piece) -> tuple[str, ...]:
    """The features not to be asked for: those nobody knew on the piece, and those of the address.

    The type of the piece, a feature of no rule, may be among them.
    """
    text = visit.form.fields.get("passed", "") or visit.query.get("passed", "")
    names = [*visit.catalogue.log.passed_on(piece), *text.split(",")]
    known = [each for each in names if each in visit.base.features or each == PIECE]
    return tuple(dict.fromkeys(known))[:MOST_PASSED]


def not_known(visit: Visit, piece: Piece) -> bool:
    """Whether the form says that nobody knows: remembered, so that it is not asked again."""
    if visit.form.fields.get("dont-know") != "yes":
        return False
    feature = visit.form.text("feature", 200)
    if feature not in visit.base.features and feature != PIECE:
        raise Refused(400, f'no question is about "{feature[:40]}"')
    visit.catalogue.log.pass_over(piece, feature, visit.who)
    return True


def read_piece(visit: Visit, evidence: Evidence, passed: Sequence[str] = ()) -> Reading:
    """The reading of what stands for a piece, with looks enough to pass some over."""
    if not passed:
        return visit.desk.readings.read(evidence).reading
    return visit.desk.readings.read(evidence, 2 + len(passed)).reading


def question_in(visit: Visit, reading: Reading, passed: Sequence[str]) -> Question | None:
    """The look that settles most, of those not passed over."""
    look = next(
        (each for each in reading.next if each.feature not in passed and each.worth > 0), None
    )
    if look is None:
        return None
    feature = visit.base.features[look.feature]
    group = visit.query.get("group", "")[:100]
    return Question(look, feature, offer_of(visit.base, feature, group), group)


def seen_in_form(visit: Visit) -> Said:
    """What a posted answer says: a feature with its value, or a sentence in plain words."""
    words = visit.form.text("words", 2_000)
    if words:
        return words_said(visit, words)
    feature = visit.form.text("feature", 200)
    value = text_posted("value", visit.form)
    if not feature or not value:
        field = "value" if feature else "words"
        raise Refused(400, "Say what you see: choose an answer, or write it.", field)
    certainty = visit.form.text("certainty", 40) or "sure"
    if certainty not in visit.base.certainties:
        raise Refused(
            400, f'nobody is "{certainty[:40]}" here; choose how sure you are', "certainty"
        )
    return Said((observe(visit.base, f"{feature}={value}", certainty),))


def words_said(visit: Visit, words: str) -> Said:
    """What a sentence says. Raises Refused, at its field, where no rule knows a word of it."""
    with visit.desk.locked():
        said = said_in(visit.desk.reader, words)
    if not said.observations:
        raise Refused(
            400, f'No rule knows these words: "{words[:80]}". Say it in other words.', "words"
        )
    return said


def keep_seen(visit: Visit, piece: Piece) -> Change:
    """Put a posted answer into the log, read the piece anew, and tell what changed."""
    before = read_piece(visit, visit.evidence(piece))
    said = seen_in_form(visit)
    corrects = visit.form.fields.get("corrects", "")
    visit.catalogue.log.add(
        piece,
        said.observations,
        visit.who,
        corrects=visit.form.number("corrects") if corrects else None,
        not_understood=said.unknown,
    )
    after = read_piece(visit, visit.evidence(piece))
    visit.desk.keeper.later([piece.id])
    return Change(
        stretch(before.date.range),
        stretch(after.date.range),
        ", ".join(map(answer_words, said.observations)),
        said.unknown,
    )


def answer_words(seen: Observation) -> str:
    """An observation in a few words."""
    name = plain(seen.feature)
    if seen.state == "absent":
        return f"{name}: none"
    value = seen.value if seen.number is not None else plain(seen.value)
    later = " (a later part)" if seen.state == "replaced" else ""
    return f"{name}: not {value}" if seen.state == "ruled-out" else f"{name}: {value}{later}"


def stretch(date: DateRange) -> str:
    """The range in words."""
    return years(date.first, date.last)


def change_told(visit: Visit) -> Change | None:
    """What the last answer changed, where the address carries it (pages without a script)."""
    match = re.fullmatch(r"(\d{4})-(\d{4})\.(\d{4})-(\d{4})", visit.query.get("changed", ""))
    if match is None:
        return None
    first, last, now_first, now_last = map(int, match.groups())
    return Change(years(first, last), years(now_first, now_last), "")


def change_in_address(change: Change) -> str:
    """The change as `change_told` reads it."""
    ends = [f"{each[:4]}-{each[-4:]}" for each in (change.before, change.after)]
    return f"changed={ends[0]}.{ends[1]}"
