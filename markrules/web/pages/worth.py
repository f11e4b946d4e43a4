"""What to do with a piece, the box at a glance, and the owner's own figures."""

from __future__ import annotations

from itertools import groupby

from starlette.responses import Response

from markrules.appraisal.figures import KINDS, FigureProblem, figure_text
from markrules.catalogue.records import Box
from markrules.tasks.appraising import glance as glance_at
from markrules.tasks.appraising import keep_decision, too_many
from markrules.tasks.on_several import keep_proposed
from markrules.telling.words import count_of
from markrules.web.desk import Refused, Visit
from markrules.web.pages.box import box_named
from markrules.web.tray import title_of
from markrules.web.worth import cash, choice_words, desk_at, worth_of


def decide(visit: Visit) -> Response:
    """Keep a decision on a piece: the one proposed, or one in the visitor's own words."""
    found = visit.piece()
    own = visit.form.text("choice", 100)
    if own:
        visit.catalogue.decisions.decide(
            found, own, visit.form.text("reason", 2_000), {}, visit.who
        )
    else:
        keep_decision(visit.catalogue, found, worth_of(visit, found).appraisal, visit.who)
    return visit.go(f"/piece/{found.uid}#worth")


def glance(visit: Visit) -> Response:
    """The box at a glance."""
    box = small_box(visit)
    pieces, found, seen = glance_at(desk_at(visit), visit.catalogue, box)
    return visit.page(
        "glance.html",
        box=box,
        pieces={each.id: each for each in pieces},
        titles={each.id: title_of(each) for each in pieces},
        glance=seen,
        appraised=found,
        words=choice_words,
        cash=cash,
    )


def small_box(visit: Visit) -> Box:
    """The box that the address names. Raises Refused where it is too large to be read at once."""
    box = box_named(visit)
    if too_many(visit.base, visit.catalogue, box):
        most = int(visit.base.setting("box-at-once"))
        raise Refused(
            400,
            f'Box "{box.name}" holds more than the {most:,} pieces that are weighed at once here; '
            "the command `markrules glance` takes any number.",
        )
    return box


def decide_all(visit: Visit) -> Response:
    """Keep the proposed decision on every piece of a box."""
    box = small_box(visit)
    done = keep_proposed(
        desk_at(visit), visit.catalogue, visit.catalogue.pieces.all(box), visit.who
    )
    told = f"The proposed decision is kept on {count_of(done, 'piece')}. One undo takes it back."
    return visit.go(f"/box/{box.id}", told=told)


def figures(visit: Visit) -> Response:
    """The owner's own figures."""
    groups = [(title, list(kinds)) for title, kinds in groupby(KINDS, lambda kind: kind.wanted_for)]
    return visit.page("figures.html", groups=groups, kept=visit.catalogue.figures.all())


def set_figures(visit: Visit) -> Response:
    """Keep the figures; an empty one is taken out. All are kept, or none."""
    kept = visit.catalogue.figures.all()
    changed: dict[str, str] = {}
    for kind in KINDS:
        if kind.name not in visit.form.fields:
            continue
        text = visit.form.text(kind.name, 60)
        try:
            wanted = figure_text(kind.name, text) if text else ""
        except FigureProblem as problem:
            raise Refused(400, str(problem), kind.name) from None
        if wanted != kept.get(kind.name, ""):
            changed[kind.name] = wanted
    for name, value in changed.items():
        visit.catalogue.figures.set(name, value, visit.who)
    return visit.go("/figures", told="Kept." if changed else "")


ROUTES = (
    ("POST", "/piece/{uid}/decide", decide),
    ("GET", "/box/{box}/glance", glance),
    ("POST", "/box/{box}/decide", decide_all),
    ("GET", "/figures", figures),
    ("POST", "/figures", set_figures),
)
