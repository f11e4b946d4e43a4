"""What of a photo is looked at before it is decoded: its sides, pixels, scans and memory.

A file of some hundred kilobytes can ask for gigabytes, or for minutes. Every place that decodes
what a person sent asks here first, and holds `DECODING` meanwhile.
"""

from __future__ import annotations

import threading
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

LARGEST_BYTES = 40_000_000
LARGEST_PIXELS = 80_000_000
"""Width times height: enough for any camera in a pocket, and 240 MB at most while at work."""
LONGEST_SIDE = 20_000
"""Pixels: a strip of one pixel by many millions costs gigabytes to make smaller."""
MOST_MEMORY = 200_000_000
"""Bytes of the decoded picture, by its mode, once the decoder has made it as small as it can."""
MOST_SCANS = 40
"""Scans of a progressive JPEG; encoders write about ten, and each is a pass over all pixels
(ITU-T T.81 G.1; the limit is that of `maxscans` of JPEG decoders hardened against this)."""

DECODING = threading.Lock()
"""Held while a picture is decoded, so that several at once need no more memory than one."""

_DEPTH = {"1": 1, "L": 1, "P": 1, "I;16": 2, "LA": 4, "PA": 4}
"""Bytes that the decoder keeps for each pixel of a mode; four for all others."""


class PhotoTooLarge(ValueError):
    """A photo that would take too much memory or time; the message is for a person."""


def check_length(data: bytes) -> None:
    """Raise PhotoTooLarge for a file of more bytes than are taken."""
    if len(data) > LARGEST_BYTES:
        raise PhotoTooLarge(
            f"the photo has {len(data):,} bytes; {LARGEST_BYTES:,} at most are taken"
        )


def check_before_decoding(
    opened: Image, data: bytes, mode: str, side: tuple[int, int] | None = None
) -> None:
    """Raise PhotoTooLarge for a picture that would take too much memory or time to decode.

    A JPEG is told to decode itself in `mode` and, where the longer `side` will do, smaller, which
    it does at no cost. `data` is the file that `opened` was opened from.
    """
    _check_size(opened.width, opened.height)
    if opened.format in ("JPEG", "MPO") and data.count(b"\xff\xda") > MOST_SCANS:
        raise PhotoTooLarge(f"the photo is coded in more than {MOST_SCANS} scans; save it anew")
    opened.draft(mode, side or opened.size)
    memory = opened.width * opened.height * _DEPTH.get(opened.mode, 4)
    if memory > MOST_MEMORY:
        raise PhotoTooLarge(
            f"the photo has {opened.width} × {opened.height} pixels and would take"
            f" {memory:,} bytes; {MOST_MEMORY:,} at most are taken. Save it as JPEG, or smaller"
        )


def _check_size(width: int, height: int) -> None:
    if max(width, height) > LONGEST_SIDE:
        raise PhotoTooLarge(
            f"the photo has {width} × {height} pixels; {LONGEST_SIDE:,} a side at most are taken"
        )
    if width * height > LARGEST_PIXELS:
        raise PhotoTooLarge(
            f"the photo has {width} × {height} pixels; {LARGEST_PIXELS:,} at most are taken"
        )
