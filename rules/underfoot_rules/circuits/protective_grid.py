"""A film that needs an earthed metal grid over it, without one, or any grid that is not earthed."""

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Film, Grid
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    at_most,
    below,
    format_size,
)
from underfoot_rules import not_given
from underfoot_rules.basis import standard
from underfoot_rules.coverings import FilmInRoom


def subjects(facts: Facts) -> tuple[Subject[FilmInRoom], ...]:
    """Every film in every room that it is laid in; none where the supply is SELV."""
    if facts.plan.supply.is_selv:
        return ()
    return tuple(
        Subject(room=room.id, items=(film.id,), path=film.path, payload=(room, film))
        for room in facts.heated_rooms
        for film in {element.film.id: element.film for element in room.elements}.values()
    )


def check(
    subject: Subject[FilmInRoom], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Ask for a grid where film or room does, for the earth of any grid, and for its mesh."""
    room, film = subject.payload
    if film.protection_class == "III":
        return Finding(
            message=f"Film {film.id} in room {room.id} is of protection class III: nothing but "
            "extra-low voltage from a safe source keeps it from giving a shock, and the supply is "
            "not such a one. No grid makes up for that.",
            remedy="Never join it to this supply: use a film of class II, or feed it with its own "
            "low voltage out of a safety isolating transformer and write `system: SELV`.",
        )
    because = _reason(room, film)
    grid = room.drawn.grid
    if grid is not None:
        unearthed = _judge_earth(grid, room, film, limits)
        if unearthed is not None:
            return unearthed
    if because is None:
        if grid is not None or room.drawn.use is not None:
            return None
        return not_given.USE
    if grid is None:
        return Finding(
            message=f"There is no earthed metal grid over {film.id} in room {room.id}, {because}.",
            remedy="Lay a metal grid over the strips, meshes of at most "
            f"{limits['mesh']:g} mm, connect it to the protective conductor, and state it: "
            f"`grid: {{mesh: {limits['mesh']:g}, earthed: true, protective_conductor: 4 mm2}}`.",
            path=room.path,
        )
    if grid.mesh is None:
        return CannotTell(
            why="the mesh of the grid is not given",
            write="Write how wide its meshes are: `grid.mesh`.",
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


def _judge_earth(grid: Grid, room: RoomFacts, film: Film, limits: Limits) -> Finding | None:
    """Ask for a protective conductor, whatever the film: metal over it must never float."""
    over = f"The metal grid over {film.id} in room {room.id}"
    write = "`protective_conductor: 4 mm2`"
    if not grid.earthed:
        said = "is not earthed" if grid.earthed is False else "is not said to be earthed"
        return Finding(
            message=f"{over} {said}: what pierces the film makes all of it live.",
            remedy="Connect it to the protective conductor, and state `earthed: true` and "
            f"{write}, or leave it out where none is needed.",
            path=grid.path,
        )
    if grid.conductor_mm2 is None:
        return Finding(
            message=f"{over} is said to be earthed, but the protective conductor that does it is "
            "not written: nobody will bring one to the junction box.",
            remedy=f"Take one from the circuit's cable to the grid, and state it: {write}.",
            path=grid.path,
        )
    if below(grid.conductor_mm2, limits["conductor"]):
        size = format_size(grid.conductor_mm2, grid.conductor_text)
        return Finding(
            message=f"{over} is earthed by a protective conductor of {size}; at least "
            f"{limits['conductor']:g} mm² is needed.",
            remedy=f"Use one of {limits['conductor']:g} mm² or more; 4 mm² where nothing protects "
            "it from being torn.",
            path=grid.path,
            limit_key="conductor",
        )
    return None


def _reason(room: RoomFacts, film: Film) -> str | None:
    if room.drawn.is_bathroom:
        drawn = "" if room.drawn.use == "bathroom" else " (a bath or shower is drawn)"
        return f"as the room is a bathroom{drawn}"
    if film.protection_class != "II":
        return "as the film is not said to be of protection class II"
    return None


RULE = Rule(
    finds="a film not of protection class II, or in a bathroom, without an earthed metal grid, or "
    "a grid over any film that is not earthed, or a film of class III on anything but SELV",
    why="What pierces the film must meet earthed metal first, so that the RCD trips at once.",
    unit="mm",
    basis=standard(
        "IEC 60364-7-753, 753.411.3.2; bathrooms IEC 60364-7-701, 701.753; least conductor "
        "IEC 60364-5-52, table 52.2; 4 mm² unprotected from memory (IEC 60364-5-54), "
        "as is class III (IEC 61140)"
    ),
    subjects=subjects,
    check=check,
    limits=(
        at_most("mesh", 30, "mm", "widest mesh of the grid"),
        at_least("conductor", 1.5, "mm2", "least size of the grid's protective conductor"),
    ),
    electrical=True,
    protects_life=True,
)
