"""Makers that were added to the person's own rules from a page, so that an undo takes them out.

They stand in a file of rules, and not in the catalogue, whose log tells the steps that are undone.
What is kept here lasts as long as the server; after that a maker is taken out on the page of a
piece that bears it, or by the command.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from markrules.frozen import dataclass
from markrules.tasks.own_makers import OwnMakerProblem, take_out_maker

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


def last_standing(visit: Visit) -> int:
    """The last step of the catalogue that was not taken back, by its number; 0 without one."""
    steps = visit.catalogue.steps.last(LOOKED_BACK)
    return next(
        (each.id for each in steps if not each.undone and each.what not in ("undo", "redo")), 0
    )


def added_last(visit: Visit) -> AddedMaker | None:
    """The maker that was added after every step that stands: what an undo takes back next.

    None where others sit at the table too: they do not change the rules.
    """
    added = visit.desk.added_makers
    if visit.desk.settings.shared or not added or added[-1].after != last_standing(visit):
        return None
    return added[-1]


def take_out_last(visit: Visit, added: AddedMaker) -> str:
    """Take the maker out again: what was done, in words. It may be gone by another way already."""
    visit.desk.added_makers.remove(added)
    try:
        gone = take_out_maker(added.entry, mark=added.mark)
    except OwnMakerProblem:
        return ""
    visit.desk.renew()
    return f"{gone.entry.replace('-', ' ')} is out of your own rules again"
