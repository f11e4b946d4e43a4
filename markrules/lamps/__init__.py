"""A faint mark made readable from photos that differ only in where the lamp stood.

Needs the extra `photo` (numpy); nothing else of markrules does. It shows relief and
never proposes a letter.
"""

from __future__ import annotations
