"""Words of patents, copyright, trade marks, companies, tax and post against the laws themselves.

Each row names the law, ruling or office that sets its year.
"""

from __future__ import annotations

from functools import cache

from shipped_base import shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Reader, Request

LAST_YEAR = 2026


@cache
def reader() -> Reader:
    return shipped_reader()


@cache
def marked(text: str) -> Reading:
    return reader().read(Request(marks=(text,), next_looks=0))


@cache
def packed(value: str) -> Reading:
    return reader().read(Request(observations=(Observation("packing-words", value),), next_looks=0))


def fired(reading: Reading) -> set[str]:
    return {each.clue for each in reading.clues}


def height(reading: Reading, name: str, year: int) -> float:
    """How readily a piece of a year shows the clue `name`: 1 where as readily as any, or more."""
    [found] = [each for each in reading.clues if each.clue == name]
    return min(1.0, found.suits[year - reading.date.first_year])


# Text, year of the law or office, the law.
NOT_BEFORE = [
    ("REG. U.S. PAT. OFF.", 1905, "Trademark Act of 20 Feb 1905, 33 Stat. 724"),
    ("REG. U.S. PAT. & TM. OFF.", 1975, "Public Law 93-596, in force 2 Jan 1975"),
    ("MAKER ®", 1946, "Lanham Act, 5 July 1946, 60 Stat. 427, section 29"),
    ("D.R.P.", 1877, "Reichspatentgesetz, in force 1 July 1877"),
    ("D.R.G.M.", 1891, "Gebrauchsmustergesetz, in force 1 Oct 1891"),
    ("D.B.G.M.", 1949, "Federal Republic, 23 May 1949"),
    ("BUNDESPATENT", 1949, "patent office in Munich opened 1 Oct 1949"),
    ("G.M.B.H.", 1892, "GmbH-Gesetz of 20 April 1892"),
    ("S.A.R.L.", 1925, "French law of 7 March 1925"),
    ("MARQUE DEPOSEE", 1857, "French law of 23 June 1857"),
    ("BREVETE S.G.D.G.", 1844, "French law of 5 July 1844"),
    ("RD NO", 1884, "46 & 47 Vict. c. 57, in force 1 Jan 1884"),
    ("MAKER PLC", 1980, "Companies Act 1980"),
    ("MAKER LLC", 1977, "Wyoming Limited Liability Company Act of 1977"),
    ("U.S. ZUNI 2", 1937, "Indian Arts and Crafts Board standards of 9 March 1937"),
    ("INDIAN ARTS AND CRAFTS BOARD", 1935, "Act of 27 Aug 1935, 49 Stat. 891"),
    ("S.A. DE C.V.", 1934, "Ley General de Sociedades Mercantiles of 1934"),
    ("D.R.W.Z.", 1894, "Warenzeichengesetz of 12 May 1894"),
    ("SCHUTZMARKE", 1874, "Markenschutzgesetz of 30 Nov 1874"),
    ("MUSTERSCHUTZ", 1876, "law on designs of 11 Jan 1876"),
    ("PROV. PAT.", 1852, "Patent Law Amendment Act 1852"),
    ("PTY LTD", 1896, "Companies Act 1896 of Victoria"),
    ("MAKER LTD", 1855, "Limited Liability Act 1855"),
    ("DES. PAT.", 1842, "Act of 29 Aug 1842, 5 Stat. 543"),
    ("PAT'D MAR. 31", 1842, "Act of 29 Aug 1842, section 6"),
]


@every_case(("text", "year", "law"), NOT_BEFORE, ids=lambda row: str(row)[:24])
def test_wording_is_not_before_its_law(text: str, year: int, law: str) -> None:
    date = marked(text).date

    early = sum(date.curve[: max(year - date.first_year, 0)])
    assert date.range.first >= year
    assert early < 0.06


# Text, last year of the law, years allowed for old dies and stock, the law.
NOT_AFTER = [
    ("REG. U.S. PAT. OFF.", 1975, 5, "Public Law 93-596, in force 2 Jan 1975"),
    ("D.R.G.M.", 1952, 1, "last of the three ends that collectors give"),
    ("D.R.P.", 1952, 1, "last of the three ends that collectors give"),
    ("BREVETE S.G.D.G.", 1968, 2, "French law of 2 Jan 1968"),
]


@every_case(("text", "year", "slack", "law"), NOT_AFTER, ids=lambda row: str(row)[:24])
def test_wording_ends_with_its_law(text: str, year: int, slack: int, law: str) -> None:
    not_after = marked(text).date.not_after

    assert not_after is not None
    assert year <= not_after <= year + slack


# Packing: what is printed, first year, last year (None: still so), years of stock, source.
PACKING = [
    ("zip-code", 1963, None, 0, "US Post Office, 1 July 1963"),
    ("state-letters", 1963, None, 0, "Post Office publication 59, Oct 1963"),
    ("zip-plus-four", 1983, None, 0, "US Postal Service, 1983"),
    ("postal-zone", 1943, 1963, 3, "US Post Office, 1 May 1943 to 1 July 1963"),
    ("barcode", 1973, None, 0, "Uniform Grocery Product Code Council, 3 April 1973"),
    ("area-code", 1947, None, 0, "North American Numbering Plan, 1947"),
    ("toll-free-number", 1966, None, 0, "American Telephone and Telegraph, 1966-67"),
    ("web-address", 1993, None, 0, "CERN statement of 30 April 1993"),
    ("german-postcode-4", 1961, 1993, 2, "Deutsche Bundespost, 3 Nov 1961"),
    ("german-postcode-5", 1993, None, 0, "Deutsche Bundespost, 1 July 1993"),
    ("london-district-number", 1917, None, 0, "General Post Office, March 1917"),
    ("british-postcode", 1959, None, 0, "trial in Norwich, 1959"),
    ("purchase-tax", 1940, 1973, 2, "Finance (No. 2) Act 1940 to Finance Act 1972"),
    ("federal-tax", 1941, 1965, 2, "Revenue Act of 1941 to Public Law 89-44"),
    ("euro-price", 1999, None, 0, "Council Regulation (EC) 974/98"),
    ("recycling-symbol", 1970, None, 0, "Container Corporation of America, 1970"),
    ("california-warning", 1986, None, 0, "California Proposition 65, 4 Nov 1986"),
]


@every_case(("value", "first", "last", "slack", "source"), PACKING, ids=lambda row: str(row)[:24])
def test_packing_lies_in_the_years_of_its_rule(
    value: str, first: int, last: int | None, slack: int, source: str
) -> None:
    date = packed(value).date

    assert date.range.first >= first
    assert date.range.last <= (LAST_YEAR if last is None else last + slack)
    assert sum(date.curve[: first - date.first_year]) < 0.1  # a piece may be on a later card


# Decimal Currency Act 1967: 15 Feb 1971.
def test_price_in_shillings_ends_with_decimal_money() -> None:
    date = packed("shillings-price").date

    assert date.not_after is not None
    assert 1971 <= date.not_after <= 1973


# Trifari v. Charel, 134 F. Supp. 551 (1955); 37 CFR 202.8 as of 1949; Copyright Act of 1909.
def test_copyright_sign_rises_between_1947_and_1955() -> None:
    reading = marked("MAKER ©")

    assert height(reading, "copyright-sign", 1956) == 1.0
    assert 0.2 < height(reading, "copyright-sign", 1949) < 1.0
    assert height(reading, "copyright-sign", 1935) < 0.3
    assert reading.date.not_before is None


# Act of 7 Feb 1927 (44 Stat. 1058): numbers in place of dates from 1 April 1927.
def test_patent_numbers_follow_patent_dates_in_1927() -> None:
    number, date = marked("PAT. NO."), marked("PAT'D JUNE 5")

    [found] = [each for each in number.clues if each.clue == "patent-number-wording"]
    first = number.date.first_year

    assert height(number, "patent-number-wording", 1930) == 1.0
    assert found.suits[1915 - first] < found.suits[1930 - first]
    assert height(date, "patent-date-in-words", 1920) == 1.0
    assert height(date, "patent-date-in-words", 1945) < 0.5


# The D.R.G.M. register closed with the office in 1945; D.B.G.M. took over by 1952.
def test_drgm_and_dbgm_barely_meet() -> None:
    early, late = marked("D.R.G.M.").date, marked("D.B.G.M.").date

    assert early.range.last <= late.range.first + 4


# Forms that look alike and are not: Copyright Office and trade usage.
@every_case(
    ("text", "wanted", "unwanted"),
    [
        ("COPR.", "copr-word", "corporation"),
        ("CORP.", "corporation", "copr-word"),
        ("DES. PAT. PEND.", "design-patent-pending", "patent-pending"),
        ("PAT. PEND.", "patent-pending", "design-patent-wording"),
        (
            "REG. U.S. PAT. & TM. OFF.",
            "registered-patent-and-trademark-office",
            "registered-patent-office",
        ),
        ("MODELE DEPOSE", "modele-depose", "depose"),
        ("MARQUE DEPOSEE", "marque-deposee", "depose"),
        ("PTY. LTD.", "proprietary-limited", "limited-company"),
    ],
)
def test_like_wording_is_kept_apart(text: str, wanted: str, unwanted: str) -> None:
    found = fired(marked(text))

    assert wanted in found
    assert unwanted not in found


# --- Check values of the trade on make (common practice, no source) -------------------------------


@every_case(
    ("feature", "value", "direction"),
    [
        ("setting", "glued", "poorer"),
        ("back-texture", "rough-cast", "poorer"),
        ("setting", "prong", "better"),
        ("stone-back", "open-back", "better"),
        ("heft", "heavy-in-hand", "better"),
        ("back-texture", "smooth-plated", "better"),
    ],
)
def test_make_counts_as_the_trade_counts_it(feature: str, value: str, direction: str) -> None:
    reading = reader().read(Request(observations=(Observation(feature, value),), next_looks=0))

    assert {sign.direction for sign in reading.signs} == {direction}


# Common practice, no source: a heavily textured back counts for nothing.
def test_textured_back_counts_for_nothing() -> None:
    reading = reader().read(
        Request(observations=(Observation("back-texture", "textured"),), next_looks=0)
    )

    assert {sign.direction for sign in reading.signs} <= {"neutral"}
