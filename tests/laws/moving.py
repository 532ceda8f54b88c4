"""Rooms moved, turned and mirrored in plan data whose rows, courses and runs are opened out."""

import copy
import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from tests.laws.opening import angle_of, mm, point, points

Data = dict[str, Any]
Point = tuple[float, float]

_QUARTERS = {0.0: (1, 0), 90.0: (0, 1), 180.0: (-1, 0), 270.0: (0, -1)}


@dataclass(frozen=True, slots=True)
class Move:
    """Mirrored in the y axis or not, then turned anticlockwise about the origin, then moved."""

    turn_deg: float = 0.0
    mirrored: bool = False
    dx: float = 0.0
    dy: float = 0.0

    @property
    def is_square(self) -> bool:
        """Whether what is upright stays upright."""
        return self.turn_deg in _QUARTERS

    def place(self, at: Point) -> list[float]:
        """Say where a point goes."""
        x, y = (-at[0] if self.mirrored else at[0]), at[1]
        cosine, sine = _direction(self.turn_deg)
        return [x * cosine - y * sine + self.dx, x * sine + y * cosine + self.dy]

    def face(self, angle_deg: float) -> float:
        """Say which way a direction goes."""
        return ((180 - angle_deg if self.mirrored else angle_deg) + self.turn_deg) % 360


def _direction(angle_deg: float) -> tuple[float, float]:
    if angle_deg in _QUARTERS:
        return _QUARTERS[angle_deg]
    return math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))


def move_rooms(plan: Data, moves: Mapping[str, Move]) -> Data:
    """Return the plan with its rooms moved; a thermostat goes with the room that it hangs in."""
    moved = copy.deepcopy(plan)
    for name, room in moved["rooms"].items():
        _move_room(room, moves[name], moved["materials"])
        thermostat = room.get("thermostat")
        if thermostat and thermostat.get("at") is not None:
            hangs = moves[thermostat.get("room", name)]
            thermostat["at"] = hangs.place(point(thermostat["at"]))
    return moved


def _move_room(room: Data, move: Move, materials: Data) -> None:
    def line(value: Any) -> list[list[float]]:
        return [move.place(each) for each in points(value)]

    room["outline"] = line(room["outline"])
    for fixture in _entries(room, "fixtures"):
        _move_fixture(fixture, move)
    for name, joint in (room.get("joints") or {}).items():
        room["joints"][name] = line(joint)
    for opening in _entries(room, "openings"):
        opening["from"], opening["to"] = line([opening["from"], opening["to"]])
    for area in room.get("coverings") or []:
        if area.get("over"):
            area["over"] = line(area["over"])
    for thing in (room.get("junction_box"), room.get("sensor")):
        if thing:
            thing["at"] = move.place(point(thing["at"]))
    _move_strips(room, move, materials)
    insulation, membrane = room.get("insulation") or {}, room.get("membrane") or {}
    for layer in insulation.get("layers") or []:
        if layer.get("over"):
            layer["over"] = line(layer["over"])
        for piece in _entries(layer, "pieces"):
            width = piece.get("width")
            if width is None:
                width = materials["boards"][insulation["board"]]["size"][1]
            if piece.get("length") is None:
                piece["length"] = materials["boards"][insulation["board"]]["size"][0]
            _move_rectangle(piece, mm(width), move)
    for piece in _entries(membrane, "pieces"):
        width = piece.get("width")
        if width is None:
            width = materials["sheets"][membrane["sheet"]]["width"]
        _move_rectangle(piece, mm(width), move)


def _entries(thing: Data, key: str) -> list[Data]:
    return [entry for name, entry in (thing.get(key) or {}).items() if name != "note"]


def _move_fixture(fixture: Data, move: Move) -> None:
    if fixture.get("outlet"):
        fixture["outlet"] = move.place(point(fixture["outlet"]))
    if fixture.get("outline"):
        fixture["outline"] = [move.place(each) for each in points(fixture["outline"])]
        return
    (x, y), (width, depth) = point(fixture.pop("at")), point(fixture.pop("size"))
    corners = [(x, y), (x + width, y), (x + width, y + depth), (x, y + depth)]
    placed = [move.place(corner) for corner in corners]
    if not move.is_square:
        fixture["outline"] = placed
        return
    xs, ys = zip(*placed, strict=True)
    fixture["at"] = [min(xs), min(ys)]
    is_upended = move.turn_deg in (90.0, 270.0)
    fixture["size"] = [depth, width] if is_upended else [width, depth]


def _move_strips(room: Data, move: Move, materials: Data) -> None:
    assert not room.get("rows"), "rows must be opened out first"
    swapped = set()
    for name, strip in (room.get("elements") or {}).items():
        if name != "note":
            width = mm(materials["films"][strip["film"]]["width"])
            if _move_rectangle(strip, width, move):
                swapped.add(name)
                is_far = strip.get("connected", "start") == "end"
                strip["connected"] = "start" if is_far else "end"
    for thing in (room.get("sensor"), *_entries(room, "leads")):
        if thing and thing.get("route"):
            thing["route"] = [_move_stop(stop, move, swapped) for stop in thing["route"]]


def _move_stop(stop: Any, move: Move, swapped: set[str]) -> Any:
    if not isinstance(stop, str):
        return move.place(point(stop))
    name, _, end = stop.partition(".")
    if end and name in swapped:
        return f"{name}.{'start' if end == 'end' else 'end'}"
    return stop


def _move_rectangle(thing: Data, width: float, move: Move) -> bool:
    """Lay a strip, board or sheet anew; tell whether its start is now its far end."""
    at, along, length = point(thing["at"]), thing["along"], mm(thing["length"])
    angle = angle_of(along)
    if angle is None:
        # Laid along x from this corner and turned about it, it would lie where it does.
        angle = 0.0 if along == "x" else 90.0
        at = at if along == "x" else (at[0] + width, at[1])
    if move.mirrored:
        # Its other long side comes to lie on the right.
        cosine, sine = _direction(angle % 360)
        at = (at[0] - width * sine, at[1] + width * cosine)
    x, y = move.place(at)
    faces = move.face(angle)
    if faces not in _QUARTERS:
        thing.update(at=[x, y], along=f"{faces} deg")
        return False
    cosine, sine = _QUARTERS[faces]
    far_x, far_y = x + length * cosine - width * sine, y + length * sine + width * cosine
    thing.update(at=[min(x, far_x), min(y, far_y)], along="x" if sine == 0 else "y")
    return faces in (180.0, 270.0)
