"""Exact, explained dating: pure functions from observations to a reading."""
