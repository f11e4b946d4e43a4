"""The tin of spare stones."""

from __future__ import annotations

from starlette.responses import Response

from markrules.appraisal.mirrored import Differ, mirrored
from markrules.appraisal.stone import Stone, measured
from markrules.appraisal.stones import advise
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import SpareStone
from markrules.tasks.appraising import stones_for_box
from markrules.tasks.stocking import (
    kept_size,
    known_shape,
    new_to_the_tin,
    sampled_colour,
    stone_told,
    stones_in_table,
    stones_in_text,
)
from markrules.telling.words import count_of
from markrules.web.desk import Refused, Visit
from markrules.web.pages.worth import small_box
from markrules.web.tray import title_of
from markrules.web.worth import desk_at

ASKED = ("shape", "size", "named", "sampled", "back")
PAIR = ("one", "other")


def stones(visit: Visit) -> Response:
    """The stones in the tin, one that fits, and two that should be alike."""
    query = visit.query
    colour = query.get("sampled", "")
    tin = visit.catalogue.stones.all()
    advice, differ, wrong, field = None, None, "", ""
    try:
        wanted = _wanted(visit)
        advice = advise(visit.base, wanted, tin) if wanted is not None else None
        differ = _differ(visit)
    except Refused as problem:
        wrong, field = str(problem), problem.field
    return visit.page(
        "stones.html",
        status=400 if wrong else 200,
        stones=tin,
        colour=colour if sampled_colour(colour) is not None else "",
        asked={name: query.get(name, "")[:100] for name in ASKED},
        shades=[each.replace("-", " ") for each in visit.base.shades],
        advice=advice,
        pair={name: query.get(name, "")[:200] for name in PAIR},
        differ=differ,
        wrong=wrong,
        field=field,
    )


def _wanted(visit: Visit) -> Stone | None:
    """The stone looked for, where the address asks for one. Raises Refused for a bad size."""
    query = visit.query
    if not any(query.get(name, "").strip() for name in ASKED):
        return None
    size = query.get("size", "").strip()[:40]
    found = measured(visit.base, size) if size else None
    if size and found is None:
        words = f'"{size}" is no size of a stone; write it like 4 mm, 10x5 mm, SS16 or PP24'
        raise Refused(400, words, "size")
    return Stone(
        shape=query.get("shape", "")[:100],
        size_mm=found.long if found is not None else None,
        across_mm=found.across if found is not None else None,
        colour=query.get("named", "")[:100],
        lab=sampled_colour(query.get("sampled", "")),
        back=query.get("back", "")[:100],
    )


def _differ(visit: Visit) -> Differ | None:
    """How two stones in mirror places differ. Raises Refused where only one is told."""
    told = {name: visit.query.get(name, "").strip()[:200] for name in PAIR}
    if not any(told.values()):
        return None
    for name, text in told.items():
        if not text:
            raise Refused(400, "Tell both stones: shape, size, colour, with commas.", name)
    one, other = (stone_told(visit.base, text) for text in told.values())
    return mirrored(visit.base, one, other)


def wanting(visit: Visit) -> Response:
    """What the tin holds for every piece of a box that lacks stones."""
    box = small_box(visit)
    found = stones_for_box(desk_at(visit), visit.catalogue, box)
    titles = {piece.id: title_of(piece) for piece, _ in found}
    return visit.page("stones_wanting.html", box=box, found=found, titles=titles)


def add(visit: Visit) -> Response:
    """Put stones into the tin."""
    form = visit.form
    size = form.text("size", 40)
    try:
        exact, code = kept_size(visit.base, size)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "size") from None
    try:
        shape = known_shape(visit.base, form.text("shape", 100))
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "shape") from None
    stone = SpareStone(
        id=0,
        shape=shape,
        size_mm=exact,
        size_code=code,
        colour=form.text("colour", 100),
        lab=sampled_colour(form.text("sampled", 10)),
        cut=form.text("cut", 100),
        back=form.text("back", 100),
        count=form.number("count") if form.text("count", 20) else 1,
        from_piece=None,
        note=form.text("note", 2_000),
    )
    if stone.count < 1:
        raise Refused(400, "How many stones are there? One at least.", "count")
    visit.catalogue.stones.add([stone], visit.who)
    return visit.go("/stones")


def add_many(visit: Visit) -> Response:
    """Put in the stones of a table, or of pasted lines: all of them, or the good ones if asked."""
    text = visit.form.text("pasted", 200_000)
    sent = visit.form.files.get("table", ())
    if sent and sent[0]:
        name = visit.form.names["table"][0]
        held = visit.desk.sent_files.take(name, sent[0], visit.visitor.browser)
        try:
            found = stones_in_table(visit.base, held.path)
        except CatalogueProblem as problem:
            words = str(problem).replace(str(held.path), held.name)
            raise Refused(400, words, "table") from None
        finally:
            visit.desk.sent_files.drop(held.key)
    elif text:
        found = stones_in_text(visit.base, text)
    else:
        raise Refused(400, "Choose a table, or write one kind of stone a line.", "pasted")
    if visit.form.fields.get("again") != "yes":
        found = new_to_the_tin(visit.catalogue.stones.all(), found)
    if not found.stones or (found.errors and visit.form.fields.get("skip-bad") != "yes"):
        bad = "; ".join(f"line {line}: {why}" for line, why in found.errors[:10])
        more = f"; and {len(found.errors) - 10} more" if len(found.errors) > 10 else ""
        raise Refused(
            400, f"Nothing was put in. {bad or 'There is no stone in it'}{more}", "pasted"
        )
    visit.catalogue.stones.add([stone for _, stone in found.stones], visit.who)
    count = sum(stone.count for _, stone in found.stones)
    told = f"{count_of(count, 'stone')} put in, {count_of(len(found.stones), 'kind')}."
    return visit.go("/stones", told=told)


def use(visit: Visit) -> Response:
    """Take one stone out of the tin."""
    visit.catalogue.stones.use(visit.form.number("stone"), 1, visit.who)
    return visit.go("/stones")


ROUTES = (
    ("GET", "/stones", stones),
    ("POST", "/stones", add),
    ("POST", "/stones/many", add_many),
    ("POST", "/stones/use", use),
    ("GET", "/box/{box}/stones", wanting),
)
