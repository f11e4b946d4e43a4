"""One object that reads pieces: it holds the knowledge and what is built from it, once."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import cached_property
from typing import TYPE_CHECKING

from markrules.frozen import dataclass
from markrules.inference.engine import Model, read
from markrules.inference.ranges import USUAL_MASS
from markrules.inference.reading import NOT_READ, MarkReading, Reading
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Facts
from markrules.knowledge.observation import (
    ASKED,
    MARK,
    TOLD_MAKER,
    MarkEvidence,
    Observation,
)
from markrules.knowledge.support import used
from markrules.marks.decoding import Stamped, decoder
from markrules.marks.hallmarks import hallmark_observations, is_year_code, stray_year_code
from markrules.marks.metal import NOT_SURE, MetalReading
from markrules.marks.number_grammar import whole_date
from markrules.marks.numbers import COPYRIGHT_YEAR, INSCRIBED_YEAR, weighed_years
from markrules.marks.reading_syntax import MarkSyntaxError, parse
from markrules.marks.season_codes import is_season_code, season_observations, stray_season
from markrules.notes.understanding import Understanding, Vocabulary, understand, with_mark
from markrules.notes.vocabulary import INSCRIPTION, NO_YEAR
from markrules.reading.by_nature import without_by_nature
from markrules.reading.heard_origin import OriginWords, origin_heard, origin_words, with_origin_told
from markrules.reading.mark_states import HEARD, by_ear, doubt_of, how_read
from markrules.reading.marking import (
    HALLMARKS,
    MARK_DEVICES,
    MARK_LOOKS,
    Named,
    Text,
    is_a_code,
    joint_evidence,
)
from markrules.reading.near_names import may_hold_a_name, with_near_names
from markrules.reading.observing import still_said
from markrules.reading.parts_told import with_parts_told
from markrules.reading.remarked import account_after_reading
from markrules.reading.telling_all import borne_out, is_long_enough, kinds_in_all, told_in_all
from markrules.reading.told_makers import told_against_marks
from markrules.reading.withdrawn import withdrawn_notes

if TYPE_CHECKING:
    from pathlib import Path

    from markrules.marks.search import MarkSearch


BARE_YEARS = (COPYRIGHT_YEAR, INSCRIBED_YEAR)
"""What a bare year in a text on the piece is taken for, unless it was said what it is."""

METAL_MARK, LABEL = "metal-mark", "label"
"""Features for what a text on the piece says of metal, and for text on something loose."""

MOSTLY = 0.5
"""A legible mark is called unlisted where a maker not in the rules is at least this likely."""

WORTH_A_NOTE = 0.2
"""A maker at least this likely is told with what its mark must have lost or been misread for."""


@dataclass(frozen=True, slots=True)
class Request:
    """What to read and how.

    `note` is in plain words; `observations` are added to what it says, and one on a feature
    that the note speaks of too takes the note's place. `marks` are texts on the piece. `mass`
    is the share of probability that the range holds, between 0 and 1. `origin` tells where the
    piece comes from; left out, it is what the note tells of it in passing (`bought at a flea
    market`), believed by less, else what the reader takes. `without` leaves out
    features or clues by name. `said` is a note that was understood before: what it says stands
    among the observations, and all its words together may bear out what misleads.
    """

    note: str = ""
    observations: tuple[Observation, ...] = ()
    marks: tuple[str, ...] = ()
    mass: float = USUAL_MASS
    flat_prior: bool = False
    origin: str = ""
    without: tuple[str, ...] = ()
    next_looks: int = 5
    said: str = ""


@dataclass(frozen=True, eq=False)
class Reader:
    """Reads pieces against one knowledge base.

    `last_year` ends the grid of years; it is given, so that a reading depends on nothing
    but its arguments. `origin` is where pieces come from whose request does not say.
    `own_marks` names a list of marks of the person's own that counts too; the
    file need not exist. What is costly to build is built when first needed, and kept.
    """

    base: KnowledgeBase
    last_year: int
    own_marks: Path | None = None
    origin: str = ""

    @cached_property
    def model(self) -> Model:
        """The engine's tables."""
        return Model(self.base, self.last_year)

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The words of the rules, for notes."""
        return Vocabulary(self.base)

    @cached_property
    def origin_words(self) -> OriginWords:
        """The words by which a note tells where the piece comes from."""
        return origin_words(self.base)

    @cached_property
    def decode(self) -> Callable[[str], Stamped]:
        """Decodes a text on the piece: numbers of registers and marks of metal."""
        return decoder(self.base)

    @cached_property
    def marks(self) -> MarkSearch:
        """The search over all marks of the rules, and over the person's own list if it is named.

        Raises StoreError where that list cannot be used.
        """
        from markrules.marks.search import build_small

        if self.own_marks is None:
            return build_small(self.base)
        from markrules.marks.private_list import open_search

        return open_search(self.base, self.own_marks)

    def understand(self, note: str) -> Understanding:
        """What a note says, as observations: by its words, and by all of them together."""
        found = understand(self.vocabulary, note)
        for words in found.not_understood:
            # Beside the marks of a land that dates its work so, T9 is no stray word but a mark.
            if is_year_code(words, found.observations, self.base):
                found = with_mark(self.vocabulary, found, words)
                break
        found = self._with_stray_codes(found, note)
        if may_hold_a_name(found):
            found = with_near_names(self.vocabulary, self.marks, found, note)
        found = without_by_nature(self.base, self.vocabulary, found)
        heard = found.of_the_piece
        told = told_in_all(self.base, heard, kinds_in_all(self.base, heard))
        return replace(found, observations=(*found.observations, *told)) if told else found

    def _with_stray_codes(self, found: Understanding, note: str) -> Understanding:
        """What a note says with the year mark and the season that its other words hide."""
        seen = found.observations
        codes = [stray_year_code(note, seen, self.base), stray_season(note, seen, self.base)]
        strays = tuple(
            Observation(MARK, code, certainty=self.vocabulary.sure, words=code)
            for code in codes
            if code
        )
        return replace(found, observations=(*seen, *strays)) if strays else found

    def read(self, request: Request) -> Reading:
        """The reading of one piece. Bad text never raises; what is not understood is listed."""
        understood = self.understand(request.note)
        named = [each for each in request.observations if _names_type(each)]
        others = tuple(each for each in request.observations if each not in named)
        marked = tuple(Observation("mark", text, words=text) for text in request.marks)
        seen = (
            *still_said(self.base, understood.observations, others),
            *others,
            *marked,
        )
        seen = self._with_numbers(seen)
        seen = (*seen, *told_against_marks(self, seen))
        said = request.origin or self.origin
        note = request.note or request.said
        heard = "" if said else origin_heard(self.origin_words, note)
        of_it = self._of_the_piece(understood if request.note else None, note)
        reading = read(
            self.model,
            seen,
            marks=self.mark_evidence(seen),
            piece_type=_piece_type(named, others, understood.piece_type),
            mass=request.mass,
            flat_prior=request.flat_prior,
            origin=said or heard,
            heard=bool(heard),
            without=request.without,
            not_understood=understood.not_understood,
            next_looks=request.next_looks,
            words=len(of_it.split()),
            borne_out=borne_out(self.base, of_it, kinds_in_all(self.base, of_it)),
        )
        reading = with_parts_told(self.vocabulary, note, reading)
        marks = self.mark_readings(reading)
        account = account_after_reading(self.base, reading, understood.account)
        if heard:
            account = with_origin_told(self.origin_words, account, self.base.origins[heard])
        return replace(
            reading,
            marks=marks,
            notes=(
                *self.base.left_out,
                *reading.notes,
                *self._only_if(reading),
                *withdrawn_notes(self.base, reading),
            ),
            account=account,
        )

    def _of_the_piece(self, understood: Understanding | None, note: str) -> str:
        """The part of a note that is of the piece; a short one, whose length tells nothing, as it
        is.
        """
        if understood is not None:
            return understood.of_the_piece
        long = is_long_enough(self.base, note)
        return understand(self.vocabulary, note).of_the_piece if long else note

    def mark_readings(self, reading: Reading) -> tuple[MarkReading, ...]:
        """The texts of a reading that may be a maker's: how each was read, and of a legible one
        that is most likely of no listed maker, the listed mark that is nearest. A style number
        (`4512P`) beside a text that is none is no signature.
        """
        unlisted = next((each.probability for each in reading.makers if not each.maker), 1.0)
        signs = [
            each
            for each in reading.observations
            if each.feature == "mark"
            and each.state == "seen"
            and each.value
            and (each.is_unread_mark or self.may_sign(each.value))
        ]
        names = [each for each in signs if not is_a_code(self.marks, each.value)]
        return tuple(
            self._with_who_shares(self._mark_reading(each, unlisted), reading)
            for each in names or signs
        )

    def may_sign(self, text: str) -> bool:
        """Whether a text may be a maker's: it is listed as one, or more than known words."""
        stamped = self.decode(text)
        return stamped.may_name_a_maker and (stamped.signs or self.marks.is_listed(text))

    def _mark_reading(self, mark: Observation, unlisted: float) -> MarkReading:
        text, how = mark.value, how_read(self.base, mark)
        if how == NOT_READ:
            return MarkReading(text, how)
        if how == HEARD or unlisted < MOSTLY or not self.legible(text):
            return MarkReading(text, how)
        if self.marks.is_listed(text):
            return MarkReading(text, how)
        ear = by_ear(self.base, mark.certainty)
        near = self.marks.nearest(text, self._doubt(mark), by_ear=ear)
        if near is None:
            return MarkReading(text, how, unlisted=True)
        entry, only_if = near
        return MarkReading(
            text, how, True, entry.maker, entry.title, entry.text or entry.symbol, only_if
        )

    def _with_who_shares(self, mark: MarkReading, reading: Reading) -> MarkReading:
        """The mark with all listed makers who have one of these letters, where several do."""
        if mark.how in (NOT_READ, HEARD) or not self.legible(mark.text):
            return mark
        sharing = self.marks.makers_with(mark.text)
        if len(sharing) < 2:
            return mark
        likely = {each.maker: each.probability for each in reading.makers}
        order = sorted(sharing.items(), key=lambda pair: (-likely.get(pair[0], 0.0), pair[0]))
        return replace(mark, shared_by=tuple(order))

    def legible(self, text: str) -> bool:
        """Whether every letter of a text was read, and it has letters to name a maker by."""
        try:
            query = parse(text)
        except MarkSyntaxError:
            return False
        letters = sum(cell.shown.isalpha() for cell in query.cells)
        return query.in_full and letters > 1

    def _doubt(self, mark: Observation) -> float:
        return doubt_of(self.base, mark.certainty, self.marks.doubt)

    def _only_if(self, reading: Reading) -> tuple[str, ...]:
        """What must have happened to a text for it to be the first maker's, when not as struck."""
        first = next((each for each in reading.makers if each.maker), None)
        if first is None or first.probability < WORTH_A_NOTE:
            return ()
        told: list[tuple[str, tuple[str, ...]]] = []
        for each in reading.observations:
            if _counts(each) and each.value and self.decode(each.value).may_name_a_maker:
                ear = by_ear(self.base, each.certainty)
                near = self.marks.nearest(each.value, self._doubt(each), first.maker, ear)
                if near is not None:
                    told.append((each.value, near[1]))
        if not told or not all(assumed for _, assumed in told):
            return ()
        text, least = min(told, key=lambda each: len(each[1]))
        return (f'"{text}" is {first.title} only if: {"; ".join(least)}',)

    def metals(self, seen: Sequence[Observation]) -> tuple[MetalReading, ...]:
        """The marks of metal content in the texts on the piece, decoded."""
        return tuple(
            metal
            for each in seen
            if each.feature == "mark" and each.state == "seen" and not each.heard
            for metal in self.decode(each.value).metals
        )

    def findings_said(self, reading: Reading) -> tuple[str, ...]:
        """What the findings of a reading say, in words; those for decisions and sheets left out,
        and those that rest on nothing but marks of metal of which it is not sure what they claim.
        """
        told = [self.base.findings[name] for name in reading.findings]
        told = [each for each in told if each.say and each.advise is None]
        seen = tuple(each for each in reading.observations if not each.heard)
        unsure = {each.mark for each in self.metals(seen) if each.how == NOT_SURE}
        if unsure:
            facts = Facts(seen, self.base, reading.piece_type)
            doubtful = {
                at
                for at, each in enumerate(seen)
                if each.feature == METAL_MARK and each.value in unsure
            }
            rests = ((each, used(each.when, facts)) for each in told)
            told = [each for each, on in rests if not on or not doubtful.issuperset(on)]
        return tuple(dict.fromkeys(each.say for each in told))

    def _with_numbers(self, seen: tuple[Observation, ...]) -> tuple[Observation, ...]:
        """What was seen, and what the numbers, hallmarks and metal marks in it say."""
        dated = {each: found for each in seen if (found := self._date_cut_in(each)) is not None}
        more = [
            self._no_surer(found, each)
            for each in seen
            if each.feature in (MARK, INSCRIPTION) and each.state == "seen" and each.value
            for found in self.decode(each.value).observations
            if each.feature == MARK or _has_its_day(found)
            if not self._already_read(found, each, seen)
            and not (each in dated and found.feature in BARE_YEARS)
        ]
        numbered = (*seen, *more, *dated.values())
        return (
            *numbered,
            *hallmark_observations(numbered, self.base),
            *season_observations(numbered, self.base),
        )

    def _date_cut_in(self, text: Observation) -> Observation | None:
        """The year of a text that is a date and no more, or a year in Roman figures."""
        told = text.state != "seen" or text.feature not in (MARK, INSCRIPTION)
        if told or not text.value or INSCRIBED_YEAR not in self.base.features:
            return None
        date = whole_date(self.base, text.value)
        if date is None:
            return None
        first, last = date.years[0], date.years[-1]
        return replace(
            text,
            feature=INSCRIBED_YEAR,
            value=str(first) if first == last else text.value,
            number=float(first) if first == last else None,
            years=(first, last),
            weights=weighed_years(self.base, date) if first != last else (),
        )

    def _already_read(
        self, found: Observation, text: Observation, seen: Sequence[Observation]
    ) -> bool:
        """Whether a year in a text was read from the same words as what it is: cut in, assayed."""
        return found.feature in BARE_YEARS and any(
            each.years == found.years
            and each.words == text.words
            and (each.feature != found.feature or each.feature == INSCRIBED_YEAR)
            for each in seen
            if not each.heard or each.feature == NO_YEAR
        )

    def _no_surer(self, found: Observation, text: Observation) -> Observation:
        """What was found in a text, heard as the text was, and no surer than the text."""
        doubt = {name: entry.misread for name, entry in self.base.certainties.items()}
        least_sure = max(found.certainty, text.certainty, key=lambda name: doubt.get(name, 0.0))
        return replace(found, certainty=least_sure, heard=text.heard)

    def _less_sure(self, named: Observation) -> float:
        """How much less a name that is taken for the mark is to be believed for a word of doubt."""
        fair = self.base.certainties.get(self.vocabulary.fairly_sure)
        said = self.base.certainties.get(named.certainty)
        if fair is None or said is None or said.misread <= fair.misread:
            return 1.0
        return (1 - said.misread) / (1 - fair.misread)

    def _name_said(self, told: Observation) -> str:
        """A maker's name as somebody said it, where it is listed so; else as it is kept."""
        named = told.feature == TOLD_MAKER and told.words and self.marks.is_listed(told.words)
        return told.words if named else told.value

    def mark_evidence(self, seen: tuple[Observation, ...]) -> MarkEvidence | None:
        """What the texts on the piece, what was said of it, and the words for how its marks look,
        say of its maker. A mark of which nothing was read says nothing of it.
        """
        seen = tuple(each for each in seen if not each.is_unread_mark)
        told = [each for each in seen if each.state == "seen" and each.value]
        hearsay, spelt = self.base.setting("hearsay-right"), self.base.setting("hearsay-by-ear")
        probably = self.base.setting("name-before-piece")
        heard = [
            Named(self._name_said(each), hearsay, max(spelt, by_ear(self.base, each.certainty)))
            for each in told
            if each.feature == TOLD_MAKER or (each.heard and each.feature == MARK)
        ]
        printed = self.base.setting("name-on-label")
        heard += [
            Named(each.value, printed * self._less_sure(each))
            for each in told
            if each.feature == LABEL and not each.heard and self.marks.is_listed(each.value)
        ]
        heard += [
            Named(each.value, probably * self._less_sure(each), by_ear(self.base, each.certainty))
            for each in told
            if each.assumed == ASKED
        ]
        counted = [
            each
            for each in seen
            if each.state == "seen" and not each.heard and each.assumed != ASKED
        ]
        texts = [
            Text(
                each.value,
                self._doubt(each),
                self.decode(each.value).may_name_a_maker,
                self.may_sign(each.value),
                by_ear(self.base, each.certainty),
            )
            for each in counted
            if each.feature == MARK and each.value
            if not is_season_code(each.value, seen, self.base)
        ]
        own = any(text.may_name for text in texts)
        telling = MARK_LOOKS if own else MARK_DEVICES
        looks = [each.words for each in counted if each.words and each.feature in telling]
        if not own and any(each.feature.startswith(HALLMARKS) for each in counted):
            texts, looks = [], []
        if not texts and not looks and not heard:
            return None
        return joint_evidence(self.marks, texts, tuple(dict.fromkeys(looks)), heard)


def _names_type(observation: Observation) -> bool:
    """Whether somebody saw of what type the piece is."""
    seen = observation.state == "seen" and not observation.heard
    return observation.feature == "piece" and seen and bool(observation.value)


def _has_its_day(found: Observation) -> bool:
    """Whether a year that a text holds is written with its day: `12/25/45`, `4 Mar 1864`."""
    return found.feature == INSCRIBED_YEAR and len(found.value.split()) == 3


def _piece_type(named: Sequence[Observation], others: Sequence[Observation], in_note: str) -> str:
    """The type named last, else that of the note, unless it was ruled out."""
    if named:
        return named[-1].value
    out = {each.value for each in others if each.feature == "piece" and each.state == "ruled-out"}
    return "" if in_note in out else in_note


def _counts(observation: Observation) -> bool:
    """Whether it is text seen on the piece."""
    return observation.feature == "mark" and observation.state == "seen" and not observation.heard
