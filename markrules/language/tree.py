"""The typed syntax tree: one frozen dataclass for each kind of entry.

Every node carries the `Span` it was read from. Spans take no part in equality,
so two trees are equal when they say the same thing, wherever it was written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Literal, TypeAlias

from markrules.frozen import dataclass
from markrules.language.conditions import Condition
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Spread, Window


@dataclass(frozen=True, slots=True)
class Cite:
    """A citation: the source's name and, optionally, the place in it (`"p. 12"`)."""

    source: Named
    place: str = ""
    span: Span = its_span()


# --- Entries --------------------------------------------------------------------------------
# Every entry has `name`, `span` (of the name) and, where the kind allows, `cites`.


@dataclass(frozen=True, slots=True)
class Source:
    """Where knowledge comes from. `kind` is one of SOURCE_KINDS."""

    name: str
    title: str
    kind: str
    author: str = ""
    year: int | None = None
    where: str = ""
    note: str = ""
    span: Span = its_span()


SOURCE_KINDS = (
    "patent",  # a patent specification or grant
    "law",  # a statute, regulation, treaty or ruling
    "register",  # an official or copied numbering table
    "standard",  # ISO, ANSI and the like
    "book",
    "article",  # magazine, newspaper, blog, dealer's or collector's page
    "museum",  # a museum's or conservation body's text
    "record",  # another official or company record
    "practice",  # common practice, no source
    "memory",  # written from memory, unchecked
)


@dataclass(frozen=True, slots=True)
class Trust:
    """How often a clue of this trust misleads: `misread` is a share from 0 to 1."""

    name: str
    misread: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Certainty:
    """How often an observer this sure is wrong. `also` are the words that show it in notes."""

    name: str
    misread: float
    also: tuple[str, ...] = ()
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Setting:
    """One tunable number of the engine, with the note of how it was set."""

    name: str
    value: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Family:
    """Clues that would be wrong together; `overlap` 0 is independent, 1 is one clue said twice."""

    name: str
    overlap: float
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Prior:
    """How common surviving pieces are by year: (year, weight) points, joined by straight lines.

    `on` narrows it to piece types; the prior without `on` serves the rest. `origin` names
    where such pieces come from; a prior without it serves every origin that has none of its
    own. `common` says the same in years by which 10, 50 and 90% had been made.
    """

    name: str
    points: tuple[tuple[int, float], ...] = ()
    on: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    origin: Named | None = None
    common: Spread | None = None
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Origin:
    """Where pieces come from, which tells how common those of each year are.

    `say` is how a reading names it and `also` are other words for it. `default` marks the
    one that is taken where nobody says. `share` is how much of all surviving pieces, which
    curves are held against, comes from there; None where it is not told.
    """

    name: str
    say: str = ""
    also: tuple[str, ...] = ()
    default: bool = False
    share: float | None = None
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class PieceException:
    """A way in which a whole piece is not what its clues make it: a later copy, say.

    `share` of all pieces are of this kind. On them clues mislead with the chance `misread`:
    those on the features in `of`, or all where none is named. `common` tells when such pieces
    were made, where that differs from pieces in general. `title` names it.
    """

    name: str
    share: float
    misread: float
    title: str = ""
    of: tuple[Named, ...] = ()
    common: Spread | None = None
    say: str = ""
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Fittings:
    """Features of parts that share one fate: fitted later together, or used again together."""

    name: str
    of: tuple[Named, ...]
    refit: float = 0.0
    reuse: float = 0.0
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Asking:
    """What asking about features is worth, given what is known: of pieces on which `when` holds.

    `share` is the chance that a look shows anything at all, `answered` that a beginner can answer.
    A figure left out says nothing. Without `when` an entry holds of all pieces; an entry with one
    that holds goes before those without. Of several of the same kind the least of each counts.
    """

    name: str
    of: tuple[Named, ...]
    share: float | None = None
    answered: float | None = None
    when: Condition | None = None
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Answers:
    """Answers that a question offers together, under the words `say`, before each by itself.

    `when` names the feature and the values: `hallmark-mark is one of lion-passant, leopard-head`.
    """

    name: str
    say: str
    when: Condition
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Together:
    """Features that a guided look asks for at once, in this order, under the words `ask`."""

    name: str
    ask: str
    of: tuple[Named, ...]
    look: str = ""
    why: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class SharesRow:
    """The shares of a feature's values among the pieces of one year."""

    year: int
    values: tuple[tuple[Named, float], ...]


@dataclass(frozen=True, slots=True)
class Shares:
    """How values that exclude each other compete, by year.

    `of` is the feature, the entry's name where it is left out. `rows` are joined by straight
    lines; what a row leaves over is spread on values that it does not name.
    """

    name: str
    rows: tuple[SharesRow, ...]
    of: tuple[Named, ...] = ()
    on: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Commonness:
    """How often a maker's pieces are met, relative to the others: a prior weight for makers."""

    name: str
    weight: float
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Grade:
    """A step of condition: a piece has it from so many `points` of faults on.

    `brings` is what such a piece fetches beside one without a fault, `also` are sellers' words
    for it.
    """

    name: str
    points: float
    brings: float
    also: tuple[str, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Shade:
    """A colour of stones by the name the trade has for it.

    `of` is the value of the feature `colour` that it is a kind of, `looks` the colour as sRGB,
    `#RRGGBB`. `also` are words for it that mean nothing else; the name alone means it only where
    stones are spoken of.
    """

    name: str
    of: Named
    looks: str
    also: tuple[str, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece type and the words for it. `under` names the broader type."""

    name: str
    also: tuple[str, ...] = ()
    under: Named | None = None
    say: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Wording:
    """Words of the note language: `role` says what they do (see `roles.WORDING_ROLES`).

    A `thing` that is found on some piece types only names them in `on`.
    """

    name: str
    role: str
    words: tuple[str, ...]
    target: Named | None = None  # what the role is of: see `roles.TARGETS`
    on: tuple[Named, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Value:
    """One value of a feature; `share` is how often it is met among pieces that show any.

    `within` names features of which its own words may hold words: `celluloid beads` are beads of
    plastic, and the plastic is celluloid.
    """

    name: str
    say: str = ""
    also: tuple[str, ...] = ()
    share: float | None = None
    look: str = ""
    within: tuple[Named, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Feature:
    """Something that can be looked at. `kind` is one of FEATURE_KINDS.

    `refit` and `reuse` are the shares of such parts that were fitted later, or are older
    parts used again; `effort` is one of EFFORTS. `describes` marks a feature that only
    describes, so that no rule need reach its values. `dates` is one of DATINGS: what the years
    that it holds date; empty where that is not said.
    """

    name: str
    kind: str = "choice"
    ask: str = ""
    look: str = ""
    also: tuple[str, ...] = ()
    on: tuple[Named, ...] = ()
    unit: str = ""
    family: Named | None = None
    refit: float = 0.0
    reuse: float = 0.0
    effort: str = "glance"
    hazard: str = ""
    describes: bool = False
    dates: str = ""
    values: tuple[Value, ...] = ()
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


FEATURE_KINDS = (
    "choice",  # one of the values; seeing one rules out the others
    "many",  # several values can stand side by side
    "number",  # a quantity with a unit
    "year",  # a year read off the piece
    "text",  # words on the piece
)
EFFORTS = ("glance", "close", "loupe", "tool")


@dataclass(frozen=True, slots=True)
class Clue:
    """What was seen, and the years that it speaks for.

    `common` tells how common the surviving pieces that show it are, by year; `made` holds its
    hard limits, and the bulk of the years as a source gives it. `refit` and `reuse` override
    the feature's. `points` names makers that the clue speaks
    for. `region` is where the window holds. `misleads` says when the clue is wrong.
    """

    name: str
    when: Condition
    made: Window | None
    trust: Named
    why: str
    cites: tuple[Cite, ...]
    family: Named | None = None
    refit: float | None = None
    reuse: float | None = None
    on: tuple[Named, ...] = ()
    points: tuple[Named, ...] = ()
    region: str = ""
    misleads: str = ""
    common: Spread | None = None
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Type:
    """A kind of piece that is dated at a glance; where it holds, it speaks for its parts.

    `common` and `made` speak as in a clue. `copies` tell later copies from it.
    """

    name: str
    title: str
    when: Condition
    trust: Named
    why: str
    cites: tuple[Cite, ...] = ()
    common: Spread | None = None
    made: Window | None = None
    on: tuple[Named, ...] = ()
    points: tuple[Named, ...] = ()
    copies: tuple[str, ...] = ()
    misleads: str = ""
    span: Span = its_span()


ADVICE = ("first", "against", "toward", "done", "care", "identify", "describe")
"""What a finding can be advice on: an effect on a choice, care, a category of Object ID, or what a
part of a listing tells."""

CHOICES = ("alone", "lot", "pair", "mend", "stones", "test", "specialist", "melt", "keep")
"""What may be done with a piece."""

CATEGORIES = (
    "type",
    "measurements",
    "materials",
    "inscriptions",
    "title",
    "subject",
    "date",
    "maker",
    "distinguishing",
)
"""Categories of the Object ID standard that what was seen can fill."""


LISTING_PARTS = (
    "subject",
    "form",
    "colour",
    "materials",
    "stones",
    "fastening",
    "wearing",
    "state",
    "tested",
    "hallmark",
    "inscription",
    "packaging",
)
"""Parts of the text of a listing that what was seen can fill."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What a finding advises: `against lot signed`, `care`, `identify materials`.

    `effect` is one of `ADVICE`; `choice` of `CHOICES`, for `identify` of `CATEGORIES`, for
    `describe` of `LISTING_PARTS`, and empty
    for `care`. `about` tells what a choice comes first, or is ruled out, for.
    """

    effect: str
    choice: str = ""
    about: str = ""
    span: Span = its_span()


MISLEADING_KINDS: Mapping[str, str] = {
    "replaced": "part replaced",
    "repaired": "repaired or altered",
    "converted": "converted to another use",
    "married": "put together from several pieces",
    "old-part": "an old part in a later piece",
    "copy": "later copy",
    "reissue": "later issue from the old model",
    "cast-from-original": "cast from an older piece",
    "revival": "revival of an older style",
    "old-stock": "old stock, sold or put together later",
    "technique-lives-on": "older way of making that lives on",
    "told-claim": "told, and not borne out",
    "other-year": "a year of something else",
    "later-mark": "a mark put on later, or not at all",
    "other-cycle": "letters of another cycle, office or country",
    "finding-mark": "mark of a part, and not of the maker",
    "namesake": "another of the same name",
    "look-alike": "looks like another's work",
    "false-mark": "false mark",
    "looks-later": "older than it looks",
}
"""What may mislead about a piece: the kinds, each with its heading."""

DATINGS = (
    "designed",
    "patented",
    "registered",
    "made",
    "assayed",
    "imported",
    "engraved",
    "worn",
    "sold",
    "boxed",
)
"""What a year on a piece or in a record may date."""


@dataclass(frozen=True, slots=True)
class Chance:
    """How often pieces like this are the misleading ones; `on` narrows it to piece types."""

    share: float
    on: tuple[Named, ...] = ()


@dataclass(frozen=True, slots=True)
class Fill:
    """One thing that may fill a slot: how it is called in a sentence, and the words that name it.

    A text of `words` may be the name of a wording or a feature in braces: all words of it are
    meant. `part` are the features that tell of it, `on` the piece types that alone have it.
    """

    name: str
    words: tuple[str, ...]
    say: str = ""
    part: tuple[Named, ...] = ()
    on: tuple[Named, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Slot:
    """A place in remarks and situations that several things may fill: a part of a piece, say."""

    name: str
    fills: tuple[Fill, ...]
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Remark:
    """What people say of a piece, known by the order of words in a note.

    In `words` and `never`, names in braces stand for any word of a slot, a wording, a feature or
    a piece type, `~` for a few words between, and `...` for what lies between two parts of a note;
    what one of `never` fits is no such remark. Each remark is also a value of the built-in feature
    `remark`; where its words have a slot, it has one more value for each of that slot's fills.
    A year that `{its-year}` stands for is of the feature `year`, and not told of the piece.
    Without words it `tells` of a kind of what misleads, by all words of a note together.
    """

    name: str
    words: tuple[str, ...] = ()
    tells: str = ""
    never: tuple[str, ...] = ()
    on: tuple[Named, ...] = ()
    year: Named | None = None
    say: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


ALL_ELSE = "rest"
"""In the order of years, this name stands for all that speaks but for the other side."""


@dataclass(frozen=True, slots=True)
class Order:
    """What the clues on `earlier` say lies at least `years` before what those on `later` say.

    Both name features or clues; ALL_ELSE, alone on one side, stands for all other clues.
    """

    earlier: tuple[Named, ...]
    later: tuple[Named, ...]
    years: int = 1
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Misleading:
    """A situation in which a piece, or a part or mark of it, is taken for what it is not.

    It holds where `when` holds of what was seen and `told` of what was only told (each may be
    left out, not both), `unless` is not known to hold, the piece was, by all that speaks,
    three to one made within `dated` (which may count from a year that `told` asks for), and what
    its clues say stands in this `order`. Where `known` holds of what was told and seen, whoever
    tells of the piece is not misled, and it is borne in mind and no more. `kind` is one of
    MISLEADING_KINDS; `taken` and `truth`
    finish the sentences "it is taken for" and "it is"; `look` is the tell-tale. `part` names the
    features it blames and `never` features and clues that do not count where it holds; to look at
    those in `settle` would settle the matter. `made` and `common` are the years of such pieces,
    as in a clue. `each` names a slot: the entry then stands for one of each of its fills.
    """

    name: str
    kind: str
    taken: str
    truth: str
    look: str
    each: Named | None = None
    when: Condition | None = None
    told: Condition | None = None
    unless: Condition | None = None
    known: Condition | None = None
    on: tuple[Named, ...] = ()
    part: tuple[Named, ...] = ()
    chances: tuple[Chance, ...] = ()
    order: Order | None = None
    dated: Window | None = None
    made: Window | None = None
    common: Spread | None = None
    never: tuple[Named, ...] = ()
    settle: tuple[Named, ...] = ()
    why: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Finding:
    """A derived fact. With `means`, it also puts a value to a feature.

    It does not hold where `unless` is known to hold; what was not looked at is no hindrance.
    With `advise` it is told with a decision or on a sheet, and not with a reading.
    """

    name: str
    when: Condition
    say: str = ""
    means: tuple[Named, Named] | None = None
    unless: Condition | None = None
    advise: Advice | None = None
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Sign:
    """A sign of better or poorer make. `strength` is weak, moderate or strong."""

    name: str
    when: Condition
    direction: Literal["better", "poorer", "neutral"]
    strength: str
    say: str
    but: str = ""
    on: tuple[Named, ...] = ()
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Fault:
    """Something wrong with a piece. Each fault is also a value of the built-in feature `fault`.

    `severity` is slight, moderate or severe; `value` one of FAULT_VALUES; `mend` one of MENDS.
    `within` names features of which its own words may hold words, as those of a `Value` may: `dark
    rhinestones` have lost their foil, and they are rhinestones.
    """

    name: str
    say: str
    also: tuple[str, ...] = ()
    within: tuple[Named, ...] = ()
    look: str = ""
    cause: str = ""
    originality: str = ""
    make: str = ""
    severity: str = "moderate"
    value: str = "down"
    mend: str = "no"
    mend_how: str = ""
    caution: str = ""
    when: Condition | None = None
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


SEVERITIES = ("slight", "moderate", "severe")
FAULT_VALUES = ("up", "none", "down-slightly", "down", "down-strongly")
MENDS = ("no", "home", "partly", "trade")
STRENGTHS = ("weak", "moderate", "strong")


@dataclass(frozen=True, slots=True)
class Caution:
    """A danger or a point of law. `level` is one of CAUTION_LEVELS, `where` of CAUTION_PLACES:
    what threatens at the bench alone is nothing to tell a buyer.
    """

    name: str
    when: Condition
    level: str
    say: str
    where: str = "anywhere"
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


CAUTION_LEVELS = ("care", "hazard", "law")
CAUTION_PLACES = ("anywhere", "bench")


@dataclass(frozen=True, slots=True)
class Mark:
    """One variant of a maker's mark. `text` holds ' / ' at a line break; empty for a device alone.

    `form` is block, script, italic ...; `method` struck, cast, plaque, tag, engraved ...;
    `beside` are words that stand with it. `used` is None where no year is known. `never` names
    features of which this text never speaks, whatever it looks like: a brand that is a number.
    """

    name: str
    text: str = ""
    form: str = ""
    symbol: str = ""
    method: str = ""
    beside: tuple[str, ...] = ()
    used: Window | None = None
    place: str = ""
    never: tuple[Named, ...] = ()
    note: str = ""
    trust: Named | None = None
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Maker:
    """A maker, when it worked, and each variant of its mark."""

    name: str
    title: str
    city: str = ""
    country: str = ""
    works: Window | None = None
    common: Named | None = None
    also: tuple[str, ...] = ()
    group: str = ""  # makers that share a mark, a line or an owner
    note: str = ""
    marks: tuple[Mark, ...] = ()
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a register.

    kind number: `key` is the first number of the year `first` (= `last`). kind letter: `key`
    stands for the years `first` to `last`. kind size: `key` is a code for `low_mm` to `high_mm`.
    `qualifiers` are (column, text) pairs that narrow a lettered row.
    """

    key: str
    first: int | None = None
    last: int | None = None
    low_mm: float | None = None
    high_mm: float | None = None
    qualifiers: tuple[tuple[str, str], ...] = ()
    trust: Named | None = None
    cites: tuple[Cite, ...] = ()
    note: str = ""
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Register:
    """A numbering and its table. Each register is also a built-in feature of its own name.

    kind `number`: row keys are the first number of a year, ascending. kind `letter`: row
    keys are letters, with `columns` naming the qualifiers. `reads` are spellings in which
    `#` stands for the number. `dates` is one of DATINGS: what its years date.
    """

    name: str
    title: str
    kind: Literal["number", "letter", "size"]
    reads: tuple[str, ...] = ()
    columns: tuple[str, ...] = ()
    rows: tuple[Row, ...] = ()
    note: str = ""
    dates: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class MetalMark:
    """A mark of metal content and what it claims. Each is also a value of `metal-mark`.

    `reads` are spellings; `{karat}`, `{fraction}`, `{fineness}` and `{microns}` stand for a
    number. `how` is one of METAL_FORMS, `over` what lies under a coating. `fineness` (low,
    high) is the precious share of the metal named, in thousandths, and `share` (low, high)
    the part of all the metal's weight that it makes up; both None where the mark itself
    tells. `least_microns` is the least thickness that the law asks, `allow` how far, in
    thousandths, the true fineness may lie below the mark. `weight` ranks readings of one
    text. `quote` and `claim` may be said in a listing: how it quotes the mark, and what that says
    besides; `never` may not, `test` is what a professional would do.
    """

    name: str
    reads: tuple[str, ...]
    metal: str = ""
    how: str = "solid"
    over: str = ""
    fineness: tuple[float, float] | None = None
    share: tuple[float, float] | None = None
    least_microns: float | None = None
    allow: float = 0.0
    weight: float = 1.0
    country: str = ""
    law: str = ""
    say: str = ""
    quote: str = ""
    claim: str = ""
    never: str = ""
    test: str = ""
    note: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


METAL_FORMS = (
    "solid",  # the same alloy all through
    "filled",  # a sheet of alloy bonded on, at or above the fraction the law asks
    "rolled",  # the same, with a thinner sheet
    "plated",  # laid on by electricity or otherwise, measured by thickness
    "washed",  # thinner than any plate the law names
    "combined",  # two precious metals, or precious and base, side by side
    "loaded",  # a thin shell over pitch, cement or plaster
    "none",  # no precious metal, whatever the name suggests
    "wording",  # says something about the mark or the seller, not the metal
)


@dataclass(frozen=True, slots=True)
class Claim:
    """Words of a listing that say more than was seen, unless the evidence bears them.

    `words` are the phrases that make the claim, `fine` longer phrases in which they make
    none. `about` is one of CLAIM_SUBJECTS. Where `figures` stands, numbers beyond these two claim
    nothing. The claim is borne where `unless` holds, where the piece is at least `age` years
    old, or where it was made within `made`; with none of these it never is. Where `when` stands
    and does not hold, nothing is said of it. `beside` names claims: where the text makes one of
    them that is borne, this one is as well. `say` is the reason and `instead` better words;
    without any, the words are left out.
    """

    name: str
    words: tuple[str, ...] = ()
    fine: tuple[str, ...] = ()
    about: str = "words"
    figures: tuple[float, float] | None = None
    when: Condition | None = None
    unless: Condition | None = None
    beside: tuple[Named, ...] = ()
    age: int | None = None
    made: Window | None = None
    law: str = ""
    say: str = ""
    instead: str = ""
    note: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


CLAIM_SUBJECTS = (
    "words",  # the phrases in `words`
    "maker",  # the name of any maker in the rules
    "years",  # any year, decade or span of years
    "mark",  # the name of any maker, said to stand on the piece
    "karat",  # a number of 24ths: a fineness on record must be that one
    "ago",  # a number of years since it was made
    "seen",  # what the words name, if it is on record as seen
)


@dataclass(frozen=True, slots=True)
class Expect:
    """One expectation of a case.

    `kind` is clue, type, misleading, finding, sign, fault, caution, maker, years, year or sees;
    `wanted` is False after `not`. `years` holds one year or the two ends.
    """

    kind: str
    name: Named | None = None
    years: tuple[int, ...] = ()
    condition: Condition | None = None
    wanted: bool = True
    span: Span = its_span()


@dataclass(frozen=True, slots=True)
class Case:
    """A worked example: `given` holds notes in plain words and conditions as observations."""

    name: str
    given: tuple[str | Condition, ...]
    expect: tuple[Expect, ...]
    note: str = ""
    cites: tuple[Cite, ...] = ()
    span: Span = its_span()


WITHDRAWABLE = (
    "clue",
    "type",
    "misleading",
    "finding",
    "sign",
    "fault",
    "caution",
    "maker",
    "claim",
    "setting",
    "prior",
    "wording",
    "metal-mark",
    "register",
    "case",
)
"""Kinds of entries that rules of one's own may take back."""


@dataclass(frozen=True, slots=True)
class Withdraw:
    """An entry of the rules before these that is not to be used: its `kind` and name, and why.

    `when` is its condition, where it has one, and `replaced` tells that an entry of the same
    kind and name beside the withdrawal stands in its place; both are filled in when it is found.
    """

    name: str
    kind: str
    why: str = ""
    cites: tuple[Cite, ...] = ()
    when: Condition | None = None
    replaced: bool = False
    span: Span = its_span()


Entry: TypeAlias = (
    Source
    | Trust
    | Certainty
    | Setting
    | Family
    | Prior
    | Commonness
    | Grade
    | Shade
    | Piece
    | Wording
    | Feature
    | Clue
    | Finding
    | Sign
    | Fault
    | Caution
    | Maker
    | Register
    | MetalMark
    | Claim
    | Case
    | Type
    | Origin
    | PieceException
    | Fittings
    | Shares
    | Asking
    | Answers
    | Together
    | Misleading
    | Withdraw
    | Slot
    | Remark
)


@dataclass(frozen=True, slots=True)
class Book:
    """All entries of one rule file, in order.

    `broken` holds (kind, name) of entries that lost a line, or all, to a problem: what is
    not found in them may yet stand in the text.
    """

    file: str
    entries: tuple[Entry, ...]
    broken: tuple[tuple[str, str], ...] = field(default=(), compare=False)
