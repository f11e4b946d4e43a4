"""Several texts on one piece: which of them is the maker's is not known beforehand."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log
from typing import TYPE_CHECKING

from markrules.knowledge.observation import ImportedMark, MarkEvidence, MarkHypothesis
from markrules.marks.entries import names_of
from markrules.marks.letters import folded
from markrules.marks.vocabulary import CODE
from markrules.named_tuple import NamedTuple

if TYPE_CHECKING:
    from markrules.marks.search import MarkSearch

MARK_DEVICES = ("mark-device",)
"""Features that can tell a maker where no letter was read."""

HALLMARKS = "hallmark-"
"""Features on marks of an assay office begin so; a device beside them is theirs, not a maker's."""

MARK_LOOKS = ("mark-form", "mark-device", "mark-method")
"""Features that describe how a mark looks: its letters, the device beside them, how it was made."""


class Text(NamedTuple):
    """A text on the piece: the chance that it was guessed at, whether it could name a maker, as
    words do that some maker used alone ("Made in England"), whether it could by itself, and the
    chance that it is written as it was heard.
    """

    text: str
    doubt: float
    may_name: bool = True
    may_sign: bool = True
    by_ear: float = 0.0


class Named(NamedTuple):
    """A name that was said of the piece: the chance that it was said because it is right, and that
    it is written as it was heard.
    """

    name: str
    right: float
    by_ear: float = 0.0


def joint_evidence(
    search: MarkSearch,
    texts: Sequence[Text],
    looks: Sequence[str],
    heard: Sequence[Named] = (),
) -> MarkEvidence | None:
    """What all texts together say of the maker; None where no listed mark comes near.

    One of the texts, or all of them as the lines of one mark, is taken to be the maker's, each
    as likely as the next; the others are words that any maker's piece could bear. So
    P(all | maker) / P(all | unknown) is the mean over these readings of
    P(this one | maker) / P(this one | unknown). `looks` are words for how the marks look;
    `heard` are names that were said of the piece and not read off it.
    """
    imported: dict[tuple[str, str], ImportedMark] = {}
    ratios = _seen(search, texts, looks, imported)
    # A bare number, or one with a letter, is a style or a mould, and words that any maker's piece
    # may bear name nobody: neither says anything against a name that was said.
    alone = not any(text.may_sign and not is_a_code(search, text.text) for text in texts)
    told = [_told(search, each, alone) for each in heard]
    if alone:
        # Two who say a name may both have it from one label: it is heard once, the first time.
        said: _Ratios = {}
        for each in told:
            said = {**each, **said}
        ratios = {key: said.get(key, 1.0) * ratios.get(key, 1.0) for key in {**said, **ratios}}
    else:
        for each in told:
            ratios = {key: ratio * each.get(key, 1.0) for key, ratio in ratios.items()}
    if not ratios:
        return None
    best = max(ratios.values())
    kept = {key: ratio for key, ratio in ratios.items() if ratio > best * LEAST_SHARE}
    candidates = tuple(
        MarkHypothesis(maker, mark, log(ratio), imported=imported.get((maker, mark)))
        for (maker, mark), ratio in kept.items()
    )
    return MarkEvidence(" / ".join(each.text for each in texts), candidates, 0.0)


def is_a_code(search: MarkSearch, text: str) -> bool:
    """Whether a text is a number, or one with a letter or two that is no listed maker's own."""
    return text.isdigit() or (bool(CODE.fullmatch(folded(text))) and not search.is_listed(text))


_Ratios = dict[tuple[str, str], float]


def _seen(
    search: MarkSearch,
    texts: Sequence[Text],
    looks: Sequence[str],
    imported: dict[tuple[str, str], ImportedMark],
) -> _Ratios:
    """P(texts | mark) / P(texts | unknown) for each mark that comes near; what those of a person's
    own list bring along is put into `imported`.
    """
    described = "".join(f" ({look})" for look in looks if not set(look) & set("()[]"))
    own = [each for each in texts if each.may_name]
    readings: list[tuple[tuple[str, ...], float, float]] = [
        ((f"{each.text}{described}",), each.doubt, each.by_ear) for each in own
    ]
    if not own and described:
        readings = [((described.strip(),), search.doubt, 0.0)]
    if len(texts) > 1 and own:
        lines = [each.text for each in texts]
        doubt = max(each.doubt for each in texts)  # as one mark they are as sure as the least
        ear = max(each.by_ear for each in texts)
        readings.append(((*lines[:-1], f"{lines[-1]}{described}"), doubt, ear))
    ratios: _Ratios = {}
    for reading, doubt, by_ear in readings:
        evidence = search.evidence(reading, doubt, by_ear)
        for each in evidence.candidates:
            # A float holds e to the 709.
            ratio = exp(min(700.0, each.log_likelihood - evidence.unknown_log_likelihood))
            key = (each.maker, each.mark)
            ratios[key] = ratios.get(key, 0.0) + ratio / len(readings)
            if each.imported is not None:
                imported[key] = each.imported
    return ratios


def _told(search: MarkSearch, named: Named, alone: bool) -> _Ratios:
    """P(the name was said | mark) / P(it was said | unknown).

    Where a name is all that is known of the maker (`alone`), the makers that it does not come near
    are no hypotheses of the reading: "unknown" then stands for them too, and the ratio is lessened
    by as much as its weight falls short of theirs.

    With the chance s (`named.right`) the name was said because it is right; otherwise names are
    said as often as they are met, whoever made the piece. So P(said | mark) = s P(name | mark) +
    (1 - s) mean P(name).
    """
    name, right, by_ear = named
    evidence = search.evidence(name, by_ear=by_ear)
    if not evidence.candidates:
        return {}
    top = max(each.log_likelihood for each in evidence.candidates)
    fits = {(e.maker, e.mark): exp(e.log_likelihood - top) for e in evidence.candidates}
    fits = _by_any_mark(search, name, fits)
    unknown = exp(min(700.0, evidence.unknown_log_likelihood - top))
    weights = {key: search.weight_of(*key) for key in fits}
    total = search.unknown_weight + search.marks.weight
    mean = sum(fits[key] * weights[key] for key in fits) + unknown * search.unknown_weight
    by_chance = (1 - right) * mean / total
    others = total - sum(weights.values())
    share = search.unknown_weight / others if alone else 1.0
    return {
        key: share * (right * fit + by_chance) / (share * right * unknown + by_chance)
        for key, fit in fits.items()
    }


def _by_any_mark(search: MarkSearch, name: str, fits: _Ratios) -> _Ratios:
    """The fits of a name that was said, where it names a maker and not one mark of it alone.

    Who says the name of a maker may have read any of its marks: so each mark of the maker gets the
    mean of its own fit and the best of them all.
    """
    letters = folded(name)
    spread = dict(fits)
    for maker in {maker for maker, _ in fits}:
        listed = search.base.makers.get(maker)
        if listed is None or letters not in map(folded, names_of(listed)):
            continue
        best = max(fit for (whose, _), fit in fits.items() if whose == maker)
        for mark in listed.marks:
            key = (maker, mark.name)
            spread[key] = (fits.get(key, 0.0) + best) / 2
    return spread


LEAST_SHARE = 1e-7
"""Marks this much less likely than the best are left out: they cannot move a percentage."""
