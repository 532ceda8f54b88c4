"""Doors, windows and passages: each lies on one wall of its room, beside the others."""

from itertools import pairwise
from math import dist

from underfoot.plan import Opening
from underfoot.plan_format.openings import OPENING
from underfoot.reading.building.materials import build_each, entries_of
from underfoot.reading.building.problem_log import Corners, Data, Point, ProblemLog
from underfoot.reading.building.thing_reader import NOTHING_KNOWN, reader_of
from underfoot.reading.wording import show

# More than any room has; each is looked for on each wall.
MOST_OPENINGS = 100
# What lies nearer to a wall lies on it: plans in inches leave remainders.
_ON_THE_WALL = 1.0
_read_opening = reader_of(OPENING)
_OF_DOORS = ("hinge", "opens")


def build_openings(
    log: ProblemLog, data: Data, path: str, outline: Corners | None
) -> dict[str, Opening]:
    """The openings by id, told where they lie on no wall or on each other."""
    listed = list(entries_of(data, "openings"))
    if len(listed) > MOST_OPENINGS:
        log.report(
            f"{path}.openings.{listed[MOST_OPENINGS][0]}",
            f"with this, the room has more than {MOST_OPENINGS} openings",
        )
        return {}
    openings: dict[str, Opening] = build_each(log, data, path, "openings", _build_opening)
    if outline is None or not openings:
        return openings
    walls = _list_walls(outline)
    on_walls = {
        name: opening for name, opening in openings.items() if _check_wall(log, opening, walls)
    }
    _check_apart(log, list(on_walls.values()))
    return on_walls


def _build_opening(log: ProblemLog, data: Data, path: str, *, id: str) -> Opening | None:
    fields = _read_opening(log, data, path, NOTHING_KNOWN)
    start, end = fields.pop("start", None), fields.pop("end", None)
    kind = fields.get("kind")
    for key in _OF_DOORS:
        if key in data and kind in ("window", "passage"):
            log.report(
                f"{path}.{key}", f"`{key}`: only a door has it: delete this, or write `kind: door`"
            )
    if kind == "window" and "threshold" in data:
        log.report(
            f"{path}.threshold",
            "`threshold`: a window has none: delete this, or write `kind: door`",
        )
    if kind in ("door", "passage") and "sill" in data:
        log.report(f"{path}.sill", "`sill`: only a window has one: delete this, or write "
                                   "`kind: window`")  # fmt: skip
    if fields.get("opens") == "slides" and "hinge" in data:
        log.report(
            f"{path}.hinge",
            "`hinge`: a door that slides has none: delete this, or say how it opens",
        )
    if kind is None or start is None or end is None:
        return None
    if dist(start, end) < 1e-3:
        log.report(f"{path}.to", "`to`: this is where `from` is: an opening is as wide as from one "
                                 "to the other")  # fmt: skip
        return None
    return Opening(id=id, path=path, line=(start, end), **fields)


def _list_walls(outline: Corners) -> list[tuple[Point, Point]]:
    """The sides of the outline; where a corner is none, what it parts is one wall."""
    count = len(outline)
    corners = [
        corner
        for place, corner in enumerate(outline)
        if _off(corner, (outline[place - 1], outline[(place + 1) % count])) > 1e-6
    ]
    return list(pairwise([*corners, corners[0]]))


def _check_wall(log: ProblemLog, opening: Opening, walls: list[tuple[Point, Point]]) -> bool:
    """Whether both ends lie on one wall; what is wrong is told where it stands."""
    start, end = opening.line
    under = [
        [wall for wall in walls if _off(place, wall) <= _ON_THE_WALL] for place in (start, end)
    ]
    for key, place, found in (("from", start, under[0]), ("to", end, under[1])):
        if not found:
            other = under[1] if key == "from" else under[0]
            log.report(
                f"{opening.path}.{key}", f"`{key}`: {_say_off(place, other, opening, walls)}"
            )
            return False
    if not any(wall in under[1] for wall in under[0]):
        log.report(
            f"{opening.path}.to",
            f"`to`: {_say(end)} lies on another wall than `from`, {_say(start)}: an opening lies "
            "on one side of the outline",
        )
        return False
    return True


def _say_off(
    place: Point,
    others: list[tuple[Point, Point]],
    opening: Opening,
    walls: list[tuple[Point, Point]],
) -> str:
    """Say how far an end lies off the walls, or beyond the end of the wall that the other is on."""
    for wall in others:
        if _off_line(place, wall) <= _ON_THE_WALL:
            corner = min(wall, key=lambda end: dist(end, place))
            return (
                f"the opening, {opening.width:.0f} mm wide, reaches {dist(place, corner):.0f} mm "
                f"beyond the end of its wall at {_say(corner)}: make it narrower, or begin it "
                "elsewhere"
            )
    away, nearest = min(
        ((dist(place, at), at) for at in (_nearest(place, wall) for wall in walls)),
        key=lambda each: each[0],
    )
    return (
        f"{_say(place)} lies {away:.0f} mm off the nearest wall: an opening lies on a side of the "
        f"outline, here at {_say(nearest)}"
    )


def _check_apart(log: ProblemLog, openings: list[Opening]) -> None:
    """Report each that overlaps one that stands before it."""
    for place, opening in enumerate(openings):
        for other in openings[:place]:
            by = _overlap(opening, other)
            if by > _ON_THE_WALL:
                log.report(
                    opening.path,
                    f"{show(opening.id)} and {show(other.id)} overlap by {by:.0f} mm: two openings "
                    "lie beside each other; change `from` or `to` of one",
                )
                break


def _overlap(one: Opening, other: Opening) -> float:
    """How long two openings run on the same stretch of wall; 0 where they do not."""
    (x, y), end = one.line
    if any(_off_line(place, one.line) > _ON_THE_WALL for place in other.line):
        return 0.0
    along = ((end[0] - x) / one.width, (end[1] - y) / one.width)
    reach = sorted((u - x) * along[0] + (v - y) * along[1] for u, v in other.line)
    return min(one.width, reach[1]) - max(0.0, reach[0])


def _nearest(place: Point, wall: tuple[Point, Point]) -> Point:
    (x, y), (u, v) = wall
    long = (u - x) ** 2 + (v - y) ** 2
    share = ((place[0] - x) * (u - x) + (place[1] - y) * (v - y)) / long
    share = min(max(share, 0.0), 1.0)
    return x + share * (u - x), y + share * (v - y)


def _off(place: Point, wall: tuple[Point, Point]) -> float:
    return dist(place, _nearest(place, wall)) if wall[0] != wall[1] else dist(place, wall[0])


def _off_line(place: Point, line: tuple[Point, Point]) -> float:
    """How far a place lies off a line, which goes on beyond its ends."""
    (x, y), (u, v) = line
    return abs((u - x) * (place[1] - y) - (v - y) * (place[0] - x)) / dist(*line)


def _say(place: Point) -> str:
    return show(f"[{round(place[0], 1):g}, {round(place[1], 1):g}]")
