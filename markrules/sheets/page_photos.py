"""Photos made small enough for a page; what is sent by a stranger is decoded and written anew."""

from __future__ import annotations

import io

from markrules.photo_limits import DECODING, PhotoTooLarge, check_before_decoding, check_length

SIDE = 900
"""Pixels of the longer side: 300 to the inch at the size in which a sheet prints a photo."""
_SMALL_ENOUGH = 250_000


class PictureProblem(Exception):
    """A photo that cannot be used; the message says why."""


def shrunk(data: bytes, side: int = SIDE) -> tuple[bytes, int, int]:
    """A photo (JPEG, PNG or WebP) as JPEG of at most `side` pixels, its width and its height.

    Raises PictureProblem where it is no such picture, or larger than can be taken.
    """
    from PIL import Image, ImageOps, UnidentifiedImageError

    try:
        check_length(data)
        with DECODING, Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "WEBP")) as opened:
            plain = opened.format == "JPEG" and opened.mode == "RGB"
            small = max(opened.size) <= side and len(data) <= _SMALL_ENOUGH
            if plain and small and not opened.getexif():
                return data, opened.width, opened.height
            check_before_decoding(opened, data, "RGB", (side, side))
            picture = ImageOps.exif_transpose(opened).convert("RGB")
    except UnidentifiedImageError:
        raise PictureProblem("the photo is no JPEG, PNG or WebP picture") from None
    except PhotoTooLarge as problem:
        raise PictureProblem(str(problem)) from None
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise PictureProblem(f"the photo is damaged: {str(error)[:120]}") from None
    picture.thumbnail((side, side))
    written = io.BytesIO()
    picture.save(written, "JPEG", quality=82, optimize=True)
    return written.getvalue(), picture.width, picture.height
