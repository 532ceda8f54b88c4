"""Floors filled with strips by the generator's own arithmetic.

A floor is drawn with its strips along y from a straight wall at the bottom; its other walls make a
skyline. `Turn` then turns or mirrors it.
"""

import math
import random
from dataclasses import dataclass
from typing import Any

import shapely
from shapely import LineString, Point, Polygon

Spot = tuple[float, float]
Box = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class Film:
    """What a floor needs to know of its film."""

    width: float
    cut: float
    longest: float


@dataclass(frozen=True, slots=True)
class Column:
    """One strip: its low left corner and length; `row` counts the rows that a joint parts."""

    x: float
    y: float
    length: float
    row: int


@dataclass(frozen=True, slots=True)
class Obstacle:
    """A fixture as a box (x, y, width, depth), of a kind, with what else is to be written."""

    name: str
    box: Box
    kind: str
    more: tuple[tuple[str, Any], ...] = ()


@dataclass(frozen=True, slots=True)
class Floor:
    """A floor with its strips, and where its junction box and sensor are."""

    outline: tuple[Spot, ...]
    columns: tuple[Column, ...]
    obstacles: tuple[Obstacle, ...]
    joint: tuple[Spot, Spot] | None
    box: Spot
    bend: Spot
    sensor: Spot
    sensor_bends: tuple[Spot, ...]


SHAPES = ("rectangle", "rectangle", "rectangle", "L", "T", "U", "slant", "corner", "flank")


def lay_floor(
    rng: random.Random, film: Film, *, bathroom: bool, small: bool, large: bool
) -> Floor | None:
    """Draw a floor of some shape and fill it with strips; None where the sensor finds no place."""
    shape = "rectangle" if bathroom else rng.choice(SHAPES)
    widest = 3200 if small or bathroom else 9500 if large else 6500
    fewest = math.ceil((6500 if widest > 9000 else 1300) / film.width)
    count = rng.randint(fewest, max(4, fewest, int(widest // film.width)))
    side, bottom = rng.choice((60, 60, 65, 70, 80)), rng.choice((60, 60, 65, 75))
    longest = min(film.longest, 3000 if small or bathroom else 5000)
    full = _whole(rng.uniform(3500 if widest > 9000 else 1400, longest), film.cut)
    with_joint = shape == "rectangle" and not bathroom and count * film.width > 3000
    joint_after = count // 2 if with_joint and rng.random() < 0.5 else None
    xs = []
    x = float(side)
    for number in range(count):
        if number == joint_after:
            x += 40
        xs.append(x)
        x += film.width
    right = x + rng.choice((60, 60, 65, 80, 120, 160))
    outline = _skyline(rng, shape, film, xs, right, bottom, full)
    if outline is None:
        return None
    obstacles = _furnish(rng, film, xs, outline, bathroom=bathroom, plain=shape != "rectangle")
    floor = Polygon(outline)
    standing = [shapely.box(*_corners(o.box)) for o in obstacles if o.kind != "on legs"]
    columns = []
    for number, x in enumerate(xs):
        length = _reach(floor, standing, x, bottom, film)
        if length >= film.cut:
            row = int(joint_after is not None and number >= joint_after)
            columns.append(Column(x, bottom, length, row))
    if len(columns) < 3:
        return None
    joint = None
    if joint_after is not None:
        middle = xs[joint_after] - 20
        joint = ((middle, bottom + 40.0), (middle, floor.bounds[3]))
    placed = _place_box(rng, floor, columns, obstacles, film, bottom, shape)
    if placed is None:
        return None
    box, bend, sensor, bends = placed
    return Floor(outline, tuple(columns), obstacles, joint, box, bend, sensor, bends)


def _whole(length: float, cut: float) -> float:
    return math.floor(length / cut) * cut


def _corners(box: Box) -> Box:
    x, y, width, depth = box
    return x, y, x + width, y + depth


def _skyline(
    rng: random.Random,
    shape: str,
    film: Film,
    xs: list[float],
    right: float,
    bottom: float,
    full: float,
) -> tuple[Spot, ...] | None:
    """Draw the walls round strips of the lengths meant, too near for one more section."""

    def top(length: float) -> float:
        return bottom + length + 60 + rng.choice((0, 0, 5, 15, 40, rng.uniform(0, film.cut - 10)))

    high = round(top(full))
    last = len(xs)
    if shape in ("L", "T", "U"):
        low = _whole(full * rng.uniform(0.45, 0.8), film.cut)
        if full - low < 2 * film.cut or low < film.cut or last < 5:
            return None
        lower = round(top(low))
        wide = math.ceil(1050 / film.width)
        if shape == "L":
            k = rng.randint(min(wide, last - 1), last - 1)
            step = xs[k] + 60
            return ((0, 0), (right, 0), (right, lower), (step, lower), (step, high), (0, high))
        if last < wide + 3:
            return None
        a = rng.randint(1, last - wide - 1)
        b = rng.randint(a + wide, last - 1)
        if shape == "T":
            left, step = xs[a] - 60, xs[b] + 60
            return ((0, 0), (right, 0), (right, lower), (step, lower), (step, high), (left, high),
                    (left, lower), (0, lower))  # fmt: skip
        left, step = xs[a] + 60, xs[b] - 60
        return ((0, 0), (right, 0), (right, high), (step, high), (step, lower), (left, lower),
                (left, high), (0, high))  # fmt: skip
    if shape == "slant":
        fall = rng.choice((-1, 1)) * rng.uniform(0.05, 0.25) * right
        return ((0, 0), (right, 0), (right, round(high + fall)), (0, high))
    if shape == "corner":
        cut = round(rng.uniform(500, min(1400, right * 0.5, high * 0.5)))
        return ((0, 0), (right, 0), (right, high - cut), (right - cut, high), (0, high))
    if shape == "flank":
        return ((0, 0), (right, 0), (right + round(rng.uniform(60, 300)), high), (0, high))
    return ((0, 0), (right, 0), (right, high), (0, high))


def _furnish(
    rng: random.Random,
    film: Film,
    xs: list[float],
    outline: tuple[Spot, ...],
    *,
    bathroom: bool,
    plain: bool,
) -> tuple[Obstacle, ...]:
    """Set fixtures along the wall at the top, each in front of whole strips, and some on legs."""
    width, height = max(x for x, _ in outline), max(y for _, y in outline)
    found: list[Obstacle] = []
    if bathroom:
        found.append(_bath(rng, width, height))
    elif not plain:
        for _ in range(rng.choice((0, 0, 1, 1, 2))):
            a = rng.randrange(len(xs))
            b = min(len(xs) - 1, a + rng.randint(0, max(1, int(1500 // film.width))))
            left = 0.0 if a == 0 else xs[a] + 50 + rng.choice((0, 5, 20))
            right = width if b == len(xs) - 1 else xs[b] + film.width - 50 - rng.choice((0, 5, 20))
            depth = rng.choice((250, 300, 400, 600))
            if depth > height * 0.4 or right - left < 100:
                continue
            if any(o.box[0] - 120 < right and left < o.box[0] + o.box[2] + 120 for o in found):
                continue
            kind, more = rng.choice(_STANDING)
            box = (left, height - depth, right - left, depth)
            found.append(Obstacle(f"thing-{len(found) + 1}", box, kind, more))
    if rng.random() < 0.5:
        w, d = rng.uniform(400, width / 2), rng.uniform(300, height / 2)
        x, y = rng.uniform(0, width - w), rng.uniform(100, height - d)
        clear: tuple[tuple[str, Any], ...] = (("clear", rng.choice((60, 80, 120, 250))),)
        box = (round(x), round(y), round(w), round(d))
        found.append(Obstacle("low-thing", box, "on legs", clear))
    return tuple(found)


_STANDING: tuple[tuple[str, tuple[tuple[str, Any], ...]], ...] = (
    ("floor-mounted", ()),
    ("floor-mounted", (("height", 2000),)),
    ("floor-mounted", (("stands_on", "subfloor"),)),
    ("structure", ()),
    ("heat source", ()),
    ("heat source", (("clearance", 40), ("height", "1.1 m"))),
    ("fixings", ()),
)


def _bath(rng: random.Random, width: float, height: float) -> Obstacle:
    kind = rng.choice(("bath", "bath", "shower", "open shower"))
    if kind == "bath":
        box = (width - 1700, height - 700, 1700.0, 700.0)
        more = rng.choice(((("stands_on", "subfloor"),), ()))
        return Obstacle("bath", box, "bath", more)
    box = (width - 900, height - 900, 900.0, 900.0)
    if kind == "shower":
        return Obstacle("shower", box, kind, ())
    outlet = (width - rng.choice((150, 300)), height - 450)
    return Obstacle("shower", box, kind, (("outlet", outlet),))


def _reach(floor: Any, standing: list[Any], x: float, y: float, film: Film) -> float:
    """Find the longest strip on a cut line that keeps 60 mm from walls and 50 from what stands."""
    length = _whole(min(film.longest, floor.bounds[3] - y), film.cut)
    while length > 0:
        strip = shapely.box(x, y, x + film.width, y + length)
        if (
            floor.covers(strip)
            and floor.exterior.distance(strip) >= 59.99
            and all(thing.distance(strip) >= 50 for thing in standing)
        ):
            return length
        length -= film.cut
    return 0.0


def _place_box(
    rng: random.Random,
    floor: Any,
    columns: list[Column],
    obstacles: tuple[Obstacle, ...],
    film: Film,
    bottom: float,
    shape: str,
) -> tuple[Spot, Spot, Spot, tuple[Spot, ...]] | None:
    """Put the box on the left wall or the bottom one, and the sensor deep under the strips."""
    strips = [shapely.box(c.x, c.y, c.x + film.width, c.y + c.length) for c in columns]
    warm = shapely.union_all([strip.buffer(0.01) for strip in strips])
    wet = [shapely.box(*_corners(o.box)) for o in obstacles if o.kind in ("bath", "shower")]
    wet += [Point(dict(o.more)["outlet"]).buffer(600) for o in obstacles if o.kind == "open shower"]
    hot = [shapely.box(*_corners(o.box)) for o in obstacles if o.kind == "heat source"]
    tall = [shapely.box(*_corners(o.box)) for o in obstacles if o.kind == "floor-mounted"]
    bars = [shapely.box(*_corners(o.box)) for o in obstacles if o.kind != "on legs"]
    for _ in range(12):
        if rng.random() < 0.5:
            y = round(rng.uniform(bottom + 510, max(bottom + 511, columns[0].length - 440)))
            x = round(rng.uniform(columns[0].x + 510, columns[0].x + 1500))
            box, bend = (0.0, float(y)), (30.0, float(y))
            bends = ((200.0, float(y)),) if rng.random() < 0.5 else ()
        else:
            at = round(rng.uniform(columns[0].x + 30, columns[-1].x + film.width - 30))
            x = at if rng.random() < 0.4 else round(at + rng.uniform(-600, 600))
            y = round(rng.uniform(bottom + 510, bottom + 1600))
            box, bend = (float(at), 0.0), (float(at), 30.0)
            bends = () if x == at else ((float(at), float(y)),)
        sensor = (x, y)
        way = LineString([box, *bends, sensor])
        if not warm.covers(Point(sensor)) or warm.boundary.distance(Point(sensor)) < 500.5:
            continue
        if any(thing.distance(Point(box)) < 660 for thing in wet):
            continue
        if any(thing.distance(Point(sensor)) < 305 for thing in hot):
            continue
        if min(abs(x - side) for c in columns for side in (c.x, c.x + film.width)) < 15:
            continue
        if any(thing.distance(Point(box)) < 510 for thing in hot):
            continue
        if any(thing.distance(Point(box)) < 360 for thing in tall):
            continue
        if any(thing.distance(LineString([box, bend])) < 30 for thing in bars):
            continue
        if floor.buffer(1).covers(way):
            return box, bend, sensor, bends
    return None


@dataclass(frozen=True, slots=True)
class Turn:
    """A turn of a floor by quarter turns, perhaps mirrored first, or by any angle."""

    quarters: int = 0
    mirrored: bool = False
    angle_deg: float = 0.0

    def spot(self, spot: Spot) -> Spot:
        """Turn one point."""
        x, y = spot
        if self.mirrored:
            x, y = y, x
        for _ in range(self.quarters):
            x, y = -y, x
        if self.angle_deg:
            cosine, sine = (f(math.radians(self.angle_deg)) for f in (math.cos, math.sin))
            x, y = x * cosine - y * sine, x * sine + y * cosine
        return round(x, 6), round(y, 6)

    @property
    def keeps_rows(self) -> bool:
        """Tell whether rows still run towards +x or +y from strips that begin low."""
        return self.quarters == 0 and not self.angle_deg
