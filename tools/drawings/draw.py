"""Turn the `.draw` files beside this module into the SVG drawings of `markrules/telling/drawings`.

    python tools/drawings/draw.py            # needs shapely >= 2; writes the drawings and index.json

Drawings are made of plain shapes on a field of 240 by 160 units, each laid over those before it:
what lies behind a shape is cut away, so that the file holds no paint but `currentColor` and looks
right on any ground. What a drawing shows and its words stand in the `.draw` files, not here.

A line that starts at the margin begins a drawing (`drawing FEATURE/VALUE FILE`, then indented
`title ...` and, where the same picture serves another value, `also FEATURE/VALUE`) or a part for use in several (`part NAME`). Every other line is one shape:

    ROLE TONE SHAPE NUMBERS ... [@ MOVE ...]

Roles: line, detail, accent (the telling part), motion, and fill (no outline). Tones: none (does
not hide what is behind), clear (hides it), light, mid, dark, solid. Shapes (x right, y down,
degrees clockwise from the right):

    poly x y ...      path x y ...      closed or open straight lines
    blob x y ...      curve x y ...     closed or open smooth lines through the points
    circle x y r      oval x y rx ry    rect x y w h [r]      ring x y rx ry w
    arc x y rx ry from to               pie x y rx ry from to
    bar w x y ...     tube w x y ...    a straight or smooth strip of one width
    arrow x y ...     hatch angle gap x y ... (a blob)         dots n seed r x y ... (a blob)
    word x y height TEXT                even strokes, for numbers and letters in marks
    use PART          along step PART x y ...  (the part at every step of a smooth line)

Moves, done in order: `at x y`, `turn degrees`, `size f`, `wide fx fy`, `times n dx dy`,
`round n x y [part-of-360]`. Turning is about the origin of the part, before `at`.
"""

from __future__ import annotations

import json
import math
import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import linemerge, unary_union

HERE = Path(__file__).parent
OUT = HERE.parents[1] / "markrules" / "telling" / "drawings"
WIDTHS = {"detail": "1.5", "line": "2.5", "accent": "3.4", "motion": "2"}
TONES = {"light": ".09", "mid": ".2", "dark": ".42", "solid": ""}
FINE = 0.3  # how far, in units, a simplified line may leave the true one
# Strokes of letters and numbers on a grid 4 wide and 6 high, y down; `/` lifts the pen.
GLYPHS = {
    "0": "0 1 1 0 3 0 4 1 4 5 3 6 1 6 0 5 0 1", "1": "1 1 2 0 2 6", "8": (
        "1 0 3 0 4 1 4 2 3 3 1 3 0 4 0 5 1 6 3 6 4 5 4 4 3 3 / 1 3 0 2 0 1 1 0"),
    "2": "0 1 1 0 3 0 4 1 4 2 0 6 4 6", "3": "0 0 4 0 2 2 3 2 4 3 4 5 3 6 1 6 0 5",
    "4": "3 6 3 0 0 4 4 4", "5": "4 0 0 0 0 3 3 3 4 4 4 5 3 6 0 6",
    "6": "4 0 2 0 0 2 0 5 1 6 3 6 4 5 4 4 3 3 0 3", "7": "0 0 4 0 1 6",
    "9": "4 3 1 3 0 2 0 1 1 0 3 0 4 1 4 4 2 6 0 6", "A": "0 6 2 0 4 6 / .8 4 3.2 4",
    "B": "0 0 0 6 3 6 4 5 4 4 3 3 0 3 / 0 0 3 0 4 1 4 2 3 3", "C": "4 1 3 0 1 0 0 1 0 5 1 6 3 6 4 5",
    "E": "4 0 0 0 0 6 4 6 / 0 3 3 3", "F": "4 0 0 0 0 6 / 0 3 3 3", "I": "2 0 2 6",
    "K": "0 0 0 6 / 4 0 0 3 4 6", "L": "0 0 0 6 4 6", "M": "0 6 0 0 2 3 4 0 4 6",
    "N": "0 6 0 0 4 6 4 0", "O": "0 1 1 0 3 0 4 1 4 5 3 6 1 6 0 5 0 1", "G": (
        "4 1 3 0 1 0 0 1 0 5 1 6 3 6 4 5 4 3 2 3"), "J": "4 0 4 5 3 6 1 6 0 5",
    "R": "0 6 0 0 3 0 4 1 4 2 3 3 0 3 / 2 3 4 6", "S": "4 1 3 0 1 0 0 1 0 2 1 3 3 3 4 4 4 5 3 6 1 6 0 5",
    "T": "0 0 4 0 / 2 0 2 6", "V": "0 0 2 6 4 0", "H": "0 0 0 6 / 4 0 4 6 / 0 3 4 3",
    "P": "0 6 0 0 3 0 4 1 4 2 3 3 0 3", "W": "0 0 1 6 2 2 3 6 4 0", "-": "1 3 3 3", "D": (
        "0 0 0 6 2.5 6 4 4.5 4 1.5 2.5 0 0 0"),
}  # fmt: skip


class DrawingProblem(ValueError):
    """A line of a `.draw` file that cannot be drawn."""


@dataclass(frozen=True, slots=True)
class Shape:
    """One shape in its place, with the role of its outline and the tone inside it."""

    role: str
    tone: str
    form: BaseGeometry


def smooth(points: Sequence[tuple[float, float]], closed: bool) -> list[tuple[float, float]]:
    """Points on a centripetal-free Catmull-Rom spline through `points`."""
    if len(points) < 3:
        return list(points)
    last = len(points)
    found = []
    for i in range(last if closed else last - 1):
        a, b, c, d = (
            points[j % last] if closed else points[min(max(j, 0), last - 1)]
            for j in (i - 1, i, i + 1, i + 2)
        )
        for step in range(8):
            t = step / 8
            found.append(tuple(
                0.5 * (2 * q + (r - p) * t + (2 * p - 5 * q + 4 * r - s) * t * t
                       + (3 * q - p - 3 * r + s) * t**3)
                for p, q, r, s in zip(a, b, c, d, strict=True)
            ))  # fmt: skip
    found.append(points[0] if closed else points[-1])
    return found  # type: ignore[return-value]


def pairs(numbers: Sequence[float]) -> list[tuple[float, float]]:
    if len(numbers) % 2:
        raise DrawingProblem("a point lacks its second number")
    return list(zip(numbers[::2], numbers[1::2], strict=True))


def oval(x: float, y: float, rx: float, ry: float, start: float = 0, end: float = 360) -> list[tuple[float, float]]:  # fmt: skip
    steps = max(4, round(abs(end - start) / 7.5))  # 48 in a whole turn
    angles = [math.radians(start + (end - start) * i / steps) for i in range(steps + 1)]
    return [(x + rx * math.cos(a), y + ry * math.sin(a)) for a in angles]


def rect(x: float, y: float, w: float, h: float, r: float = 0) -> BaseGeometry:
    if not r:
        return box(x, y, x + w, y + h)
    return box(x + r, y + r, x + w - r, y + h - r).buffer(r, quad_segs=6)


def letters(x: float, y: float, height: float, text: str) -> BaseGeometry:
    """Letters as strokes, the first one's top left corner at x, y."""
    unit = height / 6
    strokes = []
    for letter in text:
        for stroke in GLYPHS[letter].split("/"):
            points = pairs([float(each) for each in stroke.split()])
            strokes.append([(x + a * unit, y + b * unit) for a, b in points])
        x += 5.8 * unit
    return MultiLineString(strokes)


def form_of(shape: str, words: Sequence[str]) -> BaseGeometry:
    if shape == "word":
        return letters(*(float(each) for each in words[:3]), words[3])
    n = [float(each) for each in words]
    match shape:
        case "poly":
            return Polygon(pairs(n)).buffer(0)
        case "path":
            return LineString(pairs(n))
        case "blob":
            return Polygon(smooth(pairs(n), True)).buffer(0)
        case "curve":
            return LineString(smooth(pairs(n), False))
        case "circle":
            return Polygon(oval(n[0], n[1], n[2], n[2]))
        case "oval":
            return Polygon(oval(*n))
        case "rect":
            return rect(*n)
        case "ring":
            x, y, rx, ry, w = n
            return Polygon(oval(x, y, rx, ry), [oval(x, y, rx - w, ry - w)])
        case "arc":
            return LineString(oval(*n))
        case "pie":
            return Polygon([(n[0], n[1]), *oval(*n)]).buffer(0)
        case "bar":
            return LineString(pairs(n[1:])).buffer(n[0] / 2, quad_segs=4)
        case "tube":
            return LineString(smooth(pairs(n[1:]), False)).buffer(n[0] / 2, quad_segs=4)
        case "hatch":
            return hatched(n[0], n[1], Polygon(smooth(pairs(n[2:]), True)).buffer(0))
        case "dots":
            inside = Polygon(smooth(pairs(n[3:]), True)).buffer(-n[2])
            return sprinkled(int(n[0]), int(n[1]), n[2], inside)
    raise DrawingProblem(f"no shape is called {shape}")


def hatched(angle: float, gap: float, inside: BaseGeometry) -> BaseGeometry:
    x, y = inside.centroid.coords[0]
    rows = [LineString([(x - 300, y + i * gap), (x + 300, y + i * gap)]) for i in range(-80, 81)]
    turned = [affinity.rotate(row, angle, origin=(x, y)) for row in rows]
    return unary_union(turned).intersection(inside)


def sprinkled(count: int, seed: int, r: float, inside: BaseGeometry) -> BaseGeometry:
    """Small discs strewn evenly at random; the same ones for the same seed."""
    dice = random.Random(seed)
    left, top, right, bottom = inside.bounds
    found: list[tuple[float, float]] = []
    for _ in range(4000):
        here = (dice.uniform(left, right), dice.uniform(top, bottom))
        apart = all(math.dist(here, other) > 3 * r for other in found)
        if len(found) < count and apart and inside.contains(Point(here)):
            found.append(here)
    return unary_union([Polygon(oval(x, y, r, r)) for x, y in found])


def moved(shapes: list[Shape], moves: Sequence[str]) -> list[Shape]:
    """The shapes after the moves, which are read from the left."""
    rest = list(moves)
    while rest:
        word = rest.pop(0)
        n = []
        while rest and rest[0].lstrip("-").replace(".", "", 1).isdigit():
            n.append(float(rest.pop(0)))
        match word:
            case "at":
                shapes = each(shapes, lambda f, n=n: affinity.translate(f, *n))
            case "turn":
                shapes = each(shapes, lambda f, n=n: affinity.rotate(f, n[0], origin=(0, 0)))
            case "size":
                shapes = each(shapes, lambda f, n=n: affinity.scale(f, n[0], n[0], origin=(0, 0)))
            case "wide":
                shapes = each(shapes, lambda f, n=n: affinity.scale(f, n[0], n[1], origin=(0, 0)))
            case "times":
                shapes = [
                    Shape(s.role, s.tone, affinity.translate(s.form, i * n[1], i * n[2]))
                    for i in range(int(n[0]))
                    for s in shapes
                ]
            case "round":
                turn = (n[3] if len(n) > 3 else 360) / n[0]
                shapes = [
                    Shape(s.role, s.tone, affinity.rotate(s.form, i * turn, origin=(n[1], n[2])))
                    for i in range(int(n[0]))
                    for s in shapes
                ]
            case _:
                raise DrawingProblem(f"no move is called {word}")
    return shapes


def each(shapes: list[Shape], move) -> list[Shape]:  # type: ignore[no-untyped-def]
    return [Shape(s.role, s.tone, move(s.form)) for s in shapes]


def shapes_of(line: str, parts: dict[str, list[Shape]]) -> list[Shape]:
    """The shapes that one line of a drawing means."""
    said, _, moves = line.partition("@")
    words = said.split()
    if words[0] == "use":
        return moved(list(parts[words[1]]), moves.split())
    if words[0] == "along":
        step, name = float(words[1]), words[2]
        way = LineString(smooth(pairs([float(w) for w in words[3:]]), False))
        return moved(
            [s for at in places(way, step) for s in set_on(parts[name], way, at)], moves.split()
        )
    if words[0] == "arrow":
        return moved(arrow([float(w) for w in words[1:]]), moves.split())
    role, tone, shape, *rest = words
    if role not in {*WIDTHS, "fill"} or tone not in {*TONES, "none", "clear"}:
        raise DrawingProblem(f"no role or tone is called {role} {tone}")
    return moved([Shape(role, tone, form_of(shape, rest))], moves.split())


def places(way: LineString, step: float) -> list[float]:
    count = max(1, round(way.length / step))
    return [way.length * (i + 0.5) / count for i in range(count)]


def set_on(part: list[Shape], way: LineString, at: float) -> list[Shape]:
    here, before, after = (way.interpolate(at + d) for d in (0, -0.5, 0.5))
    turn = math.degrees(math.atan2(after.y - before.y, after.x - before.x))
    return moved(list(part), ["turn", f"{turn:.2f}", "at", f"{here.x:.2f}", f"{here.y:.2f}"])


def arrow(n: Sequence[float]) -> list[Shape]:
    """A smooth line through the points with a solid head at its last one."""
    points = smooth(pairs(n), False)
    (x, y), (a, b) = points[-1], points[-2]
    turn = math.atan2(y - b, x - a)
    head = [
        (x + r * math.cos(turn + t), y + r * math.sin(turn + t))
        for r, t in ((0, 0), (8, 2.7), (8, -2.7))
    ]
    back = LineString(points)
    shaft = back.difference(Point(x, y).buffer(5))
    return [Shape("motion", "none", shaft), Shape("fill", "solid", Polygon(head))]


def svg(title: str, shapes: Sequence[Shape]) -> str:
    """The drawing as one SVG element; what lies behind a later shape is cut away."""
    fills: dict[str, list[BaseGeometry]] = {tone: [] for tone in TONES}
    lines: dict[str, list[BaseGeometry]] = {role: [] for role in WIDTHS}
    cover: BaseGeometry = Polygon()  # hides lines
    paper: BaseGeometry = Polygon()  # hides tones; solid ones are painted last and need no hole
    frame = box(-3, -3, 243, 163)
    for shape in reversed(shapes):
        form, area = (
            shape.form.intersection(frame),
            shape.form.geom_type in {"Polygon", "MultiPolygon"},
        )
        if area and shape.tone in fills:
            fills[shape.tone].append(form.difference(cover if shape.tone == "solid" else paper))
        if shape.role in lines:
            edge = shape.form.boundary if area else shape.form
            lines[shape.role].append(edge.intersection(frame).difference(cover.buffer(-0.1)))
        if area and shape.tone != "none":
            cover = cover.union(form)
            if shape.tone != "solid":
                paper = paper.union(form)
    body = [
        f'<path class="tone-{tone}" fill="currentColor"'
        + (f' fill-opacity="{opacity}"' if (opacity := TONES[tone]) else "")
        + f' fill-rule="evenodd" stroke="none" d="{d}"/>'
        for tone in TONES
        if (d := areas(unary_union(fills[tone])))
    ]
    body += [
        f'<path class="{role}" stroke-width="{WIDTHS[role]}" d="{d}"/>'
        for role in WIDTHS
        if (d := strokes(lines[role]))
    ]
    head = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 240 160" role="img" class="drawing"'
        ' fill="none" stroke="currentColor" stroke-linecap="round" stroke-linejoin="round">'
    )
    return "\n".join([head, f"<title>{title}</title>", *body, "</svg>", ""])


def simple(form: BaseGeometry) -> Iterator[BaseGeometry]:
    parts = getattr(form, "geoms", None)
    if parts is None:
        yield form
    else:
        for part in parts:
            yield from simple(part)


def areas(form: BaseGeometry) -> str:
    found = []
    for part in simple(form):
        if part.geom_type == "Polygon" and part.area > 0.6:
            for ring in (part.exterior, *part.interiors):
                slim = list(ring.simplify(FINE).coords)[:-1]
                found.append(as_disc(list(ring.coords)[:-1]) or written(slim, True))
    return "".join(found)


def strokes(forms: Sequence[BaseGeometry]) -> str:
    found = []
    for form in forms:
        single = [part for part in simple(form) if part.geom_type in {"LineString", "LinearRing"}]
        if not single:
            continue
        merged = (
            linemerge([LineString(part.coords) for part in single])
            if len(single) > 1
            else single[0]
        )
        for part in simple(merged):
            if part.length < 0.8:
                continue
            coords = list(part.simplify(FINE).coords)
            closed = coords[0] == coords[-1]
            disc = as_disc(list(part.coords)[:-1]) if closed else None
            found.append(disc or written(coords[:-1] if closed else coords, closed))
    return "".join(found)


def written(points: Sequence[tuple[float, float]], closed: bool) -> str:
    """Points as one M and relative steps, to a tenth of a unit, without drift."""
    x, y = (round(each, 1) for each in points[0])
    steps = []
    for point in points[1:]:
        a, b = (round(each, 1) for each in point)
        if (a, b) != (x, y):
            steps.append(f"{short(a - x)} {short(b - y)}")
        x, y = a, b
    start = " ".join(short(round(each, 1)) for each in points[0])
    return f"M{start}" + (f"l{' '.join(steps)}" if steps else "") + ("z" if closed else "")


def as_disc(points: Sequence[Sequence[float]]) -> str | None:
    """Two half arcs where the points, taken before any were left out, are those of a circle."""
    xs, ys = [point[0] for point in points], [point[1] for point in points]
    x, y, r = (min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2, (max(xs) - min(xs)) / 2
    if len(points) < 24 or any(abs(math.dist(point, (x, y)) - r) > 0.06 for point in points):
        return None
    size, across = short(round(r, 1)), short(round(2 * r, 1))
    arc = f"a{size} {size} 0 1 0 "
    return f"M{short(round(x - r, 1))} {short(round(y, 1))}{arc}{across} 0{arc}-{across} 0z"


def short(number: float) -> str:
    text = f"{number:.1f}".removesuffix(".0")
    text = "0" if text == "-0" else text
    return text.replace("0.", ".", 1) if text.startswith(("0.", "-0.")) else text


@dataclass(slots=True)
class Drawn:
    """One drawing as its source tells it."""

    key: str
    file: str
    title: str
    shapes: list[Shape]
    also: list[str]


def read(paths: Sequence[Path]) -> list[Drawn]:
    """Every drawing of the files, in their order; a problem names its file and line."""
    parts: dict[str, list[Shape]] = {}
    found: list[Drawn] = []
    into: list[Shape] = []
    for path in paths:
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
            text = line.split("#")[0].rstrip()
            try:
                if not text:
                    continue
                if text.startswith("part "):
                    into = parts[text.split()[1]] = []
                elif text.startswith("drawing "):
                    _, key, file = text.split()
                    found.append(Drawn(key, f"{file}.svg", "", [], []))
                    into = found[-1].shapes
                elif text.strip().startswith("title "):
                    found[-1].title = text.strip().removeprefix("title ")
                elif text.strip().startswith("also "):
                    found[-1].also.append(text.split()[1])
                else:
                    into.extend(shapes_of(text.strip(), parts))
            except (ValueError, KeyError, IndexError, TypeError) as problem:
                raise SystemExit(f"{path}:{number}: {line.strip()}: {problem}") from problem
    return found


def main() -> None:
    """Write every drawing, and the index with those that have no `.draw` source kept."""
    index = json.loads((OUT / "index.json").read_text(encoding="utf-8"))
    for each_drawing in read(sorted(HERE.glob("*.draw"))):
        text = svg(each_drawing.title, each_drawing.shapes)
        (OUT / each_drawing.file).write_text(text, encoding="utf-8")
        for key in (each_drawing.key, *each_drawing.also):
            index[key] = each_drawing.file
        if len(text) > 5800:
            print(f"{each_drawing.file}: {len(text)} bytes", file=sys.stderr)
    written_index = json.dumps(dict(sorted(index.items())), indent=2, ensure_ascii=False) + "\n"
    (OUT / "index.json").write_text(written_index, encoding="utf-8")


if __name__ == "__main__":
    main()
