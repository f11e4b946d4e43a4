"""Precision and recall of the observations of notes against a labelled corpus.

Each line of `corpus/phrases.jsonl` and `corpus/notes.jsonl` has a `text`, for phrases the
`piece` it is said of, `means` (for each observation meant, the labels that are right), `may`
(labels that are allowed) and `never` (labels that must not arise). All texts are invented, in
the ways in which dealers, heirs and sellers of both sides of the ocean write; they were written
before the words of the rules were fitted to them, and the third of them named `held` was kept
unread while that was done. Labels of what may be seen besides were widened afterwards, by one list
of words for both parts.

A label is `feature=value`, `feature:number` (in the feature's unit, or a year), `no feature`,
`not feature=value` or `piece=type`; `guess`, `fair`, `sure`, `heard` or `replaced` may follow.
`*` for a value is any value of the feature; `*=*` is anything.
`understood` asks that no word is left over.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from markrules.knowledge.base import KnowledgeBase
from markrules.knowledge.observation import Observation
from markrules.notes.understanding import Understanding

CORPUS = Path(__file__).parent / "corpus"
SUFFIXES = ("guess", "fair", "sure", "heard", "replaced")


@dataclass
class Score:
    """Counts over a part of the corpus, and what went wrong, a line each."""

    right: int = 0
    wrong: int = 0
    found: int = 0
    meant: int = 0
    faults_found: int = 0
    faults_meant: int = 0
    slips: list[str] = field(default_factory=list)

    @property
    def precision(self) -> float:
        """Share of the observations made that are right."""
        return self.right / max(1, self.right + self.wrong)

    @property
    def recall(self) -> float:
        """Share of the observations meant that were made."""
        return self.found / max(1, self.meant)

    @property
    def fault_recall(self) -> float:
        """Share of the faults meant that were made."""
        return self.faults_found / max(1, self.faults_meant)


def cases(name: str, part: str) -> list[dict[str, Any]]:
    """The lines of a corpus file: `phrases` or `notes`, part `open` or `held`."""
    lines = (CORPUS / f"{name}.jsonl").read_text(encoding="utf-8").splitlines()
    return [case for case in map(json.loads, lines) if case["part"] == part]


def scored(
    base: KnowledgeBase, read: Callable[[str], Understanding], name: str, part: str
) -> Score:
    """The score of a part of the corpus, read by `read`."""
    score = Score()
    for case in cases(name, part):
        piece = case.get("piece", "")
        told = read(f"{piece}, {case['text']}" if piece else case["text"])
        _score(base, case, told, score)
    return score


def _score(base: KnowledgeBase, case: dict[str, Any], told: Understanding, score: Score) -> None:
    means: list[list[str]] = case["means"]
    may: list[str] = case.get("may", [])
    never: list[str] = case.get("never", [])
    allowed = [label for group in means for label in group] + may
    made = [each for each in told.observations if each.feature != "piece"]
    for group in means:
        hit = any(_holds(label, made, told) for label in group)
        score.meant += 1
        score.found += hit
        if any(label.startswith("fault=") for label in group):
            score.faults_meant += 1
            score.faults_found += hit
        if not hit:
            score.slips.append(f"MISSED {'|'.join(group)} in {case['text']!r}")
    for each in made:
        barred = any(_fits(label, each) for label in never)
        if not barred and not _counts(base, each):
            continue
        denied = each.state == "ruled-out" and each.feature == "fault"
        right = not barred and (
            any(_fits(label, each) for label in allowed)
            or (denied and any(label.startswith("fault=") for label in never))
        )
        score.right += right
        score.wrong += not right
        if not right:
            score.slips.append(
                f"WRONG {each.state} {each.feature}={each.value} in {case['text']!r}"
            )


def _counts(base: KnowledgeBase, each: Observation) -> bool:
    """Whether an observation can have an effect: what is told or only describes has none."""
    feature = base.features.get(each.feature)
    return not each.heard and (
        each.feature == "fault" or (feature is not None and not feature.describes)
    )


def _holds(label: str, made: list[Observation], told: Understanding) -> bool:
    if label == "understood":
        return not told.not_understood
    if label.startswith("piece="):
        return told.piece_type == label.removeprefix("piece=")
    return any(_fits(label, each) for each in made)


def _fits(label: str, each: Observation) -> bool:
    text, wanted = label, set()
    for suffix in SUFFIXES:
        if text.endswith(f" {suffix}"):
            text, wanted = text.removesuffix(f" {suffix}"), wanted | {suffix}
    if text.startswith("no "):
        return each.state == "absent" and each.feature == text[3:]
    state = "seen"
    if text.startswith("not "):
        state, text = "ruled-out", text[4:]
    state = "replaced" if "replaced" in wanted else state
    if each.state != state or ("heard" in wanted and not each.heard):
        return False
    if each.heard and "heard" not in wanted and not each.feature.startswith("told-"):
        return False
    if wanted & {"guess", "fair", "sure"} and each.certainty not in wanted:
        return False
    name, equals, value = text.partition("=")
    if equals:
        return name in (each.feature, "*") and value.casefold() in (each.value.casefold(), "*")
    name, _, number = text.partition(":")
    if each.feature != name or each.number is None:
        return False
    return number.replace(".", "").isdigit() and abs(each.number - float(number)) <= 0.006 * float(
        number
    ) * (0 if each.years else 1)


def report(base: KnowledgeBase, read: Callable[[str], Understanding]) -> Iterator[str]:
    """A line for each part: precision, recall, and the recall of faults."""
    for name in ("phrases", "notes"):
        for part in ("open", "held"):
            score = scored(base, read, name, part)
            yield (
                f"{name:8} {part:5} precision {score.precision:6.1%}  recall {score.recall:6.1%}"
                f"  faults {score.fault_recall:6.1%}"
                f"  ({score.meant} meant, {score.faults_meant} faults)"
            )
