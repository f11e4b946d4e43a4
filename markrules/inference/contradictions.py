"""What in a reading does not fit together, told in words made from the rules' own."""

from __future__ import annotations

from collections.abc import Sequence
from operator import mul

from markrules.inference.chances import percent
from markrules.inference.dates import span_words, window_words
from markrules.inference.explanation import WeighedClue, without_clue
from markrules.inference.fates import is_a_mark
from markrules.inference.fired import Fired
from markrules.inference.held import counts_when_told
from markrules.inference.posterior import Posterior
from markrules.inference.ranges import USUAL_MASS, Run, shortest_run
from markrules.inference.reading import Branches, ClueReading
from markrules.inference.year_tables import Voice, YearTables
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import MarkEvidence


def contradictions(
    tables: YearTables,
    fired: Sequence[WeighedClue],
    readings: Sequence[ClueReading],
    found: Posterior,
    marks: MarkEvidence | None,
    prior: Sequence[float],
) -> tuple[str, ...]:
    """All disagreements: clues against the rest, hard limits that cross, maker against make.

    `prior` is the probability of each year before anything was seen.
    """
    doubted = sorted(
        (reading.branches.original, at)
        for at, reading in enumerate(readings)
        if reading.branches.original < 0.5
    )
    texts = [
        _against_the_rest(tables, fired[at], readings[at].branches, found, prior)
        for _, at in doubted
    ]
    # Limits that cross are told even where no clue was doubted: each may be likely by itself.
    texts.append(_crossing_limits(tables, [each.fired for each in fired]))
    texts.append(_maker_against_make(tables, found, marks))
    return tuple(dict.fromkeys(text for text in texts if text))


def _against_the_rest(
    tables: YearTables, clue: WeighedClue, share: Branches, found: Posterior, prior: Sequence[float]
) -> str:
    """`catch: 1911 or later, all else says before 1900: the catch was probably replaced (0.92)`.

    Empty when all else does not mostly lie outside the clue's window: then the clue is only
    too weak to be believed by itself. Empty too when all else moves no years away from it: what
    pieces of that type are in general contradicts nothing. Empty as well where the clue was
    likeliest misread, and is one that misleads often anyhow: then the rest outvotes it. A year
    that was read or told is no such clue.
    """
    rest = without_clue(clue, found)
    voice = clue.fired.voice
    at_home = sum(map(mul, rest.table, voice.home))
    before = sum(map(mul, prior, voice.home))
    likeliest = max(share.refit, share.reuse, share.misread)
    outvoted = voice.facts.misread >= tables.settings.against_misread and not voice.facts.relative
    if share.misread == likeliest and outvoted:
        return ""
    if at_home >= min(0.5, tables.settings.against_share * before):
        return ""
    words = _years_words(tables, voice)
    run = shortest_run(rest.sums, USUAL_MASS)
    feature = _plain(voice.facts.feature)
    return (
        f"{feature}: {words}, all else says {_rest_words(tables, run, voice)}: "
        f"{_verdict(tables.base, voice.facts.feature, share)}"
    )


def _years_words(tables: YearTables, voice: Voice) -> str:
    """The years of a clue: its window, or where its curve has most of what survives."""
    if voice.facts.clue.common is None:
        return window_words(voice.ends, tables.years[-1])
    first, last = (tables.years[at] for at in voice.high)
    return f"mostly {span_words(first, last)}"


def _rest_words(tables: YearTables, run: Run, voice: Voice) -> str:
    if run.last < voice.high[0]:
        return f"before {tables.years[run.last] + 1}"
    if run.first > voice.high[1]:
        return f"after {tables.years[run.first] - 1}"
    return f"{span_words(tables.years[run.first], tables.years[run.last])}, mostly outside that"


def _verdict(base: KnowledgeBase, name: str, share: Branches) -> str:
    feature = _plain(name)
    misread = f"the {feature} was {{}} misread, or the rule misleads here"
    if counts_when_told(base, name):  # nobody read it on the piece
        misread = f"what is told of the {feature} is {{}} of another piece, or misremembered"
    later = "given later" if is_a_mark(base, name) else "replaced"
    chance, text = max(
        (share.refit, f"the {feature} was {{}} {later}"),
        (share.reuse, f"the {feature} is {{}} an older part, used again"),
        (share.misread, misread),
    )
    return f"{text.format('probably' if chance >= 0.5 else 'perhaps')} ({percent(chance)})"


def _crossing_limits(tables: YearTables, fired: Sequence[Fired]) -> str:
    """The latest `from` and the earliest `until` of sure clues, when no year lies between."""
    befores, afters = [], []
    for each in fired:
        voice = each.voice
        if voice.rates.misread > tables.settings.limit_misread:
            continue
        if voice.first is not None:
            befores.append((voice.first, _plain(voice.facts.feature)))
        if voice.last is not None:
            afters.append((voice.last, _plain(voice.facts.feature)))
    if not befores or not afters or max(befores)[0] <= min(afters)[0]:
        return ""
    (first, earlier), (last, later) = max(befores), min(afters)
    return (
        f"{earlier}: not before {first}, {later}: not after {last}: "
        "these limits cross, so one of them does not hold for this piece"
    )


def _maker_against_make(tables: YearTables, found: Posterior, marks: MarkEvidence | None) -> str:
    """Says so when the mark by itself names a maker whose years the rest all but rules out.

    The measure is the Bayes factor of the construction for the maker's years, taken as
    rightly recorded, against all years.
    """
    maker = _best_by_mark_alone(found) if marks is not None else ""
    if not maker:
        return ""
    own = [at for at, each in enumerate(found.hypotheses) if each.maker == maker]
    if _fit(found, own) >= tables.settings.maker_fit_least:
        return ""
    entry = tables.base.makers.get(maker)
    ratio = [
        a / b if b > 0 else 0.0
        for a, b in zip(found.share(own), found.construction.table, strict=True)
    ]
    # A maker's years never fall below the chance that they are recorded wrongly; its own years
    # stand clear of that level.
    of_maker = [at for at, value in enumerate(ratio) if value > 2 * min(ratio)]
    when = span_words(tables.years[of_maker[0]], tables.years[of_maker[-1]]) if of_maker else ""
    run = shortest_run(found.construction.sums, USUAL_MASS)
    return (
        f"mark: {entry.title if entry is not None else maker}, {when}, "
        f"the piece itself says {span_words(tables.years[run.first], tables.years[run.last])}: "
        "look again at the mark, and for parts that do not belong together"
    )


def _fit(found: Posterior, own: Sequence[int]) -> float:
    """The Bayes factor of the construction for the years of these hypotheses; 1 is neutral."""
    fits = recorded = 0.0
    for at in own:
        years, scale = found.hypotheses[at].years, found.scales[at]
        level = years.level if years is not None else 1.0
        mean = years.mean(found.construction) if years is not None else 1.0
        fits += scale * (mean - level)
        recorded += scale * (1.0 - level)
    return fits / recorded if recorded > 0 else 1.0


def _best_by_mark_alone(found: Posterior) -> str:
    """The maker to whom the mark gives more than half, were the years left out; or empty."""
    shares: dict[str, float] = {}
    for each, scale in zip(found.hypotheses, found.scales, strict=True):
        shares[each.maker] = shares.get(each.maker, 0.0) + scale
    best = max(shares, key=shares.__getitem__)
    return best if shares[best] > 0.5 * sum(shares.values()) else ""


def _plain(name: str) -> str:
    return name.replace("-", " ")
