"""What is done to several pieces at once: each is one step, which one undo takes back."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.appraisal.box import BoxAppraisal
from markrules.appraisal.worth_data import decision_data
from markrules.catalogue.pictures import Picture, prepare
from markrules.catalogue.problems import CatalogueProblem
from markrules.catalogue.records import Box, Piece
from markrules.catalogue.store import Catalogue
from markrules.frozen import dataclass
from markrules.tasks.appraising import AppraisalDesk, appraise_pieces


def keep_proposed(
    at: AppraisalDesk, catalogue: Catalogue, pieces: Sequence[Piece], who: str
) -> int:
    """Keep the decision proposed for each of these pieces, with its reasons and sums; how many."""
    return keep_decisions(catalogue, pieces, appraise_pieces(at, catalogue, pieces), who)


def keep_decisions(
    catalogue: Catalogue, pieces: Sequence[Piece], found: BoxAppraisal, who: str
) -> int:
    """Keep what an appraisal decided on each of these pieces, as one step; how many."""
    made = [(each, found.pieces[each.id].decision) for each in pieces]
    return catalogue.decisions.decide_each(
        (
            (piece, decision.choice, " ".join(decision.reasons), decision_data(decision))
            for piece, decision in made
        ),
        who,
    )


@dataclass(frozen=True, slots=True)
class Photographed:
    """Pictures ready to be kept, and what was wrong with the others: name and reason."""

    pictures: tuple[Picture, ...]
    refused: tuple[tuple[str, str], ...]


def prepared(photos: Sequence[tuple[str, bytes]]) -> Photographed:
    """Each named file as a picture to be kept; a bad one does not spoil the good ones."""
    good: list[Picture] = []
    bad: list[tuple[str, str]] = []
    for name, data in photos:
        try:
            good.append(prepare(data))
        except CatalogueProblem as problem:
            bad.append((name, str(problem)))
    return Photographed(tuple(good), tuple(bad))


def enter_photographed(
    catalogue: Catalogue, box: Box, photos: Photographed, who: str, *, together: bool
) -> range:
    """New pieces from photos: one for each, or one that has them all; their numbers."""
    runs = [photos.pictures] if together else [(each,) for each in photos.pictures]
    return catalogue.photos.add_photographed(box, runs, who)
