"""No text, however hostile, gives anything but a book and located problems, in bounded time."""

from __future__ import annotations

import re
import time
import tracemalloc
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from samples import samples
from together import every_case

from markrules.language.checker import check
from markrules.language.codes import CODES
from markrules.language.formatter import format_text
from markrules.language.line_words import LARGEST_FILE, LONGEST_LINE, MOST_PROBLEMS
from markrules.language.messages import show
from markrules.language.parser import parse
from markrules.language.problems import Problem
from markrules.language.tree import Book

RULES = Path(__file__).parents[2] / "rules"
SMALL_FILES = [each for each in sorted(RULES.rglob("*.rules")) if each.stat().st_size < 20_000]
INPUTS = samples(100_000)
# Long enough for a machine ten times slower than the one this was written on.
LONGEST_SECONDS = 5.0
SIGNS = 'abcxyz019  \n\n    ""(),#.%-+\\/\t\'`“”=:;_[]{}<>é©\x00\x1b\x7f\u2028\u202e\ufeff\ud800𝔄'
# Words of the parser's own tables, which no message may show.
TABLE_WORDS = re.compile(r"NEWLINE|INDENT|DEDENT|__ANON|\bNAME\b|\bTEXT\b|\bLPAR\b|Token|Traceback")


def _entries() -> list[str]:
    """Real entries, one text each, of which the mutated ones are made."""
    found: list[str] = []
    for path in sorted(RULES.rglob("*.rules")):
        blocks = re.split(r"\n(?=\w)", path.read_text(encoding="utf-8"))
        found += [block for block in blocks if 20 < len(block) < 500]
    return found


def _mutated(text: str, words: list[str], random: Random) -> str:
    for _ in range(random.randint(1, 4)):
        at = random.randrange(len(text) + 1)
        match random.randrange(8):
            case 0:
                text = text[:at] + text[at + random.randint(1, 3) :]
            case 1:
                text = text[:at] + random.choice(SIGNS) + text[at:]
            case 2:
                text = text[:at] + " " + random.choice(words) + " " + text[at:]
            case 3:
                text = text[:at]
            case 4:
                lines = text.split("\n")
                random.shuffle(lines)
                text = "\n".join(lines)
            case 5:
                text = text.replace(random.choice(["    ", '"', ",", " ", "\n"]), "", 1)
            case 6:
                text = text[:at] + "\n" + " " * random.randrange(12) + text[at:]
            case _:
                text = text[:at] + text[at // 2 : at] + text[at:]
    return text


def _inputs(count: int) -> Iterator[str]:
    random = Random(7)
    entries = _entries()
    words = sorted({word for entry in entries for word in entry.split()})
    for number in range(count):
        if number % 4 == 0:
            yield "".join(random.choice(SIGNS) for _ in range(random.randrange(80)))
        elif number % 4 == 1:
            yield " ".join(random.choice(words) for _ in range(random.randrange(25)))
        else:
            yield _mutated(random.choice(entries), words, random)


def _well_told(problem: Problem, text: str) -> None:
    assert problem.code in CODES
    assert 1 <= problem.place.line <= text.count("\n") + 1
    assert 1 <= problem.place.column < problem.place.end_column
    told = show(problem, text)
    assert not TABLE_WORDS.search(problem.message)
    assert all(sign.isprintable() or sign == "\n" for sign in told)


def _try(text: str) -> tuple[Book, tuple[Problem, ...]]:
    before = time.process_time()
    book, problems = parse(text, "x")
    found = check([book])
    assert time.process_time() - before < LONGEST_SECONDS
    for problem in problems + found:
        _well_told(problem, text)
    return book, problems


def test_a_hundred_thousand_random_and_mutated_texts() -> None:
    sound = 0
    for text in _inputs(INPUTS):
        book, problems = _try(text)
        if not problems:
            sound += 1
            formatted, told = format_text(text, "x")
            assert told == ()
            assert parse(formatted, "x") == (book, ())
            assert format_text(formatted, "x") == (formatted, ())
    assert sound > INPUTS // 20  # the mutations are not all broken


def _codes(text: str) -> set[str]:
    return {problem.code for problem in _try(text)[1]}


@pytest.mark.parametrize("depth", [41, 1_000, 9_000])
def test_deep_brackets_are_told(depth: int) -> None:
    text = f"clue a\n    when {'(' * depth}a is b{')' * depth}\n"

    assert _codes(text) == {"too-deep"}


def test_brackets_as_deep_as_allowed_are_read() -> None:
    text = f"finding a\n    when {'(' * 40}a is b{')' * 40}\n"

    assert _codes(text) == set()


def test_many_nots_are_told() -> None:
    assert _codes("finding a\n    when " + "not " * 4_000 + "a is b\n") == {"unexpected"}


def test_long_chains_are_read_in_bounded_time() -> None:
    text = "finding a\n    when a is b" + "\n        and a is b" * 900 + "\n"

    assert _codes(text) == set()


def test_a_line_of_ten_megabytes_costs_that_line() -> None:
    text = 'piece a\n    also "' + "x" * 10_000_000 + '"\n    say "kept"\npiece b\n'

    book, problems = _try(text)

    assert [problem.code for problem in problems] == ["line-too-long"]
    assert [(entry.name, getattr(entry, "say", "")) for entry in book.entries] == [
        ("a", "kept"),
        ("b", ""),
    ]


def test_a_line_joined_from_many_is_bounded_too() -> None:
    line = ' "' + "x" * 50 + '",'
    text = "piece a\n    also" + f"{line}\n        " * (3 * LONGEST_LINE // len(line)) + ' "y"\n'

    assert _codes(text) == {"line-too-long"}


def test_a_file_too_large_is_not_read() -> None:
    book, problems = parse("#" * (LARGEST_FILE + 1), "x")

    assert (book.entries, [problem.code for problem in problems]) == ((), ["file-too-large"])


def test_a_large_file_of_nothing_but_errors_is_bounded() -> None:
    tracemalloc.start()
    text = "=\n" * 1_000_000
    before = time.process_time()

    _, problems = parse(text, "x")

    assert time.process_time() - before < LONGEST_SECONDS
    assert tracemalloc.get_traced_memory()[1] < 200 * 1024 * 1024
    tracemalloc.stop()
    assert len(problems) == MOST_PROBLEMS + 1
    assert problems[-1].code == "more-problems"


@every_case("sign", [chr(at) for at in (*range(9), *range(11, 13), *range(14, 32))])
def test_control_characters_are_told_where_they_stand(sign: str) -> None:
    _, problems = _try(f'piece a\n    also "x{sign}y"\n')

    assert [(each.code, each.place.line, each.place.column) for each in problems] == [
        ("control-character", 2, 12)
    ]


@every_case("sign", ["\x7f", "\x85", "\u2028", "\u202e", "\u2066", "\ud800"])
def test_so_are_other_signs_that_hide_or_turn_text(sign: str) -> None:
    assert _codes(f"piece a\n    # {sign}\n") == {"control-character"}


def test_mixed_tabs_and_spaces_are_told_on_each_line() -> None:
    text = 'piece a\n\talso "x"\n  \talso "y"\n    \talso "z"\n'

    book, problems = _try(text)

    assert (problems[0].code, problems[0].place.line) == ("tab", 2)
    assert {each.place.line for each in problems} == {2, 3, 4}
    assert [entry.name for entry in book.entries] == ["a"]


@settings(max_examples=samples(60), suppress_health_check=list(HealthCheck))
@given(st.data())
def test_an_open_quote_or_bracket_costs_its_own_entry_alone(data: st.DataObject) -> None:
    """Every other entry of the file is read as it was."""
    text = data.draw(st.sampled_from(SMALL_FILES)).read_text(encoding="utf-8")
    lines = text.splitlines()
    heads = [n for n, line in enumerate(lines) if line and line[0] not in " #"]
    at = data.draw(st.sampled_from([n for n, line in enumerate(lines) if line.strip()]))
    column = data.draw(st.integers(0, len(lines[at])))
    sign = data.draw(st.sampled_from('"('))
    lines[at] = lines[at][:column] + sign + lines[at][column:]
    hurt = max((n for n in heads if n <= at), default=-1)

    found = {(type(each), each.name): each for each in parse("\n".join(lines), "x")[0].entries}

    for entry in parse(text, "x")[0].entries:
        if entry.span.line - 1 != hurt:
            assert found[type(entry), entry.name] == entry
