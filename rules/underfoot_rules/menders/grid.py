"""Lays, earths and closes the metal grid over the strips."""

from collections.abc import Iterator

from underfoot.api.rules import Mender, Proposal, ToMend, below
from underfoot_rules.menders.laid import is_covered
from underfoot_rules.menders.spelled import put, spell, take_out
from underfoot_rules.menders.written import Path, change, look_up

# What is fitted where nothing protects the conductor from being torn, mm2.
_UNPROTECTED_MM2 = 4.0


def lay_grid(found: ToMend) -> Iterator[Proposal]:
    """Propose an earthed grid; for one that nothing asks for, also that it is left out."""
    room = found.room_facts
    film = found.facts.plan.materials.films[found.items[0]]
    if is_covered(found.facts, room.id) or film.protection_class == "III":
        return
    limits = found.facts.limits["protective-grid"]
    path: Path = ("rooms", room.id, "grid")
    conductor_mm2 = max(_UNPROTECTED_MM2, limits["conductor"])
    earthed = f"earthed by a protective conductor of {conductor_mm2:g} mm²"
    grid = room.drawn.grid
    if grid is None:
        yield Proposal(
            says=f"Lay a metal grid over the strips of room {room.id}, meshes of "
            f"{limits['mesh']:g} mm, {earthed}.",
            edits=(
                change(
                    found.data,
                    path,
                    {
                        "mesh": spell(limits["mesh"], "mm", 0),
                        "earthed": True,
                        "protective_conductor": spell(conductor_mm2, "mm2"),
                    },
                ),
            ),
        )
        return
    if found.finding.measured is not None:
        yield Proposal(
            says=f"Lay a grid with meshes of {limits['mesh']:g} mm in room {room.id}.",
            edits=(put(found.data, (*path, "mesh"), limits["mesh"], "mm"),),
        )
        return
    edits = []
    if grid.earthed is not True:
        edits.append(change(found.data, (*path, "earthed"), True))
    if grid.conductor_mm2 is None or below(grid.conductor_mm2, limits["conductor"]):
        edits.append(put(found.data, (*path, "protective_conductor"), conductor_mm2, "mm2"))
    yield Proposal(says=f"See that the grid of room {room.id} is {earthed}.", edits=tuple(edits))
    if look_up(found.data, path) is not None:
        yield Proposal(
            says=f"Leave out the grid of room {room.id}, which nothing asks for.",
            edits=(take_out(path),),
        )


MENDERS = (Mender(rule="protective-grid", propose=lay_grid),)
