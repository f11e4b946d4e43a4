"""The engine's tunable numbers, read once from the rules."""

from __future__ import annotations

from markrules.frozen import dataclass
from markrules.knowledge.base import Chance, KnowledgeBase


@dataclass(frozen=True, slots=True)
class Settings:
    """The numbers of the engine: each is the `setting` entry of its name in the rules.

    `fade_share`, `fade_least`, `fade_most`: length of a soft slope, as a share of the bulk and
    in years. `second_mode`: share of probability that makes a second range. `first_year`:
    start of the grid. `unknown_maker`: weight of all makers not in the rules together.
    `maker_weight`: weight of a maker whose commonness is not given. `maker_least`: makers
    below this probability are not listed. `points_most`: greatest likelihood ratio that one
    clue gives to a maker it points to. `misread_least`: no clue is surer than this, so that
    no product of likelihoods is ever zero. `limit_misread`: a clue sets a hard limit only
    below this chance of being wrong. `marked_share`: share of the pieces by a known maker
    whose mark can still be read. `mark_life`: years in which the use of a mark without a
    recorded end fades by the factor e; 0 for never. `maker_pieces`: the exponent of how much
    likelier than of any piece a year is of one of the maker's. `next_least`: looks that gain fewer
    bits are not proposed. `answer_cost`: bits that an answer must be worth for each step
    of effort, the first one too; `beside_cost`: the same of one more answer on a screen that
    asks for something anyway. `effort_penalty`: bits taken off for each step of effort when
    looks are put in order. `background`: share of what shows a clue that strays over all
    years, where
    its entry does not say. `wave_seam`: years over which the waves of one spread run into each
    other (standard deviation). `heed`: the exponent that every clue has beside what tempering
    leaves it. `shared_look`: how far clues that rest on the same in part repeat each other.
    `shares_weight`: how much a table of shares counts beside the curve of a clue, from
    0 to 1. `own_refit`: share of the refits of a feature bound by a fittings
    entry that befell it alone. `mostly_tail`: share of pieces that lie beyond each end of a bulk
    that a source gives, which makes a curve of it; 0 leaves the window as it is. `origin_doubt`:
    how much the default origin gives way to all others where nobody says where a piece comes
    from; `origin_heard`: the same of an origin that was only told in a note.
    `exception_least`: an exception of the piece as a whole is told from this probability on.
    `set_share`: years that lie apart are given as a set where they are no more than this share
    of the one range; `same_run`: runs with so few years between them are one. `as_likely`:
    years at least so likely, against the likeliest, are as good as that. `origin_matters`: years
    by which another origin must move an end of the range to be told of. `trough`: between two
    waves of a curve lie the years in which it falls below this part of its peak; `trough_least`:
    fewer years than this are where the waves meet, and are not told. `against_share`: all else
    speaks against a clue where it leaves less than this share of what the years of such pieces in
    general give the clue's own years; `against_misread`: one of trust so low or lower is outvoted
    then, and not told as misread. `maker_fit_least`: the mark and the rest disagree below this
    Bayes factor of the construction for the maker's years, against all years. `situation_sure`: so
    likely must an order of years be, or the years, that a misleading situation asks for.
    `at_odds`: the agreement of two sides from which on they are no contradiction. `told_near`:
    years around one that was told that may have been meant by it. `note_words`: words of a note
    for which the chances of what misleads hold; in longer ones more is met by accident.
    `note_share`: the least that is left of the odds. `imitated`: the chance that a clue, beside
    those that a situation asks for, misleads on a later piece that imitates an older one.
    `doubted_share`: how often a piece of which something is told to mislead, by what tells no
    years, is not as old as all else says; `doubted_misread`: how often a clue misleads there.
    `whole_note_guess`: the most that is told of a kind which all words of a note only hint at.
    `crowding`: how fast each clue counts for less the more of them speak, as an exponent;
    `usual_clues`: how many such as the most telling one count each as `heed` says; `clue_noise`:
    nats that the error of a clue's own curve is worth; `clue_joint`: the exponent by which a clue
    on several things seen together counts for more.
    """

    fade_share: float
    fade_least: int
    fade_most: int
    second_mode: Chance
    first_year: int
    unknown_maker: float
    maker_weight: float
    maker_least: Chance
    points_most: float
    misread_least: Chance
    limit_misread: Chance
    marked_share: Chance
    mark_life: float
    maker_pieces: float
    next_least: float
    effort_penalty: float
    answer_cost: float
    beside_cost: float
    background: float
    wave_seam: float
    heed: float
    shared_look: float
    crowding: float
    usual_clues: float
    clue_noise: float
    clue_joint: float
    shares_weight: float
    own_refit: float
    mostly_tail: float
    origin_doubt: float
    origin_heard: float
    exception_least: float
    set_share: float
    same_run: int
    as_likely: float
    origin_matters: int
    trough: float
    trough_least: int
    against_share: float
    against_misread: float
    maker_fit_least: float
    situation_sure: Chance
    at_odds: float
    told_near: int
    note_words: float
    note_share: float
    imitated: float
    doubted_share: float
    doubted_misread: float
    whole_note_guess: Chance


def settings_of(base: KnowledgeBase) -> Settings:
    """The settings of a knowledge base; names in the rules have hyphens (`fade-share`).

    Raises MissingSetting where the rules hold no entry for one of them.
    """
    return base.settings_as(Settings)
