"""How often a letter that looks certain is another: the rate of misreadings in a mark read in full.

The renderings and the reader are those of measure_confusion.py. Wear is that of a mark a person
would call legible: no side lost, not soft all over. The reader calls a letter certain only where
it is nearer to one letter than to every other by a margin; the others a person would write as
doubtful. What is printed, for several margins, is the share of letters called certain, and the
share of those that were another letter. `rules/foundations.rules` takes the last.

Run: python tests/bench/measure_legible.py [--trials 60]

Needs Pillow, numpy, and the Debian packages fonts-dejavu-core and fonts-liberation.
"""

from __future__ import annotations

import argparse

import numpy as np
from measure_confusion import DIGIT_HANDICAP, UPPER, best_by_text, drawn, templates, worn
from PIL import Image, ImageFilter

FACES = (
    "truetype/dejavu/DejaVuSans.ttf",
    "truetype/dejavu/DejaVuSans-Bold.ttf",
    "truetype/dejavu/DejaVuSerif.ttf",
    "truetype/liberation/LiberationSans-Regular.ttf",
    "truetype/liberation/LiberationSerif-Bold.ttf",
)
MARGINS = (0.0, 0.02, 0.04, 0.06, 0.08, 0.1)


def legible(glyph: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The glyph with its strokes a little blurred, uneven and turned, and noise."""
    image = Image.fromarray((glyph * 255).astype(np.uint8))
    image = image.rotate(rng.uniform(-5, 5), Image.Resampling.BILINEAR)
    blurred = image.filter(ImageFilter.GaussianBlur(rng.uniform(0.5, 1.3)))
    level = np.asarray(blurred, dtype=np.float32) / 255
    level /= max(float(level.max()), 0.1)
    coarse = Image.fromarray((rng.random((3, 4)) * 255).astype(np.uint8))
    field = np.asarray(coarse.resize(glyph.shape[::-1], Image.Resampling.BICUBIC)) / 255
    cut = rng.uniform(0.15, 0.45) + 0.3 * (field - 0.5)
    left = np.clip((level - cut) * 6 + 0.5, 0, 1) * level
    return left + rng.normal(0, 0.05, left.shape).astype(np.float32)


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--trials", type=int, default=60)
    parser.add_argument("--seed", type=int, default=3)
    chosen = parser.parse_args()
    rng = np.random.default_rng(chosen.seed)
    letters = [each for each in UPPER if not each.isdigit()]
    known = templates(letters, FACES)
    ahead, right = [], []
    for number, letter in enumerate(letters):
        for face in FACES:
            glyph = drawn(letter, face)
            for make in (legible,):
                rows = np.array([make(glyph, rng) for _ in range(chosen.trials)])
                alike = np.sort(best_by_text(rows, known), axis=1)
                order = best_by_text(rows, known).argmax(axis=1)
                ahead += list(alike[:, -1] - alike[:, -2])
                right += list(order == number)
    margins, correct = np.array(ahead), np.array(right)
    print(f"{len(correct):,} letters, handicap of digits {DIGIT_HANDICAP} not used")
    print("  margin   called certain   of those another letter")
    for margin in MARGINS:
        certain = margins >= margin
        wrong = 1 - correct[certain].mean()
        print(f"  {margin:6.2f}   {certain.mean():14.1%}   {wrong:.4%}")
    _ = worn


if __name__ == "__main__":
    main()
