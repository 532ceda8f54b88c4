"""A layer of insulation boards drawn to be cut and laid: courses, cut pieces, what lies below."""

from collections.abc import Iterator, Sequence
from itertools import pairwise

import shapely

from underfoot.checking.facts import LaidBoards, RoomFacts
from underfoot.checking.facts.lining import CLOSE, CutBoards, CutPiece
from underfoot.drawing import pens
from underfoot.drawing.chains import MOST_STOPS, apart, is_turned
from underfoot.drawing.floor_layers import BOARD_INK
from underfoot.drawing.lining.first_edge import set_out_first_edge
from underfoot.drawing.lining.parts import (
    Lining,
    Row,
    edges_of,
    facing_wall,
    label_piece,
    measure_piece,
)
from underfoot.drawing.outline import rings_of
from underfoot.drawing.scene import Scene
from underfoot.drawing.svg import Point, area, group, line, points, tag
from underfoot.drawing.tape import Wanted

# A whole board, and one that is cut, with the dashes of the joints below.
WHOLE, CUT = "#fbf7ea", "#f0dfb0"
BELOW_DASHES = "1.6 1.2"
# More layers no floor has, and each takes as long as a room's sheet: further ones have none.
MOST_LAYERS = 12


def find_rows(facts: RoomFacts, layer: LaidBoards) -> Iterator[Row]:
    """Choose what to dimension outside: courses, corners, the whole."""
    if is_turned(facts):
        return
    low_x, low_y, high_x, high_y = facts.outline.bounds
    courses = find_courses(facts, layer)
    if courses is not None and 2 < len(courses) <= MOST_STOPS:
        yield Row(along_x=layer.along == "y", stops=courses, what="courses")
    for axis, low, high in ((0, low_x, high_x), (1, low_y, high_y)):
        corners = apart(corner[axis] for corner in facts.drawn.outline)
        if 2 < len(corners) <= MOST_STOPS:
            yield Row(along_x=axis == 0, stops=corners, what="corners")
        yield Row(along_x=axis == 0, stops=(low, high), what="overall")


def find_courses(facts: RoomFacts, layer: LaidBoards) -> tuple[float, ...] | None:
    """Return the courses' edges across them, as far as the room goes; None without courses."""
    if layer.course is None:
        return None
    axis = 1 if layer.along == "x" else 0
    low, high = facts.outline.bounds[axis], facts.outline.bounds[axis + 2]
    edges = layer.corners[:, :, axis]
    return apart(min(max(float(edge), low), high) for edge in {low, high, *edges.ravel().tolist()})


def draw_boards(scene: Scene, layer: LaidBoards, cut: CutBoards, below: LaidBoards | None) -> str:
    """Draw the boards, those that are cut on a ground of their own; dashed the joints below."""
    many = not scene.names_strips

    def draw(pieces: Sequence[CutPiece], fill: str) -> str:
        shapes = [(piece.name, rings_of(scene, piece.shape)) for piece in pieces]
        if many:
            d = "".join(points(ring) + "z" for _, rings in shapes for ring in rings)
            drawn = tag("path", d=d, fill_rule="evenodd") if d else ""
        else:
            drawn = "".join(area(*rings, data_item=name) for name, rings in shapes)
        return group(drawn, fill=fill, **pens.pen(BOARD_INK, pens.HAIR if many else pens.FINE))

    drawn = draw([piece for piece in cut.pieces if piece.is_whole], WHOLE)
    drawn += draw([piece for piece in cut.pieces if not piece.is_whole], CUT)
    if below is not None and not many:
        drawn += group(
            *(line(way) for way in find_joints_below(scene, cut, below)),
            **pens.pen(pens.SOFT, pens.HAIR),
            stroke_dasharray=BELOW_DASHES,
            class_="joints-below",
        )
    return group(drawn, data_layer="boards")


def find_joints_below(scene: Scene, cut: CutBoards, below: LaidBoards) -> list[list[Point]]:
    """Return the joints of the layer below on paper, where none of this layer lies over them."""
    floor = scene.facts.floor
    joints = shapely.union_all(shapely.boundary(shapely.intersection(below.polygons, floor)))
    own = shapely.union_all([piece.shape.boundary for piece in cut.pieces] + [floor.boundary])
    seen = shapely.difference(joints, shapely.buffer(own, CLOSE, cap_style="flat"))
    ways = shapely.line_merge(seen) if seen.geom_type == "MultiLineString" else seen
    return [
        scene.view.places(way.coords)
        for way in getattr(ways, "geoms", [ways])
        if way.geom_type == "LineString" and way.length > 1.0
    ]


def line_boards(
    scene: Scene, layer: LaidBoards, cut: CutBoards, below: LaidBoards | None
) -> Lining:
    """Draw a layer with the dimensions of its cut boards and all boards' names."""
    drawn = draw_boards(scene, layer, cut, below)
    if not scene.names_strips:
        return Lining(drawn=drawn, pieces=(), edges=(), wanted=(), labels=())
    edges = edges_of(scene, [piece.shape for piece in cut.pieces])
    if below is not None:
        edges += find_joints_below(scene, cut, below)
    return Lining(
        drawn=drawn,
        pieces=cut.pieces,
        edges=edges,
        wanted=list(find_dimensions(scene.facts, layer, cut)),
        labels=[
            label_piece(scene, piece, "boards", BOARD_INK, (piece.name,)) for piece in cut.pieces
        ],
    )


def find_dimensions(facts: RoomFacts, layer: LaidBoards, cut: CutBoards) -> Iterator[Wanted]:
    """Dimension what is cut: its length, and its width where the courses do not say it."""
    if is_turned(facts):
        yield from set_out_first_edge(facts, layer.corners, "boards", "joint to begin with")
    courses = find_courses(facts, layer) or ()
    told = {round(high - low, 1) for low, high in pairwise(courses)}
    if len(courses) > MOST_STOPS:
        told = set()
    for piece in cut.pieces:
        if piece.is_whole:
            continue
        corners = layer.corners[piece.place]
        size = cut.board or (0.0, 0.0)
        for along, reach, whole in ((True, piece.long, size[0]), (False, piece.wide, size[1])):
            if abs(reach - whole) < CLOSE or (not along and round(reach, 1) in told):
                continue
            what = f"{piece.name}, {'length' if along else 'width'}"
            wanted = measure_piece(piece, corners, along=along, layer="boards", what=what)
            if wanted is not None:
                yield facing_wall(wanted, facts)
