"""From photos lit from several sides to the height of what is on the surface.

Photometric stereo (R. J. Woodham, Photometric method for determining surface orientation from
multiple images, Optical Engineering 19, 1980) in its simplest form: each photo, divided by its
own blur, is a common term (dirt, colour) plus the slope of the surface towards the lamp. Slopes
are joined to a height by R. T. Frankot and R. Chellappa's projection (A method for enforcing
integrability in shape from shading algorithms, IEEE PAMI 10, 1988).
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from markrules.frozen import dataclass
from markrules.lamps.planes import Plane, blurred
from markrules.lamps.waves import cosines, of_cosines, sines

FLATTENED = 0.6
"""Standard deviation of the blur each photo is divided by, in heights of a letter."""

SLOW = 0.55
"""Waves of the height slower than this (standard deviation, in heights of a letter) go."""

UPPER = 0.75
"""The quantile of spreads at which relief and grain are compared."""

GLARE = 0.9
"""Departures from the blur beyond this are glare or deep shadow, and are cut there."""


@dataclass(frozen=True, slots=True)
class Solved:
    """The planes of a mark: its height (in no unit), what every lamp shows alike, and the slopes.

    `height` is higher where the surface stands higher, as far as the lamps stood where they are
    said to have stood.
    """

    height: Plane
    common: Plane
    across: Plane
    down: Plane


def flattened(light: Plane, letter: float) -> Plane:
    """A photo divided by its own blur, less 1: what a lamp's fall-off and glow leave behind."""
    slow = blurred(light, FLATTENED * letter)
    return np.clip(light / np.maximum(slow, 1e-4) - 1.0, -GLARE, GLARE).astype(np.float32)


def direction(hour: float) -> tuple[float, float]:
    """Where a lamp stands at an hour of the clock face: right and down, from the middle."""
    angle = radians(hour * 30.0)
    return sin(angle), -cos(angle)


def slopes(flat: Sequence[Plane], hours: Sequence[float]) -> tuple[Plane, Plane, Plane]:
    """Least squares for each pixel: the common term, and the slopes across and down.

    A surface that falls towards a lamp faces it and is brighter. With L the matrix of rows
    (1, −right, −down), the planes are the pseudo-inverse of L times the photos.
    """
    rows = [(1.0, -right, -down) for right, down in map(direction, hours)]
    inverse = np.linalg.pinv(np.asarray(rows)).astype(np.float32)
    common, across, down = np.tensordot(inverse, np.stack(flat), axes=1)
    return common, across, down


def lamps_apart(hours: Sequence[float]) -> bool:
    """Whether lamps at these hours tell slopes both ways from the common term."""
    rows = [(1.0, *direction(hour)) for hour in hours]
    values = np.linalg.svd(np.asarray(rows), compute_uv=False)
    return len(rows) >= 3 and bool(values[-1] > 0.25)


def integrated(across: Plane, down: Plane) -> Plane:
    """The height whose slopes come nearest to these, of mean 0.

    The planes are taken to go on in their mirror images, so that the projection on waves wraps
    round without a step: the height is then a sum of cosine waves, and a slope one of sine waves
    along its own way.
    """
    height, width = across.shape
    wave_x = (np.pi / width * np.arange(width)).astype(np.float32)
    wave_y = (np.pi / height * np.arange(height)).astype(np.float32)[:, None]
    power = wave_x**2 + wave_y**2
    # The mean has no slope, so both sides are 0 here, and 0 by 0 is no number.
    power[0, 0] = 1.0
    slope_x = cosines(sines(across).T).T
    slope_y = sines(cosines(down).T).T
    waves = -(wave_x * slope_x + wave_y * slope_y) / power
    waves[0, 0] = 0.0
    return np.ascontiguousarray(of_cosines(of_cosines(waves).T).T)


def solved(flat: Sequence[Plane], hours: Sequence[float], letter: float) -> Solved:
    """The planes of a mark, from flattened photos that lie over each other."""
    common, across, down = slopes(flat, hours)
    rough = integrated(across, down)
    return Solved(rough - blurred(rough, SLOW * letter), common, across, down)


def standing_out(height: Plane, letter: float, inner: tuple[int, int, int, int]) -> float:
    """How much the relief inside the box exceeds the grain round it: a ratio of spreads.

    Both are the upper quartile of the spreads over tiles half a letter wide, of what is as wide
    as a stroke: a mark does not fill its box, nor do blisters the surface. A bare surface gives
    about 1; 0 says that there is no margin to compare with.
    """
    band = blurred(height, letter / 20) - blurred(height, letter / 5)
    left, top, right, bottom = inner
    rim, edge = round(letter / 5), round(letter / 10)
    within = _tiles(band[top:bottom, left:right], letter, np.ones((bottom - top, right - left)))
    outside = np.zeros(band.shape)
    # Neither the rim, where the blur runs out of picture, nor the relief's own edge is grain.
    outside[rim:-rim, rim:-rim] = 1.0
    outside[max(0, top - edge) : bottom + edge, max(0, left - edge) : right + edge] = 0.0
    grain = _tiles(band, letter, outside)
    if not within or not grain:
        return 0.0
    usual = float(np.quantile(grain, UPPER))
    return float(np.quantile(within, UPPER)) / usual if usual > 0 else float("inf")


def _tiles(band: Plane, letter: float, counted: NDArray[np.float64]) -> list[float]:
    """The spread over each tile half a letter wide of which at least half is counted."""
    tile = max(4, round(letter / 2))
    found = []
    for y in range(0, band.shape[0], tile):
        for x in range(0, band.shape[1], tile):
            part = counted[y : y + tile, x : x + tile] > 0
            if part.sum() >= tile * tile // 2:
                found.append(float(band[y : y + tile, x : x + tile][part].std()))
    return found
