"""Date letters against dated pieces and what the offices say; each row names its source."""

from __future__ import annotations

import pytest
from shipped_base import shipped_base
from together import every_case

from markrules.inference.settings import settings_of
from markrules.inference.years import resolve, window_table
from markrules.knowledge.observation import Observation
from markrules.language.windows import Window
from markrules.marks.hallmarks import date_letter_years, hallmark_observations


def share_of(years: tuple[tuple[int, float], ...], year: int) -> float:
    """The probability of the letter year that began in `year`."""
    return sum(weight for each, weight in years if each in {year, year + 1})


# Pieces whose letter and year are both stated by the seller, museum or office.
DATED = [
    # office, letter, style, year, source
    ("chester", "R", None, 1900, "Bag the Jewels, silver name pin May, Chester 1900"),
    ("chester", "B", None, 1902, "House of Labhran, thistle cuff links by Charles Horner"),
    ("chester", "J", "script", 1909, "treasurenet.com thread 638132 (tables print it as I)"),
    ("chester", "N", "script", 1913, "treasurenet.com thread 638132"),
    ("birmingham", "a", None, 1875, "Gold Charma, Mary name brooch, lion, anchor, letter a"),
    ("birmingham", "o", None, 1888, "Orchid silver forum, Mizpah brooch by Sydenham Brothers"),
    ("birmingham", "m", None, 1911, "freshfiti.shop, hatpins by Pearce & Thompson on their card"),
    ("birmingham", "Y", None, 1973, "Burnell and Rowe, butterfly locket by Joseph Smith & Sons"),
    ("birmingham", "j", None, 2008, "The Birmingham Assay Office: j used in 2008"),
    ("birmingham", "l", None, 2010, "The Birmingham Assay Office: l used in 2010"),
    ("edinburgh", "p", None, 2014, "Alexander Kirkwood & Son, hallmarking"),
    ("london", "p", None, 2014, "Alexander Kirkwood & Son: one letter for all offices since 1975"),
    ("london", "U", None, 2019, "Margaret Griffith Silver Jewellery"),
    (
        "sheffield",
        "q",
        None,
        1908,
        "sweasel.com, 4 Oct 2022, Girl Guides bowl, letter g or q of 1908",
    ),
]


@every_case(("office", "letter", "style", "year", "source"), DATED)
def test_dated_piece_is_among_the_years_of_its_letter(
    office: str, letter: str, style: str | None, year: int, source: str
) -> None:
    years = date_letter_years(shipped_base(), office, letter, style=style)
    best = max(share_of(years, each) for each, _ in years)

    # The cycle cannot be told from the letter alone; but the stated year must be one of its peaks.
    assert share_of(years, year) >= 0.25 * best, source


# Brewer, Dictionary of Phrase and Fable (1898), Marks of gold and silver, for London: 1816 to 1835
# roman small, 1836 to 1855 Old English capitals, 1856 to 1875 Old English small, 1876 to 1895
# roman capitals; twenty letters, A to U without J (ASCAS, London hallmarks).
@every_case(
    ("letter", "style", "year"),
    [
        ("a", "roman", 1816),
        ("u", "roman", 1835),
        ("A", "black-letter", 1836),
        ("U", "black-letter", 1855),
        ("a", "black-letter", 1856),
        ("u", "black-letter", 1875),
        ("A", "roman", 1876),
        ("U", "roman", 1895),
    ],
)
def test_london_cycles(letter: str, style: str, year: int) -> None:
    case = "capital" if letter.isupper() else "small"
    years = date_letter_years(shipped_base(), "london", letter, style=style, case=case)
    assert share_of(years, year) >= 0.2


# purelysilver.info, Birmingham silver hallmarks: the tables of 1849 to 1874, 1875 to 1899 and
# 1900 to 1924; The Birmingham Assay Office: mostly 25 letters; all offices alike from 1975.
@every_case(
    ("letter", "year"),
    [("A", 1849), ("Z", 1874), ("a", 1875), ("z", 1899), ("a", 1900), ("z", 1924), ("A", 1975)],
)
def test_birmingham_cycles(letter: str, year: int) -> None:
    rows = shipped_base().registers["birmingham-date-letter"].rows
    assert letter in [row.key for row in rows if row.first == year]


@every_case("year", [1975, 1980, 1990, 1999, 2000, 2014, 2019, 2024])
def test_all_offices_share_one_letter_since_1975(year: int) -> None:
    # Sheffield Assay Office, UK hallmarks; The Birmingham Assay Office, date letters.
    letters = {
        row.key
        for office in ("birmingham", "london", "sheffield", "edinburgh")
        for row in shipped_base().registers[f"{office}-date-letter"].rows
        if row.first == row.last == year
    }
    assert len(letters) == 1


def test_chester_ends_in_1962() -> None:
    # The office closed on 24 August 1962 (silvercollection.it; thebigworld.co.uk).
    assert (
        max(row.first or 0 for row in shipped_base().registers["chester-date-letter"].rows) == 1962
    )


def test_no_office_repeats_or_skips_a_year_unsaid() -> None:
    # One letter for each year; the one gap, Edinburgh in late 1974, is said in the note.
    for name, register in shipped_base().registers.items():
        if not name.endswith("-date-letter"):
            continue
        starts = sorted(row.first for row in register.rows if row.first is not None)
        missing = set(range(starts[0], starts[-1] + 1)) - set(starts)
        assert len(starts) == len(set(starts)), name
        assert missing <= ({1974} if name.startswith("edinburgh") else set()), (name, missing)


def test_rows_from_memory_say_so() -> None:
    for name, register in shipped_base().registers.items():
        if not name.endswith("-date-letter"):
            continue
        for row in register.rows:
            if [cite.source.name for cite in row.cites] == ["from-memory"]:
                assert row.trust is not None, (name, row)


def test_name_brooch_of_chester_reads_1900_as_one_of_its_years() -> None:
    # Bag the Jewels: lion passant, three wheatsheaves and sword, date letter R: Chester 1900.
    seen = (
        Observation("hallmark-mark", "lion-passant"),
        Observation("hallmark-office", "chester"),
        Observation("date-letter", "R"),
    )

    (found,) = hallmark_observations(seen, shipped_base())

    assert found.feature == "chester-date-letter"
    assert found.years is not None
    assert found.years[0] <= 1900 <= found.years[1]
    assert share_of(found.weights, 1900) > 0.25
    assert sum(weight for _, weight in found.weights) == pytest.approx(1)


# leimat.fi/sv: A is 1810, then round after round with a number, P9 is 2016. silverklubben.se: in
# Sweden A is 1759 and A2 is 1783, after 24 letters.
@pytest.mark.parametrize(
    ("register", "mark", "year"),
    [("finnish-year-mark", "P9", 2016), ("swedish-year-mark", "A9", 1759 + 24 * 8)],
)
def test_nordic_year_marks(register: str, mark: str, year: int) -> None:
    (row,) = [row for row in shipped_base().registers[register].rows if row.key == mark]
    assert row.first == year


# thebigworld.co.uk, Rare gold and silver hallmarks: duty 1784 to 1890; Glasgow closed in 1964,
# Exeter in 1883, Newcastle in 1884; French marks as in Navette Jewellery, French silver hallmarks.
@every_case(
    ("clue", "first", "last"),
    [
        ("duty-head-struck", 1784, 1890),
        ("glasgow-office", 1819, 1964),
        ("exeter-office", None, 1883),
        ("newcastle-office", None, 1884),
        ("chester-office", None, 1962),
        ("birmingham-office", 1773, None),
        ("eagle-head-struck", 1838, None),
        ("minerva-struck", 1838, None),
        ("mexican-eagle-struck", 1948, 1982),
        ("orb-struck", 1975, None),
        # silbersuite.de, Österreichisch-ungarische Dianakopfmarken: law of May 1866, to 1922.
        ("greyhound-head-struck", 1866, 1922),
        # Swiss law of 23 December 1880, in force 1 January 1882; next law of 20 June 1933.
        ("swiss-bear-struck", 1882, 1934),
        # Polish order of 21 July 1931 (Dz.U. 1931 nr 83 poz. 646).
        ("polish-knight-struck", 1931, 1963),
        # Italian law 305 of 5 February 1934; presidential decree 1496 of 30 December 1970.
        ("italian-lozenge-struck", 1934, 1971),
        # MF Joalheiros: Portuguese order 374-A/2017, in force 1 January 2021.
        ("portuguese-eagle-struck", 1938, 2020),
        ("portuguese-2021-struck", 2021, None),
        # weldons.ie, Irish silver commemorative hallmarks.
        ("irish-sword-of-light-struck", 1966, 1966),
        # Onmanorama, Gold hallmarking HUID: from 1 July 2021.
        ("huid-struck", 2021, None),
    ],
)
def test_limits_of_marks(clue: str, first: int | None, last: int | None) -> None:
    window = shipped_base().clues[clue].made
    assert window is not None
    assert (window.first.number if window.first else None) == first
    assert (window.last.number if window.last else None) == last


YEARS = range(1750, 2027)


def suited(window: Window) -> dict[int, float]:
    """How well each year suits the window."""
    table = window_table(resolve(window, YEARS, settings_of(shipped_base())), YEARS)
    return dict(zip(YEARS, table, strict=True))


# H. Ponomarenko, expert examination of jewellery, state hallmarks: head to the right 1908 to 1926;
# the Russian Federation took it up again in 1994.
def test_the_russian_head_rests_between_its_two_times() -> None:
    window = shipped_base().clues["kokoshnik-right-struck"].made
    assert window is not None
    table = suited(window)
    assert table[1907] == table[1940] == table[1990] == 0
    assert table[1915] == table[2000] == 1


# "Marks on Soviet jewelry explained": LF6 is 1956, LYu2 is 1962, MYu4 is 1964, TZ0 is 1960.
@every_case(("figure", "year"), [(6, 1956), (2, 1962), (4, 1964), (0, 1960)])
def test_the_figure_after_soviet_letters_is_the_last_of_the_year(figure: int, year: int) -> None:
    window = shipped_base().clues[f"soviet-works-figure-{figure}"].made
    assert window is not None
    table = suited(window)
    assert {each for each in YEARS if table[each]} >= {year, year + 10}
    assert not any(table[each] for each in YEARS if each % 10 != figure)
