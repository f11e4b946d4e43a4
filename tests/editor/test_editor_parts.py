"""The parts below the protocol: problems as the command tells them, places, offers, colours."""

from __future__ import annotations

import json
import random
import re
from pathlib import Path

import pytest
from command import answer, markrules
from hypothesis import given
from hypothesis import strategies as st

from markrules.editor.completing import PARTS, offers
from markrules.editor.highlighting import grammar
from markrules.editor.hover_text import hover_text, safe
from markrules.editor.workspace import Occurrence, Workspace, occurrences
from markrules.knowledge.loading import load
from markrules.knowledge.places import shipped_rules
from markrules.language.checks.known_names import kind_of
from markrules.language.kinds import KINDS, SHAPES
from markrules.language.lines import physical_lines
from markrules.language.tree import Entry

CLUE = 'clue odd\n    when catch is {}\n    made mostly 1920\n    trust weak\n    why "x"\n'


@pytest.fixture(scope="module")
def shipped() -> tuple[Entry, ...]:
    # Built from the text, as an editor does: what is kept compiled holds no places of names.
    base, _ = load([shipped_rules()], cache_folder=None)
    found = [e for kind in KINDS.values() for e in getattr(base, kind.field, {}).values()]
    return tuple(each for each in found if each.span.file)


def test_problems_are_those_of_the_command(shipped: tuple[Entry, ...], tmp_path: Path) -> None:
    texts = {
        "a.rules": CLUE.format("rollovr"),
        "b.rules": 'withdraw rollover-catch\n    kind clue\n    why "x"\n\nclue\n',
        "drafts/c.rules": CLUE.format("nonsense").replace("odd", "odder"),
    }
    rules = Workspace(shipped)
    for name, text in texts.items():
        file = tmp_path / name
        file.parent.mkdir(exist_ok=True)
        file.write_text(text, encoding="utf-8")
        rules.put(str(file), text)
    done = markrules("rules", "check", str(tmp_path), "--no-cases", "--json")
    wanted = {
        (each["file"], each["line"], each["column"], each["code"], each["severity"])
        for each in json.loads(done.stdout)
        if each["file"].startswith(str(tmp_path))
    }
    found = {
        (p.place.file, p.place.line, p.place.column, p.code, p.severity)
        for problems in rules.problems().values()
        for p in problems
    }

    assert len(wanted) >= 4
    assert found == wanted


def test_every_shipped_entry_can_be_told(shipped: tuple[Entry, ...]) -> None:

    for entry in shipped:
        text = hover_text(kind_of(entry), entry.name, entry)
        assert entry.name.replace("-", "") in text.replace("-", "")


def test_no_text_of_a_rule_is_markdown() -> None:
    assert safe("[a](http://x) <b> *c* `d` \u202e").startswith(r"\[a\](http://x) \<b\> \*c\* \`d\`")
    assert "\u202e" not in safe("\u202e")


@given(text=st.text(max_size=200), line=st.integers(0, 20), column=st.integers(0, 60))
def test_any_text_can_be_edited(text: str, line: int, column: int) -> None:
    rules = Workspace()
    rules.put("a.rules", text)

    rules.at("a.rules", line + 1, column + 1)
    rules.problems()
    offers(rules, text.split("\n"), line, column)


def test_a_file_that_is_gone_is_forgotten() -> None:
    rules = Workspace()
    rules.put("a.rules", CLUE.format("rollover"))
    assert rules.problems()["a.rules"]

    rules.drop("a.rules")

    assert rules.problems() == {}
    assert rules.entry("clue", "odd") is None


def test_the_grammar_colours_each_part_of_the_shipped_rules() -> None:
    """Its patterns are those of the editors' shared form; here Python's engine reads them."""
    patterns = {
        each.get("name", "") or json.dumps(each["captures"]): re.compile(each.get("match", "$^"))
        for each in grammar()["patterns"]
    }
    head = next(value for key, value in patterns.items() if "declaration" in key)
    inner = next(value for key, value in patterns.items() if "keyword.other" in key)
    files = sorted((Path(__file__).parents[2] / "rules").rglob("*.rules"))
    entries = keys = 0
    for file in files:
        for line in file.read_text(encoding="utf-8").splitlines():
            if line and line[0] not in " #":
                entries += 1
                assert head.match(line), line
            elif line.startswith("    ") and line[4] not in ' #"' and line[3] == " ":
                keys += bool(inner.match(line))
    assert entries > 5000
    assert keys > entries


def test_the_command_writes_the_grammar_and_tells_what_is_missing() -> None:
    done = markrules("rules", "editor", "--grammar")

    assert json.loads(done.stdout) == grammar()
    assert answer("rules", "list", "trusts")["kind"] == "trusts"


KEYS = {key for shape in SHAPES.values() for key in shape.keys} | set(PARTS)


def _key_of(lines: list[str], at: int) -> str:
    """The key of the line that a place stands in, which may have begun further up."""
    while True:
        word = lines[at].split()[0]
        indent = len(lines[at]) - len(lines[at].lstrip())
        if not indent or (indent <= 8 and word in KEYS and not lines[at - 1].endswith(",")):
            return word
        at -= 1


def test_every_name_in_the_shipped_rules_is_offered_where_it_stands(
    shipped: tuple[Entry, ...],
) -> None:
    """Whoever had typed the rules would have been offered each name that stands in them: of every
    kind of entry, after every key, on lines that go on too. Each leads to where it is defined.
    """
    rules = Workspace(shipped)
    lines: dict[str, list[str]] = {}
    places: dict[tuple[str, str, str], list[Occurrence]] = {}
    for each in occurrences(shipped, rules.known()):
        file, name = each.span.file, each.name.rpartition("/")[2]
        if file and file not in lines:
            lines[file] = physical_lines(Path(file).read_text(encoding="utf-8"))
        if not file or each.defines:
            continue
        stands = lines[file][each.span.line - 1][each.span.column - 1 : each.span.end_column - 1]
        key = _key_of(lines[file], each.span.line - 1)
        if stands == name and key not in KINDS:
            places.setdefault((each.kind, key, _kind_at(lines[file], each.span.line)), []).append(
                each
            )
    assert len(places) > 120

    for where, found in places.items():
        for each in random.Random(str(where)).sample(found, min(2, len(found))):
            here, name = lines[each.span.file], each.name.rpartition("/")[2]
            offered = offers(rules, here, each.span.line - 1, each.span.column - 1)
            assert name in {one.word for one in offered}, (where, here[each.span.line - 1])
            assert rules.entry(each.kind, each.name) is not None, (where, name)


def _kind_at(lines: list[str], line: int) -> str:
    """The kind of the entry that a line stands in."""
    return next(text.split()[0] for text in lines[line - 1 :: -1] if text and text[0].isalpha())


def test_a_line_that_goes_on_is_offered_what_it_goes_on_with(shipped: tuple[Entry, ...]) -> None:
    """Behind a comma, in an open bracket, after `and`, past comments and signs within texts."""
    rules = Workspace(shipped)
    text = """clue odd
    when  catch is one of (rollover, # of (
              trombone)
          and hinge is
    why   "( or,"
    cite  from-memory,

          common-practice
    trust """
    lines = text.split("\n")

    def words(line: int) -> set[str]:
        return {each.word for each in offers(rules, lines, line, len(lines[line]))}

    lines[2] = " " * 14
    assert {"rollover", "c-catch"} <= words(2)
    lines[2] = " " * 14 + "trombone)"
    assert "c-catch" not in words(3)
    assert {"hinge", "found"} <= words(3) | {each.word for each in offers(rules, lines, 3, 14)}
    lines[3] += " "
    assert "ball-hinge" in words(3)
    assert {"common-practice", "tillander-1911"} & words(7)
    assert "moderate" in words(8)
    assert "common-practice" not in words(8)


def test_what_is_offered_waits_for_no_file_to_be_parsed(shipped: tuple[Entry, ...]) -> None:
    """With each key names are offered as they were at rest; then those just written are too."""
    rules = Workspace(shipped)
    rules.put("a.rules", 'feature tin-box\n    ask "?"\n    value litho\n')
    rules.known()
    rules.put("a.rules", rules.texts["a.rules"].replace("litho", "printed"))
    line = ["clue odd", "    when tin-box is "]
    before = {each.word for each in offers(rules, line, 1, len(line[1]))}
    rules.known()
    after = {each.word for each in offers(rules, line, 1, len(line[1]))}
    assert ("litho" in before, "printed" in before) == (True, False)
    assert ("litho" in after, "printed" in after) == (False, True)


WINDOW = re.compile(r"^\s+(made|works|used|dated)\s+(.*)$")


def test_every_word_of_a_window_is_offered_where_it_stands() -> None:
    """Whoever had typed the years of the shipped rules would have been offered each word."""
    rules = Workspace()
    tried: set[str] = set()
    for file in sorted(shipped_rules().rglob("*.rules")):
        lines = physical_lines(file.read_text(encoding="utf-8"))
        for number, line in enumerate(lines):
            found = WINDOW.match(line)
            shape = found and re.sub(r"[0-9]+", "9", found[0])
            if found is None or shape is None or '"' in line or shape in tried:
                continue
            kind = SHAPES.get(_kind_at(lines, number + 1))
            if kind is None or (found[1] not in kind.keys and found[1] != "used"):
                continue
            tried.add(shape)
            for word in re.finditer(r"[a-z]+", line.partition("#")[0]):
                if word.start() < found.start(2):
                    continue
                for typed in (word.start(), word.end() - 1):
                    offered = {each.word for each in offers(rules, lines, number, typed)}
                    assert word[0] in offered, (file.name, number + 1, word[0])
    assert len(tried) > 20


@pytest.mark.parametrize(
    ("typed", "offered"),
    [
        ("made ", {"from", "mostly", "until", "except", "fade"}),
        ("made mo", {"from", "mostly", "until", "except", "fade"}),
        ("made mostly ", {"now", "year", "until"}),
        ("made from 1920, mostly 1925 ", {"to", "onward"}),
        ("made from 1920, mostly 1925 to ", {"now", "year"}),
        ("made from 1920 ", set()),
    ],
)
def test_the_years_of_an_entry_are_offered_word_by_word(typed: str, offered: set[str]) -> None:
    lines = ["clue a-bow", f"    {typed}"]

    assert {each.word for each in offers(Workspace(), lines, 1, len(lines[1]))} == offered


def test_every_role_of_words_is_offered_with_what_it_does(shipped: tuple[Entry, ...]) -> None:
    lines = ["wording shrugged-off", "    role "]

    rules = Workspace(shipped)
    offered = {each.word: each.about for each in offers(rules, lines, 1, len(lines[1]))}

    assert "right before a material" in offered["sets-aside-a-material"]
    assert len(offered) > 100
    assert all(offered.values())


MORE = """more catch
    value bow-catch "a bow"
    value rollover
        also "collar catch"

clue bows
    when  catch is bow-catch
    made  mostly 1920
    trust weak
    why   "x"
    cite  from-memory

more brooch
    kind piece
    also "breastpin"
more
"""


def _place(text: str, number: int = 1) -> tuple[int, int]:
    """Line and column, counted from 1, of the place behind the text for the time numbered."""
    at = -1
    for _ in range(number):
        at = MORE.index(text, at + 1)
    before = MORE[: at + len(text)]
    return before.count("\n") + 1, len(before) - before.rfind("\n")


@pytest.fixture
def adding(shipped: tuple[Entry, ...]) -> Workspace:
    rules = Workspace(shipped)
    rules.put("own.rules", MORE)
    return rules


def test_what_is_added_is_known_where_it_is_asked_for(adding: Workspace) -> None:
    told = adding.problems()["own.rules"]
    asked = adding.at("own.rules", *_place("is bow-catch"))
    assert asked is not None
    place = adding.definition(asked.kind, asked.name)

    assert [each.place.line for each in told] == [MORE.count("\n")]  # the one that has no name yet
    assert (asked.kind, asked.name) == ("value", "catch/bow-catch")
    assert place is not None
    assert (place.file, place.line) == ("own.rules", 2)
    assert "a bow" in hover_text("value", asked.name, adding.entry("value", asked.name))
    assert [each.span.line for each in adding.all_of("value", asked.name)] == [2, 7]
    assert [each.defines for each in adding.all_of("value", asked.name)] == [True, False]


@pytest.mark.parametrize(
    ("text", "kind", "name"),
    [
        ("more catch", "feature", "catch"),
        ("value rollover", "value", "catch/rollover"),
        ("more brooch", "piece", "brooch"),
    ],
)
def test_what_is_added_to_is_followed_to_where_it_stands(
    adding: Workspace, text: str, kind: str, name: str
) -> None:
    found = adding.at("own.rules", *_place(text))
    assert found is not None
    assert (found.kind, found.name, found.defines) == (kind, name, False)
    place = adding.definition(kind, name)
    assert place is not None
    assert shipped_rules() in Path(place.file).parents


@pytest.mark.parametrize(
    ("text", "number", "wanted"),
    [
        ("more", 3, {"catch", "clasp", "brooch"}),
        ("value ", 1, {"rollover", "bow-catch"}),
        ("    value", 1, {"value", "also", "kind"}),
        ("catch is ", 1, {"rollover", "bow-catch"}),
        ("kind ", 1, {"feature", "piece", "fault"}),
    ],
)
def test_what_can_be_added_to_is_offered(
    adding: Workspace, text: str, number: int, wanted: set[str]
) -> None:
    adding.known()
    line, column = _place(text, number)
    lines = physical_lines(MORE)
    if lines[line - 1] == text:  # nothing stands behind it yet
        lines[line - 1] += " "

    found = offers(adding, lines, line - 1, len(lines[line - 1]) if text == "more" else column - 1)

    assert wanted <= {each.word for each in found}


def test_what_can_be_taken_back_is_offered(adding: Workspace) -> None:
    adding.known()
    found = offers(adding, ["withdraw "], 0, len("withdraw "))

    assert ("rollover-catch", "clue") in {(each.word, each.what) for each in found}
    assert {"catch", "clasp"}.isdisjoint(each.word for each in found if each.what == "feature")
