"""Rules of a person's own: checked, put into the common form, or tried as a text."""

from __future__ import annotations

from pathlib import Path

from starlette.responses import Response

from markrules.editor.trying import problems_of, told
from markrules.knowledge.places import personal_rules
from markrules.knowledge.texts import LARGEST_FILE
from markrules.language.formatter import format_text
from markrules.plain_files import read_plain
from markrules.tasks.own_rules import formatted, keep_text, own_folders, rule_files
from markrules.telling.words import count_of
from markrules.web.added_rules import AddedText, added_last, last_standing
from markrules.web.desk import Refused, Visit

LONGEST = 100_000
"""Characters of a text that is tried."""
SHOWN = 40
"""Problems told at once."""
TRIED = "tried.rules"
"""What a text that is tried is called in its problems."""
HOSTS_ALONE = "Rules are looked after at the computer that serves."


def rules(visit: Visit) -> Response:
    """The person's own files, and a place to try some rules."""
    return _page(visit)


def check(visit: Visit) -> Response:
    """Check the person's own rules, with their worked examples."""
    visit.for_host(HOSTS_ALONE)
    return _with_problems(visit, _own(visit), done="checked")


def form(visit: Visit) -> Response:
    """Put the person's own files into the common form; those with errors stay as they are."""
    visit.for_host(HOSTS_ALONE)
    files = rule_files(own_folders(visit.desk.settings.rule_folders))
    found = formatted(files, change=True)
    if any(each.problems or each.amiss for each in found):
        return _with_problems(visit, _own(visit), done="checked: put these right first")
    changed = sum(each.changed for each in found)
    words = f"{count_of(changed, 'file')} put into the common form."
    return visit.go("/rules", told=words if changed else "All were in the common form already.")


def attempt(visit: Visit) -> Response:
    """Check a text as rules, and show its common form; nothing is kept."""
    visit.for_host(HOSTS_ALONE)
    text = visit.form.text("text", LONGEST)
    if not text:
        raise Refused(400, "Write some rules, or paste them.", "text")
    common, amiss = format_text(text + "\n", TRIED)
    own = {name: kept for name, kept in _own(visit).items() if name != TRIED}
    tried = {**own, TRIED: text + "\n"}
    return _with_problems(
        visit, tried, done="tried", text=text, common="" if amiss else common, only=TRIED
    )


def keep(visit: Visit) -> Response:
    """Write a text that was tried into the person's own folder; nothing where it has errors."""
    visit.for_host(HOSTS_ALONE)
    text, folder = visit.form.text("text", LONGEST), personal_rules()
    if folder is None:
        raise Refused(409, "There is no folder for rules of your own.")
    tried = {**_own(visit), TRIED: text + "\n"}
    if any(each.severity == "error" for each in problems_of(tried)):
        return attempt(visit)
    try:
        kept = keep_text(text, folder)
    except (OSError, ValueError) as problem:
        raise Refused(409, f"They cannot be kept: {problem}") from None
    visit.desk.added.append(AddedText(kept, last_standing(visit)))
    visit.desk.renew()
    return visit.go("/rules", told=f"Kept, and used from now on. They stand in {kept.file.name}.")


def _folder_said() -> str:
    """Where the person's own rules lie, as a page may say it: by no name of a user."""
    folder = personal_rules()
    if folder is None:
        return ""
    if folder.is_relative_to(Path.home()):
        return f"~/{folder.relative_to(Path.home()).as_posix()}"
    return "the folder for rules that this server was given"


def _own(visit: Visit) -> dict[str, str]:
    """The texts of the person's own files, each by its name in its folder."""
    return {
        str(file.relative_to(folder)): read_plain(file, LARGEST_FILE).decode("utf-8", "replace")
        for folder in own_folders(visit.desk.settings.rule_folders)
        for file in rule_files([folder])
    }


def _with_problems(
    visit: Visit,
    texts: dict[str, str],
    *,
    done: str,
    text: str = "",
    common: str = "",
    only: str = "",
) -> Response:
    found = [each for each in problems_of(texts) if not only or each.place.file == only]
    return _page(
        visit,
        problems=tuple(told(each, texts) for each in found),
        errors=sum(each.severity == "error" for each in found),
        done=done,
        text=text,
        common=common,
    )


def _page(
    visit: Visit,
    *,
    problems: tuple[str, ...] = (),
    errors: int = 0,
    done: str = "",
    text: str = "",
    common: str = "",
) -> Response:
    added = added_last(visit)
    return visit.page(
        "rules.html",
        added=added if isinstance(added, AddedText) else None,
        host=visit.is_host,
        hosts_alone=HOSTS_ALONE,
        own=_own(visit) if visit.is_host else {},
        folder=_folder_said() if visit.is_host else "",
        problems=problems[:SHOWN],
        more=max(0, len(problems) - SHOWN),
        errors=errors,
        done=done,
        text=text,
        common=common,
    )


ROUTES = (
    ("GET", "/rules", rules),
    ("POST", "/rules/check", check),
    ("POST", "/rules/form", form),
    ("POST", "/rules/try", attempt),
    ("POST", "/rules/keep", keep),
)
