"""Every kind of entry, in one table: its type, its field in the base, and the lines it may have.

Grammar, builder, messages, checks, cache, formatter, commands, editor and book read this table. A
new kind is an entry here, its type in `entries` (named in `tree`), a field of that type in the
base, and its meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from markrules.frozen import dataclass
from markrules.language import roles, tree

Take = Literal[
    "value",  # the value as it stands
    "word",  # a name, kept as a plain word
    "list",  # a comma list; a second line of the key adds to it
    "words",  # a comma list of names, kept as plain words
    "item",  # one item; each line of the key adds one
    "window",
    "spread",
    "flag",
    "role",
    "advice",
    "mending",
    "direction",
    "row",
    "part",
    "microns",
]


@dataclass(frozen=True, slots=True)
class Key:
    """One key: the field it fills and how, what stands after it, an example, the words allowed.

    `form` names a rule of `grammar.lark`, or several with `|` between; empty for a key that stands
    alone. Where `denied` is set, `not` may stand before that.
    """

    field: str
    take: Take
    form: str
    example: str
    choices: tuple[str, ...] = ()
    denied: bool = False


@dataclass(frozen=True, slots=True)
class PartOfEntry:
    """A part of an entry with lines of its own: its type, its keys, and those it must have."""

    type: type[Any]
    keys: Mapping[str, Key]
    required: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of entry: its type, the field of the base that holds such entries by name, its keys,
    and those of them that it must have.

    `width` is how wide the formatter sets its keys (0: not set). `named` is what stands after the
    word of the kind, `called` what the kind is called in words where that is not its word.
    """

    type: type[Any]
    field: str
    keys: Mapping[str, Key]
    required: tuple[str, ...] = ()
    width: int = 0
    named: str = "NAME"
    called: str = ""


def _text(field: str, example: str = '"…"') -> Key:
    return Key(field, "value", "text", example)


_WHY = _text("why")
_NOTE = _text("note")
_SAY = _text("say")
_CITE = Key("cites", "list", "cites", "common-practice")
_ALSO = Key("also", "list", "texts", '"pin", "broach"')
_WITHIN = Key("within", "list", "names", "plastic")
_ON = Key("on", "list", "names", "brooch, bar-pin")
_WHEN = Key("when", "value", "condition", "catch is rollover")
_REFIT = Key("refit", "value", "share", "12%")
_REUSE = Key("reuse", "value", "share", "1%")
_MISREAD = Key("misread", "value", "share", "6%")
_TITLE = _text("title")
_TRUST = Key("trust", "value", "NAME", "strong")
_SPREAD = Key("common", "spread", "spread", "1938 1943 1950, background 4%")
_FAMILY = Key("family", "value", "NAME", "pin-fastening")

KINDS: Mapping[str, Kind] = {
    "source": Kind(
        tree.Source,
        "sources",
        {
            "title": _TITLE,
            "author": _text("author"),
            "kind": Key("kind", "word", "NAME", "book", tree.SOURCE_KINDS),
            "year": Key("year", "value", "YEAR", "1911"),
            "where": _text("where"),
            "note": _NOTE,
        },
        ("title", "kind"),
        width=6,
    ),
    "trust": Kind(
        tree.Trust,
        "trusts",
        {
            "misread": _MISREAD,
            "why": _WHY,
            "cite": _CITE,
        },
        ("misread",),
    ),
    "certainty": Kind(
        tree.Certainty,
        "certainties",
        {
            "misread": _MISREAD,
            "by-ear": Key("by_ear", "value", "share", "60%"),
            "also": _ALSO,
            "why": _WHY,
        },
        ("misread",),
    ),
    "setting": Kind(
        tree.Setting,
        "settings",
        {
            "value": Key("value", "value", "number | share", "30"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("value", "why"),
    ),
    "family": Kind(
        tree.Family,
        "families",
        {
            "overlap": Key("overlap", "value", "share", "60%"),
            "why": _WHY,
        },
        ("overlap",),
    ),
    "prior": Kind(
        tree.Prior,
        "priors",
        {
            "origin": Key("origin", "value", "NAME", "box"),
            "on": _ON,
            "at": Key("points", "item", "point", "1955 6"),
            "common": _SPREAD,
            "why": _WHY,
            "cite": _CITE,
        },
        width=6,
    ),
    "commonness": Kind(
        tree.Commonness,
        "commonness",
        {
            "weight": Key("weight", "value", "number", "8"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("weight",),
    ),
    "esteem": Kind(
        tree.Esteem,
        "esteems",
        {
            "brings": Key("brings", "value", "number", "2"),
            "makers": Key("makers", "list", "names", "fenwick, larkspur"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("brings", "makers", "why", "cite"),
        width=6,
    ),
    "grade": Kind(
        tree.Grade,
        "grades",
        {
            "points": Key("points", "value", "number", "3"),
            "brings": Key("brings", "value", "share", "65%"),
            "also": _ALSO,
            "why": _WHY,
            "cite": _CITE,
        },
        ("points", "brings"),
        width=6,
    ),
    "shade": Kind(
        tree.Shade,
        "shades",
        {
            "of": Key("of", "value", "NAME", "yellow"),
            "looks": _text("looks", '"#E7D35A"'),
            "also": _ALSO,
            "why": _WHY,
            "cite": _CITE,
        },
        ("of", "looks"),
        width=5,
    ),
    "piece": Kind(
        tree.Piece,
        "pieces",
        {
            "also": _ALSO,
            "under": Key("under", "value", "NAME", "ornament"),
            "say": _SAY,
        },
        width=5,
        called="piece type",
    ),
    "wording": Kind(
        tree.Wording,
        "wordings",
        {
            "role": Key("role", "role", "role", "absent mark", roles.WORDING_ROLES),
            "words": Key("words", "list", "texts", '"unmarked", "unsigned"'),
            "on": _ON,
        },
        ("role", "words"),
        width=5,
        called="word of notes",
    ),
    "feature": Kind(
        tree.Feature,
        "features",
        {
            "kind": Key("kind", "word", "NAME", "choice", tree.FEATURE_KINDS),
            "ask": _text("ask", '"What holds the point of the pin?"'),
            "look": _text("look"),
            "also": _ALSO,
            "on": _ON,
            "unit": Key("unit", "word", "NAME", "mm", ("mm", "cm", "in", "g", "oz")),
            "family": _FAMILY,
            "refit": _REFIT,
            "reuse": _REUSE,
            "effort": Key("effort", "word", "NAME", "close", tree.EFFORTS),
            "hazard": _text("hazard"),
            "describes": Key("describes", "flag", "", ""),
            "dates": Key("dates", "word", "NAME", "engraved", tree.DATINGS),
            "cite": _CITE,
            "value": Key("values", "part", "NAME [text]", 'rollover "…"'),
        },
        ("ask",),
        width=6,
    ),
    "more": Kind(
        tree.More,
        "additions",
        {
            "kind": Key("kind", "word", "NAME", "feature", tree.ADDED_TO),
            "also": _ALSO,
            "value": Key("values", "part", "NAME [text]", 'rollover "…"'),
        },
        width=5,
        called="addition",
    ),
    "clue": Kind(
        tree.Clue,
        "clues",
        {
            "when": _WHEN,
            "made": Key("made", "window", "window", "from 1911, mostly 1925 onward"),
            "common": _SPREAD,
            "trust": _TRUST,
            "family": _FAMILY,
            "refit": _REFIT,
            "reuse": _REUSE,
            "on": _ON,
            "in": _text("region"),
            "points": Key("points", "list", "names", "tillander"),
            "misleads": _text("misleads"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("when", "trust", "why"),
        width=6,
    ),
    "finding": Kind(
        tree.Finding,
        "findings",
        {
            "when": _WHEN,
            "say": _SAY,
            "unless": Key("unless", "value", "condition", "metal is gold"),
            "means": Key("means", "value", "meaning", "metal is vermeil"),
            "advise": Key("advise", "advice", "advice", "against lot signed", tree.ADVICE),
            "cite": _CITE,
        },
        ("when",),
        width=5,
    ),
    "sign": Kind(
        tree.Sign,
        "signs",
        {
            "when": _WHEN,
            "better": Key("direction", "direction", "strength", "strong", tree.STRENGTHS),
            "poorer": Key("direction", "direction", "strength", "weak", tree.STRENGTHS),
            "neutral": Key("direction", "direction", "strength", "weak", tree.STRENGTHS),
            "on": _ON,
            "say": _SAY,
            "but": _text("but"),
            "cite": _CITE,
        },
        ("when", "better", "say"),
        width=6,
    ),
    "fault": Kind(
        tree.Fault,
        "faults",
        {
            "also": _ALSO,
            "within": _WITHIN,
            "say": _SAY,
            "look": _text("look"),
            "cause": _text("cause"),
            "original": _text("originality"),
            "make": _text("make"),
            "severity": Key("severity", "word", "NAME", "severe", tree.SEVERITIES),
            "value": Key("value", "word", "NAME", "down-strongly", tree.FAULT_VALUES),
            "mend": Key("mend", "mending", "mending", 'no "…"', tree.MENDINGS),
            "caution": _text("caution"),
            "when": _WHEN,
            "unless": Key("unless", "value", "condition", "necklace-form is long-rope"),
            "cite": _CITE,
        },
        ("say",),
        width=8,
    ),
    "caution": Kind(
        tree.Caution,
        "cautions",
        {
            "when": _WHEN,
            "level": Key("level", "word", "NAME", "hazard", tree.CAUTION_LEVELS),
            "where": Key("where", "word", "NAME", "bench", tree.CAUTION_PLACES),
            "say": _SAY,
            "cite": _CITE,
        },
        ("when", "level", "say"),
        width=5,
    ),
    "maker": Kind(
        tree.Maker,
        "makers",
        {
            "title": _TITLE,
            "city": _text("city"),
            "country": _text("country"),
            "works": Key("works", "window", "window", "from 1910, mostly 1920 to 1955"),
            "pieces": Key("pieces", "spread", "spread", "1932 1938 1950, background 3%"),
            "common": Key("common", "value", "NAME", "often"),
            "also": _ALSO,
            "group": _text("group"),
            "note": _NOTE,
            "cite": _CITE,
            "mark": Key("marks", "part", "NAME", "block-1920"),
        },
        ("title",),
        width=7,
    ),
    "register": Kind(
        tree.Register,
        "registers",
        {
            "title": _TITLE,
            "kind": Key("kind", "word", "NAME", "number", ("number", "letter", "size")),
            "reads": Key("reads", "list", "texts", '"D #"'),
            "columns": Key("columns", "words", "names", "style, shield"),
            "dates": Key("dates", "word", "NAME", "assayed", tree.DATINGS),
            "note": _NOTE,
            "cite": _CITE,
            "row": Key("rows", "row", "row", "119966 in 1940"),
        },
        ("title", "kind"),
        width=5,
    ),
    "metal-mark": Kind(
        tree.MetalMark,
        "metal_marks",
        {
            "reads": Key("reads", "list", "texts", '"{karat}K GF", "GOLD FILLED"'),
            "metal": Key("metal", "word", "NAME", "gold"),
            "how": Key("how", "word", "NAME", "filled", tree.METAL_FORMS),
            "over": _text("over"),
            "fineness": Key("fineness", "value", "number_range", "417 to 999"),
            "share": Key("share", "value", "share_range", "5% to 100%"),
            "least": Key("least_microns", "microns", "quantity", "2.5 microns"),
            "allow": Key("allow", "value", "number", "3"),
            "weight": Key("weight", "value", "number", "3"),
            "country": _text("country"),
            "law": _text("law"),
            "say": _SAY,
            "quote": _text("quote"),
            "claim": _text("claim"),
            "never": _text("never"),
            "test": _text("test"),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("reads",),
        width=8,
        called="mark of metal",
    ),
    "claim": Kind(
        tree.Claim,
        "claims",
        {
            "words": Key("words", "list", "texts", '"gold", "golden"'),
            "fine": Key("fine", "list", "texts", '"gold tone", "gold plated"'),
            "about": Key("about", "word", "NAME", "maker", tree.CLAIM_SUBJECTS),
            "figures": Key("figures", "value", "number_range", "8 to 24"),
            "when": _WHEN,
            "unless": Key("unless", "value", "condition", "metal is gold"),
            "beside": Key("beside", "list", "names", "karat-gold"),
            "recorded": Key("recorded", "flag", "", ""),
            "age": Key("age", "value", "COUNT", "100"),
            "made": Key("made", "window", "window", "from 1837, until 1901"),
            "law": _text("law"),
            "say": _SAY,
            "instead": _text("instead"),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("say",),
        width=7,
    ),
    "case": Kind(
        tree.Case,
        "cases",
        {
            "given": Key("given", "item", "text | condition", "hinge is tube"),
            "expect": Key("expect", "item", "expectation", "clue open-c-catch", denied=True),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("given", "expect"),
        width=6,
    ),
    "type": Kind(
        tree.Type,
        "types",
        {
            "title": _TITLE,
            "on": _ON,
            "when": _WHEN,
            "made": Key("made", "window", "window", "from 1911"),
            "common": _SPREAD,
            "trust": _TRUST,
            "points": Key("points", "list", "names", "tillander"),
            "copies": Key("copies", "list", "texts", '"1988 to 2008: bright base metal, no mark"'),
            "misleads": _text("misleads"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("title", "when", "trust", "why"),
        width=6,
    ),
    "origin": Kind(
        tree.Origin,
        "origins",
        {
            "also": _ALSO,
            "default": Key("default", "flag", "", ""),
            "share": Key("share", "value", "share", "30%"),
            "why": _WHY,
            "cite": _CITE,
        },
        width=4,
        named="NAME [text]",
    ),
    "exception": Kind(
        tree.PieceException,
        "exceptions",
        {
            "title": _text("title", '"a later copy"'),
            "share": Key("share", "value", "share", "5%"),
            "misread": Key("misread", "value", "share", "60%"),
            "of": Key("of", "list", "names", "style, motif"),
            "common": _SPREAD,
            "say": _SAY,
            "why": _WHY,
            "cite": _CITE,
        },
        ("title", "share", "misread", "say"),
        width=7,
    ),
    "fittings": Kind(
        tree.Fittings,
        "fittings",
        {
            "of": Key("of", "list", "names", "catch, hinge, pin-stem"),
            "refit": _REFIT,
            "reuse": _REUSE,
            "why": _WHY,
            "cite": _CITE,
        },
        ("of",),
        width=5,
    ),
    "shares": Kind(
        tree.Shares,
        "shares",
        {
            "of": Key("of", "list", "names", "catch"),
            "on": _ON,
            "in": Key("rows", "item", "shares_row", "1890 c-catch 85%, trombone 8%"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("in",),
        width=4,
    ),
    "asking": Kind(
        tree.Asking,
        "asking",
        {
            "of": Key("of", "list", "names", "hallmark-mark"),
            "share": Key("share", "value", "share", "30%"),
            "answered": Key("answered", "value", "share", "60%"),
            "when": Key("when", "value", "condition", "metal is base-metal"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("of",),
        width=8,
    ),
    "answers": Kind(
        tree.Answers,
        "answers",
        {
            "say": _SAY,
            "when": Key(
                "when", "value", "condition", "hallmark-mark is one of (lion-passant, leopard-head)"
            ),
            "why": _WHY,
        },
        ("say", "when"),
        width=4,
    ),
    "together": Kind(
        tree.Together,
        "together",
        {
            "ask": _text("ask", '"Turn it over: what is on its back?"'),
            "look": _text("look", '"Tilt it in low light."'),
            "of": Key("of", "list", "names", "catch, hinge"),
            "why": _WHY,
        },
        ("ask", "of"),
        width=4,
    ),
    "misleading": Kind(
        tree.Misleading,
        "misleading",
        {
            "kind": Key("kind", "word", "NAME", "revival", tuple(tree.MISLEADING_KINDS)),
            "each": Key("each", "value", "NAME", "part"),
            "on": _ON,
            "when": _WHEN,
            "told": Key("told", "value", "condition", "style is victorian"),
            "unless": Key("unless", "value", "condition", "fault is replaced-catch"),
            "known": Key("known", "value", "condition", "told-date over 1975"),
            "taken": _text("taken", '"a piece of the 1920s"'),
            "is": _text("truth", '"a revival of the 1980s"'),
            "part": Key("part", "list", "names", "catch"),
            "look": _text("look"),
            "chance": Key("chances", "item", "chance", "60%"),
            "order": Key("order", "value", "order", "catch after rest by 10"),
            "dated": Key("dated", "window", "window", "from 1975"),
            "made": Key("made", "window", "window", "from 1975"),
            "common": _SPREAD,
            "settle": Key("settle", "list", "names", "stone-back, pin-mount"),
            "never": Key("never", "list", "names", "copyright-year"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("kind", "taken", "is", "look"),
        width=6,
    ),
    "withdraw": Kind(
        tree.Withdraw,
        "withdrawals",
        {
            "kind": Key("kind", "word", "NAME", "clue", tree.WITHDRAWABLE),
            "why": _WHY,
            "cite": _CITE,
        },
        ("kind", "why"),
        width=4,
    ),
    "slot": Kind(
        tree.Slot,
        "slots",
        {
            "fill": Key("fills", "part", "NAME [text]", 'clasp "clasp"'),
            "why": _WHY,
            "cite": _CITE,
        },
        ("fill",),
        width=5,
    ),
    "remark": Kind(
        tree.Remark,
        "remarks",
        {
            "words": Key("words", "list", "texts", '"{part} ~ {newer}"'),
            "tells": Key("tells", "word", "NAME", "replaced", tuple(tree.MISLEADING_KINDS)),
            "leaves": Key("leaves", "value", "share", "25%"),
            "but": Key("never", "list", "texts", '"not {newer}"'),
            "damage": Key("damages", "list", "names", "does-not-hold"),
            "shows": Key("shows", "value", "NAME", "part-said-to-be-later"),
            "on": _ON,
            "year": Key("year", "value", "NAME", "part-year"),
            "say": _SAY,
            "cite": _CITE,
        },
        (),
        width=5,
    ),
}

PARTS: Mapping[str, PartOfEntry] = {
    "value": PartOfEntry(
        tree.Value,
        {
            "within": _WITHIN,
            "also": _ALSO,
            "share": Key("share", "value", "share", "30%"),
            "look": _text("look"),
        },
    ),
    "fill": PartOfEntry(
        tree.Fill,
        {
            "words": Key("words", "list", "texts", '"clasp", "{clasp-of-a-string}"'),
            "on": _ON,
            "part": Key("part", "list", "names", "clasp"),
        },
        ("words",),
    ),
    "mark": PartOfEntry(
        tree.Mark,
        {
            "text": _text("text"),
            "form": Key("form", "word", "NAME", "block"),
            "symbol": _text("symbol"),
            "method": Key("method", "word", "NAME", "struck"),
            "beside": Key("beside", "list", "texts", '"PAT. PEND."'),
            "used": Key("used", "window", "window", "mostly 1920 to 1930"),
            "place": _text("place"),
            "never": Key("never", "list", "names", "copyright-year"),
            "note": _NOTE,
            "trust": _TRUST,
            "cite": _CITE,
        },
    ),
}

SHAPES: Mapping[str, Kind | PartOfEntry] = {**KINDS, **PARTS}
"""All that has lines, by the word that begins it."""

NAMES: Mapping[str, str] = {kind.type.__name__: name for name, kind in KINDS.items()}
"""The word of each type of entry, by the type's name."""

FIELDS: Mapping[str, str] = {kind.type.__name__: kind.field for kind in KINDS.values()}
"""The field of the base that holds each type of entry, by the type's name."""
