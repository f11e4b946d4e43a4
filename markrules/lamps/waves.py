"""Planes as sums of cosine and sine waves along their rows, which end with the plane.

The cosine transform of type II (N. Ahmed, T. Natarajan and K. R. Rao, Discrete Cosine Transform,
IEEE Transactions on Computers C-23, 1974) by one Fourier transform of the same length (J. Makhoul,
A fast cosine transform in one and two dimensions, IEEE Transactions on Acoustics, Speech, and
Signal Processing 28, 1980). It takes a plane to go on in its mirror image: to lay that beside it
would make what is transformed four times as large.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from markrules.lamps.planes import Plane


def cosines(plane: Plane) -> Plane:
    """For each k below the count N of columns: the sum of value · cos(π k (2 column + 1) / 2N)."""
    count = plane.shape[1]
    folded = np.concatenate([plane[:, ::2], plane[:, 1::2][:, ::-1]], axis=1)
    half = np.fft.rfft(folded, axis=1) * _turns(count, -1)
    return np.concatenate([half.real, -half.imag[:, (count - 1) // 2 : 0 : -1]], axis=1)


def sines(plane: Plane) -> Plane:
    """For each k below the count N of columns: the sum of value · sin(π k (2 column + 1) / 2N)."""
    turned = plane.copy()
    turned[:, 1::2] *= -1
    # Every second sign turned makes of each sine wave a cosine wave, counted from the other end.
    found = np.zeros_like(plane)
    found[:, 1:] = cosines(turned)[:, :0:-1]
    return found


def of_cosines(waves: Plane) -> Plane:
    """The plane that has these `cosines`."""
    count = waves.shape[1]
    half = count // 2 + 1
    mirrored = np.zeros_like(waves[:, :half])
    mirrored[:, 1:] = waves[:, : count - half : -1]
    folded = np.fft.irfft((waves[:, :half] - 1j * mirrored) * _turns(count, 1), count, axis=1)
    found = np.empty_like(waves)
    found[:, ::2] = folded[:, : (count + 1) // 2]
    found[:, 1::2] = folded[:, (count + 1) // 2 :][:, ::-1]
    return found


def _turns(count: int, sign: int) -> NDArray[np.complex64]:
    """By how much each wave is turned: half a column, of which its mirror image begins before."""
    angles = sign * 0.5 * np.pi / count * np.arange(count // 2 + 1)
    turns: NDArray[np.complex64] = np.exp(1j * angles).astype(np.complex64)
    return turns
