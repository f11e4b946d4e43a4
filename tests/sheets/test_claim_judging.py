"""Whether a piece bears what is said of it: invented claims and readings made by hand."""

from __future__ import annotations

import pytest
from claims_base import claims_base, reading
from together import every_case

from markrules.inference.reading import Reading
from markrules.knowledge.observation import Observation
from markrules.reading.reader import Request
from markrules.sheets.claims import check_text, rewritten

BASE = claims_base()


def flagged(text: str, read: Reading | None) -> list[str]:
    return [flag.words for flag in check_text(BASE, text, read)]


def mark(text: str, state: str = "seen", *, heard: bool = False) -> Observation:
    return Observation("mark", text, state, heard=heard)  # type: ignore[arg-type]


@every_case(
    ("text", "first", "last", "stands"),
    [
        # A year, both ends of a span in either order, a decade, and about a year.
        ("1950", 1950, 1950, True),
        ("1950", 1949, 1949, False),
        ("1950", 1951, 1951, False),
        ("1940 to 1950", 1940, 1950, True),
        ("1950 to 1940", 1940, 1950, True),
        ("1940 to 1950", 1939, 1939, False),
        ("1940 to 1950", 1951, 1951, False),
        ("1940s", 1940, 1949, True),
        ("1940s", 1950, 1950, False),
        ("1940s", 1939, 1939, False),
        ("c. 1950", 1940, 1960, True),
        ("ca 1950", 1950, 1950, True),
        ("c 1945", 1935, 1955, True),
        ("c 1945", 1934, 1934, False),
        ("c 1945", 1956, 1956, False),
        ("c 1950", 1939, 1939, False),
        ("c 1950", 1961, 1961, False),
        # Stretches told together count together; what lies between them does not.
        ("1884 to 1908 or 1941 to 1951", 1884, 1908, True),
        ("1884 to 1908 or 1941 to 1951", 1941, 1951, True),
        ("1884 to 1908 or 1941 to 1951", 1920, 1920, False),
        ("1884 or 1900 or 1941", 1900, 1900, True),
        ("1866, 1884–1908, 1941–1951 or 1987–2001", 1866, 1866, True),
        ("1866, 1884–1908, 1941–1951 or 1987–2001", 1884, 1908, True),
        ("1866, 1884–1908, 1941–1951 or 1987–2001", 1941, 1951, True),
        ("1866, 1884–1908, 1941–1951 or 1987–2001", 1912, 1938, False),
        ("1884 or 1900 or 1941", 1910, 1910, False),
        ("1884 or 1941", 1884, 1884, True),
        ("1884 or 1941", 1941, 1941, True),
        ("1884 or 1941", 1900, 1900, False),
        ("1908 to 1884 or 1941", 1890, 1890, True),
        ("c 1884 or c 1941", 1941, 1941, True),
        # Decades too: told as a stretch, as a choice, and apart by more than a dash.
        ("1920s to 1950s", 1920, 1959, True),
        ("1920s - 1950s", 1920, 1959, True),
        ("1920s to 1950s", 1960, 1960, False),
        ("1920s or 1940s", 1940, 1949, True),
        ("1920s or 1940s", 1930, 1939, False),
        ("1920s or late 1940s", 1920, 1929, True),
        ("1920s, 1930s or 1940s", 1935, 1935, True),
        ("1930s, but not 1950s", 1955, 1955, False),
        # Within the window of a claim.
        ("Edwardian", 1901, 1910, True),
        ("Edwardian", 1900, 1900, False),
        ("Edwardian", 1911, 1911, False),
        # A hundred years old by the last year of the grid.
        ("Antique", 1926, 1926, True),
        ("Antique", 1927, 1927, False),
    ],
)
def test_years_that_are_claimed(text: str, first: int, last: int, stands: bool) -> None:
    share = 1 / (last - first + 1)
    read = reading(dict.fromkeys(range(first, last + 1), share))
    assert (flagged(text, read) == []) is stands


@every_case(
    ("text", "inside", "stands"),
    [
        ("1950", 0.8, True),
        ("1950", 0.79, False),
        # A claim with a share of its own.
        ("Antique", 0.9, True),
        ("Antique", 0.89, False),
    ],
)
def test_the_share_of_years_that_bears_a_claim(text: str, inside: float, stands: bool) -> None:
    read = reading({1900 if text == "Antique" else 1950: inside, 2000: 1 - inside})
    assert (flagged(text, read) == []) is stands


@pytest.mark.parametrize(
    ("first", "last", "stands"), [(1935, 1955, True), (1934, 1955, False), (1935, 1956, False)]
)
def test_about_a_year_is_ten_years_to_either_side(first: int, last: int, stands: bool) -> None:
    read = reading({first: 0.5, last: 0.5})
    assert (flagged("c 1945", read) == []) is stands


def test_three_years_in_a_row_are_two_and_one() -> None:
    """Of `1884 to 1908 1930 or 1941` the years between 1908 and 1930 are not told."""
    read = reading({1920: 1.0})
    assert flagged("c 1884 to 1908 1930 or 1941", read) != []


def test_without_evidence_no_year_stands() -> None:
    read = reading({1950: 1.0}, evidence=False)
    assert flagged("1950. Edwardian. Antique", read) == ["1950", "Edwardian", "Antique"]


def test_parts_of_years_of_a_choice_add_up() -> None:
    read = reading({1884: 0.4, 1941: 0.4, 2000: 0.2})
    assert flagged("1884 or 1941", read) == []
    assert flagged("1884 or 1942", read) == ["1884 or 1942"]


@every_case(
    ("seen", "stands"),
    [
        ((mark("PAT 1943"),), True),
        ((mark("PAT 1944"),), False),
        ((mark("PAT 1943", heard=True),), False),
        ((mark("X"), mark("1943")), True),
    ],
)
def test_a_year_that_stands_on_the_piece_may_be_told(
    seen: tuple[Observation, ...], stands: bool
) -> None:
    assert (flagged("1943", reading({1800: 1.0, 1801: 0.0}, seen=seen)) == []) is stands


def test_of_two_years_both_must_stand_on_the_piece() -> None:
    seen = (mark("PAT 1943"),)
    assert flagged("1943 to 1950", reading({1801: 1.0}, seen=seen)) == ["1943 to 1950"]
    assert flagged("1943 to 1950", reading({1801: 1.0}, seen=(*seen, mark("1950")))) == []


@every_case(
    ("makers", "stands"),
    [
        ((("quell", 0.8), ("", 0.2)), True),
        ((("quell", 0.79), ("", 0.21)), False),
        ((("amber", 0.9), ("quell", 0.1)), False),
        ((), False),
    ],
)
def test_a_maker_is_named_where_probable(
    makers: tuple[tuple[str, float], ...], stands: bool
) -> None:
    assert (flagged("by Quell", reading(makers=makers)) == []) is stands


@every_case(
    ("seen", "stands"),
    [
        (mark("QUELL"), True),
        (mark("© QUELL CO"), True),
        (mark("QUELLBROOK"), True),
        (mark("Quell & Sons"), True),
        (mark("QUELLS"), False),
        (mark("QUELL", heard=True), False),
        (mark("QUELL", "ruled-out"), False),
        (mark("QUELL", "replaced"), False),
        (mark("", "absent"), False),
        (Observation("label", "QUELL"), False),
    ],
)
def test_a_name_is_said_to_stand_on_a_piece_where_it_was_read_there(
    seen: Observation, stands: bool
) -> None:
    assert (flagged("signed Quell", reading(seen=(seen,))) == []) is stands


def test_a_mark_does_not_make_its_owner_the_maker_nor_the_other_way() -> None:
    assert flagged("by Quell", reading(seen=(mark("QUELL"),))) == ["by Quell"]
    assert flagged("signed Quell", reading(makers=(("quell", 1.0),))) == ["signed Quell"]


@every_case(
    ("text", "seen", "claimed"),
    [
        ('stamped "gold"', (mark("GOLD"),), []),
        ("stamped “gold”", (mark("GOLD"),), []),
        ('stamped " Gold "', (mark("gold "),), []),
        ('stamped "gold"', (mark("GOLDEN"),), ["gold"]),
        ('stamped "gold"', (mark("AGOLD"), mark("GOLE")), ["gold"]),
        ('stamped "gold ring"', (mark("GOLD"),), ["gold"]),
        ('stamped "gold"', (mark("GOLD", heard=True),), ["gold"]),
        ('stamped "gold"', (mark("GOLD", "ruled-out"),), ["gold"]),
        ('stamped "gold"', (mark("GOLD", "replaced"),), ["gold"]),
        ('stamped "gold"', (Observation("label", "GOLD"),), ["gold"]),
        ('gold "gold"', (mark("GOLD"),), ["gold"]),
        ('"gold" gold', (mark("GOLD"),), ["gold"]),
        ('5" of "gold"', (mark("GOLD"),), ["gold"]),
        ('"gold\nring"', (mark("GOLD"),), ["gold"]),
        ('"gold', (mark("GOLD"),), ["gold"]),
        # Quotes are looked for at most 200 signs away.
        ('"' + "a " * 99 + 'gold"', (mark("A " * 99 + "GOLD"),), []),
        ('"' + "a " * 101 + 'gold"', (mark("A " * 101 + "GOLD"),), ["gold"]),
        ('"gold' + " a" * 99 + '"', (mark("GOLD" + " A" * 99),), []),
        ('"gold' + " a" * 101 + '"', (mark("GOLD" + " A" * 101),), ["gold"]),
    ],
)
def test_words_in_quotes_are_those_of_a_mark_or_a_claim(
    text: str, seen: tuple[Observation, ...], claimed: list[str]
) -> None:
    assert flagged(text, reading(seen=seen)) == claimed


@every_case(
    ("text", "seen", "claimed"),
    [
        # `unless` bears a claim; `when` is asked first, and where it does not hold nothing is said.
        ("silver", (mark("STERLING"),), []),
        ("silver", (mark("PLATED"),), ["silver"]),
        ("tested", (mark("PLATED"),), ["tested"]),
        ("tested", (mark("STERLING"),), []),
        ("tested", (), []),
    ],
)
def test_conditions_of_a_claim(
    text: str, seen: tuple[Observation, ...], claimed: list[str]
) -> None:
    assert flagged(text, reading(seen=seen)) == claimed


def test_without_a_reading_each_claim_is_told_unless_it_depends_on_the_piece() -> None:
    text = "solid gold, 1950, by Quell, signed Quell, silver, tested, Antique"
    assert flagged(text, None) == [
        "solid gold", "1950", "by Quell", "signed Quell", "silver", "Antique",
    ]  # fmt: skip


@every_case(
    ("text", "read", "better"),
    [
        ("Rubies", None, "Red stone"),
        ("12k Golds", None, "12k gold, untested"),
        ("by Quell", None, "maker not known"),
        ("by Quell", reading(), "maker not known"),
        ("1950", None, "date not known"),
        ("1900", reading({1940: 0.5, 1950: 0.5}), "circa 1940–1950"),
        ("Antique", reading({1950: 1.0}), "Of circa 1950"),
        ("by Quell", reading(makers=(("quell", 0.7),)), "attributed to Quell"),
    ],
)
def test_better_words_hold_what_is_known_of_the_piece(
    text: str, read: Reading | None, better: str
) -> None:
    assert rewritten(text, check_text(BASE, text, read)) == better


def test_a_flag_tells_its_place_and_reason() -> None:
    first, second, third = check_text(BASE, "A ruby,\nsolid gold\n\n silver")
    assert (first.claim, first.start, first.end, first.line, first.column) == ("rubies", 2, 6, 1, 3)
    assert (second.start, second.end, second.line, second.column) == (8, 18, 2, 1)
    assert (third.line, third.column) == (4, 2)
    assert (second.say, second.law, second.note) == ("Solid?", "l", "n")


@every_case(
    ("text", "better"),
    [
        ("", ""),
        ("A  plain  pin .", "A  plain  pin ."),
        ("never worn", ""),
        ("Never worn.", ""),
        ("A pin, never worn, of gold", "A pin, of gold tone"),
        ("A pin (never worn)", "A pin"),
        ("A pin ( never worn ) of gold", "A pin of gold tone"),
        ("A pin; never worn.", "A pin."),
        ("A pin. Never worn. Small.", "A pin. Small."),
        ("A pin! Never worn, and small.", "A pin! and small."),
        ("Never worn, and small.", "and small."),
        ("A pin.  never worn", "A pin."),
        ("A gold tone gold", "A gold tone gold tone"),
        ("Gold tone", "Gold tone"),
        ("Rubies stone", "Red stone"),
        ("Rubies stones", "Red stones"),
        ("gold\nnever worn\nSilver", "gold tone\n\n"),
        ("a gold , ring", "a gold tone, ring"),
    ],
)
def test_the_text_with_better_words_is_left_tidy(text: str, better: str) -> None:
    assert rewritten(text, check_text(BASE, text)) == better


def test_of_claims_that_overlap_the_first_and_longest_is_told() -> None:
    assert flagged("by Quell 1950", None) == ["by Quell", "1950"]
    assert flagged("signed Quell", None) == ["signed Quell"]
    assert flagged("solid gold", None) == ["solid gold"]


def test_years_with_another_word_between_are_not_told_together() -> None:
    read = reading({1941: 1.0})
    assert flagged("1884 to 1908 gold or 1941", read) == ["1884 to 1908", "gold"]
    assert flagged("1884 to 1908 12345 or 1941", read) == ["1884 to 1908"]
    assert flagged("1884 to 1908 or 1941", read) == []


def test_a_claim_is_borne_where_the_text_makes_another_that_is() -> None:
    """The invented `lustre` stands beside `silver` and `old`, each of which must be borne."""
    marked = reading({1950: 1.0}, seen=(mark("STERLING"),))

    assert flagged("lustre. silver.", marked) == []
    assert flagged("silver lustre", marked) == []
    assert flagged("lustre", marked) == ["lustre"]
    assert flagged("no silver, lustre", marked) == ["lustre"]
    assert flagged("silver lustre", reading({1950: 1.0})) == ["silver", "lustre"]
    assert flagged("antique lustre", reading({1900: 1.0})) == []
    assert flagged("antique lustre", marked) == ["antique", "lustre"]
    assert flagged("silver lustre", None) == ["silver", "lustre"]


def test_years_told_as_a_choice_are_counted_once() -> None:
    """Of two stretches that overlap, the years of both together count, and none of them twice."""
    read = reading({1925: 0.45, 1990: 0.55})

    assert flagged("1920s or 1921 to 1929", read) != []
    assert flagged("1920s or 1990s", read) == []


def test_a_word_of_a_longer_mark_names_nobody(reader) -> None:
    reading = reader.read(Request("brooch, marked WEST GERMANY, filigree", next_looks=0))

    def signed(text: str) -> list[str]:
        flags = check_text(reader.base, text, reading)
        return [each.claim for each in flags if each.claim.startswith("maker")]

    assert signed("Filigree brooch marked WEST GERMANY.") == []
    assert signed("Filigree brooch, marked WEST.") == ["maker-signed"]
    assert signed("Marked WEST GERMANY, signed WEST.") == ["maker-signed"]
    assert signed("Filigree brooch marked WEST BERLIN.") == ["maker-signed"]


def test_an_answer_that_stops_short_of_yes_claims_nothing(reader) -> None:
    reading = reader.read(Request("brooch, gold tone, one scratch", next_looks=0))
    for text in ("Flawless? Nearly: one scratch.", "Signed by Trifari? Hard to say."):
        assert check_text(reader.base, text, reading) == (), text
    for text in ("Flawless? Yes.", "Made by Trifari? Of course it is."):
        assert check_text(reader.base, text, reading) != (), text


def test_what_only_an_owner_can_know_is_borne_by_the_record(reader) -> None:
    def claims(record: str, text: str) -> list[str]:
        return [
            each.claim
            for each in check_text(reader.base, text, reader.read(Request(record, next_looks=0)))
        ]

    text = "Mesh bracelet, never worn."
    assert claims("bracelet, silver tone mesh", text) == ["never-worn"]
    assert claims("bracelet, silver tone mesh, never worn, tag still attached", text) == []
    # A metal is no matter of what somebody says of it.
    assert claims("bracelet, said to be solid gold", "Solid gold bracelet.") != []


def test_stones_that_were_tested_and_are_glass_bear_no_gem(reader) -> None:
    glass = reader.read(Request("ring, green stone, stone tested as glass", next_looks=0))
    stones = reader.read(Request("ring, emerald, stones tested", next_looks=0))

    assert check_text(reader.base, "Ring with an emerald.", glass) != ()
    assert check_text(reader.base, "Ring with an emerald.", stones) == ()


def test_one_of_two_is_no_pair(reader) -> None:
    single = reader.read(Request("earring, clip, its mate is lost", next_looks=0))

    flags = check_text(reader.base, "Pair of clip earrings.", single)
    assert [each.claim for each in flags] == ["pair-of-one"]
    assert check_text(reader.base, "One of a pair of clip earrings.", single) == ()
