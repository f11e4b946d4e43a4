"""What was seen, as the engine takes it: the records live with the knowledge that reads them."""

from __future__ import annotations

from markrules.knowledge.observation import MarkEvidence, MarkHypothesis, Observation, State

__all__ = ["MarkEvidence", "MarkHypothesis", "Observation", "State"]
