"""Lays one room: tries directions, sides, boxes and sensors, the best first."""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import Any

import shapely
from msgspec.structs import replace

from underfoot.checking.facts import Facts
from underfoot.checking.facts.coverage import open_floor
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.settings import Settings
from underfoot.checking.words import point_text
from underfoot.laying.bound import bound_heated
from underfoot.laying.doors import Doors, choose_end, find_doors
from underfoot.laying.frame import Frame, list_frames, make_frame
from underfoot.laying.lanes import Choice, Cuts, Lane, choose_lanes, lessen_lanes, list_lanes
from underfoot.laying.leads import APART, find_end, list_ways
from underfoot.laying.rows import Laid, LaidRow, make_rows
from underfoot.laying.strips import LaidStrip, lay_piece, list_drawn, unite
from underfoot.laying.wiring import (
    MOST_A,
    Draft,
    Floor,
    amps_of_mm,
    choose_drafts,
    draft_wiring,
    find_fixed_box,
)
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
NO_DOORS = Doors()
# Strips leave no gap narrower than this between them, mm; the check decides.
_GAP = 1000.0
# So many ways of laying are put to the check.
_MOST_CHECKED = 24
# Directions that heat less than this share of the best are not tried.
_NEARLY = 0.9
# What is drawn is gone on with in its direction where that heats so much of the best.
_IN_LINE = 0.75


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
    doors = find_doors(room, settings)
    floor = _free_floor(room, settings)
    if doors.screwed:
        amps = amps_of_mm(facts, film) * float(floor.area) / film.width
        leads = max(1, math.ceil(amps / MOST_A))
        floor = floor.difference(shapely.union_all(doors.keep_strips_off(leads, APART)))
    open_m2 = float(floor.area) / 1e6
    drawn = list_drawn(room)
    drawn_m2 = sum(piece.length * piece.width for piece in drawn) / 1e6
    choices = _choose(room, floor, drawn, cuts, wishes) if wishes.more else []
    if not choices and not drawn:
        raise CannotLayError(
            f"no strip of {film.id}, {film.width:g} mm wide and {cuts.shortest:g} mm long or "
            "more, fits on the floor that is left open"
        )
    left = floor.difference(unite(drawn)) if drawn else floor
    bounds = [bound_heated(frame.seen(left), cuts, choice.most) for frame, choice in choices]
    bound = max(bounds, default=0.0) * film.width / 1e6 + drawn_m2
    known = max((choice.most for _, choice in choices), default=0.0) * film.width / 1e6 + drawn_m2
    most = max((choice.heated for _, choice in choices), default=0.0)
    # Directions that heat almost as much are tried, too: the leads may lie better there; the others
    # only where no lead reaches what these lay.
    near = [each for each in choices if each[1].heated >= _NEARLY * most]
    others = [each for each in choices if each[1].heated < _NEARLY * most]
    is_found = False
    for some in (near, others) if wishes.more else ([],):
        floors = [
            Floor(frame=frame, rows=rows, chosen=lessened.heated, drawn=drawn)
            for frame, choice in some
            for lessened in (_lessen(choice, cuts, wishes.share),)
            for rows in dict.fromkeys(
                join_rows(room, frame, lessened, cuts, drawn, doors, at_end=at_end, turn=turn)
                for at_end in (False, True)
                for turn in ((True, False) if doors.floors else (True,))
            )
            if rows
        ]
        if not wishes.more and drawn:
            floors = [Floor(frame=make_frame("x"), rows=(), chosen=0.0, drawn=drawn)]
        drafts: list[Draft] = []
        for each in floors:
            drafts += draft_wiring(facts, room, film, each, wishes, most, doors)
        drafts.sort(key=lambda draft: draft.cost)
        for draft, sensor in islice(choose_drafts(drafts, room, doors), _MOST_CHECKED):
            is_found = True
            laying = write_laying(facts, room, data, film, draft, sensor, bound, known, open_m2)
            yield laying if wishes.share == 1.0 else replace(laying, less=())
        if is_found:
            return
    raise CannotLayError(_say_unreached(room, wishes))


def _say_unreached(room: RoomFacts, wishes: Wishes) -> str:
    """Say that strips are not reached from the junction box: from anywhere, or from its place."""
    box = find_fixed_box(room, wishes)
    if box is None:
        return (
            "strips fit, but no place for the junction box was found from which leads reach them "
            "along the walls, and the sensor's conduit reaches deep enough below them"
        )
    off = float(room.outline.exterior.distance(shapely.Point(box)))
    where = f"; it lies {off:.0f} mm off the nearest wall: put it on one" if off >= 1.0 else ""
    return (
        f"strips fit, but from the junction box at {point_text(*box)} leads do not reach them "
        "along the walls, or the sensor's conduit not deep enough below them"
        f"{where or ': put it elsewhere on a wall'}"
    )


def _choose(
    room: RoomFacts, floor: Any, drawn: Sequence[LaidStrip], cuts: Cuts, wishes: Wishes
) -> list[tuple[Frame, Choice]]:
    """Choose lanes in each direction that is worth trying, beside what is drawn."""
    frames = [make_frame(wishes.along)] if wishes.along else list_frames(room.outline)
    as_drawn = {piece.along for piece in drawn}
    if drawn and not wishes.along:
        frames = list(
            {each.along: each for each in (*map(make_frame, sorted(as_drawn)), *frames)}.values()
        )
    left = floor.difference(unite(drawn)) if drawn else floor
    choices = []
    for frame in frames:
        lanes = list_lanes(frame.seen(left), cuts)
        choice = choose_lanes(lanes, cuts, _GAP)
        if choice.heated:
            choices.append((frame, choice))
            if drawn:
                # Of as good a choice the one that lies the other way may butt on what is drawn.
                turned = choose_lanes(_turn(lanes, cuts), cuts, _GAP)
                choices.append((frame, replace(turned, lanes=tuple(_turn(turned.lanes, cuts)))))
    most = max((choice.heated for _, choice in choices), default=0.0)
    in_line = [
        (frame, choice)
        for frame, choice in choices
        if frame.along in as_drawn and choice.heated >= _IN_LINE * most
    ]
    # Nobody goes on across what is drawn where it is not worth it.
    return in_line or choices


def _turn(lanes: Sequence[Lane], cuts: Cuts) -> list[Lane]:
    return [replace(lane, u=-lane.u - cuts.width) for lane in reversed(lanes)]


def _lessen(choice: Choice, cuts: Cuts, share: float) -> Choice:
    if share == 1.0:
        return choice
    lanes = lessen_lanes(choice.lanes, cuts, share)
    return replace(choice, lanes=lanes, heated=sum(lane.heated for lane in lanes))


def join_rows(
    room: RoomFacts,
    frame: Frame,
    choice: Choice,
    cuts: Cuts,
    drawn: Sequence[LaidStrip] = (),
    doors: Doors = NO_DOORS,
    *,
    at_end: bool,
    turn: bool = True,
) -> tuple[LaidRow, ...]:
    """Make rows of chosen lanes, each joined at the side that the way along the walls passes.

    `at_end` counts where both do. A strip that no way passes at either end, or past strips that are
    drawn alone, is left out. One that would be joined in a doorway is joined at its other end
    (`turn`), or cut back.
    """
    sides = {each: make_rows(choice.lanes, cuts, at_end=each) for each in (False, True)}
    inner = room.outline.representative_point()
    ways = list_ways(room.outline, room.fixtures, inner, 1, doors=doors)
    if not ways:
        return ()

    barred = unite(drawn).buffer(-1.0) if drawn else None

    def is_passed(strip: Laid) -> bool:
        end = find_end(lay_piece("", 0, strip, frame, cuts.width, 0.0), ways[0])
        if end is None or barred is None:
            return end is not None
        return not barred.intersects(shapely.LineString([end.point, end.drop]))

    rows = []
    for at_start, at_far in zip(sides[False], sides[True], strict=True):
        both = {False: at_start, True: at_far}
        reached = {side: sum(map(is_passed, row.laid)) for side, row in both.items()}
        side = at_end if reached[at_end] >= reached[not at_end] else not at_end
        strips = [
            choose_end(
                [
                    each
                    for each in (strip, replace(strip, at_end=not strip.at_end))
                    if is_passed(each)
                ],
                frame,
                cuts,
                doors,
                turn=turn,
            )
            for strip in both[side].laid
        ]
        while strips and strips[-1] is None:
            strips.pop()
        while strips and strips[0] is None:
            del strips[0]
        if strips:
            rows.append(LaidRow(strips=tuple(strips), at_end=side))
    return tuple(rows)


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
