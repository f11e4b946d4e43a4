"""The formatter moves words and never changes them: laws over random texts, and examples."""

from __future__ import annotations

from pathlib import Path

from hypothesis import HealthCheck, given, settings
from language_strategies import laid_out
from samples import samples, some_of
from together import every_case

from markrules.language.formatter import format_text
from markrules.language.line_words import Layout
from markrules.language.lines import logical_lines
from markrules.language.parser import parse
from markrules.language.wrapping import WIDTH

RULES = Path(__file__).parents[2] / "rules"


def _comments(text: str) -> list[str]:
    layout = Layout("x")
    list(logical_lines(text, layout))
    return [comment.text for comment in layout.comments]


def _holds(text: str) -> str:
    """Check the laws of formatting for one sound text; the formatted text."""
    book, problems = parse(text, "x")
    assert problems == ()
    formatted, told = format_text(text, "x")
    again, problems = parse(formatted, "x")
    assert (told, problems) == ((), ())
    assert again == book
    assert _comments(formatted) == _comments(text)
    assert format_text(formatted, "x") == (formatted, ())
    return formatted


@settings(max_examples=samples(300), suppress_health_check=list(HealthCheck))
@given(laid_out())
def test_formatting_keeps_meaning_and_comments_and_twice_is_once(text: str) -> None:
    _holds(text)


@every_case(
    "path", some_of(sorted(RULES.rglob("*.rules"))), ids=lambda path: str(path.relative_to(RULES))
)
def test_the_laws_hold_for_a_rule_file(path: Path) -> None:
    _holds(path.read_text(encoding="utf-8"))


def test_lines_are_at_most_as_wide_as_said_where_words_allow() -> None:
    text = 'source a\n    title "' + "a word " * 60 + '"\n    kind  book\n'

    lines = _holds(text).splitlines()

    assert max(map(len, lines)) <= WIDTH
    assert len(lines) == 7


def test_a_text_with_problems_is_left_alone() -> None:
    text = "clue a\n  when  catch = open\n"

    assert format_text(text, "x")[0] == text
    assert [problem.code for problem in format_text(text, "x")[1]] == ["stray-sign"]


EXAMPLES = {
    "keys are set in a column, lists go on below their first item": (
        """
clue rollover-catch
  when catch is rollover
  made from 1911,
    mostly 1925 onward
  misleads   "Later repair."
  on brooch,bar-pin
  trust strong
  why "x"
""",
        """
clue rollover-catch
    when   catch is rollover
    made   from 1911, mostly 1925 onward
    misleads "Later repair."
    on     brooch, bar-pin
    trust  strong
    why    "x"
""",
    ),
    "one blank line at most, compact groups stay compact": (
        'piece a\npiece b\n\n\n\npiece c\n    also "x"\n\n',
        'piece a\npiece b\n\npiece c\n    also  "x"\n',
    ),
    "comments keep their place among the words": (
        """
piece a # first
    also "x",    # of x
  # of y
         "y", "z" # of z
   # the end of a
# of b
piece b
""",
        """
piece a  # first
    also  "x",  # of x
          # of y
          "y", "z"  # of z
    # the end of a
# of b
piece b
""",
    ),
    "a long condition goes on before and and or": (
        """
finding f
    when catch is rollover and (hinge is tube
        or hinge is ball-and-socket or hinge is round) and setting is prong
""",
        """
finding f
    when  catch is rollover and (hinge is tube or hinge is ball-and-socket or hinge is round)
          and setting is prong
""",
    ),
    "line ends become LF, a byte order mark goes": (
        '\ufeffpiece a\r\n    also "x"\r\n',
        'piece a\n    also  "x"\n',
    ),
}


@every_case("name", EXAMPLES)
def test_the_common_form(name: str) -> None:
    text, expected = EXAMPLES[name]

    formatted, problems = format_text(text.removeprefix("\n"), "x")

    assert (formatted, problems) == (expected.removeprefix("\n"), ())
