"""Rules of one's own that add to entries that stand elsewhere: values, and further words."""

from __future__ import annotations

from pathlib import Path

import pytest

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.language.formatter import format_text
from markrules.language.problems import Problem
from markrules.language.tree import Case, Value

SHIPPED = """
trust strong
    misread 6%

piece brooch
    also "pin"
piece necklace

feature clasp
    ask   "How does it close?"
    value box-clasp "a box with a tongue"
        also "tongue"
    value ring "a spring ring"

clue boxed
    when  clasp is box-clasp
    made  from 1850
    trust strong
    why   "Invented."
    cite  from-memory

case a-box
    given  clasp is box-clasp
    expect clue boxed
    cite   from-memory
"""
BOW = """more clasp
    also  "closing"
    value stamped-bow "a stamped bow"
        also  "bow clasp"
    value ring
        also  "bolt ring"

clue bows
    when   clasp is stamped-bow
    made   from 1921
    trust  strong
    why    "Invented."
    cite   from-memory

more brooch
    kind  piece
    also  "breastpin"
"""


def loaded(
    tmp_path: Path, own: str = "", cache: bool = False, **other: str
) -> tuple[KnowledgeBase, tuple[Problem, ...]]:
    texts = {"shipped/a": SHIPPED, "own/a": own, **other}
    for name, text in texts.items():
        file = tmp_path / f"{name}.rules"
        file.parent.mkdir(exist_ok=True, parents=True)
        file.write_text(text, encoding="utf-8")
    folders = [tmp_path / "shipped", tmp_path / "own"]
    return load(folders, cache_folder=tmp_path / "cache" if cache else None)


def names(base: KnowledgeBase) -> list[str]:
    return [each.name for each in base.features["clasp"].values]


def value(base: KnowledgeBase, name: str) -> Value:
    return next(each for each in base.features["clasp"].values if each.name == name)


def test_what_is_added_stands_in_the_entry_that_it_is_added_to(tmp_path: Path) -> None:
    base, problems = loaded(tmp_path, BOW)

    assert [each for each in problems if each.code != "unused-value"] == []
    assert names(base) == ["box-clasp", "ring", "stamped-bow"]
    assert base.features["clasp"].also == ("closing",)
    assert value(base, "stamped-bow").also == ("bow clasp",)
    assert value(base, "stamped-bow").span.file.endswith("own/a.rules")
    assert value(base, "ring") == Value("ring", "a spring ring", ("bolt ring",))
    assert base.pieces["brooch"].also == ("pin", "breastpin")
    assert "breastpin" in {word for each in base.features["piece"].values for word in each.also}
    assert "bows" in base.clues


def test_several_files_add_to_one_feature(tmp_path: Path) -> None:
    """Also to a value that another of them added, and to a feature of one's own."""
    more = 'more clasp\n    value hook "a hook"\n    value stamped-bow\n        also "ribbon bow"\n'
    own = 'feature tag\n    ask "Which?"\n    describes\n    value oval "an oval"\n'
    tag = 'more tag\n    value round "a round one"\n'

    base, problems = loaded(tmp_path, BOW, **{"own/b": more + own, "own/c": tag})

    assert [each.code for each in problems if each.severity == "error"] == []
    assert names(base) == ["box-clasp", "ring", "stamped-bow", "hook"]
    assert value(base, "stamped-bow").also == ("bow clasp", "ribbon bow")
    assert [each.name for each in base.features["tag"].values] == ["oval", "round"]


def test_a_value_is_added_once(tmp_path: Path) -> None:
    base, problems = loaded(tmp_path, BOW, **{"own/b": BOW.split("\nclue", 1)[0]})
    errors = [each for each in problems if each.severity == "error"]

    assert [(each.code, Path(each.place.file).name) for each in errors] == [
        ("doubled-name", "b.rules")
    ]
    assert Path(errors[0].also[0].span.file).name == "a.rules"
    assert names(base).count("stamped-bow") == 1
    assert value(base, "ring").also == ("bolt ring",)


def test_what_replaces_a_shipped_entry_is_added_to(tmp_path: Path) -> None:
    fault = 'fault chipped\n    say "Chips."\n    also "nicked"\n    cite from-memory\n'
    again = 'withdraw chipped\n    kind fault\n    why "x"\n\n' + fault.replace("nicked", "flaked")
    more = '\nmore chipped\n    kind fault\n    also "flea bites"\n'

    base, problems = loaded(tmp_path, again + more, **{"shipped/b": fault})

    assert [each for each in problems if each.severity == "error"] == []
    assert base.faults["chipped"].also == ("flaked", "flea bites")


def test_the_cache_gives_the_same_and_notices_each_change(tmp_path: Path) -> None:
    first, _ = loaded(tmp_path, BOW, cache=True)
    again, _ = loaded(tmp_path, BOW, cache=True)
    other, _ = loaded(tmp_path, BOW.replace("stamped", "struck"), cache=True)
    without, _ = loaded(tmp_path, cache=True)

    assert dict(again.features) == dict(first.features)
    assert dict(again.pieces) == dict(first.pieces)
    assert names(other)[-1] == "struck-bow"
    assert names(without) == ["box-clasp", "ring"]
    assert without.version != first.version


def test_a_draft_adds_nothing_and_is_checked_all_the_same(tmp_path: Path) -> None:
    wrong = BOW.replace("value ring", "value rnig")

    base, problems = loaded(tmp_path, **{"own/drafts/b": wrong})

    assert names(base) == ["box-clasp", "ring"]
    assert [(each.code, each.severity) for each in problems if "drafts" in each.place.file] == [
        ("unknown-value", "warning")
    ]


def test_where_the_entry_lost_its_head_nothing_more_is_told(tmp_path: Path) -> None:
    other = 'feature hook "x"\n    ask "Which?"\n    value eye "an eye"\n'

    _, problems = loaded(tmp_path, 'more hook\n    value bar "a bar"\n' + other)

    assert [each.code for each in problems if each.severity == "error"] == ["unexpected"]


def test_more_is_kept_by_the_formatter() -> None:
    assert format_text(BOW, "a.rules") == (BOW, ())
    assert format_text(BOW.replace("  ", " "), "a.rules") == (BOW, ())


@pytest.mark.parametrize("kept", [False, True])
def test_a_worked_example_may_ask_for_what_is_added(tmp_path: Path, kept: bool) -> None:
    case = (
        "case a-bow\n    given  clasp is stamped-bow\n    expect clue bows\n    cite from-memory\n"
    )

    base, problems = loaded(tmp_path, BOW + case, cache=kept)

    assert [each for each in problems if each.severity == "error"] == []
    assert isinstance(base.cases["a-bow"], Case)
