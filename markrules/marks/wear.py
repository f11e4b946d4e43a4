"""What stamping, casting and wear do to the letters of a mark: P(what was read | mark).

A reading is made from a struck mark M by this process, letter by letter from the left:

1.  The head is lost unnoticed with probability `head_lost`: then a run of letters is missing,
    each further one with probability `run_on`. The tail likewise with `tail_lost`.
2.  Each letter left is read. It is read as itself with probability 1 - `misread`; otherwise as
    another letter, by the measured table of confusions, and now and then as any letter.
3.  Inside, a letter is missing unnoticed with `missing`, each one after it with `missing_on`.
    A letter that is not there is read with `spurious`; a letter read twice, as a doubled
    strike shows it, with `doubled`.
4.  Two letters run together are read as one (RN as M, VV as W), by the measured table of merged
    letters times `merged`; or one is read as two, by the same table times `parted`.
5.  A letter is written as another that is heard alike with `by_ear` (K for C, E for A), a doubled
    one once with `ear_joined`, as is a pair for which one letter stands (PH, CK), and one letter
    twice, or as such a pair, with `ear_parted`; so is a mute E lost or added at the end. Which
    sound alike, `letter_sounds.json` tells.
6.  Two letters side by side are written down in the other order with `swapped`.
7.  A place that the reader wrote as unread stands for any letter, or with `no_letter` for a dot or
    a hyphen, which are no letters of a mark; the only one, behind the last letter, more often
    (`no_letter_last`), since it may say that the whole is doubted. A gap stands for a run of any
    length, each letter in it with probability `gap_on`.

How often such things happen unnoticed depends on how the mark was read: often where it was guessed
at, less often where the reader saw damage and wrote it down, and hardly ever where all was legible.

P(reading | mark) is the sum over all ways in which this process gives the reading, by dynamic
programming over (letters of the mark) x (places of the reading).
"""

from __future__ import annotations

import json
import os.path
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import field, fields, replace
from functools import cached_property, lru_cache
from typing import Any

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance, KnowledgeBase
from markrules.marks.letters import ALPHABET
from markrules.marks.reading_syntax import Cell

UNREAD_CHANCE = 0.1
"""P(a letter is written as unread). No number of the rules: it stands before every mark alike,
listed or not, so that no answer depends on it; it keeps what is computed a probability."""

LEAST_DOUBTED = 3
"""A `?` behind fewer letters is one of them: of `AB?` the third."""

_KNOWN = frozenset(ALPHABET)


def in_other_letters(cells: Sequence[Cell]) -> bool:
    """Whether a reading holds a letter that the models do not know: МАСТЕР, 東京."""
    return any(letter not in _KNOWN for cell in cells for letter, _ in cell.letters)


@dataclass(frozen=True, slots=True)
class WearRates:
    """The rates of the process above. For a worn mark that was guessed at each is the setting
    `wear-NAME`, with hyphens, of the rules.

    `any_letter` is the share of misreadings that the table does not tell, `turned_about` that of
    those taken from the table the other way round.
    """

    misread: Chance
    missing: Chance
    missing_on: Chance
    spurious: Chance
    doubled: Chance
    merged: Chance
    parted: Chance
    head_lost: Chance
    tail_lost: Chance
    run_on: Chance
    gap_on: Chance
    any_letter: Chance
    turned_about: Chance
    no_letter: Chance
    no_letter_last: Chance
    swapped: Chance
    by_ear: Chance
    ear_joined: Chance
    ear_parted: Chance

    def rarer(self, share: float) -> WearRates:
        """The rates with everything that goes wrong only that share as often."""
        kept = (
            "missing_on",
            "run_on",
            "gap_on",
            "any_letter",
            "turned_about",
            "no_letter",
            "no_letter_last",
        )
        return replace(
            self,
            **{
                each.name: share * getattr(self, each.name)
                for each in fields(self)
                if each.name not in kept
            },
        )

    def less_by_ear(self, share: float) -> WearRates:
        """The rates with that share of what is written as it is heard."""
        return replace(
            self,
            by_ear=share * self.by_ear,
            ear_joined=share * self.ear_joined,
            ear_parted=share * self.ear_parted,
        )

    def towards(self, worn: WearRates, doubt: float) -> WearRates:
        """The rates between these and those of `worn`: (1 - doubt) of these, doubt of those.

        The shares of misreadings are weighed by the misreadings that they are shares of.
        """
        wrong = (1 - doubt) * self.misread + doubt * worn.misread

        def share(own: float, other: float) -> float:
            if wrong <= 0:
                return own
            return ((1 - doubt) * self.misread * own + doubt * worn.misread * other) / wrong

        mixed = {
            each.name: (1 - doubt) * getattr(self, each.name) + doubt * getattr(worn, each.name)
            for each in fields(self)
        }
        mixed["any_letter"] = share(self.any_letter, worn.any_letter)
        mixed["turned_about"] = share(self.turned_about, worn.turned_about)
        return WearRates(**mixed)


@dataclass(frozen=True, slots=True)
class PartRates:
    """What befalls a mark that the reader saw to be damaged besides what was written down, each the
    setting `part-NAME`, or `part-worn-NAME` where what is left is worn too: a letter misread, an
    end lost, a letter inside lost.
    """

    misread: Chance
    end_lost: Chance
    letter_lost: Chance


@dataclass(frozen=True, slots=True)
class FullRates:
    """What befalls a mark read in full, each the setting `full-NAME`.

    `misread`: an eye takes a letter for one that looks like it; `slip`: a hand writes another one;
    `letter_lost` and `end_lost`; `missing_on`, `merged`, `parted`, `run_on` and `swapped` as in
    WearRates, and so `by_ear`, `ear_joined` and `ear_parted`.
    """

    misread: Chance
    slip: Chance
    letter_lost: Chance
    end_lost: Chance
    missing_on: Chance
    merged: Chance
    parted: Chance
    run_on: Chance
    swapped: Chance
    by_ear: Chance
    ear_joined: Chance
    ear_parted: Chance


@dataclass(frozen=True, slots=True)
class EarRates:
    """What befalls a name that is known by ear alone, each the setting `ear-NAME`: a letter written
    as one that is heard alike, a doubled one or a pair written as one, one letter as two, and a
    letter lost or put in.
    """

    letter: Chance
    joined: Chance
    parted: Chance
    letter_lost: Chance


def worn_rates(base: KnowledgeBase) -> WearRates:
    """The rates for a worn mark that was guessed at. Raises UnfitSetting."""
    return base.settings_as(WearRates, "wear-")


def rates_in_part(base: KnowledgeBase, worn: WearRates, of: str = "part-") -> WearRates:
    """The rates for a mark of which the reader saw that something is lost, and wrote it down; those
    of its kind, `of`. Runs are as long, and what is taken for what is as likely, as in a `worn`
    mark. Raises UnfitSetting.
    """
    part = base.settings_as(PartRates, of)
    return replace(
        worn.rarer(part.letter_lost / worn.missing),
        misread=part.misread,
        head_lost=part.end_lost,
        tail_lost=part.end_lost,
    )


def rates_by_ear(base: KnowledgeBase, full: WearRates) -> WearRates:
    """The rates for a name that was written as it was heard, in all else as one read in `full`.
    Raises UnfitSetting.
    """
    ear = base.settings_as(EarRates, "ear-")
    return replace(
        full,
        by_ear=ear.letter,
        ear_joined=ear.joined,
        ear_parted=ear.parted,
        missing=ear.letter_lost,
        spurious=ear.letter_lost,
    )


def rates_in_full(base: KnowledgeBase, worn: WearRates) -> WearRates:
    """The rates for a mark read in full; an eye errs as it does over a `worn` mark, if less often.
    Raises UnfitSetting.
    """
    full = base.settings_as(FullRates, "full-")
    wrong = full.misread + full.slip
    return replace(
        worn,
        missing_on=full.missing_on,
        merged=full.merged,
        parted=full.parted,
        run_on=full.run_on,
        swapped=full.swapped,
        by_ear=full.by_ear,
        ear_joined=full.ear_joined,
        ear_parted=full.ear_parted,
        misread=wrong,
        any_letter=full.slip / wrong,
        turned_about=worn.turned_about * full.misread / wrong,
        missing=full.letter_lost,
        spurious=full.letter_lost,
        doubled=full.letter_lost,
        head_lost=full.end_lost,
        tail_lost=full.end_lost,
    )


@dataclass(frozen=True, eq=False)
class WearModel:
    """Rates and tables. `confusions[a][b]` is P(b is read | a was struck, and misread);
    `merges["RN"]["M"]` is P(the pair looks more like the single letter | worn and set close).
    `sounds` are groups of letters that are heard alike, `heard` pairs, each with the single letters
    that are, and `mute` the letters that are not heard at an end.
    `otherwise` is the share of marks that befell something else, and their own model: a mark of
    which a part is lost may be sharp in what is left, or worn all over, so that letters read wrong
    come together.
    """

    confusions: Mapping[str, Mapping[str, float]]
    merges: Mapping[str, Mapping[str, float]]
    rates: WearRates
    otherwise: tuple[float, WearModel] | None = None
    sounds: tuple[str, ...] = ()
    heard: Mapping[str, str] = field(default_factory=dict)
    mute: str = ""
    _read: dict[str, dict[str, float]] = field(default_factory=dict, repr=False)
    _column: dict[str, tuple[dict[str, float], float]] = field(default_factory=dict, repr=False)
    _alike: dict[tuple[str, float], tuple[str, ...]] = field(default_factory=dict, repr=False)

    @cached_property
    def pairs_like(self) -> Mapping[str, tuple[tuple[str, float], ...]]:
        """For a letter: the pairs that may be read as it, each with its chance."""
        found: dict[str, list[tuple[str, float]]] = {}
        for pair, read_as in self.merges.items():
            for letter, likeness in read_as.items():
                share = likeness * self.rates.merged
                found.setdefault(letter, []).append((pair, share))
        if self.rates.ear_joined:
            for letter in ALPHABET:
                found.setdefault(letter, []).append((letter + letter, self.rates.ear_joined))
            for pair, letters in self.heard.items():
                for letter in letters:
                    share = self.rates.ear_joined / len(letters)
                    found.setdefault(letter, []).append((pair, share))
        return {letter: tuple(pairs) for letter, pairs in found.items()}

    def parts(self, first: str, second: str) -> Iterator[tuple[str, float]]:
        """The letters that two letters read may be one of, each with its chance."""
        for struck, likeness in self.merges.get(first + second, {}).items():
            yield struck, likeness * self.rates.parted
        if first == second or first + second in self.heard:
            for letter in self.heard.get(first + second, first):
                yield letter, self.rates.ear_parted

    def ends(self, first: str, second: str) -> Iterator[tuple[str, float]]:
        """The same of the two last letters read, the second of which may be one that is not heard
        at an end.
        """
        yield from self.parts(first, second)
        if second in self.mute and second != first and first + second not in self.heard:
            yield first, self.rates.ear_parted

    @cached_property
    def heard_as(self) -> Mapping[str, tuple[str, ...]]:
        """For a letter: the others that are heard alike."""
        return {
            letter: tuple(
                sorted(
                    {one for group in self.sounds if letter in group for one in group} - {letter}
                )
            )
            for letter in ALPHABET
        }

    def with_rates(
        self, rates: WearRates, otherwise: tuple[float, WearModel] | None = None
    ) -> WearModel:
        """The same tables with other rates."""
        return replace(self, rates=rates, otherwise=otherwise, _read={}, _column={}, _alike={})

    @property
    def shares(self) -> tuple[tuple[float, WearModel], ...]:
        """What may have befallen a mark, each with its share; they sum to 1."""
        if self.otherwise is None:
            return ((1.0, self),)
        share, other = self.otherwise
        return (1.0 - share, self), (share, other)

    @property
    def most_worn(self) -> WearModel:
        """The model under which most may have gone wrong."""
        return self.otherwise[1] if self.otherwise is not None else self

    def look_alikes(self, read: str, least: float) -> tuple[str, ...]:
        """The letters, other than itself, that are read as `read` in at least that share of
        their misreadings.
        """
        alike = self._alike.get((read, least))
        if alike is None:
            edge = least * self.rates.misread
            shares = ((a, self.read_as(a).get(read, 0.0)) for a in ALPHABET if a != read)
            alike = tuple(letter for letter, share in shares if share >= edge)
            self._alike[read, least] = alike
        return alike

    def read_from(self, read: str) -> tuple[Mapping[str, float], float]:
        """P(`read` is read, and nothing else happens | struck) for each letter struck, and for
        one that the tables do not know.
        """
        column = self._column.get(read)
        if column is None:
            whole = 1 - self.rates.missing - self.rates.spurious
            rest = whole * self.rates.misread / len(ALPHABET)
            chances = {
                a: whole * self.read_as(a).get(read, self.rates.misread / len(ALPHABET))
                for a in ALPHABET
            }
            chances[read] = whole * self.read_as(read).get(read, 1 - self.rates.misread)
            column = self._column[read] = (chances, rest)
        return column

    def read_as(self, struck: str) -> Mapping[str, float]:
        """P(each letter is read | `struck` was struck and is read as one letter); sums to 1."""
        shares = self._read.get(struck)
        if shares is None:
            shares = self._read[struck] = self._shares(struck)
        return shares

    def _shares(self, struck: str) -> dict[str, float]:
        rates = self.rates
        told = 1 - rates.any_letter - rates.turned_about
        row = self.confusions.get(struck, {})
        # Who takes C for G takes G for C: a table measured one way tells something of the other.
        back = {other: line.get(struck, 0.0) for other, line in self.confusions.items()}
        sums = (sum(row.values()) or 1.0, sum(back.values()) or 1.0)
        wrong = {
            letter: told * row.get(letter, 0.0) / sums[0]
            + rates.turned_about * back.get(letter, 0.0) / sums[1]
            + rates.any_letter / (len(ALPHABET) - 1)
            for letter in ALPHABET
            if letter != struck
        }
        scale = rates.misread / sum(wrong.values())
        shares = {a: p * scale for a, p in wrong.items()}
        alike = self.heard_as.get(struck, ()) if rates.by_ear else ()
        for letter in alike:
            shares[letter] += rates.by_ear / len(alike)
        right = 1 - rates.misread - (rates.by_ear if alike else 0.0)
        return {struck: right, **shares}


def wear_model(base: KnowledgeBase) -> WearModel:
    """The model of worn marks, with the rates of the rules. Raises UnfitSetting."""
    return _with_tables(worn_rates(base))


@lru_cache(maxsize=4)
def _with_tables(rates: WearRates) -> WearModel:
    """The model with the tables that come with the package, of looks and of sounds."""
    looks, sounds = map(_table, ("letter_confusions.json", "letter_sounds.json"))
    return WearModel(
        looks["confusions"],
        looks["merges"],
        rates,
        sounds=tuple(sounds["letters"]),
        heard=sounds["pairs"],
        mute=sounds["mute"],
    )


def _table(name: str) -> Any:
    with open(os.path.join(os.path.dirname(__file__), name), "rb") as file:
        return json.load(file)


@dataclass(frozen=True, eq=False)
class Compiled:
    """A reading made ready for scoring many marks.

    Everything below has one item for each place of the reading: `columns` the chances of the
    place by the letter struck, and the chance for a letter not named; `inserted` the chance
    that the place stands for nothing struck; `opened` that a letter of the mark goes missing
    after the place, and `kept_on` how much more likely that is in a run of missing letters.
    `has_gap` tells whether `opened` and `kept_on` differ from place to place. `joined` and
    `parted` tell for a struck pair, or letter, at which places it may stand merged, and `swapped`
    for a struck pair at which places it may stand in the other order, by the last of them.
    """

    cells: tuple[Cell, ...]
    model: WearModel
    columns: tuple[tuple[Mapping[str, float], float], ...]
    inserted: tuple[float, ...]
    opened: tuple[float, ...]
    kept_on: tuple[float, ...]
    has_gap: bool
    joined: Mapping[str, tuple[tuple[int, float], ...]]
    parted: Mapping[str, tuple[tuple[int, float], ...]]
    swapped: Mapping[str, tuple[tuple[int, float], ...]]
    _rows: dict[str, list[float]] = field(default_factory=dict, repr=False)

    def row(self, struck: str) -> list[float]:
        """The chance of each place, given the letter struck and nothing else happening."""
        chances = self._rows.get(struck)
        if chances is None:
            chances = [column.get(struck, rest) for column, rest in self.columns]
            self._rows[struck] = chances
        return chances


def compiled(model: WearModel, cells: Sequence[Cell]) -> Compiled:
    """The reading, made ready for `log_likelihood`."""
    rates = model.rates
    gaps = [cell.kind == "gap" for cell in cells]
    return Compiled(
        cells=tuple(cells),
        model=model,
        columns=tuple(_column(model, cell) for cell in cells),
        inserted=tuple(_inserted(model, cells, place) for place in range(len(cells))),
        opened=tuple(rates.gap_on if gap else rates.missing for gap in gaps),
        # Added to `opened`, which counts after every letter, gone or not: together `missing_on`.
        kept_on=tuple(0.0 if gap else rates.missing_on - rates.missing for gap in gaps),
        has_gap=any(gaps),
        joined=_joined(model, cells),
        parted=_parted(model, cells),
        swapped=_swapped(model, cells),
    )


def _column(model: WearModel, cell: Cell) -> tuple[Mapping[str, float], float]:
    """P(the reader writes this place | letter struck), up to a factor of the place alone."""
    rates = model.rates
    whole = 1 - rates.missing - rates.spurious
    if cell.kind == "gap":
        return {}, 0.0
    if cell.kind == "unread":
        return {}, whole * UNREAD_CHANCE
    if len(cell.letters) == 1 and cell.letters[0][1] == 1:
        return model.read_from(cell.letters[0][0])
    # A doubtful letter: as far as it is doubted it was misread, so the confusions speak alone.
    doubt = 1 - sum(weight for _, weight in cell.letters)
    chances: dict[str, float] = {}
    for letter, weight in cell.letters:
        straight, _ = model.read_from(letter)
        doubted = doubt / len(cell.letters) / rates.misread
        for struck, chance in straight.items():
            share = weight if struck == letter else weight + doubted
            chances[struck] = chances.get(struck, 0.0) + share * chance
    return chances, whole * rates.misread / len(ALPHABET)


def _inserted(model: WearModel, cells: Sequence[Cell], place: int) -> float:
    """The chance that this place stands for nothing: a scratch, or a doubled strike."""
    cell = cells[place]
    if cell.kind == "gap":
        return 1.0
    if cell.kind == "unread":
        alone = len(cells) > LEAST_DOUBTED and place == len(cells) - 1
        doubts = alone and all(each.kind == "letter" for each in cells[:-1])
        rate = model.rates.no_letter_last if doubts else model.rates.no_letter
        return rate * UNREAD_CHANCE
    stray = model.rates.spurious / len(ALPHABET)
    doubled = place > 0 and cell.letters == cells[place - 1].letters
    return stray + (model.rates.doubled if doubled else 0.0)


def _joined(model: WearModel, cells: Sequence[Cell]) -> dict[str, tuple[tuple[int, float], ...]]:
    """For a struck pair: the places where it may have been read as one letter."""
    found: dict[str, list[tuple[int, float]]] = {}
    for place, cell in enumerate(cells):
        for letter, weight in cell.letters:
            for pair, chance in model.pairs_like.get(letter, ()):
                found.setdefault(pair, []).append((place, weight * chance))
            if place == len(cells) - 1 and model.rates.ear_joined:
                for mute in model.mute.replace(letter, ""):
                    share = weight * model.rates.ear_joined
                    found.setdefault(letter + mute, []).append((place, share))
    return {pair: tuple(places) for pair, places in found.items()}


def _parted(model: WearModel, cells: Sequence[Cell]) -> dict[str, tuple[tuple[int, float], ...]]:
    """For a struck letter: the places that, with the one before, may be that letter read as two."""
    found: dict[str, list[tuple[int, float]]] = {}
    for place in range(1, len(cells)):
        for first, weight in cells[place - 1].letters:
            for second, other in cells[place].letters:
                likely = model.ends if place == len(cells) - 1 else model.parts
                for struck, chance in likely(first, second):
                    found.setdefault(struck, []).append((place, chance * weight * other))
    return {letter: tuple(places) for letter, places in found.items()}


def _swapped(model: WearModel, cells: Sequence[Cell]) -> dict[str, tuple[tuple[int, float], ...]]:
    """For a struck pair: the second of the places where it may stand in the other order."""
    found: dict[str, list[tuple[int, float]]] = {}
    for place in range(1, len(cells)):
        for first, weight in cells[place - 1].letters:
            for second, other in cells[place].letters:
                if first != second:
                    share = model.rates.swapped * weight * other
                    found.setdefault(second + first, []).append((place, share))
    return {pair: tuple(places) for pair, places in found.items()}
