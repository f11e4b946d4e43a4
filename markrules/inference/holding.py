"""Signs, faults and cautions that hold for a piece, as a reading shows them."""

from __future__ import annotations

from collections.abc import Sequence

from markrules.inference.clues import citations
from markrules.inference.reading import CautionReading, FaultReading, SignReading
from markrules.knowledge.base import KnowledgeBase


def sign_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[SignReading, ...]:
    """The signs of these names."""
    return tuple(
        SignReading(
            sign=sign.name,
            direction=sign.direction,
            strength=sign.strength,
            say=sign.say,
            but=sign.but,
            cites=citations(base, sign.cites),
        )
        for sign in map(base.signs.__getitem__, names)
    )


def fault_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[FaultReading, ...]:
    """The faults of these names."""
    return tuple(
        FaultReading(
            fault=fault.name,
            say=fault.say,
            severity=fault.severity,
            value=fault.value,
            mend=fault.mend,
            mend_how=fault.mend_how,
            originality=fault.originality,
            caution=fault.caution,
            cites=citations(base, fault.cites),
        )
        for fault in map(base.faults.__getitem__, names)
    )


def caution_readings(base: KnowledgeBase, names: Sequence[str]) -> tuple[CautionReading, ...]:
    """The cautions of these names."""
    return tuple(
        CautionReading(
            caution=caution.name,
            level=caution.level,
            say=caution.say,
            cites=citations(base, caution.cites),
        )
        for caution in map(base.cautions.__getitem__, names)
    )
