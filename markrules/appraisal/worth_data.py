"""Appraisals as plain data, for `--json` and for storage. The keys are stable."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from markrules.appraisal.appraisal import Appraisal
from markrules.appraisal.box import BoxAppraisal
from markrules.appraisal.condition import Condition
from markrules.appraisal.deciding import Decision, Weighed
from markrules.appraisal.glance import Glance
from markrules.appraisal.melt import Melt
from markrules.appraisal.mirrored import Differ
from markrules.appraisal.options import WORDS
from markrules.appraisal.stones import StoneAdvice
from markrules.appraisal.value import Valuation

SCHEMA = "markrules-appraisal/2"
"""Name and version of this form; the version grows when a key changes its meaning or goes."""


def appraisal_data(appraisal: Appraisal) -> dict[str, Any]:
    """Condition, value, metal and decision of a piece."""
    return {
        "schema": SCHEMA,
        "piece_type": appraisal.reading.piece_type,
        "knowledge_version": appraisal.reading.knowledge_version,
        "condition": condition_data(appraisal.condition),
        "value": valuation_data(appraisal.valuation),
        "metal": melt_data(appraisal.melt),
        "decision": decision_data(appraisal.decision),
    }


def condition_data(condition: Condition) -> dict[str, Any]:
    """The condition of a piece."""
    whole = condition.completeness
    return {
        "grade": condition.words,
        "points": condition.points,
        "looked": condition.looked,
        "said": [
            {"grade": each.grade.words, "words": each.words, "told": each.told}
            for each in condition.said
        ],
        "against": condition.against,
        "reasons": list(condition.reasons),
        "faults": [
            {
                "fault": flaw.fault,
                "say": flaw.say,
                "severity": flaw.severity,
                "count": flaw.count,
                "mend": flaw.mend,
                "mend_at_home": flaw.at_home,
                "mend_how": flaw.how,
                "caution": flaw.caution,
            }
            for flaw in condition.flaws
        ],
        "changed": [
            {
                "part": each.part,
                "words": each.words,
                "probability": round(each.probability, 6),
                "why": each.why,
            }
            for each in condition.changed
        ],
        "completeness": {
            "all_stones_counted": whole.counted,
            "stones_wanting": whole.stones_wanting,
            "stones_odd": whole.stones_odd,
            "stones_failed": whole.stones_failed,
            "parts_wanting": list(whole.parts_wanting),
        },
    }


def valuation_data(valuation: Valuation) -> dict[str, Any]:
    """The estimate with every sale that carries it, and those set aside."""
    found = valuation.estimate
    estimate = None
    if found is not None:
        estimate = {
            "currency": found.currency,
            "low": round(found.low, 2),
            "middle": round(found.middle, 2),
            "high": round(found.high, 2),
            "expected": round(found.expected, 2),
            "quartiles": [round(each, 2) for each in found.quartiles],
            "mass": found.mass,
            "sales": len(found.carried),
            "full_sales": round(found.effective, 3),
            "yearly_change": round(found.yearly, 4),
            "carried": [
                {
                    "sale": each.sale.id,
                    "day": each.sale.when,
                    "price": round(each.price, 2),
                    "counted_as": round(each.counted, 2),
                    "pull": round(each.pull, 6),
                    "share": round(each.share, 6),
                }
                for each in found.carried
            ],
        }
    return {
        "estimate": estimate,
        "set_aside": [
            {"sale": each.sale.id, "reason": each.reason} for each in valuation.set_aside
        ],
        "words": list(valuation.words),
    }


def melt_data(melt: Melt | None) -> dict[str, Any] | None:
    """The metal that a mark claims, in grams and money."""
    if melt is None:
        return None
    return {
        "metal": melt.metal,
        "mark": melt.mark,
        "grams": [round(each, 3) for each in melt.grams] if melt.grams else None,
        "value": [round(each, 2) for each in melt.value] if melt.value else None,
        "words": list(melt.words),
        "test": melt.test,
        "tested": melt.tested,
    }


def decision_data(decision: Decision) -> dict[str, Any]:
    """The decision with the sums of every choice, the runner-up, and where it would flip."""
    return {
        "choice": decision.choice,
        "words": decision.words,
        "by": decision.by,
        "reasons": list(decision.reasons),
        "price": money(decision.price),
        "floor": money(decision.floor),
        "runner_up": decision.runner_up,
        "flips": [
            {"price": money(each.price), "to": each.to, "when": "above" if each.above else "below"}
            for each in decision.flips
        ],
        "figures_wanting": list(decision.wanting),
        "choices": [_weighed(each, decision.price) for each in decision.weighed],
    }


def _weighed(each: Weighed, price: Fraction | None) -> dict[str, Any]:
    return {
        "choice": each.choice,
        "words": WORDS[each.choice],
        "net": money(each.net),
        "minutes": float(each.option.minutes),
        "sums": [{"what": one.what, "amount": money(one.at(price))} for one in each.option.sums],
        "for": list(each.toward),
        "against": list(each.against),
        "figures_wanting": list(each.option.missing),
    }


def box_data(box: BoxAppraisal) -> dict[str, Any]:
    """The lots and likely mates of a box, by the keys of its pieces."""
    return {
        "lots": [
            {
                "pieces": [each.key for each in lot.pieces],
                "kind": lot.kind,
                "colour": lot.colour,
                "from": lot.years[0],
                "to": lot.years[1],
            }
            for lot in box.lots
        ],
        "too_few_for_a_lot": list(box.lone),
        "mates": [
            {
                "one": each.one,
                "other": each.other,
                "alike": round(each.alike, 4),
                "shared": list(each.shared),
                "pair": each.pair,
            }
            for each in box.mates
        ],
        "sets": [
            {
                "pieces": list(each.pieces),
                "whole": None
                if each.whole is None
                else {
                    "currency": each.whole.currency,
                    "low": round(each.whole.low, 2),
                    "middle": round(each.whole.middle, 2),
                    "high": round(each.whole.high, 2),
                    "expected": round(each.whole.expected, 2),
                },
                "one_by_one": None if each.parts is None else round(float(each.parts), 2),
            }
            for each in box.sets
        ],
    }


def glance_data(glance: Glance) -> dict[str, Any]:
    """A box at a glance."""
    total = glance.total
    return {
        "pieces": glance.pieces,
        "types": dict(glance.types),
        "grades": dict(glance.grades),
        "spent": {code: round(amount, 2) for code, amount in glance.spent},
        "expected": None
        if total is None
        else {
            "currency": total.currency,
            "low": round(total.low, 2),
            "expected": round(total.expected, 2),
            "high": round(total.high, 2),
            "mass": total.mass,
            "pieces": total.pieces,
        },
        "net": None if glance.net is None else round(glance.net, 2),
        "net_pieces": glance.net_pieces,
        "choices": {choice: list(keys) for choice, keys in glance.choices},
        "decades": [[decade, round(held, 4)] for decade, held in glance.decades if held > 5e-5],
        "looks": [
            {
                "piece": each.piece,
                "feature": each.feature,
                "ask": each.ask,
                "gain_bits": round(each.gain_bits, 6),
                "at_stake": None if each.at_stake is None else round(each.at_stake, 2),
                "worth": round(each.worth, 4),
            }
            for each in glance.looks
        ],
    }


def advice_data(advice: StoneAdvice) -> dict[str, Any]:
    """Spare stones that fit, what to buy, and cautions."""
    return {
        "fits": [
            {
                "stone": each.stone.id,
                "shape": each.stone.shape,
                "size_mm": each.stone.size_mm,
                "size_code": each.stone.size_code,
                "colour": each.stone.colour,
                "count": each.stone.count,
                "score": round(each.score, 4),
                "off_mm": each.off_mm,
                "colour_difference": None if each.apart is None else round(each.apart, 3),
                "colour_by_name": each.rough,
                "words": list(each.words),
            }
            for each in advice.fits
        ],
        "order": advice.order,
        "shades": list(advice.shades),
        "buy": [
            {
                "code": each.code,
                "from_mm": each.low_mm,
                "to_mm": each.high_mm,
                "off_mm": each.off_mm,
            }
            for each in advice.buy
        ],
        "cautions": list(advice.cautions),
    }


def differ_data(found: Differ) -> dict[str, Any]:
    """Whether two mirrored stones differ."""
    return {
        "probably_replaced": found.differ,
        "differ_in": list(found.words),
        "colour_difference": None if found.apart is None else round(found.apart, 3),
    }


def money(amount: Fraction | None) -> float | None:
    """An exact amount rounded to hundredths."""
    return None if amount is None else round(float(amount), 2)
