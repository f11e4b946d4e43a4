"""Reading a piece: from what was seen to years, makers and reasons."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence

from markrules.frozen import dataclass
from markrules.inference.clues import PIECE, ClueFacts, citations
from markrules.inference.contradictions import contradictions
from markrules.inference.dates import edtf, edtf_set
from markrules.inference.explanation import (
    Limits,
    WeighedClue,
    caution_readings,
    clue_reading,
    fault_readings,
    limits,
    said,
    sign_readings,
)
from markrules.inference.held import counts_when_told
from markrules.inference.makers import hypotheses, maker_shares
from markrules.inference.misleading import (
    NEITHER,
    disowned,
    misleading_readings,
    owned,
    posterior_shares,
    settling,
)
from markrules.inference.on_the_table import Evidence, Model, gather
from markrules.inference.order import SpokenTogether
from markrules.inference.posterior import (
    Hypothesis,
    Posterior,
    posterior,
    said_by,
    years_alone,
)
from markrules.inference.priors import FLAT, PriorYears
from markrules.inference.ranges import (
    USUAL_MASS,
    Run,
    densest_runs,
    level_top,
    likeliest,
    median,
    second_run,
    shortest_run,
)
from markrules.inference.reading import (
    DateRange,
    Dating,
    ExceptionReading,
    MisleadingReading,
    NextLook,
    OriginReading,
    Reading,
    TypeReading,
)
from markrules.inference.year_tables import PieceKind, YearTables
from markrules.inference.years import Table
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MARK, MarkEvidence, Observation

__all__ = ["Model", "read"]

COUNTS_A_LITTLE = ("mark", "told-maker")
"""Features that count for a little where they were told and not seen: who made the piece."""

NOT_COUNTED = "Told and not seen, so not counted"
"""How a note begins that names what was told and left out of the sums."""

NO_EVIDENCE = "Nothing seen speaks of the years: these are the years of such pieces in general."


def read(
    model: Model,
    observations: Sequence[Observation],
    *,
    marks: MarkEvidence | None = None,
    piece_type: str = "",
    mass: float = USUAL_MASS,
    flat_prior: bool = False,
    origin: str = "",
    heard: bool = False,
    without: Collection[str] = (),
    not_understood: Sequence[str] = (),
    next_looks: int = 5,
    words: int = 0,
    borne_out: Mapping[str, float] = NEITHER,
) -> Reading:
    """The reading of one piece.

    `mass` is the share of probability that the range holds, above 0 and at most 1; anything
    else raises ValueError. `origin` tells where the piece comes from and so how common pieces
    of each year are; KeyError for one not in the rules; where it was only `heard` of in a note it
    is believed by less (setting `origin-heard`). `flat_prior` makes all years alike
    before anything is seen, as does the origin `flat`.
    Where `piece_type` is empty, one that was observed stands for it.
    Features and clues named in `without` do not count. Observations that were heard and not
    seen never count; they are kept in the reading. `next_looks` is the greatest number of
    looks proposed; 0 saves the time of finding them, and of what other origins would
    make of the years. `words` is the length of the note that the observations are from;
    `borne_out` by how much all its words raise or lower the odds of each kind of what misleads.
    """
    if not 0.0 < mass <= 1.0:
        raise ValueError(f"mass must be above 0 and at most 1, and is {mass}")
    tables, left_out = model.tables, frozenset(without)
    assumed = FLAT if flat_prior else origin
    told = gather(
        model,
        observations,
        piece_type=piece_type,
        origin=assumed,
        heard=heard,
        without=left_out,
    )
    weighed = _weighed(model, told, marks, observations)
    found, voices, matched = weighed.found, weighed.voices, told.matched
    clues = tuple(clue_reading(tables, each, found, told.counted) for each in voices)
    date = _dating(tables, found, mass, limits(tables, voices, clues))
    named_words = [
        each.words for each in observations if not each.heard and each.feature not in left_out
    ]
    misleading = _misleading(model, weighed, observations, words, borne_out, named_words)
    counted_told = _counted_told(model.base, observations)
    # What the piece may be instead has years of its own, though no clue speaks of any.
    dated = weighed.evidence or any(model.base.misleading[each.name].common for each in misleading)
    return Reading(
        piece_type=told.piece_type,
        observations=tuple(observations),
        date=date,
        makers=maker_shares(tables, found, mass, date.range, owned(misleading)),
        clues=tuple(sorted(clues, key=lambda clue: -clue.bits)),
        contradictions=contradictions(tables, voices, clues, found, marks, told.prior.table),
        findings=matched.findings,
        signs=sign_readings(model.base, matched.signs),
        faults=fault_readings(model.base, matched.faults),
        cautions=caution_readings(model.base, matched.cautions),
        next=_next_looks(
            model, told, found, misleading, left_out | ({MARK} if marks else set()), next_looks
        ),
        not_understood=tuple(not_understood),
        notes=_notes(tables, dated, told.silent, observations, counted_told),
        evidence=dated,
        knowledge_version=model.base.version,
        types=tuple(_type(model.base, name) for name in told.speaking.types),
        exceptions=_exceptions(tables, told.kinds, found),
        origin=_origin(model, weighed, assumed, date.range if next_looks else None),
        misleading=misleading,
        counted_told=counted_told,
    )


@dataclass(frozen=True, slots=True)
class _Weighed:
    """What all that speaks makes of the years and makers of a piece.

    `voices` are the clues as they speak; `together` is what the parts say on each kind of piece,
    `makers` who may have made it under some prior, `found` the sum over all of them. `evidence`
    tells whether anything that was seen speaks.
    """

    told: Evidence
    voices: Sequence[WeighedClue]
    together: Sequence[Table | None]
    makers: Callable[[PriorYears], list[Hypothesis]]
    found: Posterior
    evidence: bool


def _weighed(
    model: Model, told: Evidence, marks: MarkEvidence | None, observations: Sequence[Observation]
) -> _Weighed:
    """The sum over makers and years, with what it is the sum of."""
    parts, tables = told.speaking.parts, model.tables
    voices = said(parts)
    fired = [each.fired for each in voices]
    # A name that was only told is believed by little as it is; its doubt counts once.
    named = any(each.feature == MARK and not each.heard for each in observations)
    broader = told.matched.facts.values.get(PIECE, frozenset())
    false_name = disowned(model.base, told.matched.misleading, broader) if named else 0.0

    def makers(prior: PriorYears) -> list[Hypothesis]:
        return hypotheses(tables, marks, fired, prior, false_name)

    # It rests on no prior: what other origins would make of the years is asked of it too.
    together = said_by(parts, len(told.kinds))
    found = posterior(told.kinds, together, makers(told.prior))
    return _Weighed(told, voices, together, makers, found, bool(fired) or marks is not None)


def _misleading(
    model: Model,
    weighed: _Weighed,
    observations: Sequence[Observation],
    words: int,
    borne_out: Mapping[str, float],
    words_at: Sequence[str],
) -> tuple[MisleadingReading, ...]:
    """What misleads about the piece; see `read` for `words` and `borne_out`."""
    told, found = weighed.told, weighed.found
    matched = told.matched
    return misleading_readings(
        SpokenTogether(model.tables, told.prior, told.kinds, weighed.voices, told.counted, found),
        matched.misleading,
        matched.facts.values.get(PIECE, frozenset()),
        weighed.evidence,
        posterior_shares(told.kinds, found),
        [each for each in observations if each.heard],
        words,
        borne_out,
        matched.known,
        [name for name, _ in matched.types],
        words_at,
    )


def _next_looks(
    model: Model,
    told: Evidence,
    found: Posterior,
    misleading: Sequence[MisleadingReading],
    skipped: Collection[str],
    count: int,
) -> tuple[NextLook, ...]:
    """What to look at next; nothing that was looked at, nor any feature that is `skipped`."""
    # A mark that was read is not asked for again, although no observation may bear its name; one
    # that is there and was not read is.
    looked = {each.feature for each in told.counted if not each.is_unread_mark}
    matched = told.matched
    return model.looks.next_looks(
        told.fired,
        found,
        told.prior,
        piece_type=told.piece_type,
        skipped=looked.union(skipped),
        count=count,
        settling=settling(misleading),
        odds=model.odds.given(matched.facts, matched.findings) if count else None,
    )


def _dating(tables: YearTables, found: Posterior, mass: float, hard: Limits) -> Dating:
    years, curve, sums = tables.years, found.curve.table, found.curve.sums
    run = shortest_run(sums, mass)
    second = second_run(curve, sums, run, mass, tables.settings.second_mode)
    first, last = years[run.first], years[run.last]
    runs = densest_runs(curve, mass, tables.settings.same_run)
    apart = sum(each.last - each.first + 1 for each in runs)
    if len(runs) == 1 or apart > tables.settings.set_share * (run.last - run.first + 1):
        # Years with gaps are told only where they spare a good part of the range.
        runs = [run]
    level = level_top(curve, tables.settings.as_likely)
    return Dating(
        range=_date_range(years, run),
        second=_date_range(years, second) if second is not None else None,
        likeliest=years[likeliest(curve)],
        median=years[median(sums)],
        not_before=hard.not_before,
        not_after=hard.not_after,
        edtf=edtf(first, last, years, hard.not_before, hard.not_after)
        if len(runs) == 1
        else edtf_set([(years[each.first], years[each.last]) for each in runs]),
        first_year=years[0],
        curve=curve,
        not_before_clue=hard.not_before_clue,
        not_after_clue=hard.not_after_clue,
        years=tuple(_date_range(years, each) for each in runs),
        level=(years[level[0]], years[level[1]]),
    )


def _type(base: KnowledgeBase, name: str) -> TypeReading:
    entry = base.types[name]
    return TypeReading(name, entry.title, entry.copies, citations(base, entry.cites))


def _exceptions(
    tables: YearTables, kinds: Sequence[PieceKind], found: Posterior
) -> tuple[ExceptionReading, ...]:
    """What the piece may be as a whole, the likeliest first."""
    told = []
    for kind, joint in zip(kinds, found.by_kind, strict=True):
        share = sum(joint)
        if kind.name in tables.base.exceptions and share >= tables.settings.exception_least:
            entry = tables.base.exceptions[kind.name]
            cites = citations(tables.base, entry.cites)
            told.append(ExceptionReading(kind.name, entry.title, entry.say, share, cites))
    return tuple(sorted(told, key=lambda each: -each.probability))


def _origin(
    model: Model, weighed: _Weighed, said: str, span: DateRange | None
) -> OriginReading | None:
    """Where the piece is taken to come from; with `span`, what other origins would make of it."""
    told = weighed.told
    origins, prior, tables = model.base.origins, told.prior, model.tables
    entry = origins.get(prior.origin)
    if entry is None and prior.origin != FLAT:
        return None
    title = entry.say if entry is not None else "any year alike"
    others = []
    for name in origins if span is not None else ():
        if name == prior.origin:
            continue
        other = tables.prior(told.piece_type, name)
        kinds = tables.kinds(other)
        # The kinds of every origin stand first among those of which the parts speak.
        curve = years_alone(kinds, weighed.together[: len(kinds)], weighed.makers(other))
        run = _date_range(tables.years, shortest_run(curve.sums, USUAL_MASS))
        # An origin that moves neither end by much is not worth a line.
        moved = max(abs(run.first - span.first), abs(run.last - span.last)) if span else 0
        if moved >= tables.settings.origin_matters:
            others.append((origins[name].say, run))
    return OriginReading(prior.origin, title, bool(said), tuple(others))


def _date_range(years: range, run: Run) -> DateRange:
    return DateRange(years[run.first], years[run.last], run.mass)


def _notes(
    tables: YearTables,
    evidence: bool,
    silent: Sequence[ClueFacts],
    observations: Sequence[Observation],
    counted_told: Collection[str],
) -> tuple[str, ...]:
    notes = [] if evidence else [NO_EVIDENCE]
    first, last = tables.years[0], tables.years[-1]
    notes += [
        f"The clue {each.clue.name} speaks only of years outside {first} to {last} "
        "or leaves no year, and was not counted."
        for each in silent
    ]
    heard = [
        each.words or each.value or each.feature
        for each in observations
        if each.heard and each.feature not in counted_told
    ]
    if heard:
        notes.append(f"{NOT_COUNTED}: {', '.join(heard)}.")
    return tuple(notes)


def _counted_told(base: KnowledgeBase, observations: Sequence[Observation]) -> tuple[str, ...]:
    """The features of what counts though it was only told."""
    told = dict.fromkeys(each.feature for each in observations if each.heard)
    return tuple(name for name in told if name in COUNTS_A_LITTLE or counts_when_told(base, name))
