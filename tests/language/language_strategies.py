"""Random rule texts that are well formed, in random layout: for property tests.

A line is a list of words; where the language lets a line go on, the layout may break it.
"""

from __future__ import annotations

from itertools import pairwise

from hypothesis import strategies as st

from markrules.language.tree import ADDED_TO

names = st.from_regex(r"[a-z]{1,6}(-[a-z0-9]{1,4}){0,2}", fullmatch=True).filter(
    lambda name: name not in {"and", "or", "not", "is", "found", "at", "fault"}
)
_signs = st.characters(
    codec="utf-8", exclude_categories=("Cc", "Cf", "Cs", "Zl", "Zp"), exclude_characters='\\"'
)
_prose = st.lists(st.text(_signs, min_size=0, max_size=9), max_size=30).map(" ".join)
texts = st.one_of(st.text(_signs, max_size=12), _prose).map(
    lambda text: '"' + text.replace("'", '\\"').replace("`", "\\\\") + '"'
)
years = st.integers(1000, 2100).map(str)
numbers = st.one_of(st.integers(0, 99999).map(str), st.floats(0, 1000).map(lambda x: f"{x:.2f}"))
shares = st.integers(0, 100).map(lambda share: f"{share}%")


def joined(*parts: st.SearchStrategy[list[str]]) -> st.SearchStrategy[list[str]]:
    """Words of several parts, one after another."""
    return st.tuples(*parts).map(lambda lists: [word for each in lists for word in each])


def word(text: str) -> st.SearchStrategy[list[str]]:
    """A fixed word."""
    return st.just([text])


def one(words: st.SearchStrategy[str]) -> st.SearchStrategy[list[str]]:
    """One word of a kind."""
    return words.map(lambda each: [each])


def commas(words: st.SearchStrategy[list[str]], most: int = 6) -> st.SearchStrategy[list[str]]:
    """A list with commas."""
    return st.lists(words, min_size=1, max_size=most).map(
        lambda items: [each for item in items for each in (*item, ",")][:-1]
    )


quantities = st.tuples(numbers, st.sampled_from(["mm", "cm", "in", "g", "oz"])).map(list)
cites = commas(st.one_of(one(names), st.tuples(names, texts).map(list)))
atoms = st.one_of(
    joined(one(names), word("is"), one(names)),
    joined(one(names), st.just(["is", "not"]), one(names)),
    joined(one(names), st.just(["is", "one", "of", "("]), commas(one(names)), word(")")),
    joined(one(names), st.just(["is", "not", "one", "of", "("]), commas(one(names)), word(")")),
    joined(one(names), st.sampled_from([["is", "seen"], ["is", "absent"]])),
    joined(
        one(names),
        st.sampled_from([["over"], ["under"], ["at", "least"], ["at", "most"]]),
        quantities,
    ),
    joined(one(names), word("between"), quantities, word("and"), quantities),
    joined(one(names), word("says"), one(texts)),
    joined(one(names), st.just(["says", "one", "of", "("]), commas(one(texts)), word(")")),
    joined(word("found"), one(names)),
    joined(st.just(["found", "type"]), one(names)),
    joined(one(names), st.sampled_from([["before"], ["after"]]), one(names)),
    joined(one(names), word("before"), one(names), word("by"), one(st.integers(1, 99).map(str))),
)


def _compound(inner: st.SearchStrategy[list[str]]) -> st.SearchStrategy[list[str]]:
    bracket = joined(word("("), inner, word(")"))
    chains = [
        st.lists(bracket | atoms, min_size=2, max_size=4).map(
            lambda parts, between=between: [w for p in parts for w in (between, *p)][1:]
        )
        for between in ("and", "or")
    ]
    least = joined(st.just(["at", "least", "1", "of", "("]), commas(inner, 3), word(")"))
    return st.one_of(*chains, joined(word("not"), bracket | atoms), least)


conditions = st.recursive(atoms, _compound, max_leaves=8)
_any_year = st.one_of(one(years), word("now"), word("year"), st.just(["year", "+", "5"]))
_window_parts = (
    joined(word("from"), _any_year),
    st.one_of(
        joined(word("mostly"), _any_year, word("to"), _any_year),
        joined(word("mostly"), _any_year, word("onward")),
        joined(st.just(["mostly", "until"]), _any_year),
    ),
    joined(word("until"), _any_year),
    joined(word("except"), _any_year, word("to"), _any_year),
    joined(word("fade"), one(st.integers(0, 99).map(str))),
)
windows = st.sets(st.sampled_from(range(5)), min_size=1).flatmap(
    lambda chosen: st.tuples(*(_window_parts[at] for at in sorted(chosen))).map(
        lambda parts: [w for part in parts for w in (",", *part)][1:]
    )
)

_first_waves = st.one_of(
    joined(_any_year, _any_year, _any_year), joined(_any_year, word("to"), _any_year)
)
_later_waves = joined(word("again"), _first_waves, word("at"), one(shares))
_backgrounds = joined(word("background"), one(shares))


@st.composite
def spreads(draw: st.DrawFn) -> list[str]:
    """How pieces lie over the years: a wave, further ones, and a background."""
    words = draw(_first_waves)
    for more in draw(st.lists(_later_waves, max_size=2)):
        words = [*words, ",", *more]
    return [*words, ",", *draw(_backgrounds)] if draw(st.booleans()) else words


@st.composite
def clues(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """An entry as (depth, words) lines."""
    lines = [(0, ["clue", draw(names)]), (1, ["when", *draw(conditions)])]
    lines.append((1, ["made", *draw(windows)]))
    if draw(st.booleans()):
        lines.append((1, ["common", *draw(spreads())]))
    lines.append((1, ["trust", draw(names)]))
    if draw(st.booleans()):
        lines.append((1, ["on", *draw(commas(one(names)))]))
    if draw(st.booleans()):
        lines.append((1, ["refit", draw(shares)]))
    lines.append((1, ["why", draw(texts)]))
    lines.append((1, ["cite", *draw(cites)]))
    return lines


@st.composite
def features(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """A feature with values, as (depth, words) lines."""
    lines = [(0, ["feature", draw(names)]), (1, ["ask", draw(texts)])]
    if draw(st.booleans()):
        lines.append((1, ["describes"]))
    for _ in range(draw(st.integers(0, 3))):
        lines += draw(values())
    return lines


@st.composite
def values(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """One value with the lines below it."""
    lines = [(1, ["value", draw(names), *draw(st.lists(texts, max_size=1))])]
    if draw(st.booleans()):
        lines.append((2, ["also", *draw(commas(one(texts)))]))
    if draw(st.booleans()):
        lines.append((2, ["share", draw(shares)]))
    return lines


@st.composite
def additions(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """What is added to an entry: words, and values of a feature."""
    lines = [(0, ["more", draw(names)])]
    if draw(st.booleans()):
        lines.append((1, ["kind", draw(st.sampled_from(ADDED_TO))]))
    for _ in range(draw(st.integers(0, 2))):
        lines.append((1, ["also", *draw(commas(one(texts)))]))
    for _ in range(draw(st.integers(0, 3))):
        lines += draw(values())
    return lines


@st.composite
def registers(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """A register with rows, as (depth, words) lines."""
    lines = [(0, ["register", draw(names)]), (1, ["title", draw(texts)]), (1, ["kind", "letter"])]
    column = draw(names)
    lines.append((1, ["columns", column]))
    for _ in range(draw(st.integers(0, 3))):
        row = ["row", draw(texts), "in", draw(years), "to", draw(years), column, draw(texts)]
        lines.append((1, [*row, "cite", *draw(cites)]))
    return lines


@st.composite
def cases(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """A worked example, as (depth, words) lines."""
    lines = [(0, ["case", draw(names)]), (1, ["given", draw(texts)])]
    lines.append((1, ["given", *draw(conditions)]))
    lines.append((1, ["expect", "not", "clue", draw(names)]))
    lines.append((1, ["expect", "years", draw(years), "to", draw(years)]))
    lines.append((1, ["expect", *draw(atoms)]))
    return lines


@st.composite
def types(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """A named type, as (depth, words) lines."""
    lines = [(0, ["type", draw(names)]), (1, ["title", draw(texts)])]
    lines.append((1, ["when", *draw(conditions)]))
    lines.append((1, ["common", *draw(spreads())]))
    lines.append((1, ["trust", draw(names)]))
    lines.append((1, ["copies", *draw(commas(one(texts)))]))
    lines.append((1, ["why", draw(texts)]))
    return lines


@st.composite
def misleadings(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """What misleads, as (depth, words) lines."""
    lines = [(0, ["misleading", draw(names)]), (1, ["kind", "revival"])]
    lines.append((1, [draw(st.sampled_from(["when", "told"])), *draw(conditions)]))
    for key in ("taken", "is", "look"):
        lines.append((1, [key, draw(texts)]))
    lines.append((1, ["chance", draw(shares)]))
    if draw(st.booleans()):
        lines.append((1, ["chance", draw(shares), "on", *draw(commas(one(names)))]))
    sides = [draw(commas(one(names))), draw(commas(one(names)))]
    where = draw(st.sampled_from(["before", "after"]))
    lines.append(
        (1, ["order", *sides[0], where, *sides[1], "by", draw(st.integers(1, 99).map(str))])
    )
    lines.append((1, ["dated", *draw(windows)]))
    lines.append((1, ["never", *draw(commas(one(names)))]))
    return lines


@st.composite
def origins_and_shares(draw: st.DrawFn) -> list[tuple[int, list[str]]]:
    """An origin with its prior, parts of one fate, and a table of shares, as lines."""
    origin = draw(names)
    lines = [(0, ["origin", origin, *draw(st.lists(texts, max_size=1))])]
    lines.append((1, draw(st.sampled_from([["default"], ["why", '"x"'], ["share", "30%"]]))))
    lines += [
        (0, ["prior", draw(names)]),
        (1, ["origin", origin]),
        (1, ["common", *draw(spreads())]),
    ]
    lines += [(0, ["fittings", draw(names)]), (1, ["of", *draw(commas(one(names)))])]
    lines += [(0, ["shares", draw(names)])]
    for _ in range(draw(st.integers(1, 3))):
        row = draw(commas(st.tuples(names, shares).map(list)))
        lines.append((1, ["in", draw(years), *row]))
    return lines


entries = st.one_of(
    clues(),
    features(),
    additions(),
    registers(),
    cases(),
    types(),
    misleadings(),
    origins_and_shares(),
)
_comments = st.text(_signs, max_size=20).map(lambda text: f"# {text}".rstrip())


@st.composite
def laid_out(draw: st.DrawFn) -> str:
    """A whole rule text: entries with random steps, breaks, blank lines and comments."""
    step = draw(st.integers(1, 6))
    out: list[str] = []
    for entry in draw(st.lists(entries, max_size=4)):
        for depth, words in entry:
            out += ["" for _ in range(draw(st.integers(0, 2)))]
            if draw(st.integers(0, 5)) == 0:
                out.append(" " * draw(st.integers(0, 9)) + draw(_comments))
            out += draw(_physical(words, " " * step * depth))
    end = draw(st.sampled_from(["\n", "\r\n"]))
    return end.join(out) + draw(st.sampled_from(["", end]))


@st.composite
def _physical(draw: st.DrawFn, words: list[str], indent: str) -> list[str]:
    """The words of one line on one or more physical lines."""
    lines = [indent + words[0]]
    depth = 0
    for before, each in pairwise(words):
        depth += (before == "(") - (before == ")")
        may_break = indent and (
            before == "," or depth > 0 or each[0] == '"' or each in ("and", "or")
        )
        if may_break and draw(st.integers(0, 3)) == 0:
            if draw(st.integers(0, 3)) == 0:
                lines[-1] += "  " + draw(_comments)
            if draw(st.integers(0, 9)) == 0:
                lines.append(" " * draw(st.integers(0, 9)) + draw(_comments))
            lines.append(" " * draw(st.integers(1, 12)) + each)
        else:
            tight = before == "(" or each in (",", ")")
            lines[-1] += " " * draw(st.integers(0 if tight else 1, 3)) + each
    if draw(st.integers(0, 5)) == 0:
        lines[-1] += " " + draw(_comments)
    return lines
