"""The colour of a stone, sampled from a photo."""

from __future__ import annotations

import io
from pathlib import Path

from markrules.appraisal.colours import Lab, lab_of_srgb
from markrules.photo_limits import (
    DECODING,
    LARGEST_BYTES,
    PhotoTooLarge,
    check_before_decoding,
    check_length,
)
from markrules.plain_files import beginning

REACH = 0.012
"""Half the side of the sampled square, as a share of the photo's shorter side."""


class PhotoProblem(ValueError):
    """A photo that cannot be read, or a place outside it, in plain words."""


def sampled_colour(photo: Path, x: float, y: float, reach: float = REACH) -> Lab:
    """The median colour about a place; `x` and `y` from 0 to 1 across and down the photo.

    The median of each channel over a small square passes over sparkle and dust. Colours are
    taken as sRGB. Raises PhotoProblem for a place outside or a file that is no photo, and
    OSError for a file that cannot be opened.
    """
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise PhotoProblem("a place on a photo is two numbers from 0 to 1, across and down")
    pixels = _square(photo, x, y, reach)
    red, green, blue = (_median(pixels[channel::3]) for channel in range(3))
    return lab_of_srgb(red, green, blue)


def _square(photo: Path, x: float, y: float, reach: float) -> bytes:
    """The red, green and blue of each pixel of the square about a place."""
    import warnings

    from PIL import Image

    data = beginning(photo, LARGEST_BYTES + 1)
    with DECODING, warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        try:
            check_length(data)
            with Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
                check_before_decoding(opened, data, "RGB")
                half = max(1, round(reach * min(opened.size)))
                across, down = round(x * (opened.width - 1)), round(y * (opened.height - 1))
                square = (
                    max(0, across - half),
                    max(0, down - half),
                    min(opened.width, across + half + 1),
                    min(opened.height, down + half + 1),
                )
                return opened.convert("RGB").crop(square).tobytes()
        except PhotoTooLarge as problem:
            raise PhotoProblem(f"{photo.name}: {problem}") from None
        # Decoders raise many kinds of errors on damaged files; to a person they are one.
        except Exception:
            raise PhotoProblem(f"{photo.name}: this is not a photo that can be read") from None


def _median(values: bytes) -> float:
    ordered = sorted(values)
    middle = len(ordered) // 2
    return float(ordered[middle]) if len(ordered) % 2 else sum(ordered[middle - 1 : middle + 1]) / 2
