"""Damage to marks, simulated without any part of the scorer.

Misread letters follow a table measured in other typefaces than the shipped one
(`damage_confusions.json`, made by measure_confusion.py --faces bench). Each kind leaves about
60% of the letters. A loss at an end or inside is noticed, and written `...`, in half of the
cases; in the other half the letters that are left simply stand alone. Words stay apart: who
reads `NOVAK & SON` sees that they are three.
"""

from __future__ import annotations

import json
import random
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

LEFT = 0.6
NOTICED = 0.5
MERGED = {
    "RN": "M",
    "VV": "W",
    "CL": "D",
    "NI": "M",
    "LI": "U",
    "IN": "M",
    "CI": "O",
    "RI": "N",
    "LL": "U",
    "UN": "W",
}


@dataclass(frozen=True)
class Damaged:
    """What is left: `query` with wildcards where the reader saw a loss, `plain` without."""

    query: str
    plain: str


def _table() -> dict[str, dict[str, float]]:
    text = Path(__file__).with_name("damage_confusions.json").read_text(encoding="utf-8")
    table: dict[str, dict[str, float]] = json.loads(text)["confusions"]
    return table


_CONFUSIONS = _table()


def _letters(mark: str) -> list[str]:
    """The letters of a mark; the first of a further word has a space before it."""
    found: list[str] = []
    for word in mark.split():
        kept = [character for character in word if character.isalnum() or character == "&"]
        if found and kept:
            kept[0] = f" {kept[0]}"
        found += kept
    return found


def _damaged(query: str, left: str) -> Damaged:
    return Damaged(query.strip(), left.replace(" ", ""))


def _lost(letters: list[str]) -> int:
    return max(1, round(len(letters) * (1 - LEFT)))


def _gap(rng: random.Random) -> str:
    return "..." if rng.random() < NOTICED else ""


def tail_lost(mark: str, rng: random.Random) -> Damaged:
    """The last 40% of the letters are gone."""
    letters = _letters(mark)
    left = "".join(letters[: len(letters) - _lost(letters)])
    return _damaged(left + _gap(rng), left)


def head_lost(mark: str, rng: random.Random) -> Damaged:
    """The first 40% of the letters are gone."""
    letters = _letters(mark)
    left = "".join(letters[_lost(letters) :])
    return _damaged(_gap(rng) + left.strip(), left)


def middle_lost(mark: str, rng: random.Random) -> Damaged:
    """A run of 40% inside is gone."""
    letters = _letters(mark)
    lost = _lost(letters)
    start = rng.randint(1, max(1, len(letters) - lost - 1))
    first, last = "".join(letters[:start]), "".join(letters[start + lost :])
    return _damaged(first + _gap(rng) + last, first + last)


def _misread(letters: list[str], times: int, rng: random.Random) -> list[str]:
    changed = list(letters)
    for place in rng.sample(range(len(letters)), min(times, len(letters))):
        before, letter = letters[place][:-1], letters[place][-1]
        row = _CONFUSIONS.get(letter, {"X": 1.0})
        changed[place] = before + rng.choices(list(row), list(row.values()))[0]
    return changed


def one_misread(mark: str, rng: random.Random) -> Damaged:
    """One letter is read as another."""
    text = "".join(_misread(_letters(mark), 1, rng))
    return _damaged(text, text)


def two_misread(mark: str, rng: random.Random) -> Damaged:
    """Two letters are read as others."""
    text = "".join(_misread(_letters(mark), 2, rng))
    return _damaged(text, text)


def half_unread(mark: str, rng: random.Random) -> Damaged:
    """Half of the letters, here and there, are written as `?`."""
    letters = _letters(mark)
    gone = set(rng.sample(range(len(letters)), len(letters) // 2))
    query = "".join(
        letter[:-1] + "?" if place in gone else letter for place, letter in enumerate(letters)
    )
    return _damaged(query, query.replace("?", ""))


def merged(mark: str, rng: random.Random) -> Damaged:
    """Two letters run together are read as one; where the mark has no such pair, one misread."""
    text = "".join(_letters(mark))
    pairs = [place for place in range(len(text) - 1) if text[place : place + 2] in MERGED]
    if not pairs:
        return one_misread(mark, rng)
    place = rng.choice(pairs)
    text = text[:place] + MERGED[text[place : place + 2]] + text[place + 2 :]
    return _damaged(text, text)


def mixed(mark: str, rng: random.Random) -> Damaged:
    """An end is lost, one letter misread and one written `?`, about 40% of the letters in all."""
    letters = _letters(mark)
    lost = max(1, _lost(letters) - 2)
    at_head = rng.random() < 0.5
    left = letters[lost:] if at_head else letters[: len(letters) - lost]
    left = _misread(left, 1, rng)
    place = rng.randrange(len(left))
    left[place] = left[place][:-1] + "?"
    text, gap = "".join(left).strip(), _gap(rng)
    return _damaged(gap + text if at_head else text + gap, text.replace("?", ""))


KINDS: dict[str, Callable[[str, random.Random], Damaged]] = {
    "tail lost": tail_lost,
    "head lost": head_lost,
    "middle lost": middle_lost,
    "one misread": one_misread,
    "two misread": two_misread,
    "half unread": half_unread,
    "merged letters": merged,
    "mixed": mixed,
}
