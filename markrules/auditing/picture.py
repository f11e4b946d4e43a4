"""The calibration report as one SVG: a reliability diagram and bars of coverage.

Meaning is carried by position, shape and pattern, never by colour alone, so that it reads the
same when printed in grey.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from html import escape

from markrules.auditing.calibration import MASSES, ReliabilityBin
from markrules.auditing.report import AuditReport, ScoredSet

SIDE = 300
LEFT = 60
TOP = 70
BARS_LEFT = LEFT + SIDE + 90
BAR_HEIGHT = 15
WIDTH = 860
SHAPES = ("solid", "lines", "dots", "cross", "blank", "level", "steep", "rings")
STYLE = """
text { font: 13px system-ui, sans-serif; fill: #111 }
.title { font-weight: 600; font-size: 15px } .small { font-size: 11px; fill: #444 }
.frame { fill: none; stroke: #777 } .even { stroke: #777; stroke-dasharray: 5 4 }
.spread { stroke: #111; stroke-width: 1.2 } .point { fill: #111 }
.ours { fill: none; stroke: #111; stroke-width: 2 } .out { fill: #fff; stroke: #111 }
.outline { fill: none; stroke: #111; stroke-width: .8 } .said { stroke: #111; stroke-width: 2.5 }
"""
PATTERNS = """
<pattern id="lines" width="6" height="6" patternUnits="userSpaceOnUse"
 patternTransform="rotate(45)"><path d="M0 0V6" stroke="#333" stroke-width="2.4"/></pattern>
<pattern id="dots" width="6" height="6" patternUnits="userSpaceOnUse"
><circle cx="3" cy="3" r="1.3" fill="#333"/></pattern>
<pattern id="cross" width="7" height="7" patternUnits="userSpaceOnUse"
><path d="M0 0L7 7M7 0L0 7" stroke="#333" stroke-width=".9"/></pattern>
<pattern id="level" width="5" height="5" patternUnits="userSpaceOnUse"
><path d="M0 2H5" stroke="#333" stroke-width="1.2"/></pattern>
<pattern id="steep" width="5" height="5" patternUnits="userSpaceOnUse"
><path d="M2 0V5" stroke="#333" stroke-width="1.8"/></pattern>
<pattern id="rings" width="9" height="9" patternUnits="userSpaceOnUse"
><circle cx="4.5" cy="4.5" r="2.8" fill="none" stroke="#333" stroke-width="1.1"/></pattern>
"""


def drawn(report: AuditReport) -> str:
    """The picture of the first set of pieces, as the text of an SVG file."""
    pieces = report.sets[0]
    rows = len(pieces.ways) + (pieces.held_out is not None)
    height = TOP + max(SIDE + 110, len(MASSES) * (36 + BAR_HEIGHT * rows) + 20)
    said = f"{pieces.ours.count} dated pieces, {pieces.name}"
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}"'
        f' width="{WIDTH}" height="{height}" role="img" aria-label="{escape(_alt(pieces))}">',
        f"<title>{escape(_alt(pieces))}</title><style>{STYLE}</style><defs>{PATTERNS}</defs>",
        f'<rect width="{WIDTH}" height="{height}" fill="#fff"/>',
        _text(LEFT, 28, "Do the ranges hold what they say?", "title"),
        _text(LEFT, 48, f"{said}; knowledge {report.knowledge_version}", "small"),
        *_diagram(pieces),
        *_bars(pieces),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _alt(pieces: ScoredSet) -> str:
    shares = ", ".join(
        f"{each.held.share:.0%} of the ranges said to hold {each.mass:.0%}"
        for each in pieces.ours.covered
    )
    return f"Reliability and coverage: the stated midpoint lies in {shares}."


def _diagram(pieces: ScoredSet) -> Iterator[str]:
    bottom = TOP + SIDE
    yield f'<rect class="frame" x="{LEFT}" y="{TOP}" width="{SIDE}" height="{SIDE}"/>'
    yield f'<path class="even" d="M{LEFT} {bottom}L{LEFT + SIDE} {TOP}"/>'
    for step in range(0, 101, 20):
        x, y = LEFT + SIDE * step / 100, bottom - SIDE * step / 100
        yield _text(x, bottom + 18, f"{step}%", anchor="middle")
        yield _text(LEFT - 8, y + 4, f"{step}%", anchor="end")
    yield _text(LEFT + SIDE / 2, bottom + 38, "share the range is said to hold", anchor="middle")
    yield _text(LEFT, TOP - 6, "share that holds the stated midpoint", "small")
    yield from map(_spread, pieces.ours.reliability)
    yield f'<path class="ours" d="{_line(pieces.ours.reliability)}"/>'
    for each in pieces.ours.reliability:
        x, y = _at(each.said, each.true.share)
        yield f'<circle class="point" cx="{x:.1f}" cy="{y:.1f}" r="4"/>'
    yield from _held_out(pieces)
    foot = "dots: as the rules stand, with 95% intervals"
    foot += "; rings: held out" if pieces.held_out is not None else ""
    yield _text(LEFT, bottom + 60, foot, "small")
    yield _text(LEFT, bottom + 76, "on the broken line, ranges hold exactly what they say", "small")


def _spread(found: ReliabilityBin) -> str:
    x, low = _at(found.said, found.true.low)
    high = _at(found.said, found.true.high)[1]
    ends = "".join(f"M{x - 4:.1f} {y:.1f}h8" for y in (low, high))
    return f'<path class="spread" d="M{x:.1f} {low:.1f}V{high:.1f}{ends}"/>'


def _held_out(pieces: ScoredSet) -> Iterator[str]:
    for each in pieces.held_out.reliability if pieces.held_out is not None else ():
        x, y = _at(each.said, each.true.share)
        yield f'<circle class="out" cx="{x + 6:.1f}" cy="{y:.1f}" r="3.5"/>'


def _at(said: float, true: float) -> tuple[float, float]:
    return LEFT + SIDE * said, TOP + SIDE * (1 - true)


def _line(bins: Sequence[ReliabilityBin]) -> str:
    points = [_at(each.said, each.true.share) for each in bins]
    return "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in points)


def _bars(pieces: ScoredSet) -> Iterator[str]:
    rows = [*pieces.ways.items()]
    if pieces.held_out is not None:
        rows.insert(1, ("held out", pieces.held_out))
    wide, y = WIDTH - BARS_LEFT - 150, TOP
    yield _text(BARS_LEFT, TOP - 6, "coverage; the thick stroke is what was said", "small")
    for mass in MASSES:
        yield _text(BARS_LEFT, y + 14, f"ranges of {mass:.0%}")
        y += 20
        start = y
        for (name, figures), shape in zip(rows, SHAPES, strict=False):
            share = figures.at(mass).held.share
            fill = {"solid": "#333", "blank": "#fff"}.get(shape, f"url(#{shape})")
            yield (
                f'<rect x="{BARS_LEFT}" y="{y}" width="{wide * share:.1f}"'
                f' height="{BAR_HEIGHT - 3}" fill="{fill}" class="bar"/>'
                f'<rect x="{BARS_LEFT}" y="{y}" width="{wide * share:.1f}"'
                f' height="{BAR_HEIGHT - 3}" class="outline"/>'
            )
            yield _text(BARS_LEFT + wide + 8, y + 10, f"{share:.0%} {name}", "small")
            y += BAR_HEIGHT
        x = BARS_LEFT + wide * mass
        yield f'<path class="said" d="M{x:.1f} {start - 3}V{y}"/>'
        y += 16


def _text(x: float, y: float, text: str, kind: str = "", anchor: str = "start") -> str:
    style = f' class="{kind}"' if kind else ""
    return f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}"{style}>{escape(text)}</text>'
