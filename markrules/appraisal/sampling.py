"""The colour of a stone, sampled from a photo."""

from __future__ import annotations

from pathlib import Path

from markrules.appraisal.colours import Lab, lab_of_srgb

MOST_PIXELS = 60_000_000
REACH = 0.012
"""Half the side of the sampled square, as a share of the photo's shorter side."""


class PhotoProblem(ValueError):
    """A photo that cannot be read, or a place outside it, in plain words."""


def sampled_colour(photo: Path, x: float, y: float, reach: float = REACH) -> Lab:
    """The median colour about a place; `x` and `y` from 0 to 1 across and down the photo.

    The median of each channel over a small square passes over sparkle and dust. Colours are
    taken as sRGB. Raises PhotoProblem for a place outside or a file that is no photo.
    """
    if not (0 <= x <= 1 and 0 <= y <= 1):
        raise PhotoProblem("a place on a photo is two numbers from 0 to 1, across and down")
    import warnings

    from PIL import Image, UnidentifiedImageError

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(photo) as opened:
                if opened.width * opened.height > MOST_PIXELS:
                    raise PhotoProblem(f"{photo.name}: the photo is too large")
                half = max(1, round(reach * min(opened.size)))
                middle = round(x * (opened.width - 1)), round(y * (opened.height - 1))
                square = (
                    max(0, middle[0] - half),
                    max(0, middle[1] - half),
                    min(opened.width, middle[0] + half + 1),
                    min(opened.height, middle[1] + half + 1),
                )
                pixels = opened.convert("RGB").crop(square).tobytes()
    except (UnidentifiedImageError, Image.DecompressionBombWarning, Image.DecompressionBombError):
        raise PhotoProblem(f"{photo.name}: this is not a photo that can be read") from None
    except (SyntaxError, EOFError, ValueError) as error:
        if isinstance(error, PhotoProblem):
            raise
        raise PhotoProblem(f"{photo.name}: this is not a photo that can be read") from None
    red, green, blue = (_median(pixels[channel::3]) for channel in range(3))
    return lab_of_srgb(red, green, blue)


def _median(values: bytes) -> float:
    ordered = sorted(values)
    middle = len(ordered) // 2
    return float(ordered[middle]) if len(ordered) % 2 else sum(ordered[middle - 1 : middle + 1]) / 2
