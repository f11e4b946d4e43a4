"""A small knowledge base for notes, the shipped one, and observations told in one line each."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from engine_numbers import setting_entries
from shipped_base import shipped_reader

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.builtin import with_built_in
from markrules.language.conditions import Says
from markrules.language.spans import Named
from markrules.language.tree import (
    Certainty,
    Clue,
    Fault,
    Feature,
    Maker,
    Mark,
    Piece,
    Register,
    Trust,
    Value,
    Wording,
)
from markrules.language.windows import Window
from markrules.notes.understanding import Understanding, Vocabulary, understand

RULES = Path(__file__).parents[2] / "rules"


def _wordings() -> list[Wording]:
    roles = {
        "filler": "a an the is are was of to it some all very slightly by type about on",
        "link": "with in on of to under for over",
        "join": "and or",
        "break": "but",
        "negation": "no not without",
        "after-negation": "missing",
        "mark": "marked stamped signed engraved",
        "mark-noun": "mark marks initials",
        "label": "card",
        "told": "told grandmother",
        "count": "several",
        "times": "by",
        "describing": "centre reverse",
    }
    wordings = [Wording(role, role, tuple(words.split())) for role, words in roles.items()]
    units = {"cm": "cm", "mm": "mm", "in": "in inch inches", "g": "g grams", "oz": "oz"}
    wordings += [
        Wording(f"unit-{name}", "unit", tuple(words.split())) for name, words in units.items()
    ]
    return [
        *wordings,
        Wording("numbers", "number", ("zero", "one", "two", "three")),
        Wording("spellings", "spelling", ("jewelry jewellery", "color colour", "leaf leaves")),
        Wording("months", "filler", ("Mar", "July")),
        Wording("unmarked", "absent", ("unmarked", "unsigned"), Named("mark")),
        Wording("maker-nouns", "mark-noun", ("maker's mark", "date letter")),
    ]


def _features() -> list[Feature]:
    brooch, earrings = (Named("brooch"),), (Named("earrings"),)
    return [
        Feature(
            "catch",
            also=("catch",),
            on=brooch,
            values=(
                Value("rollover", also=("safety catch", "locking c"), share=0.3),
                Value("c-catch", also=("c clasp",), share=0.3),
            ),
        ),
        Feature("clasp", also=("clasp",), on=(Named("necklace"),), values=(Value("hook-clasp"),)),
        Feature("screw-brooch", on=brooch, values=(Value("screw", share=0.1),)),
        Feature("earring-back", on=earrings, values=(Value("screw-back", also=("screw",)),)),
        Feature("back-texture", also=("back",), values=(Value("textured"), Value("smooth"))),
        Feature("surface", "many", also=("surface",), values=(Value("plain", also=("textured",)),)),
        Feature("setting", "many", values=(Value("prong", also=("prong set",)), Value("glued"))),
        Feature("stone", "many", values=(Value("rhinestone"), Value("amethyst"))),
        Feature("enamel", also=("enamel",), values=(Value("cloisonne"),)),
        Feature("fitting", "many", values=(Value("safety-chain"),)),
        Feature("organic", "many", values=(Value("beetle-shell", also=("beetle",)),)),
        Feature("motif", "many", describes=True, values=(Value("insect", also=("beetle",)),)),
        Feature("mark-device", "many", describes=True, values=(Value("crown"),)),
        Feature("mark-form", "many", describes=True, values=(Value("script"),)),
        Feature(
            "mark-kind", "many", describes=True, values=(Value("maker", also=("maker's mark",)),)
        ),
        Feature("date-letter", "text", also=("date letter",), describes=True),
        Feature("length", "number", also=("long", "length"), unit="mm"),
        Feature("width", "number", also=("wide", "w"), unit="mm"),
        Feature("part-size", "number", unit="mm"),
        Feature("weight", "number", also=("weighs",), unit="g"),
        Feature("hallmark-year", "year", also=("hallmark for",)),
        Feature("inscribed-year", "year", also=("dated", "engraved")),
        Feature("copyright-year", "year", also=("©",)),
        Feature("told-date", "year", describes=True),
        Feature("told-maker", "text", describes=True),
    ]


@cache
def small_vocabulary() -> Vocabulary:
    """A vocabulary over a few invented entries, enough for every road through a note."""
    pieces = [
        Piece("ornament"),
        Piece("brooch", ("pin",), Named("ornament")),
        Piece("bar-pin", (), Named("brooch")),
        Piece("earrings", ("earring",), Named("ornament")),
        Piece("locket", (), Named("ornament")),
        Piece("pendant", (), Named("ornament")),
    ]
    faults = [
        Fault("missing-stones", "…", ("stones missing",)),
        Fault("worn-plating", "…", ("plating worn",)),
    ]
    registers = [Register("us-patent", "US patents", "number", reads=("PAT #", "PAT. NO. #"))]
    made = Clue(
        "austria",
        Says(Named("mark"), ("AUSTRIA", "MADE IN AUSTRIA", "STERLING", "DENMARK")),
        Window(),
        Named("strong"),
        "…",
        (),
    )
    maker = Maker(
        "tillander", "Tillander & Daughters", also=("Tillander",), marks=(Mark("m", "TILLANDER"),)
    )
    features = {each.name: each for each in _features()}
    certainties = [
        Certainty("sure", 0.01),
        Certainty("fair", 0.15, ("probably", "looks like")),
        Certainty("guess", 0.4, ("maybe",)),
    ]
    base = KnowledgeBase(
        "test",
        settings=setting_entries(),
        trusts={"strong": Trust("strong", 0.06)},
        certainties={each.name: each for each in certainties},
        pieces={each.name: each for each in pieces},
        wordings={each.name: each for each in _wordings()},
        features=with_built_in(features, pieces, faults, (), registers),
        clues={"austria": made},
        faults={each.name: each for each in faults},
        makers={"tillander": maker},
        registers={each.name: each for each in registers},
    )
    return Vocabulary(base)


@cache
def shipped_vocabulary() -> Vocabulary:
    """The vocabulary of the rules beside the source."""
    return shipped_reader().vocabulary


def small(note: str) -> Understanding:
    """The note understood with the small base."""
    return understand(small_vocabulary(), note)


def shipped(note: str) -> Understanding:
    """The note understood with the shipped rules."""
    return understand(shipped_vocabulary(), note)


def lines(understanding: Understanding) -> list[str]:
    """Each observation in a line: `catch=rollover`, `not fitting=safety-chain`, `no mark`.

    A number stands after a colon; `~` and a certainty follow where it is not sure, `heard`
    where it was told.
    """
    return [_line(each) for each in understanding.observations]


def _line(each: Observation) -> str:
    head = {"seen": "", "absent": "no ", "ruled-out": "not ", "replaced": "later "}[
        each.state
    ] + each.feature
    value = "" if each.state == "absent" or each.number is not None else f"={each.value}"
    if each.feature == "fault":
        value = f"={each.value}"
    number = "" if each.number is None else f": {each.number:g}"
    sure = "" if each.certainty == "sure" else f" ~{each.certainty}"
    return f"{head}{value}{number}{sure}{' heard' if each.heard else ''}"
