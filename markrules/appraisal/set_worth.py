"""What a set may fetch whole, beside what its pieces fetch one by one."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from fractions import Fraction

from markrules.appraisal.condition import condition_of
from markrules.appraisal.likeness import LikenessSettings, Profile, profile_of
from markrules.appraisal.mending import mending_of
from markrules.appraisal.value import Estimate, value_of
from markrules.catalogue.records import Sale
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.notes.vocabulary import SEVERAL_PIECES

SET = SEVERAL_PIECES[0]
"""The piece type of a set sold whole."""


@dataclass(frozen=True, slots=True)
class PieceOfSet:
    """A piece of a set: its reading, and whether its other half is in the set too."""

    reading: Reading
    paired: bool


@dataclass(frozen=True, slots=True)
class SetWorth:
    """A set that the owner put together, by the keys of its pieces.

    `whole` is the estimate for all of them in one sale, by sales of sets, and `parts` the sum of
    the expected prices of the pieces, a half of a pair counted as half of it; None where one is not
    known. `gain` is the whole beside the parts; 1 where it cannot be told.
    """

    pieces: tuple[int, ...]
    whole: Estimate | None
    parts: Fraction | None
    gain: Fraction


def half_of(compared: LikenessSettings, member: PieceOfSet) -> Fraction:
    """The part of the price of a whole pair that one half of it earns; 1 for any other piece."""
    if not member.paired:
        return Fraction(1)
    condition = condition_of(compared.base, member.reading)
    mending = mending_of(compared.base, member.reading, condition)
    return mending.pair_gain / 2 if mending is not None else Fraction(1)


def set_worth(
    compared: LikenessSettings,
    members: Mapping[int, PieceOfSet],
    sales: Sequence[Sale],
    currency: str,
    today: datetime.date,
) -> SetWorth:
    """What a set may fetch whole, and what its pieces fetch one by one."""
    keys = tuple(members)
    profiles = {
        key: profile_of(compared.base, each.reading, condition_of(compared.base, each.reading))
        for key, each in members.items()
    }
    found = [
        value_of(compared, each, sales, currency, today).estimate for each in profiles.values()
    ]
    parts: Fraction | None = Fraction(0)
    for member, estimate in zip(members.values(), found, strict=True):
        if estimate is None or parts is None:
            parts = None
        else:
            parts += Fraction(round(estimate.expected * 100), 100) * half_of(compared, member)
    a_pair = all(each.paired for each in members.values())
    sold = any(
        SET in compared.chains.get(compared.type_named(sale.piece_type), ())
        for sale in sales
        if sale.currency.upper() == currency.upper() and not sale.returned
    )
    whole = None
    if sold and not a_pair:
        profile = _together(list(profiles.values()))
        whole = value_of(compared, profile, sales, currency, today).estimate
    gain = Fraction(1)
    if whole is not None and parts:
        gain = (Fraction(round(whole.expected * 100), 100) / parts).limit_denominator(10_000)
    return SetWorth(keys, whole, parts, gain)


def _together(profiles: Sequence[Profile]) -> Profile:
    """What is compared with sales of sets: the years of all, the worst condition, and a maker where
    they share the likeliest.
    """
    likeliest = [max(each.makers, key=lambda m: m[1], default=None) for each in profiles]
    names = {each[0] if each is not None else None for each in likeliest}
    firsts = [each.first_year for each in profiles if each.first_year is not None]
    lasts = [each.last_year for each in profiles if each.last_year is not None]
    grades = [each.grade for each in profiles]
    signed = [each.signed for each in profiles]
    return Profile(
        piece_type=SET,
        makers=profiles[0].makers if len(names) == 1 else (),
        first_year=min(firsts, default=None),
        last_year=max(lasts, default=None),
        signed=True if True in signed else False if set(signed) == {False} else None,
        grade=None if None in grades else max(each for each in grades if each is not None),
        materials=tuple(dict.fromkeys(word for each in profiles for word in each.materials)),
        subjects=tuple(dict.fromkeys(word for each in profiles for word in each.subjects)),
    )
