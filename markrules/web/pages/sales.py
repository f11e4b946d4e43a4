"""Sold prices: what pieces of the table's own, and others like them, really brought."""

from __future__ import annotations

from starlette.responses import Response

from markrules.catalogue.amounts import parse_price, show_price
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Sale
from markrules.tasks.selling import refused
from markrules.web.desk import Posted, Refused, Visit, whole

AT_ONCE = 100


def sales(visit: Visit) -> Response:
    """The sold prices, newest first."""
    every = visit.catalogue.money.sales()[::-1]
    start = max(1, whole(visit.query.get("from", ""), "from", 1))
    shown = every[start - 1 : start - 1 + AT_ONCE]
    return visit.page(
        "sales.html",
        sales=shown,
        total=len(every),
        start=start,
        on=start + AT_ONCE if start - 1 + AT_ONCE < len(every) else None,
        show_price=show_price,
        types=list(visit.base.pieces),
        makers=sorted(each.title for each in visit.base.makers.values()),
    )


def add(visit: Visit) -> Response:
    """Record a sold price."""
    form = visit.form
    try:
        minor, currency = parse_price(form.text("price", 60))
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "price") from None
    sale = Sale(
        id=0,
        piece=None,
        when=form.text("when", 20),
        price_minor=minor,
        currency=currency,
        maker=form.text("maker", 200),
        piece_type=form.text("type", 200),
        first_year=_year(form, "first"),
        last_year=_year(form, "last"),
        condition=form.text("condition", 200),
        signed={"yes": True, "no": False}.get(form.text("signed", 10)),
        note=form.text("note", 2_000),
        link=form.text("link", 500),
    )
    bad = refused(visit.base, [(1, sale)], visit.catalogue.money.sales())
    if bad:
        raise Refused(400, f"{bad[0][1]}.", _field_of(bad[0][1]))
    try:
        visit.catalogue.money.record_sales([sale], visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "when") from None
    return visit.go("/sales", told="Recorded.")


def _field_of(problem: str) -> str:
    if problem.startswith("the rules know no type"):
        return "type"
    return "price" if "price of nothing" in problem else "when" if "to come" in problem else "note"


def _year(form: Posted, name: str) -> int | None:
    return form.number(name) if form.text(name, 20) else None


def take_out(visit: Visit) -> Response:
    """Count a sold price no longer."""
    visit.catalogue.money.take_out_sale(visit.form.number("sale"), visit.who)
    return visit.go("/sales")


ROUTES = (
    ("GET", "/sales", sales),
    ("POST", "/sales", add),
    ("POST", "/sales/take-out", take_out),
)
