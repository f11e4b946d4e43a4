"""The calibration report as text, in at most 80 columns."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence

from markrules.auditing.calibration import Share
from markrules.auditing.costs import ClueCost
from markrules.auditing.curve_fits import CurveFit
from markrules.auditing.folds import Fold
from markrules.auditing.measures import AuditFigures
from markrules.auditing.report import OURS, AuditReport, Miss, ScoredGroup, ScoredSet, Traps
from markrules.auditing.trials import AXES

WIDTH = 80
MISSES = 12
CLUES = 10
COLUMNS = (
    ("n", 5),
    ("score", 7),
    ("CRPS", 6),
    ("50%", 5),
    ("80%", 5),
    ("90%", 5),
    ("95%", 5),
    ("width", 6),
    ("off", 5),
    ("off3+", 6),
)
"""Headings of the figures, and how many columns each takes."""

NAMES = 18
"""Columns of the name before the figures."""


def told(report: AuditReport) -> list[str]:
    """The whole report, headings in capitals."""
    lines = [f"{report.pieces} pieces, read with knowledge {report.knowledge_version}", ""]
    for each in report.sets:
        lines += [*_set(each), ""]
    lines += [*_wrapped(LEGEND), ""]
    if report.folds:
        lines += [*_folds(report), ""]
    lines += [*_reliability(report.sets[0].ours), "", *_makers(report), ""]
    lines += [*_groups(report.groups), "", *_misses(report.misses), ""]
    lines += [*_traps(report.traps), "", *_costs(report.costs)]
    if report.curves:
        lines += ["", *_curves(report.curves)]
    return lines


LEGEND = (
    "score: mean log2 of the probability on the stated years, 0 at best; CRPS: mean ranked"
    " probability score in years, 0 at best. 50% to 95%: share of pieces whose stated midpoint"
    " lies in the range that is said to hold so much, single circa years rounded by five"
    " years; width: median years of the 80% range; off: median years from the middle of the"
    " curve to the stated midpoint, off3+ the same for pieces with three dated clues or more."
    " The other ways hear only the clue that says most, or none, or put the same clues"
    " together more simply. A share of n pieces is uncertain by about 1/sqrt(n)."
)


def _set(pieces: ScoredSet) -> Iterator[str]:
    yield pieces.name.upper()
    yield _headings()
    yield _figures(OURS, pieces.ours)
    if pieces.held_out is not None:
        yield _figures("  held out", pieces.held_out)
    for name, figures in pieces.ways.items():
        if name != OURS:
            yield _figures(name, figures)
    strict = ", ".join(
        f"{each.held.share:.0%} ({each.held.low:.0%} to {each.held.high:.0%})"
        for each in pieces.ours.covered
    )
    yield from _wrapped(f"Without rounding, and with the 95% interval of each share: {strict}.")
    ways = {**({"held out": pieces.held_out} if pieces.held_out else {}), **pieces.ways}
    gaps = ", ".join(f"{name} {each.gap:.1%}" for name, each in ways.items())
    yield from _wrapped(f"Gain in bits a piece: {_gains(pieces.gains)}.")
    yield from _pit(pieces.ours)
    yield from _wrapped(f"Mean gap between said and true, masses of 10% to 95%: {gaps}.")


def _figures(name: str, figures: AuditFigures, last: str = "") -> str:
    three = figures.error_of_three
    return _line(
        name,
        (
            str(figures.count),
            f"{figures.log_score:.2f}",
            f"{figures.crps:.1f}",
            *(f"{each.rounded.share:.0%}" for each in figures.covered),
            f"{figures.at(0.8).median_width:g}",
            f"{figures.median_error:g}",
            "-" if three is None else f"{three:g}",
        ),
        last,
    )


def _headings(last: str = "") -> str:
    return _line("", [name for name, _ in COLUMNS], last)


def _line(name: str, cells: Sequence[str], last: str) -> str:
    rest = "".join(f"{cell:>{wide}}" for cell, (_, wide) in zip(cells, COLUMNS, strict=True))
    return f"{_short(name, NAMES):<{NAMES}}{rest}  {last}".rstrip()


def _gains(gains: Mapping[str, float]) -> str:
    return ", ".join(f"{bits:+.2f} over {name}" for name, bits in gains.items())


def _pit(figures: AuditFigures) -> Iterator[str]:
    """Tenths of the curves against the share of pieces whose stated midpoint lies there."""
    yield "Where stated midpoints lie in their curves (PIT; level is right, | is a tenth):"
    for at, share in enumerate(figures.pit):
        cells = list("#" * min(round(share * 100), 50))
        cells += [" "] * (11 - len(cells))
        cells[10] = "|"
        tenth = f"{at / len(figures.pit):.1f} to {(at + 1) / len(figures.pit):.1f}"
        yield f"  {tenth}  {share:>4.0%}  {''.join(cells)}"


def _short(text: str, most: int) -> str:
    return text if len(text) <= most else f"{text[: most - 3]}..."


def _folds(report: AuditReport) -> Iterator[str]:
    yield "HELD OUT: SETTINGS FITTED ON THE OTHER FOLDS"
    yield from _wrapped(
        f"{len(report.folds)} folds, no source in two of them, {report.trials} settings tried."
        " Factors on what the rules hold, chosen by the mean score of the other folds (score);"
        " what is not named stays as it is:"
    )
    for number, fold in enumerate(report.folds, 1):
        said = ", ".join(f"{axis} {by:g}" for axis, by in _chosen(fold).items()) or "as they are"
        yield from _wrapped(
            f"without fold {number} (n {len(fold.pieces)}, score"
            f" {fold.score_of_others:.2f}): {said}"
        )
    for axis, counts in _choices(report.folds).items():
        told = ", ".join(f"{by:g} in {times}" for by, times in counts.items())
        yield from _wrapped(f"  {axis}: {told} of {len(report.folds)} folds")
    yield from ("", "BY ERA, SETTINGS HELD OUT", _headings())
    for each in report.groups:
        if each.by == "era" and each.held_out is not None:
            yield _figures(each.name, each.held_out)
    yield from _wrapped(
        "Only these settings are held out: rules and words may have been written with such"
        " pieces in view."
    )


def _chosen(fold: Fold) -> dict[str, float]:
    """The factors of a fold that leave a setting not as it is."""
    every = ((axis, float(getattr(fold.chosen, axis))) for axis in AXES)
    return {axis: by for axis, by in every if by != 1.0}


def _choices(folds: Sequence[Fold]) -> dict[str, dict[float, int]]:
    """How many folds chose each factor, of the axes that any moved; the commonest first."""
    moved = {axis for fold in folds for axis in _chosen(fold)}
    counts = {
        axis: Counter(float(getattr(fold.chosen, axis)) for fold in folds)
        for axis in AXES
        if axis in moved
    }
    return {axis: dict(count.most_common()) for axis, count in counts.items()}


def _reliability(figures: AuditFigures) -> Iterator[str]:
    yield "RELIABILITY: SAID AND TRUE (year not in what was seen, no rounding)"
    for each in figures.reliability:
        bar = "#" * round(each.true.share * 40)
        cells = [*f"{bar:<41}"]
        cells[round(each.said * 40)] = "|"
        yield f"  said {each.said:>4.0%}  true {each.true.share:>4.0%}  {''.join(cells)}".rstrip()


def _makers(report: AuditReport) -> Iterator[str]:
    yield "MAKER: FIRST OF THE LISTED MAKERS IS THE STATED ONE"
    yield f"  {_share(report.makers)}"
    for each in report.maker_reliability:
        yield f"  said about {each.said:.0%}: right {_share(each.true)}"


def _groups(groups: Iterable[ScoredGroup]) -> Iterator[str]:
    yield "BROKEN DOWN (all dated pieces)"
    by = ""
    for each in groups:
        if each.by != by:
            by = each.by
            yield ""
            yield f"by {by}"
            yield _headings("maker")
        makers = f"{each.makers.held}/{each.makers.count}" if each.makers.count else ""
        yield _figures(f"  {each.name}", each.figures, makers)
        if each.by == "era":
            yield from _wrapped(f"{_gains(each.gains)}", "    ", "    ")


def _misses(misses: Sequence[Miss]) -> Iterator[str]:
    yield f"WORST MISSES ({len(misses)} outside the 80% range)"
    for each in misses[:MISSES]:
        stated, found = _years(*each.stated), _years(*each.range)
        head = f"{each.piece}, {each.piece_type}: stated {stated}, read {found}"
        yield from _wrapped(f"{head}, score {each.log_score:.1f}", "  ", "    ")
        if each.clue is not None:
            clue = each.clue
            words = f' from "{clue.words}"' if clue.words else ""
            window = _years(clue.first, clue.last)
            text = f"misled by {clue.clue}{words}: {window} ({each.gained:+.1f} bits)"
            yield from _wrapped(text, "    ", "      ")
        else:
            yield "    no clue misled: too little was seen"


def _traps(traps: Traps) -> Iterator[str]:
    yield "TRAPS: PIECES ON WHICH SOMETHING MISLEADS"
    yield from _wrapped(
        f"something that does not fit is named on {_share(traps.named)}; by a contradiction or a"
        f" doubted clue on {_share(traps.by_branch)}; on pieces without a trap on"
        f" {_share(traps.on_others)}",
        "  ",
        "  ",
    )
    if traps.rightly.count:
        yield from _wrapped(
            f"named rightly, kind and part, on {_share(traps.rightly)} of those with a written key;"
            f" with notes to bear in mind on {_share(traps.with_notes)}",
            "  ",
            "  ",
        )
    yield from _wrapped(
        f"stated to mislead on pieces without a trap: {_share(traps.alarms)}", "  ", "  "
    )
    for each in traps.seen:
        held = {True: "years hold", False: "years missed", None: "no years"}[each.held]
        doubts = each.doubts
        named = (
            *doubts.misleading,
            *doubts.clues,
            *doubts.statements,
            *doubts.contradictions[: not doubts.clues],
        )
        what = f"names {', '.join(named)}" if named else "names nothing"
        yield from _wrapped(f"{each.piece} ({held}): {what}", "  ", "      ")


def _costs(costs: Sequence[ClueCost]) -> Iterator[str]:
    yield "CLUES: BITS OF SCORE GAINED OR LOST OVER ALL DATED PIECES"
    losing = [each for each in costs if each.bits < -0.005][:CLUES]
    gaining = [each for each in reversed(costs) if each.bits > 0.005][:CLUES]
    for head, rows in (("  misled most", losing), ("  helped most", gaining)):
        yield f"{head:<46}{'n':>5}{'bits':>9}  worst piece"
        for each in rows:
            worst = f"{each.worst} ({each.worst_bits:+.2f})"
            name = _short(f"  {each.clue}", 46)
            yield _short(f"{name:<46}{each.pieces:>5}{each.bits:>+9.2f}  {worst}", WIDTH)


def _curves(curves: Sequence[CurveFit]) -> Iterator[str]:
    yield "CURVES BESIDE THE DATED PIECES THAT SHOW THEM"
    yield from _wrapped(
        "Years by which 10, 50 and 90% had been made, as written and as drawn towards the pieces;"
        " bits: what a piece gains by it where its publisher's pieces took no part.",
        "  ",
        "  ",
    )
    yield f"{'':<36}{'n':>4}  {'written':<16}{'drawn':<16}{'bits':>6}"
    for each in curves[: 2 * CLUES]:
        written, drawn = (" ".join(map(str, years)) for years in (each.written, each.shrunk))
        name = _short(f"  {each.clue}", 36)
        yield f"{name:<36}{each.pieces:>4}  {written:<16}{drawn:<16}{each.gained:>+6.2f}"


def _share(share: Share) -> str:
    if not share.count:
        return "none to count"
    return f"{share.held} of {share.count}, {share.share:.0%} ({share.low:.0%} to {share.high:.0%})"


def _years(first: int, last: int) -> str:
    return str(first) if first == last else f"{first}-{last}"


def _wrapped(text: str, first: str = "", rest: str = "") -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=rest, break_on_hyphens=False
    )
