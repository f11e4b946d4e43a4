"""Country words against the life of states, the laws on imports, and trade orders.

Each table names the published source of its years beside it. Years are those in which the
event happened; `TOLERANCE` allows for old dies and printed stock, after the end only.
"""

from __future__ import annotations

from functools import cache

import pycountry
import pytest
from shipped_base import shipped_base, shipped_reader
from together import every_case

from markrules.inference.reading import Reading
from markrules.language.tree import Clue
from markrules.reading.reader import Reader, Request

TOLERANCE = 3
LAST_YEAR = 2026


@cache
def reader() -> Reader:
    return shipped_reader()


@cache
def marked(text: str) -> Reading:
    return reader().read(Request(marks=(text,), next_looks=0))


def fired(reading: Reading) -> set[str]:
    return {each.clue for each in reading.clues}


def clue(name: str) -> Clue:
    return shipped_base().clues[name]


def height(reading: Reading, name: str, year: int) -> float:
    """How readily a piece of a year shows the clue `name`: 1 where as readily as any, or more."""
    [found] = [each for each in reading.clues if each.clue == name]
    return min(1.0, found.suits[year - reading.date.first_year])


# --- States that ended ----------------------------------------------------------------------------

# Text, ISO 3166-3 code, and the year the state or its name ended:
# unification treaty of 31 Aug 1990 (3 Oct 1990); Czechoslovak act 542/1992 (31 Dec 1992);
# declaration 142-N of the Supreme Soviet (26 Dec 1991); constitutional charter of Serbia and
# Montenegro (4 Feb 2003); declaration of Montenegro (3 June 2006); Zimbabwe Act 1979 (18 Apr
# 1980); renaming of Zaire (17 May 1997); of Dahomey (30 Nov 1975); of Upper Volta (4 Aug 1984);
# Burmese adaptation of expressions law (18 June 1989); Panama Canal Treaty of 1977 (1 Oct 1979);
# Kingdom charter amended (10 Oct 2010); New Hebrides Act 1980 (30 July 1980); Kiribati Act 1979
# (12 July 1979); renaming of Belarus (19 Sept 1991).
ENDED = [
    ("MADE IN DDR", "DDDE", 1990),
    ("EAST GERMANY", "DDDE", 1990),
    ("GERMAN DEMOCRATIC REPUBLIC", "DDDE", 1990),
    ("CZECHOSLOVAKIA", "CSHH", 1992),
    ("MADE IN CZECHO-SLOVAKIA", "CSHH", 1992),
    ("TCHECOSLOVAQUIE", "CSHH", 1992),
    ("MADE IN U.S.S.R.", "SUHH", 1991),
    ("CCCP", "SUHH", 1991),
    ("MADE IN YUGOSLAVIA", "YUCS", 2003),
    ("SERBIA AND MONTENEGRO", "CSXX", 2006),
    ("RHODESIA", "RHZW", 1980),
    ("ZAIRE", "ZRCD", 1997),
    ("DAHOMEY", "DYBJ", 1975),
    ("UPPER VOLTA", "HVBF", 1984),
    ("BURMA", "BUMM", 1989),
    ("CANAL ZONE", "PZPA", 1979),
    ("NETHERLANDS ANTILLES", "ANHH", 2010),
    ("NEW HEBRIDES", "NHVU", 1980),
    ("GILBERT AND ELLICE ISLANDS", "GEHH", 1979),
    ("BYELORUSSIAN SSR", "BYAA", 1991),
]


@every_case(("text", "code", "ended"), ENDED)
def test_word_of_a_dissolved_state_ends_with_it(text: str, code: str, ended: int) -> None:
    withdrawn = int(pycountry.historic_countries.get(alpha_4=code).withdrawal_date[:4])

    not_after = marked(text).date.not_after

    assert not_after is not None
    assert ended <= not_after <= max(withdrawn, ended) + TOLERANCE


@every_case(("text", "code", "ended"), ENDED)
def test_reading_of_a_dissolved_state_lies_in_its_life(text: str, code: str, ended: int) -> None:
    date = marked(text).date

    late = sum(date.curve[ended + TOLERANCE + 1 - date.first_year :])
    assert date.range.last <= ended + TOLERANCE
    assert late < 0.05


# Ends that ISO 3166-3 (in force since 1974) does not hold: British Nationality Act of each land
# and the independence acts: India 1947, Gold Coast 1957, Malaysia Act 1963, Ceylon's constitution
# of 22 May 1972, Belize 1 June 1973; Control Council law 46 (Prussia, 25 Feb 1947); Saar treaty
# of 27 Oct 1956; treaty of 28 June 1919 and the end of Danzig in 1939; Anglo-Irish years of the
# Free State 1922-1937; Geneva agreements 1954; Hague transfer 27 Dec 1949; Belgian Congo 30 June
# 1960; Transjordan renamed 26 Apr 1949; United Arab Republic renamed 2 Sept 1971; Austria-Hungary
# to 1918; Puerto Rico's spelling restored by 47 Stat. 158 (17 May 1932).
ENDED_EARLIER = [
    ("BRITISH INDIA", 1947),
    ("GOLD COAST", 1957),
    ("MALAYA", 1963),
    ("CEYLON", 1972),
    ("BRITISH HONDURAS", 1973),
    ("PRUSSIA", 1947),
    ("SAAR", 1957),
    ("FREE CITY OF DANZIG", 1939),
    ("IRISH FREE STATE", 1937),
    ("FRENCH INDOCHINA", 1954),
    ("DUTCH EAST INDIES", 1949),
    ("BELGIAN CONGO", 1960),
    ("TRANSJORDAN", 1949),
    ("UNITED ARAB REPUBLIC", 1971),
    ("AUSTRIA-HUNGARY", 1918),
    ("PORTO RICO", 1932),
    ("STRAITS SETTLEMENTS", 1946),
    ("TANGANYIKA", 1964),
]


@every_case(("text", "ended"), ENDED_EARLIER)
def test_word_of_an_older_state_ends_with_it(text: str, ended: int) -> None:
    reading = marked(text)

    [shown] = [each for each in reading.clues if each.clue.startswith("marked-")]
    window = clue(shown.clue).made
    assert window is not None
    assert window.last is not None
    assert ended <= window.last.number <= ended + TOLERANCE


# --- States that began ----------------------------------------------------------------------------

# Declarations and founding acts of the states themselves: Bonn Basic Law of 23 May 1949; Berlin
# constitution of 7 Oct 1949; Israel 14 May 1948; Indian Independence Act 1947; Bangladesh 26 Mar
# 1971; Sri Lanka 22 May 1972; Malaysia 16 Sept 1963; Indonesia 17 Aug 1945; Thailand 24 June
# 1939; Iran 21 Mar 1935; People's Republic 1 Oct 1949; Czech Republic 1 Jan 1993; Croatia and
# Slovenia 25 June 1991; Republic of Ireland Act 1948 (18 Apr 1949); Government of Ireland Act
# 1920 (3 May 1921); treaty on the Danish West Indies (31 Mar 1917); Treaty on the Creation of
# the USSR (30 Dec 1922); Czechoslovakia 28 Oct 1918; Yugoslavia 3 Oct 1929; Zaire 27 Oct 1971.
BEGAN = [
    ("WEST GERMANY", 1949),
    ("DDR", 1949),
    ("ISRAEL", 1948),
    ("PAKISTAN", 1947),
    ("BANGLADESH", 1971),
    ("SRI LANKA", 1972),
    ("MALAYSIA", 1963),
    ("INDONESIA", 1945),
    ("THAILAND", 1939),
    ("IRAN", 1935),
    ("PEOPLE'S REPUBLIC OF CHINA", 1949),
    ("CZECH REPUBLIC", 1993),
    ("CROATIA", 1991),
    ("REPUBLIC OF IRELAND", 1949),
    ("NORTHERN IRELAND", 1921),
    ("VIRGIN ISLANDS", 1917),
    ("USSR", 1922),
    ("CZECHOSLOVAKIA", 1918),
    ("YUGOSLAVIA", 1929),
    ("ZAIRE", 1971),
]


@every_case(("text", "began"), BEGAN)
def test_word_of_a_state_begins_with_it(text: str, began: int) -> None:
    date = marked(text).date

    early = sum(date.curve[: began - date.first_year])
    assert date.range.first >= began
    assert early < 0.05


# --- Laws and orders on imports -------------------------------------------------------------------

# Tariff Act of 1 Oct 1890, section 6 (26 Stat. 613): from 1 March 1891. It compelled the name and
# did not forbid it before: so no hard start, but a rise about 1891.
TARIFF_1890 = [
    ("GERMANY", "marked-germany"),
    ("ENGLAND", "marked-england"),
    ("FRANCE", "marked-france"),
    ("ITALY", "marked-italy"),
    ("HOLLAND", "marked-holland"),
    ("BELGIUM", "marked-belgium"),
    ("SWITZERLAND", "marked-switzerland"),
    ("INDIA", "marked-india"),
    ("SWEDEN", "marked-sweden"),
    ("PORTUGAL", "marked-portugal"),
]


@every_case(("text", "name"), TARIFF_1890)
def test_country_name_rises_with_the_tariff_act_of_1890(text: str, name: str) -> None:
    reading = marked(text)

    assert name in fired(reading)
    assert reading.date.not_before is None
    assert height(reading, name, 1900) > height(reading, name, 1880)
    assert height(reading, name, 1925) > 2 * height(reading, name, 1870)


# SCAPIN-1535 of 20 Feb 1947 asked for the words on exports; peace treaty in force 28 Apr 1952.
@pytest.mark.parametrize("text", ["OCCUPIED JAPAN", "MADE IN OCCUPIED JAPAN"])
def test_occupied_japan_is_of_1947_to_1952(text: str) -> None:
    date = marked(text).date

    inside = sum(date.curve[1947 - date.first_year : 1952 - date.first_year + 1])
    assert inside > 0.75
    assert date.not_before is not None
    assert 1945 <= date.not_before <= 1947
    assert date.not_after is not None
    assert 1952 <= date.not_after <= 1952 + TOLERANCE


# Occupation statute and Basic Law: zones from June 1945 to 23 May 1949.
@pytest.mark.parametrize(
    ("text", "slack"),
    [("GERMANY US ZONE", 4), ("BRITISH ZONE GERMANY", 3), ("FRENCH ZONE GERMANY", 3)],
)
def test_zones_of_germany_are_of_1945_to_1949(text: str, slack: int) -> None:
    date = marked(text).date

    assert date.not_before == 1945
    assert date.not_after is not None
    assert 1949 <= date.not_after <= 1949 + slack


# Customs Regulations article 509(b) as changed on 31 Jan 1934, for goods from 9 May 1934.
@pytest.mark.parametrize("text", ["BAVARIA", "SAXONY"])
def test_province_alone_fades_after_1934(text: str) -> None:
    reading = marked(text)
    name = f"marked-{text.lower()}"

    assert height(reading, name, 1930) == 1.0
    assert height(reading, name, 1950) < 0.6


# Treasury ruling of 1921 on the word Nippon.
def test_nippon_gives_way_to_japan_after_1921() -> None:
    nippon, japan = marked("NIPPON"), marked("JAPAN")

    assert height(nippon, "marked-nippon", 1918) == 1.0
    assert height(nippon, "marked-nippon", 1935) < 0.5
    assert height(japan, "marked-japan", 1925) == 1.0
    assert height(japan, "marked-japan", 1910) < 1.0


# Merchandise Marks Act 1887 (50 & 51 Vict. c. 28), in force 23 Aug 1887 and 1 Jan 1888.
@pytest.mark.parametrize(
    ("text", "name"),
    [("MADE IN GERMANY", "marked-made-in-germany"), ("FOREIGN", "marked-foreign")],
)
def test_merchandise_marks_act_of_1887_begins_the_bulk(text: str, name: str) -> None:
    reading = marked(text)
    [found] = [each for each in reading.clues if each.clue == name]
    before = found.window[: 1887 - reading.date.first_year]

    assert sum(before) < 0.1 * sum(found.window)


# Years in which the state did not exist or the trade was shut: Anschluss law of 13 March 1938 and
# declaration of 27 April 1945; occupation of Czechoslovakia 15 March 1939 to May 1945; Soviet rule
# over the Baltic states to 1991; war with Japan from 8 Dec 1941 to trade in Aug 1947; American
# embargo on China from Dec 1950 to June 1971; USSR from Dec 1922 to Dec 1991.
SHUT = [
    ("AUSTRIA", "marked-austria", 1941, 1950),
    ("MADE IN AUSTRIA", "marked-made-in-austria", 1942, 1950),
    ("CZECHOSLOVAKIA", "marked-czechoslovakia", 1942, 1930),
    ("POLAND", "marked-poland", 1942, 1930),
    ("LATVIA", "marked-baltic-state", 1960, 1930),
    ("JAPAN", "marked-japan", 1944, 1935),
    ("MADE IN JAPAN", "marked-made-in-japan", 1944, 1960),
    ("CHINA", "marked-china", 1960, 1930),
    ("RUSSIA", "marked-russia", 1950, 1910),
]


@every_case(("text", "name", "shut", "open_year"), SHUT)
def test_years_without_the_trade_are_left_out(
    text: str, name: str, shut: int, open_year: int
) -> None:
    reading = marked(text)

    assert height(reading, name, shut) < 0.4 * height(reading, name, open_year)


# --- A longer phrase is not the shorter one -------------------------------------------------------

# Names of states as the United Nations list of member states keeps them apart.
NEAR_MISSES = [
    ("WEST GERMANY", "marked-west-germany", "marked-germany"),
    ("MADE IN W. GERMANY", "marked-west-germany", "marked-made-in-germany"),
    ("GERMANY U.S. ZONE", "marked-germany-us-zone", "marked-germany"),
    ("EAST GERMANY", "marked-east-germany", "marked-germany"),
    ("AUSTRIA HUNGARY", "marked-austria-hungary", "marked-hungary"),
    ("OCCUPIED JAPAN", "marked-occupied-japan", "marked-japan"),
    ("CZECHO-SLOVAKIA", "marked-czechoslovakia", "marked-slovakia"),
    ("NORTHERN IRELAND", "marked-northern-ireland", "marked-ireland"),
    ("REPUBLIC OF CHINA TAIWAN", "marked-republic-of-china", "marked-taiwan"),
    ("PEOPLES REPUBLIC OF CHINA", "marked-peoples-republic-of-china", "marked-republic-of-china"),
    ("BRITISH INDIA", "marked-british-india", "marked-india"),
    ("STERLING SIAM", "marked-siam-sterling", "marked-siam"),
    ("TRANSJORDAN", "marked-transjordan", "marked-jordan"),
    ("SOVIET RUSSIA", "marked-soviet-russia", "marked-russia"),
    ("DANZIG", "marked-danzig", "marked-germany"),
    ("INDOCHINE", "marked-french-indochina", "marked-china"),
    ("DUTCH EAST INDIES", "marked-dutch-east-indies", "marked-india"),
    ("SERBIA AND MONTENEGRO", "marked-serbia-and-montenegro", "marked-yugoslavia"),
]


@every_case(("text", "wanted", "unwanted"), NEAR_MISSES)
def test_one_state_is_not_taken_for_another(text: str, wanted: str, unwanted: str) -> None:
    found = fired(marked(text))

    assert wanted in found
    assert unwanted not in found


# --- Facts of the trade ---------------------------------------------------------------------------


# Common practice, no source: "within about 1955-1975"; about is taken as five years either way.
def test_austrian_brooch_with_resin_stones_is_of_about_1955_to_1975() -> None:
    reading = reader().read(
        Request(note="brooch, marked AUSTRIA, resin stones, edge-worn plating", next_looks=0)
    )

    assert reading.date.range.first >= 1955 - 5
    assert reading.date.range.last <= 1975 + 5
    assert 1955 <= reading.date.likeliest <= 1975


# Common practice, no source.
def test_made_in_austria_with_foiled_glass_is_likeliest_of_the_1950s_and_60s() -> None:
    reading = reader().read(
        Request(note="brooch, marked MADE IN AUSTRIA, foiled glass stones, blistering plating")
    )

    inside = sum(reading.date.curve[1950 - reading.date.first_year :][:20])
    assert 1950 <= reading.date.likeliest <= 1969
    assert inside > 0.5
