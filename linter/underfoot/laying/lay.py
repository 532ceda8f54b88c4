"""Lays one room: tries directions, sides, boxes and sensors, the best first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import islice
from typing import Any

from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.facts.coverage import open_floor
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.settings import Settings
from underfoot.laying.frame import Frame, list_frames, make_frame
from underfoot.laying.lanes import Choice, Cuts, choose_lanes, lessen_lanes, list_lanes
from underfoot.laying.leads import Way, find_end, list_ways
from underfoot.laying.rows import Laid, LaidRow, make_rows
from underfoot.laying.wiring import Draft, Floor, choose_drafts, draft_wiring
from underfoot.laying.wishes import CannotLayError, Wishes
from underfoot.laying.writing import Laying, write_laying
from underfoot.plan import Film

# What keeps a little more than the least asked for is still right once it is written in whole
# millimetres.
_SPARE = 2.0
# A strip is worth its two connections from here on, mm.
_SHORTEST = 500.0
# Strips keep so far from a movement joint, mm.
_FROM_JOINT = 20.0
# Where a film has no cut lines, strips are cut to so much, mm.
_CUT = 10.0
_LONGEST = 9000.0
# Strips leave no gap narrower than this between them, mm; the check decides.
_GAP = 1000.0
# So many ways of laying are put to the check.
_MOST_CHECKED = 24
# Directions that heat less than this share of the best are not tried.
_NEARLY = 0.9


def list_layings(
    facts: Facts,
    room_id: str,
    settings: Settings,
    data: Mapping[str, Any],
    film: Film,
    wishes: Wishes,
) -> Iterator[Laying]:
    """List ways to lay a room with a film, the best first.

    CannotLayError where there is none: not one strip fits, or no lead reaches the strips.
    """
    room = facts.rooms[room_id]
    cuts = Cuts(
        width=film.width,
        step=film.cut_every or _CUT,
        shortest=max(_SHORTEST, film.cut_every or _CUT),
        longest=film.longest_strip or _LONGEST,
    )
    floor = _free_floor(room, settings)
    open_m2 = float(floor.area) / 1e6
    frames = [make_frame(wishes.along)] if wishes.along else list_frames(room.outline)
    choices = []
    for frame in frames:
        choice = choose_lanes(list_lanes(frame.seen(floor), cuts), cuts, _GAP)
        if choice.heated:
            choices.append((frame, choice))
    if not choices:
        raise CannotLayError(
            f"no strip of {film.id}, {film.width:g} mm wide and {cuts.shortest:g} mm long or "
            "more, fits on the floor that is left open"
        )
    bound = max(choice.bound for _, choice in choices) * film.width / 1e6
    most = max(choice.heated for _, choice in choices)
    # Directions that heat almost as much are tried, too: the leads may lie better there.
    choices = [
        (frame, _lessen(choice, cuts, wishes.share))
        for frame, choice in choices
        if choice.heated >= _NEARLY * most
    ]
    drafts: list[Draft] = []
    for frame, choice in choices:
        for at_end in (False, True):
            rows = join_rows(room, frame, choice, cuts, at_end=at_end)
            if rows:
                drafts += draft_wiring(
                    facts,
                    room,
                    film,
                    Floor(frame=frame, rows=rows, chosen=choice.heated),
                    wishes,
                    most,
                )
    drafts.sort(key=lambda draft: draft.cost)
    some = False
    for draft, sensor in islice(choose_drafts(drafts, room, film), _MOST_CHECKED):
        some = True
        laying = write_laying(facts, room, data, film, draft, sensor, bound, open_m2)
        yield laying if wishes.share == 1.0 else replace(laying, less=())
    if not some:
        raise CannotLayError(
            "strips fit, but no place for the junction box was found from which leads reach them "
            "along the walls, and the sensor's conduit reaches deep enough below them"
        )


def _lessen(choice: Choice, cuts: Cuts, share: float) -> Choice:
    if share == 1.0:
        return choice
    lanes = lessen_lanes(choice.lanes, cuts, share)
    return replace(choice, lanes=lanes, heated=sum(lane.heated for lane in lanes))


def join_rows(
    room: RoomFacts, frame: Frame, choice: Choice, cuts: Cuts, *, at_end: bool
) -> tuple[LaidRow, ...]:
    """Make rows of chosen lanes, each joined at the side that the way along the walls passes.

    `at_end` counts where both do. A strip that no way passes at either end is left out.
    """
    sides = {each: make_rows(choice.lanes, cuts, at_end=each) for each in (False, True)}
    ways = list_ways(room.outline, room.fixtures, room.outline.representative_point(), 1)
    if not ways:
        return ()
    rows = []
    for at_start, at_far in zip(sides[False], sides[True], strict=True):
        both = {False: at_start, True: at_far}
        reached = {
            side: sum(
                find_end("", strip, frame, cuts.width, ways[0]) is not None for strip in row.laid
            )
            for side, row in both.items()
        }
        side = at_end if reached[at_end] >= reached[not at_end] else not at_end
        strips = [_join(strip, frame, cuts.width, ways[0]) for strip in both[side].laid]
        while strips and strips[-1] is None:
            strips.pop()
        while strips and strips[0] is None:
            del strips[0]
        if strips:
            rows.append(LaidRow(strips=tuple(strips), at_end=side))
    return tuple(rows)


def _join(strip: Laid, frame: Frame, width: float, way: Way) -> Laid | None:
    """Join a strip at its end, or else at the other one."""
    for each in (strip, replace(strip, at_end=not strip.at_end)):
        if find_end("", each, frame, width, way) is not None:
            return each
    return None


def _free_floor(room: RoomFacts, settings: Settings) -> Any:
    def served(use: Any, otherwise: float) -> float:
        found = settings.served(use)
        return otherwise if found is None else found.value

    from_wall = max(served("planned wall clearance", 58.0), served("wall clearance", 50.0))
    from_fixture = served("fixture clearance", 50.0)
    clear = served("clear height", 60.0)
    floor = open_floor(room, from_wall + _SPARE, from_fixture + _SPARE, clear).floor
    for _, line in room.joints:
        floor = floor.difference(line.buffer(_FROM_JOINT, cap_style="square"))
    return floor
