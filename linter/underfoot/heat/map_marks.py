"""What a temperature picture needs beside its colours: fixtures, the limit, a profile."""

import math
from collections.abc import Iterable, Iterator
from xml.sax.saxutils import escape

import numpy as np
from msgspec import Struct

from underfoot.checking.facts.room import RoomFacts
from underfoot.drawing.lettering import width_of
from underfoot.heat.isotherms import Point
from underfoot.heat.picture import HeatPicture
from underfoot.physics.field import Floats
from underfoot.reporting.layout import escape_invisible

LIMIT_INK = "#c00018"
HIGH = 150.0
"""How high the profile is, in the picture's units."""
# How wide the label of the air's temperature is, with room round it.
_AIR_WIDE = 120.0


class Place(Struct, frozen=True, kw_only=True):
    """How the room lies on the picture: `unit` mm to one of its units, `tall` units high."""

    x: float
    y: float
    unit: float
    tall: float

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Find a place of the room on the picture."""
        return (x - self.x) / self.unit, self.tall - (y - self.y) / self.unit

    def back(self, x: float, y: float) -> tuple[float, float]:
        """Find a place of the picture in the room."""
        return self.x + x * self.unit, self.y + (self.tall - y) * self.unit

    def ring(self, corners: Iterable[Point]) -> str:
        """Write a closed way of the room as a path of the picture."""
        pairs = (f"{x:.1f} {y:.1f}" for x, y in (self.at(*corner) for corner in corners))
        return f"M{'L'.join(pairs)}Z"


class Profile(Struct, frozen=True, kw_only=True):
    """The surface along the line through the warmest place, along x or y at `off` mm.

    `places` and `values` have as many entries; a value is NaN outside the room.
    """

    along_x: bool
    off: float
    places: Floats
    values: Floats


def find_limit(facts: RoomFacts) -> tuple[float, str] | None:
    """Find the warmest that the coverings of a room allow, and whose figure that is."""
    told = [
        (area.covering.warmest_surface_c, area.covering.id)
        for area in facts.drawn.coverings
        if area.covering.warmest_surface_c is not None
    ]
    return min(told, default=None)


def find_profile(picture: HeatPicture) -> Profile:
    """Take the surface along the longer side of the room, through its warmest place."""
    # The last bits of a solution differ between machines; of places as warm the first is taken.
    warm = np.round(np.nan_to_num(picture.surface_c, nan=-np.inf), 3)
    row, column = np.unravel_index(int(np.argmax(warm)), warm.shape)
    x, y = picture.grid.centres
    if picture.grid.columns >= picture.grid.rows:
        return Profile(along_x=True, off=float(y[row, 0]), places=x[row],
                       values=picture.surface_c[row])  # fmt: skip
    return Profile(along_x=False, off=float(x[0, column]), places=y[:, column],
                   values=picture.surface_c[:, column])  # fmt: skip


def draw_fixtures(facts: RoomFacts, place: Place, wide: float) -> Iterator[str]:
    """Draw what stands on the floor, its name whole within the picture."""
    for fixture, polygon in facts.fixtures:
        dashes = "" if fixture.is_standing else ' stroke-dasharray="9 4"'
        yield (
            f'<path d="{place.ring(fixture.outline)}" fill="none" stroke="#000" '
            f'stroke-width="1.5"{dashes}/>'
        )
        on_floor = polygon.intersection(facts.outline)
        if on_floor.is_empty:
            continue
        middle = on_floor.representative_point()
        x, y = place.at(middle.x, middle.y)
        half = width_of(fixture.id, 17.0) / 2
        x = min(max(x, half), wide - half)
        yield (
            f'<text x="{x:.1f}" y="{y + 6:.1f}" font-size="17" text-anchor="middle" stroke="#fff" '
            f'stroke-width="4" paint-order="stroke">{escape(escape_invisible(fixture.id))}</text>'
        )


def draw_line(profile: Profile, place: Place, wide: float) -> str:
    """Draw the line of the profile over the map, with its letters."""
    (x1, y1), (x2, y2) = _ends(profile, place, wide)
    line = (
        f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" fill="none" stroke="#000" '
        'stroke-width="1.5" stroke-dasharray="18 5 3 5"/>'
    )
    letters = "".join(
        f'<text x="{x:.1f}" y="{y:.1f}" font-weight="bold" text-anchor="middle" '
        f'stroke="#fff" stroke-width="4" paint-order="stroke">{letter}</text>'
        for x, y, letter in place_letters(profile, place, wide)
    )
    return line + letters


def place_letters(profile: Profile, place: Place, wide: float) -> list[tuple[float, float, str]]:
    """Place the letters at the ends of the profile's line, inside the picture."""
    (x1, y1), (x2, y2) = _ends(profile, place, wide)
    if profile.along_x:
        return [(x1 + 12, y1 - 6, "A"), (x2 - 12, y2 - 6, "B")]
    return [(x1, y1 - 6, "A"), (x2, y2 + 22, "B")]


def _ends(profile: Profile, place: Place, wide: float) -> tuple[Point, Point]:
    if profile.along_x:
        _, y = place.at(0.0, profile.off)
        return (0.0, y), (wide, y)
    x, _ = place.at(profile.off, 0.0)
    return (x, place.tall), (x, 0.0)


def draw_profile(
    profile: Profile,
    picture: HeatPicture,
    limit: tuple[float, str] | None,
    reach: tuple[float, float],
    where: tuple[float, float],
) -> Iterator[str]:
    """Draw the temperatures along the line, from A to B, with the air's and the limit.

    `reach` is the lowest and the highest temperature shown, `where` the top and the width.
    """
    (low, high), (top, wide) = reach, where
    first, last = float(profile.places[0]), float(profile.places[-1])

    def across(place: float) -> float:
        return (place - first) / ((last - first) or 1.0) * wide

    def up(value: float) -> float:
        return top + HIGH - (value - low) / (high - low) * HIGH

    yield (
        f'<rect x="0" y="{top:.0f}" width="{wide:.0f}" height="{HIGH:.0f}" fill="none" '
        'stroke="#000" stroke-width="1"/>'
    )
    path = ""
    pen = "M"
    for place, value in zip(profile.places.tolist(), profile.values.tolist(), strict=True):
        if value != value:
            pen = "M"
            continue
        path += f"{pen}{across(place):.1f} {up(value):.1f}"
        pen = "L"
    yield f'<path d="{path}" fill="none" stroke="#000" stroke-width="2.5"/>'
    axis = "y" if profile.along_x else "x"
    yield (
        f'<text x="0" y="{top - 8:.0f}">surface from A to B, at {axis} = {profile.off:.0f} mm, '
        f"through the warmest place: {float(np.nanmax(profile.values)):.1f} °C</text>"
    )
    air = picture.room_c
    if low <= air <= high:
        yield f'<path d="M0 {up(air):.1f}H{wide:.0f}" stroke="#555" stroke-dasharray="4 5"/>'
        x, over = _beside_curve(profile, air, wide)
        yield (
            f'<text x="{x:.0f}" y="{up(air) + (-5 if over else 16):.1f}" font-size="16">'
            f"air {air:g} °C</text>"
        )
    if limit is not None and low <= limit[0] <= high:
        yield (
            f'<path d="M0 {up(limit[0]):.1f}H{wide:.0f}" stroke="{LIMIT_INK}" stroke-width="2.5" '
            'stroke-dasharray="14 5"/>'
        )
        yield (
            f'<text x="{wide:.0f}" y="{top - 8:.0f}" font-size="16" text-anchor="end" '
            f'fill="{LIMIT_INK}">{say_limit(limit)}</text>'
        )


def _beside_curve(profile: Profile, air: float, wide: float) -> tuple[float, bool]:
    """Find where the curve leaves room for the label of the air, and whether over the line."""
    count = len(profile.values)
    reach = max(1, math.ceil(count * _AIR_WIDE / wide))
    off = np.nan_to_num(profile.values - air, nan=0.0)
    spots = range(0, max(1, count - reach), max(1, count // 40))
    # The label stands over its line where the curve is far above, else where it is far below.
    best = max(spots, key=lambda spot: (round(float(off[spot : spot + reach].min()), 1), -spot))
    return best / count * wide + 6.0, bool(off[best : best + reach].min() > 0.0)


def say_limit(limit: tuple[float, str]) -> str:
    """Say what the limit is and whose."""
    return f"at most {limit[0]:g} °C: {escape(escape_invisible(limit[1]))}"
