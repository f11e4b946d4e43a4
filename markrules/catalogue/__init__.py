"""Boxes, pieces, what was seen on them and what was decided, kept in one SQLite file."""
