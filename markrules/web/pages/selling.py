"""What became of a piece: sold, returned, listed, stored, what it cost; and the report."""

from __future__ import annotations

from typing import get_args

from starlette.responses import Response

from markrules.appraisal.accounts import AS_IT_HAPPENED, AccountLine, By, Report
from markrules.catalogue.amounts import decimals_of, parse_price, show_price
from markrules.catalogue.problems import CatalogueProblem
from markrules.frozen import dataclass
from markrules.tasks.accounting import accounts, report_bytes, starts_of, stock_bytes, stock_table
from markrules.tasks.selling import sell, terms_said
from markrules.web.desk import Refused, Visit

WAYS: dict[str, By] = {name: name for name in get_args(By)}
KINDS = {
    ".csv": "text/csv; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}


def sold(visit: Visit) -> Response:
    """The piece was sold: its sale copies what is known of it, and it leaves its box."""
    found, form = visit.piece(), visit.form
    try:
        terms = terms_said(
            form.text("price", 60),
            currency=own_currency(visit),
            day=form.text("day", 20),
            fees=form.text("fees", 60),
            postage=form.text("postage", 60),
            paid_postage=form.text("paid_postage", 60),
            venue=form.text("venue", 200),
            condition=form.text("condition", 200),
            note=form.text("note", 2_000),
            link=form.text("link", 500),
        )
        (sale,) = sell(visit.desk.readings, visit.catalogue, [found], terms, visit.who)
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), _field_of(str(problem))) from None
    price = show_price(sale.price_minor, sale.currency)
    told = f"Sold for {price}. The piece left its box; one undo takes both back."
    return visit.go(f"/piece/{found.uid}#money", told=told)


def _field_of(problem: str) -> str:
    """The field of a form of a sale that a problem speaks of."""
    if "date" in problem or "to come" in problem:
        return "day"
    for name in ("fees", "paid postage", "postage"):
        if problem.startswith(name):
            return name.replace(" ", "_")
    return "price"


def returned(visit: Visit) -> Response:
    """A sold piece came back: its price counts no more, and it is in its box again."""
    found, form = visit.piece(), visit.form
    number = form.number("sale")
    if number not in {each.id for each in visit.catalogue.money.sales(found)}:
        raise Refused(400, "That is no sale of this piece.", "sale")
    visit.catalogue.money.take_return(
        number, form.text("day", 20), form.text("note", 2_000), visit.who
    )
    return visit.go(f"/piece/{found.uid}#money", told="It came back, and is in its box again.")


def listed(visit: Visit) -> Response:
    """The piece is offered somewhere, or taken down."""
    found, form = visit.piece(), visit.form
    if form.fields.get("down") == "yes":
        visit.catalogue.money.record_event(found, "unlisted", who=visit.who)
        return visit.go(f"/piece/{found.uid}#money", told="Taken down.")
    price = form.text("price", 60)
    minor, currency = _price(visit, price)
    visit.catalogue.money.record_event(
        found,
        "listed",
        day=form.text("day", 20),
        place=form.text("venue", 200),
        price_minor=minor,
        currency=currency,
        who=visit.who,
    )
    return visit.go(f"/piece/{found.uid}#money", told="Listed.")


def stored(visit: Visit) -> Response:
    """Where the piece lies; an empty place takes it out."""
    found, form = visit.piece(), visit.form
    place = form.text("place", 200)
    visit.catalogue.money.record_event(found, "stored", place=place, who=visit.who)
    return visit.go(
        f"/piece/{found.uid}#money", told=f"Stored: {place}." if place else "Taken out."
    )


def cost(visit: Visit) -> Response:
    """Correct what a purchase cost, or that it is not known."""
    form = visit.form
    number = form.number("purchase")
    price = form.text("cost", 60)
    minor, currency = _price(visit, price, "cost")
    found = visit.catalogue.money.correct_acquisition(
        number, cost_minor=minor, currency=currency, who=visit.who
    )
    if found.piece is not None:
        back = f"/piece/{visit.catalogue.pieces.by_id(found.piece).uid}#money"
    else:
        back = f"/box/{found.box}"
    return visit.go(back, told=f"It cost {price}." if price else "What it cost is not known.")


def own_currency(visit: Visit) -> str:
    """The currency of the owner's figures, for amounts that name none; or empty."""
    return visit.catalogue.figures.all().get("currency", "")


def _price(visit: Visit, text: str, field: str = "price") -> tuple[int | None, str]:
    if not text:
        return None, ""
    try:
        return parse_price(text, own_currency(visit))
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), field) from None


# --- The report --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar of the chart: where it begins and how long it is, in percent of the width."""

    line: AccountLine
    start: float
    length: float


def report_page(visit: Visit) -> Response:
    """What was bought and sold, with a chart of what was left."""
    by, starts, text = _asked(visit)
    found = accounts(visit.catalogue, by, starts)
    head, *stock = stock_table(found)
    return visit.page(
        "report.html",
        report=found,
        by=by,
        ways=WAYS,
        starts=text,
        charts=_charts(found),
        stock=stock,
        stock_head=head,
        unpriced=found.unpriced,
        as_it_happened=AS_IT_HAPPENED,
        show_price=show_price,
        decimals_of=decimals_of,
    )


def report_file(visit: Visit) -> Response:
    """The report as a file, CSV or XLSX."""
    by, starts, _ = _asked(visit)
    kind = f".{visit.path['kind']}"
    if kind not in KINDS:
        raise Refused(404, "A report is written as .csv or .xlsx.")
    data = report_bytes(accounts(visit.catalogue, by, starts), kind)
    return _as_file(data, f"bought-and-sold-by-{by}{kind}", KINDS[kind])


def unsold_file(visit: Visit) -> Response:
    """What is unsold as a table of its own: a file of CSV holds one."""
    data = stock_bytes(accounts(visit.catalogue, "month"))
    return _as_file(data, "unsold.csv", KINDS[".csv"])


def _as_file(data: bytes, name: str, media_type: str) -> Response:
    headers = {"content-disposition": f'attachment; filename="{name}"'}
    return Response(data, media_type=media_type, headers=headers)


def _asked(visit: Visit) -> tuple[By, tuple[int, int], str]:
    by = WAYS.get(visit.query.get("by", ""), "month")
    text = visit.query.get("year-starts", "").strip()[:20] or "01-01"
    try:
        return by, starts_of(text), text
    except CatalogueProblem as problem:
        raise Refused(400, str(problem), "year-starts") from None


def _charts(found: Report) -> list[tuple[str, float, list[Bar]]]:
    """For each currency: where nothing lies, in percent of the width, and the bars of the nets."""
    charts = []
    for currency in sorted({line.currency for line in found.lines}):
        lines = [line for line in found.lines if line.currency == currency]
        low = min(0, *(line.net for line in lines))
        span = (max(0, *(line.net for line in lines)) - low) or 1
        bars = [
            Bar(line, 100 * (min(line.net, 0) - low) / span, 100 * abs(line.net) / span)
            for line in lines
        ]
        charts.append((currency, 100 * -low / span, bars))
    return charts


ROUTES = (
    ("POST", "/piece/{uid}/sold", sold),
    ("POST", "/piece/{uid}/returned", returned),
    ("POST", "/piece/{uid}/listed", listed),
    ("POST", "/piece/{uid}/stored", stored),
    ("POST", "/purchase/cost", cost),
    ("GET", "/report", report_page),
    ("GET", "/report.{kind}", report_file),
    ("GET", "/unsold.csv", unsold_file),
)
