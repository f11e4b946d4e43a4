"""The part of a photo that holds the mark: decoded within limits, cropped first, made small."""

from __future__ import annotations

import io
import math

import numpy as np
from PIL import Image, ImageOps, UnidentifiedImageError

from markrules.frozen import dataclass
from markrules.lamps.planes import Plane
from markrules.photo_limits import DECODING, PhotoTooLarge, check_before_decoding, check_length

LETTER = 40
"""Height in pixels to which letters are shrunk: below it strokes blur, above it grain wins."""

MARGIN = 0.75
"""Room kept round the box, in heights of a letter: the grain is measured there."""

LETTER_SHARE = 0.72
"""Share of a line's height in a box drawn round a mark that the letters themselves take."""


class LampProblem(ValueError):
    """Photos, a box or lamps that cannot be used; the message is for the user."""


@dataclass(frozen=True, slots=True)
class MarkFrame:
    """A box round the mark, in pixels of the upright first photo, and its lines of letters."""

    left: int
    top: int
    width: int
    height: int
    lines: int = 1

    def letter(self) -> float:
        """The height of a letter, in pixels of the photo."""
        return self.height / self.lines * LETTER_SHARE


@dataclass(frozen=True, slots=True)
class Crop:
    """What is cut from each photo, and how small it is made: the same for all of one mark."""

    left: int
    top: int
    right: int
    bottom: int
    size: tuple[int, int]
    letter: float
    inner: tuple[int, int, int, int]
    """The box in the small picture: left, top, right, bottom."""


def crop_of(box: MarkFrame, width: int, height: int) -> Crop:
    """The crop for a box on a photo of this size.

    Raises LampProblem where the box lies outside, or is too small to hold letters.
    """
    if box.width < 12 or box.height < 8 * box.lines or box.lines < 1:
        raise LampProblem("the box round the mark is too small: letters need eight pixels at least")
    if box.left < 0 or box.top < 0 or box.left + box.width > width or box.top + box.height > height:
        raise LampProblem(
            f"the box round the mark reaches outside the first photo ({width} × {height} pixels)"
        )
    room = math.ceil(MARGIN * box.letter())
    left, top = max(0, box.left - room), max(0, box.top - room)
    right = min(width, box.left + box.width + room)
    bottom = min(height, box.top + box.height + room)
    scale = min(1.0, LETTER / box.letter())
    size = max(8, round((right - left) * scale)), max(8, round((bottom - top) * scale))
    inner = (
        round((box.left - left) * scale),
        round((box.top - top) * scale),
        round((box.left + box.width - left) * scale),
        round((box.top + box.height - top) * scale),
    )
    return Crop(left, top, right, bottom, size, box.letter() * scale, inner)


def upright_size(data: bytes, name: str) -> tuple[int, int]:
    """Width and height of a photo, set upright. Raises LampProblem where it is none."""
    with DECODING, _opened(data, name) as image:
        turned = image.getexif().get(_ORIENTATION, 1) in (5, 6, 7, 8)
        return (image.height, image.width) if turned else (image.width, image.height)


def cut(data: bytes, crop: Crop, size: tuple[int, int], name: str) -> Plane:
    """The crop of one photo as light, from 0 to 1 (linear, not as a screen shows it).

    `size` is that of the first photo: another must have the same shape, and is scaled to it.
    Raises LampProblem where the photo cannot be used.
    """
    with DECODING, _opened(data, name) as image:
        ImageOps.exif_transpose(image, in_place=True)
        grey = image if image.mode == "L" else image.convert("L")
        small = _small(grey, crop, size, name)
    light: Plane = _LIGHT[np.asarray(small)]
    return light


def _small(grey: Image.Image, crop: Crop, size: tuple[int, int], name: str) -> Image.Image:
    # Within a hundredth: a photo that was made smaller is rounded to whole pixels.
    if abs(grey.width * size[1] - grey.height * size[0]) > 0.01 * size[0] * size[1]:
        raise LampProblem(f"{name}: this photo has another shape than the first")
    by = grey.width / size[0]
    box = (crop.left * by, crop.top * by, crop.right * by, crop.bottom * by)
    return grey.resize(crop.size, Image.Resampling.BOX, box=box)


def _opened(data: bytes, name: str) -> Image.Image:
    try:
        check_length(data)
        image = Image.open(io.BytesIO(data), formats=["JPEG", "PNG", "WEBP"])
        # A JPEG gives its brightness alone: a third of the room.
        check_before_decoding(image, data, "L")
        if image.format in ("JPEG", "MPO"):
            return image
        image.load()
    except UnidentifiedImageError:
        raise LampProblem(f"{name}: this is not a photo: JPEG, PNG and WebP are taken") from None
    except PhotoTooLarge as problem:
        raise LampProblem(f"{name}: {problem}") from None
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError) as error:
        raise LampProblem(f"{name}: the photo is damaged: {error}") from None
    return image


_ORIENTATION = 0x0112

_LIGHT = np.asarray(
    [
        code / 255 / 12.92 if code <= 10 else ((code / 255 + 0.055) / 1.055) ** 2.4
        for code in range(256)
    ],
    dtype=np.float32,
)
"""sRGB's curve (IEC 61966-2-1) from the numbers of a picture to light."""
