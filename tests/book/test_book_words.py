"""Plain words and drawings, on small examples."""

from __future__ import annotations

import re

import numpy as np
import pytest
from engine_numbers import engine_settings
from hypothesis import example, given
from hypothesis import strategies as st
from inference_building import window
from together import every_case

from markrules.book.cleaned import clean
from markrules.book.layout import slug
from markrules.book.markdown import safe
from markrules.book.window_drawings import BASE, NEAR, spread_drawing, window_drawing
from markrules.inference.spreads import humps, humps_table
from markrules.language.parser import parse
from markrules.language.tree import Clue
from markrules.language.windows import Spread, Wave, Window, Year
from markrules.telling.conditions import condition_words, share_words, text_of, window_words

YEARS = range(1750, 2027)


@every_case(
    ("made", "words"),
    [
        (window(1911, 1925), "made from 1911, mostly 1925 onward"),
        (window(None, 1925, 1941), "made mostly 1925 to 1941"),
        (window(None, None, 1960, 1970), "made mostly until 1960, until 1970"),
        (window(None, 1950, 1950), "made mostly 1950"),
        (window(1900, gaps=((1938, 1945),)), "made from 1900, not 1938 to 1945"),
        (window(None, 1920, 1930, fade=15), "made mostly 1920 to 1930, fading over 15 years"),
        (Window(), "in any year"),
        (None, "no years known"),
        (
            Window(Year(0, relative=True), Year(-2, relative=True), Year(1, relative=True)),
            "made from the year read, mostly 2 years before the year read to"
            " 1 year after the year read",
        ),
        (
            Window(Year(0, relative=True), last=Year(0, relative=True)),
            "made in the year read",
        ),
        (Window(None, Year(1900), Year(0, now=True)), "made mostly 1900 to today"),
    ],
)
def test_windows_are_read_aloud(made: Window | None, words: str) -> None:
    assert window_words(made) == words


@every_case(
    ("rule", "words"),
    [
        ("catch is rollover", "catch is rollover"),
        ("catch is one of (rollover, open-c)", "catch is rollover or open c"),
        ("catch is not rollover", "catch is not rollover"),
        ("us-patent is seen", "any US patent is seen"),
        ("catch is absent", "no catch: looked for, and not there"),
        ("width over 5 cm", "width over 5 cm"),
        ("width between 2 cm and 5 cm", "width between 2 cm and 5 cm"),
        ('mark says one of ("A", "B")', "mark says “A” or “B”"),
        ("found old-fastening", "old fastening"),
        ("catch is a and not hinge is b", "catch is a, and not: hinge is b"),
        (
            "(catch is a or catch is b) and hinge is c",
            "(catch is a, or catch is b), and hinge is c",
        ),
        (
            "at least 2 of (catch is a, hinge is b, stem is c)",
            "at least 2 of (catch is a; hinge is b; stem is c)",
        ),
    ],
)
def test_conditions_are_read_aloud(rule: str, words: str) -> None:
    book, _ = parse(
        f"clue it\n    when {rule}\n    made from 1900\n    trust weak\n"
        '    why "w"\n    cite from-memory\n',
        "it.rules",
    )
    (clue,) = book.entries
    assert isinstance(clue, Clue)

    assert text_of(condition_words(clue.when)) == words


@pytest.mark.parametrize(
    ("share", "words"),
    [(0.12, "about 12 in 100"), (0.005, "about 5 in 1,000"), (0.0, "about 0 in 100")],
)
def test_shares_are_told_in_hundreds(share: float, words: str) -> None:
    assert share_words(share) == words


def corners(drawing: str) -> list[tuple[float, float]]:
    path = re.search(r'class="bulk" d="M([^"]*)Z"', drawing)
    assert path is not None
    return [(float(x), float(y)) for x, y in (each.split() for each in path[1].split("L"))]


def test_a_window_is_drawn_where_its_years_are() -> None:
    shape = corners(window_drawing(window(None, 1900, 1950, fade=19), YEARS, engine_settings()))

    assert (1880 - 1750, BASE) in shape
    assert (1900 - 1750, 4) in shape
    assert (1950 - 1750, 4) in shape
    assert (1970 - 1750, BASE) in shape


def test_hard_limits_are_drawn_upright_at_the_edge_of_their_year() -> None:
    drawing = window_drawing(window(1911, last=1950), YEARS, engine_settings())

    limit = re.search(r'class="limit" d="([^"]*)"', drawing)
    assert limit is not None
    assert limit[1] == f"M{1911 - 1750 - 0.5:g} 2V{BASE}M{1950 - 1750 + 0.5:g} 2V{BASE}"


def test_a_window_that_counts_from_a_year_read_is_not_drawn() -> None:
    assert window_drawing(Window(Year(0, relative=True)), YEARS, engine_settings()) == ""
    assert window_drawing(None, YEARS, engine_settings()) == ""


def wave(early: int, middle: int, late: int, share: float | None = None) -> Wave:
    return Wave(Year(early), Year(middle), Year(late), share)


SPREADS = [
    (Spread((wave(1938, 1943, 1950),), 0.04), None),
    (Spread((wave(1914, 1922, 1932), wave(1973, 1978, 1985, 0.22)), None), None),
    (Spread((wave(1976, 1977, 1978), wave(1993, 2002, 2014, 0.45)), 0.1), window(1975)),
    (Spread((Wave(Year(1925), None, Year(1960)),), 0.0), window(1911, last=1980)),
    (Spread((wave(1905, 1930, 1962),), 0.06), window(1900, gaps=((1938, 1945),))),
]


@every_case(("spread", "made"), SPREADS)
def test_a_curve_is_drawn_as_the_pieces_lie(spread: Spread, made: Window | None) -> None:
    """Against the shares of the years, straight lines between the drawn points lie near them."""
    settings = engine_settings()
    first = made.first.number if made and made.first else None
    last = made.last.number if made and made.last else None
    gaps = [(gap[0].number, gap[1].number) for gap in made.gaps] if made else []
    table = humps_table(humps(spread, 2026, (0, 0)), YEARS, first, last, settings.wave_seam)
    assert table is not None
    stray = settings.background if spread.background is None else spread.background
    may = np.array(
        [
            (first or 1750) <= year <= (last or 2026)
            and not any(low <= year <= high for low, high in gaps)
            for year in YEARS
        ]
    )
    meant = ((1 - stray) * np.array(table) + stray / may.sum()) * may
    meant /= meant.max()

    points = corners(spread_drawing(spread, made, YEARS, settings))[1:-1]
    drawn = np.interp(range(len(YEARS)), *np.array(points).T)

    assert np.abs((BASE - drawn) / 16 - meant).max() <= NEAR + 0.01
    assert len(points) < len(YEARS) / 3


def test_a_curve_that_counts_from_a_year_read_is_not_drawn() -> None:
    relative = Wave(Year(-1, relative=True), Year(3, relative=True), Year(12, relative=True))

    assert spread_drawing(Spread((relative,), None), None, YEARS, engine_settings()) == ""
    assert (
        spread_drawing(SPREADS[0][0], Window(Year(0, relative=True)), YEARS, engine_settings())
        == ""
    )


@given(st.text(max_size=60))
def test_any_text_gives_a_file_name(text: str) -> None:
    assert re.fullmatch(r"[a-z0-9-]+", slug(text))


@given(st.one_of(st.text(max_size=80), st.from_regex(r"[-+=#>0-9.) *`<&\\\\]{1,12}x")))
@example("0.1.0+3f2a")
@example("1. a list")
@example("- a list")
@example("&amp; <b> [a](b) `c`")
def test_any_text_stays_as_it_is_in_markdown(text: str) -> None:
    """Read back by markdown-it, a CommonMark parser."""
    from markdown_it import MarkdownIt

    shown = " ".join(str(clean(text)).split())
    tokens = MarkdownIt("commonmark").parse(f"- {safe(text)}")

    if shown:
        (inline,) = (token for token in tokens if token.type == "inline")
        assert {child.type for child in inline.children or ()} <= {"text", "text_special"}
        assert "".join(child.content for child in inline.children or ()) == shown
        assert len(tokens) == 7
