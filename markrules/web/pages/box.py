"""A box: its list beside a place to add pieces, and what is done to several at once."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from starlette.responses import Response

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.money import check_day
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Piece
from markrules.catalogue.sorting import found_in
from markrules.tasks.accounting import bought_together
from markrules.tasks.appraising import too_many
from markrules.tasks.entering import new_piece
from markrules.tasks.on_several import (
    Photographed,
    enter_photographed,
    keep_proposed,
    prepared,
)
from markrules.tasks.selling import sell, terms_said
from markrules.telling.words import count_of, listed
from markrules.web.desk import Refused, Visit, whole
from markrules.web.seeing import words_said
from markrules.web.tray import ORDER_WORDS, STATE_WORDS, address_of, sorting_of, tray_at
from markrules.web.worth import choice_words, choices, desk_at

MOST_ADDED = 500


def box(visit: Visit) -> Response:
    """A box: its list, and beside it what is done with the whole."""
    found = box_named(visit)
    given = tray_values(visit, found)
    if visit.fragment == "list":
        return visit.part("tray.html", **given)
    return visit.page(
        "box.html",
        box=found,
        small=not too_many(visit.base, visit.catalogue, found),
        most=int(visit.base.setting("box-at-once")),
        purchases=visit.catalogue.money.acquisitions(found),
        show_price=show_price,
        **given,
    )


def rename(visit: Visit) -> Response:
    """Set the name and the note of a box."""
    found = box_named(visit)
    name, note = visit.form.text("name", 400), visit.form.text("note")
    try:
        visit.catalogue.boxes.change(found, name=name, note=note, who=visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "name") from None
    return visit.go(f"/box/{found.id}#whole", told="Kept.")


def came(visit: Visit) -> Response:
    """Record how the whole box came in, and what it cost; its pieces share that."""
    found = box_named(visit)
    record_purchase(visit, found)
    return visit.go(f"/box/{found.id}#whole", told="Kept. Its pieces share what it cost.")


def record_purchase(visit: Visit, of: Box | Piece) -> None:
    """Record a purchase as the form tells it. Raises Refused, at the field, where it cannot be."""
    form = visit.form
    price = form.text("cost", 60)
    try:
        own = visit.catalogue.figures.all().get("currency", "")
        minor, currency = parse_price(price, own) if price else (None, "")
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "cost") from None
    try:
        visit.catalogue.money.record_acquisition(
            of,
            when=form.text("when", 20),
            where=form.text("where", 200),
            who_from=form.text("who_from", 200),
            cost_minor=minor,
            currency=currency,
            note=form.text("note", 2_000),
            who=visit.who,
        )
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "when") from None


def tray_values(visit: Visit, found: Box, piece: Piece | None = None) -> dict[str, Any]:
    """What the list of a box is drawn from."""
    return {
        "tray": tray_at(visit, found, piece),
        "states": STATE_WORDS,
        "orders": ORDER_WORDS,
        "choice_words": choice_words,
        "choices": choices(),
        "titles": {name: each.title for name, each in visit.base.makers.items()},
    }


def box_named(visit: Visit) -> Box:
    """The box that the address names. Raises Refused for one that was taken back."""
    found = visit.catalogue.boxes.by_id(whole(visit.path["box"], "box"))
    if found.gone:
        raise Refused(404, f'Box "{found.name}" was taken back.')
    return found


def add(visit: Visit) -> Response:
    """Enter pieces, one line each; a single one without a note begins with a guided look."""
    found = box_named(visit)
    notes = [each.strip() for each in visit.form.text("notes", 200_000).splitlines()]
    notes = [each for each in notes if each] or [""]
    if len(notes) > MOST_ADDED:
        told = (
            f"{len(notes):,} lines at once; {MOST_ADDED} at most are taken here. Under"
            " “Pieces from a table” any number is: paste them there"
        )
        raise Refused(400, told, "notes")
    with visit.desk.locked():
        pieces = [new_piece(visit.desk.reader, each) for each in notes]
    numbers = visit.catalogue.pieces.add(found, pieces, visit.who)
    if notes == [""]:
        piece = visit.catalogue.pieces.numbered(found, numbers[0])
        return visit.go(f"/piece/{piece.uid}/look")
    return visit.go(f"/box/{found.id}?from={numbers[0]}")


def photograph(visit: Visit) -> Response:
    """New pieces from photos: one a photo, or one that has them all."""
    found = box_named(visit)
    photos = sent_photos(visit)
    together = visit.form.text("together", 10) == "yes"
    numbers = enter_photographed(visit.catalogue, found, photos, visit.who, together=together)
    return visit.go(f"/box/{found.id}?from={numbers[0]}", told=refused_words(photos.refused))


def sent_photos(visit: Visit) -> Photographed:
    """The photos of a form, made ready. Raises Refused where none can be kept."""
    data = visit.form.files.get("photo", ())
    names = visit.form.names.get("photo", ())
    sent = [(name, each) for name, each in zip(names, data, strict=True) if each]
    if not sent:
        raise Refused(400, "No photo came. Choose one, or take one, and send it again.", "photo")
    photos = prepared(sent)
    if not photos.pictures:
        raise Refused(400, refused_words(photos.refused), "photo")
    return photos


def refused_words(refused: tuple[tuple[str, str], ...]) -> str:
    """What was wrong with the files that were not kept; empty where all were."""
    if len(refused) == 1:
        return f"{refused[0][0][:60]}: {refused[0][1]}"
    return "; ".join(f"{name[:60]}: {why}" for name, why in refused[:10])


def several(visit: Visit) -> Response:
    """Do one thing to the pieces chosen in the list, as one step."""
    found = box_named(visit)
    chosen = _chosen(visit, found)
    if not chosen:
        raise Refused(400, "Choose some pieces in the list first.")
    act, who = visit.form.text("act", 20), visit.who
    if act == "keep":
        most = int(visit.base.setting("box-at-once"))
        if len(chosen) > most:
            raise Refused(400, f"{len(chosen):,} pieces; {most} at most are weighed at once")
        done = keep_proposed(desk_at(visit), visit.catalogue, chosen, who)
        told = f"The proposed decision is kept on {count_of(done, 'piece')}."
    elif act == "decide":
        choice = visit.form.text("choice", 100)
        if not choice:
            raise Refused(400, "Say what to do with them.", "choice")
        done = visit.catalogue.decisions.decide_each(
            ((each, choice, "", {}) for each in chosen), who
        )
        told = f"{choice_words(choice)}: kept on {count_of(done, 'piece')}."
    elif act == "leave":
        done = visit.catalogue.pieces.take_out_each(chosen, visit.form.text("why", 300), who)
        told = f"{count_of(done, 'piece')} left the box."
    elif act == "set":
        name = visit.form.text("set", 400)
        try:
            made = visit.catalogue.sets.start(name, chosen, who=who)
        except CatalogueProblem as problem:
            raise Refused(400, str(problem), "set") from None
        told = f"{count_of(len(chosen), 'piece')} belong together: {made.name}."
    elif act in TRADED:
        told = TRADED[act](visit, chosen)
    elif act == "say":
        said = words_said(visit, visit.form.text("words", 2_000))
        visit.catalogue.log.add_on_each(chosen, said.observations, who)
        visit.desk.keeper.later([each.id for each in chosen])
        told = f"Said of {count_of(len(chosen), 'piece')}."
        if said.unknown:
            told += f" Not understood: {listed([f'“{each}”' for each in said.unknown])}."
    else:
        raise Refused(400, "Choose what to do with them.", "act")
    back = f"/box/{found.id}{address_of(sorting_of(visit))}"
    return visit.go(back, told=f"{told} One undo takes it back.")


def _sold_together(visit: Visit, chosen: list[Piece]) -> str:
    """The pieces were sold together for one price; what is said of it."""
    form = visit.form
    try:
        terms = terms_said(
            form.text("price", 60),
            currency=visit.catalogue.figures.all().get("currency", ""),
            day=form.text("day", 20),
            venue=form.text("venue", 200),
        )
        sales = sell(visit.desk.readings, visit.catalogue, chosen, terms, visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "price") from None
    each = show_price(sales[0].price_minor, sales[0].currency)
    return f"{count_of(len(sales), 'piece')} sold together, each for its part, {each}."


def _bought_together(visit: Visit, chosen: list[Piece]) -> str:
    """The pieces were bought as one lot; what is said of it."""
    form = visit.form
    try:
        when = check_day(form.text("bought", 20))
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "bought") from None
    try:
        minor, currency = parse_price(
            form.text("cost", 60), visit.catalogue.figures.all().get("currency", "")
        )
        shared = bought_together(visit.catalogue, chosen, minor, currency, when=when, who=visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "cost") from None
    # What cannot be shared evenly leaves some with the smallest coin more.
    parts = dict.fromkeys(show_price(each.cost_minor or 0, currency) for each in shared)
    each = " or ".join(parts)
    return f"{count_of(len(shared), 'piece')} share what they cost together, each {each}."


TRADED: dict[str, Callable[[Visit, list[Piece]], str]] = {
    "sell": _sold_together,
    "buy": _bought_together,
}


def _chosen(visit: Visit, found: Box) -> list[Piece]:
    """The pieces ticked in the list, or all that the sorting finds."""
    if visit.form.text("all", 10) == "yes":
        lines = found_in(visit.desk.lines.of(visit.catalogue, found).lines, sorting_of(visit))
        wanted = {each.id for each in lines}
    else:
        named = [value for name, value in visit.form.every if name == "piece"]
        wanted = {whole(each, "piece") for each in named}
    pieces = visit.catalogue.pieces.all(found, gone=True)
    return [each for each in pieces if each.id in wanted]


ROUTES = (
    ("GET", "/box/{box}", box),
    ("POST", "/box/{box}/rename", rename),
    ("POST", "/box/{box}/came", came),
    ("POST", "/box/{box}/pieces", add),
    ("POST", "/box/{box}/photos", photograph),
    ("POST", "/box/{box}/several", several),
)
