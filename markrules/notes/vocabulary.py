"""All words that a note may use, gathered once from a knowledge base."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import PLAIN
from markrules.language.builtin import BUILT_IN_FEATURES, COLOUR, STATED_CONDITION
from markrules.language.conditions import (
    And,
    AtLeast,
    Condition,
    Is,
    IsNot,
    IsSeen,
    Not,
    Or,
    Says,
    atoms,
)
from markrules.language.tree import CUT_IN, DAMAGE_ROLES, OF_PEOPLE, Feature, Wording
from markrules.late import late
from markrules.notes.folding import Folding, plain, singular, verb_forms
from markrules.notes.making import (
    Making,
    false_makings,
    making_of,
    spelled_out,
)
from markrules.notes.remarks import Remarks, remarks_of
from markrules.notes.saying import Said
from markrules.notes.senses import Phrases, Sense, by_first_letter
from markrules.notes.tokens import phrase_of

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
METAL_FEATURES = ("metal",)
"""Features whose words are of the outside only where a word of a coat follows."""
PICTURED_FEATURES = ("subject", "motif", "outline", COLOUR)
"""Features whose words are taken first: a beetle is one pictured rather than one used."""
DATE_LETTER, DATE_OFFICE = "date-letter", "hallmark-office"
"""A letter by itself is a date letter where the note also names an office."""
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
LITTLE = "little"
"""The role of fillers that are not worth telling of."""
NAMED_ROLES = (*DAMAGE_ROLES, "thing")
"""Roles of wordings whose names stand in the words of faults."""
THIRDS_OF_A_TIME = ("time-early", "time-middle", "time-late")
"""The wordings for the first third of a decade or a century, the middle one and the last."""
NOT_OF_NOTES = (
    "spelling",
    "number",
    "no-slip",
    "remark",
    "qualifier",
    "not-a-maker",
    "in-many-names",
    "none-of",
    "in-claims",
    "about-year",
    "between-years",
    "locates",
    "how-measured",
    "no-denial",
    "denied-through",
    "doubted-after",
    "no-claim",
    "no-claim-after",
    "as-told",
    "of-kinds",
    "of-this",
    "up-to",
    "half",
    "number-of",
    "number-after",
    "street",
    "fraction",
    "said-of-before",
    "condition",
    "beside-condition",
    "manner",
    "manner-after",
    "of-the-piece",
    "part-of-a-time",
    "as-written",
    *OF_PEOPLE,
    CUT_IN,
)
"""Roles of wordings that are no words of a note."""
_PARTNERS = late(r"([^\W\d_]{4,}) & ([^\W\d_]{4,})")
"""A firm of two names and nothing else: Whiting & Davis."""

_ABBREVIATION = late(r"([^\W\d_]+)\.")


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
        kept = base.workings.parts("notes", lambda: Gathered(base).to_keep())
        said = kept["words"]
        self._kept = kept
        self.folding = Folding(said["spellings"], said["numbers"])
        self.words = Phrases(self.folding, kept, "words")
        self.labels = Phrases(self.folding, kept, "labels")
        self.says = Phrases(self.folding, kept, "says")
        self.texts = Phrases(self.folding, kept, "texts")
        """What stands on pieces: what the rules ask for, numberings, makers' names and marks."""
        self.manners = Phrases(self.folding, kept, "manners")
        """What takes a maker's name beside it for a likeness, or denies it."""
        self.grades = Phrases(self.folding, kept, "grades")
        """What sellers call the state of a piece."""
        self.condition_words = frozenset(said["condition_words"])
        self.beside_condition = frozenset(said["beside_condition"])
        self.begins_grade = frozenset(said["begins_grade"])
        self.shades = Phrases(self.folding, kept, "shades")
        """The trade's names for colours of stones."""
        self.begins_shade = frozenset(said["begins_shade"])
        self.passed_over = frozenset(said["passed_over"])
        self.lead_words = frozenset(said["lead_words"])
        self.story = frozenset(said["story"])
        """Words behind which a note tells where the piece came from."""
        self.no_slips = frozenset(said["no_slips"])
        """Everyday words that are none of ours and no slip for one of them."""
        self.little = frozenset(said["little"])
        self.qualifiers = frozenset(said["qualifiers"])
        """Words, letters alone, that say that not all of a piece need be of the metal beside."""
        self.text_features = frozenset(said["text_features"])
        self.signs = {
            text: tuple(Sense(*each) for each in senses) for text, senses in said["signs"].items()
        }
        ranked = sorted(base.certainties.values(), key=lambda each: each.misread)
        self.certainty_rank = {each.name: rank for rank, each in enumerate(ranked)}
        self.sure = PLAIN if PLAIN in base.certainties or not ranked else ranked[0].name
        self.fairly_sure = ranked[len(ranked) // 2].name if ranked else "sure"
        self.least_sure = ranked[-1].name if ranked else "sure"
        self.segments: dict[tuple[str, bool, bool, bool, bool], Said] = {}
        self.corrections: dict[str, str] = {}

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
        letters = _letters(text)
        return len(letters) > 1 and letters in self.qualifiers

    @cached_property
    def asides(self) -> frozenset[str]:
        """Phrases, in lower case, that say something only of what stands before: `not sure`."""
        return frozenset(self._kept["words"]["asides"])

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
    def denials(self) -> frozenset[str]:
        """The words, in lower case, that deny."""
        return frozenset(self._kept["words"]["denials"])

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
        roles = (each for each in self.base.wordings.values() if each.role == "mark")
        return next((text for each in roles for text in each.words), "")

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
        return frozenset(self.fractions) | {
            fold for fold in self._kept["words"]["unit_words"] if len(fold) >= LONG_UNIT
        }

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
            {(damage, thing): tuple(faults) for damage, thing, faults in kept["of"]},
            kept["bare"],
            kept["counted"],
            kept["on"],
            kept["holds"],
            frozenset((*kept["holds"], *(one for each in kept["holds"].values() for one in each))),
            frozenset(kept["pieces"]),
            frozenset(kept["of_one"]),
            frozenset(kept["links"]),
        )

    @cached_property
    def remarks(self) -> Remarks:
        """What people remark on a piece, by the order of words."""
        kept = self.base.workings.parts("remarks", lambda: remarks_of(self.base, self.folding))
        return Remarks(kept, self.base, self.folding, self.passed_over)

    @cached_property
    def idle(self) -> frozenset[tuple[str, str]]:
        """Values, with their features, that only describe: no rule of a reading asks for them."""
        return frozenset(map(tuple, self._kept["making"]["idle"]))

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
        """For each feature of a material, what a false one makes."""
        return {name: (made[0], made[1]) for name, made in self._kept["making"]["false"].items()}

    @cached_property
    def abbreviations(self) -> frozenset[str]:
        """Words, in lower case, after which a full stop ends no sentence: PAT. PEND."""
        return frozenset(self._kept["words"]["abbreviations"])


class Gathered:
    """All words of a knowledge base, gathered from its entries."""

    def __init__(self, base: KnowledgeBase) -> None:
        """Gather all words of `base`."""
        self.base = base
        by_role: dict[str, list[Wording]] = {}
        for wording in base.wordings.values():
            by_role.setdefault(_role(wording), []).append(wording)
        self.by_role = by_role
        self.spellings, self.numbers = _spellings(by_role)
        self.folding = Folding(self.spellings, self.numbers)
        self.words = Phrases(self.folding)
        self.labels = Phrases(self.folding)
        self.says = Phrases(self.folding)
        self.texts = Phrases(self.folding)
        self.manners = Phrases(self.folding)
        self.grades = Phrases(self.folding)
        self.shades = Phrases(self.folding)
        self._verbs: list[tuple[str, Sense]] = []
        self._add_wordings(base)
        self._add_features(base)
        self._add_names(base)
        self._add_verbs()
        for text, sense in _asked_for(base):
            self.says.add(text, sense)
        for text, sense in (*_asked_for(base), *_numberings(base), *_names(base)):
            self.texts.add(text, sense)
        for role in ("manner", "manner-after"):
            for text in (each for wording in self._of_role(role) for each in wording.words):
                self.manners.add(text, Sense("role", role))
        for grade in base.grades.values():
            for text in (grade.name, *grade.also):
                self.grades.add(text, Sense("grade", grade.name))
        for shade in base.shades.values():
            for text in (shade.name, *shade.also):
                self.shades.add(text, Sense("shade", shade.name, shade.of.name))

    def to_keep(self) -> dict[str, Any]:
        """What a vocabulary asks for, in parts."""
        signs = {text: senses for text, senses in self.words.signs.items() if len(text) == 1}
        alike = by_first_letter(self.words.texts(), self.folding, shortest=4)
        said = {
            "spellings": self.spellings,
            "numbers": self.numbers,
            "condition_words": sorted(self._single_words("condition")),
            "beside_condition": sorted(self._single_words("beside-condition")),
            "begins_grade": sorted(self._begins_grade()),
            "begins_shade": sorted(
                phrase_of(text, self.folding)[0]
                for shade in self.base.shades.values()
                for text in (shade.name, *shade.also)
            ),
            "passed_over": sorted(self._single_words("filler", "count")),
            "little": sorted(self._little()),
            "story": sorted(self._single_words("story")),
            "no_slips": sorted(self._single_words("no-slip")),
            "qualifiers": sorted(
                {_letters(text) for each in self._of_role("qualifier") for text in each.words}
            ),
            "lead_words": sorted(self._single_words("mark", "mark-noun")),
            "text_features": sorted(
                each.name for each in self.base.features.values() if each.kind == "text"
            ),
            "signs": signs,
            "abbreviations": sorted(self._abbreviations()),
            "asides": sorted(self._asides()),
            "denials": sorted(
                {text.casefold() for each in self._of_role("negation") for text in each.words}
            ),
            "falsehoods": sorted(
                {text.casefold() for each in self._of_role("false") for text in each.words}
            ),
            "as_written": self._as_written(),
            "parts_of_time": {
                fold: third
                for third, name in enumerate(THIRDS_OF_A_TIME)
                if name in self.base.wordings
                for text in self.base.wordings[name].words
                for fold in phrase_of(text, self.folding)[:1]
            },
            "of_the_piece": sorted(
                text.casefold() for each in self._of_role("of-the-piece") for text in each.words
            ),
            "ups": self._folded("up-to"),
            "halves": self._folded("half"),
            "numbers_of": self._folded("number-of"),
            "numbers_after": self._folded("number-after"),
            "streets": self._folded("street"),
            "fractions": self._fractions(),
            "joins": sorted(self._single_words("join")),
            "said_of_before": sorted(
                text.casefold() for each in self._of_role("said-of-before") for text in each.words
            ),
            "unit_words": sorted(self._single_words("unit")),
        }
        return {
            "words": said,
            "making": self._making(),
            **self.words.to_keep("words"),
            **self.labels.to_keep("labels"),
            **self.says.to_keep("says"),
            **self.texts.to_keep("texts"),
            **self.manners.to_keep("manners"),
            **self.grades.to_keep("grades"),
            **self.shades.to_keep("shades"),
            **{f"alike:{letter}{length}": words for (letter, length), words in alike.items()},
        }

    def _as_written(self) -> dict[str, list[list[list[str]]]]:
        """The phrases that count only as they are written, by their first fold."""
        found: dict[str, list[list[list[str]]]] = {}
        for wording in self._of_role("as-written"):
            for text in wording.words:
                folds = phrase_of(text, self.folding)
                found.setdefault(folds[0], []).append([folds, text.casefold().split()])
        return found

    def _fractions(self) -> list[list[Any]]:
        """The words for parts of a unit, as folds, the longest first, each with what it is."""
        found = []
        for wording in self._of_role("fraction"):
            above, below = wording.name.split("-")[-2:]
            for text in wording.words:
                found.append([phrase_of(text, self.folding), int(above) / int(below)])
        return sorted(found, key=lambda each: -len(each[0]))

    def _folded(self, role: str) -> list[list[str]]:
        """The phrases of a role, each as its folds, the longest first."""
        words = [text for wording in self._of_role(role) for text in wording.words]
        return sorted((phrase_of(text, self.folding) for text in words), key=len, reverse=True)

    def _making(self) -> dict[str, Any]:
        made = making_of(self.base)
        base = self.base
        roots = {piece.name for piece in base.pieces.values() if piece.under is None}
        return {
            "of": [[damage, thing, faults] for (damage, thing), faults in made.of.items()],
            "bare": made.bare,
            "counted": made.counted,
            "on": made.on,
            "holds": made.holds,
            "of_one": sorted(made.of_one),
            "links": sorted(self._single_words("link")),
            "pieces": sorted(
                words[0]
                for piece in base.pieces.values()
                for text in (piece.name, *piece.also)
                if len(words := phrase_of(text, self.folding)) == 1
            ),
            "false": false_makings(base),
            "within": {
                f"{feature.name}={value.name}": [each.name for each in value.within]
                for feature in base.features.values()
                for value in feature.values
                if value.within
            },
            "idle": sorted(_idle(base)),
            "together": sorted(_together(base)),
            "found_on": {
                feature.name: sorted(
                    {
                        name
                        for on in feature.on
                        for name in (on.name, *base.broader(on.name))
                        if name == on.name or name not in roots
                    }
                )
                for feature in base.features.values()
                if feature.on
            },
        }

    def _add_wordings(self, base: KnowledgeBase) -> None:
        for wording in base.wordings.values():
            if wording.role == "unit":
                sense = Sense("unit", wording.name.removeprefix("unit-"))
            elif wording.role in NOT_OF_NOTES:
                continue
            elif wording.role in NAMED_ROLES:
                sense = Sense("role", wording.role, wording.name)
            else:
                sense = Sense("role", _role(wording), wording.target.name if wording.target else "")
            for text in _texts(base, wording):
                self.words.add(text, sense)
                if wording.role == "label":
                    self.labels.add(text, sense)
                if wording.role in DAMAGE_ROLES:
                    self._verbs.extend((form, sense) for form in verb_forms(text))
        for certainty in base.certainties.values():
            for text in certainty.also:
                self.words.add(text, Sense("certainty", certainty.name))

    def _add_features(self, base: KnowledgeBase) -> None:
        for feature in base.features.values():
            if feature.name in BUILT_IN_FEATURES or feature.name in base.registers:
                continue
            self.words.add(feature.name, Sense("feature", feature.name))
            for text in feature.also:
                self.words.add(text, Sense("feature", feature.name))
            for value in feature.values:
                sense = Sense("value", feature.name, value.name)
                self.words.add(value.name, sense)
                for text in value.also:
                    if "{" not in text:
                        self.words.add(text, sense)

    def _add_names(self, base: KnowledgeBase) -> None:
        for piece in base.pieces.values():
            for text in (piece.name, *piece.also):
                self.words.add(text, Sense("piece", piece.name))
        composed = Composed(base, self.folding)
        little = self._single_words("negation") | self._little()
        for fault in base.faults.values():
            for text in (fault.name, *fault.also):
                if "{" in text or (
                    composed.makes(text, fault.name) and not composed.begins_as_value(text)
                ):
                    continue
                sense = Sense("value", "fault", fault.name)
                self.words.add(text, sense)
                phrase = text.replace("-", " ").split()
                # "missing stones" as well as "stones missing", but `pin no` is of what follows, and
                # `piece in` no piece in pieces
                if len(phrase) == 2 and little.isdisjoint(self.folding[word] for word in phrase):
                    self.words.add(f"{phrase[1]} {phrase[0]}", sense)

    def _add_verbs(self) -> None:
        """Further forms of words of damage, where they mean nothing else."""
        known = {self.folding[text] for text, _ in self.words.waiting() if text.isalpha()}
        for form, sense in self._verbs:
            if self.folding[form] not in known:
                self.words.add(form, sense)

    def _abbreviations(self) -> set[str]:
        texts = [text for text, _ in (*_asked_for(self.base), *_numberings(self.base))]
        texts += [
            text
            for each in self.base.features.values()
            if each.kind == "year"
            for text in each.also
        ]
        texts += [
            text
            for feature in self.base.features.values()
            for value in feature.values
            for text in value.also
            if ". " in text
        ]
        leads = (*self._of_role("mark"), *self._of_role("mark-noun"))
        texts += [text for each in leads for text in each.words if text.endswith(".")]
        return {
            found
            for text in texts
            if "." in text
            for found in _ABBREVIATION.findall(text.casefold())
        }

    def _asides(self) -> set[str]:
        """Words of doubt, of hearsay, and of letters not read, that mean nothing else."""
        texts = [text for each in self.base.certainties.values() for text in each.also]
        texts += [
            text for each in self._of_role("lost-letters") for text in each.words if " " in text
        ]
        texts += [text for each in self._of_role("told") for text in each.words]
        asides = {text.casefold() for text in texts}
        others = {
            text.casefold()
            for text, sense in self.words.waiting()
            if sense.kind not in ("certainty", "role")
        }
        return asides - others

    def _begins_grade(self) -> set[str]:
        """The first words of grades."""
        return {
            phrase_of(text, self.folding)[0]
            for grade in self.base.grades.values()
            for text in (grade.name, *grade.also)
        }

    def _little(self) -> set[str]:
        """The words, one by one, of wordings that part, join or mean nothing."""
        little = [each for each in self.base.wordings.values() if each.role == LITTLE]
        parting = [each for role in _PARTING for each in self._of_role(role)]
        return {
            word
            for each in (*little, *parting)
            for text in each.words
            for word in phrase_of(text, self.folding)
        }

    def _of_role(self, role: str) -> list[Wording]:
        return self.by_role.get(role, [])

    def _single_words(self, *roles: str) -> frozenset[str]:
        texts = [
            text for role in roles for each in self.by_role.get(role, ()) for text in each.words
        ]
        phrases = (phrase_of(text, self.folding) for text in texts)
        return frozenset(phrase[0] for phrase in phrases if len(phrase) == 1)


def _texts(base: KnowledgeBase, wording: Wording) -> Iterator[str]:
    """The texts of a wording: of damage, with what stands in braces spelled out."""
    for text in wording.words:
        if "{" not in text:
            yield text
        elif wording.role in DAMAGE_ROLES:
            yield from spelled_out(base, text)


class Composed:
    """Tells which words of faults are no more than a damage and its thing: `bent catch`.

    Such words are left to the reader, who finds both wherever they stand, denied or joined.
    """

    def __init__(self, base: KnowledgeBase, folding: Folding) -> None:
        """Gather the words of damage and of things."""
        self._folding = folding
        self._of = making_of(base).of
        self._damages: dict[tuple[str, ...], set[str]] = {}
        self._things: dict[tuple[str, ...], set[str]] = {}
        self._fillers: set[str] = set()
        self._values: set[tuple[str, ...]] = set()
        for wording in base.wordings.values():
            for text in _texts(base, wording):
                if wording.role == "thing":
                    self._things.setdefault(self._words(text), set()).add(wording.name)
                elif wording.role in DAMAGE_ROLES:
                    self._damages.setdefault(self._words(text), set()).add(wording.name)
                elif wording.role == LITTLE and " " not in text:
                    self._fillers.update(self._words(text))
        for feature in base.features.values():
            if feature.name not in BUILT_IN_FEATURES:
                said = [each for value in feature.values for each in value.also]
                self._values.update(map(self._words, said))
                for text in (*feature.also, *said):
                    self._things.setdefault(self._words(text), set()).add(feature.name)

    def begins_as_value(self, text: str) -> bool:
        """Whether the words of a fault go on where others end that tell how a thing was made:
        `pin glued on again`.
        """
        words = self._words(text)
        return any(words[:end] in self._values for end in range(2, len(words)))

    def makes(self, text: str, fault: str) -> bool:
        """Whether these words of a fault are a damage and a thing that make it and no other."""
        words = self._words(text)
        for cut in range(1, len(words)):
            before, behind = words[:cut], words[cut:]
            for thing, damage in ((before, behind), (behind, before)):
                if self._made(thing, damage, fault):
                    return True
        return False

    def _made(self, thing: tuple[str, ...], damage: tuple[str, ...], fault: str) -> bool:
        while damage and damage[0] in self._fillers and damage not in self._damages:
            damage = damage[1:]
        made = {
            each
            for harm in self._damages.get(damage, ())
            for name in self._things.get(thing, ())
            for each in self._of.get((harm, name), ())
        }
        return made == {fault}

    def _words(self, text: str) -> tuple[str, ...]:
        return tuple(phrase_of(text, self._folding))


def _role(wording: Wording) -> str:
    """The role of a wording: little words are fillers in all but the telling."""
    return "filler" if wording.role == LITTLE else wording.role


_PARTING = ("link", "join", "break", "times")


def _spellings(by_role: dict[str, list[Wording]]) -> tuple[dict[str, str], dict[str, str]]:
    """Other spellings of words, and number words, each mapped to its fold."""
    spellings: dict[str, str] = {}
    for wording in by_role.get("spelling", ()):
        for text in wording.words:
            first, *others = (plain(word) for word in text.split())
            for other in others:
                spellings[other] = spellings[singular(other)] = singular(first)
    numbers = {
        plain(text): str(number)
        for wording in by_role.get("number", ())
        for number, text in enumerate(wording.words)
    }
    return spellings, numbers


def _letters(text: str) -> str:
    return "".join(filter(str.isalpha, text.casefold()))


def _asked_for(base: KnowledgeBase) -> Iterator[tuple[str, Sense]]:
    """The texts that conditions look for on a piece."""
    for condition in _conditions(base):
        for text in _said(condition):
            yield text, Sense("says", text)


def _numberings(base: KnowledgeBase) -> Iterator[tuple[str, Sense]]:
    """The spellings of registers and of marks of metal content."""
    for register in base.registers.values():
        for text in register.reads:
            yield text, Sense("number", register.name)
    for mark in base.metal_marks.values():
        for text in mark.reads:
            yield text, Sense("number", mark.name)


def _names(base: KnowledgeBase) -> Iterator[tuple[str, Sense]]:
    """Makers' names and the texts of their marks."""
    for maker in base.makers.values():
        sense = Sense("maker", maker.name)
        yield maker.title, sense
        if partners := _PARTNERS.fullmatch(maker.title):  # people leave the sign out
            yield f"{partners[1]} {partners[2]}", sense
        for text in maker.also:
            yield text, sense
        for variant in maker.marks:
            if variant.text:
                yield variant.text, sense


def _conditions(base: KnowledgeBase) -> Iterator[Condition]:
    groups: tuple[Iterable[object], ...] = (
        base.clues.values(),
        base.findings.values(),
        base.signs.values(),
        base.faults.values(),
        base.cautions.values(),
    )
    for group in groups:
        for entry in group:
            condition = getattr(entry, "when", None)
            if condition is not None:
                yield condition


def _idle(base: KnowledgeBase) -> set[tuple[str, str]]:
    """The values of features that only describe which no rule of a reading asks for."""
    idle = {
        (feature.name, value.name)
        for feature in base.features.values()
        if feature.describes
        and feature.kind in ("choice", "many")
        and feature.name not in ("fault", STATED_CONDITION)
        for value in feature.values
    }
    asked: set[tuple[str, str]] = set()
    any_value: set[str] = set()
    for condition in _heeded(base):
        for atom, _ in atoms(condition):
            if isinstance(atom, (Is, IsNot)):
                asked.update((atom.feature.name, value.name) for value in atom.values)
            elif isinstance(atom, IsSeen):
                any_value.add(atom.feature.name)
    return {each for each in idle - asked if each[0] not in any_value}


def _together(base: KnowledgeBase) -> Iterator[tuple[str, str, str, str, str, str]]:
    """Two values that together mean a third, by the findings: a cameo and shell, a shell cameo."""
    for finding in base.findings.values():
        parts = finding.when.parts if isinstance(finding.when, And) else ()
        if finding.means is None or len(parts) != 2:
            continue
        feature, value = (each.name for each in finding.means)
        for one, other in (parts, parts[::-1]):
            if isinstance(one, Is) and isinstance(other, Is):
                for seen in one.values:
                    for said in other.values:
                        yield (
                            *(other.feature.name, said.name),
                            *(one.feature.name, seen.name),
                            *(feature, value),
                        )


def _heeded(base: KnowledgeBase) -> Iterator[Condition]:
    """All conditions from which something follows in a reading: advice is told elsewhere."""
    advice = {id(each.when) for each in base.findings.values() if each.advise is not None}
    yield from (each for each in _conditions(base) if id(each) not in advice)
    yield from (each.when for each in base.types.values())
    for situation in base.misleading.values():
        told = (situation.when, situation.told, situation.unless, situation.known)
        yield from (each for each in told if each is not None)


def _said(condition: Condition) -> Iterator[str]:
    """The texts that a condition asks for, however deep they stand."""
    if isinstance(condition, Says):
        yield from condition.texts
    elif isinstance(condition, (And, Or, AtLeast)):
        for part in condition.parts:
            yield from _said(part)
    elif isinstance(condition, Not):
        yield from _said(condition.part)
