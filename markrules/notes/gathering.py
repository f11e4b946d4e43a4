"""Gathers all words that a note may use from the entries of a knowledge base, to be kept."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.kept_parts import rows_by_word
from markrules.language.builtin import BUILT_IN_FEATURES, STATED_CONDITION
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
from markrules.language.roles import CUT_IN, DAMAGE_ROLES, OF_PEOPLE, RENEWAL, SPELLINGS
from markrules.language.slots import PART, PART_BEFORE
from markrules.language.spans import Named
from markrules.language.tree import Wording
from markrules.late import late
from markrules.notes.any_of import by_first_word
from markrules.notes.composed import LITTLE, Composed, texts_of
from markrules.notes.doings import DOINGS
from markrules.notes.folding import Folding, letters_alone, plain, singular, verb_forms
from markrules.notes.making import (
    MADE_OF_PAIRS,
    Making,
    false_makings,
    making_of,
    spelled_out,
)
from markrules.notes.senses import Sense, SensePhrases, by_first_letter
from markrules.notes.subject_words import SUBJECTS
from markrules.notes.tokens import Cut

NAMED_ROLES = (*DAMAGE_ROLES, "thing")
"""Roles of wordings whose names stand in the words of faults."""
THIRDS_OF_A_TIME = ("time-early", "time-middle", "time-late")
"""The wordings for the first third of a decade or a century, the middle one and the last."""
NOT_OF_NOTES = (
    "spelling",
    "misspelling",
    "number",
    "no-name-end",
    "no-slip",
    "relative",
    "done-to-it",
    "remark",
    "qualifier",
    "metal-part",
    "not-a-maker",
    "hallmark-said",
    "in-many-names",
    "given-name",
    "no-makers-way",
    "none-of",
    "in-claims",
    "about-year",
    "at-least",
    "between-years",
    "locates",
    "how-measured",
    "no-denial",
    "denied-through",
    "doubted-after",
    "answered-no",
    "stone-shape",
    "no-claim",
    "no-claim-after",
    "as-told",
    "of-kinds",
    "relative",
    "of-others",
    "history-told",
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
    "history",
    "in-hand",
    "goes-on",
    *DOINGS,
    "set-phrase",
    *SUBJECTS,
    "elsewhere",
    "back-again",
    *OF_PEOPLE,
    CUT_IN,
)
"""Roles of wordings that are no words of a note."""
_PARTNERS = late(r"([^\W\d_]{4,}) & ([^\W\d_]{4,})")
"""A firm of two names and nothing else: Whiting & Davis."""

_ABBREVIATION = late(r"([^\W\d_]+)\.")
_PARTED = late(r"\w,|[^\W\d_]{2}\. ?[\w&]")
_NAME_SHORTENED = late(r"([^\W\d_]{2,})\.\s+\w")
"""A name that begins with a shortened word: Chas. Thomae, Geo. W. Shiebler, St. John."""

_LEADS = ("mark", "mark-noun", "made-by")
"""Roles of words behind which a mark, or its maker's name, stands."""


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
        self.cut = Cut(self.folding)
        self.cut = Cut(self.folding)
        self.words = SensePhrases(self.folding)
        self.labels = SensePhrases(self.folding)
        self.says = SensePhrases(self.folding)
        self.texts = SensePhrases(self.folding)
        self.manners = SensePhrases(self.folding)
        self.grades = SensePhrases(self.folding)
        self.shades = SensePhrases(self.folding)
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
        for certainty in base.certainties.values():
            for text in certainty.also if certainty.by_ear else ():
                self.manners.add(text, Sense("certainty", certainty.name))
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
            "misspelt": sorted(
                word for text in self._texts("misspelling") for word in text.split()[1:]
            ),
            "numbers": self.numbers,
            "signs": signs,
            **self._of_the_state(),
            **self._of_marks(),
            **self._of_other_things(),
            **self._of_measures(),
            **self._between_words(),
        }
        return {
            "words": said,
            "making": self._making(),
            MADE_OF_PAIRS: rows_by_word(making_of(self.base).of),
            **self.words.to_keep("words", self.cut),
            **self.labels.to_keep("labels", self.cut),
            **self.says.to_keep("says", self.cut),
            **self.texts.to_keep("texts", self.cut),
            **self.manners.to_keep("manners", self.cut),
            **self.grades.to_keep("grades", self.cut),
            **self.shades.to_keep("shades", self.cut),
            **{f"alike:{letter}{length}": words for (letter, length), words in alike.items()},
        }

    def _of_the_state(self) -> dict[str, Any]:
        """Words for how a piece is, what is wrong with it and what colour its stones have."""
        return {
            "condition_words": sorted(self._single_words("condition")),
            "beside_condition": sorted(self._single_words("beside-condition")),
            "begins_grade": sorted(self._begins_grade()),
            "begins_shade": sorted(
                self.cut[text][0]
                for shade in self.base.shades.values()
                for text in (shade.name, *shade.also)
            ),
            "begins_damage": sorted(self._begins_damage()),
            "doings": {role: self._single_folds(role) for role in DOINGS},
            "subjects": {role: self._plain(role) for role in SUBJECTS},
            "kin": [*self._plain("kin"), *self._plain("elder")],
            "of_the_piece": self._texts("of-the-piece"),
            "likewise": self._texts("likewise"),
        }

    def _of_marks(self) -> dict[str, Any]:
        """Words that lead to a mark, stand beside one, or name who made the piece."""
        return {
            "lead_words": sorted(self._single_words("mark", "mark-noun")),
            "hallmark_leads": by_first_word(self._texts("hallmark-said")),
            "text_features": sorted(
                each.name for each in self.base.features.values() if each.kind == "text"
            ),
            "qualifiers": sorted(
                {letters_alone(text) for each in self._of_role("qualifier") for text in each.words}
            ),
            "metal_parts": sorted(self._single_words("metal-part")),
            "parts_in_words": sorted(
                self.cut[text] for each in self._of_role("metal-part") for text in each.words
            ),
            "before_names": self._before_names(),
            "parted_names": self._parted_names(),
            "no_name_ends": self._texts("no-name-end"),
        }

    def _of_other_things(self) -> dict[str, Any]:
        """Words by which a note turns to something else than the piece, and back to it."""
        return {
            "story": sorted(self._single_words("story")),
            "histories": by_first_word(self._texts("history")),
            "in_hand": by_first_word(self._texts("in-hand")),
            "set_phrases": by_first_word(self._texts("set-phrase")),
            "elsewhere": by_first_word(self._texts("elsewhere")),
            "back_again": by_first_word(self._texts("back-again")),
            "turns_back": by_first_word(self._texts("break")),
        }

    def _of_measures(self) -> dict[str, Any]:
        """Words that stand with numbers: of sizes, years, amounts and what is numbered."""
        return {
            "parts_of_time": {
                fold: third
                for third, name in enumerate(THIRDS_OF_A_TIME)
                if name in self.base.wordings
                for text in self.base.wordings[name].words
                for fold in self.cut[text][:1]
            },
            "ups": self._folded("up-to"),
            "halves": self._folded("half"),
            "fractions": self._fractions(),
            "unit_words": sorted(self._single_words("unit")),
            "numbers_of": self._folded("number-of"),
            "numbers_after": self._folded("number-after"),
            "streets": self._folded("street"),
        }

    def _between_words(self) -> dict[str, Any]:
        """Words that say little by themselves: they join, deny, except, or are passed over."""
        return {
            "passed_over": sorted(self._single_words("filler", "count") - self._begins_exception()),
            "little": sorted(self._little()),
            "no_slips": sorted(self._single_words("no-slip")),
            "abbreviations": sorted(self._abbreviations()),
            "as_written": self._as_written(),
            "asides": sorted(self._asides()),
            "given_names": sorted(self._single_words("given-name")),
            "joins": sorted(self._single_words("join")),
            "denials": self._texts("negation"),
            "goings_on": self._texts("goes-on"),
            "falsehoods": self._texts("false"),
            "said_of_before": self._texts("said-of-before"),
            "excepting": self._texts("exception"),
            "relatives": sorted(self._single_words("relative")),
        }

    def _as_written(self) -> dict[str, list[list[list[str]]]]:
        """The phrases that count only as they are written, by their first fold."""
        found: dict[str, list[list[list[str]]]] = {}
        for wording in self._of_role("as-written"):
            for text in wording.words:
                folds = self.cut[text]
                found.setdefault(folds[0], []).append([folds, text.casefold().split()])
        return found

    def _fractions(self) -> list[list[Any]]:
        """The words for parts of a unit, as folds, the longest first, each with what it is."""
        found = []
        for wording in self._of_role("fraction"):
            above, below = wording.name.split("-")[-2:]
            for text in wording.words:
                found.append([self.cut[text], int(above) / int(below)])
        return sorted(found, key=lambda each: -len(each[0]))

    def _folded(self, role: str) -> list[list[str]]:
        """The phrases of a role, each as its folds, the longest first."""
        words = [text for wording in self._of_role(role) for text in wording.words]
        return sorted((self.cut[text] for text in words), key=len, reverse=True)

    def _plain(self, role: str) -> list[str]:
        """The words of a role as they are written, in lower case."""
        return sorted({plain(text) for each in self._of_role(role) for text in each.words})

    def _single_folds(self, role: str) -> list[str]:
        """The phrases of a role as folded words with a blank between them."""
        return sorted(" ".join(words) for words in self._folded(role))

    def _making(self) -> dict[str, Any]:
        made = making_of(self.base)
        base = self.base
        roots = {piece.name for piece in base.pieces.values() if piece.under is None}
        return {
            "bare": made.bare,
            "counted": made.counted,
            "on": made.on,
            "holds": made.holds,
            "of_one": sorted(made.of_one),
            "links": sorted(self._single_words("link")),
            "bare_words": self._bare_words(made),
            "told_of_parts": sorted(made.told_of_parts),
            "of_types": sorted(types := set(_things_that_are_pieces(base))),
            "of_such_pieces": sorted(
                {damage for damage, thing in made.of if thing in types}
                - {damage for damage, thing in made.of if thing not in (*types, PART, PART_BEFORE)}
                - made.bare.keys()
            ),
            "unnamed": sorted(_unnamed(base)),
            "stand_ins": _renewed(base, made),
            "nouns": sorted(
                words[0]
                for name, features in made.holds.items()
                if features
                for text in base.wordings[name].words
                if "{" not in text and len(words := self.cut[text]) == 1
            ),
            "pieces": sorted(
                words[0]
                for piece in base.pieces.values()
                for text in (piece.name, *piece.also)
                if len(words := self.cut[text]) == 1
            ),
            "false": false_makings(base),
            "within": {of: [each.name for each in names] for of, names in _within(base) if names},
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

    def _bare_words(self, made: Making) -> dict[str, list[str]]:
        """For single words of a damage that is a fault by itself, folded, the damages."""
        found: dict[str, list[str]] = {}
        for wording in self.base.wordings.values():
            if wording.role not in DAMAGE_ROLES or wording.name not in made.bare:
                continue
            for text in texts_of(self.base, wording):
                words = self.cut[text]
                if len(words) == 1 and wording.name not in found.setdefault(words[0], []):
                    found[words[0]].append(wording.name)
        return found

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
            for text in texts_of(base, wording):
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
        composed = Composed(base, self.cut)
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
        leads = [each for role in _LEADS for each in self._of_role(role)]
        texts += [text for each in leads for text in each.words if text.endswith(".")]
        names = (
            each
            for maker in self.base.makers.values()
            for each in (maker.title, *maker.also, *(mark.text for mark in maker.marks))
        )
        begun = filter(None, (_NAME_SHORTENED.match(each.casefold()) for each in names))
        return {found[1] for found in begun} | {
            found
            for text in texts
            if "." in text
            for found in _ABBREVIATION.findall(text.casefold())
        }

    def _before_names(self) -> list[list[str]]:
        """The phrases behind which a name stands: `signed`, `made by`, `mark of`."""
        folds = {
            tuple(self.cut[text])
            for role in _LEADS
            for each in self._of_role(role)
            for text in each.words
        }
        return sorted(list(each) for each in folds if each and each[-1] not in ("a", "the"))

    def _parted_names(self) -> list[list[str]]:
        """The words of makers' names that hold a comma or a full stop, which ends none of them."""
        names = (
            text.partition(" (")[0]
            for maker in self.base.makers.values()
            for text in (maker.title, *maker.also)
        )
        return sorted(self.cut[text] for text in names if _PARTED.search(text))

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
            self.cut[text][0]
            for grade in self.base.grades.values()
            for text in (grade.name, *grade.also)
        }

    def _begins_damage(self) -> set[str]:
        found: set[str] = set()
        for wording in (each for role in DAMAGE_ROLES for each in self._of_role(role)):
            for text in texts_of(self.base, wording):
                phrase = self.cut[text]
                if len(phrase) > 1:
                    found.add(phrase[0])
        return found

    def _begins_exception(self) -> set[str]:
        """The first words of phrases that except, as folds: `fine other than the enamel` is no fine
        enamel.
        """
        breaks, excepts = (
            {text for wording in self._of_role(role) for text in wording.words}
            for role in ("break", "exception")
        )
        return {self.folding[text.partition(" ")[0]] for text in breaks & excepts}

    def _little(self) -> set[str]:
        """The words, one by one, of wordings that part, join or mean nothing."""
        little = [each for each in self.base.wordings.values() if each.role == LITTLE]
        parting = [each for role in _PARTING for each in self._of_role(role)]
        return {
            word for each in (*little, *parting) for text in each.words for word in self.cut[text]
        }

    def _of_role(self, role: str) -> list[Wording]:
        return self.by_role.get(role, [])

    def _texts(self, role: str) -> list[str]:
        """The texts of the wordings of a role, in small letters."""
        return sorted(
            {
                text.casefold()
                for each in self._of_role(role)
                for words in each.words
                for text in spelled_out(self.base, words)
            }
        )

    def _single_words(self, *roles: str) -> frozenset[str]:
        texts = [
            text for role in roles for each in self.by_role.get(role, ()) for text in each.words
        ]
        phrases = (self.cut[text] for text in texts)
        return frozenset(phrase[0] for phrase in phrases if len(phrase) == 1)


def _role(wording: Wording) -> str:
    """The role of a wording: little words are fillers in all but the telling."""
    return "filler" if wording.role == LITTLE else wording.role


_PARTING = ("link", "join", "break", "times")


def _spellings(by_role: dict[str, list[Wording]]) -> tuple[dict[str, str], dict[str, str]]:
    """Other spellings of words, and number words, each mapped to its fold."""
    spellings: dict[str, str] = {}
    for wording in (each for role in SPELLINGS for each in by_role.get(role, ())):
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
        bare = maker.title.partition(" (")[0]  # what stands in brackets only explains
        for text in dict.fromkeys((bare, *maker.also)):
            yield text, sense
            if " & " in text:  # people write the sign out, or leave it out
                yield text.replace(" & ", " and "), sense
            if partners := _PARTNERS.fullmatch(text):
                yield f"{partners[1]} {partners[2]}", sense
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


def _within(base: KnowledgeBase) -> Iterator[tuple[str, tuple[Named, ...]]]:
    """The features of which the words of each value and each fault may hold words."""
    for feature in base.features.values():
        yield from ((f"{feature.name}={value.name}", value.within) for value in feature.values)
    yield from ((f"fault={fault.name}", fault.within) for fault in base.faults.values())


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


def _things_that_are_pieces(base: KnowledgeBase) -> Iterator[str]:
    """The things of damage that are called as the first piece type they are found on: a watch."""
    for wording in base.wordings.values():
        if wording.role == "thing" and wording.on and wording.on[0].name in wording.words:
            yield wording.name


def _unnamed(base: KnowledgeBase) -> Iterator[tuple[str, str]]:
    """The values, with their features, that the bare word for the feature means: enamel."""
    for feature in base.features.values():
        for value in feature.values:
            if feature.name in value.also:
                yield feature.name, value.name


def _renewed(base: KnowledgeBase, made: Making) -> dict[str, list[str]]:
    """For each fault that tells of a later part, the things it tells of, with their features."""
    found: dict[str, set[str]] = {}
    for (damage, thing), faults in made.of.items():
        if base.wordings[damage].role == RENEWAL:
            for fault in faults:
                found.setdefault(fault, set()).update((thing, *made.holds.get(thing, ())))
    return {fault: sorted(things) for fault, things in found.items()}


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
