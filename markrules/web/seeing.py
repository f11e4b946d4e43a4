"""What is seen on a piece, into the log and into a reading; and what a new line changed."""

from __future__ import annotations

import re
from collections.abc import Sequence

from markrules.catalogue.readings import PieceEvidence
from markrules.catalogue.records import Piece
from markrules.frozen import dataclass
from markrules.inference.reading import DateRange, NextLook, Reading
from markrules.knowledge.observation import Observation
from markrules.language.slots import REMARK
from markrules.language.tree import Feature
from markrules.reading.observing import observe
from markrules.tasks.entering import PIECE, SaidLine, letters_told, said_in
from markrules.tasks.looking import question_of
from markrules.tasks.questions import Offer, few_of, offer_of
from markrules.telling.words import plain, years
from markrules.web.desk import Refused, Visit
from markrules.web.mark_places import text_posted

MOST_PASSED = 40
NONE = "none"
"""What is posted where somebody looked and there is none."""


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
class AskedPart:
    """One thing asked for on a screen: the look, its feature, and what it offers."""

    look: NextLook
    feature: Feature
    offer: Offer


@dataclass(frozen=True, slots=True)
class ShownQuestion:
    """The next look as a question, or several asked at once under words of their own.

    `group` is the group of answers chosen, if any.
    """

    ask: str
    where: str
    parts: tuple[AskedPart, ...]
    group: str = ""

    @property
    def several(self) -> bool:
        """Whether more than one thing is asked for."""
        return len(self.parts) > 1

    @property
    def look(self) -> NextLook:
        """The look at the one thing asked for, or at the first."""
        return self.parts[0].look

    @property
    def feature(self) -> Feature:
        """The one thing asked for, or the first."""
        return self.parts[0].feature

    @property
    def offer(self) -> Offer:
        """What the one thing asked for, or the first, offers."""
        return self.parts[0].offer

    @property
    def hazards(self) -> tuple[str, ...]:
        """What may harm whoever looks, or the piece; each once."""
        return tuple(dict.fromkeys(x.feature.hazard for x in self.parts if x.feature.hazard))


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
    visit.catalogue.log.pass_over(piece, asked_in_form(visit), visit.who)
    return True


def asked_in_form(visit: Visit) -> tuple[str, ...]:
    """The features that a posted form asked for. Raises Refused for what no question is about."""
    asked = [name for field, name in visit.form.every if field == "feature"][:MOST_PASSED]
    for each in asked or [""]:
        if each not in visit.base.features and each != PIECE:
            raise Refused(400, f'no question is about "{each[:40]}"')
    return tuple(dict.fromkeys(asked))


def read_piece(
    visit: Visit, evidence: PieceEvidence, passed: Sequence[str] = (), looks: int = 0
) -> Reading:
    """The reading of what stands for a piece, with looks enough to pass some over."""
    wanted = max(looks, 2 + len(passed) if passed else 0)
    if not wanted:
        return visit.desk.readings.read(evidence).reading
    return visit.desk.readings.read(evidence, wanted).reading


def question_in(
    visit: Visit, reading: Reading, passed: Sequence[str], *, single: bool = False
) -> ShownQuestion | None:
    """The question most worth its effort, of what was not passed over; `single`: of one thing."""
    base = visit.base
    asked = question_of(base, reading, passed, single=single)
    if asked is None:
        return None
    group = visit.query.get("group", "")[:100]
    several = len(asked.looks) > 1
    parts = []
    for each in asked.looks:
        feature = base.features[each.feature]
        offer = few_of(base, feature) if several else offer_of(base, feature, group)
        parts.append(AskedPart(each, feature, offer))
    return ShownQuestion(asked.ask, asked.look, tuple(parts), "" if several else group)


def seen_in_form(visit: Visit) -> SaidLine:
    """What a posted answer says: a feature with its value, or a sentence in plain words."""
    words = visit.form.text("words", 2_000)
    if words:
        return words_said(visit, words)
    if visit.form.fields.get("several") == "yes":
        return SaidLine(ticked_in_form(visit))
    return SaidLine((observed_in_form(visit),))


def observed_in_form(visit: Visit) -> Observation:
    """The answer to one question that a form holds. Raises Refused where it holds none."""
    feature = visit.form.text("feature", 200)
    value = text_posted("value", visit.form)
    if not feature or not value:
        field = "value" if feature else "words"
        raise Refused(400, "Say what you see: choose an answer, or write it.", field)
    certainty = certainty_in_form(visit)
    if feature == "mark":
        with visit.desk.locked():
            value = letters_told(visit.desk.reader, value)
    return observe(visit.base, f"{feature}={value}", certainty)


def ticked_in_form(visit: Visit) -> tuple[Observation, ...]:
    """What was ticked of several things asked for at once. Raises Refused where nothing was.

    The answer `none` for all together says that there is none of what was not ticked.
    """
    certainty = certainty_in_form(visit)
    rest = [NONE] if visit.form.fields.get("value") == NONE else []
    told: dict[str, list[Observation]] = {}
    for feature in asked_in_form(visit):
        values = [value[:2_000] for field, value in visit.form.every if field == f"of-{feature}"]
        some = [each for each in values if each and each != NONE]
        # Who ticks both a kind and `none` saw the kind.
        for value in some or [each for each in values if each][:1] or rest:
            seen = observe(visit.base, f"{feature}={value}", certainty)
            told.setdefault(feature, []).append(seen)
    found = tuple(each for every in told.values() for each in every)
    if not found:
        raise Refused(400, "Tick what you see, or choose that you do not know.", "several")
    return found


def certainty_in_form(visit: Visit) -> str:
    """How sure a posted answer is. Raises Refused for a word that is none of the certainties."""
    certainty = visit.form.text("certainty", 40) or "sure"
    if certainty not in visit.base.certainties:
        raise Refused(
            400, f'nobody is "{certainty[:40]}" here; choose how sure you are', "certainty"
        )
    return certainty


def words_said(visit: Visit, words: str) -> SaidLine:
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
        unknown=unanswered(visit, said),
    )
    after = read_piece(visit, visit.evidence(piece))
    visit.desk.keeper.later([piece.id])
    return Change(
        stretch(before.date.range),
        stretch(after.date.range),
        ", ".join(map(answer_words, said.observations)),
        said.unknown,
    )


def unanswered(visit: Visit, said: SaidLine) -> tuple[str, ...]:
    """Of several things asked for at once those that nothing was said of: nobody knew them."""
    if visit.form.fields.get("several") != "yes":
        return ()
    told = {each.feature for each in said.observations}
    return tuple(each for each in asked_in_form(visit) if each not in told)


def answer_words(seen: Observation) -> str:
    """An observation in a few words; a turn of phrase in the words that were used."""
    if seen.feature == REMARK and seen.words:
        return f"said: “{seen.words}”"
    name = plain("said" if seen.feature == REMARK else seen.feature)
    if seen.state == "absent":
        return f"{name}: none"
    # A number of things is no value: `fault=missing-stones` may count two.
    as_given = seen.feature in ("mark", "label") or (
        seen.number is not None and any(map(str.isdigit, seen.value))
    )
    value = seen.value if as_given else plain(seen.value)
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
