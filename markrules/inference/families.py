"""How much each clue counts when several would be wrong together."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from math import fsum

from markrules.frozen import dataclass

WEIGHT_DIGITS = 2
"""Weights are rounded to so many decimals, so that few tables of weighted clues are needed."""


@dataclass(frozen=True, slots=True)
class FamilyMember:
    """A matched clue, as far as it matters for how much it repeats the others.

    `family` is its family's name (empty: it stands alone), `used` the positions of the
    observations that fired it, and `information` what it says of the years by itself: the
    divergence of the years given this clue alone from the prior, in any unit.
    """

    family: str
    used: tuple[int, ...]
    information: float


@dataclass(frozen=True, slots=True)
class Crowding:
    """How far all clues of one piece repeat each other, whatever they rest on.

    One workshop, one fashion and one eye stand behind all that is seen on a piece, so that n clues
    tell less than n pieces would. Where more speak than `usual`, each keeps of its exponent
    (`usual` / n) ** `power`.
    """

    usual: float
    power: float

    def factor(self, members: Sequence[FamilyMember], tempered_to: Sequence[float]) -> float:
        """What each of these clues keeps, of which tempering leaves the exponents given.

        n is how many clues like the one that says most they amount to, in halves: few numbers
        make few tables, which are kept. One that says nothing crowds none out.
        """
        most = max((each.information for each in members), default=0.0)
        said = fsum(w * each.information for w, each in zip(tempered_to, members, strict=True))
        count = round(2.0 * said / most) / 2.0 if most > 0 else 0.0
        return float((self.usual / count) ** self.power) if count > self.usual else 1.0


NO_CROWDING = Crowding(1.0, 0.0)


@dataclass(frozen=True, slots=True)
class Sharpness:
    """How far a clue is to be heeded by how much it says and by how many things it rests on.

    A curve is written or fitted with an error of its own, worth `noise` nats. Of a clue that says
    I nats so much is signal as I / (I + `noise`), to which it is shrunk, as an estimate is by its
    reliability (W. James and C. Stein, Estimation with Quadratic Loss, Proceedings of the Fourth
    Berkeley Symposium, 1961). A clue on k things seen together has its exponent k ** `joint`-fold:
    what must meet to be seen strays less than each part of it, and its curve is told as theirs.
    """

    noise: float
    joint: float

    def factor(self, member: FamilyMember) -> float:
        """What the clue's exponent is multiplied by."""
        signal = member.information + self.noise
        kept = member.information / signal if signal > 0 else 1.0
        return float(kept * max(len(member.used), 1) ** self.joint)


AS_TOLD = Sharpness(0.0, 0.0)
"""Each clue as it is told."""


def tempered(count: float, overlap: float) -> float:
    """The exponent that each of `count` clues of one family keeps: 1 / (1 + overlap (count − 1)).

    This is the effective sample size of correlated answers divided by their number, Kish's
    design effect (L. Kish, Survey Sampling, 1965, section 5.4: deff = 1 + ρ (b − 1)). With
    overlap 0 clues count in full; with overlap 1 the family together counts as one clue.
    """
    return 1.0 / (1.0 + overlap * (count - 1))


def weights(
    members: Sequence[FamilyMember],
    overlaps: Mapping[str, float],
    held: Mapping[str, int] | None = None,
    heed: float = 1.0,
    shared: float = 1.0,
    crowding: Crowding = NO_CROWDING,
    sharpness: Sharpness = AS_TOLD,
) -> list[float]:
    """The exponent of each clue, to two decimals: `heed` times what tempering leaves it.

    Two rules, of which the stronger holds. A clue in a named family is tempered with the
    family's overlap by the other matched clues of that family. And no observation may count
    twice: where several clues were fired by one observation and not all of them stand in one
    named family, each is tempered by the others, with the overlap of what they rest on: of
    all observations that either rests on, the share that both do (P. Jaccard, The
    Distribution of the Flora in the Alpine Zone, New Phytologist 11(2), 1912), times `shared`:
    what a thing tells and what it tells beside another are not twice the same. It is 1 where
    they rest on the same. (Where all stand in one family, its writer has said how far they
    repeat each other.)

    A clue can repeat another only as far as it says anything. So each of the others counts
    with its information over this clue's own, at most 1: clues that say equally much are
    tempered by their number, as Kish has it; one that says nothing tempers none. `held` is
    the number of further clues of each family, taken to say as much as any.

    `heed` is the same for all clues. Above 1 it answers to statements that are each too flat, as
    pooled opinions are known to be (R. Ranjan and T. Gneiting, Combining Probability Forecasts,
    Journal of the Royal Statistical Society B 72(1), 2010; V. A. Satopää and others, Combining
    Multiple Probability Predictions Using a Simple Logit Model, International Journal of
    Forecasting 30(2), 2014, where the exponent is fitted in the same way). By
    `crowding` all have less where many speak, and by `sharpness` those that say little.
    """
    held = held or {}
    by_family: defaultdict[str, list[FamilyMember]] = defaultdict(list)
    for member in members:
        by_family[member.family].append(member)
    # Next looks weigh hundreds of clues by themselves, which repeat no other.
    crowds = _crowds(members) if len(members) > 1 else {}
    counted: dict[tuple[str, float], float] = {}
    result = []
    for member in members:
        weight, family = 1.0, member.family
        if family and len(by_family[family]) + held.get(family, 0) > 1:
            # Clues that say equally much are repeated equally often; each with each is a square.
            alike = family, member.information
            if alike not in counted:
                counted[alike] = _count(member, by_family[family])
            count = counted[alike] + held.get(family, 0)
            # A family without an entry has told nothing of how far it repeats itself: all the way.
            weight = tempered(count, overlaps.get(family, 1.0))
        if crowds:
            weight = min(weight, tempered(_sharing(member, crowds, shared), 1.0))
        result.append(weight)
    by = heed * crowding.factor(members, result)
    return [
        round(by * weight * sharpness.factor(each), WEIGHT_DIGITS)
        for weight, each in zip(result, members, strict=True)
    ]


def _count(member: FamilyMember, others: Iterable[FamilyMember]) -> float:
    """How many clues like this one they amount to, itself among them; at least 1."""
    own = member.information
    counts = [1.0 if each.information >= own else each.information / own for each in others]
    return max(fsum(counts), 1.0)


def _sharing(
    member: FamilyMember, crowds: Mapping[int, Sequence[FamilyMember]], part: float
) -> float:
    """How many clues like this one those amount to that rest on the same observations, or on
    some of them: these count `part` of what both share."""
    own, used, counts = member.information, set(member.used), [1.0]
    # Two clues may share several observations: each of the others counts once.
    others = {id(each): each for at in used for each in crowds.get(at, ()) if each is not member}
    for other in others.values():
        theirs = set(other.used)
        shared = part * len(used & theirs) / len(used | theirs) if used != theirs else 1.0
        counts.append(shared if other.information >= own else shared * other.information / own)
    return fsum(counts)


def _crowds(members: Iterable[FamilyMember]) -> dict[int, list[FamilyMember]]:
    """For each observation whose clues are not all of one named family, those clues."""
    fired: defaultdict[int, list[FamilyMember]] = defaultdict(list)
    count = 0
    for member in members:
        count += len(member.used)
        for at in member.used:
            fired[at].append(member)
    if len(fired) == count:  # no observation fired two clues
        return {}
    return {
        at: crowd
        for at, crowd in fired.items()
        if len(crowd) > 1 and (not crowd[0].family or len({each.family for each in crowd}) > 1)
    }
