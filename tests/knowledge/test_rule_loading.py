"""Rule folders become a base: additions, drafts, files that are no text, built-in entries."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from markrules.knowledge import loading, places
from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.loading import load
from markrules.language.messages import show
from markrules.language.problems import Problem

RULES = 'source a\n    title "A"\n    kind  book\n'
CITING = 'caution c\n    when  mark is seen\n    level care\n    say   "x"\n    cite  a\n'


def _folder(path: Path, **texts: str) -> Path:
    for name, text in texts.items():
        file = path / (name.replace("__", "/") + ".rules")
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return path


def _load(*folders: Path) -> tuple[KnowledgeBase, tuple[Problem, ...]]:
    return load(folders, cache_folder=None)


def test_a_users_folder_adds_to_the_shipped_rules(tmp_path: Path) -> None:
    shipped = _folder(tmp_path / "shipped", one=RULES)
    own = _folder(tmp_path / "own", deep__two=CITING)

    base, problems = _load(shipped, own)

    assert problems == ()
    assert set(base.sources) == {"common-practice", "from-memory", "a"}
    assert set(base.cautions) == {"c"}


def test_a_name_in_both_is_an_error_that_shows_both_places(tmp_path: Path) -> None:
    shipped = _folder(tmp_path / "shipped", one=RULES + CITING)
    own = _folder(tmp_path / "own", two=RULES)

    base, problems = _load(shipped, own)

    assert [(each.code, each.place.file) for each in problems] == [
        ("doubled-name", str(own / "two.rules"))
    ]
    assert [place.span.file for place in problems[0].also] == [str(shipped / "one.rules")]
    assert base.sources["a"].span.file == str(shipped / "one.rules")


def test_drafts_warn_and_are_not_used(tmp_path: Path) -> None:
    draft = (
        'sign s\n    when   nothing is here\n    better weak\n    say    "x"\n    cite a\nbroken\n'
    )
    folder = _folder(tmp_path, one=RULES, drafts__two=draft)

    base, problems = _load(folder)

    assert set(base.signs) == set()
    assert [(each.code, each.severity) for each in problems] == [
        ("unknown-feature", "warning"),
        ("unknown-entry", "warning"),
    ]


def test_other_entries_do_not_rest_on_drafts(tmp_path: Path) -> None:
    _, problems = _load(_folder(tmp_path, one=CITING, drafts__two=RULES))

    assert [(each.code, each.severity) for each in problems] == [("unknown-source", "error")]


def test_all_errors_of_all_files_are_told_in_one_run(tmp_path: Path) -> None:
    _, problems = _load(_folder(tmp_path, a="clew x\n", b="source y\n", c=CITING))

    assert [(each.code, Path(each.place.file).name) for each in problems] == [
        ("unknown-entry", "a.rules"),
        ("missing-line", "b.rules"),
        ("missing-line", "b.rules"),
        ("unknown-source", "c.rules"),
    ]


def test_a_file_that_is_not_utf_8_is_told_where(tmp_path: Path) -> None:
    folder = _folder(tmp_path, one=RULES + CITING)
    (folder / "two.rules").write_bytes(b"# fine\n# D\xc9POS\xc9\n")

    base, problems = _load(folder)

    assert [(each.code, each.place.line, each.place.column) for each in problems] == [
        ("not-utf-8", 2, 4)
    ]
    assert "a" in base.sources


def test_a_file_that_cannot_be_read_is_told(tmp_path: Path) -> None:
    (tmp_path / "gone.rules").symlink_to(tmp_path / "nowhere")

    _, problems = _load(tmp_path)

    assert [each.code for each in problems] == ["unreadable"]


def test_other_files_and_hidden_ones_are_left_alone(tmp_path: Path) -> None:
    _folder(tmp_path, one=RULES + CITING)
    (tmp_path / "notes.txt").write_text("not rules")
    (tmp_path / ".hidden.rules").write_text("not rules")

    assert _load(tmp_path)[1] == ()


def test_a_folder_named_twice_counts_once(tmp_path: Path) -> None:
    folder = _folder(tmp_path, one=RULES + CITING)

    assert _load(folder, folder)[1] == ()


def test_built_in_features_take_their_values_from_the_entries(tmp_path: Path) -> None:
    text = (
        'piece brooch\n    also "pin"\n'
        'fault bent\n    say "Bent."\n    also "twisted"\n    cite from-memory\n'
        'metal-mark gold\n    reads "{karat}K"\n    cite from-memory\n'
        'register patents\n    title "P"\n    kind number\n    cite from-memory\n'
        'register sizes\n    title "S"\n    kind size\n    cite from-memory\n'
        'feature mark\n    ask "What stands on it?"\n    refit 1%\n'
    )

    base, problems = _load(_folder(tmp_path, one=text))

    assert problems == ()
    kinds = {name: feature.kind for name, feature in base.features.items()}
    assert kinds == {
        "piece": "choice",
        "mark": "text",
        "label": "text",
        "fault": "many",
        "metal-mark": "many",
        "remark": "many",
        "patents": "year",
        "sizes": "number",
    }
    assert [value.also for value in base.features["fault"].values] == [("twisted",)]
    assert base.features["mark"].ask == "What stands on it?"
    assert base.features["sizes"].unit == "mm"


def test_the_version_follows_what_the_rules_say_and_not_where_they_lie(tmp_path: Path) -> None:
    one, _ = _load(_folder(tmp_path / "one", a=RULES, drafts__b="piece x\n"))
    same, _ = _load(_folder(tmp_path / "two", a=RULES))
    other, _ = _load(_folder(tmp_path / "three", a=RULES + "\n# more\n"))

    assert one.version == same.version
    assert one.version != other.version


def test_more_clues_than_a_reading_can_bear_are_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    lines = ("clue c{}", "    when mark is seen", "    made from 1900", "    trust weak")
    clue = "\n".join((*lines, '    why "x"', "    cite a", ""))
    folder = _folder(tmp_path, a=RULES, b="".join(map(clue.format, range(4))))
    assert len(_load(folder)[0].clues) == 4
    monkeypatch.setattr(loading, "MOST_CLUES", 3)
    base, (problem,) = _load(folder)
    assert not base.clues
    assert problem.code == "too-many-clues"
    assert problem.place.line == 19
    assert "4 clues; 3 at most" in problem.message


def test_the_version_names_that_of_the_shipped_rules(tmp_path: Path) -> None:
    """Written as PEP 440 writes a local version; rules of one's own change its fingerprint only."""
    shipped = _folder(tmp_path / "shipped", a=RULES)
    plain = _load(shipped)[0].version
    (shipped / "VERSION").write_text("2031.4.2\n")
    version = _load(shipped)[0].version
    own = load([shipped, _folder(tmp_path / "own", b="piece x\n")], cache_folder=None)[0].version
    program, _, local = version.partition("+")
    assert re.fullmatch(r"[a-z0-9]+(?:\.[a-z0-9]+)*", local)
    assert local.split(".")[:-1] == ["2031", "4", "2"]
    assert plain == f"{program}+{local.split('.')[-1]}"
    assert own.startswith(f"{program}+2031.4.2.")
    assert own != version


@pytest.mark.parametrize("text", ["", "soon", "2031", "2031.x", "2031.4.2.1", "9" * 100, "2031.4;"])
def test_what_is_no_version_of_rules_is_passed_over(tmp_path: Path, text: str) -> None:
    (tmp_path / "VERSION").write_text(text)
    assert places.rules_version(tmp_path) == ""


def test_places_named_in_the_environment_stand_before_the_platforms(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv("MARKRULES_RULES", str(tmp_path / "rules"))
    monkeypatch.setenv("MARKRULES_CACHE", str(tmp_path / "cache"))
    assert places.personal_rules() == tmp_path / "rules"
    assert places.cache_folder() == tmp_path / "cache"

    monkeypatch.setenv("MARKRULES_RULES", "")
    monkeypatch.setenv("MARKRULES_CACHE", "")
    assert (places.personal_rules(), places.cache_folder()) == (None, None)


def test_the_shipped_rules_are_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("MARKRULES_RULES", raising=False)
    assert (places.shipped_rules() / "foundations.rules").is_file()


def test_a_message_can_be_shown_from_the_file_alone(tmp_path: Path) -> None:
    _, problems = _load(_folder(tmp_path, one="clew x\n"))

    assert show(problems[0]).splitlines()[1:] == ["    clew x", "    ^^^^", 'nearest: "clue"']


def test_a_feature_that_stands_elsewhere_is_told_to_be_called_otherwise(tmp_path: Path) -> None:
    """Who would add a value to a feature of the shipped rules is shown what can be done."""
    clasp = 'feature clasp\n    ask "Which?"\n    value bow "a bow"\n'
    shipped = _folder(tmp_path / "shipped", one=RULES + clasp)
    own = _folder(tmp_path / "own", two=clasp)

    _, problems = _load(shipped, own)
    told = [each.message for each in problems if each.code == "doubled-name"]

    assert told == [
        'two entries are called feature "clasp"; a feature stands in one place: call one of your'
        " own something else, or add to this one with: more clasp"
    ]
