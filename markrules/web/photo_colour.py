"""The colour at a place on a photo."""

from __future__ import annotations

import io

from markrules.appraisal.colours import Lab, lab_of_srgb
from markrules.frozen import dataclass
from markrules.photo_limits import DECODING, check_before_decoding

AROUND = 4
"""Pixels looked at on either side of the place: one glint does not decide."""


@dataclass(frozen=True, slots=True)
class Sample:
    """A colour: as `#rrggbb` in sRGB, and as CIE Lab for the light of a D65 white."""

    code: str
    lab: Lab


def sample(picture: bytes, x: float, y: float) -> Sample:
    """The middle colour around a place, x and y from 0 to 1: the median of each channel.

    Raises PhotoTooLarge for a picture that no camera sent.
    """
    from PIL import Image

    with DECODING, Image.open(io.BytesIO(picture), formats=["JPEG"]) as opened:
        check_before_decoding(opened, picture, "RGB")
        image = opened.convert("RGB")
    across = min(image.width - 1, int(x * image.width))
    down = min(image.height - 1, int(y * image.height))
    part = image.crop(
        (
            max(0, across - AROUND),
            max(0, down - AROUND),
            min(image.width, across + AROUND + 1),
            min(image.height, down + AROUND + 1),
        )
    )
    red, green, blue = (_median(part.getchannel(each).tobytes()) for each in "RGB")
    return Sample(f"#{red:02x}{green:02x}{blue:02x}", lab_of_srgb(red, green, blue))


def _median(channel: bytes) -> int:
    return sorted(channel)[len(channel) // 2]
