"""A photo made safe and small: its type told by its content, set upright, location left behind.

Whatever a camera or a stranger sends is decoded within limits and written anew, so that what is
shown and what leaves the catalogue holds no byte of it: neither where and when it was taken, nor
anything hidden in it. The photo as given is kept beside, for its owner alone.
"""

from __future__ import annotations

import hashlib
import io
from typing import TYPE_CHECKING

from markrules.catalogue.problems import CatalogueProblem
from markrules.frozen import dataclass
from markrules.photo_limits import (
    DECODING,
    PhotoTooLarge,
    check_before_decoding,
    check_length,
)

if TYPE_CHECKING:
    from PIL.Image import Image

KEPT_SIDE = 3200
"""Pixels of the longer side of a kept picture: a mark 3 mm wide on a 60 mm piece has 160."""
THUMBNAIL_SIDE = 320

ENDINGS = {"image/jpeg": "jpg", "image/png": "png", "image/webp": "webp"}
"""How a file of each type that is taken is called."""
_STARTS = {
    "JPEG": (b"\xff\xd8\xff",),
    "PNG": (b"\x89PNG\r\n\x1a\n",),
    "WEBP": (b"RIFF",),
}
"""How files of each type begin: ITU-T T.81 B.1.1.3, ISO/IEC 15948 5.2, RFC 9649 2.4."""


@dataclass(frozen=True, slots=True)
class Picture:
    """A picture as kept. `digest` is the SHA-256 of `data` in hexadecimal; both are JPEG.

    `original` is the photo as given, of type `original_type`.
    """

    digest: str
    media_type: str
    width: int
    height: int
    data: bytes
    thumbnail: bytes
    original: bytes = b""
    original_type: str = ""


def prepare(data: bytes) -> Picture:
    """The picture to keep of what was sent: JPEG, PNG or WebP, whatever its name says.

    Raises CatalogueProblem where it is another type, damaged, or beyond the limits.
    """
    from PIL import Image, UnidentifiedImageError

    try:
        check_length(data)
        kind = _kind(data)
        with DECODING, Image.open(io.BytesIO(data), formats=_readers(kind)) as opened:
            check_before_decoding(opened, data, "RGB", (KEPT_SIDE, KEPT_SIDE))
            upright = _upright(opened)
    except CatalogueProblem:
        raise
    except PhotoTooLarge as problem:
        raise CatalogueProblem(str(problem)) from None
    except UnidentifiedImageError:
        raise CatalogueProblem(f"the photo begins like {kind} but is not one") from None
    except Exception as error:  # decoders raise many kinds for a damaged file
        raise CatalogueProblem(f"the photo is damaged: {error}") from None
    kept = _jpeg(upright, KEPT_SIDE, 90)
    small = _jpeg(upright, THUMBNAIL_SIDE, 82)
    width, height = _fitted(upright.width, upright.height, KEPT_SIDE)
    digest = hashlib.sha256(kept).hexdigest()
    return Picture(
        digest, "image/jpeg", width, height, kept, small, data, f"image/{kind.casefold()}"
    )


def _kind(data: bytes) -> str:
    for kind, starts in _STARTS.items():
        if data.startswith(starts) and (kind != "WEBP" or data[8:12] == b"WEBP"):
            return kind
    if data[4:12] in (b"ftypheic", b"ftypheix", b"ftypmif1", b"ftypavif"):
        raise CatalogueProblem(
            "the photo is HEIC or AVIF; send it as JPEG (most phones offer to share it so)"
        )
    raise CatalogueProblem("this is not a photo: JPEG, PNG and WebP are taken")


def _readers(kind: str) -> list[str]:
    """Pillow's readers; some phones write JPEG files of several pictures, which it calls MPO."""
    return ["JPEG", "MPO"] if kind == "JPEG" else [kind]


def _upright(opened: Image) -> Image:
    """The first picture, decoded, turned as its camera says, in sRGB, on white."""
    from PIL import Image, ImageOps

    profile = opened.info.get("icc_profile")
    # Made smaller where it lies, and turned then: turned first, it would lie there twice.
    opened.thumbnail((KEPT_SIDE, KEPT_SIDE), Image.Resampling.LANCZOS)
    turned = ImageOps.exif_transpose(opened)
    if turned.mode in ("RGBA", "LA", "PA") or "transparency" in turned.info:
        clear = turned.convert("RGBA")
        turned = Image.new("RGB", clear.size, "white")
        turned.paste(clear, mask=clear.getchannel("A"))
    elif profile:
        turned = _in_srgb(turned, profile)
    plain = turned.convert("RGB")
    plain.info = {}  # comments and the like would be written out again
    return plain


def _in_srgb(image: Image, profile: bytes) -> Image:
    """Colours as sRGB means them, so that a colour sampled from a photo can be compared."""
    from PIL import ImageCms

    try:
        source = ImageCms.ImageCmsProfile(io.BytesIO(profile))
        found = ImageCms.profileToProfile(
            image, source, ImageCms.createProfile("sRGB"), outputMode="RGB"
        )
    except (ImageCms.PyCMSError, OSError, ValueError):
        return image
    return found if found is not None else image


def _fitted(width: int, height: int, side: int) -> tuple[int, int]:
    scale = min(1.0, side / max(width, height))
    return max(1, round(width * scale)), max(1, round(height * scale))


def _jpeg(image: Image, side: int, quality: int) -> bytes:
    from PIL import Image

    size = _fitted(image.width, image.height, side)
    sized = image if size == image.size else image.resize(size, Image.Resampling.LANCZOS)
    out = io.BytesIO()
    sized.save(out, "JPEG", quality=quality, optimize=True, exif=b"", icc_profile=None)
    return out.getvalue()
