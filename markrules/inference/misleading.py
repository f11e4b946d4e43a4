"""What misleads about a piece: the situations of the rules that hold, each with its probability."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace
from math import exp, log, log2, prod
from operator import itemgetter, mul
from types import MappingProxyType

from markrules.inference.clues import citations, features_of
from markrules.inference.fates import DISOWNING, SOUND, Fate, fate_by
from markrules.inference.fired import SharedFate
from markrules.inference.order import SpokenTogether, standing_of
from markrules.inference.posterior import Posterior
from markrules.inference.priors import PriorYears
from markrules.inference.reading import EVEN, MisleadingReading
from markrules.inference.settings import Settings
from markrules.inference.year_tables import MISLED, PieceKind, YearTables
from markrules.inference.years import resolve, window_table
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.facts import Positions
from markrules.knowledge.misled import over_by
from markrules.knowledge.observation import MARK, Observation
from markrules.language.conditions import Is, OfTypeUntil, atoms
from markrules.language.slots import REMARK
from markrules.language.tree import MISLEADING_KINDS, Misleading
from markrules.language.windows import Window

OF_A_PART = ("replaced", "repaired", "old-part", "other-year", "later-mark", "finding-mark")
"""Kinds that may hold of several parts at once; any other is told once of a piece."""

SAID = "{said}"
"""In what a situation is, this stands for the words of the note that it rests on."""

DOUBTED = "doubted"
"""What names the piece on which any clue may mislead."""

SURE_ELSEWHERE = frozenset(
    {
        *("replaced", "repaired", "converted", "married", "old-part", "looks-later"),
        *("other-year", "later-mark", "old-stock"),
        *("copy", "reissue", "cast-from-original", "revival"),
    }
)
"""Kinds beside which all else of a piece is as sure as ever: what they tell of a part already moves
what its clues say, and most that tell of a copy tell its years."""

NEITHER: Mapping[str, float] = MappingProxyType({})
"""That all words of a note bear out no kind of what misleads, and speak against none."""

MOST, LEAST = 0.98, 1e-300
"""No chance is taken for more, and no share for less."""


def misleading_readings(
    spoken: SpokenTogether,
    held: Sequence[tuple[str, Positions]],
    broader: Collection[str],
    evidence: bool,
    shares: Mapping[str, float],
    told: Sequence[Observation] = (),
    words: int = 0,
    borne_out: Mapping[str, float] = NEITHER,
    known: Collection[str] = (),
    types: Sequence[str] = (),
    words_at: Sequence[str] = (),
) -> tuple[MisleadingReading, ...]:
    """The situations that hold, the likeliest first.

    `held` are their names with the observations they rest on, `broader` the types of the piece,
    `spoken` what all that was seen says of the years, and `evidence` tells whether anything does.
    Where an order of years is asked for, the chance is of pieces on which it stands so: it counts
    as often as it does, and less where both sides may well be of one year (the setting `at-odds`).
    `told` are the observations that were only told: the years of `dated` may count from theirs.
    `shares` are the probabilities of those that the years were weighed by. Of several that tell
    the same kind of thing of the same part, one is told: one that is stated, and rests on most.
    `words` is the length of the note: the longer, the more is met by accident, and the less the
    more is met beside it. `borne_out` tells by how much all its words together raise or lower the
    odds of each kind; of a kind that is not in it they tell nothing. Those in `known` are known
    to whoever tells of the piece, and are never stated. `types` are the named types that hold: of
    one of them tells a situation that asks for an old form. `words_at` are the words of the
    observations that `held` counts.
    """
    tables, curve = spoken.tables, spoken.found.curve.table
    settings = tables.settings
    found: list[tuple[bool, Positions, MisleadingReading]] = []
    of_all_words: list[MisleadingReading] = []
    for name, used in held:
        entry = tables.base.misleading[name]
        # A situation of certain years is none unless something seen puts the piece there.
        if entry.dated is not None and (
            not evidence or _within(tables, entry, curve, told) < settings.situation_sure
        ):
            continue
        ordered = 1.0
        if entry.order is not None:
            ordered, agreement = standing_of(entry.order, spoken)
            if ordered < settings.situation_sure:
                continue
            ordered *= _doubted(settings, agreement)
        elif entry.dated is not None and (entry.when is None or _is_relative(entry.dated)):
            ordered = _doubted(settings, _agreement_with_told(entry, spoken, told))
        # Where it has years of its own the posterior has weighed it; else its chance stands.
        chance = shares.get(name, chance_of(entry, broader))
        said = _reading(tables, entry, chance * ordered, known=name in known)
        said = replace(said, part=parts_on(tables.base, entry, broader))
        said = _of_the_form(tables.base, entry, said, types)
        said = _in_its_words(tables.base, said, spoken.seen)
        rests = dict.fromkeys(words_at[at] for at in used if at < len(words_at) and words_at[at])
        said = replace(said, rests=tuple(rests))
        if _is_of_all_words(tables.base, entry):
            of_all_words.append(_guessed(tables, said, spoken.seen))
        else:
            found.append((not hangs_on_years(entry), used, said))
    noted = _in_a_note(settings, _one_of_each(found), words)
    noted = tuple(
        each if each.name in known else _of_odds(each, borne_out.get(each.kind, 1.0))
        for each in noted
    )
    left = _left_of_odds(tables.base, spoken.seen)
    return tuple(
        sorted(
            (_of_odds(each, left) for each in _beside_all_words(noted, of_all_words)),
            key=lambda each: -each.probability,
        )
    )


def _guessed(
    tables: YearTables, said: MisleadingReading, seen: Sequence[Observation]
) -> MisleadingReading:
    """What is said, no likelier than the setting `whole-note-guess` where its kind is a guess."""
    most = tables.settings.whole_note_guess
    if said.probability <= most or not any(
        tables.certainty(each.certainty) > tables.surest
        for each in seen
        if _tells(tables.base, each) == said.kind
    ):
        return said
    return replace(said, probability=most, stated=most >= EVEN)


def _left_of_odds(base: KnowledgeBase, seen: Sequence[Observation]) -> float:
    """The share of the odds of all that misleads that the remarks of a note leave."""
    made = {each.value for each in seen if each.feature == REMARK}
    return prod(base.remarks[name].leaves for name in made if name in base.remarks)


def _one_of_each(
    found: Sequence[tuple[bool, Positions, MisleadingReading]],
) -> list[tuple[Positions, MisleadingReading]]:
    """Those left where of several of one kind, that blame a part in common, the best is told.

    What was seen or said goes before what only the years make likely.
    """
    told: list[tuple[Positions, MisleadingReading]] = []
    ranked = sorted(
        found, key=lambda each: (each[2].stated, each[0], len(each[1]), each[2].probability)
    )
    for _, used, said in reversed(ranked):
        if not any(_tell_alike(said, other) for _, other in told):
            told.append((used, said))
    return told


def _tell_alike(one: MisleadingReading, other: MisleadingReading) -> bool:
    if one.kind != other.kind:
        return False
    parts, others = set(one.part), set(other.part)
    return one.kind not in OF_A_PART or parts == others or not parts.isdisjoint(others)


def hangs_on_years(entry: Misleading) -> bool:
    """Whether a situation is known by what clues say of the years."""
    return entry.dated is not None or entry.order is not None


def vetoed(
    base: KnowledgeBase, held: Sequence[tuple[str, Positions]], broader: Collection[str]
) -> frozenset[str]:
    """The features and clues that do not count, by the situations that are stated."""
    entries = (base.misleading[name] for name, _ in held)
    return frozenset(
        name.name
        for entry in entries
        if entry.never and not hangs_on_years(entry) and chance_of(entry, broader) >= EVEN
        for name in entry.never
    )


def fates(
    base: KnowledgeBase, held: Sequence[tuple[str, Positions]], broader: Collection[str]
) -> Mapping[str, Fate]:
    """The fate of each feature that a situation blames, with the chance of the situation.

    Left out are situations that hang on the years, which would count them twice, those that
    tell years of their own, which stand beside the sound piece as a whole, those that say what
    does not count, and those below even odds, with which the rates of parts and clues reckon.
    """
    found: dict[str, Fate] = {}
    for name, _ in held:
        entry = base.misleading[name]
        if hangs_on_years(entry) or entry.common is not None or entry.never:
            continue
        chance = min(chance_of(entry, broader), MOST)
        if chance < EVEN:
            continue
        for part in parts_on(base, entry, broader):
            fate = fate_by(entry.kind, chance, _dates_of(base, part))
            found[part] = found.get(part, SOUND).beside(fate)
    return found


def disowned(
    base: KnowledgeBase, held: Sequence[tuple[str, Positions]], broader: Collection[str]
) -> float:
    """The chance that the name on the piece is not its maker's, by what was seen or said.

    0 where no situation of even odds or more says so. Those that hang on the years are left out:
    they would count the years twice.
    """
    entries = (base.misleading[name] for name, _ in held)
    chances = [
        min(chance_of(each, broader), MOST)
        for each in entries
        if _disowns(each.kind, [part.name for part in each.part]) and not hangs_on_years(each)
    ]
    return max((each for each in chances if each >= EVEN), default=0.0)


def owned(found: Sequence[MisleadingReading]) -> float:
    """The most that all makers together may be told at beside what is told of the name."""
    return 1.0 - max(
        (
            each.probability
            for each in found
            if (each.stated or each.openly_told) and _disowns(each.kind, each.part)
        ),
        default=0.0,
    )


def _disowns(kind: str, parts: Sequence[str]) -> bool:
    return kind in DISOWNING and MARK in parts


def _dates_of(base: KnowledgeBase, feature: str) -> str:
    """What the years of a feature, or of the register that it names, date; empty for others."""
    asked = base.features.get(feature) or base.registers.get(feature)
    return asked.dates if asked is not None else ""


def misled_kinds(
    tables: YearTables, held: Sequence[tuple[str, Positions]], broader: Collection[str]
) -> list[PieceKind]:
    """What the piece may be as a whole by a situation that holds and tells years of its own.

    Of several the one with the greatest chance is taken, for a piece is not misleading in two
    ways at once. Those that hang on the years (`dated`, `order`) are left out: they would count
    the years twice.
    """
    entries = (tables.base.misleading[name] for name, _ in held)
    telling = [
        (min(chance_of(each, broader), MOST), each)
        for each in entries
        if each.when is not None and each.common is not None and not hangs_on_years(each)
    ]
    chance, entry = max(telling, key=itemgetter(0), default=(0.0, None))
    if entry is None or entry.when is None or chance <= 0:
        return []
    of = frozenset(features_of(tables.base, entry.when))
    kind = tables.misled_kind(entry, of, chance / (1.0 - chance))
    return [kind] if kind is not None else []


def doubted_kinds(
    tables: YearTables,
    prior: PriorYears,
    held: Sequence[tuple[str, Positions]],
    broader: Collection[str],
    misled: Sequence[PieceKind],
) -> list[PieceKind]:
    """The piece on which any clue may mislead, where a situation of even odds or more that holds
    tells no years of its own.

    Of a piece known to mislead in one way the rest is less sure too: what is told of a part blames
    that part alone, and often the wrong one. Years that were read stay as sure as they were. Its
    years are those of such pieces in general, and its share the chance of the situation times the
    setting `doubted-share`, of what those in `misled`, which tell years, leave. Situations that
    hang on the years are left out, as in `misled_kinds`.
    """
    entries = (tables.base.misleading[name] for name, _ in held)
    chance = max(
        (
            min(chance_of(each, broader), MOST)
            for each in entries
            if each.kind not in SURE_ELSEWHERE and each.common is None and not hangs_on_years(each)
        ),
        default=0.0,
    )
    taken = sum(1.0 / (1.0 + exp(-each.log_share)) for each in misled)
    share = min(chance * tables.settings.doubted_share, MOST) * (1.0 - taken)
    if chance < EVEN or share <= 0:
        return []
    # A year that was read is as good as before, unless a situation blames it.
    anything = frozenset(each.name for each in tables.base.features.values() if not each.dates)
    misread = tables.settings.doubted_misread
    odds = log(share / (1.0 - share))
    return [PieceKind(DOUBTED, odds, misread, anything, prior.log)]


def weighed(
    sound: Sequence[PieceKind],
    misled: Sequence[PieceKind],
    parts: Sequence[SharedFate],
    seen: Sequence[Observation],
) -> list[PieceKind]:
    """The situations with the share that makes their chance hold where nothing else was seen.

    A chance is of pieces that show what the situation asks for, so what those clues say for and
    against a sound piece must not count again: the share is the odds times the evidence
    P(those clues | sound), over that under the situation. `parts` hold a factor for each kind,
    the sound ones first.
    """
    found = []
    for at, kind in enumerate(misled, start=len(sound)):
        # Only parts that rest on nothing else: another clue on the part is evidence of its own.
        own = [part for part in parts if _features(part, seen) <= kind.of]
        against = sum(
            exp(each.log_share) * _evidence(each, place, own) for place, each in enumerate(sound)
        )
        share = against / _evidence(kind, at, own)
        found.append(replace(kind, log_share=kind.log_share + log(max(share, LEAST))))
    return found


def _evidence(kind: PieceKind, at: int, parts: Sequence[SharedFate]) -> float:
    tables = [kind.prior, *[part.factors[at].log for part in parts]]
    return sum(exp(sum(logs)) for logs in zip(*tables, strict=True))


def _features(part: SharedFate, seen: Sequence[Observation]) -> set[str]:
    return {seen[at].feature for each in part.fired for at in each.used}


def posterior_shares(kinds: Sequence[PieceKind], found: Posterior) -> Mapping[str, float]:
    """The probability of each situation that tells years of its own, all else counted."""
    return {
        kind.name.removeprefix(MISLED): sum(joint)
        for kind, joint in zip(kinds, found.by_kind, strict=True)
        if kind.name.startswith(MISLED)
    }


def settling(found: Sequence[MisleadingReading]) -> Mapping[str, float]:
    """What a look at each feature would settle, in bits: the entropy of whether it is so."""
    bits: dict[str, float] = {}
    for each in found:
        p = each.probability
        doubt = -sum(q * log2(q) for q in (p, 1.0 - p) if q > 0)
        for feature in each.settle:
            bits[feature] = max(bits.get(feature, 0.0), doubt)
    return bits


def chance_of(entry: Misleading, broader: Collection[str]) -> float:
    """How often such pieces are the misleading ones: for the piece's type, else in general.

    Even odds where the rules give no figure.
    """
    general = EVEN
    for each in entry.chances:
        # The general chance counts only where none of a narrower type fits.
        if any(name.name in broader for name in each.on):
            return each.share
        if not each.on:
            general = each.share
    return general


def _in_a_note(
    settings: Settings, told: Sequence[tuple[Positions, MisleadingReading]], words: int
) -> tuple[MisleadingReading, ...]:
    """The situations with their chances as they are in a note of so many words, likeliest first.

    By accident situations are met about in proportion to what is told, so the odds of each fall
    as the length rises (settings `note-words` and `note-share`). Where more of them are met than
    accident brings, the less of each is accident: the length is shared out among those that are
    as likely as not and rest on something of their own.
    """
    resting = {frozenset(used) for used, said in told if said.stated}
    # Those that rest on the same observations are one accident, not several.
    length = words / max(len(resting), 1)
    share = max(settings.note_words / length, settings.note_share) if length else 1.0
    shared = [_of_odds(said, min(share, 1.0)) for _, said in told]
    return tuple(sorted(shared, key=lambda each: -each.probability))


def _of_odds(said: MisleadingReading, share: float) -> MisleadingReading:
    """What was said, with so many times its odds; with no other where it is openly told."""
    # What somebody says in so many words is no accident of a long note.
    if said.openly_told or share == 1.0 or not 0.0 < said.probability < 1.0:
        return said
    odds = said.probability / (1.0 - said.probability) * share
    probability = odds / (1.0 + odds)
    return replace(said, probability=probability, stated=probability >= EVEN)


def _within(
    tables: YearTables, entry: Misleading, curve: Sequence[float], told: Sequence[Observation]
) -> float:
    """The probability that the piece was made within the years that the entry asks for.

    Where they count from a year that was told, and none was, they ask for nothing that can be.
    """
    assert entry.dated is not None
    bracket = None
    if _is_relative(entry.dated):
        bracket = _told_years(tables, entry, told)
        if bracket is None:
            return 0.0
    ends = resolve(entry.dated, tables.years, tables.settings, bracket)
    return float(sum(map(mul, curve, window_table(ends, tables.years))))


def _doubted(settings: Settings, agreement: float) -> float:
    """What is left of a chance that rests on a contradiction where both sides agree so much."""
    return min(1.0, settings.at_odds / agreement) if agreement > 0 else 1.0


def _agreement_with_told(
    entry: Misleading, spoken: SpokenTogether, told: Sequence[Observation]
) -> float:
    """How many times as likely the years near the one that was told are as before anything seen.

    0 where no year was told: nothing agrees then.
    """
    bracket = _told_years(spoken.tables, entry, told)
    if bracket is None:
        return 0.0
    first = spoken.tables.years[0]
    around = spoken.tables.settings.told_near
    near = slice(max(bracket[0] - around - first, 0), max(bracket[-1] + around - first + 1, 0))
    # Against the prior: years near the told one may be likely for every such piece.
    before = sum(spoken.prior.table[near]) / sum(spoken.prior.table)
    return sum(spoken.found.curve.table[near]) / before if before > 0 else 0.0


def _told_years(
    tables: YearTables, entry: Misleading, told: Sequence[Observation]
) -> tuple[int, int] | None:
    """The years that were told of what the entry asks about, if any.

    Of several those are taken that leave the least to contradict: the latest where it asks for
    later ones (`late 1970s into 1980s`), else the earliest.
    """
    named = set(features_of(tables.base, entry.told)) if entry.told is not None else set()
    years = [each.years for each in told if each.feature in named and each.years]
    later = entry.dated is not None and entry.dated.first is not None and entry.dated.first.relative
    return (max(years) if later else min(years)) if years else None


def _is_relative(window: Window) -> bool:
    ends = (window.first, window.mostly_first, window.mostly_last, window.last)
    return any(each is not None and each.relative for each in ends)


def _of_the_form(
    base: KnowledgeBase, entry: Misleading, said: MisleadingReading, types: Sequence[str]
) -> MisleadingReading:
    """What is said, with the title of the old form that it asks for and how its copies differ."""
    asked = [
        each.year
        for each, _ in (atoms(entry.when) if entry.when else ())
        if isinstance(each, OfTypeUntil)
    ]
    overs = ((name, over_by(base, name)) for name in types if asked)
    forms = [base.types[name] for name, over in overs if over is not None and over <= max(asked)]
    if not forms:
        return said
    form = forms[0]
    copies = "; ".join(form.copies)

    def told(text: str) -> str:
        return text.replace("{type}", form.title).replace("{copies}", copies)

    return replace(said, taken=told(said.taken), truth=told(said.truth), look=told(said.look))


def _in_its_words(
    base: KnowledgeBase, said: MisleadingReading, seen: Sequence[Observation]
) -> MisleadingReading:
    """What is said, with the words of the note that it rests on where it tells them back."""
    if SAID not in said.truth:
        return said
    words = [each.words for each in seen if _tells(base, each) == said.kind]
    return replace(said, truth=said.truth.replace(SAID, words[0] if words else ""))


def _tells(base: KnowledgeBase, seen: Observation) -> str:
    """The kind that the words of a whole note tell, where this is what they make; else empty."""
    remark = base.remarks.get(seen.value) if seen.feature == REMARK else None
    return remark.tells if remark is not None else ""


def _beside_all_words(
    told: Sequence[MisleadingReading], of_all_words: Sequence[MisleadingReading]
) -> tuple[MisleadingReading, ...]:
    """What misleads, where the words of a note as a whole tell a kind.

    They bear out the likeliest other situation of that kind, which names a part, and are told by
    themselves only where there is none. Their chance is of notes of any length.
    """
    found = list(told)
    for each in of_all_words:
        alike = [other for other in told if other.kind == each.kind]
        if not alike:
            found.append(each)
        elif not any(other.stated or other.openly_told for other in alike):
            best = max(alike, key=lambda other: other.probability)
            borne_out = replace(best, probability=each.probability, stated=each.stated)
            found[found.index(best)] = borne_out
    return tuple(sorted(found, key=lambda each: -each.probability))


def parts_on(base: KnowledgeBase, entry: Misleading, broader: Collection[str]) -> tuple[str, ...]:
    """The features that a situation blames, of those that such a piece has; all where it has none.

    `broader` are the type of the piece and those it belongs to; empty where it is not known.
    """
    blamed = [each.name for each in entry.part]
    on = [each for each in blamed if each not in base.features or _is_on(base, each, broader)]
    return tuple(on or blamed)


def _is_on(base: KnowledgeBase, feature: str, broader: Collection[str]) -> bool:
    on = base.features[feature].on
    return not on or not broader or any(each.name in broader for each in on)


def _is_of_all_words(base: KnowledgeBase, entry: Misleading) -> bool:
    """Whether a situation rests on what the words of a whole note tell."""
    asked = atoms(entry.when) if entry.when is not None else ()
    return any(
        isinstance(each, Is)
        and each.feature.name == REMARK
        and any(
            value.name in base.remarks and base.remarks[value.name].tells for value in each.values
        )
        for each, _ in asked
    )


def _reading(
    tables: YearTables, entry: Misleading, probability: float, *, known: bool = False
) -> MisleadingReading:
    return MisleadingReading(
        name=entry.name,
        kind=entry.kind,
        heading=MISLEADING_KINDS[entry.kind],
        part=tuple(each.name for each in entry.part),
        taken=entry.taken,
        truth=entry.truth,
        look=entry.look,
        probability=probability,
        stated=probability >= EVEN and not known,
        settle=tuple(each.name for each in entry.settle),
        why=entry.why,
        cites=citations(tables.base, entry.cites),
    )
