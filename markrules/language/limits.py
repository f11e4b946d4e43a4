"""How much text the parser takes before it says no: so no input costs unbounded time or memory."""

from __future__ import annotations

LONGEST_LINE = 20_000  # characters, for a line and for a line joined from several
DEEPEST_NESTING = 40  # brackets inside brackets
LARGEST_FILE = 16 * 1024 * 1024  # characters
LONGEST_NUMBER = 15  # digits: a double holds that many exactly
MOST_PROBLEMS = 500  # problems told for one file
