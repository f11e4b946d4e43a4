"""Photos of one mark laid over each other, though each is lit from another side.

Relief shows with its signs turned when the lamp changes sides, so one photo cannot simply be
matched with another. Each is matched with what the *others* say it should show: a common term
and a height are solved from them, and lit from its own side.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from markrules.frozen import dataclass
from markrules.lamps.planes import STILL, Affine, Plane, agreement, blurred, warped
from markrules.lamps.solving import direction, integrated, slopes

FEWEST = 3
"""Photos that fix a common term and the slopes both ways."""

REACH = 0.5
"""How far a photo may have moved, in heights of a letter."""

LEANING = 0.12
"""How far a phone that was leaned on something is thought to move (standard deviation)."""

STIFFNESS = 0.3
"""Weight of turns and stretches against shifts: a phone that leans hardly turns."""

LONGEST_STEP = 3.0
"""Pixels that one step of the fit may move a photo."""

BANDS = ((1 / 6, 1 / 3, 4), (1 / 12, 1 / 4, 4), (1 / 20, 1 / 5, 4))
"""From coarse to fine: blur, wider blur taken off (in heights of a letter), and steps."""


@dataclass(frozen=True, slots=True)
class LaidPhotos:
    """How the photos lie over the first: where pixels are fetched, and how well each agrees.

    An agreement is the correlation of a photo with what the others say it should show; of three
    photos, of which two cannot foretell the third, with the one surface that all three make.
    """

    maps: tuple[Affine, ...]
    agreements: tuple[float, ...]


def laid(flat: Sequence[Plane], hours: Sequence[float], letter: float) -> LaidPhotos:
    """Lay flattened photos over the first; `letter` is a letter's height in pixels."""
    outlines = [_outline(each, letter) for each in flat]
    maps = [STILL, *(_shift(outlines[0], each, letter) for each in outlines[1:])]
    banded: list[Plane] = list(flat)
    for fine, wide, steps in BANDS:
        banded = [blurred(each, fine * letter) - blurred(each, wide * letter) for each in flat]
        for _ in range(steps):
            over = [warped(each, by) for each, by in zip(banded, maps, strict=True)]
            maps = [
                STILL,
                *(
                    _fitted(_expected(over, hours, at), banded[at], maps[at])
                    for at in range(1, len(flat))
                ),
            ]
    over = [warped(each, by) for each, by in zip(banded, maps, strict=True)]
    where = inside(flat[0].shape, maps)
    if len(flat) == FEWEST:
        return LaidPhotos(tuple(maps), _of_one_surface(over, hours, where))
    return LaidPhotos(
        tuple(maps),
        tuple(agreement(_expected(over, hours, at), over[at], where) for at in range(len(over))),
    )


def _of_one_surface(
    over: Sequence[Plane], hours: Sequence[float], where: NDArray[np.bool_]
) -> tuple[float, ...]:
    """How far each of three photos shows the slopes of one surface.

    Three photos fix the common term and both slopes of each pixel, whatever they show; but only
    those of one surface join to a height (Frankot and Chellappa, as in `solving`).
    """
    common, across, down = slopes(over, hours)
    height = integrated(across, down)
    return tuple(
        agreement(_shading(height, hour), each - common, where)
        for hour, each in zip(hours, over, strict=True)
    )


def inside(shape: tuple[int, ...], maps: Sequence[Affine]) -> NDArray[np.bool_]:
    """The pixels that every one of these maps fetches from within a plane of that shape."""
    height, width = shape
    ys, xs = np.mgrid[0:height, 0:width]
    found = np.ones(shape, dtype=np.bool_)
    for a, b, c, d, e, f in maps:
        across, down = a * xs + b * ys + c, d * xs + e * ys + f
        found &= (across >= 1) & (across <= width - 2) & (down >= 1) & (down <= height - 2)
    return found


def _expected(over: Sequence[Plane], hours: Sequence[float], at: int) -> Plane:
    """What the photo at that place should show, from all the others."""
    others = [number for number in range(len(over)) if number != at]
    common, across, down = slopes(
        [over[number] for number in others], [hours[number] for number in others]
    )
    return common + _shading(integrated(across, down), hours[at])


def _shading(height: Plane, hour: float) -> Plane:
    """What a lamp at that hour makes of the slopes of a height: brighter where it faces it."""
    fall_down, fall_across = np.gradient(height)
    right, below = direction(hour)
    shading: Plane = np.zeros_like(height) - right * fall_across - below * fall_down
    return shading


def _outline(flat: Plane, letter: float) -> Plane:
    """Where something stands out, from whichever side it is lit: the size of what is fine."""
    fine = flat - blurred(flat, letter / 5)
    return np.sqrt(np.maximum(blurred(fine * fine, letter / 10), 0.0))


def _shift(fixed: Plane, moving: Plane, letter: float) -> Affine:
    """The whole-pixel shift that fits best, small ones thought likelier.

    By the correlation of the planes through the Fourier transform.
    """
    height, width = fixed.shape
    # Twice as large, the rest 0: the transform wraps round, and no edge may meet its opposite.
    shape = (2 * height, 2 * width)
    one, other = fixed - fixed.mean(), moving - moving.mean()
    spectrum = np.conj(np.fft.rfft2(one, shape)) * np.fft.rfft2(other, shape)
    score = np.fft.irfft2(spectrum, shape)
    reach = max(1, min(round(REACH * letter), height // 2, width // 2))
    steps = np.arange(-reach, reach + 1)
    likely = np.exp(-0.5 * (steps / (LEANING * letter)) ** 2)
    # Negative places count from the end, where the transform puts shifts to the left and up.
    near = np.maximum(score[np.ix_(steps, steps)], 0.0) * np.outer(likely, likely)
    row, column = np.unravel_index(int(np.argmax(near)), near.shape)
    return 1.0, 0.0, float(steps[column]), 0.0, 1.0, float(steps[row])


def _fitted(fixed: Plane, moving: Plane, by: Affine) -> Affine:
    """One step of Gauss and Newton towards the map under which `moving` fits `fixed`.

    B. Lucas and T. Kanade, An iterative image registration technique, 1981; with a ridge that
    holds turns and stretches small.
    """
    height, width = fixed.shape
    ys, xs = np.mgrid[0:height, 0:width].astype(np.float32)
    middle, unit = ((width - 1) / 2, (height - 1) / 2), max(width, height) / 2
    across, down = (xs - middle[0]) / unit, (ys - middle[1]) / unit
    seen, where = warped(moving, by), inside(fixed.shape, [by])
    wanted = fixed[where] - fixed[where].mean()
    given = seen[where] - seen[where].mean()
    gain = float((wanted * given).sum()) / max(float((wanted * wanted).sum()), 1e-12)
    # It shows the contrary of what is foretold: a step would lead it away.
    if gain <= 0:
        return by
    slope_down, slope_across = np.gradient(seen)
    design = np.stack(
        [
            (slope * along)[where]
            for slope in (slope_across, slope_down)
            for along in (across, down, np.ones_like(across))
        ],
        axis=1,
    ).astype(np.float64)
    normal = design.T @ design
    # Shifts are held by next to nothing: enough that a plane without detail can be solved.
    stiff = np.array([STIFFNESS, STIFFNESS, 1e-4] * 2) * np.trace(normal) / 6
    now = np.array([(by[0] - 1) * unit, by[1] * unit, 0, by[3] * unit, (by[4] - 1) * unit, 0])
    step = np.linalg.solve(
        normal + np.diag(stiff), design.T @ (gain * wanted - given) - stiff * now
    )
    length = float(np.hypot(step[2], step[5]))
    # Slopes foretell a few pixels; a longer step would land anywhere.
    step *= min(1.0, LONGEST_STEP / length) if length > 0 else 1.0
    return _added(by, step, middle, unit)


def _added(
    by: Affine, step: NDArray[np.float64], middle: tuple[float, float], unit: float
) -> Affine:
    """A step in centred units of half the picture, put onto a map in pixels."""
    p, q, r, s, t, u = (float(each) for each in step)
    x, y = middle
    a, b, c, d, e, f = by
    return (
        a + p / unit,
        b + q / unit,
        c + r - (p * x + q * y) / unit,
        d + s / unit,
        e + t / unit,
        f + u - (s * x + t * y) / unit,
    )
