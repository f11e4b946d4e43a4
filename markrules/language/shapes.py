"""Which lines each kind of entry may have, and where each goes in the syntax tree."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Literal

from markrules.frozen import dataclass
from markrules.language import tree

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
    """One key: the field it fills, how, the words allowed, and an example of the line."""

    field: str
    take: Take
    example: str
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shape:
    """A kind of entry: its type, its keys, and those of them that it cannot do without."""

    build: type[Any]
    keys: Mapping[str, Key]
    required: tuple[str, ...] = ()


def _text(field: str, example: str = '"…"') -> Key:
    return Key(field, "value", example)


_WHY = _text("why")
_NOTE = _text("note")
_SAY = _text("say")
_CITE = Key("cites", "list", "common-practice")
_ALSO = Key("also", "list", '"pin", "broach"')
_ON = Key("on", "list", "brooch, bar-pin")
_WHEN = Key("when", "value", "catch is rollover")
_REFIT = Key("refit", "value", "12%")
_REUSE = Key("reuse", "value", "1%")
_MISREAD = Key("misread", "value", "6%")
_TITLE = _text("title")
_TRUST = Key("trust", "value", "strong")
_SPREAD = Key("common", "spread", "1938 1943 1950, background 4%")
_FAMILY = Key("family", "value", "pin-fastening")

SHAPES: Mapping[str, Shape] = {
    "source": Shape(
        tree.Source,
        {
            "title": _TITLE,
            "author": _text("author"),
            "kind": Key("kind", "word", "book", tree.SOURCE_KINDS),
            "year": Key("year", "value", "1911"),
            "where": _text("where"),
            "note": _NOTE,
        },
        ("title", "kind"),
    ),
    "trust": Shape(tree.Trust, {"misread": _MISREAD, "why": _WHY, "cite": _CITE}, ("misread",)),
    "certainty": Shape(
        tree.Certainty, {"misread": _MISREAD, "also": _ALSO, "why": _WHY}, ("misread",)
    ),
    "setting": Shape(
        tree.Setting,
        {"value": Key("value", "value", "30"), "why": _WHY, "cite": _CITE},
        ("value", "why"),
    ),
    "family": Shape(
        tree.Family, {"overlap": Key("overlap", "value", "60%"), "why": _WHY}, ("overlap",)
    ),
    "prior": Shape(
        tree.Prior,
        {
            "origin": Key("origin", "value", "box"),
            "on": _ON,
            "at": Key("points", "item", "1955 6"),
            "common": _SPREAD,
            "why": _WHY,
            "cite": _CITE,
        },
    ),
    "withdraw": Shape(
        tree.Withdraw,
        {
            "kind": Key("kind", "word", "clue", tree.WITHDRAWABLE),
            "why": _WHY,
            "cite": _CITE,
        },
        ("kind", "why"),
    ),
    "origin": Shape(
        tree.Origin,
        {
            "also": _ALSO,
            "default": Key("default", "flag", ""),
            "share": Key("share", "value", "30%"),
            "why": _WHY,
            "cite": _CITE,
        },
    ),
    "exception": Shape(
        tree.PieceException,
        {
            "title": _text("title", '"a later copy"'),
            "share": Key("share", "value", "5%"),
            "misread": Key("misread", "value", "60%"),
            "of": Key("of", "list", "style, motif"),
            "common": _SPREAD,
            "say": _SAY,
            "why": _WHY,
            "cite": _CITE,
        },
        ("title", "share", "misread", "say"),
    ),
    "misleading": Shape(
        tree.Misleading,
        {
            "kind": Key("kind", "word", "revival", tuple(tree.MISLEADING_KINDS)),
            "each": Key("each", "value", "part"),
            "on": _ON,
            "when": _WHEN,
            "told": Key("told", "value", "style is victorian"),
            "unless": Key("unless", "value", "fault is replaced-catch"),
            "taken": _text("taken", '"a piece of the 1920s"'),
            "is": _text("truth", '"a revival of the 1980s"'),
            "part": Key("part", "list", "catch"),
            "look": _text("look"),
            "chance": Key("chances", "item", "60%"),
            "order": Key("order", "value", "catch after rest by 10"),
            "dated": Key("dated", "window", "from 1975"),
            "made": Key("made", "window", "from 1975"),
            "common": _SPREAD,
            "settle": Key("settle", "list", "stone-back, pin-mount"),
            "never": Key("never", "list", "copyright-year"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("kind", "taken", "is", "look"),
    ),
    "slot": Shape(
        tree.Slot,
        {"fill": Key("fills", "part", 'clasp "clasp"'), "why": _WHY, "cite": _CITE},
        ("fill",),
    ),
    "fill": Shape(
        tree.Fill,
        {
            "words": Key("words", "list", '"clasp", "{clasp-of-a-string}"'),
            "on": _ON,
            "part": Key("part", "list", "clasp"),
        },
        ("words",),
    ),
    "remark": Shape(
        tree.Remark,
        {
            "words": Key("words", "list", '"{part} ~ {newer}"'),
            "but": Key("never", "list", '"not {newer}"'),
            "on": _ON,
            "say": _SAY,
            "cite": _CITE,
        },
        ("words",),
    ),
    "fittings": Shape(
        tree.Fittings,
        {
            "of": Key("of", "list", "catch, hinge, pin-stem"),
            "refit": _REFIT,
            "reuse": _REUSE,
            "why": _WHY,
            "cite": _CITE,
        },
        ("of",),
    ),
    "shares": Shape(
        tree.Shares,
        {
            "of": Key("of", "list", "catch"),
            "on": _ON,
            "in": Key("rows", "item", "1890 c-catch 85%, trombone 8%"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("in",),
    ),
    "asking": Shape(
        tree.Asking,
        {
            "of": Key("of", "list", "hallmark-mark"),
            "share": Key("share", "value", "30%"),
            "answered": Key("answered", "value", "60%"),
            "when": Key("when", "value", "metal is base-metal"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("of",),
    ),
    "answers": Shape(
        tree.Answers,
        {
            "say": _SAY,
            "when": Key("when", "value", "hallmark-mark is one of lion-passant, leopard-head"),
            "why": _WHY,
        },
        ("say", "when"),
    ),
    "together": Shape(
        tree.Together,
        {
            "ask": _text("ask", '"Turn it over: what is on its back?"'),
            "look": _text("look", '"Tilt it in low light."'),
            "of": Key("of", "list", "catch, hinge"),
            "why": _WHY,
        },
        ("ask", "of"),
    ),
    "commonness": Shape(
        tree.Commonness,
        {"weight": Key("weight", "value", "8"), "why": _WHY, "cite": _CITE},
        ("weight",),
    ),
    "grade": Shape(
        tree.Grade,
        {
            "points": Key("points", "value", "3"),
            "brings": Key("brings", "value", "65%"),
            "also": _ALSO,
            "why": _WHY,
            "cite": _CITE,
        },
        ("points", "brings"),
    ),
    "shade": Shape(
        tree.Shade,
        {
            "of": Key("of", "value", "yellow"),
            "looks": _text("looks", '"#E7D35A"'),
            "also": _ALSO,
            "why": _WHY,
            "cite": _CITE,
        },
        ("of", "looks"),
    ),
    "piece": Shape(
        tree.Piece,
        {"also": _ALSO, "under": Key("under", "value", "ornament"), "say": _SAY},
    ),
    "wording": Shape(
        tree.Wording,
        {
            "role": Key("role", "role", "absent mark", tree.WORDING_ROLES),
            "words": Key("words", "list", '"unmarked", "unsigned"'),
            "on": _ON,
        },
        ("role", "words"),
    ),
    "feature": Shape(
        tree.Feature,
        {
            "kind": Key("kind", "word", "choice", tree.FEATURE_KINDS),
            "ask": _text("ask", '"What holds the point of the pin?"'),
            "look": _text("look"),
            "also": _ALSO,
            "on": _ON,
            "unit": Key("unit", "word", "mm", ("mm", "cm", "in", "g", "oz")),
            "family": _FAMILY,
            "refit": _REFIT,
            "reuse": _REUSE,
            "effort": Key("effort", "word", "close", tree.EFFORTS),
            "hazard": _text("hazard"),
            "describes": Key("describes", "flag", ""),
            "dates": Key("dates", "word", "engraved", tree.DATINGS),
            "cite": _CITE,
            "value": Key("values", "part", 'rollover "…"'),
        },
        ("ask",),
    ),
    "value": Shape(
        tree.Value, {"also": _ALSO, "share": Key("share", "value", "30%"), "look": _text("look")}
    ),
    "clue": Shape(
        tree.Clue,
        {
            "when": _WHEN,
            "made": Key("made", "window", "from 1911, mostly 1925 onward"),
            "common": _SPREAD,
            "trust": _TRUST,
            "family": _FAMILY,
            "refit": _REFIT,
            "reuse": _REUSE,
            "on": _ON,
            "in": _text("region"),
            "points": Key("points", "list", "tillander"),
            "misleads": _text("misleads"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("when", "trust", "why"),
    ),
    "type": Shape(
        tree.Type,
        {
            "title": _TITLE,
            "on": _ON,
            "when": _WHEN,
            "made": Key("made", "window", "from 1911"),
            "common": _SPREAD,
            "trust": _TRUST,
            "points": Key("points", "list", "tillander"),
            "copies": Key("copies", "list", '"1988 to 2008: bright base metal, no mark"'),
            "misleads": _text("misleads"),
            "why": _WHY,
            "cite": _CITE,
        },
        ("title", "when", "trust", "why"),
    ),
    "finding": Shape(
        tree.Finding,
        {
            "when": _WHEN,
            "say": _SAY,
            "means": Key("means", "value", "metal is vermeil"),
            "advise": Key("advise", "advice", "against lot signed", tree.ADVICE),
            "cite": _CITE,
        },
        ("when",),
    ),
    "sign": Shape(
        tree.Sign,
        {
            "when": _WHEN,
            "better": Key("direction", "direction", "strong", tree.STRENGTHS),
            "poorer": Key("direction", "direction", "weak", tree.STRENGTHS),
            "neutral": Key("direction", "direction", "weak", tree.STRENGTHS),
            "on": _ON,
            "say": _SAY,
            "but": _text("but"),
            "cite": _CITE,
        },
        ("when", "better", "say"),
    ),
    "fault": Shape(
        tree.Fault,
        {
            "also": _ALSO,
            "say": _SAY,
            "look": _text("look"),
            "cause": _text("cause"),
            "original": _text("originality"),
            "make": _text("make"),
            "severity": Key("severity", "word", "severe", tree.SEVERITIES),
            "value": Key("value", "word", "down-strongly", tree.FAULT_VALUES),
            "mend": Key("mend", "mending", 'no "…"', tree.MENDS),
            "caution": _text("caution"),
            "when": _WHEN,
            "cite": _CITE,
        },
        ("say",),
    ),
    "caution": Shape(
        tree.Caution,
        {
            "when": _WHEN,
            "level": Key("level", "word", "hazard", tree.CAUTION_LEVELS),
            "say": _SAY,
            "cite": _CITE,
        },
        ("when", "level", "say"),
    ),
    "maker": Shape(
        tree.Maker,
        {
            "title": _TITLE,
            "city": _text("city"),
            "country": _text("country"),
            "works": Key("works", "window", "from 1910, mostly 1920 to 1955"),
            "common": Key("common", "value", "often"),
            "also": _ALSO,
            "group": _text("group"),
            "note": _NOTE,
            "cite": _CITE,
            "mark": Key("marks", "part", "block-1920"),
        },
        ("title",),
    ),
    "mark": Shape(
        tree.Mark,
        {
            "text": _text("text"),
            "form": Key("form", "word", "block"),
            "symbol": _text("symbol"),
            "method": Key("method", "word", "struck"),
            "beside": Key("beside", "list", '"PAT. PEND."'),
            "used": Key("used", "window", "mostly 1920 to 1930"),
            "place": _text("place"),
            "never": Key("never", "list", "copyright-year"),
            "note": _NOTE,
            "trust": _TRUST,
            "cite": _CITE,
        },
    ),
    "register": Shape(
        tree.Register,
        {
            "title": _TITLE,
            "kind": Key("kind", "word", "number", ("number", "letter", "size")),
            "reads": Key("reads", "list", '"D #"'),
            "columns": Key("columns", "words", "style, shield"),
            "dates": Key("dates", "word", "assayed", tree.DATINGS),
            "note": _NOTE,
            "cite": _CITE,
            "row": Key("rows", "row", "119966 in 1940"),
        },
        ("title", "kind"),
    ),
    "metal-mark": Shape(
        tree.MetalMark,
        {
            "reads": Key("reads", "list", '"{karat}K GF", "GOLD FILLED"'),
            "metal": Key("metal", "word", "gold"),
            "how": Key("how", "word", "filled", tree.METAL_FORMS),
            "over": _text("over"),
            "fineness": Key("fineness", "value", "417 to 999"),
            "share": Key("share", "value", "5% to 100%"),
            "least": Key("least_microns", "microns", "2.5 microns"),
            "allow": Key("allow", "value", "3"),
            "weight": Key("weight", "value", "3"),
            "country": _text("country"),
            "law": _text("law"),
            "say": _SAY,
            "claim": _text("claim"),
            "never": _text("never"),
            "test": _text("test"),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("reads",),
    ),
    "claim": Shape(
        tree.Claim,
        {
            "words": Key("words", "list", '"gold", "golden"'),
            "fine": Key("fine", "list", '"gold tone", "gold plated"'),
            "about": Key("about", "word", "maker", tree.CLAIM_SUBJECTS),
            "figures": Key("figures", "value", "8 to 24"),
            "when": _WHEN,
            "unless": Key("unless", "value", "metal is gold"),
            "age": Key("age", "value", "100"),
            "made": Key("made", "window", "from 1837, until 1901"),
            "law": _text("law"),
            "say": _SAY,
            "instead": _text("instead"),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("say",),
    ),
    "case": Shape(
        tree.Case,
        {
            "given": Key("given", "item", "hinge is tube"),
            "expect": Key("expect", "item", "clue open-c-catch"),
            "note": _NOTE,
            "cite": _CITE,
        },
        ("given", "expect"),
    ),
}
ENTRY_KINDS = tuple(kind for kind in SHAPES if kind not in ("value", "mark", "fill"))
