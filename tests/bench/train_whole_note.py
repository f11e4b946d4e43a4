"""Trains what the words of a whole note tell, `markrules/notes/whole_note.bin`.

The notes are those of tests/world/data: pieces that mislead, with the key of what misleads, and
ordinary ones; the open notes of the labelled corpus count as ordinary. Notes that are kept aside
to be tried untuned are named in KEPT and left out. Besides, SIGNS holds which words and pairs of
words stand in 326 published descriptions of ordinary pieces, by number alone, as the sentences
are not ours to give: without them the words of sellers, of which our own notes have few, were
taken for signs of what misleads in 40 of 80 other such descriptions, and with them in 1.
`--more FILE` (JSON Lines: `note`) adds descriptions to SIGNS.

Multinomial logistic regression over words and pairs of words met in MET notes or more, each note
of length 1 by the rareness of its signs; `--folds` tells what each file of notes, left out, would
have been told.

Run: python tests/bench/train_whole_note.py OUT.bin [--more FILE] [--folds]
"""

from __future__ import annotations

import argparse
import json
from array import array
from collections import Counter
from collections.abc import Iterator, Sequence
from math import log
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
from sklearn.linear_model import LogisticRegression

from markrules.language.tree import MISLEADING_KINDS
from markrules.notes.whole_note import SOUND, STEPS, WholeNote, key_of, packed, signs_of, words_of

WORLD = Path(__file__).parents[1] / "world" / "data"
CORPUS = Path(__file__).parents[1] / "notes" / "corpus"
SIGNS = Path(__file__).with_name("ordinary_descriptions.signs")
"""For each description how many signs it has, and the numbers of the signs: unsigned, 32 bits."""
KEPT = (
    "misleading_pieces_without_knowing_kept_aside",
    "ordinary_notes_short_and_long_kept_aside",
    "dated_pieces_of_all_times_kept_aside",
    "misleading_pieces_from_accounts_kept_aside",
    "ordinary_notes_that_sound_odd_kept_aside",
    "misleading_pieces_from_guides_kept_aside",
    "ordinary_notes_in_words_of_traps_kept_aside",
    "misleading_pieces_of_many_makes",
    "misleading_pieces_of_many_makes_kept_aside",
    "ordinary_notes_of_heirs",
    "ordinary_notes_of_heirs_kept_aside",
    "misleading_pieces_of_many_hands",
    "misleading_pieces_of_many_hands_kept_aside",
    "ordinary_notes_with_chatter",
    "ordinary_notes_with_chatter_kept_aside",
)
ORDINARY = ("ordinary", "everyday", "notes_since", "dated_pieces")
MET = 2
PENALTY = 30.0


class Note(NamedTuple):
    """The numbers of the signs of a note, the file that it is from, the kinds that its key allows,
    or SOUND, and its text where that is ours.
    """

    file: str
    signs: frozenset[int]
    kinds: tuple[str, ...]
    text: str = ""


def notes() -> Iterator[Note]:
    """All notes to learn from."""
    for file, text, kinds in _texts():
        yield Note(file, _signs(text), kinds, text)
    for signs in _described():
        yield Note(SIGNS.stem, signs, (SOUND,))


def _signs(text: str) -> frozenset[int]:
    return frozenset(map(key_of, signs_of(words_of(text))))


def _described() -> Iterator[frozenset[int]]:
    kept = array("I", SIGNS.read_bytes())
    at = 0
    while at < len(kept):
        end = at + 1 + kept[at]
        yield frozenset(kept[at + 1 : end])
        at = end


def describe(more: Sequence[Path]) -> None:
    """Adds the signs of descriptions to SIGNS."""
    for path in more:
        for row in _rows(path):
            signs = sorted(_signs(row["note"]))
            with SIGNS.open("ab") as kept:
                kept.write(array("I", [len(signs), *signs]).tobytes())


def _texts() -> Iterator[tuple[str, str, tuple[str, ...]]]:
    for path in sorted(WORLD.glob("*.jsonl")):
        if path.stem in KEPT:
            continue
        for row in _rows(path):
            text = row.get("note") or ", ".join(row.get("observations", ()))
            if path.stem.startswith("misleading_pieces"):
                yield path.stem, ", ".join(row["observations"]), tuple(row["misleads"])
            elif path.stem.startswith(ORDINARY) and row.get("part") != "aside":
                yield path.stem, text, (SOUND,)
    for name in ("notes", "later-notes"):
        for row in _rows(CORPUS / f"{name}.jsonl"):
            if row.get("part") == "open":
                yield "corpus", row["text"], (SOUND,)


def _rows(path: Path) -> Iterator[dict[str, Any]]:
    with path.open(encoding="utf-8") as lines:
        for line in lines:
            if line.strip():
                yield json.loads(line)


def trained(of: Sequence[Note]) -> WholeNote:
    """The model of these notes."""
    met = Counter(key for each in of for key in each.signs)
    by_key = {key: count for key, count in met.items() if count >= MET}
    keys = sorted(by_key)
    rareness = {key: log((1 + len(of)) / (1 + by_key[key])) + 1 for key in keys}
    place = {key: at for at, key in enumerate(keys)}
    rows = np.zeros((len(of), len(keys)))
    for at, each in enumerate(of):
        found = each.signs & place.keys()
        norm = sum(rareness[key] ** 2 for key in found) ** 0.5 or 1.0
        for key in found:
            rows[at, place[key]] = rareness[key] / norm
    kinds = (*MISLEADING_KINDS, SOUND)
    fit = LogisticRegression(C=PENALTY, max_iter=3000)
    fit.fit(rows, [each.kinds[0] for each in of])
    order = [list(fit.classes_).index(kind) for kind in kinds]
    weights = fit.coef_[order].T
    step = float(np.abs(weights).max()) / STEPS
    return WholeNote(
        kinds,
        tuple(round(float(fit.intercept_[at]), 4) for at in order),
        step,
        array("I", keys),
        array("f", (rareness[key] for key in keys)),
        array("b", np.round(weights / step).astype(int).ravel().tolist()),
    )


def tried(of: Sequence[Note]) -> None:
    """Prints what each file of notes, left out, would have been told."""
    found: list[tuple[Note, float, str]] = []
    for file in sorted({each.file for each in of if each.text}):
        model = trained([each for each in of if each.file != file])
        for each in of:
            if each.file == file:
                chances = model.chances(each.text)
                sound = chances.pop(SOUND)
                found.append((each, 1 - sound, max(chances, key=chances.__getitem__)))
    for least in (0.5, 0.6, 0.7, 0.8, 0.9):
        odd = [row for row in found if row[0].kinds != (SOUND,)]
        right = sum(p >= least and kind in each.kinds for each, p, kind in odd)
        alarms = [p >= least for each, p, _ in found if each.kinds == (SOUND,)]
        print(f"{least:.0%}: right {right} of {len(odd)}, alarms {sum(alarms)} of {len(alarms)}")


def main() -> None:
    """Trains and writes the model."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])  # type: ignore[union-attr]
    parser.add_argument("out", type=Path)
    parser.add_argument("--more", type=Path, action="append", default=[])
    parser.add_argument("--folds", action="store_true")
    asked = parser.parse_args()
    describe(asked.more)
    of = list(notes())
    print(f"{len(of)} notes, {sum(each.kinds == (SOUND,) for each in of)} of them ordinary")
    if asked.folds:
        tried(of)
    asked.out.write_bytes(packed(trained(of)))


if __name__ == "__main__":
    main()
