"""A set entered as one piece: what its pieces would bring one by one, added up."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import replace

from markrules.appraisal.likeness import LikenessSettings, Profile
from markrules.appraisal.sums_of_prices import sum_of
from markrules.appraisal.value import Carried, Estimate, Valuation, value_of
from markrules.catalogue.records import Sale
from markrules.inference.reading import Reading
from markrules.knowledge.observation import MARK
from markrules.notes.vocabulary import SEVERAL_PIECES
from markrules.telling.pieces_lost import pieces_lost

_MOST_WORDS = 3
"""Words of a name of a piece, at most: `clip on earrings`."""


def pieces_told(compared: LikenessSettings, reading: Reading) -> tuple[str, ...]:
    """The piece types that the note of a set names, in its order; empty for one piece.

    A `necklace, bracelet and earrings set` is three; a set that names fewer than two is none.
    What a mark says names no piece, and what is told as missing is none.
    """
    if not _is_set(compared, reading.piece_type):
        return ()
    words: list[str] = []
    lost = pieces_lost(compared.base, reading.account)
    for place, each in enumerate(reading.account):
        if place in lost:
            continue
        marked = any(one.feature == MARK for one in each.observations)
        words += ["|"] if marked else each.words.replace(",", " | ").replace("/", " ").split()
    found: list[str] = []
    at = 0
    while at < len(words):
        for many in range(_MOST_WORDS, 0, -1):
            named = compared.type_named(" ".join(words[at : at + many]).strip(".;:()"))
            # `bracelet and earrings` is a name too, of a set: its parts are what is looked for.
            if named and not _is_set(compared, named):
                found.append(named)
                at += many - 1
                break
        at += 1
    several = tuple(dict.fromkeys(found))
    return several if len(several) > 1 else ()


def value_of_several(
    compared: LikenessSettings,
    piece: Profile,
    types: Sequence[str],
    sales: Sequence[Sale],
    currency: str,
    today: datetime.date,
) -> Valuation:
    """The value of a set of pieces of these types, as the sum of theirs.

    Where sales of sets are known they tell it, as they do where no piece of it has a price. A set
    is as big as all of it, so no size is compared.
    """
    whole = value_of(compared, piece, sales, currency, today)
    if not types or _sets_sold(compared, sales, currency):
        return whole
    alone = [
        value_of(compared, replace(piece, piece_type=each, size_mm=None), sales, currency, today)
        for each in types
    ]
    estimates = [each.estimate for each in alone if each.estimate is not None]
    if len(estimates) < len(types):
        wanting = [kind for kind, each in zip(types, alone, strict=True) if each.estimate is None]
        names = ", ".join(each.replace("-", " ") for each in wanting)
        told = f"A set of {len(types)}: of {names} no sold price is known, nor of such a set."
        return replace(whole, estimate=None, words=(told, *_without_counts(whole)))
    named = ", ".join(each.replace("-", " ") for each in types)
    told = f"A set: no sale of a set is known, so its pieces are added up ({named})."
    added = _added(estimates, compared.base.setting("price-together"))
    return Valuation(added, whole.set_aside, (told, *alone[0].words))


def _added(estimates: Sequence[Estimate], together: float) -> Estimate:
    total = sum_of(estimates, together)
    first = estimates[0]
    shares = [each.expected / total.expected for each in estimates]
    quartiles = [math.fsum(each.quartiles[at] for each in estimates) for at in range(3)]
    # The middles of a sum lie above the sum of the middles, and not above its mean.
    middle = min(total.expected, math.fsum(each.middle for each in estimates))
    return replace(
        first,
        low=total.low,
        middle=max(total.low, middle),
        high=total.high,
        expected=total.expected,
        quartiles=(quartiles[0], quartiles[1], quartiles[2]),
        effective=min(each.effective for each in estimates),
        carried=_carried(estimates, shares),
    )


def _carried(estimates: Sequence[Estimate], shares: Sequence[float]) -> tuple[Carried, ...]:
    """Each sale once: its pull and share by what each piece adds to the price of the set."""
    pulls: dict[Sale, float] = {}
    parts: dict[Sale, float] = {}
    for estimate, share in zip(estimates, shares, strict=True):
        for each in estimate.carried:
            pulls[each.sale] = pulls.get(each.sale, 0.0) + share * each.pull
            parts[each.sale] = parts.get(each.sale, 0.0) + share * each.share
    found = [
        replace(each, pull=pulls[each.sale], share=parts[each.sale])
        for each in estimates[0].carried
    ]
    return tuple(sorted(found, key=lambda each: -each.share))


def _without_counts(whole: Valuation) -> tuple[str, ...]:
    return whole.words if whole.estimate is None else ()


def _is_set(compared: LikenessSettings, piece_type: str) -> bool:
    return not set(SEVERAL_PIECES).isdisjoint(compared.chains.get(piece_type, ()))


def _sets_sold(compared: LikenessSettings, sales: Sequence[Sale], currency: str) -> bool:
    return any(
        _is_set(compared, compared.type_named(each.piece_type))
        for each in sales
        if each.currency.upper() == currency.upper() and not each.returned
    )
