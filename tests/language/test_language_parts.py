"""Parts of the language one by one: trees, recovery, units, messages and the two commands."""

from __future__ import annotations

from pathlib import Path

import pytest
from together import every_case

from markrules.language import check_command, formatting
from markrules.language.checker import check
from markrules.language.conditions import And, AtLeast, Compare, Is, IsNot, Not, Or, Quantity, Says
from markrules.language.messages import show
from markrules.language.parser import parse
from markrules.language.problems import Place, Problem
from markrules.language.spans import Named, Span
from markrules.language.tree import Cite, Clue, Entry, Feature, Register, Value
from markrules.language.units import converted, convertible
from markrules.language.windows import Window, Year


def _one(text: str) -> Entry:
    book, problems = parse(text, "x")
    assert problems == ()
    (entry,) = book.entries
    return entry


def test_a_clue_becomes_what_it_says() -> None:
    clue = _one(
        """
clue rollover-catch
    when   catch is rollover and not (hinge is one of (tube, ball)
           or mark says "AUSTRIA")
    made   from 1911, mostly 1925 onward, except 1942 to 1945, fade 15
    trust  strong
    refit  12.5%
    on     brooch, bar-pin
    in     "United States"
    points tillander
    misleads "Later \\"repair\\"."
    why    "The collar is not found"
           "before its patent."
    cite   tillander-1911 "p. 2", common-practice
"""
    )

    assert clue == Clue(
        name="rollover-catch",
        when=And(
            (
                Is(Named("catch"), (Named("rollover"),)),
                Not(
                    Or(
                        (
                            Is(Named("hinge"), (Named("tube"), Named("ball"))),
                            Says(Named("mark"), ("AUSTRIA",)),
                        )
                    )
                ),
            )
        ),
        made=Window(
            first=Year(1911),
            mostly_first=Year(1925),
            gaps=((Year(1942), Year(1945)),),
            fade=15,
        ),
        trust=Named("strong"),
        refit=0.125,
        on=(Named("brooch"), Named("bar-pin")),
        region="United States",
        points=(Named("tillander"),),
        misleads='Later "repair".',
        why="The collar is not found before its patent.",
        cites=(Cite(Named("tillander-1911"), "p. 2"), Cite(Named("common-practice"))),
    )


def test_and_binds_before_or_and_not_before_both() -> None:
    finding = _one(
        "finding f\n    when not a is b and c is d or at least 2 of (e is f, g is not h)\n"
    )

    assert getattr(finding, "when") == Or(  # noqa: B009 - entries differ in their fields
        (
            And((Not(Is(Named("a"), (Named("b"),))), Is(Named("c"), (Named("d"),)))),
            AtLeast(2, (Is(Named("e"), (Named("f"),)), IsNot(Named("g"), (Named("h"),)))),
        )
    )


@every_case(
    ("text", "sign"), [("over", ">"), ("under", "<"), ("at least", ">="), ("at most", "<=")]
)
def test_comparisons_in_words_become_signs(text: str, sign: str) -> None:
    finding = _one(f"finding f\n    when width {text} 5.5 cm\n")

    assert getattr(finding, "when") == Compare(  # noqa: B009
        Named("width"),
        sign,  # type: ignore[arg-type]
        Quantity(5.5, "cm"),
    )


@every_case(
    ("text", "window"),
    [
        ("mostly 1950", Window(mostly_first=Year(1950), mostly_last=Year(1950))),
        ("mostly until 1960", Window(mostly_last=Year(1960))),
        ("mostly 1925 onward, until now", Window(mostly_first=Year(1925), last=Year(0, now=True))),
        (
            "from year, mostly year - 2 to year + 12",
            Window(
                first=Year(0, relative=True),
                mostly_first=Year(-2, relative=True),
                mostly_last=Year(12, relative=True),
            ),
        ),
        ("except 1938", Window(gaps=((Year(1938), Year(1938)),))),
    ],
)
def test_windows(text: str, window: Window) -> None:
    maker = _one(f'maker m\n    title "M"\n    works {text}\n')

    assert getattr(maker, "works") == window  # noqa: B009


def test_values_hang_below_their_feature() -> None:
    feature = _one(
        'feature catch\n  ask "?"\n  value a "x"\n    also "y"\n    share 30%\n'
        "  value b\n  describes\n"
    )

    assert feature == Feature(
        "catch",
        ask="?",
        values=(Value("a", "x", ("y",), 0.3), Value("b")),
        describes=True,
    )


def test_rows_keep_what_narrows_them() -> None:
    register = _one(
        'register r\n    title "R"\n    kind letter\n    columns style\n'
        '    row "a" in 1900 to 1901 style "gothic" trust weak cite b "p. 1" note "n"\n'
    )

    assert isinstance(register, Register)
    (row,) = register.rows
    assert (row.key, row.first, row.last, row.qualifiers) == (
        "a",
        1900,
        1901,
        (("style", "gothic"),),
    )
    assert (row.trust, row.cites, row.note) == (Named("weak"), (Cite(Named("b"), "p. 1"),), "n")


def test_every_name_knows_where_it_stands() -> None:
    clue = _one(
        'clue a\n    when catch is one of (b,\n  c)\n    made from 1900\n    trust t\n    why "x"\n'
    )

    assert isinstance(clue, Clue)
    assert isinstance(clue.when, Is)
    places = [(name.span.line, name.span.column, name.span.end_column) for name in clue.when.values]
    assert places == [(2, 27, 28), (3, 3, 4)]


def test_a_bad_line_costs_that_line_and_the_rest_is_read() -> None:
    book, problems = parse(
        'piece a\n    also "x"\n    saay "y"\n    under b\nclew c\n    also "z"\npiece d\n', "x"
    )

    assert [problem.place.line for problem in problems] == [3, 5]
    assert [entry.name for entry in book.entries] == ["a", "d"]
    assert getattr(book.entries[0], "under") == Named("b")  # noqa: B009
    assert book.broken == (("clew", "c"), ("piece", "a"))


def test_what_a_broken_entry_lacks_is_not_told_again() -> None:
    text = (
        'feature catch\n    ask "?"\n    describes\n    value = broken\n'
        "finding f\n    when catch is rollover\n"
        'clue c\n    when catch is seen\n    made from 1900\n    trust strong\n    why "x"\n'
        "    cite =\n"
        "trust strong\n    misread 6%\n"
    )
    book, problems = parse(text, "x")

    assert {problem.code for problem in problems} == {"stray-sign"}
    assert [each.code for each in check([book]) if each.severity == "error"] == []


# NIST Handbook 44 (2023), Appendix C: 1 inch = 2.54 cm exactly; 1 ounce avoirdupois =
# 28.349 523 125 grams.
@every_case(
    ("quantity", "unit", "expected"),
    [
        (Quantity(1, "in"), "mm", 25.4),
        (Quantity(2.54, "cm"), "in", 1.0),
        (Quantity(16, "oz"), "g", 453.59237),
        (Quantity(28.349523125, "g"), "oz", 1.0),
        (Quantity(7), "", 7.0),
    ],
)
def test_units(quantity: Quantity, unit: str, expected: float) -> None:
    assert converted(quantity, unit) == pytest.approx(expected, rel=1e-12)


def test_units_that_measure_other_things_do_not_mix() -> None:
    assert not convertible("g", "mm")
    assert not convertible("", "mm")
    with pytest.raises(ValueError, match="cannot be told in mm"):
        converted(Quantity(1, "g"), "mm")


def test_a_message_shows_the_stretch_of_a_long_line_around_the_place() -> None:
    line = "x" * 300 + "HERE" + "y" * 300
    problem = Problem("unexpected", "look", Span("f", 1, 301, 305))

    _, shown, caret = show(problem, line).splitlines()

    assert len(shown) <= 104
    at = caret.index("^")
    assert shown[at : at + 4] == "HERE"
    assert caret.count("^") == 4


def test_a_message_carries_no_sign_that_could_steer_a_terminal() -> None:
    problem = Problem(
        "unexpected",
        "bad \x1b[31m",
        Span("f\x07", 1, 1, 2),
        (Place(Span("g\x9b", 2, 1, 2), "see\u202e"),),
        "\x1b]0;",
    )

    told = show(problem, "\x1b[2J clear")

    assert all(sign.isprintable() or sign == "\n" for sign in told)


def test_files_below_the_working_folder_are_named_from_there(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    problem = Problem("unexpected", "m", Span(str(tmp_path / "a" / "b.rules"), 1, 1, 2))

    assert show(problem, "").startswith("a/b.rules:1:1: m")


def test_the_check_command_counts_and_fails_on_errors(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.rules").write_text("piece a\nclew b\n", encoding="utf-8")

    assert check_command.main([str(tmp_path)]) == 1
    assert capsys.readouterr().out.splitlines()[-1] == "1 entries in 1 files: 1 errors, 0 warnings"
    (tmp_path / "a.rules").write_text("piece a\n", encoding="utf-8")
    assert check_command.main([str(tmp_path)]) == 0


def test_the_format_command_rewrites_sound_files_and_leaves_others(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    good, bad = tmp_path / "a.rules", tmp_path / "b.rules"
    good.write_text('piece a\n also "x"\n', encoding="utf-8")
    bad.write_text("clew a\n", encoding="utf-8")

    assert formatting.main([str(tmp_path)]) == 1
    assert good.read_text(encoding="utf-8") == 'piece a\n    also  "x"\n'
    assert bad.read_text(encoding="utf-8") == "clew a\n"
    assert f"formatted {good}" in capsys.readouterr().out
