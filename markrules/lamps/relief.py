"""The relief of a mark, from photos that differ in where the lamp stood."""

from __future__ import annotations

import io
from collections.abc import Callable, Sequence

import numpy as np
from PIL import Image

from markrules.frozen import dataclass
from markrules.lamps.frames import Crop, LampProblem, MarkFrame, crop_of, cut, upright_size
from markrules.lamps.planes import Plane, picture, warped
from markrules.lamps.registering import FEWEST, LaidPhotos, laid
from markrules.lamps.solving import flattened, lamps_apart, solved, standing_out

MOST = 12
LEAST_AGREEMENT = 0.6
"""A photo that agrees less with the others has moved, or its lamp stood elsewhere: again, please.

On simulated marks photos that lie right agree to 0.7 and more, save on metal that glares."""

LEAST_IN_GLARE = 0.4
"""The same where metal glares: it mirrors the lamp, and does not shade as slopes foretell.
Simulated deep marks on mirror-bright metal gave 0.43 to 0.74 where photos lay right, and at most
0.35 where one was of another place, had moved out of reach, or had its lamp elsewhere."""

LEAST_OF_THREE = 0.88
"""The same where three photos are used, which are measured against the one surface they make. Of
simulated marks on four kinds of metal (bound chosen on half of them), 15% of right photos stay
below it, and 88 to 100% where one was of another place, had moved away, or had its lamp elsewhere.
Which of the three lies wrong cannot be told."""

GLARING_SPREAD, GLARING_TAILS = 0.15, 6.5
"""Metal glares where the light in the box departs from its blur by so much (standard deviation),
and in few bright places (kurtosis, 3 for a normal spread). Simulated deep marks on mirror-bright
metal gave 0.2 to 0.3 and 7 to 12, those on satin and brushed metal tails below 6."""

LEAST_RELIEF = 1.4
"""Relief over grain below which nothing is called readable: bare simulated surfaces of five
kinds gave 0.8 to 1.35."""

ENLARGED = 3
"""How much larger than the solved planes the pictures are: for eyes, not for detail."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One photo: its bytes, its name for messages, and the lamp's hour on the clock face."""

    data: bytes
    name: str
    hour: float


@dataclass(frozen=True, slots=True)
class Relief:
    """What was found. Planes are cropped to the box and a little round it.

    `agreements` are one for each photo, in the order given; `left_out` the places of photos
    that did not lie over the others and were not used. `over_grain` is the relief over the
    grain round it (see `standing_out`). `lit` are the photos, laid over each other. `glaring`
    tells that the metal mirrors the lamps, so that photos that lie right agree less.
    """

    height: Plane
    common: Plane
    lit: tuple[Plane, ...]
    hours: tuple[float, ...]
    agreements: tuple[float, ...]
    left_out: tuple[int, ...]
    over_grain: float
    letter: float
    glaring: bool = False

    @property
    def again(self) -> tuple[int, ...]:
        """The places of the photos to take again; of three, all where one lies wrong."""
        low = tuple(at for at, each in enumerate(self.agreements) if each < self.least)
        return tuple(range(FEWEST)) if low and len(self.agreements) == FEWEST else low

    @property
    def of_three(self) -> bool:
        """Whether just three photos were used, so that they were measured by their surface."""
        return len(self.agreements) - len(self.left_out) == FEWEST

    @property
    def least(self) -> float:
        """The agreement below which a photo is asked for again."""
        if self.of_three:
            return LEAST_OF_THREE
        return LEAST_IN_GLARE if self.glaring else LEAST_AGREEMENT

    @property
    def readable(self) -> bool:
        """Whether anything stands out from the grain."""
        return self.over_grain >= LEAST_RELIEF


def relief(
    shots: Sequence[Shot], box: MarkFrame, step: Callable[[str], None] = lambda _: None
) -> Relief:
    """The relief inside a box on the first photo; `step` is told what is being done.

    Raises LampProblem where the photos, the box or the lamps cannot serve.
    """
    if not FEWEST <= len(shots) <= MOST:
        raise LampProblem(
            f"{len(shots)} photos: three at least are needed, four are usual, twelve the most"
        )
    hours = [each.hour for each in shots]
    if not all(0 < hour <= 12 for hour in hours):
        raise LampProblem("a lamp stands at an hour of the clock face, from 1 to 12")
    if not lamps_apart(hours):
        raise LampProblem(
            "the lamps stand too near each other: put them round the piece, as at 12, 3, 6 and 9"
        )
    size = upright_size(shots[0].data, shots[0].name)
    crop = crop_of(box, *size)
    light = []
    for shot in shots:
        step(f"cutting {shot.name}")
        light.append(cut(shot.data, crop, size, shot.name))
    step("laying the photos over each other")
    flat = [flattened(each, crop.letter) for each in light]
    glaring = _glares(flat, crop)
    least = LEAST_IN_GLARE if glaring else LEAST_AGREEMENT
    lie, used = _laid_without_strays(flat, hours, crop.letter, least)
    step("finding the relief")
    over = [warped(flat[at], lie.maps[at]) for at in range(len(flat))]
    planes = solved([over[at] for at in used], [hours[at] for at in used], crop.letter)
    window = _window(crop, planes.height.shape)
    return Relief(
        planes.height[window],
        planes.common[window],
        tuple(warped(each, by)[window] for each, by in zip(light, lie.maps, strict=True)),
        tuple(hours),
        lie.agreements,
        tuple(at for at in range(len(flat)) if at not in used),
        standing_out(planes.height, crop.letter, crop.inner),
        crop.letter,
        glaring,
    )


def height_png(found: Relief, *, dark_is_high: bool = False) -> bytes:
    """The height as greys; `dark_is_high` swaps dark and light."""
    reach = float(np.quantile(np.abs(found.height), 0.985)) or 1.0
    return _png(picture(-found.height if dark_is_high else found.height, -reach, reach))


def common_png(found: Relief) -> bytes:
    """What every lamp shows alike: dirt in the strokes, and colour."""
    low, high = np.quantile(found.common, [0.01, 0.99])
    return _png(picture(found.common, float(low), float(high)))


def lit_png(found: Relief, at: int) -> bytes:
    """One photo as it was lit, laid over the others."""
    plane = found.lit[at]
    low, high = np.quantile(plane, [0.01, 0.995])
    return _png(picture(np.sqrt(np.maximum(plane, 0.0)), float(low) ** 0.5, float(high) ** 0.5))


def _laid_without_strays(
    flat: Sequence[Plane], hours: Sequence[float], letter: float, least: float
) -> tuple[LaidPhotos, tuple[int, ...]]:
    """The photos laid over each other, without one that spoils the rest where that helps.

    The first photo stays: the box was drawn on it.
    """
    whole = laid(flat, hours, letter)
    everything = tuple(range(len(flat)))
    if len(flat) <= FEWEST or min(whole.agreements) >= least:
        return whole, everything
    strays: Sequence[int] = everything[1:]
    if len(flat) == FEWEST + 1:  # three may make some surface by chance: try the odd one only
        least, strays = LEAST_OF_THREE, [int(np.argmin(whole.agreements))]
    best, used, top = whole, everything, least
    for stray in strays:
        rest = tuple(at for at in everything if at != stray)
        if not stray or not lamps_apart([hours[at] for at in rest]):
            continue
        tried = laid([flat[at] for at in rest], [hours[at] for at in rest], letter)
        if min(tried.agreements) >= top:
            top = min(tried.agreements)
            maps, agreements = list(whole.maps), list(whole.agreements)
            for place, at in enumerate(rest):
                maps[at], agreements[at] = tried.maps[place], tried.agreements[place]
            agreements[stray] = min(agreements[stray], least - 0.01)
            best, used = LaidPhotos(tuple(maps), tuple(agreements)), rest
    return best, used


def _glares(flat: Sequence[Plane], crop: Crop) -> bool:
    """Whether light comes from few bright places in the box: metal that mirrors the lamp."""
    left, top, right, bottom = crop.inner
    spreads, tails = [], []
    for each in flat:
        part = each[top:bottom, left:right].astype(np.float64)
        apart = part - part.mean()
        spread = float((apart**2).mean())
        spreads.append(spread**0.5)
        tails.append(float((apart**4).mean()) / max(spread**2, 1e-12))
    return bool(np.mean(spreads) >= GLARING_SPREAD and np.mean(tails) >= GLARING_TAILS)


def _window(crop: Crop, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """The box and a quarter of a letter round it."""
    room = round(crop.letter / 4)
    left, top, right, bottom = crop.inner
    return (
        slice(max(0, top - room), min(shape[0], bottom + room)),
        slice(max(0, left - room), min(shape[1], right + room)),
    )


def _png(image: Image.Image) -> bytes:
    out = io.BytesIO()
    size = image.width * ENLARGED, image.height * ENLARGED
    image.resize(size, Image.Resampling.LANCZOS).save(out, "PNG", optimize=True)
    return out.getvalue()
