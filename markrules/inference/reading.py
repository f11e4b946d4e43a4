"""What a reading says: plain frozen records, ready to be printed, drawn or stored."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.knowledge.observation import Accounted, Observation

EVEN = 0.5
"""From these odds on a situation is stated, and what it vetoes does not count; below, a note."""


@dataclass(frozen=True, slots=True)
class DateRange:
    """Years `first` to `last`, both included, holding `mass` of the posterior."""

    first: int
    last: int
    mass: float


@dataclass(frozen=True, slots=True)
class Dating:
    """The date side of a reading.

    `range` is the highest-density interval at the asked mass: the shortest run of years that
    holds it. `second` is another run, apart from the first, holding at least the share set
    for a second mode, when there is one. `not_before` and `not_after` are hard limits from
    sure evidence; `not_before_clue` and `not_after_clue` name the clues that set them.
    `curve` holds the posterior of each year of the grid, which starts at `first_year`. `years`
    are the runs of years that hold the asked mass: the range alone, or, where they lie apart,
    those of the highest-density region. `edtf` says them in ISO 8601-2 extended form. `level`
    bounds the years that are about as likely as the likeliest.
    """

    range: DateRange
    second: DateRange | None
    likeliest: int
    median: int
    not_before: int | None
    not_after: int | None
    edtf: str
    first_year: int
    curve: tuple[float, ...]
    not_before_clue: str = ""
    not_after_clue: str = ""
    years: tuple[DateRange, ...] = ()
    level: tuple[int, int] = (0, 0)

    @property
    def span(self) -> DateRange:
        """What is told of the years as one stretch: the range or, of a set, its outer years.

        Its `mass` is what the years told hold: of a set, that of all its runs together, and not
        of what lies between them.
        """
        if len(self.years) < 2:
            return self.range
        mass = sum(each.mass for each in self.years)
        return DateRange(self.years[0].first, self.years[-1].last, mass)


@dataclass(frozen=True, slots=True)
class MakerShare:
    """A maker's posterior probability, the likeliest mark variant behind it, and its years.

    The unknown maker has the empty `maker` and `mark`. `first` and `last` bound the range at
    the asked mass, given this maker.
    """

    maker: str
    title: str
    mark: str
    mark_text: str
    probability: float
    first: int | None
    last: int | None


IN_PART = "in part"
NOT_READ = "not at all"
"""How a mark was read that is there and of which no letter was read."""


@dataclass(frozen=True, slots=True)
class MarkReading:
    """A text on the piece that may be a maker's, and how it was read.

    `how` is `in full` (every letter certain), `in part`, `not at all` (a mark is there, and no
    letter of it was read) or `heard` (said of it, not seen on it).
    `unlisted` tells that it was legible and is most likely of a maker not in the rules; then
    `maker`, `title` and `mark_text` name the listed mark that is nearest, empty where none is near,
    and `only_if` tells what would have to be misread for it to be that. `shared_by` holds the
    listed makers, each with its name, who have a mark of these letters, likeliest first; empty
    where fewer than two do.
    """

    text: str
    how: str
    unlisted: bool = False
    maker: str = ""
    title: str = ""
    mark_text: str = ""
    only_if: tuple[str, ...] = ()
    shared_by: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Branches:
    """Posterior probabilities of what became of the part a clue was read from; they sum to 1."""

    original: float
    refit: float
    reuse: float
    misread: float


@dataclass(frozen=True, slots=True)
class Citation:
    """A source with its place: `source` is the entry name, `title` how a reader finds it."""

    source: str
    title: str
    place: str
    kind: str


@dataclass(frozen=True, slots=True)
class ClueReading:
    """What one clue said.

    `bits` is the Kullback-Leibler divergence (base 2) between the posterior with and without
    the clue. `window` holds how the pieces that show the clue lie over the years, or how well
    each year suits it, its largest at 1. `first` and `last` hold the middle 80% of such a
    curve, or are the ends of the window where it is above one half, and
    `gaps` are the stretches between them that lie lower. `weight` is the exponent
    left after its family was tempered. `type` marks a named type, called `title`, which speaks
    for itself and `instead_of` other clues. `part` names the fittings whose fate it shares.
    `suits` holds how readily pieces of each year show it, against any piece, and `misread` the
    chance that it misleads on a sound piece.
    """

    clue: str
    feature: str
    words: str
    bits: float
    first: int
    last: int
    window: tuple[float, ...]
    branches: Branches
    weight: float
    trust: str
    why: str
    misleads: str
    cites: tuple[Citation, ...]
    type: bool = False
    title: str = ""
    instead_of: tuple[str, ...] = ()
    part: str = ""
    suits: tuple[float, ...] = ()
    misread: float = 0.0
    gaps: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class SignReading:
    """A sign of better or poorer make that holds for the piece."""

    sign: str
    direction: str
    strength: str
    say: str
    but: str
    cites: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class FaultReading:
    """A fault that holds for the piece."""

    fault: str
    say: str
    severity: str
    value: str
    mend: str
    mend_how: str
    originality: str
    caution: str
    cites: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class CautionReading:
    """A danger or point of law that holds for the piece."""

    caution: str
    level: str
    say: str
    cites: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class MisleadingReading:
    """What the piece, or a part or mark of it, is taken for and is not.

    `kind` is the kind of thing that misleads and `heading` that kind in words; `part` names the
    features it blames. `taken` is what it is taken for, `truth` what it is, `look` the tell-tale.
    `probability` is how often such a piece is the misleading one; `stated` tells that this is
    even odds or more: what is less is a note, and accuses nothing. What is no less, and still
    not stated, whoever told of the piece knows (`openly_told`). To look at the features in
    `settle` would settle it. `rests` are the words of the note that it rests on.
    """

    name: str
    kind: str
    heading: str
    part: tuple[str, ...]
    taken: str
    truth: str
    look: str
    probability: float
    stated: bool
    settle: tuple[str, ...]
    why: str
    cites: tuple[Citation, ...]
    rests: tuple[str, ...] = ()

    @property
    def openly_told(self) -> bool:
        """Whether whoever told of the piece said so: as likely as not, and no reproach."""
        return self.probability >= EVEN and not self.stated


@dataclass(frozen=True, slots=True)
class NextLook:
    """A feature not yet seen and the expected gain in bits of looking at it.

    `worth` is what is left of the gain, given how likely the look tells anything, after its
    effort: at 0 or below, a person who is asked is better left alone. `beside` is the same
    where a screen asks for something else too, so that only the answer costs effort.
    """

    feature: str
    ask: str
    look: str
    effort: str
    gain_bits: float
    worth: float = 0.0
    beside: float = 0.0


@dataclass(frozen=True, slots=True)
class TypeReading:
    """A named type that holds for the piece, and how later copies differ."""

    type: str
    title: str
    copies: tuple[str, ...]
    cites: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class ExceptionReading:
    """What the piece may be as a whole in place of a sound one, and how probable that is."""

    exception: str
    title: str
    say: str
    probability: float
    cites: tuple[Citation, ...]


@dataclass(frozen=True, slots=True)
class OriginReading:
    """Where the piece is taken to come from, and what other origins would make of its years.

    `said` tells whether somebody said so. `others` holds the ranges that the other origins
    give, where these differ enough to matter.
    """

    origin: str
    title: str
    said: bool
    others: tuple[tuple[str, DateRange], ...] = ()


@dataclass(frozen=True, slots=True)
class Reading:
    """Everything a reading of one piece says.

    `marks` are the texts on the piece that may be a maker's. `evidence` is False when no clue
    matched, no mark was read and no situation told has years of its own: the curve is then the
    prior, and `notes` says so. `notes` also
    tells what else a reader should know. `types` are the named types that hold, the most telling
    first, and `misleading` what the piece is taken for and is not. `exceptions` tell what the
    piece may be as a whole, where that is likely enough, and `origin` where it is taken to come
    from. `account` tells of every word of the note what became of it; empty where the reading is
    of no note. `counted_told` are the features of observations that count though they were only
    told; what else was told counts for nothing.
    """

    piece_type: str
    observations: tuple[Observation, ...]
    date: Dating
    makers: tuple[MakerShare, ...]
    clues: tuple[ClueReading, ...]
    contradictions: tuple[str, ...]
    findings: tuple[str, ...]
    signs: tuple[SignReading, ...]
    faults: tuple[FaultReading, ...]
    cautions: tuple[CautionReading, ...]
    next: tuple[NextLook, ...]
    not_understood: tuple[str, ...]
    notes: tuple[str, ...]
    evidence: bool
    knowledge_version: str
    types: tuple[TypeReading, ...] = ()
    exceptions: tuple[ExceptionReading, ...] = ()
    origin: OriginReading | None = None
    marks: tuple[MarkReading, ...] = ()
    misleading: tuple[MisleadingReading, ...] = ()
    account: tuple[Accounted, ...] = ()
    counted_told: tuple[str, ...] = ()
