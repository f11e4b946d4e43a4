"""All words that a note may use, gathered once from a knowledge base."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.kept_parts import ByWord
from markrules.knowledge.observation import PLAIN
from markrules.knowledge.workings import NO_MAKERS
from markrules.language.builtin import COLOUR
from markrules.language.tree import Feature, Maker
from markrules.notes.any_of import AnyOf
from markrules.notes.damage_ways import DamageWays, damage_ways_of
from markrules.notes.doings import DOINGS, Doings
from markrules.notes.folding import Folding, letters_alone, plain
from markrules.notes.making import MADE_OF_PAIRS, Making
from markrules.notes.remarks import Remarks, remarks_of
from markrules.notes.saying import Said
from markrules.notes.senses import Sense, SensePhrases
from markrules.notes.subject_words import SUBJECTS, Subjects, subjects_of
from markrules.notes.tokens import tokens_of

# The length of each unit in millimetres, or its mass in grams (international yard and pound
# agreement of 1959; the pennyweight is 1/20 troy ounce of 31.1034768 g; the metric carat is 0.2 g).
UNITS: dict[str, tuple[str, float]] = {
    "mm": ("length", 1.0),
    "cm": ("length", 10.0),
    "m": ("length", 1000.0),
    "in": ("length", 25.4),
    "ft": ("length", 304.8),
    "g": ("mass", 1.0),
    "oz": ("mass", 28.349523125),
    "dwt": ("mass", 1.55517384),
    "ct": ("carat", 0.2),
}
DEVICE_FEATURES = ("mark-device", "motif")
"""Features whose values, beside text on a piece, are devices of the mark."""
MARK_PREFIXES = ("mark-", "hallmark-", "date-letter")
"""Features named so tell of marks: their words are not the piece's, and the other way round."""
MARK_STATE = "mark-state"
"""The feature for how well a mark can be read: `worn`, which anything else may be too."""
MARK_FORM = "mark-form"
"""The feature for the form of a mark: `in a curve`, where anything else may be too."""
MARK_KIND = "mark-kind"
"""The feature for what kind of mark it is."""
STAMP = "stamp-or-mark"
"""The thing that a mark is, of which damage may be told."""
METAL_FEATURES = ("metal",)
"""Features whose words are of the outside only where a word of a coat follows."""
FINISH = "finish"
"""The feature for what lies on the metal of a piece."""
PICTURED_FEATURES = ("subject", "motif", "outline", COLOUR)
"""Features whose words are taken first: a beetle is one pictured rather than one used."""
DATE_LETTER, DATE_OFFICE = "date-letter", "hallmark-office"
"""A letter by itself is a date letter where the note also names an office."""
PLACED_FEATURES = (DATE_OFFICE, "style", "organic")
"""Features whose words, like those of pictures, name a place or an occasion where the note tells
where the piece came from: `bought in Chester`, `worn to a prom`."""
DEVICE_NOUN = "mark"
"""Makes a device of a picture: `leaf mark` is one in the rules where `leaf` is a motif."""
PLACE_FEATURES = ("mark-position", "mark-place")
"""Features that tell where on a piece its mark stands."""
WHOLE_SIZE = {"length": ("length", "width", "depth"), "mass": ("weight",)}
"""Features for bare measures of the whole piece, by dimension, for the largest figure first."""
SEVERAL_PIECES = ("set",)
"""Piece types that hold pieces of other types: whatever is found on one may be on them."""
PART_SIZE = "part-size"
"""The feature for a bare measure of something else in the same segment."""
LONG_UNIT = 4
"""Letters of a unit that is written in full: `an inch`, but not `a g`."""
HALLMARK_YEAR = "hallmark-year"
"""The feature for the year of a date letter."""
INSCRIPTION = "inscription"
"""The feature for what was cut in for an owner."""
INSCRIBED_YEAR = "inscribed-year"
"""The feature for a year that stands on the piece."""
LABEL_YEAR = "label-year"
"""The feature for a year on what came with the piece: its card, box or paper."""
PACKAGING_FEATURES = ("packaging",)
"""Features that tell what came with the piece."""
NO_YEAR = "no-year"
"""The feature for numbers that only look like years."""
TOLD_YEAR = "told-date"
"""The feature for a year that nothing connects with the piece but somebody's word."""


class Vocabulary:
    """The phrases of a knowledge base, ready to be looked up.

    `words` holds what describes a piece, `texts` what stands written on pieces. Wordings with
    the role `unit` are named `unit-cm` and so on; the texts of one with the role `number` stand
    for 0, 1, 2 ... in order; each text of one with the role `spelling` is a word followed by
    its other spellings.
    """

    def __init__(self, base: KnowledgeBase) -> None:
        """Take the words of `base` as they are kept, or gather them."""
        self.base = base
        kept = base.workings.parts("notes", lambda: _gathered(base))
        said = kept["words"]
        self._kept = kept
        self.folding = Folding(said["spellings"], said["numbers"])
        self.misspelt: frozenset[str] = frozenset(said["misspelt"])
        self.words = SensePhrases(self.folding, kept, "words")
        self.labels = SensePhrases(self.folding, kept, "labels")
        self.says = SensePhrases(self.folding, kept, "says")
        self.texts = SensePhrases(self.folding, kept, "texts")
        """What stands on pieces: what the rules ask for, numberings, makers' names and marks."""
        self.manners = SensePhrases(self.folding, kept, "manners")
        """What takes a maker's name beside it for a likeness, or denies it."""
        self.grades = SensePhrases(self.folding, kept, "grades")
        """What sellers call the state of a piece."""
        self.condition_words = frozenset(said["condition_words"])
        self.beside_condition = frozenset(said["beside_condition"])
        self.begins_grade = frozenset(said["begins_grade"])
        self.shades = SensePhrases(self.folding, kept, "shades")
        """The trade's names for colours of stones."""
        self.begins_shade = frozenset(said["begins_shade"])
        self.passed_over = frozenset(said["passed_over"])
        self.lead_words = frozenset(said["lead_words"])
        self.story = frozenset(said["story"])
        """Words behind which a note tells where the piece came from."""
        self.no_slips = frozenset(said["no_slips"])
        """Everyday words that are none of ours and no slip for one of them."""
        self.no_name_ends = tuple(said["no_name_ends"])
        """Endings, in lower case, of words that are no names."""
        self.little = frozenset(said["little"])
        self.begins_damage = frozenset(said["begins_damage"])
        """Words with which words of damage begin, two or more."""
        self.qualifiers = frozenset(said["qualifiers"])
        """Words, letters alone, that say that not all of a piece need be of the metal beside."""
        self.metal_parts = frozenset(said["metal_parts"])
        """Words for parts of which a fineness right before may tell, and of nothing else."""
        self.parts_in_words = frozenset(tuple(each) for each in said["parts_in_words"])
        """The same and phrases for such parts, word by word."""
        self.text_features = frozenset(said["text_features"])
        self.signs = {
            text: tuple(Sense(*each) for each in senses) for text, senses in said["signs"].items()
        }
        ranked = sorted(base.certainties.values(), key=lambda each: each.misread)
        self.certainty_rank = {each.name: rank for rank, each in enumerate(ranked)}
        self.sure = PLAIN if PLAIN in base.certainties or not ranked else ranked[0].name
        self.fairly_sure = ranked[len(ranked) // 2].name if ranked else "sure"
        self.least_sure = ranked[-1].name if ranked else "sure"
        self.segments: dict[tuple[str, bool, bool, bool, bool, str], Said] = {}
        self.corrections: dict[str, tuple[str, ...]] = {}

    @cached_property
    def device_words(self) -> frozenset[str]:
        """Single words for the small pictures that stand in marks."""
        return frozenset(
            text
            for name in DEVICE_FEATURES
            if name in self.base.features
            for value in self.base.features[name].values
            for text in (value.name, *value.also)
            if text.isalpha()
        )

    def is_qualifier(self, text: str) -> bool:
        """Whether a text is a word that qualifies a metal beside it, whatever stops it has."""
        letters = letters_alone(text)
        return len(letters) > 1 and letters in self.qualifiers

    @cached_property
    def hallmark_leads(self) -> AnyOf | None:
        """Finds words that lead to what a hallmark shows: `hallmarked with a`."""
        return self._any_of("hallmark_leads", r"(?:\s*:)?(?:\s+(?:an?|the))?\s+")

    @cached_property
    def hallmark_words(self) -> AnyOf | None:
        """Finds words for hallmarks, whatever stands behind them: `hallmarked each link`."""
        return self._any_of("hallmark_leads")

    @cached_property
    def histories(self) -> AnyOf | None:
        """Finds words by which a sentence tells of no piece: `was founded`."""
        return self._any_of("histories")

    @cached_property
    def in_hand(self) -> AnyOf | None:
        """Finds words by which a sentence tells of the piece all the same: `this`."""
        return self._any_of("in_hand")

    @cached_property
    def set_phrases(self) -> AnyOf | None:
        """Finds words that together mean something else than each of them: `a marriage gift`."""
        return self._any_of("set_phrases")

    @cached_property
    def elsewhere(self) -> AnyOf | None:
        """Finds words from which on a stretch tells of other things: `shown next to`."""
        return self._any_of("elsewhere")

    @cached_property
    def back_again(self) -> AnyOf | None:
        """Finds words by which such a stretch comes back to the piece: `marked`."""
        return self._any_of("back_again")

    @cached_property
    def turns_back(self) -> AnyOf | None:
        """Finds words such as `but`, behind which something else is said."""
        return self._any_of("turns_back")

    def _any_of(self, kept: str, behind: str = r"\b") -> AnyOf | None:
        by_first: Mapping[str, Sequence[str]] = self._kept["words"][kept]
        return AnyOf(by_first, behind) if by_first else None

    def is_text(self, text: str) -> bool:
        """Whether the whole of a text is one that the rules know to stand on pieces: STERLING."""
        tokens = tokens_of(text, self.folding)
        known = self.texts.longest(tokens.folded, tokens.numeric, 0) if tokens else None
        return known is not None and known[0] == len(tokens)

    @cached_property
    def asides(self) -> frozenset[str]:
        """Phrases, in lower case, that say something only of what stands before: `not sure`."""
        return frozenset(self._kept["words"]["asides"])

    @cached_property
    def given_names(self) -> frozenset[str]:
        """Names, folded, that may be an owner's though a maker signs with them: Robert."""
        return frozenset(self._kept["words"]["given_names"])

    @cached_property
    def parts_of_time(self) -> Mapping[str, int]:
        """The third of a decade or century, from 0, that a word right before it tells: `early`."""
        found: Mapping[str, int] = self._kept["words"]["parts_of_time"]
        return found

    @cached_property
    def of_the_piece(self) -> frozenset[str]:
        """Phrases, in lower case, that alone say something of the whole piece: `modern`."""
        return frozenset(self._kept["words"]["of_the_piece"])

    @cached_property
    def as_written(self) -> Mapping[str, list[list[list[str]]]]:
        """Phrases that count only as they are written, by their first fold: folds and words."""
        found: Mapping[str, list[list[list[str]]]] = self._kept["words"]["as_written"]
        return found

    @cached_property
    def joins(self) -> frozenset[str]:
        """Single words that set one thing beside another: `and`, `or`."""
        return frozenset(self._kept["words"]["joins"])

    @cached_property
    def said_of_before(self) -> frozenset[str]:
        """Words, in lower case, that alone between commas are said of what stands before."""
        return frozenset(self._kept["words"]["said_of_before"])

    @cached_property
    def excepting(self) -> frozenset[str]:
        """Words, in lower case, behind which stands what is not as was said."""
        return frozenset(self._kept["words"]["excepting"])

    @cached_property
    def relatives(self) -> frozenset[str]:
        """Words, in lower case, that begin a clause about what stands right before: `which`."""
        return frozenset(self._kept["words"]["relatives"])

    @cached_property
    def losses(self) -> frozenset[str]:
        """Words, in lower case, with which begins what is said of things that are gone: `missing`,
        `without` its.
        """
        wordings = self.base.wordings
        first = (
            text.casefold().partition(" ")[0]
            for name in self.making.counted
            for text in (wordings[name].words if name in wordings else ())
        )
        return frozenset(each for each in first if len(each) >= LONG_UNIT)

    @cached_property
    def likewise(self) -> tuple[str, ...]:
        """Words, in lower case, by which what was told before is said of something else as well."""
        return tuple(self._kept["words"]["likewise"])

    @cached_property
    def denials(self) -> frozenset[str]:
        """The words, in lower case, that deny."""
        return frozenset(self._kept["words"]["denials"])

    @cached_property
    def doings(self) -> Doings:
        """Words by which denials of what somebody does are told from those of things."""
        return Doings(*(frozenset(self._kept["words"]["doings"][role]) for role in DOINGS))

    @cached_property
    def subjects(self) -> Subjects:
        """Words by which the subjects of clauses are told apart."""
        kept = self._kept["words"]
        return subjects_of(
            [frozenset(kept["subjects"][role]) for role in SUBJECTS], frozenset(kept["kin"])
        )

    @cached_property
    def goings_on(self) -> tuple[str, ...]:
        """What a bare no to a question may go on with, in lower case: `just a`, `as far as`."""
        return tuple(self._kept["words"]["goings_on"])

    @cached_property
    def within(self) -> Mapping[str, Sequence[str]]:
        """For `feature=value` the features that its own words tell of too."""
        found: Mapping[str, Sequence[str]] = self._kept["making"]["within"]
        return found

    @cached_property
    def falsehoods(self) -> frozenset[str]:
        """The words, in lower case, that tell that a material is not the real one."""
        return frozenset(self._kept["words"]["falsehoods"])

    @cached_property
    def mark_word(self) -> str:
        """The first word after which text on the piece stands."""
        return next(iter(self.base.words_of("mark")), "")

    @cached_property
    def ups(self) -> tuple[tuple[str, ...], ...]:
        """Words between the two ends of what is measured, folded, the longest first: `to`."""
        return self._phrases("ups")

    @cached_property
    def halves(self) -> tuple[tuple[str, ...], ...]:
        """Words for one half more behind a number, folded, the longest first: `and a half`."""
        return self._phrases("halves")

    @cached_property
    def numbers_of(self) -> tuple[tuple[str, ...], ...]:
        """Words before a number that is no year, folded, the longest first: `shape no`."""
        return self._phrases("numbers_of")

    @cached_property
    def numbering(self) -> frozenset[str]:
        """The words that may stand right before such a number, with a stop: `inv.`, `nr.`."""
        return frozenset(phrase[-1] for phrase in self.numbers_of)

    @cached_property
    def numbers_after(self) -> tuple[tuple[str, ...], ...]:
        """Words behind a number that is no year, folded, the longest first: `lire`."""
        return self._phrases("numbers_after")

    @cached_property
    def streets(self) -> tuple[tuple[str, ...], ...]:
        """Words for streets, folded: a number before them is that of a house."""
        return self._phrases("streets")

    @cached_property
    def fractions(self) -> dict[str, list[tuple[list[str], float]]]:
        """Words for parts of a unit, folded, the longest first, by their first: `three quarters
        of an`, 0.75.
        """
        found: dict[str, list[tuple[list[str], float]]] = {}
        for words, part in self._kept["words"]["fractions"]:
            found.setdefault(words[0], []).append((words, part))
        return found

    @cached_property
    def begins_measure(self) -> frozenset[str]:
        """The first words of a measure that is told without figures: `quarter`, `an`, `inch`."""
        return frozenset(self.fractions) | self.long_units

    @cached_property
    def long_units(self) -> frozenset[str]:
        """Names of units, folded, that are no letters of a mark: `inch`, not `g`."""
        return frozenset(
            fold for fold in self._kept["words"]["unit_words"] if len(fold) >= LONG_UNIT
        )

    def _phrases(self, name: str) -> tuple[tuple[str, ...], ...]:
        return tuple(map(tuple, self._kept["words"][name]))

    def feature(self, name: str) -> Feature | None:
        """The feature of that name, if the rules hold it."""
        return self.base.features.get(name)

    def alike(self, letter: str, length: int) -> Sequence[str]:
        """The words that describe with this first letter and length, for spelling slips."""
        found: Sequence[str] = self._kept.get(f"alike:{letter}{length}", ())
        return found

    @cached_property
    def making(self) -> Making:
        """Which faults are made of which words of damage and things."""
        kept = self._kept["making"]
        return Making(
            ByWord(self._kept[MADE_OF_PAIRS]),
            kept["bare"],
            kept["counted"],
            kept["on"],
            kept["holds"],
            frozenset((*kept["holds"], *(one for each in kept["holds"].values() for one in each))),
            frozenset(kept["pieces"]),
            frozenset(kept["of_one"]),
            frozenset(kept["links"]),
            frozenset(kept["nouns"]),
            self.of_the_piece,
            {word: tuple(damages) for word, damages in kept["bare_words"].items()},
            frozenset(kept["told_of_parts"]),
            tuple(kept["of_types"]),
            frozenset(kept["of_such_pieces"]),
        )

    @cached_property
    def remarks(self) -> Remarks:
        """What people remark on a piece, by the order of words."""
        kept = self.base.workings.parts(
            "remarks", lambda: remarks_of(self.base, self.folding), apart_from=NO_MAKERS
        )
        return Remarks(kept, self.base, self.folding, self.passed_over)

    @cached_property
    def damage_ways(self) -> DamageWays:
        """Ways of telling damage by the order of words."""
        kept = self.base.workings.parts(
            "damage-ways", lambda: damage_ways_of(self.base, self.folding), apart_from=NO_MAKERS
        )
        return DamageWays(kept, self.base, self.folding, self.passed_over)

    @cached_property
    def idle(self) -> frozenset[tuple[str, str]]:
        """Values, with their features, that only describe: no rule of a reading asks for them."""
        return frozenset(map(tuple, self._kept["making"]["idle"]))

    @cached_property
    def unnamed(self) -> frozenset[tuple[str, str]]:
        """Values, with their features, that tell of a feature no more than its bare word does."""
        return frozenset(map(tuple, self._kept["making"]["unnamed"]))

    @cached_property
    def renewed(self) -> dict[str, list[str]]:
        """For each fault that tells of a later part, the things and features it tells of."""
        kept: dict[str, list[str]] = self._kept["making"]["stand_ins"]
        return kept

    @cached_property
    def together(self) -> dict[tuple[str, str], dict[tuple[str, str], tuple[str, str]]]:
        """For a value, with its feature, what it means together with others that were seen."""
        found: dict[tuple[str, str], dict[tuple[str, str], tuple[str, str]]] = {}
        for name, said, feature, seen, *meant in self._kept["making"]["together"]:
            found.setdefault((name, said), {})[feature, seen] = (meant[0], meant[1])
        return found

    @cached_property
    def found_on(self) -> dict[str, frozenset[str]]:
        """For each feature that not every piece has, the types it is found on, and broader ones
        of those but for the broadest, under which all stand.
        """
        return {name: frozenset(types) for name, types in self._kept["making"]["found_on"].items()}

    @cached_property
    def false(self) -> dict[str, tuple[str, str]]:
        """For each feature of a material but metal, what a false one makes."""
        kept = self._kept["making"]["false"]
        return {name: (*made,) for name, made in kept.items() if name not in METAL_FEATURES}

    @cached_property
    def materials(self) -> frozenset[str]:
        """The features of materials of which the rules say what a false one is, and of those."""
        return frozenset((*self.false, *(feature for feature, _ in self.false.values())))

    @cached_property
    def false_metal(self) -> tuple[str, str] | None:
        """What a false metal makes, where the rules tell."""
        kept = self._kept["making"]["false"]
        return next(((*kept[name],) for name in METAL_FEATURES if name in kept), None)

    @cached_property
    def before_names(self) -> Mapping[str, list[list[str]]]:
        """What a name stands behind, as folds, by their last: `signed`, `made by`."""
        found: dict[str, list[list[str]]] = {}
        for words in self._kept["words"]["before_names"]:
            found.setdefault(words[-1], []).append(words)
        return found

    @cached_property
    def first_words_in_s(self) -> frozenset[str]:
        """The first words of all that makers are called and struck, of those that end in `s`."""
        firsts = (
            text.split()[0]
            for maker in self.base.makers.values()
            for text in texts_of(maker)
            if text.split()
        )
        return frozenset(plain(word) for word in firsts if word[-1] in "sS")

    @cached_property
    def parted_names(self) -> Mapping[str, list[list[str]]]:
        """Makers' names that hold a comma or a full stop, as folds, by their first."""
        found: dict[str, list[list[str]]] = {}
        for words in self._kept["words"]["parted_names"]:
            found.setdefault(words[0], []).append(words)
        return found

    @cached_property
    def abbreviations(self) -> frozenset[str]:
        """Words, in lower case, after which a full stop ends no sentence: PAT. PEND."""
        return frozenset(self._kept["words"]["abbreviations"])


def _gathered(base: KnowledgeBase) -> dict[str, Any]:
    """All words of a knowledge base, gathered anew: what is kept is seldom not there."""
    from markrules.notes.gathering import Gathered

    return Gathered(base).to_keep()


def texts_of(maker: Maker) -> Iterator[str]:
    """What a maker is called and what it struck, as written."""
    yield maker.title.partition(" (")[0]
    yield from maker.also
    yield from (mark.text for mark in maker.marks)
