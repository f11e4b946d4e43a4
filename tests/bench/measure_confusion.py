"""Measures which worn letters are taken for which others, by rendering and wearing them.

Each letter is drawn in several typefaces, worn by code, and given to a reader that knows the
unworn letters of all faces and picks the nearest (normalised correlation over small shifts).
How often a letter is taken for another, given that it is misread at all, is the table that the
wear model ships. Pairs of letters set close and soft are compared with single letters, which
gives the merged letters (RN read as M).

Run: python tests/bench/measure_confusion.py OUT.json [--faces shipped|bench] [--trials 160]

Needs Pillow and numpy, and the Debian packages fonts-dejavu-core, fonts-dejavu-extra,
fonts-liberation, fonts-lato and fonts-dancingscript (`shipped`) or fonts-freefont-ttf and
fonts-urw-base35 (`bench`: other faces, for a damage simulation that shares nothing with the
scorer). The wear: the strokes are blurred and cut at an uneven level (worn down or spread),
turned and scaled a little; a third of the trials are soft all over, and of the others more than
half have lost one side or corner.
"""

from __future__ import annotations

import argparse
import json
import re
import string
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFilter, ImageFont
from PIL import __version__ as pillow_version

HEIGHT, WIDTH, CAP = 24, 40, 15
UPPER = string.ascii_uppercase + string.digits + "&"
LOWER = string.ascii_lowercase
FONTS = "/usr/share/fonts"
FACES = {
    "shipped": {
        UPPER: (
            "truetype/dejavu/DejaVuSans.ttf",
            "truetype/dejavu/DejaVuSans-Bold.ttf",
            "truetype/dejavu/DejaVuSerif.ttf",
            "truetype/liberation/LiberationSans-Regular.ttf",
            "truetype/liberation/LiberationSerif-Bold.ttf",
            "truetype/liberation/LiberationSansNarrow-Regular.ttf",
            "truetype/lato/Lato-Regular.ttf",
        ),
        LOWER: (
            "truetype/dejavu/DejaVuSerif-Italic.ttf",
            "truetype/liberation/LiberationSerif-Italic.ttf",
            "opentype/dancingscript/DancingScript-Regular.otf",
        ),
    },
    "bench": {
        UPPER: (
            "truetype/freefont/FreeSans.ttf",
            "truetype/freefont/FreeSerif.ttf",
            "truetype/freefont/FreeMonoBold.ttf",
            "opentype/urw-base35/URWGothic-Book.otf",
        ),
        LOWER: (
            "opentype/urw-base35/Z003-MediumItalic.otf",
            "truetype/freefont/FreeSerifItalic.ttf",
        ),
    },
}
SOFT_SHARE = 0.35  # trials worn or cast soft all over, by reason
LOST_SIDE_SHARE = 0.6  # of the others: trials with a side or corner gone, by reason
DIGIT_HANDICAP = 0.03  # a reader of marks expects letters: digits must look this much nearer
READABLE = 0.6  # a glyph less alike than this to any letter is left unread
LOWER_SHARE = 0.25  # share of marks written in lower case or script, by reason
LEAST_LIKE = 0.8  # a pair less alike than this is not taken for a single letter
LEAST_SHARE = 0.15  # likenesses smaller than this, after mixing, are left out of the table
SQUEEZES = (0.0, 0.1, 0.2)  # how much closer than usual the pair is set


def drawn(text: str, face: str, squeeze: float = 0.0) -> np.ndarray:
    """The text in white on black, capitals CAP pixels high, its ink centred."""
    scale = 4
    font = ImageFont.truetype(f"{FONTS}/{face}", CAP * scale * 4 // 3)
    image = Image.new("L", (WIDTH * scale * 2, HEIGHT * scale * 2))
    pen = ImageDraw.Draw(image)
    x = 20.0
    for letter in text:
        pen.text((x, 20), letter, font=font, fill=255)
        x += font.getlength(letter) * (1 - squeeze)
    box = image.getbbox() or (0, 0, 1, 1)
    ink = image.crop(box)
    canvas = Image.new("L", (WIDTH * scale, HEIGHT * scale))
    canvas.paste(ink, ((canvas.width - ink.width) // 2, (canvas.height - ink.height) // 2))
    small = canvas.resize((WIDTH, HEIGHT), Image.Resampling.BOX)
    return np.asarray(small, dtype=np.float32) / 255


def worn(glyph: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """The glyph after wear: turned, scaled, unevenly cut, perhaps with a side lost."""
    image = Image.fromarray((glyph * 255).astype(np.uint8))
    scale = 1 + rng.uniform(-0.08, 0.08)
    moved = (rng.uniform(-1, 1), rng.uniform(-1, 1))
    image = image.rotate(rng.uniform(-6, 6), Image.Resampling.BILINEAR)
    x, y = WIDTH / 2, HEIGHT / 2
    image = image.transform(
        image.size,
        Image.Transform.AFFINE,
        (1 / scale, 0, x - x / scale + moved[0], 0, 1 / scale, y - y / scale + moved[1]),
        Image.Resampling.BILINEAR,
    )
    soft = rng.random() < SOFT_SHARE
    blur = rng.uniform(1.6, 2.8) if soft else rng.uniform(0.6, 1.3)
    blurred = image.filter(ImageFilter.GaussianBlur(blur))
    level = np.asarray(blurred, dtype=np.float32) / 255
    level /= max(float(level.max()), 0.1)
    coarse = Image.fromarray((rng.random((3, 4)) * 255).astype(np.uint8))
    field = np.asarray(coarse.resize((WIDTH, HEIGHT), Image.Resampling.BICUBIC)) / 255
    cut = rng.uniform(0.15, 0.55) + rng.uniform(0.1, 0.6) * (field - 0.5)
    left = np.clip((level - cut) * 6 + 0.5, 0, 1) * level
    if not soft and rng.random() < LOST_SIDE_SHARE:
        left *= _kept_side(left, rng)
    return left + rng.normal(0, 0.05, left.shape).astype(np.float32)


def _kept_side(ink: np.ndarray, rng: np.random.Generator) -> np.ndarray:
    """A mask that loses 15 to 45% of the ink's extent from a random direction."""
    rows, columns = np.mgrid[0:HEIGHT, 0:WIDTH]
    angle = rng.uniform(0, 2 * np.pi)
    along = np.cos(angle) * columns + np.sin(angle) * rows
    inked = along[ink > 0.2]
    if inked.size == 0:
        return np.ones_like(ink)
    low, high = inked.min(), inked.max()
    edge = high - rng.uniform(0.15, 0.45) * (high - low)
    return (along <= edge).astype(np.float32)


def standard(rows: np.ndarray) -> np.ndarray:
    """Each row with mean 0 and length 1, so that a product is a correlation."""
    flat = rows.reshape(len(rows), -1)
    flat = flat - flat.mean(axis=1, keepdims=True)
    return flat / (np.linalg.norm(flat, axis=1, keepdims=True) + 1e-6)


def templates(texts: list[str], faces: tuple[str, ...]) -> tuple[np.ndarray, np.ndarray]:
    """Unworn glyphs at small shifts, and for each the number of its text."""
    rows, owner = [], []
    for number, text in enumerate(texts):
        for face in faces:
            base = np.asarray(
                Image.fromarray((drawn(text, face) * 255).astype(np.uint8)).filter(
                    ImageFilter.GaussianBlur(0.8)
                ),
                dtype=np.float32,
            )
            for down in (-2, -1, 0, 1, 2):
                for right in (-3, -2, -1, 0, 1, 2, 3):
                    rows.append(np.roll(base, (down, right), axis=(0, 1)))
                    owner.append(number)
    return standard(np.array(rows)), np.array(owner)


def best_by_text(worn_rows: np.ndarray, kept: tuple[np.ndarray, np.ndarray]) -> np.ndarray:
    """For each worn glyph and each text, the best correlation over faces and shifts."""
    rows, owner = kept
    scores = standard(worn_rows) @ rows.T
    starts = np.flatnonzero(np.diff(owner, prepend=-1))
    return np.maximum.reduceat(scores, starts, axis=1)


def single_counts(
    letters: str, faces: tuple[str, ...], trials: int, rng: np.random.Generator
) -> np.ndarray:
    """counts[a, b]: how often the worn letter a was read as b."""
    known = templates(list(letters), faces)
    is_digit = np.array([each.isdigit() for each in letters])
    counts = np.zeros((len(letters), len(letters)))
    for number, letter in enumerate(letters):
        for face in faces:
            glyph = drawn(letter, face)
            rows = np.array([worn(glyph, rng) for _ in range(trials)])
            alike = best_by_text(rows, known) - DIGIT_HANDICAP * is_digit
            read = alike.argmax(axis=1)[alike.max(axis=1) > READABLE]
            counts[number] += np.bincount(read, minlength=len(letters))
    return counts


def merged_likeness(letters: str, faces: tuple[str, ...]) -> dict[str, dict[str, float]]:
    """How alike a pair set close is to a single letter, from 0 (LEAST_LIKE) to 1 (the same).

    The pair is set at several spacings and soft; the single letter is drawn narrow to wide.
    The mean over faces of the best correlation is scaled so that LEAST_LIKE is 0.
    """
    total: dict[tuple[str, str], float] = {}
    for face in faces:
        known, owner = _stretched(letters, face)
        for first in letters:
            for second in letters:
                rows = np.array([drawn(first + second, face, squeeze) for squeeze in SQUEEZES])
                best = (standard(softened(rows)) @ known.T).max(axis=0)
                for number, letter in enumerate(letters):
                    key = (first + second, letter)
                    total[key] = total.get(key, 0.0) + float(best[owner == number].max())
    shares: dict[str, dict[str, float]] = {}
    for (pair, letter), likeness in total.items():
        share = (likeness / len(faces) - LEAST_LIKE) / (1 - LEAST_LIKE)
        if share > 0 and letter not in pair:
            shares.setdefault(pair.upper(), {})[letter.upper()] = round(share, 3)
    return shares


def softened(rows: np.ndarray) -> np.ndarray:
    """The glyphs as a worn or shallow cast mark shows them: soft all over."""
    blurred = [
        Image.fromarray((row * 255).astype(np.uint8)).filter(ImageFilter.GaussianBlur(1.2))
        for row in rows
    ]
    return np.array([np.asarray(image, dtype=np.float32) for image in blurred])


def _stretched(letters: str, face: str) -> tuple[np.ndarray, np.ndarray]:
    """Single letters at several widths and shifts, and for each the number of its letter."""
    rows, owner = [], []
    for number, letter in enumerate(letters):
        glyph = Image.fromarray((drawn(letter, face) * 255).astype(np.uint8))
        for stretch in (0.85, 1.0, 1.15, 1.3):
            wide = glyph.resize((round(WIDTH * stretch), HEIGHT), Image.Resampling.BILINEAR)
            canvas = Image.new("L", (WIDTH, HEIGHT))
            canvas.paste(wide, ((WIDTH - wide.width) // 2, 0))
            base = softened(np.asarray(canvas, dtype=np.float32)[None] / 255)[0]
            for right in (-3, -2, -1, 0, 1, 2, 3):
                rows.append(np.roll(base, right, axis=1))
                owner.append(number)
    return standard(np.array(rows)), np.array(owner)


def as_shares(upper: np.ndarray, lower: np.ndarray) -> dict[str, dict[str, float]]:
    """P(read as b | a was struck and misread), upper and lower case mixed by LOWER_SHARE."""
    table: dict[str, dict[str, float]] = {}
    for number, letter in enumerate(UPPER):
        mixed = _misread_shares(upper[number], number)
        if number < len(LOWER):
            small = np.zeros(len(UPPER))
            small[: len(LOWER)] = _misread_shares(lower[number], number)
            mixed = (1 - LOWER_SHARE) * mixed + LOWER_SHARE * small
        kept = {
            UPPER[i]: round(float(mixed[i]), 4) for i in np.argsort(-mixed) if mixed[i] >= 0.002
        }
        table[letter] = kept
    return table


def _misread_shares(counts: np.ndarray, number: int) -> np.ndarray:
    wrong = counts.copy()
    wrong[number] = 0
    return wrong / max(wrong.sum(), 1)


def as_lines(result: dict[str, object]) -> str:
    """JSON with one letter or pair a line, so that a change can be reviewed."""
    text = json.dumps(result, indent=1, ensure_ascii=False)
    return re.sub(r"\n {3,}", " ", text).replace("\n  }", " }") + "\n"


def main() -> None:
    """Measure and write the table with its provenance."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", type=Path)
    parser.add_argument("--faces", choices=tuple(FACES), default="shipped")
    parser.add_argument("--trials", type=int, default=160)
    parser.add_argument("--seed", type=int, default=20)
    chosen = parser.parse_args()
    rng = np.random.default_rng(chosen.seed)
    faces = FACES[chosen.faces]
    upper = single_counts(UPPER, faces[UPPER], chosen.trials, rng)
    lower = single_counts(LOWER, faces[LOWER], chosen.trials, rng)
    pairs = merged_likeness(UPPER[:26], faces[UPPER])
    for pair, read in merged_likeness(LOWER, faces[LOWER]).items():
        for letter, share in read.items():
            own = pairs.setdefault(pair, {})
            own[letter] = round(max(own.get(letter, 0.0), LOWER_SHARE * share), 3)
    pairs = {
        pair: kept
        for pair, read in pairs.items()
        if (kept := {letter: share for letter, share in read.items() if share >= LEAST_SHARE})
    }
    result = {
        "about": "Worn letters misread, measured by tests/bench/measure_confusion.py",
        "faces": [Path(face).stem for group in faces.values() for face in group],
        "trials_per_letter_and_face": chosen.trials,
        "least_likeness_of_pairs": LEAST_LIKE,
        "seed": chosen.seed,
        "lower_case_share": LOWER_SHARE,
        "pillow": pillow_version,
        "misread_in_trials": round(float(1 - np.trace(upper) / upper.sum()), 3),
        "confusions": as_shares(upper, lower),
        "merges": pairs,
    }
    chosen.out.write_text(as_lines(result), encoding="utf-8")


if __name__ == "__main__":
    main()
