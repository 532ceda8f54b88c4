"""A film that needs an earthed metal grid over it, without one."""

from __future__ import annotations

from underfoot.api import (
    CannotTell,
    Facts,
    Film,
    Finding,
    Limit,
    Limits,
    RoomFacts,
    Rule,
    Subject,
    above,
)
from underfoot_rules.basis import standard


def subjects(facts: Facts) -> tuple[Subject, ...]:
    """Every film in every room that it is laid in; none where the supply is SELV."""
    if facts.plan.supply.is_selv:
        return ()
    return tuple(
        Subject(room.id, (film.id,), film.path, (room, film))
        for room in facts.heated_rooms
        for film in {element.film.id: element.film for element in room.elements}.values()
    )


def check(subject: Subject, facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Ask for a grid where film or room does, then for its earth and its mesh."""
    room, film = subject.thing
    because = _reason(room, film)
    grid = room.room.grid
    if because is None:
        needs_none = room.room.use is not None or (grid is not None and grid.earthed)
        return (
            None
            if needs_none
            else CannotTell(
                "what the room is used for is not given (`use`)",
                "Write what the room is used for: `use`.",
            )
        )
    if grid is None:
        return Finding(
            message=f"There is no earthed metal grid over {film.id} in room {room.id}, {because}.",
            remedy="Lay a metal grid over the strips, meshes of at most "
            f"{limits['mesh']:g} mm, connect it to the protective conductor, and state it: "
            f"`grid: {{mesh: {limits['mesh']:g}, earthed: true}}`.",
            path=room.path,
        )
    if not grid.earthed:
        said = "is not earthed" if grid.earthed is False else "is not said to be earthed"
        return Finding(
            message=f"The metal grid over {film.id} in room {room.id} {said}; one is asked "
            f"for, {because}.",
            remedy="Connect it to the protective conductor, and state `earthed: true`.",
            path=grid.path,
        )
    if grid.mesh is None:
        return CannotTell(
            "the mesh of the grid is not given", "Write how wide its meshes are: `grid.mesh`."
        )
    if not above(grid.mesh, limits["mesh"]):
        return None
    return Finding(
        message=f"The grid over {film.id} in room {room.id} has meshes of {{measured}}; at "
        f"most {{limit}} is allowed, {because}.",
        remedy="Use a grid with meshes of {limit} or less.",
        measured=grid.mesh,
        most=limits["mesh"],
        limit_key="mesh",
        related=(grid.path,),
    )


def _reason(room: RoomFacts, film: Film) -> str | None:
    if room.room.use == "bathroom":
        return "as the room is a bathroom"
    if film.protection_class != "II":
        return "as the film is not said to be of protection class II"
    return None


RULE = Rule(
    id="protective-grid",
    topic="circuits",
    severities=("error",),
    finds="a film not of protection class II, or in a bathroom, without an earthed metal grid",
    why="What pierces the film must meet earthed metal first, so that the RCD trips at once.",
    unit="mm",
    basis=standard("IEC 60364-7-753, 753.411.3.2; bathrooms IEC 60364-7-701, 701.753"),
    subjects=subjects,
    check=check,
    module=__name__,
    limits=(Limit("mesh", 30, "mm", "widest mesh of the grid", "lower"),),
    electrical=True,
    protects_life=True,
)
