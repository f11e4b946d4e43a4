"""A few invented claims over a small base, and readings made by hand: no rules are loaded."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from engine_numbers import setting_entries

from markrules.inference.reading import (
    DateRange,
    Dating,
    MakerShare,
    Reading,
)
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.language.conditions import Says
from markrules.language.spans import Named
from markrules.language.tree import (
    Advice,
    Caution,
    Claim,
    Feature,
    Finding,
    Maker,
    Mark,
    Piece,
    Value,
    Wording,
)
from markrules.language.windows import Window, Year

FIRST, LAST = 1801, 2026
HELD = Says(Named("mark"), ("PLATED",))

CLAIMS = (
    Claim("solid", ("solid gold",), say="Solid?", instead="gold in colour", note="n", law="l"),
    Claim("gold", ("gold",), ("gold tone", "gold in colour"), instead="gold tone"),
    Claim("karat", ("#k gold", "# k"), figures=(8, 24), instead="{words}, untested"),
    Claim("rubies", ("ruby",), ("ruby red", "ruby glass"), instead="red stone"),
    Claim("flawless", ("~ chip", "never worn"), instead=""),
    Claim("old", ("antique",), age=100, instead="of {years}"),
    Claim("reign", ("edwardian",), made=Window(first=Year(1901), last=Year(1910))),
    Claim("when", ("#", "#s", "c #", "# to #", "# or #"), about="years", instead="{years}"),
    Claim("whose", ("by *", "*"), ("* style",), about="maker", instead="{maker}"),
    Claim("says", ("signed *",), about="mark", instead="unsigned"),
    Claim(
        "silver", ("silver",), ("silver tone",), unless=Says(Named("mark"), ("STERLING",))
    ),
    Claim("praised", ("{in-claims} find", "sold {in-claims?} cheap"), instead="find"),
    Claim("tested", ("tested",), when=Says(Named("mark"), ("PLATED",))),
    Claim("lustre", ("lustre",), beside=(Named("silver"), Named("old"))),
)  # fmt: skip

WORDINGS = {
    "negation": ("no", "not", "never a"),
    "none-of": ("no", "not a"),
    "about-year": ("c", "ca", "circa"),
    "between-years": ("to", "late"),
    "no-claim": ("cannot say whether", "unsure if"),
    "no-claim-after": ("was not tested", "i cannot tell"),
    "no-denial": ("not only", "no less"),
    "denied-through": ("even", "really", "any", "made", "of", "solid"),
    "doubted-after": ("i think", "perhaps"),
    "as-told": ("she says", "by all accounts"),
    "of-kinds": ("all the rage", "in those days", "* moved", "most of these"),
    "relative": ("which",),
    "of-this": ("this", "here", "these"),
    "of-others": ("he", "the firm"),
    "history-told": ("history", "about *"),
    "in-claims": ("lovely", "very fine"),
    "remark": ("oddment",),
    "break": ("but", "although"),
    "join": ("and", "or", "nor"),
    "alternative": ("or",),
    "spelling": ("grey gray", "colour color"),
}

MAKERS = (
    Maker("quell", "Quell & Sons", also=("Quellbrook",), marks=(Mark("m", "QUELL"),)),
    Maker("amber", "Amber", marks=(Mark("m", "AMBER"),)),
    Maker("vost", "Vost, Werkstatt & Krug (Bern)", marks=(Mark("m", "ALTE WERKSTATT"),)),
    Maker("rubina", "Rubina Tolle", marks=(Mark("m", "RUBINA"), Mark("n", "R. T."))),
    Maker("gate", "Gate Keepers", marks=(Mark("m", "GATE"), Mark("n", "GATES"))),
    Maker("oto", "Oto"),
    Maker("ab", "AB"),
    Maker("although", "Although"),
    Maker("bangle", "Bangle"),
    Maker("oddment", "Oddment"),
)


@cache
def claims_base() -> KnowledgeBase:
    """The invented claims; `amber` is a stone as well as a maker."""
    return KnowledgeBase(
        "test",
        settings=setting_entries(
            {
                "claim-share": 0.8,
                "claim-circa": 10,
                "old-share": 0.9,
                "widest-range": 60,
                "maker-by-share": 0.9,
                "maker-attributed-share": 0.6,
                "maker-manner-share": 0.3,
            }
        ),
        wordings={role: Wording(role, role, words) for role, words in WORDINGS.items()},
        features={
            "stone": Feature("stone", values=(Value("amber"), Value("ruby", also=("red ruby",)))),
            "mark": Feature("mark", "text"),
        },
        pieces={"bangle": Piece("bangle")},
        claims={each.name: each for each in CLAIMS},
        makers={each.name: each for each in MAKERS},
        cautions={"c": Caution("c", HELD, "law", "Ruby dealers ask the law.")},
        findings={
            "care": Finding("care", HELD, "Never boil a ruby.", advise=Advice("care")),
            "other": Finding("other", HELD, "Ruby sells."),
        },
    )


def reading(
    years: dict[int, float] | None = None,
    *,
    seen: tuple[Observation, ...] = (),
    makers: tuple[tuple[str, float], ...] = (),
    evidence: bool = True,
) -> Reading:
    """A reading whose years, observations and makers are as given, and nothing more."""
    shares = years or {1950: 1.0}
    curve = tuple(shares.get(year, 0.0) for year in range(FIRST, LAST + 1))
    first, last = min(shares), max(shares)
    date = Dating(
        DateRange(first, last, 0.8), None, first, first, None, None, "", FIRST, curve,
        years=(DateRange(first, last, 0.8),),
    )  # fmt: skip
    shown = tuple(MakerShare(name, name.title(), "", "", p, None, None) for name, p in makers)
    nothing: Reading = Reading(
        "", seen, date, shown, (), (), (), (), (), (), (), (), (), evidence, "test"
    )
    return replace(nothing)
