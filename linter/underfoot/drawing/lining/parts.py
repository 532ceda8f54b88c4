"""What the drawings of boards and membrane have in common: the room round them, put together."""

from collections.abc import Iterable, Sequence
from typing import Any

import shapely
from msgspec import Struct

from underfoot.checking.facts import RoomFacts
from underfoot.checking.facts.lining import CutPiece
from underfoot.checking.report import ReportedFinding
from underfoot.drawing import pens
from underfoot.drawing.balloons import (
    Balloon,
    draw_balloon,
    draw_finding_shape,
    draw_leader,
    place_balloons,
)
from underfoot.drawing.chains import FIRST, NEXT, PAST_SIGN, Chain, Side, sides_of_leaves
from underfoot.drawing.dimensions import draw_chains
from underfoot.drawing.labels import Label, Placed, draw_label, place_labels
from underfoot.drawing.lettering import SMALL
from underfoot.drawing.measures import Grounds, draw_measure, measure_lines, place_measures
from underfoot.drawing.north import draw_north
from underfoot.drawing.occupancy import Taken, is_free, nothing_taken, take, take_line
from underfoot.drawing.openings import draw_openings, label_openings, opening_leaves, opening_lines
from underfoot.drawing.outline import (
    WALL,
    draw_fixture,
    draw_joints,
    draw_origin,
    draw_walls,
    label_shell,
    rings_of,
    taken_by_origin,
    wall_lines,
)
from underfoot.drawing.scene import Scene
from underfoot.drawing.strips import written_length
from underfoot.drawing.svg import Point, circle, group, line
from underfoot.drawing.tape import Measure, Wanted

# Of more things a drawing names and measures none: nothing could be read any more.
MOST_MEASURED = 80
_SHARES = (0.0, 0.15, -0.15, 0.25, -0.25, 0.35, -0.35, 0.42, -0.42)
_ACROSS = (0.14, 0.86, 0.28, 0.72, 0.5)


class Lining(Struct, frozen=True, kw_only=True):
    """A layer of boards or the membrane, drawn: what lies there, its dimensions, its names."""

    drawn: str
    pieces: Sequence[CutPiece]
    edges: Sequence[Sequence[Point]]
    wanted: Sequence[Wanted]
    labels: Sequence[Label]


class Composed(Struct, frozen=True, kw_only=True):
    """A finished drawing; `untold` is what had no room on it."""

    svg: str
    untold: tuple[tuple[str, str], ...]
    balloons: tuple[Balloon, ...]


def compose(
    scene: Scene, chains: Sequence[Chain], lining: Lining, findings: Iterable[ReportedFinding]
) -> Composed:
    """Draw the room round a lining, its dimensions and what was found about it."""
    fixed = taken_by_origin(scene)
    rows = draw_chains(scene, chains, fixed)
    taken = nothing_taken([*rows.patches, *fixed])
    north = draw_north(scene, taken, rows.strokes)
    grounds = Grounds(taken=taken, lines=nothing_taken(rows.strokes), ways=nothing_taken())
    joints = [scene.view.places(joint.coords) for _, joint in scene.facts.joints]
    lines = [*lining.edges, *wall_lines(scene), *opening_lines(scene), *joints]
    for way in lines:
        take_line(grounds.ways, way)
    # No figure stands on a wall or a door's leaf, both wide lines.
    for way in (*wall_lines(scene), *opening_leaves(scene)):
        take_line(grounds.lines, way)
    measures, missing = place_measures(scene, lining.wanted[:MOST_MEASURED], grounds)
    strokes = measure_lines(measures)
    for stroke in strokes:
        take(taken, stroke)
    disliked = nothing_taken()
    for way in (*lines, *rows.lines):
        take_line(disliked, way)
    # A board's name finds another place sooner than a door's.
    labels = [*_label_room(scene), *lining.labels]
    kept_clear = nothing_taken()
    for way in (*wall_lines(scene), *joints):
        take_line(kept_clear, way)
    placed, unnamed = place_labels(labels, taken, disliked, scene.bounds, kept_clear)
    letters = [*rows.patches, *(each.patch for each in measures), *(each.patch for each in placed)]
    lettering = nothing_taken(letters)
    pointers = _point(scene, placed, lining.pieces, lettering)
    for stroke in (*strokes, *pointers):
        take_line(disliked, stroke)
    firm = nothing_taken([*letters, *fixed])
    balloons, _ = place_balloons(scene, findings, taken, lettering, disliked, firm)
    short = [each.label for each in placed if not each.is_whole]
    svg = "".join(
        (
            lining.drawn,
            *(draw_fixture(scene, *each) for each in scene.facts.fixtures if each[0].stops_floor),
            draw_joints(scene),
            group(draw_walls(scene), draw_origin(scene), north, data_layer="walls"),
            group(draw_openings(scene), data_layer="openings"),
            *(draw_finding_shape(scene, each) for each in balloons),
            group(rows.svg, *(draw_measure(each) for each in measures), data_layer="dimensions"),
            group(
                *(_draw_pointer(each) for each in pointers),
                **pens.pen(pens.INK, pens.HAIR),
                class_="pointers",
            ),
            *(draw_label(each) for each in placed),
            *(draw_leader(each) for each in balloons),
            *(draw_balloon(each) for each in balloons),
        )
    )
    return Composed(
        svg=svg,
        untold=(
            *rows.untold,
            *((each.what, each.in_words) for each in (*missing, *lining.wanted[MOST_MEASURED:])),
            *((label.item, label.in_words) for label in (*unnamed, *short)),
        ),
        balloons=tuple(balloons),
    )


def _point(
    scene: Scene, placed: Sequence[Placed], pieces: Sequence[CutPiece], lettering: Taken
) -> list[tuple[Point, Point]]:
    """Lead from each name past a wall into the piece it names, where no lettering is in the way."""
    shapes = {piece.name: piece.shape for piece in pieces}
    pointers = []
    for each in placed:
        shape = shapes.get(each.label.item)
        if shape is None:
            continue
        on_paper = shapely.union_all([shapely.Polygon(ring) for ring in rings_of(scene, shape)])
        if on_paper.intersects(shapely.Point(each.middle)):
            continue
        cores = (shapely.buffer(on_paper, -deep) for deep in (0.9, 0.4))
        core = next((each for each in cores if not each.is_empty), on_paper)
        into = shapely.shortest_line(core, shapely.Point(each.middle)).coords[0]
        start, end = shapely.shortest_line(shapely.Polygon(each.patch), shapely.Point(into)).coords
        dx, dy = end[0] - start[0], end[1] - start[1]
        begun = (start[0] + 0.02 * dx, start[1] + 0.02 * dy)
        if is_free(lettering, (begun, end)):
            pointers.append((start, end))
    return pointers


def _draw_pointer(pointer: tuple[Point, Point]) -> str:
    (x, y) = pointer[1]
    return line(pointer) + circle((x, y), 0.45, fill=pens.INK, stroke="none")


def _label_room(scene: Scene) -> list[Label]:
    """Name what stops the floor, joints and openings."""
    room = scene.facts.drawn
    named = {each.id for each in room.fixtures.values() if each.stops_floor} | set(room.joints)
    return [
        *(label for label in label_shell(scene) if label.item in named),
        *label_openings(scene),
    ]


def edges_of(scene: Scene, shapes: Iterable[Any]) -> list[list[Point]]:
    """Return the edges of shapes on paper, as closed lines."""
    return [[*ring, ring[0]] for shape in shapes for ring in rings_of(scene, shape)]


def say_size(piece: CutPiece) -> str:
    """Write how long and wide a piece is; what is cut askew in whole mm, as a tape is read."""
    long, wide = piece.long, piece.wide
    if not piece.is_rectangle:
        long, wide = round(long), round(wide)
    return f"{written_length(long)} × {written_length(wide)}"


def label_piece(scene: Scene, piece: CutPiece, layer: str, ink: str, names: Sequence[str]) -> Label:
    """Name a board or sheet within itself, across or upright, else past the wall beside it."""
    parts = getattr(piece.shape, "geoms", [piece.shape])
    largest = max(parts, key=lambda part: float(part.area))
    (left, bottom), (right, top) = (
        scene.view.place(largest.bounds[:2]),
        scene.view.place(largest.bounds[2:]),
    )
    x, y, wide, high = (left + right) / 2, (top + bottom) / 2, right - left, bottom - top
    inside = [(x + wide * across, y + high * down) for down in _SHARES for across in _SHARES]
    if not piece.is_rectangle:
        solid = shapely.Polygon(scene.view.places(largest.exterior.coords))
        # A slanted edge may cross a name whose middle is barely inside.
        core = solid.buffer(-SMALL * 0.6)
        inside = [at for at in inside if shapely.contains_xy(core, *at)]
    inside.sort(key=lambda at: round(abs(at[0] - x) + abs(at[1] - y), 6))
    away = WALL + SMALL * 0.8
    beside = [(right + away, y + high * share) for share in _SHARES]
    beside += [(left - away, y + high * share) for share in _SHARES]
    over = [(x + wide * share, top - away) for share in _SHARES]
    over += [(x + wide * share, bottom + away) for share in _SHARES]
    versions = tuple((name,) for name in names)

    def label(
        middles: Sequence[Point],
        turn: float,
        room: tuple[float, float] | None,
        otherwise: Label | None,
    ) -> Label:
        return Label(
            layer=layer,
            item=piece.name,
            versions=versions,
            middles=tuple(middles),
            turn_deg=turn,
            room=room,
            bold_first=False,
            colour=ink,
            otherwise=otherwise,
            whole=len(versions),
            words=say_size(piece),
        )

    floor = scene.facts.outline
    walled = shapely.Polygon(scene.view.places(floor.exterior.coords))

    def outside(places: Sequence[Point]) -> list[Point]:
        return [at for at in places if not shapely.contains_xy(walled, *at)]

    past = label(outside(over), 0.0, None, None)
    past = label(outside(beside), -90.0, None, past)
    return label(inside, 0.0, (wide, high), label(inside, -90.0, (high, wide), past))


class Row(Struct, frozen=True, kw_only=True):
    """Stops along one axis that are to be dimensioned outside the room."""

    along_x: bool
    stops: tuple[float, ...]
    what: str


def set_rows(facts: RoomFacts, rows: Iterable[Row]) -> list[Chain]:
    """Put rows of dimensions on the sides of the room, away from doors that open outwards."""
    crowded = sides_of_leaves(facts)
    across: Side = "above" if "below" in crowded and "above" not in crowded else "below"
    up: Side = "right" if "left" in crowded and "right" not in crowded else "left"
    levels: dict[Side, int] = {}
    chains = []
    for row in rows:
        side = across if row.along_x else up
        level = levels.get(side, 0)
        levels[side] = level + 1
        chains.append(
            Chain(
                along_x=row.along_x,
                side=side,
                stops=row.stops,
                level=level,
                away=(PAST_SIGN if side in crowded else FIRST)[side] + level * NEXT,
                what=row.what,
            )
        )
    return chains


def measure_piece(
    piece: CutPiece, corners: Any, *, along: bool, layer: str, what: str
) -> Wanted | None:
    """Dimension how long a piece is (along), or how wide, where it is that from edge to edge.

    `corners` are those of the whole board or sheet; None where the piece is nowhere so long.
    """
    origin = corners[0]
    way = corners[1] - origin if along else corners[3] - origin
    other = corners[3] - origin if along else corners[1] - origin
    ways = []
    for share in _ACROSS:
        found = _cross(piece.shape, origin, way, other, share)
        if found is not None and found.length > (piece.long if along else piece.wide) - 0.05:
            ways.append(found)
    if not ways:
        return None
    return Wanted(layer=layer, item=piece.name, what=what, ways=tuple(ways))


def _cross(shape: Any, origin: Any, way: Any, other: Any, share: float) -> Measure | None:
    """Cut straight through a shape, so far along the other way; None where it goes in parts."""
    spots = (shapely.get_coordinates(shape) - origin) @ other / (other @ other)
    off = origin + other * (spots.min() + (spots.max() - spots.min()) * share)
    cut = shapely.intersection(shape, shapely.LineString([off - way, off + 2 * way]))
    if cut.geom_type != "LineString" or cut.is_empty:
        return None
    start, end = cut.coords[0], cut.coords[-1]
    return Measure(start=(start[0], start[1]), end=(end[0], end[1]), may_shift=False)


def facing_wall(wanted: Wanted, facts: RoomFacts) -> Wanted:
    """Turn the ways round so that each begins at a wall, where one of its ends is at one."""
    walls = facts.walls
    ways = tuple(
        Measure(start=way.end, end=way.start, may_shift=False)
        if walls.distance(shapely.Point(way.end)) < walls.distance(shapely.Point(way.start)) - 1.0
        else way
        for way in wanted.ways
    )
    return Wanted(layer=wanted.layer, item=wanted.item, what=wanted.what, ways=ways)
