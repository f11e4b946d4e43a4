"""What if: the curve with a clue switched off, a part replaced, or somebody less sure."""

from __future__ import annotations

from dataclasses import replace

from starlette.responses import Response

from markrules.catalogue.records import Seen
from markrules.frozen import dataclass
from markrules.knowledge.observation import Observation
from markrules.language.slots import REMARK
from markrules.tasks.reading_pieces import request_for
from markrules.web.desk import Visit
from markrules.web.drawing import curve_of
from markrules.web.seeing import Change, answer_words, stretch
from markrules.web.tray import title_of

MOST = 60


@dataclass(frozen=True, slots=True)
class Supposed:
    """What is supposed: clues and features left out, and how sure each line is instead."""

    without: frozenset[str]
    parts: frozenset[str]
    sure: dict[int, str]


def what_if(visit: Visit) -> Response:
    """The curve as it would be, over the curve as it stands. Nothing is kept."""
    found = visit.piece()
    evidence = visit.evidence(found)
    seen = visit.catalogue.log.seen_on(found)
    supposed = _supposed(visit)
    standing = request_for(evidence, 0)
    changed = tuple(_as_supposed(each, supposed) for each in seen)
    other = request_for(replace(evidence, observations=changed), 0)
    left_out = tuple(sorted(supposed.without | supposed.parts))
    now, then = visit.desk.read(standing), visit.desk.read(replace(other, without=left_out))
    return visit.page(
        "whatif.html",
        piece=found,
        title=title_of(found),
        now=now,
        then=then,
        curve=curve_of(then, now.date),
        change=Change(stretch(now.date.range), stretch(then.date.range), ""),
        supposed=supposed,
        seen=[
            each
            for each in seen
            if not each.observation.heard and each.observation.feature != REMARK
        ],
        parts=list(dict.fromkeys(each.feature for each in now.clues)),
        certainties=list(visit.base.certainty_levels),
        words=answer_words,
        here=f"/piece/{found.uid}/what-if",
    )


def _supposed(visit: Visit) -> Supposed:
    base = visit.base
    asked = visit.every[:MOST]
    sure = {
        int(name[5:]): value
        for name, value in asked
        if name.startswith("sure-") and name[5:].isdecimal() and value in base.certainties
    }
    return Supposed(
        without=frozenset(v for k, v in asked if k == "without" and v in base.clues),
        parts=frozenset(v for k, v in asked if k == "part" and v in base.features),
        sure=sure,
    )


def _as_supposed(seen: Seen, supposed: Supposed) -> Observation:
    certainty = supposed.sure.get(seen.id, seen.observation.certainty)
    return replace(seen.observation, certainty=certainty)


ROUTES = (("GET", "/piece/{uid}/what-if", what_if),)
