"""The calibration report as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from markrules.auditing.calibration import Share
from markrules.auditing.measures import AuditFigures
from markrules.auditing.report import AuditReport, Miss, ScoredSet

VERSION = 1
"""Version of this form; raised when a key changes its meaning."""


def report_data(report: AuditReport) -> dict[str, Any]:
    """The report with keys as documented in each record; shares with their 95 % interval."""
    return {
        "version": VERSION,
        "knowledge_version": report.knowledge_version,
        "pieces": report.pieces,
        "sets": [_set(each) for each in report.sets],
        "groups": [
            {
                "by": each.by,
                "name": each.name,
                **_figures(each.figures),
                "held_out": _figures(each.held_out) if each.held_out is not None else None,
                "gain_in_bits": _gains(each.gains),
                "makers": _share(each.makers),
            }
            for each in report.groups
        ],
        "makers": _share(report.makers),
        "maker_reliability": [
            {"said": round(each.said, 4), "true": _share(each.true)}
            for each in report.maker_reliability
        ],
        "misses": [_miss(each) for each in report.misses],
        "traps": {
            "named": _share(report.traps.named),
            "by_branch": _share(report.traps.by_branch),
            "on_others": _share(report.traps.on_others),
            "named_rightly": _share(report.traps.rightly),
            "with_notes": _share(report.traps.with_notes),
            "alarms": _share(report.traps.alarms),
            "pieces": [
                {"piece": each.piece, "years_hold": each.held, **asdict(each.doubts)}
                for each in report.traps.seen
            ],
        },
        "clues": [asdict(each) for each in report.costs],
        "curves": [
            {
                "clue": each.clue,
                "pieces": each.pieces,
                "sources": each.sources,
                "written": list(each.written),
                "shrunk": list(each.shrunk),
                "gain_in_bits": round(each.gained, 4),
            }
            for each in report.curves
        ],
        "folds": [asdict(each) for each in report.folds],
        "trials": report.trials,
    }


def _set(pieces: ScoredSet) -> dict[str, Any]:
    return {
        "name": pieces.name,
        "gain_in_bits": _gains(pieces.gains),
        "ways": {name: _figures(figures) for name, figures in pieces.ways.items()},
        "held_out": _figures(pieces.held_out) if pieces.held_out is not None else None,
    }


def _figures(figures: AuditFigures) -> dict[str, Any]:
    return {
        "count": figures.count,
        "log_score": round(figures.log_score, 4),
        "crps": round(figures.crps, 4),
        "pit": [round(each, 4) for each in figures.pit],
        "coverage": [
            {
                "mass": each.mass,
                "held": _share(each.held),
                "held_with_circa_rounded": _share(each.rounded),
                "median_width": each.median_width,
            }
            for each in figures.covered
        ],
        "median_error": figures.median_error,
        "median_error_with_three_clues": figures.error_of_three,
        "with_three_clues": figures.with_three,
        "mean_gap": round(figures.gap, 4),
        "reliability": [
            {"said": each.said, "true": _share(each.true)} for each in figures.reliability
        ],
    }


def _gains(gains: Mapping[str, float]) -> dict[str, float]:
    return {over: round(bits, 4) for over, bits in gains.items()}


def _share(share: Share) -> dict[str, Any]:
    return {
        "held": share.held,
        "count": share.count,
        "share": round(share.share, 4),
        "low": round(share.low, 4),
        "high": round(share.high, 4),
    }


def _miss(miss: Miss) -> dict[str, Any]:
    return {
        "piece": miss.piece,
        "piece_type": miss.piece_type,
        "stated": list(miss.stated),
        "range": list(miss.range),
        "log_score": round(miss.log_score, 4),
        "misled_by": miss.clue.clue if miss.clue is not None else None,
    }
