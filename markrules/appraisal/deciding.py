"""What to do with a piece: the rules say what may be done, the owner's figures what pays."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import get_args

from markrules.appraisal.condition import Condition
from markrules.appraisal.figures import Figures
from markrules.appraisal.findings import Speaks, speaks
from markrules.appraisal.likeness import signed
from markrules.appraisal.melt import PROVED_BASE, PROVED_PRECIOUS, Melt, melt_most, melt_net
from markrules.appraisal.mending import Mending, mending_of
from markrules.appraisal.options import (
    WORDS,
    Choice,
    Flip,
    Option,
    SoldTogether,
    Sum,
    Work,
    flips,
    options_for,
)
from markrules.appraisal.value import Estimate
from markrules.frozen import dataclass
from markrules.inference.reading import Reading
from markrules.knowledge.base import KnowledgeBase

ONLY_WHEN_SPOKEN_FOR: tuple[Choice, ...] = ("stones", "pair")
BELOW_METAL: tuple[Choice, ...] = ("lot", "stones")
"""Ways out that give no price for the metal in the piece."""
_CHOICES: tuple[Choice, ...] = get_args(Choice)


@dataclass(frozen=True, slots=True)
class Weighed:
    """A choice as weighed: its option, its net, what speaks for it and against it.

    `against` is empty for a choice that is open. `net` is None where something is wanting.
    """

    option: Option
    net: Fraction | None
    toward: tuple[str, ...]
    against: tuple[str, ...]

    @property
    def choice(self) -> Choice:
        """The choice."""
        return self.option.choice


@dataclass(frozen=True, slots=True)
class Decision:
    """What to do, why, what comes next best, and at what price that would change.

    `by` is `rule` where a rule comes before all money, `money` where nets were compared,
    `floor` where no price is known and the metal is worth more than any other way out, and
    `order` where no money could be counted and the order of the rules decided. `price` is
    the expected price of the piece as it is, `floor` what its metal brings at least: no sale
    should be below it. `wanting` are figures that would let it be counted. `weighed` holds
    every choice, best first; those ruled out come last.
    """

    choice: Choice
    by: str
    reasons: tuple[str, ...]
    price: Fraction | None
    runner_up: Choice | None
    flips: tuple[Flip, ...]
    weighed: tuple[Weighed, ...]
    wanting: tuple[str, ...]
    mending: Mending | None
    floor: Fraction | None = None

    @property
    def words(self) -> str:
        """The choice as a person says it."""
        return WORDS[self.choice]

    @property
    def best(self) -> Weighed:
        """The choice made, as weighed."""
        return next(each for each in self.weighed if each.choice == self.choice)


def decide(
    base: KnowledgeBase,
    reading: Reading,
    condition: Condition,
    estimate: Estimate | None,
    figures: Figures,
    *,
    melt: Melt | None = None,
    mates: int = 0,
    of_set: int = 0,
    paired: bool = False,
    set_gain: Fraction | None = None,
    going: int = 1,
) -> Decision:
    """What to do with a piece. `mates` is how many pieces could be its other half, `of_set`
    how many pieces the set has that the owner put it in (0 for none), `paired` whether its
    other half is one of them, `set_gain` what the set brings whole beside its pieces one by one
    where sales of sets tell, and `going` how many pieces share a trip to a tester or specialist.

    An estimate in another currency than the figures' is not used.
    """
    price = _price(estimate, figures)
    spoken = speaks(base, reading.findings, _endings(base, reading, condition, of_set))
    first = _first(spoken)
    mending = mending_of(base, reading, condition)
    proved_base = PROVED_BASE in reading.findings
    scrap = None if proved_base else melt_net(melt, figures)
    options = options_for(
        figures,
        work=_work(mending),
        together=_together(mending, mates, of_set, set_gain, paired=paired),
        testing=tuple(dict.fromkeys(_choice(each) for each in first)),
        going=going,
        melt=scrap,
    )
    most = None if estimate is None or price is None else Fraction(estimate.high)
    proved = PROVED_PRECIOUS in reading.findings and not proved_base
    brings = None if proved_base else melt_most(melt, figures)
    wants = _uncounted(melt, scrap) if proved else ""
    metal = _Metal(scrap, brings, wants, _priced(melt, scrap), proved)
    weighed = [_weigh(each, price, most, spoken, mending, metal) for each in options]
    bare = [_weigh(each, price, most, spoken, mending, NO_METAL) for each in options]
    true = base.setting(f"test-true-{'marked' if melt is None or melt.marked else 'said'}")
    weighed = [_followed(each, weighed, bare, metal, true) for each in weighed]
    dear = {each.choice for each in weighed if each.choice == "test" and each.against}
    first = [each for each in first if each.choice not in dear]
    return _settle(base, weighed, first, price, mending, metal)


@dataclass(frozen=True, slots=True)
class _Metal:
    """What the metal brings at least and at most, what is wanting to know it where it was tested,
    the figure that would tell, and whether a test proved it.
    """

    scrap: Fraction | None
    most: Fraction | None
    uncounted: str
    priced: tuple[str, ...]
    proved: bool


NO_METAL = _Metal(None, None, "", (), proved=False)
"""A piece without any, or whose metal nobody counts."""


def _followed(
    test: Weighed,
    others: Sequence[Weighed],
    bare: Sequence[Weighed],
    metal: _Metal,
    true: float,
) -> Weighed:
    """A test of metal with what follows it: the best way out where the metal is as marked or said,
    which has the chance `true`, and the best of those that were open without it.

    A test that costs more than the metal can bring is ruled out, and so is one after which less is
    left than without it. Others, and where what the
    metal brings is not known, come back as they are.
    """
    option = test.option
    if test.choice != "test" or option.missing or metal.scrap is None or metal.most is None:
        return test
    against = list(test.against)
    costs = -option.constant
    if costs > metal.most:
        against.append(
            f"A test costs {float(costs):,.2f}, and the metal brings {float(metal.most):,.2f} at"
            " most: it is sold as not tested."
        )
    gold, plain = _best_of(others, "melt"), _best_of(bare, "")
    if gold is None or plain is None:
        return replace(test, against=tuple(against))
    chance = Fraction(round(true * 100), 100)
    followed = option.followed(
        Sum(f"then, if the metal is so ({true:.0%}): {WORDS[gold.choice]}", chance * _net(gold)),
        Sum(f"and if it is not: {WORDS[plain.choice]}", (1 - chance) * _net(plain)),
    )
    net = followed.net(None)
    if net is not None and net < _net(plain):
        against.append(
            f"A test would leave {float(net):,.2f}, and the piece sold as not tested"
            f" {float(_net(plain)):,.2f}."
        )
    return replace(test, option=followed, net=net, against=tuple(against))


def _best_of(weighed: Sequence[Weighed], metal: str) -> Weighed | None:
    """The open choice of the highest net, no test; `metal` is one that is open all the same.

    None where nothing is open of which the net is known.
    """
    counted = (
        each
        for each in weighed
        if each.net is not None and (not each.against or each.choice == metal)
        if metal or each.choice != "melt"
    )
    return max(counted, key=_net, default=None)


def _net(each: Weighed) -> Fraction:
    return each.net or Fraction(0)


def _priced(melt: Melt | None, scrap: Fraction | None) -> tuple[str, ...]:
    """The figure that is wanting where the metal is weighed and its price is not told."""
    wanting = melt and melt.paid and melt.grams and scrap is None
    return (f"{melt.metal}-price",) if melt and wanting else ()


def _uncounted(melt: Melt | None, scrap: Fraction | None) -> str:
    """What is wanting to know what tested metal brings; empty where that is known."""
    if scrap is not None:
        return ""
    wants = (
        "its fineness is not told"
        if melt is None
        else "one piece of coated metal is no scrap"
        if not melt.paid
        else "it is not weighed"
        if melt.grams is None
        else f"the price of {melt.metal} is not told"
    )
    return f"Its metal was tested, but {wants}: know what it brings before it goes cheaply."


def _together(
    mending: Mending | None, mates: int, of_set: int, set_gain: Fraction | None, *, paired: bool
) -> SoldTogether | None:
    """Half of a pair earns half of what the whole pair does; pieces of a set their own price, or
    their part of what such sets sold for.

    A half whose other half the owner has joined to it counts as part of a whole pair.
    """
    half = mending.pair_gain / 2 if mending is not None else Fraction(1)
    if of_set > 1:
        gain = half if paired else Fraction(1)
        return SoldTogether(of_set, gain * (set_gain or 1), sold=set_gain is not None)
    return SoldTogether(2, half) if mending is not None and mates else None


def _endings(
    base: KnowledgeBase, reading: Reading, condition: Condition, of_set: int
) -> frozenset[str]:
    """`signed`, `well-made` and `of-set`, where they hold by probability, points and owner."""
    endings = {"signed"} if signed(base, reading) else set[str]()
    endings |= {"of-set"} if of_set > 1 else set()
    points = 0.0
    for sign in reading.signs:
        worth = base.setting(f"make-points-{sign.strength}")
        points += {"better": worth, "poorer": -worth}.get(sign.direction, 0.0)
    whole = not condition.completeness.stones_wanting and not condition.completeness.stones_odd
    if whole and points >= base.setting("make-points-wanted"):
        endings.add("well-made")
    return frozenset(endings)


def _first(spoken: Sequence[Speaks]) -> list[Speaks]:
    done = {(each.choice, each.about) for each in spoken if each.effect == "done"}
    done |= {(choice, "") for choice, _ in done}
    return [
        each
        for each in spoken
        if each.effect == "first"
        and each.choice in _CHOICES
        and (each.choice, each.about) not in done
    ]


def wants_look(base: KnowledgeBase, reading: Reading) -> bool:
    """Whether the rules send this piece to a tester or specialist before anything else."""
    return bool(_first(speaks(base, reading.findings)))


def _choice(spoken: Speaks) -> Choice:
    return next(each for each in _CHOICES if each == spoken.choice)


def _work(mending: Mending | None) -> Work | None:
    if mending is None or not mending.faults:
        return None
    return Work(mending.stones, mending.mends, mending.gain)


def _price(estimate: Estimate | None, figures: Figures) -> Fraction | None:
    if estimate is None or (figures.currency and figures.currency != estimate.currency):
        return None
    return Fraction(round(estimate.expected * 100), 100)


def _weigh(
    option: Option,
    price: Fraction | None,
    most: Fraction | None,
    spoken: Sequence[Speaks],
    mending: Mending | None,
    metal: _Metal,
) -> Weighed:
    """A choice with what speaks for and against it; `most` is the upper end of the price's range.

    That a piece should not be scrapped is set aside only where even that end lies below its
    metal: one unlike sale, whose range is wide, overturns no rule.
    """
    choice, scrap = option.choice, metal.scrap
    toward = tuple(
        each.say for each in spoken if each.choice == choice and each.effect in ("toward", "first")
    )
    done = {each.about for each in spoken if each.choice == choice and each.effect == "done"}
    against = [
        each.say
        for each in spoken
        if each.choice == choice and each.effect == "against" and each.about not in done
    ]
    # What speaks against scrapping is that the piece is worth more: not so where its best price
    # is less than its metal.
    if choice == "melt" and scrap is not None and most is not None and most <= scrap:
        against = []
    net = option.net(price)
    if choice == "lot" and metal.uncounted:
        against.append(metal.uncounted)
    if choice in BELOW_METAL and scrap and net is not None and net < scrap:
        against.append(f"its metal alone brings {float(scrap):,.2f}: more than this would")
    if choice == "mend" and mending is not None:
        against += mending.still_against
    if choice in ONLY_WHEN_SPOKEN_FOR and not toward:
        against.append("nothing speaks for it")
    return Weighed(option, net, toward, tuple(dict.fromkeys(against)))


def _settle(
    base: KnowledgeBase,
    weighed: Sequence[Weighed],
    first: Sequence[Speaks],
    price: Fraction | None,
    mending: Mending | None,
    metal: _Metal,
) -> Decision:
    def rank(each: Weighed) -> tuple[float, str]:
        return base.setting(f"rank-{each.choice}"), each.choice

    tests = {each.choice for each in first}
    open_ones = [each for each in weighed if not each.against and each.choice not in tests]
    counted = _countable(open_ones)
    floored = not counted and _floored(weighed, open_ones, price)
    if counted:
        ordered = sorted(open_ones, key=lambda w: (w.net is None, -(w.net or 0), rank(w)))
    elif floored:
        wanted = _for_metal(open_ones)
        ordered = sorted(open_ones, key=lambda w: (w.choice != wanted, not _thought_of(w), rank(w)))
    else:
        ordered = sorted(open_ones, key=lambda w: (not _thought_of(w), rank(w)))
    testing = sorted((each for each in weighed if each.choice in tests), key=rank)
    line = [*testing, *ordered]
    best, runner = line[0], line[1] if len(line) > 1 else None
    by = "rule" if testing else "money" if counted else "floor" if floored else "order"
    shut = [each for each in weighed if each.against and each.choice not in tests]
    rivals = [each.option for each in ordered[1:] if each.net is not None]
    return Decision(
        choice=best.choice,
        by=by,
        reasons=_reasons(base, best, runner, by, shut, price, metal, open_ones),
        price=price,
        runner_up=runner.choice if runner is not None else None,
        flips=flips(best.option, rivals, price) if by == "money" and price is not None else (),
        weighed=(*line, *sorted(shut, key=rank)),
        wanting=(*_wanting([*testing, *open_ones]), *metal.priced),
        mending=mending,
        floor=metal.scrap,
    )


def _floored(
    weighed: Sequence[Weighed], open_ones: Sequence[Weighed], price: Fraction | None
) -> bool:
    """Whether the metal is worth more than any way out that is counted, where not all can be."""
    scrap = next((each.net for each in weighed if each.choice == "melt"), None)
    melts = any(each.choice == "melt" for each in open_ones)
    if not scrap or (price is not None and not melts):
        return False
    other = [each.net for each in open_ones if each.net is not None and each.choice != "melt"]
    return all(scrap >= net for net in other)


def _for_metal(open_ones: Sequence[Weighed]) -> Choice:
    """Alone, at no less than the metal, where something speaks for it; else for the metal."""
    spoken = any(each.choice == "alone" and each.toward for each in open_ones)
    scrapped = any(each.choice == "melt" for each in open_ones)
    return "melt" if scrapped and not spoken else "alone"


def _countable(open_ones: Sequence[Weighed]) -> bool:
    """Whether nets may be compared.

    Selling alone and in a lot must be known if open, and whatever the rules speak for.
    """
    known = [each for each in open_ones if each.net is not None and each.choice != "keep"]
    must = [each for each in open_ones if each.choice in ("alone", "lot") or each.toward]
    return bool(known) and all(each.net is not None for each in must)


def _thought_of(each: Weighed) -> bool:
    """Selling alone has to be spoken for; what is left goes in a lot."""
    return bool(each.toward) or each.choice in ("mend", "lot")


def _reasons(
    base: KnowledgeBase,
    best: Weighed,
    runner: Weighed | None,
    by: str,
    shut: Collection[Weighed],
    price: Fraction | None,
    metal: _Metal,
    open_ones: Sequence[Weighed],
) -> tuple[str, ...]:
    """Why: what the rules say, how it was settled, and what of money is not known."""
    reasons = list(best.toward)
    if by == "money":
        reasons.append("It leaves the most after costs and time.")
    if by in ("order", "floor") and price is None:
        reasons.append("No sold price of a piece like it is known, so its price is not counted.")
    if by == "floor":
        brings = float(metal.scrap or 0)
        reasons.append(
            f"Its metal brings {brings:,.2f}, more than any other way out that is counted."
        )
    if by == "order":
        wanting = _wanting(open_ones)
        if wanting:
            known = ", ".join(wanting).replace("-", " ")
            reasons.append(f"It is not counted in money: you have not yet told your {known}.")
        reasons += [] if best.toward or best.choice == "mend" else _usual(base, best.choice)
    if metal.uncounted:
        reasons.append(metal.uncounted)
    if metal.scrap and best.choice not in ("melt", "keep"):
        claim = "" if metal.proved else ", if it is what it is marked or said to be"
        reasons.append(
            f"Not below {float(metal.scrap):,.2f}: that is what its metal brings{claim}."
        )
    if best.choice == "mend":
        reasons.append("What is wrong with it mends at home.")
    if best.choice == "lot":
        reasons += [say for each in shut if each.choice == "alone" for say in each.against]
    reasons += [say for each in shut if each.choice == "test" for say in each.against]
    if runner is not None and by == "rule":
        reasons.append(f"After that: {WORDS[runner.choice]}.")
    return tuple(dict.fromkeys(reasons))


def _usual(base: KnowledgeBase, choice: Choice) -> list[str]:
    """Why the trade does so where nothing else is known, as the order of choices says."""
    entry = base.settings.get(f"rank-{choice}")
    return [entry.why] if entry is not None and entry.why else []


def _wanting(open_ones: Sequence[Weighed]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for each in open_ones for name in each.option.missing))
