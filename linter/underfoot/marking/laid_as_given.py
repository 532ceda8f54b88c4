"""Boards, sheets and a thermostat that the brief has already placed: are they where it has them?"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from msgspec.structs import replace

from underfoot.marking.content import is_same, is_same_line, is_same_ring
from underfoot.marking.placing import Move, Paired, hang
from underfoot.plan import Courses, Membrane, Room, Runs

if TYPE_CHECKING:
    from shapely import Polygon

# Edges so near each other are one, each having been rounded.
_NEAR = 2.0
_SAME_AREA = 0.01


class Placed:
    """What the brief has placed in a room, beside what a plan has there: one part of the room.

    `fields` are those of the part that place it. A plan may draw board by board what the brief lays
    in courses: what counts is where the boards lie.
    """

    def __init__(
        self, part: str, room: Room, model: Room, move: Move, others: Mapping[str, Paired]
    ) -> None:
        self._part, self._room, self._model, self._move = part, room, model, move
        self._found, self._given = getattr(room, part), getattr(model, part)
        self._others = others
        self.fields = _PLACED_BY[part]

    @property
    def is_given(self) -> bool:
        """Whether the brief places it at all."""
        return any(getattr(self._given, field) for field in self.fields)

    @property
    def is_left_out(self) -> bool:
        """Whether the plan says nothing of it, so that putting it back takes nothing away."""
        return not any(getattr(self._found, field) for field in self.fields)

    @property
    def is_same(self) -> bool:
        """Whether it is where the brief has it."""
        brought = self._bring()
        if self._part == "thermostat":
            if (self._found.room or self._room.id) != (brought.room or self._room.id):
                return False
            if brought.at is None:
                return True
            return self._found.at is not None and is_same_line([self._found.at], [brought.at])
        if _list_layers(self._found) and _are_same_layers(
            _list_layers(self._found), _list_layers(brought)
        ):
            return True
        ours = self._lay(self._room, self._move.places(self._model.outline), Move())
        theirs = self._lay(self._model, self._model.outline, self._move)
        return len(ours) == len(theirs) and all(theirs) and all(map(_cover_the_same, ours, theirs))

    def put_back(self) -> dict[str, Any]:
        """Return the fields as the brief has them, in the plan's room."""
        brought = self._bring()
        return {field: getattr(brought, field) for field in self.fields}

    def _bring(self) -> Any:
        if self._part == "thermostat":
            return hang(self._given, self._move, self._others)
        return self._move.bring(self._given)

    def _lay(
        self, room: Room, outline: Iterable[tuple[float, float]], move: Move
    ) -> list[list[Polygon]]:
        """Lay boards or sheets out, layer by layer, as far as the room's outline leaves them."""
        import shapely

        from underfoot.checking.facts.floor import lay_boards, lay_sheets

        region = shapely.Polygon(outline)
        is_boards = self._part == "insulation"
        layers: Sequence[Any] = (
            lay_boards(room, region) if is_boards else (lay_sheets(room, region),)
        )
        return [
            [
                shapely.Polygon(move.places(left.exterior.coords))
                for one in layer.polygons
                for left in _list_polygons(shapely.intersection(one, region))
            ]
            for layer in layers
        ]


_PLACED_BY = {
    "insulation": ("layers",),
    "membrane": ("runs", "pieces"),
    "thermostat": ("at", "room"),
}


def _list_polygons(shape: Any) -> Iterator[Polygon]:
    for one in getattr(shape, "geoms", (shape,)):
        if one.geom_type == "Polygon" and not one.is_empty:
            yield one


def _list_layers(part: Any) -> list[Any]:
    if isinstance(part, Membrane):
        return list(part.runs) if not part.pieces else []
    layers: list[Any] = list(part.layers)
    return layers if all(isinstance(one, Courses) for one in layers) else []


def _are_same_layers(ours: Sequence[Any], theirs: Sequence[Any]) -> bool:
    return len(ours) == len(theirs) and all(map(_is_same_layer, ours, theirs))


def _is_same_layer(one: Courses | Runs, other: Courses | Runs) -> bool:
    if (one.over is None) != (other.over is None):
        return False
    if one.over is not None and other.over is not None and not is_same_ring(one.over, other.over):
        return False
    bare: dict[str, Any] = {"over": None}
    return is_same(replace(one, **bare), replace(other, **bare))


def _cover_the_same(ours: Sequence[Polygon], theirs: Sequence[Polygon]) -> bool:
    """Tell whether two sets of boards are one, board for board."""
    import numpy as np
    import shapely

    if len(ours) != len(theirs):
        return False
    left = np.column_stack([shapely.bounds(list(ours)).reshape(-1, 4), shapely.area(list(ours))])
    for shape in theirs:
        apart = np.abs(left[:, :4] - np.array(shape.bounds)).max(axis=1, initial=0.0)
        likes = (apart <= _NEAR) & (np.abs(left[:, 4] - shape.area) <= _SAME_AREA * shape.area)
        if not likes.any():
            return False
        left = np.delete(left, int(likes.argmax()), axis=0)
    return True
