"""Planes of numbers: blur, warp and correlation, with edges mirrored."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from PIL import Image

Plane = NDArray[np.float32]
"""One number for each pixel: rows from the top, columns from the left."""

Affine = tuple[float, float, float, float, float, float]
"""Where a pixel (x, y) of the result is fetched: (a x + b y + c, d x + e y + f), in pixels."""

STILL: Affine = (1.0, 0.0, 0.0, 0.0, 1.0, 0.0)


def blurred(plane: Plane, sigma: float) -> Plane:
    """The plane under a Gaussian of standard deviation `sigma` pixels; edges are mirrored."""
    if sigma <= 0:
        return plane
    reach = max(1, int(3.5 * sigma + 0.5))
    steps = np.arange(-reach, reach + 1)
    weights = np.exp(-0.5 * (steps / sigma) ** 2)
    weights /= weights.sum()
    return _swept(_swept(plane, weights, 0), weights, 1)


def _swept(plane: Plane, weights: NDArray[np.float64], axis: int) -> Plane:
    """Convolved along one axis, by the Fourier transform: kernels here are long."""
    reach = len(weights) // 2
    count = plane.shape[axis]
    at = _mirrored(count, reach)
    padded = np.take(plane, at, axis=axis)
    # The transform wraps round: what it spoils are places of the padding, which are cut off.
    length = _even_going(padded.shape[axis])
    kernel = np.fft.rfft(weights, length)
    shape = [1, 1]
    shape[axis] = kernel.shape[0]
    spectrum = np.fft.rfft(padded, length, axis=axis) * kernel.reshape(shape)
    full = np.fft.irfft(spectrum, length, axis=axis)
    return np.take(full, range(2 * reach, 2 * reach + count), axis=axis).astype(np.float32)


def _even_going(least: int) -> int:
    """The next length from `least` on that has no prime factor above 5: such transform fast."""
    length = least
    while 30 ** length.bit_length() % length:
        length += 1
    return length


def _mirrored(count: int, reach: int) -> NDArray[np.intp]:
    """Positions −reach … count + reach − 1, folded back into 0 … count − 1 at each edge."""
    period = 2 * count
    at = np.arange(-reach, count + reach) % period
    return np.where(at < count, at, period - 1 - at)


def warped(plane: Plane, by: Affine) -> Plane:
    """The plane fetched where `by` says, between pixels by cubic interpolation; 0 outside."""
    if by == STILL:
        return plane
    picture = Image.fromarray(plane)
    moved = picture.transform(picture.size, Image.Transform.AFFINE, _centred(by), _CUBIC)
    return np.asarray(moved, dtype=np.float32)


_CUBIC = Image.Resampling.BICUBIC


def _centred(by: Affine) -> Affine:
    """Pillow counts from the corner of a pixel, not from its middle."""
    a, b, c, d, e, f = by
    return a, b, c + 0.5 - 0.5 * (a + b), d, e, f + 0.5 - 0.5 * (d + e)


def agreement(one: Plane, other: Plane, where: NDArray[np.bool_] | None = None) -> float:
    """Pearson's correlation of two planes, over the pixels of `where`; 0 for a flat one."""
    first = one[where] if where is not None else one.ravel()
    second = other[where] if where is not None else other.ravel()
    if first.size < 2:
        return 0.0
    a, b = first - first.mean(), second - second.mean()
    spread = float(np.sqrt((a * a).sum() * (b * b).sum()))
    return float((a * b).sum()) / spread if spread > 0 else 0.0


def picture(plane: Plane, low: float, high: float) -> Image.Image:
    """The plane as greys, black at `low` and white at `high`."""
    scaled: Any = np.clip((plane - low) / max(high - low, 1e-9), 0.0, 1.0) * 255.0 + 0.5
    return Image.fromarray(scaled.astype(np.uint8))
