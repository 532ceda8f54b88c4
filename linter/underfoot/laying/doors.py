"""What doorways ask of a laying: no joints right before them, nothing where screws go."""

from collections.abc import Sequence
from typing import Any

import shapely
from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.facts.doorways import floor_in
from underfoot.checking.facts.room import RoomFacts
from underfoot.checking.settings import Settings
from underfoot.laying.frame import Frame, Point
from underfoot.laying.lanes import Cuts
from underfoot.laying.rows import Laid
from underfoot.laying.strips import lay_piece

# What keeps a little more than the least asked for is still right in whole millimetres; and half
# the width of a new lead, mm.
_SPARE, _HALF = 2.0, 3.0


class Doors(Struct, frozen=True, kw_only=True):
    """The floors in a room's doorways, and those of them where screws go or may go.

    Joints keep so far from the first, leads and strips from the second, mm.
    """

    floors: tuple[Any, ...] = ()
    screwed: tuple[Any, ...] = ()
    joints_off: float = 0.0
    leads_off: float = 0.0

    def has_joint(self, place: Point) -> bool:
        """Tell whether a joint at a place would lie in a doorway or right before one."""
        point = shapely.Point(place)
        return any(shapely.distance(floor, point) < self.joints_off for floor in self.floors)

    def lead_past(self, first_off: float) -> list[Any]:
        """Widen the floors that leads pass, where the one next to the wall is so far off it."""
        by = max(0.0, self.leads_off - first_off)
        return [shapely.buffer(floor, by, join_style="mitre") for floor in self.screwed]

    def keep_strips_off(self, leads: int, apart: float) -> list[Any]:
        """Widen the floors that so many leads pass by what strips leave free for these."""
        by = self.leads_off + _HALF + _SPARE + apart * max(0, leads - 1)
        return [shapely.buffer(floor, by, join_style="mitre") for floor in self.screwed]


def find_doors(room: RoomFacts, settings: Settings) -> Doors:
    """Find the doorways of a room; a threshold that is not described may be screwed."""
    walked = [each for each in room.drawn.openings.values() if each.is_walked_through]
    if not walked:
        return Doors()
    joints, screws = settings.served("joints off doorways"), settings.served("screws of thresholds")
    return Doors(
        floors=tuple(floor_in(room, each) for each in walked) if joints else (),
        screwed=tuple(
            floor_in(room, each) for each in walked if each.threshold in ("screwed", None)
        )
        if screws
        else (),
        joints_off=joints.value + _SPARE if joints else 0.0,
        leads_off=screws.value + _HALF + _SPARE if screws else 0.0,
    )


def clear_joint(strip: Laid, frame: Frame, cuts: Cuts, doors: Doors) -> Laid | None:
    """Return a strip as it is, or cut back where its joint would lie in a doorway."""
    tried = strip
    while tried.length >= cuts.shortest - 1e-6:
        if not doors.has_joint(lay_piece("", 0, tried, frame, cuts.width, 0.0).point):
            return tried
        cut = tried.cut + cuts.step
        start = strip.start if strip.at_end else strip.start + cut
        tried = replace(strip, start=start, length=strip.length - cut, cut=cut)
    return None


def choose_end(
    ends: Sequence[Laid], frame: Frame, cuts: Cuts, doors: Doors, *, turn: bool
) -> Laid | None:
    """Choose the end that a strip is joined at, of those that leads reach, the better first.

    Where the better lies in a doorway the strip is joined at the other (`turn`), or cut back.
    """
    cleared = [each for end in ends if (each := clear_joint(end, frame, cuts, doors)) is not None]
    if not turn:
        return next(iter(cleared), None)
    return min(cleared, key=lambda each: each.cut, default=None)
