"""Writes the reference pages from the docstrings of the library, the schemas of the forms and the
table of what words do; puts the counts of the rules and the example's answer into README.md.

    python docs/make_reference.py

`library.md` begins with examples that are written by hand, in `library_head.md`.
"""

from __future__ import annotations

import dataclasses
import inspect
import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from markrules.knowledge.base import KnowledgeBase

HERE = Path(__file__).parent
NOTICE = "<!-- Written by docs/make_reference.py; change the sources, not this page. -->\n\n"


def pages() -> dict[str, str]:
    """Every page by its name, and the grammar for editors."""
    from markrules.editor.highlighting import grammar_text

    head = (HERE / "library_head.md").read_text(encoding="utf-8")
    return {
        "library.md": NOTICE + head.rstrip() + "\n\n" + "\n".join(library_lines()).rstrip() + "\n",
        "forms.md": NOTICE + "\n".join(form_lines()).rstrip() + "\n",
        "roles.md": NOTICE + "\n".join(role_lines()).rstrip() + "\n",
        "markrules.tmLanguage.json": grammar_text() + "\n",
    }


COUNTED = (
    ("clues", "clues"),
    ("features", "features"),
    ("types", "named types"),
    ("misleading", "situations that mislead"),
    ("makers", "makers"),
    ("metal_marks", "marks of metal"),
    ("registers", "registers"),
    ("signs", "signs of make"),
    ("faults", "faults"),
    ("cautions", "cautions"),
    ("cases", "worked examples"),
)
"""What README.md counts: fields of the base, and the words behind their number."""


LAST_YEAR = 2026
"""Ends the years of the sample, so that it is the same in every year."""
ASKED = '    $ markrules read "{}"\n'


def readme_with_sample() -> str:
    """README.md with its first example answered as it is now, and the counts as `readme` has them.

    Raises ValueError where the example does not stand there.
    """
    from markrules.cli.read import reading_page
    from markrules.reading.reader import Reader, Request

    text = readme()
    asked = re.search(re.escape(ASKED).replace(r"\{\}", "(.+)"), text)
    if asked is None:
        raise ValueError("README.md asks for no reading")
    reader = Reader(_shipped(), LAST_YEAR)
    lines = reading_page(reader, reader.read(Request(asked[1])), 80)
    told = "".join(f"    {line}".rstrip() + "\n" for line in lines)
    after = text[asked.end() :]
    rest = after[re.search(r"^(?=\S)", after, re.MULTILINE).start() :]  # type: ignore[union-attr]
    version = re.compile(r"(knowledge \d+\.\d+\.\d+\+\d+\.\d+(?:\.\d)?\.)[0-9a-f]{12}")
    return text[: asked.end()] + version.sub(r"\1…", told) + "\n" + rest


def readme() -> str:
    """README.md with the counts of the rules as they are.

    Raises ValueError where a count does not stand there once, with the words behind it.
    """
    base = _shipped()
    text = (HERE.parent / "README.md").read_text(encoding="utf-8")
    before, head, counts = text.partition("`rules/` holds ")
    counts, foot, after = counts.partition("worked examples")
    counts += foot
    for name, words in COUNTED:
        counts = _counted(rf"[\d,]+(?=\s{words}\b)", len(getattr(base, name)), counts)
    listed = r"(?<=- Makers: )[\d,]+(?= are listed)"
    return before + head + counts + _counted(listed, len(base.makers), after)


@cache
def _shipped() -> KnowledgeBase:
    """The rules as they are shipped."""
    from markrules.knowledge.loading import load
    from markrules.knowledge.places import cache_folder, shipped_rules

    base, _ = load([shipped_rules()], cache_folder=cache_folder())
    return base


def _counted(place: str, count: int, text: str) -> str:
    made, times = re.subn(place, f"{count:,}", text)
    if times != 1:
        raise ValueError(f"{place} stands {times} times in README.md")
    return made


SHORTEST_SHOWN = 4
"""Letters of a word that tells by itself what words a role has."""


def role_lines() -> Iterator[str]:
    """What words do, a table for each group of roles, with words that the rules give them."""
    from markrules.language.roles import ROLES, TARGETS

    base = _shipped()
    yield "# What words do"
    yield ""
    yield "The line `role` of a `wording` says what its words do in a note, a listing or a sheet."
    yield f"Behind {_all_of(TARGETS)} stands the name of what they are said of: `absent mark`."
    for heading, held in ROLES:
        yield from ("", f"## {heading}", "", "| role | such words | what they do |")
        yield "|---|---|---|"
        for name, does in held:
            role = name.split()[0]
            words = [each.words for each in base.wordings.values() if each.role == role]
            yield f"| `{name}` | {_few_of(words)} | {does} |"


def _few_of(words: Iterable[tuple[str, ...]]) -> str:
    """Three words at most, single ones first; none that would end a cell or has braces."""
    plain = [text for each in words for text in each if not set(text) & set("{}|~^=+<")]
    plain.sort(key=lambda text: (" " in text, len(text) < SHORTEST_SHOWN))
    return ", ".join(list(dict.fromkeys(plain))[:3])


def _all_of(names: Iterable[str]) -> str:
    *all_but_last, last = (f"`{name}`" for name in names)
    return f"{', '.join(all_but_last)} and {last}"


def library_lines() -> Iterator[str]:
    """The functions, then the records and errors, each with its docstring."""
    from markrules import library

    found = {name: getattr(library, name) for name in library.__all__}
    functions = {name: each for name, each in found.items() if inspect.isfunction(each)}
    yield "## Functions\n"
    for name, each in functions.items():
        yield f"### `{name}{signature(each)}`\n"
        yield told(each)
    yield "## Records and errors\n"
    for name, each in found.items():
        if name in functions:
            continue
        if not inspect.isclass(each):
            continue
        yield f"### `{name}`\n"
        yield told(each)
        if dataclasses.is_dataclass(each):
            yield from field_lines(each)
        if each.__module__ == library.__name__:
            yield from method_lines(each)


def field_lines(record: Any) -> Iterator[str]:
    """The fields of a record, a line each."""
    for field in dataclasses.fields(record):
        yield f"- `{field.name}: {field.type}`"
    yield ""


def method_lines(record: Any) -> Iterator[str]:
    """The methods and properties that a class of the library itself has."""
    for name, each in vars(record).items():
        if name.startswith("_"):
            continue
        if inspect.isfunction(each):
            yield f"#### `{record.__name__}.{name}{signature(each)}`\n"
            yield told(each)
        elif isinstance(each, property) or hasattr(each, "func"):
            yield f"#### `{record.__name__}.{name}`\n"
            yield told(each.fget if isinstance(each, property) else each.func)


def signature(function: Any) -> str:
    """The signature as it is written, without `self`."""
    found = inspect.signature(function)
    kept = [each for each in found.parameters.values() if each.name != "self"]
    return re.sub(r"(?<=[:>] )'([^']*)'", r"\1", str(found.replace(parameters=kept)))


def told(documented: Any) -> str:
    """The docstring as a paragraph of the page."""
    return (inspect.getdoc(documented) or "") + "\n"


def form_lines() -> Iterator[str]:
    """Every form with its keys."""
    from markrules.forms import FORMS, schema

    yield "# Forms of JSON\n"
    yield (
        "What the commands write with `--json`. Each object bears its form and version under"
        " `schema`, as in\n`markrules-reading/1`; the version grows when a key changes its meaning"
        " or goes, and not where keys are added: pass over\nwhat you do not know. The schemas"
        ' (JSON Schema, draft 2020-12) come with the package:\n`markrules.schema("reading")`,'
        " names in `markrules.schemas()`. One form inside another is named by its `$id`,\n"
        "`urn:markrules:form:NAME`. `box export --json` writes rows to be taken in again, and"
        " sheets export in open formats of\nothers; these are not listed here.\n"
    )
    for name, form in FORMS.items():
        yield f"## {name}\n"
        yield f"`markrules {form.command}`: {form.tells}.\n"
        yield from key_lines(schema(name), schema(name), 0)
        yield ""


def key_lines(part: Mapping[str, Any], whole: Mapping[str, Any], depth: int) -> Iterator[str]:
    """The keys of an object, those of objects inside it below."""
    for option in part.get("oneOf", ()):
        yield from key_lines(option, whole, depth)
    if part.get("type") == "array" and depth == 0:
        yield "A list of:\n"
    part = inner(part, whole)
    for base in part.get("allOf", ()):
        if base.get("$ref", "").startswith("urn:"):
            yield f"{'  ' * depth}- all keys of `{base['$ref'].rpartition(':')[2]}`"
        else:
            yield from key_lines(base, whole, depth)
    required = part.get("required", ())
    for name, value in part.get("properties", {}).items():
        maybe = "" if name in required else ", may be left out"
        about = f": {value['description']}" if "description" in value else ""
        yield f"{'  ' * depth}- `{name}` ({kind(value)}{maybe}){about}"
        below = inner(value, whole)
        if below.get("properties") and depth < 4 and "$ref" not in str(value.get("items", "")):
            yield from key_lines(below, whole, depth + 1)


def inner(part: Mapping[str, Any], whole: Mapping[str, Any]) -> Mapping[str, Any]:
    """The object that a part is, or a list of."""
    while part.get("items") or part.get("$ref", "").startswith("#/$defs/"):
        part = whole["$defs"][part["$ref"][8:]] if "$ref" in part else part["items"]
    return part


def kind(value: Mapping[str, Any]) -> str:
    """The kind of a value in a word or two."""
    if "const" in value:
        return f'"{value["const"]}"'
    if "enum" in value:
        return " or ".join(map(str, value["enum"]))
    if "$ref" in value:
        return f"a {value['$ref'].rpartition(':')[2].rpartition('/')[2]}"
    if "anyOf" in value:
        return " or ".join(
            "null" if each == {"type": "null"} else kind(each) for each in value["anyOf"]
        )
    types = value.get("type", "any")
    return types if isinstance(types, str) else " or ".join(types)


if __name__ == "__main__":
    for file, text in pages().items():
        (HERE / file).write_text(text, encoding="utf-8")
        print(HERE / file)
    (HERE.parent / "README.md").write_text(readme_with_sample(), encoding="utf-8")
