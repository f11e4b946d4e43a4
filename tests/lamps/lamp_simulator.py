"""Photos of a simulated mark: the tests' own world, which shares no code with the solver.

A height field (letters struck in or cast up, worn, on a surface of some kind) is lit by a near
lamp at an hour of the clock, with diffuse light, gloss, dirt, a phone that moved a little, and
noise. Filters are scipy's; the solver has its own.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from functools import cache

import numpy as np
from PIL import Image, ImageDraw, ImageFont
from scipy import ndimage

SURFACES = ("satin", "brushed", "pebbled", "blistered", "mirror")


@dataclass(frozen=True)
class Scene:
    """What is photographed. Lengths are shares of a letter's height, which is `letter` pixels."""

    text: str = "KELDA"
    surface: str = "satin"
    depth: float = 0.03
    wear: float = 0.0
    cast: bool = False
    letter: int = 80
    dirt: float = 0.0
    moves: float = 0.03
    seed: int = 1
    hours: tuple[float, ...] = (12, 3, 6, 9)


def letters(scene: Scene) -> np.ndarray:
    """1 on the strokes and 0 elsewhere, with a letter and a half of room all round."""
    size = scene.letter / 0.72
    font = ImageFont.load_default(size)
    left, top, right, bottom = font.getbbox(scene.text)
    room = round(1.5 * scene.letter)
    canvas = Image.new("L", (round(right - left) + 2 * room, round(bottom - top) + 2 * room))
    ImageDraw.Draw(canvas).text((room - left, room - top), scene.text, fill=255, font=font)
    return np.asarray(canvas, dtype=float) / 255


def box_of(strokes: np.ndarray, letter: int) -> tuple[int, int, int, int]:
    """Left, top, width, height of a box as a person drags it: with a little room."""
    rows, columns = np.nonzero(strokes > 0.5)
    room = round(0.18 * letter)
    left, top = columns.min() - room, rows.min() - room
    return left, top, columns.max() + room - left, rows.max() + room - top


def surface_of(scene: Scene, shape: tuple[int, int], chance: np.random.Generator) -> np.ndarray:
    """The height of the surface itself, in pixels."""
    noise = chance.standard_normal(shape)
    unit = scene.letter
    if scene.surface == "brushed":
        fine = ndimage.gaussian_filter(noise, (0.8, unit / 2))
        return fine / fine.std() * 0.0025 * unit
    if scene.surface == "pebbled":
        blobs = ndimage.gaussian_filter(noise, unit / 14)
        return blobs / blobs.std() * 0.02 * unit
    if scene.surface == "blistered":
        blobs = ndimage.gaussian_filter(noise, unit / 6)
        blobs = np.maximum(blobs / blobs.std() - 1.2, 0)
        return blobs * 0.06 * unit
    fine = ndimage.gaussian_filter(noise, 1.2)
    return fine / fine.std() * (0.0005 if scene.surface == "mirror" else 0.002) * unit


def photos(scene: Scene) -> tuple[list[bytes], tuple[int, int, int, int], np.ndarray]:
    """JPEG photos, the box round the mark on the first, and the true height of the strokes.

    A scene is photographed once for all who ask for it.
    """
    shots, box, truth = _taken(scene)
    return list(shots), box, truth.copy()


@cache
def _taken(scene: Scene) -> tuple[tuple[bytes, ...], tuple[int, int, int, int], np.ndarray]:
    chance = np.random.default_rng(scene.seed)
    strokes = letters(scene)
    shape = strokes.shape
    soft = ndimage.gaussian_filter(strokes, scene.letter * (0.035 if scene.cast else 0.015))
    worn = soft * (1 - scene.wear)
    if scene.wear:
        patches = ndimage.gaussian_filter(chance.standard_normal(shape), scene.letter / 3)
        worn = worn * (patches / patches.std() > -1.8 + 1.5 * scene.wear)
    relief = worn * scene.depth * scene.letter * (1 if scene.cast else -1)
    height = surface_of(scene, shape, chance) + relief
    dirt = 1 - scene.dirt * ndimage.gaussian_filter(strokes, 1.0)
    patina = ndimage.gaussian_filter(chance.standard_normal(shape), scene.letter / 5)
    albedo = 0.5 * (1 + 0.06 * patina / patina.std()) * dirt
    shots = []
    for number, hour in enumerate(scene.hours):
        still = number == 0
        shots.append(_shot(scene, height, albedo, hour, still, chance))
    return tuple(shots), box_of(strokes, scene.letter), soft * (1 if scene.cast else -1)


def _shot(scene, height, albedo, hour, still, chance) -> bytes:
    if not still:
        height, albedo = _moved((height, albedo), scene, chance)
    down, across = np.gradient(height)
    angle = np.radians(hour * 30)
    rows, columns = height.shape
    ys, xs = np.mgrid[0:rows, 0:columns]
    far = 6 * scene.letter
    lamp_x = columns / 2 + np.sin(angle) * far - xs
    lamp_y = rows / 2 - np.cos(angle) * far - ys
    lamp_z = far * np.tan(np.radians(22))
    distance = np.sqrt(lamp_x**2 + lamp_y**2 + lamp_z**2)
    normal = np.sqrt(across**2 + down**2 + 1)
    facing = (-across * lamp_x - down * lamp_y + lamp_z) / (normal * distance)
    half_x, half_y, half_z = lamp_x / distance, lamp_y / distance, lamp_z / distance + 1
    length = np.sqrt(half_x**2 + half_y**2 + half_z**2)
    gloss = np.maximum((-across * half_x - down * half_y + half_z) / (normal * length), 0)
    power, share = {"mirror": (220, 0.9), "satin": (25, 0.35)}.get(scene.surface, (40, 0.4))
    light = (1 - share) * albedo * np.maximum(facing, 0) + share * 0.6 * gloss**power
    light = light * (far / distance) ** 2 + 0.04 * albedo
    light = light / np.percentile(light, 99) * 0.8
    light = ndimage.gaussian_filter(light, 0.7)
    light = light + chance.standard_normal(light.shape) * np.sqrt(np.maximum(light, 0) * 4e-4)
    code = np.clip(light, 0, 1)
    code = np.where(code <= 0.0031308, 12.92 * code, 1.055 * code ** (1 / 2.4) - 0.055)
    out = io.BytesIO()
    Image.fromarray((code * 255 + 0.5).astype(np.uint8)).convert("RGB").save(
        out, "JPEG", quality=92
    )
    return out.getvalue()


def _moved(planes, scene, chance):
    angle = np.radians(chance.normal() * 0.6)
    shift = chance.normal(size=2) * scene.moves * scene.letter
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    turn = turn * (1 + chance.normal() * 0.004)
    middle = np.array(planes[0].shape) / 2
    offset = middle - turn @ middle + shift
    return tuple(
        ndimage.affine_transform(each, turn, offset, order=3, mode="reflect") for each in planes
    )
