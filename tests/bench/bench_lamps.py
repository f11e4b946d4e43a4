"""Legibility of simulated marks: one photo, four in turn, the relief, and the relief beside photos.

Letters are told by a template classifier (the best correlation with the letters of the font, at
small shifts), a stand-in for an eye that knows letters. "In turn" adds up the scores
of the photos; "beside" adds the relief's to their mean. Prints the share of letters
told right by depth and surface, and the time and memory for four photos of 12 megapixels.
"""

from __future__ import annotations

import io
import subprocess
import sys
import tempfile
from itertools import product
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw, ImageFont

sys.path.append(str(Path(__file__).parents[1] / "lamps"))

from lamp_simulator import SURFACES, Scene, photos

from markrules.lamps.frames import MarkFrame
from markrules.lamps.relief import Relief, Shot, relief

LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DEPTHS = (0.003, 0.01, 0.03, 0.075)
WEARS = (0.0, 0.4)


def template(letter: str, height: int) -> np.ndarray:
    """A letter of the font, so high as letters are in the planes; 1 on strokes."""
    font = ImageFont.load_default(height / 0.72)
    left, top, right, bottom = font.getbbox(letter)
    image = Image.new("L", (round(right - left), round(bottom - top)))
    ImageDraw.Draw(image).text((-left, -top), letter, fill=255, font=font)
    return np.asarray(image, dtype=float) / 255


def scores(plane: np.ndarray, at: tuple[float, float], height: int) -> np.ndarray:
    """How well each letter fits at a place, whatever the sign, with shifts of two pixels."""
    best = np.zeros(len(LETTERS))
    for number, letter in enumerate(LETTERS):
        shape = np.pad(template(letter, height), 4)
        shape -= shape.mean()
        rows, columns = shape.shape
        for dy, dx in product((-2, 0, 2), repeat=2):
            y, x = round(at[1]) - 4 + dy, round(at[0]) - 4 + dx
            part = plane[max(0, y) : y + rows, max(0, x) : x + columns]
            if part.shape != shape.shape:
                continue
            part = part - part.mean()
            size = np.sqrt((part**2).sum() * (shape**2).sum())
            best[number] = max(best[number], abs((part * shape).sum()) / max(size, 1e-9))
    return best


def places(text: str, box: MarkFrame, found: Relief) -> list[tuple[float, float]]:
    """Upper left corners of the letters in the planes."""
    font = ImageFont.load_default(box.letter() / 0.72)
    by = found.letter / box.letter()
    room = round(found.letter / 4)
    top = min(font.getbbox(letter)[1] for letter in text)
    start = font.getbbox(text)[0]
    edge = 0.18 * box.letter()
    corners = []
    for number, letter in enumerate(text):
        left, above, _, _ = font.getbbox(letter)
        x = font.getlength(text[:number]) + left - start + edge
        corners.append((x * by + room, (above - top + edge) * by + room))
    return corners


def legibility(scene: Scene) -> dict[str, float]:
    """The share of letters told right, by what is looked at."""
    shots, box, _ = photos(scene)
    mark = MarkFrame(*(int(each) for each in box))
    found = relief([Shot(d, "x", h) for d, h in zip(shots, scene.hours, strict=True)], mark)
    height = round(found.letter)
    right = dict.fromkeys(("one photo", "four in turn", "relief", "beside"), 0)
    for letter, place in zip(scene.text, places(scene.text, mark, found), strict=True):
        lit = [scores(each, place, height) for each in found.lit]
        raised = scores(found.height, place, height)
        tries = {
            "one photo": lit[0],
            "four in turn": np.mean(lit, axis=0),
            "relief": raised,
            "beside": np.mean(lit, axis=0) + raised,
        }
        for name, each in tries.items():
            right[name] += LETTERS[int(np.argmax(each))] == letter
    return {name: count / len(scene.text) for name, count in right.items()}


def words(count: int, seed: int) -> list[str]:
    """Words of five letters drawn evenly, so that no letter is rarer than another."""
    chance = np.random.default_rng(seed)
    return ["".join(chance.choice(list(LETTERS), 5)) for _ in range(count)]


def twelve_megapixels() -> tuple[float, float]:
    """Seconds and megabytes of a process of its own for four photos of 4000 × 3000 pixels."""
    shots, box, _ = photos(Scene(depth=0.03, letter=150))
    with tempfile.TemporaryDirectory() as folder:
        files = []
        for number, data in enumerate(shots):
            canvas = Image.new("RGB", (4000, 3000), "grey")
            canvas.paste(Image.open(io.BytesIO(data)), (1500, 1400))
            files.append(str(Path(folder) / f"{number}.jpg"))
            canvas.save(files[-1], "JPEG", quality=92)
        where = int(box[0]) + 1500, int(box[1]) + 1400, int(box[2]), int(box[3])
        run = [sys.executable, "-c", _MEASURED, *map(str, where), *files]
        said = subprocess.run(run, check=True, capture_output=True, text=True).stdout.split()
    return float(said[0]), float(said[1])


_MEASURED = """
import re, sys, time
from pathlib import Path
from markrules.lamps.frames import Box
from markrules.lamps.relief import Shot, relief
box = Box(*map(int, sys.argv[1:5]))
start = time.process_time()
shots = [Shot(Path(f).read_bytes(), f, h) for f, h in zip(sys.argv[5:], (12, 3, 6, 9))]
relief(shots, box)
# not ru_maxrss: that starts from the size of the process that started this one
used = int(re.search(r"VmHWM:\\s*([0-9]+)", Path("/proc/self/status").read_text())[1]) / 1024
print(time.process_time() - start, used)
"""


def main() -> None:
    seconds, megabytes = twelve_megapixels()
    print(f"four photos of 12 MP: {seconds:.2f} s of processor, {megabytes:.0f} MB in all")
    print(f"{'surface':<10} {'depth':>6}  one photo  four in turn  relief  beside")
    for surface in SURFACES:
        for depth in DEPTHS:
            got = [
                legibility(Scene(text, surface, depth, wear, cast, seed=number))
                for number, (text, wear, cast) in enumerate(
                    product(words(2, 7), WEARS, (False, True))
                )
            ]
            mean = {name: sum(each[name] for each in got) / len(got) for name in got[0]}
            print(
                f"{surface:<10} {depth:>6.1%}  {mean['one photo']:>9.0%}  "
                f"{mean['four in turn']:>12.0%}  {mean['relief']:>6.0%}  {mean['beside']:>6.0%}"
            )


if __name__ == "__main__":
    main()
