"""What stands on a piece: makers and their marks, registers of numbers, marks of metal."""

from __future__ import annotations

from typing import Literal

from markrules.frozen import dataclass
from markrules.language.entries.citing import Cite
from markrules.language.spans import Named, Span, its_span
from markrules.language.windows import Spread, Window


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
    """A maker, when it worked, and each variant of its mark.

    `pieces` is how its surviving pieces lie over the years; None where that is not known.
    """

    name: str
    title: str
    city: str = ""
    country: str = ""
    works: Window | None = None
    pieces: Spread | None = None
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
