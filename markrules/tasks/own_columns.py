"""The columns of a person's own table: which heading is which field, and what is kept of that."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache

from markrules.catalogue.brought_tables import TableRow
from markrules.catalogue.days import ORDERS, iso_day
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.knowledge.base import KnowledgeBase
from markrules.reading.observing import nearest
from markrules.reading.reader import Reader
from markrules.tasks.headings import headings_of
from markrules.tasks.odd_rows import IDENTIFIERS, is_code, is_sum

FIELDS = headings_of("fields")
"""What a column may be taken for, and the headings that say so; features come beside them."""

_ELSEWHERE: Mapping[str, tuple[str, ...]] = headings_of("elsewhere")
"""Headings in German, French, Italian, Spanish and Dutch; what stands below is read as it is."""

JOINED = ("note", "mark", "told", "storage", "condition")
"""Fields that may come from several columns: their cells are joined in the order of the table."""

PRICES = ("cost", "asking price", "sold price", "fees", "postage", "paid postage")

MONEY = frozenset(FIELDS) - {"note", "title", "told", "mark", "condition"}
"""Fields that say nothing of the piece itself."""

_UNDECIDED = headings_of("undecided")
"""Headings that say too little: of a column of days, but not of what; of sales, but not whether by
the day, the price or the place; of a place where a piece lies, or where it was bought; of a number,
but not whether it is the owner's own for the piece."""

OPINIONS = (*FIELDS["told"][6:], "date", "datum")
"""Columns that hold what somebody thinks of a piece: it is kept as told, and is no evidence."""

_OF_COLUMNS = "columns:"

LONGEST_NAME = 60


@dataclass(frozen=True, slots=True)
class Columns:
    """Which headings are taken for which field or feature, and the headings that are not taken."""

    taken: Mapping[str, tuple[str, ...]]
    left: tuple[str, ...]


Given = Mapping[str, Sequence[str]]
"""What a person says of the columns: field to headings; none takes none."""


def match_columns(
    reader: Reader,
    headings: Sequence[str],
    given: Given | None = None,
    rows: Sequence[TableRow] = (),
) -> Columns:
    """Which column is what: as `given` (field to headings; none or an empty one takes none), else
    by the headings themselves, where they name a field, or a feature of the rules. Where none is
    headed like a note, it is the column in which the most of the first `rows` is understood.

    Raises CatalogueProblem, with the nearest good word, for a field or heading not known, and
    where nothing says which column holds the notes, titles, marks or a feature.
    """
    # A sum at the foot of a table is of no piece, and would make a column of numbers of a title.
    rows = [row for row in rows if not is_sum(row)]
    wanted = {field: tuple(filter(None, found)) for field, found in (given or {}).items()}
    names = names_of_fields(reader)
    if not wanted and not any(field_of(each, names) for each in headings):
        _no_piece(reader, headings)
    for field, found in wanted.items():
        _known(field, names.values(), "column")
        for heading in found:
            _known(heading, headings, "heading")
    taken = {field: found for field, found in wanted.items() if found}
    used = {heading for found in taken.values() for heading in found}
    for heading in headings:
        field = field_of(heading, names) or _measured_by(reader, heading, names)
        field = _by_its_cells(heading, field, headings, names, rows)
        if not field or field in wanted or heading in used:
            continue
        # A column `item` may count the lines.
        if field == "title" and _numbers_alone(row.cells.get(heading, "") for row in rows):
            continue
        if field not in taken or field in JOINED:
            taken[field] = (*taken.get(field, ()), heading)
            used.add(heading)
    if "note" not in taken and "note" not in wanted:
        free = [h for h in headings if h not in used and plain_heading(h) not in IDENTIFIERS]
        # Whatever it is headed with: a column that is understood holds notes.
        described = _described(reader, free, rows)
        if described:
            taken = {"note": (described,), **taken}
            used.add(described)
    if not set(taken) - MONEY:
        raise CatalogueProblem(
            f"no column is headed like a note; the headings are: {', '.join(headings[:20])}."
            " Say which with --column note=HEADING"
        )
    return Columns(taken, tuple(each for each in headings if each not in used))


def _by_its_cells(
    heading: str,
    field: str,
    headings: Sequence[str],
    names: Mapping[str, str],
    rows: Sequence[TableRow],
) -> str:
    """The field of a heading that says too little alone, by its cells and the other columns."""
    plain = plain_heading(heading)
    cells = [row.cells.get(heading, "") for row in rows]
    if plain in _UNDECIDED["day"]:
        return "bought on" if _days_told(cells) else "told" if plain in OPINIONS else field
    if plain in _UNDECIDED["day or price"]:
        return _sold_told(cells)
    if plain in _UNDECIDED["day or place"]:
        return "sold on" if _days_told(cells) else ""
    if plain in _UNDECIDED["place"] and _kept_elsewhere(headings, heading, names):
        return "bought where"
    if plain in _UNDECIDED["own number"] and _numbers_of_own(cells):
        strong = any(names.get(plain_heading(each)) == "own number" for each in headings)
        return field if strong else "own number"
    return field


def names_of_fields(reader: Reader) -> dict[str, str]:
    """What headings name a field or a feature, as they are compared."""
    return {
        **_features(reader),
        **{
            plain_heading(w): f
            for of in (_ELSEWHERE, FIELDS)
            for f, words in of.items()
            for w in words
        },
    }


def _no_piece(reader: Reader, headings: Sequence[str]) -> None:
    """Raise CatalogueProblem where what should be headings tells of a piece: it would be lost."""
    if tells_of_a_piece(reader, headings):
        raise CatalogueProblem(
            f'the first row is no row of headings but tells of a piece: "{headings[0]}". Put'
            " headings above it, such as note and cost"
        )


def tells_of_a_piece(reader: Reader, headings: Sequence[str]) -> bool:
    """Whether what should be headings tells what a piece is, and more of it."""
    read = reader.understand(", ".join(headings))
    return bool(read.piece_type and read.observations)


def field_of(heading: str, names: Mapping[str, str]) -> str:
    """What a heading names: as it stands, or without a unit or a currency at its end."""
    field = names.get(plain_heading(heading)) or names.get(
        plain_heading(_BRACKET.sub("", heading)), ""
    )
    if not field:
        priced = names.get(plain_heading(CURRENCY_LAST.sub("", heading)), "")
        field = priced if priced in PRICES else ""
    if not field:
        numbered = names.get(plain_heading(_NUMBER_LAST.sub("", _BRACKET.sub("", heading))), "")
        field = numbered if numbered in JOINED else ""
    return field


def _measured_by(reader: Reader, heading: str, names: Mapping[str, str]) -> str:
    """The feature that a heading measures and says in what: `Weight g`, `Length in cm`."""
    last = _LAST_WORD.search(heading)
    if last is None or unit_of(reader, heading) == "":
        return ""
    field = names.get(plain_heading(heading[: last.start()]), "")
    feature = reader.base.features.get(field)
    return field if feature is not None and feature.kind == "number" else ""


def unit_of(reader: Reader, heading: str) -> str:
    """The unit at the end of a heading, in brackets or not, as a note says it; or empty."""
    last = _LAST_WORD.search(heading)
    word = last[1].casefold() if last is not None else ""
    return word if word in _units(reader.base) else ""


@lru_cache(maxsize=4)
def _units(base: KnowledgeBase) -> frozenset[str]:
    return frozenset(base.words_of("unit"))


def _numbers_alone(cells: Iterable[str]) -> bool:
    """Whether a column counts the pieces, as one of items may: a number or code is no title."""
    told = [each.strip() for each in cells if each.strip()]
    return bool(told) and all(
        is_code(each) or not any(sign.isalpha() for sign in each) for each in told
    )


def _numbers_of_own(cells: Iterable[str]) -> bool:
    """Whether a column names each piece by a number of the owner's, such as `BR-0014`; one that
    counts the lines names none.
    """
    told = [each for each in map(str.strip, cells) if each]
    coded = all(is_code(each) for each in told) and len(set(told)) == len(told) > 1
    return coded and not all(each.isdecimal() and len(each) < _LEAST_OWN for each in told)


_LEAST_OWN = 3
"""Digits of a number of the owner's own that is digits alone."""


def _days_told(cells: Iterable[str]) -> bool:
    """Whether a column tells days, and not years of making: half of its cells or more do."""
    told = [each for each in map(str.strip, cells) if each]
    return bool(told) and 2 * sum(map(_is_day, told)) >= len(told)


def _sold_told(cells: Sequence[str]) -> str:
    """What a column headed `Sold` holds: days, prices, or what is neither and so not taken."""
    told = [each for each in map(str.strip, cells) if each]
    if _days_told(told):
        return "sold on"
    return "sold price" if told and all(map(_AMOUNT.search, told)) else ""


_AMOUNT = re.compile(r"[0-9]")


def _kept_elsewhere(headings: Iterable[str], heading: str, names: Mapping[str, str]) -> bool:
    """Whether another column says where a piece lies, and none where it was bought."""
    places = _UNDECIDED["place"]
    others = [each for each in headings if each != heading and plain_heading(each) not in places]
    fields = {field_of(each, names) for each in others}
    return "storage" in fields and "bought where" not in fields


def _is_day(text: str) -> bool:
    for order in ORDERS:
        try:
            return len(iso_day(text, order)) > len("2024")
        except CatalogueProblem:
            continue
    return False


def _described(reader: Reader, headings: Iterable[str], rows: Sequence[TableRow]) -> str:
    """The heading of the column whose cells say the most of pieces; empty where none says much."""
    told = {
        heading: sum(
            len(understood.observations) + bool(understood.piece_type)
            for understood in (reader.understand(row.cells.get(heading, "")) for row in rows)
        )
        for heading in headings
    }
    best = max(told, key=lambda heading: told[heading], default="")
    # Something in each row: else it is a column of names that happen to be words of the trade.
    return best if best and told[best] >= len(rows) > 0 else ""


_BRACKET = re.compile(r"\s*[(\[][^)\]]{0,12}[)\]]\s*$")
"""What stands in brackets after a heading: a currency, a unit."""

_NUMBER_LAST = re.compile(r"\s*[#.]?\s*\d{1,2}\s*$")
"""The number of a column among several of one kind: `Note 2`."""

_LAST_WORD = re.compile(r"(?:[\s,]+in)?[\s,(\[]+([^\W\d_]+)[)\]]?\s*$", re.IGNORECASE)

CURRENCY_LAST = re.compile(r"\s+(?:in\s+)?([A-Z]{3}|[£€$¥])\s*$")
"""A currency after a heading without brackets: `Cost EUR`, `Paid in £`."""


def _features(reader: Reader) -> dict[str, str]:
    """The headings that name a feature; a unit in brackets belongs to the feature."""
    found: dict[str, str] = {}
    for feature in reader.base.features.values():
        for word in (feature.name, *feature.also):
            found.setdefault(plain_heading(word), feature.name)
            if feature.unit:
                found.setdefault(plain_heading(f"{word} ({feature.unit})"), feature.name)
    return found


def _known(word: str, known: Iterable[str], what: str) -> None:
    words = list(dict.fromkeys(known))
    if word not in words:
        by_small = {each.casefold(): each for each in words}
        near = nearest(word, by_small)
        hint = f'; nearest: "{by_small[near]}"' if near else ""
        raise CatalogueProblem(f'no {what} is called "{word}"{hint}')


def remember_columns(catalogue: Catalogue, name: str, given: Given, who: str = "") -> None:
    """Keep what was said of the columns under a name, in place of what it held; undone as a step.

    Raises CatalogueProblem for an empty or too long name.
    """
    import json

    kept = json.dumps({field: list(found) for field, found in given.items()}, ensure_ascii=False)
    catalogue.figures.set(_OF_COLUMNS + _clean(name), kept, who)


def remembered_columns(catalogue: Catalogue, name: str) -> dict[str, tuple[str, ...]]:
    """What was kept under a name. Raises CatalogueProblem, with the nearest name, without one."""
    import json

    kept = catalogue.figures.kept_under(_OF_COLUMNS)
    wanted = _clean(name)
    if wanted not in kept:
        near = nearest(wanted, kept)
        hint = f'; nearest: "{near}"' if near else ""
        raise CatalogueProblem(f'no columns are remembered as "{wanted}"{hint}')
    try:
        data = json.loads(kept[wanted])
        return {str(field): tuple(map(str, found)) for field, found in data.items()}
    except (ValueError, TypeError, AttributeError):
        raise CatalogueProblem(f'what is remembered as "{wanted}" is damaged') from None


def names_of_columns(catalogue: Catalogue) -> tuple[str, ...]:
    """The names that columns are remembered by, sorted."""
    return tuple(sorted(catalogue.figures.kept_under(_OF_COLUMNS)))


def _clean(name: str) -> str:
    clean = " ".join(name.split())
    if not clean or len(clean) > LONGEST_NAME:
        raise CatalogueProblem(f"a name for columns has 1 to {LONGEST_NAME} characters")
    return clean


def plain_heading(text: str) -> str:
    """A heading in small letters, its strokes and dashes as blanks."""
    return re.sub(r"[\s\-_]+", " ", text.casefold()).strip(" .:#")
