"""A reading as plain data, for `--json`, batches and storage. The keys are stable."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from markrules.inference.reading import (
    CautionReading,
    Citation,
    ClueReading,
    DateRange,
    Dating,
    ExceptionReading,
    FaultReading,
    MakerShare,
    MarkReading,
    MisleadingReading,
    NextLook,
    OriginReading,
    Reading,
    SignReading,
    TypeReading,
)
from markrules.knowledge.observation import Observation
from markrules.marks.metal import MetalReading


def metal_data(reading: MetalReading) -> dict[str, Any]:
    """One decoded mark; ranges are pairs, shares parts of one, fineness in thousandths."""
    return {
        "mark": reading.mark,
        "words": reading.words,
        "metal": reading.metal,
        "how": reading.how,
        "over": reading.over,
        "fineness": _pair(reading.fineness),
        "share": _pair(reading.share),
        "fine_share": _pair(reading.fine_share),
        "karat": str(reading.karat) if reading.karat is not None else None,
        "fraction": str(reading.fraction) if reading.fraction is not None else None,
        "least_microns": reading.least_microns,
        "country": reading.country,
        "law": reading.law,
        "years": list(reading.years) if reading.years is not None else None,
        "say": reading.say,
        "may_be_said": reading.claim,
        "may_not_be_said": reading.never,
        "test": reading.test,
        "note": reading.note,
        "sources": list(reading.sources),
        "probability": round(reading.weight, 6),
        "alternatives": [metal_data(each) for each in reading.alternatives],
    }


def _pair(pair: tuple[float, float] | None) -> list[float] | None:
    return [round(end, 6) for end in pair] if pair is not None else None


SCHEMA = "markrules-reading/1"
"""Name and version of this form; the version grows when a key changes its meaning or goes."""


def reading_data(reading: Reading, metals: Sequence[MetalReading] = ()) -> dict[str, Any]:
    """The reading as dictionaries, lists, strings and numbers, ready for `json.dumps`.

    `metals` are the marks of metal content decoded from the same piece. Probabilities and bits
    are rounded to six places, so that equal readings give equal text.
    """
    return {
        "schema": SCHEMA,
        "piece_type": reading.piece_type,
        "account": [
            {"words": each.words, "fate": each.fate, "meaning": each.meaning}
            for each in reading.account
        ],
        "observations": [observation_data(each) for each in reading.observations],
        "date": _date(reading.date),
        "types": [_type(each) for each in reading.types],
        "exceptions": [_exception(each) for each in reading.exceptions],
        "origin": _origin(reading.origin) if reading.origin is not None else None,
        "makers": [_maker(each) for each in reading.makers],
        "marks": [_mark(each) for each in reading.marks],
        "clues": [_clue(each) for each in reading.clues],
        "contradictions": list(reading.contradictions),
        "misleading": [_misleading(each) for each in reading.misleading],
        "metals": [metal_data(each) for each in metals],
        "findings": list(reading.findings),
        "signs": [_sign(each) for each in reading.signs],
        "faults": [_fault(each) for each in reading.faults],
        "cautions": [_caution(each) for each in reading.cautions],
        "next": [_look(each) for each in reading.next],
        "not_understood": list(reading.not_understood),
        "notes": list(reading.notes),
        "evidence": reading.evidence,
        "knowledge_version": reading.knowledge_version,
    }


def observation_data(observation: Observation) -> dict[str, Any]:
    """One observation; keys that say nothing are left out."""
    data: dict[str, Any] = {
        "feature": observation.feature,
        "value": observation.value,
        "state": observation.state,
        "certainty": observation.certainty,
    }
    if observation.number is not None:
        data["number"] = observation.number
    if observation.years is not None:
        data["years"] = list(observation.years)
    if observation.heard:
        data["heard"] = True
    if observation.words:
        data["words"] = observation.words
    if observation.assumed:
        data["assumed"] = observation.assumed
    return data


def _type(each: TypeReading) -> dict[str, Any]:
    return {
        "type": each.type,
        "title": each.title,
        "copies": list(each.copies),
        "cites": _cites(each.cites),
    }


def _exception(each: ExceptionReading) -> dict[str, Any]:
    return {
        "exception": each.exception,
        "title": each.title,
        "say": each.say,
        "probability": _round(each.probability),
        "cites": _cites(each.cites),
    }


def _sign(each: SignReading) -> dict[str, Any]:
    return {
        "sign": each.sign,
        "direction": each.direction,
        "strength": each.strength,
        "say": each.say,
        "but": each.but,
        "cites": _cites(each.cites),
    }


def _fault(each: FaultReading) -> dict[str, Any]:
    return {
        "fault": each.fault,
        "say": each.say,
        "severity": each.severity,
        "value": each.value,
        "mend": each.mend,
        "mend_how": each.mend_how,
        "originality": each.originality,
        "caution": each.caution,
        "cites": _cites(each.cites),
    }


def _caution(each: CautionReading) -> dict[str, Any]:
    return {
        "caution": each.caution,
        "level": each.level,
        "say": each.say,
        "cites": _cites(each.cites),
    }


def _look(each: NextLook) -> dict[str, Any]:
    return {
        "feature": each.feature,
        "ask": each.ask,
        "look": each.look,
        "effort": each.effort,
        "gain_bits": _round(each.gain_bits),
    }


def _date(date: Dating) -> dict[str, Any]:
    # A second range is told by the runs of a set, where there is one.
    second = date.second if len(date.years) < 2 else None
    return {
        **_range(date.span),
        "likeliest": date.likeliest,
        "median": date.median,
        "edtf": date.edtf,
        "not_before": date.not_before,
        "not_after": date.not_after,
        "second": _range(second) if second is not None else None,
        "years": [[each.first, each.last] for each in date.years],
        "likeliest_between": list(date.level),
        "curve": [[year, round(p, 6)] for year, p in enumerate(date.curve, date.first_year)],
    }


def _range(years: DateRange) -> dict[str, Any]:
    return {"from": years.first, "to": years.last, "mass": _round(years.mass)}


def _mark(mark: MarkReading) -> dict[str, Any]:
    data: dict[str, Any] = {"text": mark.text, "read": mark.how, "unlisted": mark.unlisted}
    if mark.unlisted and mark.maker:
        data["nearest"] = {
            "maker": mark.maker,
            "name": mark.title,
            "mark": mark.mark_text,
            "only_if": list(mark.only_if),
        }
    if mark.shared_by:
        data["shared_by"] = [{"maker": maker, "name": name} for maker, name in mark.shared_by]
    return data


def _origin(origin: OriginReading) -> dict[str, Any]:
    return {
        "origin": origin.origin,
        "title": origin.title,
        "said": origin.said,
        "others": [{"origin": name, **_range(years)} for name, years in origin.others],
    }


def _maker(share: MakerShare) -> dict[str, Any]:
    return {
        "maker": share.maker,
        "name": share.title,
        "mark": share.mark_text,
        "variant": share.mark,
        "probability": _round(share.probability),
        "from": share.first,
        "to": share.last,
    }


def _clue(clue: ClueReading) -> dict[str, Any]:
    return {
        "clue": clue.clue,
        "feature": clue.feature,
        "words": clue.words,
        "bits": _round(clue.bits),
        "window": [clue.first, clue.last],
        "except": [list(each) for each in clue.gaps],
        "branches": {
            "original": _round(clue.branches.original),
            "refit": _round(clue.branches.refit),
            "reuse": _round(clue.branches.reuse),
            "misread": _round(clue.branches.misread),
        },
        "trust": clue.trust,
        "why": clue.why,
        "misleads": clue.misleads,
        "cites": _cites(clue.cites),
    }


def _cites(cites: Iterable[Citation]) -> list[dict[str, str]]:
    return [
        {"source": each.source, "title": each.title, "place": each.place, "kind": each.kind}
        for each in cites
    ]


def _round(number: float) -> float:
    return round(number, 6)


def _misleading(each: MisleadingReading) -> dict[str, Any]:
    return {
        "name": each.name,
        "kind": each.kind,
        "part": list(each.part),
        "taken_for": each.taken,
        "is": each.truth,
        "look": each.look,
        "probability": round(each.probability, 6),
        "stated": each.stated,
        "why": each.why,
        "cites": _cites(each.cites),
    }
