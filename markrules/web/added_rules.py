"""What was added to the person's own rules from a page, so that an undo takes it out.

They stand in a file of rules, and not in the catalogue, whose log tells the steps that are undone.
What is kept here lasts as long as the server; after that a maker is taken out on the page of a
piece that bears it, or by the command, and other rules by hand from their file.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeAlias

from markrules.frozen import dataclass
from markrules.tasks.own_makers import OwnMakerProblem, take_out_maker
from markrules.tasks.own_rules import KeptText, take_back

if TYPE_CHECKING:
    from markrules.web.desk import Visit

LOOKED_BACK = 50
"""Steps: one that stands is nearly always among the last few."""


@dataclass(frozen=True, slots=True)
class AddedMaker:
    """The entry and the mark that were written, and the last step that stood at the time."""

    entry: str
    mark: str
    after: int

    @property
    def named(self) -> str:
        """What an undo takes out, in words."""
        return self.entry.replace("-", " ")


@dataclass(frozen=True, slots=True)
class AddedText:
    """Rules that were tried and kept, and the last step that stood at the time."""

    kept: KeptText
    after: int

    @property
    def named(self) -> str:
        """What an undo takes out: the first line of the rules."""
        return self.kept.head


Added: TypeAlias = AddedMaker | AddedText


class Changed(Exception):
    """A file of rules that is no longer as the page left it."""


def last_standing(visit: Visit) -> int:
    """The last step of the catalogue that was not taken back, by its number; 0 without one."""
    steps = visit.catalogue.steps.last(LOOKED_BACK)
    return next(
        (each.id for each in steps if not each.undone and each.what not in ("undo", "redo")), 0
    )


def added_last(visit: Visit) -> Added | None:
    """What was added after every step that stands: what an undo takes back next.

    None where others sit at the table too: they do not change the rules.
    """
    added = visit.desk.added
    if visit.desk.settings.shared or not added or added[-1].after != last_standing(visit):
        return None
    return added[-1]


def take_out_last(visit: Visit, added: Added) -> str:
    """Take it out again: what was done, in words. A maker may be gone by another way already.

    Raises Changed where the file of rules was changed since.
    """
    visit.desk.added.remove(added)
    if isinstance(added, AddedText):
        if not take_back(added.kept):
            raise Changed(
                f"{added.kept.file.name} was changed since: take {added.named} out of it by hand."
            )
    else:
        try:
            take_out_maker(added.entry, mark=added.mark)
        except OwnMakerProblem:
            return ""
    visit.desk.renew()
    return f"{added.named} is out of your own rules again"
