"""Every form of JSON: its schema is sound, and what the commands write holds to it.

The schemas are judged by the jsonschema library against draft 2020-12 of the standard, not by
code of ours.
"""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any

import click
import pytest
from json_scenario import played
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from samples import some_of
from shipped_base import shipped_reader
from together import every_case

from markrules.book import rendering
from markrules.cli import demo
from markrules.cli.commands import cli
from markrules.forms import FORMS, schema, schemas, versioned
from markrules.library import as_data
from markrules.reading.cases import as_observations
from markrules.reading.reader import Request

pytestmark = pytest.mark.slow


def closed(part: Any) -> Any:
    """The same schema, in which a key that it does not name is an error.

    What is published lets keys be added; here none may be without being described.
    """
    if isinstance(part, list):
        return [closed(each) for each in part]
    if not isinstance(part, dict):
        return part
    made = {
        key: {name: closed(each) for name, each in value.items()}
        if key in ("properties", "$defs")
        else closed(value)
        for key, value in part.items()
    }
    if "properties" in part and "additionalProperties" not in part and "allOf" not in part:
        made["additionalProperties"] = False
    return made


@cache
def validator(form: str, strict: bool = True) -> Draft202012Validator:
    """A validator of a form, with all other forms at hand: made once, as it reads some sixty."""
    take = closed if strict and not extends(form) else (lambda found: found)
    registry: Registry[Any] = Registry().with_resources(
        (f"urn:markrules:form:{name}", Resource.from_contents(schema(name))) for name in schemas()
    )
    return Draft202012Validator(take(schema(form)), registry=registry)


def extends(form: str) -> bool:
    """Whether the objects of a form are those of another with something added."""
    return "allOf" in json.dumps(schema(form))


def faults(form: str, data: Any) -> list[str]:
    """What does not hold, with its place."""
    return [f"{each.json_path}: {each.message[:200]}" for each in validator(form).iter_errors(data)]


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[Any]]:
    found: dict[str, list[Any]] = defaultdict(list)
    every = rendering.files
    with pytest.MonkeyPatch.context() as patch:
        # The form of a book tells the names of its files: three show it as well as all.
        patch.setattr(rendering, "files", lambda book: islice(every(book), 3))
        # Each piece of the demo is read with its looks: the small run takes some, and that which
        # the command shows.
        rows = demo.demo_rows()
        few = [*some_of(rows), *(each for each in rows if each["id"] == demo.FULL)]
        patch.setattr(demo, "demo_rows", lambda: [each for each in rows if each in few])
        for form, data in played(tmp_path_factory.mktemp("forms")):
            found[form].append(data)
    return found


def test_every_form_has_a_schema_and_every_schema_a_form() -> None:
    assert set(schemas()) == set(FORMS)
    for form in FORMS:
        Draft202012Validator.check_schema(schema(form))
        assert schema(form)["title"] == f"markrules-{form}/{FORMS[form].version}"


@every_case("form", sorted(FORMS))
def test_what_the_commands_write_holds_to_its_schema(
    form: str, written: dict[str, list[Any]]
) -> None:
    assert written[form]
    for data in written[form]:
        assert faults(form, data) == []
        objects = data if isinstance(data, list) else [data]
        own = {"demo": "reading", "batch": "reading"}.get(form, form)
        for each in objects:
            if "error" not in each:
                assert each["schema"] == f"markrules-{own}/{FORMS[own].version}"


def test_a_reading_of_a_worked_example_holds_to_its_schema() -> None:
    reader = shipped_reader()
    check = validator("reading")
    # To hold one against its schema takes longer than to make it: of the share that the small run
    # tries elsewhere, here a share.
    for case in some_of(some_of(reader.base.cases.values())):
        notes = [each for each in case.given if isinstance(each, str)]
        seen = [each for each in case.given if not isinstance(each, str)]
        observed = tuple(one for each in seen for one in as_observations(each))
        reading = reader.read(Request(", ".join(notes), observed, next_looks=0))
        data = as_data(reading, reader.metals(reading.observations))
        assert [*check.iter_errors(json.loads(json.dumps(data)))] == [], case.name


@every_case(
    ("change", "path"),
    [
        (lambda data: data.pop("date"), "$"),
        (lambda data: data.update(schema="markrules-reading/0"), "$.schema"),
        (lambda data: data["date"].update({"from": "1920"}), "$.date.from"),
        (lambda data: data["makers"][0].update(probability=1.5), "$.makers[0].probability"),
        (lambda data: data["observations"][0].update(state="lost"), "$.observations[0].state"),
        (lambda data: data.update(undescribed=1), "$"),
    ],
)
def test_a_wrong_reading_does_not_hold(change: Any, path: str) -> None:
    data = json.loads(json.dumps(as_data(shipped_reader().read(Request("brooch, c catch")))))
    assert faults("reading", data) == []

    change(data)

    assert [each.json_path for each in validator("reading").iter_errors(data)] == [path]


def test_every_command_that_writes_json_has_a_form() -> None:
    told = {name for form in FORMS.values() for name in commands_of(form.command)}
    offered = {name for name, command in walk(cli, "") if has_json(command)}

    assert offered == told


def commands_of(text: str) -> Iterator[str]:
    """`box add, paste` is `box add` and `box paste`; words in capitals are arguments."""
    for part in text.split(";"):
        words = [each for each in part.split() if not each.isupper() and each != "--batch"]
        group = words[:-1] if "," not in part else [words[0]]
        for last in (" ".join(words[len(group) :])).split(", "):
            yield " ".join([*group, last])


def walk(command: click.Command, name: str) -> Iterator[tuple[str, click.Command]]:
    if isinstance(command, click.Group):
        context = click.Context(command)
        for each in command.list_commands(context):
            inner = command.get_command(context, each)
            assert inner is not None
            yield from walk(inner, f"{name} {each}".strip())
        return
    yield name, command


def has_json(command: click.Command) -> bool:
    # `box export` writes JSON Lines that are taken in again; they are the catalogue's own rows.
    return command.name != "export" and any(each.name == "as_json" for each in command.params)


def test_a_stamp_stands_first_and_what_has_one_keeps_it() -> None:
    assert list(versioned({"a": 1}, "copy")) == ["schema", "a"]
    assert versioned([{}, {}], "stones") == [{"schema": "markrules-stones/1"}] * 2
    assert versioned({"schema": "own"}, "copy") == {"schema": "own"}
    with pytest.raises(KeyError):
        versioned({}, "no-such-form")


def test_an_unknown_form_is_told_with_the_nearest() -> None:
    with pytest.raises(KeyError, match='nearest: "reading"'):
        schema("raeding")


def test_the_schemas_are_packed_with_the_package() -> None:
    import markrules

    assert (Path(markrules.__file__).parent / "_schemas" / "reading.json").is_file()
