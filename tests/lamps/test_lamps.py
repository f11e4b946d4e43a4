"""Marks under several lamps, on photos from a simulator that shares no code with the solver."""

from __future__ import annotations

import io
import itertools
import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from lamp_simulator import Scene, photos
from PIL import Image
from samples import some_of
from scipy import ndimage

from markrules.cli.lamps import told
from markrules.lamps.frames import LampProblem, MarkFrame
from markrules.lamps.planes import blurred
from markrules.lamps.relief import Relief, Shot, height_png, relief
from markrules.lamps.solving import integrated

pytestmark = pytest.mark.slow


@cache
def found(scene: Scene) -> tuple[Relief, float]:
    """The relief of a scene, and the correlation of its height with the truth."""
    shots, box, truth = photos(scene)
    given = [
        Shot(data, f"{hour:g}.jpg", hour) for data, hour in zip(shots, scene.hours, strict=True)
    ]
    mark = MarkFrame(*(int(each) for each in box))
    result = relief(given, mark)
    true = _alike(truth, mark, result)
    return result, float(np.corrcoef(result.height.ravel(), true.ravel())[0, 1])


def _alike(truth: np.ndarray, mark: MarkFrame, result: Relief) -> np.ndarray:
    """The truth where the result is, as small, with slow waves taken off by another's filter."""
    room = round(result.letter / 4) * mark.letter() / result.letter
    window = (mark.left - room, mark.top - room)
    rows, columns = result.height.shape
    by = mark.letter() / result.letter
    corner = window[0] + columns * by, window[1] + rows * by
    whole = Image.fromarray(truth.astype(np.float32))
    small = np.asarray(whole.resize((columns, rows), Image.Resampling.BOX, box=(*window, *corner)))
    return small - ndimage.gaussian_filter(small, 0.55 * result.letter, mode="nearest")


@pytest.mark.parametrize(
    ("surface", "cast"),
    some_of(itertools.product(["satin", "brushed", "mirror"], [False, True]), least=2),
)
def test_the_height_of_a_mark_is_found(surface: str, cast: bool) -> None:
    result, agrees = found(Scene(surface=surface, depth=0.02, cast=cast))

    assert agrees > 0.8
    assert result.readable
    assert result.again == ()


def test_blisters_do_not_hide_a_mark() -> None:
    result, agrees = found(Scene(surface="blistered", depth=0.05, seed=2))

    assert agrees > 0.6
    assert result.readable


@pytest.mark.parametrize("surface", some_of(["satin", "brushed", "mirror", "pebbled"], least=2))
def test_nothing_is_readable_on_a_bare_surface(surface: str) -> None:
    result, agrees = found(Scene(surface=surface, depth=0.0, seed=2))

    assert abs(agrees) < 0.2
    assert not result.readable


def test_a_mark_lost_in_pebbles_is_not_called_readable() -> None:
    result, _ = found(Scene(surface="pebbled", depth=0.005, seed=2))

    assert not result.readable


@pytest.mark.parametrize(
    "hours", some_of([(12, 4, 8), (12, 3, 6, 9), (12, 1.5, 3, 4.5, 6, 7.5, 9, 10.5)], least=2)
)
def test_three_photos_suffice_and_eight_are_welcome(hours: tuple[float, ...]) -> None:
    _, agrees = found(Scene(depth=0.03, hours=hours))

    assert agrees > 0.8


def test_a_phone_that_moved_a_little_is_put_right() -> None:
    still, _ = found(Scene(depth=0.03, moves=0.0))
    moved, agrees = found(Scene(depth=0.03, moves=0.06, seed=4))

    assert agrees > 0.8
    assert min(moved.agreements) > min(still.agreements) - 0.1


def test_a_photo_of_another_place_is_asked_for_again_and_left_out() -> None:
    scene = Scene(depth=0.03)
    shots, box, _ = photos(scene)
    other, _, _ = photos(Scene(text="OTHER", depth=0.03, seed=9))
    size = Image.open(io.BytesIO(shots[0])).size
    stray = io.BytesIO()
    Image.open(io.BytesIO(other[2])).resize(size).save(stray, "JPEG")
    shots[2] = stray.getvalue()

    result = relief(
        [Shot(data, str(hour), hour) for data, hour in zip(shots, scene.hours, strict=True)],
        MarkFrame(*(int(each) for each in box)),
    )

    assert result.again == (2,)
    assert result.left_out == (2,)


@pytest.mark.parametrize(
    ("hours", "surface"),
    some_of(itertools.product([(12, 4, 8), (12, 3, 6), (12, 3, 9)], ["satin", "brushed"]), least=2),
)
def test_three_photos_that_lie_right_are_not_asked_for_again(
    hours: tuple[float, ...], surface: str
) -> None:
    result, _ = found(Scene("QUVOX", surface, 0.03, hours=hours, seed=1))

    assert result.again == ()


@pytest.mark.parametrize("wrong", some_of(["another place", "moved away", "another lamp"], least=2))
def test_of_three_photos_all_are_asked_for_again_where_one_lies_wrong(wrong: str) -> None:
    scene = Scene("QUVOX", "satin", 0.03, hours=(12, 3, 6), seed=8)
    shots, box, hours = with_a_wrong_one(scene, wrong, at=1)

    result = relief(
        [Shot(data, str(hour), hour) for data, hour in zip(shots, hours, strict=True)], box
    )

    assert result.again == (0, 1, 2)
    assert result.left_out == ()
    assert "not which" in "\n".join(told(result, ["a", "b", "c"]))


@pytest.mark.parametrize(
    ("depth", "cast", "seed"),
    some_of([(0.03, False, 4), (0.075, False, 5), (0.075, True, 3)], least=2),
)
def test_deep_marks_on_mirror_bright_metal_are_not_asked_for_again(
    depth: float, cast: bool, seed: int
) -> None:
    result, agrees = found(Scene("QUVOX", "mirror", depth, cast=cast, seed=seed))

    assert result.glaring
    assert result.again == ()
    assert result.readable
    assert agrees > 0.6


@pytest.mark.parametrize(
    ("surface", "depth"),
    some_of(itertools.product(["satin", "brushed", "pebbled"], [0.003, 0.03, 0.075]), least=2),
)
def test_other_metal_does_not_glare(surface: str, depth: float) -> None:
    result, _ = found(Scene("QUVOX", surface, depth, seed=7))

    assert not result.glaring


def with_a_wrong_one(
    scene: Scene, wrong: str, at: int
) -> tuple[list[bytes], MarkFrame, list[float]]:
    """The photos of a scene, of which one shows another place, moved away, or had another lamp."""
    shots, box, _ = photos(scene)
    hours = list(scene.hours)
    stray = Image.open(io.BytesIO(shots[at]))
    if wrong == "another place":
        other, _, _ = photos(replace(scene, text="OTHER", seed=scene.seed + 1))
        stray = Image.open(io.BytesIO(other[at])).resize(stray.size)
    elif wrong == "moved away":
        stray = stray.transform(stray.size, Image.Transform.AFFINE, (1, 0, 70, 0, 1, 30))
    else:
        hours[1], hours[2] = hours[2], hours[1]
    kept = io.BytesIO()
    stray.save(kept, "JPEG")
    shots[at] = kept.getvalue()
    return shots, MarkFrame(*(int(each) for each in box)), hours


@pytest.mark.parametrize("wrong", some_of(["another place", "moved away", "another lamp"], least=2))
def test_a_wrong_photo_of_glaring_metal_is_asked_for_again(wrong: str) -> None:
    scene = Scene("QUVOX", "mirror", 0.075, seed=8)
    shots, box, hours = with_a_wrong_one(scene, wrong, at=2)

    result = relief(
        [Shot(data, str(hour), hour) for data, hour in zip(shots, hours, strict=True)], box
    )

    assert result.glaring
    assert result.again


def test_dirt_in_a_mark_shows_in_what_is_alike_under_all_lamps() -> None:
    scene = Scene(depth=0.001, dirt=0.5)
    shots, box, truth = photos(scene)
    mark = MarkFrame(*(int(each) for each in box))

    result = relief(
        [Shot(data, "x", hour) for data, hour in zip(shots, scene.hours, strict=True)], mark
    )

    true = _alike(-truth, mark, result)
    assert np.corrcoef(result.common.ravel(), -true.ravel())[0, 1] > 0.8


def test_the_swap_turns_light_to_dark() -> None:
    result, _ = found(Scene(depth=0.03))

    light = np.asarray(Image.open(io.BytesIO(height_png(result))), dtype=int)
    dark = np.asarray(Image.open(io.BytesIO(height_png(result, dark_is_high=True))), dtype=int)

    assert np.abs(light + dark - 255).max() <= 2


def test_the_blur_is_that_of_an_independent_library() -> None:
    plane = np.random.default_rng(3).standard_normal((40, 57)).astype(np.float32)

    ours, theirs = blurred(plane, 3.0), ndimage.gaussian_filter(plane, 3.0, truncate=3.5)

    assert np.abs(ours - theirs).max() < 1e-4


def test_slopes_of_a_smooth_height_join_to_that_height() -> None:
    ys, xs = np.mgrid[0:60, 0:90]
    height = np.cos(np.pi * (xs + 0.5) / 30) * np.cos(np.pi * (ys + 0.5) / 20)
    down = -np.pi / 20 * np.cos(np.pi * (xs + 0.5) / 30) * np.sin(np.pi * (ys + 0.5) / 20)
    across = -np.pi / 30 * np.sin(np.pi * (xs + 0.5) / 30) * np.cos(np.pi * (ys + 0.5) / 20)

    joined = integrated(across.astype(np.float32), down.astype(np.float32))

    assert np.abs(joined - height).max() < 0.01


def _shots(hours: tuple[float, ...]) -> list[Shot]:
    shots, _, _ = photos(Scene(depth=0.03, letter=40))
    return [Shot(shots[0], "one.jpg", hour) for hour in hours]


@pytest.mark.parametrize(
    ("hours", "box", "says"),
    [
        ((12, 3), MarkFrame(60, 60, 100, 40), "three at least"),
        ((12, 12.1, 12), MarkFrame(60, 60, 100, 40), "from 1 to 12"),
        ((12, 12, 12), MarkFrame(60, 60, 100, 40), "too near each other"),
        ((12, 6, 12, 6), MarkFrame(60, 60, 100, 40), "too near each other"),
        ((12, 4, 8), MarkFrame(60, 60, 9000, 40), "outside the first photo"),
        ((12, 4, 8), MarkFrame(60, 60, 5, 3), "too small"),
    ],
)
def test_what_cannot_serve_is_refused(hours: tuple[float, ...], box: MarkFrame, says: str) -> None:
    with pytest.raises(LampProblem, match=says):
        relief(_shots(hours), box)


@pytest.mark.parametrize("data", [b"", b"no photo", b"\xff\xd8\xff\xe0broken"])
def test_a_file_that_is_no_photo_is_refused_by_name(data: bytes) -> None:
    shots = [*_shots((12, 4)), Shot(data, "bad.jpg", 8)]

    with pytest.raises(LampProblem, match=r"bad\.jpg"):
        relief(shots, MarkFrame(60, 60, 100, 40))


def test_a_photo_of_another_shape_is_refused() -> None:
    other = io.BytesIO()
    Image.new("RGB", (500, 100)).save(other, "PNG")
    shots = [*_shots((12, 4)), Shot(other.getvalue(), "wide.png", 8)]

    with pytest.raises(LampProblem, match=r"wide\.png: this photo has another shape"):
        relief(shots, MarkFrame(60, 60, 100, 40))


def test_the_command_writes_pictures_and_says_how_well_photos_agree(tmp_path: Path) -> None:
    from click.testing import CliRunner

    from markrules.cli.commands import cli

    shots, box, _ = photos(Scene(depth=0.03))
    files = []
    for hour, data in zip((12, 3, 6, 9), shots, strict=True):
        file = tmp_path / f"{hour}.jpg"
        file.write_bytes(data)
        files.append(str(file))
    where = ",".join(str(int(each)) for each in box)
    folder = tmp_path / "out"
    given = ["lamps", *files, "--mark", where, "--to", str(folder)]

    said = CliRunner().invoke(cli, given)
    again = CliRunner().invoke(cli, given)
    as_json = CliRunner().invoke(cli, [*given[:-1], str(tmp_path / "two"), "--json"])

    assert said.exit_code == 0, said.output
    assert "times the grain" in said.output
    assert max(map(len, said.output.splitlines()[:-1])) <= 80
    assert {each.name for each in folder.iterdir()} == {
        *(f"lamp-{at}.png" for at in (1, 2, 3, 4)),
        "high-is-light.png",
        "high-is-dark.png",
        "alike-under-all.png",
        "look.html",
    }
    assert again.exit_code == 3
    assert "something already" in again.output
    data = json.loads(as_json.stdout)
    assert data["readable"] is True
    assert len(data["photos"]) == 4
