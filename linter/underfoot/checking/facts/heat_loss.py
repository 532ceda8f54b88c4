"""What a room loses on the coldest day: the designer's figure, or worked out from its fabric."""

from msgspec import Struct

from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.facts.stack import (
    NO_OUTSIDE,
    Assumptions,
    room_temperature,
    temperature_beyond,
)
from underfoot.checking.finding import CannotTell
from underfoot.checking.numbers import format_quantity
from underfoot.physics import heat
from underfoot.plan import Fabric, Room, Surface


class HeatLoss(Struct, frozen=True, kw_only=True):
    """A room's heat loss in W, and (name, text) rows on how it came about."""

    loss_w: float
    rows: tuple[tuple[str, str], ...]


def find_heat_loss(facts: RoomFacts, assumed: Assumptions) -> HeatLoss | CannotTell:
    """Return the heat loss: the plan's `heat_loss` if stated, else by EN 12831-1 from `fabric`."""
    room = facts.drawn
    if room.heat_loss_w is not None:
        return HeatLoss(
            loss_w=room.heat_loss_w, rows=(("heat loss", f"{_watts(room.heat_loss_w)}, as given"),)
        )
    fabric = room.fabric
    if fabric is None:
        return CannotTell(
            why="no heat loss is given (`heat_loss`, or `fabric` to compute it from)",
            write="Write the `heat_loss`, or the `fabric` to compute it from.",
        )
    if not fabric.surfaces:
        return CannotTell(
            why="no surfaces that lose heat are given (`fabric.surfaces`)",
            write="List what loses heat: `fabric.surfaces`.",
        )
    inside_c = room_temperature(room, assumed).temperature_c
    losses: list[float] = []
    rows = [("inside", format_quantity(inside_c, "degC"))]
    for number, surface in enumerate(fabric.surfaces, 1):
        found = _lose(surface, number, room, inside_c, assumed)
        if isinstance(found, CannotTell):
            return found
        losses.append(found[0])
        rows.append(found[1])
    air = _change_air(facts, fabric, inside_c)
    if isinstance(air, CannotTell):
        return air
    rows.append(air[1])
    total_w = heat.add_room_loss(losses, air[0])
    rows.append(("heat loss", f"{_watts(total_w)}, EN 12831-1"))
    return HeatLoss(loss_w=total_w, rows=tuple(rows))


def bound_heat_loss(facts: RoomFacts, assumed: Assumptions) -> float:
    """Return what a room loses at the least, W: what of its `fabric` can be worked out.

    What the plan leaves out is taken to lose nothing.
    """
    fabric = facts.drawn.fabric
    if fabric is None:
        return 0.0
    inside_c = room_temperature(facts.drawn, assumed).temperature_c
    found = [
        _lose(surface, number, facts.drawn, inside_c, assumed)
        for number, surface in enumerate(fabric.surfaces, 1)
    ]
    found.append(_change_air(facts, fabric, inside_c))
    return heat.add_room_loss((each[0] for each in found if not isinstance(each, CannotTell)), 0.0)


def _lose(
    surface: Surface, number: int, room: Room, inside_c: float, assumed: Assumptions
) -> tuple[float, tuple[str, str]] | CannotTell:
    name = surface.name or f"surface {number}"
    for value, key in ((surface.area_m2, "area"), (surface.u_value_w_m2k, "u_value")):
        if value is None:
            return CannotTell(
                why=f"the `{key}` of {name} is not given (`fabric.surfaces`)",
                write=f"Write its `{key}`.",
            )
    if surface.beyond_c is not None:
        beyond_c = surface.beyond_c
    elif surface.beyond is None:
        return CannotTell(
            why=f"what lies beyond {name} is not given (`beyond`)",
            write="Write what lies `beyond` it.",
        )
    else:
        beyond = temperature_beyond(surface.beyond, room, assumed)
        if isinstance(beyond, CannotTell):
            return beyond
        beyond_c = beyond.temperature_c
    area_m2, u_value_w_m2k = surface.area_m2 or 0.0, surface.u_value_w_m2k or 0.0
    loss_w = heat.compute_transmission(area_m2, u_value_w_m2k, inside_c, beyond_c)
    row = (
        f"{format_quantity(area_m2, 'm2')} at {format_quantity(u_value_w_m2k, 'W/m2/K')} to "
        f"{format_quantity(beyond_c, 'degC')}: {_watts(loss_w)}"
    )
    return loss_w, (name, row)


def _change_air(
    facts: RoomFacts, fabric: Fabric, inside_c: float
) -> tuple[float, tuple[str, str]] | CannotTell:
    changes = fabric.air_changes_per_h
    if changes is None:
        return CannotTell(
            why="the room's changes of air are not given (`fabric.air_changes`)",
            write="Write how often its air changes: `fabric.air_changes`.",
        )
    if changes == 0:
        return 0.0, ("change of air", "none")
    if facts.drawn.height is None:
        return CannotTell(
            why="the room's height is not given (`height`), so its air is not known",
            write="Write how high the room is: `height`.",
        )
    if fabric.outside_c is None:
        return NO_OUTSIDE
    volume_m3 = float(facts.outline.area) / 1e6 * facts.drawn.height / 1e3
    loss_w = heat.compute_ventilation(volume_m3, changes, inside_c, fabric.outside_c)
    row = (
        f"{format_quantity(volume_m3, 'm3')}, {format_quantity(changes, '1/h')}, to "
        f"{format_quantity(fabric.outside_c, 'degC')}: {_watts(loss_w)}"
    )
    return loss_w, ("change of air", row)


def _watts(value_w: float) -> str:
    return format_quantity(value_w, "W")
