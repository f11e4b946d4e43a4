"""A table of cases in one test loses none of them, and hides none that fails."""

from __future__ import annotations

import inspect

import pytest
from together import every_case


def test_all_cases_are_tried_and_every_failing_one_is_told() -> None:
    tried = []

    @every_case("number", range(6))
    def is_even(number: int) -> None:
        tried.append(number)
        assert number % 2 == 0, "odd"

    with pytest.raises(AssertionError) as told:
        is_even()

    assert tried == [0, 1, 2, 3, 4, 5]
    assert str(told.value).startswith("3 of 6 cases fail:")
    for failing in ("[1] AssertionError: odd", "[3] AssertionError: odd", "[5] AssertionError"):
        assert failing in str(told.value)
    assert "[2]" not in str(told.value)
    assert isinstance(told.value.__cause__, AssertionError)


def test_one_upon_another_they_try_each_with_each() -> None:
    tried = []

    @every_case("letter", "ab")
    @every_case(("number", "sign"), [(1, "+"), (2, "-")], ids=["one", "two"])
    def each(letter: str, number: int, sign: str) -> None:
        tried.append(letter + sign + str(number))
        if letter == "b" and number == 2:
            raise KeyError("no such thing")

    with pytest.raises(AssertionError, match=r"(?s)\[b\].*\[two\] KeyError: 'no such thing'"):
        each()

    assert tried == ["a+1", "a-2", "b+1", "b-2"]


def test_what_fails_without_an_error_of_its_own_fails() -> None:
    @every_case("raised", [ValueError, TypeError])
    def raises_a_value_error(raised: type[Exception]) -> None:
        with pytest.raises(ValueError, match="told"):
            raise raised("told") if raised is ValueError else KeyError("other")

    @every_case("nothing", [None])
    def raises_nothing(nothing: None) -> None:
        with pytest.raises(ValueError, match="told"):
            assert nothing is None

    with pytest.raises(AssertionError, match="1 of 2 cases fail"):
        raises_a_value_error()
    with pytest.raises(AssertionError, match="1 of 1 cases fail"):
        raises_nothing()


def test_a_case_that_is_skipped_keeps_no_other_from_being_tried() -> None:
    @every_case("number", [1, 2, 3])
    def skipped(number: int) -> None:
        if number == 1:
            pytest.skip("not here")
        assert number < 3

    @every_case("number", [1, 2])
    def all_skipped(number: int) -> None:
        pytest.skip(f"not here {number}")

    with pytest.raises(AssertionError, match="1 of 3 cases fail"):
        skipped()
    with pytest.raises(pytest.skip.Exception, match="not here 1"):
        all_skipped()


def test_a_table_without_a_case_is_refused() -> None:
    with pytest.raises(ValueError, match="no case"):
        every_case("number", [])


def test_fixtures_are_asked_for_and_cases_are_not() -> None:
    @every_case("number", [1])
    def test(base: object, number: int) -> None:
        assert (base, number) == ("given", 1)

    assert list(inspect.signature(test).parameters) == ["base"]
    test(base="given")
