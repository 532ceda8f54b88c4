"""Which coverings lie over a film or over a room's strips, for the rules about coverings."""

from collections.abc import Iterator

from underfoot.api.facts import Facts, RoomFacts, find_heated_parts
from underfoot.api.plan import CoveredArea, Film
from underfoot.api.rules import CannotTell, Subject

# A film in a room.
FilmInRoom = tuple[RoomFacts, Film]
# A room, how a covering or an overlay of it is fixed, and the path of the area covered.
Fixed = tuple[RoomFacts, str | None, str | None]

NONE_GIVEN = CannotTell(
    why="no covering is given (`covering`)", write="Name what lies on the floor: `covering`."
)
PARTLY_GIVEN = CannotTell(
    why="no covering is given for all of the strips (`covering`, or `coverings` with `over`)",
    write="Name what lies over each strip: `covering`, or `coverings` with `over`.",
)


def film_subjects(facts: Facts) -> tuple[Subject[FilmInRoom], ...]:
    """One subject a film in a room; its payload is (room facts, film)."""
    return tuple(
        Subject(room=room.id, items=(film.id,), path=film.path, payload=(room, film))
        for room in facts.heated_rooms
        for film in {part.film.id: part.film for part in find_heated_parts(room)}.values()
    )


def coverings_over(room: RoomFacts, film: str | None = None) -> tuple[CoveredArea, ...]:
    """Return the coverings that strips of a film (or any strips) lie under, each once, in order."""
    found: dict[str, CoveredArea] = {}
    for part in find_heated_parts(room):
        if part.covering is not None and film in (None, part.film.id):
            found.setdefault(part.covering.covering.id, part.covering)
    return tuple(found.values())


def lacks_covering(room: RoomFacts, film: str | None = None) -> CannotTell | None:
    """Say whether some of the strips have no covering given."""
    if not room.drawn.coverings:
        return NONE_GIVEN
    bare = any(
        part.covering is None and film in (None, part.film.id) for part in find_heated_parts(room)
    )
    return PARTLY_GIVEN if bare else None


def overlay_subject(room: RoomFacts) -> Subject[Fixed] | None:
    """Return a room's overlay as a subject; its payload is (room facts, fixing, None)."""
    overlay = room.drawn.overlay
    if overlay is None:
        return None
    return Subject(
        room=room.id, items=("overlay",), path=overlay.path, payload=(room, overlay.fixing, None)
    )


def unsaid_fixing(subject: Subject[object]) -> CannotTell:
    """Say that it is not given how a covering, or the overlay, is fixed."""
    name = subject.items[0]
    what = "the overlay" if name == "overlay" else f"covering {name}"
    return CannotTell(
        why=f"how {what} is fixed is not given (`fixing`)",
        write=f"Write how {what} is laid (`fixing: floating`, for one).",
    )


def named(areas: list[CoveredArea]) -> Iterator[str]:
    """Yield the ids of coverings, with their kinds."""
    for area in areas:
        kind = area.covering.kind
        yield f"{area.covering.id} ({kind})" if kind is not None else area.covering.id
