"""Years as people write them beside a mark."""

from __future__ import annotations

from pathlib import Path

from hypothesis import given
from hypothesis import strategies as st
from together import every_case

from markrules.language.windows import Window, Year
from markrules.marks.mark_import import import_csv
from markrules.marks.private_list import years_of
from markrules.marks.private_marks import PrivateMarks
from markrules.marks.spans_written import written_span


@every_case(
    ("text", "first", "last"),
    [
        ("1960", 1960, 1960),
        (" c. 1960 ", 1960, 1960),
        ("about 1960", 1960, 1960),
        ("1955-60", 1955, 1960),
        ("1955 – 1960", 1955, 1960),
        ("between 1955 and 1960", 1955, 1960),
        ("1960s", 1960, 1969),
        ("1960's", 1960, 1969),
        ("1950s-1970s", 1950, 1979),
        ("1950s–70s", 1950, 1979),
        ("1900s", 1900, 1909),
        ("early 1950s", 1950, 1952),
        ("mid-1950s", 1953, 1955),
        ("LATE 1950S", 1956, 1959),
        ("from 1950", 1950, None),
        ("1980 onwards", 1980, None),
        ("1980-", 1980, None),
        ("until 1930", None, 1930),
        ("until the 1930s", None, 1939),
        ("-1980", None, 1980),
        ("1990-1980", 1990, 1980),  # told to the person by whoever asks
    ],
)
def test_years_that_people_write(text: str, first: int | None, last: int | None) -> None:
    assert written_span(text) == (first, last)


@every_case(
    "text",
    [
        "",
        "?",
        "19x0",
        "x 1950 y",
        "3050",
        "19501960",
        "50s",
        "until 1950-",
        "1950-60-70",
        "١٩٥٠",
    ],
)
def test_what_is_not_years_alone_is_none(text: str) -> None:
    assert written_span(text) is None


@given(st.text(alphabet="0123456789 -–cabs'.fromutil", max_size=30))
def test_any_text_is_taken(text: str) -> None:
    span = written_span(text)
    assert span is None or any(1000 <= each < 2110 for each in span if each is not None)


def test_a_decade_of_a_list_is_ten_years() -> None:
    assert years_of("1960s") == Window(mostly_first=Year(1960), mostly_last=Year(1969))
    assert years_of("1955-60") == Window(mostly_first=Year(1955), mostly_last=Year(1960))
    assert years_of("until 1930") == Window(mostly_last=Year(1930))
    assert years_of("cat. of 1931, p. 4") == Window(mostly_first=Year(1931), mostly_last=Year(1931))
    assert years_of("") is None


def test_the_text_of_a_list_may_be_headed_mark(tmp_path: Path) -> None:
    file = tmp_path / "marks.csv"
    file.write_text("Mark,maker,years\nNOVAK,Novak,late 1950s\n", encoding="utf-8")

    report = import_csv(file, PrivateMarks(tmp_path / "marks.db"))

    assert (report.added, report.problems) == (1, ())
    file.write_text("mark,years\nDORSCH,1970-1960\n", encoding="utf-8")
    report = import_csv(file, PrivateMarks(tmp_path / "others.db"))
    assert "the first comes after the last" in str(report.problems[0])
