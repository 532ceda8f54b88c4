"""A temperature picture as SVG: colours even to the eye, isotherms, a scale, and the figures."""

import base64
import math
import struct
import zlib
from collections.abc import Iterator
from typing import Any
from xml.sax.saxutils import escape

import numpy as np
import shapely

from underfoot.checking.caution import CAUTION
from underfoot.checking.facts.room import RoomFacts
from underfoot.heat.isotherms import trace_isotherms
from underfoot.heat.map_marks import (
    HIGH,
    LIMIT_INK,
    Place,
    draw_fixtures,
    draw_line,
    draw_profile,
    find_limit,
    find_profile,
    place_letters,
    say_limit,
)
from underfoot.heat.picture import HeatPicture
from underfoot.physics.field import Floats
from underfoot.reporting.layout import escape_invisible

# Ends of the scale in OKLab: from a dark blue to a light yellow in a straight line. Lightness alone
# tells the order, so it reads in grey and by eyes that mix up red and green.
_COLD = (0.30, 0.01, -0.12)
_WARM = (0.94, -0.02, 0.13)
_WIDE = 1000.0
"""Width of the map in the picture's units; text is sized by it."""
_LABELS_APART = 60.0
# Nearer to the room's air a line is drawn by what the solution is off, not by the floor (K).
_NOISE_K = 0.5
# A label stands so far inside the walls, in the picture's units; half of 20.5 is 19 with its halo.
_OFF_WALLS = 20.0
# Where on its line a label is tried, as shares of the line.
_SHARES = (0.1, 0.35, 0.6, 0.85, 0.2, 0.45, 0.7, 0.95, 0.3, 0.55, 0.8, 0.05, 0.4, 0.65, 0.9, 0.15,
           0.5, 0.75, 0.0, 0.25)  # fmt: skip


def colour_at(share: float) -> tuple[int, int, int]:
    """Return the sRGB colour at a share, 0 to 1, of the scale."""
    lab = [cold + (warm - cold) * share for cold, warm in zip(_COLD, _WARM, strict=True)]
    rgb = _srgb(np.array([lab]))[0]
    return (int(rgb[0]), int(rgb[1]), int(rgb[2]))


def draw_heat_map(picture: HeatPicture, facts: RoomFacts, title: str) -> str:
    """Draw a room's surface temperatures at full output."""
    return "\n".join(_draw(picture, facts, title)) + "\n"


def _draw(picture: HeatPicture, facts: RoomFacts, title: str) -> Iterator[str]:
    grid = picture.grid
    width, height = grid.columns * grid.cell, grid.rows * grid.cell
    unit = width / _WIDE
    tall = height / unit
    limit = find_limit(facts)
    low, high, step = _steps(picture, limit)
    place = Place(x=grid.x, y=grid.y, unit=unit, tall=tall)
    floor = facts.outline.buffer(-_OFF_WALLS * unit)
    profile = find_profile(picture)
    below = tall + HIGH + 60
    full = below + 330
    yield (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="-20 -70 {_WIDE + 40:.0f} {full:.0f}" '
        'font-family="system-ui, sans-serif" font-size="20" role="img">'
    )
    name = escape(escape_invisible(title))
    yield f"<title>{name}: surface temperatures at full output</title>"
    yield '<rect x="-20" y="-70" width="100%" height="100%" fill="#fff"/>'
    yield f'<text x="0" y="-34" font-size="28" font-weight="bold">{name}</text>'
    yield (
        f'<text x="0" y="-8">surface of the floor at full output, steady; room {picture.room_c:g} '
        f"°C, below {picture.below_c:g} °C</text>"
    )
    yield (
        f'<image x="0" y="0" width="{_WIDE:.0f}" height="{tall:.1f}" preserveAspectRatio="none" '
        f'href="data:image/png;base64,{_png(picture.surface_c, low, high)}"/>'
    )
    yield '<g fill="none" stroke="#000" stroke-width="1.2">'
    labels: list[tuple[float, float, str]] = []
    letters = place_letters(profile, place, _WIDE)
    for level in np.arange(math.ceil(low / step) * step, high + 1e-9, step).tolist():
        if abs(level - picture.room_c) < _NOISE_K:
            continue
        lines = trace_isotherms(picture.surface_c, level)
        if not lines:
            continue
        path = "".join(_path(line, grid.cell / unit, tall) for line in lines)
        yield f'<path d="{path}" stroke-opacity="0.55"/>'
        spot = _free_spot(max(lines, key=len), grid.cell / unit, place, [*letters, *labels], floor)
        if spot is not None:
            labels.append((*spot, f"{level:g}"))
    yield "</g>"
    if limit is not None:
        for way in trace_isotherms(picture.surface_c, limit[0]):
            yield (
                f'<path d="{_path(way, grid.cell / unit, tall)}" fill="none" '
                f'stroke="{LIMIT_INK}" stroke-width="3.5" stroke-dasharray="14 5" class="limit"/>'
            )
    yield _outlines(facts, place)
    yield draw_line(profile, place, _WIDE)
    yield from draw_fixtures(facts, place, _WIDE)
    for x, y, text in labels:
        yield (
            f'<text x="{x:.1f}" y="{y + 6:.1f}" font-size="17" text-anchor="middle" stroke="#fff" '
            f'stroke-width="4" paint-order="stroke">{text}</text>'
        )
    yield from _sensor(picture, facts, place)
    yield from _scale(low, high, step, tall + 36)
    if limit is not None and low <= limit[0] <= high:
        x = _WIDE * (limit[0] - low) / (high - low)
        yield f'<path d="M{x:.1f} {tall + 28:.0f}v38" stroke="{LIMIT_INK}" stroke-width="4"/>'
    yield from draw_profile(profile, picture, limit, (low, high), (tall + 130, _WIDE))
    for number, line in enumerate((*_figures(picture), *_beside(picture, limit))):
        yield f'<text x="0" y="{below + 104 + 26 * number:.0f}">{escape(line)}</text>'
    half = CAUTION.index(". It does not") + 1
    for number, line in enumerate((CAUTION[:half], *_halves(CAUTION[half + 1 :]))):
        yield (
            f'<text x="0" y="{below + 204 + 19 * number:.0f}" font-size="15" fill="#333">'
            f"{escape(line)}</text>"
        )
    yield "</svg>"


def _free_spot(
    line: list[tuple[float, float]],
    scale: float,
    place: Place,
    taken: list[tuple[float, float, str]],
    floor: Any,
) -> tuple[float, float] | None:
    """Find a place on a line for its label: on the floor, away from the labels that stand."""
    for share in _SHARES:
        x, y = line[int(share * (len(line) - 1))]
        x, y = x * scale, place.tall - y * scale
        if shapely.contains_xy(floor, *place.back(x, y)) and all(
            math.hypot(x - other[0], y - other[1]) > _LABELS_APART for other in taken
        ):
            return x, y
    return None


def _beside(picture: HeatPicture, limit: tuple[float, str] | None) -> tuple[str, ...]:
    """Say how the floor stands to the limit of its covering."""
    if limit is None:
        return ("what the covering allows at most is not given",)
    most = float(np.nanmax(picture.surface_c))
    off = most - limit[0]
    said = f"{abs(off):.1f} K {'above' if off > 0 else 'below'} it"
    return (f"{say_limit(limit)}; the warmest place is {said}",)


def _halves(text: str) -> tuple[str, str]:
    middle = text.rindex(" ", 0, len(text) // 2 + 12)
    return text[:middle], text[middle + 1 :]


def _steps(picture: HeatPicture, limit: tuple[float, str] | None) -> tuple[float, float, float]:
    """Return the ends of the scale and its steps; a limit that is no farther off is on it."""
    low = float(np.nanmin(picture.surface_c))
    high = float(np.nanmax(picture.surface_c))
    if limit is not None and high < limit[0] < high + (high - low):
        high = limit[0]
    for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0):
        if (high - low) / step <= 10:
            break
    low, high = math.floor(low / step) * step, math.ceil(high / step) * step
    return low, max(high, low + step), step


def _path(line: list[tuple[float, float]], scale: float, tall: float) -> str:
    points = [f"{x * scale:.1f} {tall - y * scale:.1f}" for x, y in line]
    return f"M{'L'.join(points)}"


def _outlines(facts: RoomFacts, place: Place) -> str:
    strips = "".join(place.ring(corners.tolist()) for corners in facts.corners)
    return (
        f'<path d="{strips}" fill="none" stroke="#fff" stroke-opacity="0.5" '
        'stroke-dasharray="5 5"/>'
        f'<path d="{place.ring(facts.drawn.outline)}" fill="none" stroke="#000" stroke-width="3"/>'
    )


def _sensor(picture: HeatPicture, facts: RoomFacts, place: Place) -> Iterator[str]:
    if facts.drawn.sensor is None or picture.sensor is None:
        return
    x, y = place.at(*facts.drawn.sensor.at)
    yield (
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="11" fill="#fff" stroke="#000" stroke-width="3"/>'
        f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.5"/>'
        f'<text x="{x + 18:.1f}" y="{y - 12:.1f}" stroke="#fff" stroke-width="4" '
        f'paint-order="stroke">sensor, film {picture.sensor.film_c:.1f} °C</text>'
    )


def _scale(low: float, high: float, step: float, top: float) -> Iterator[str]:
    stops = "".join(
        f'<stop offset="{share / 20:g}" stop-color="rgb{colour_at(share / 20)}"/>'
        for share in range(21)
    )
    yield f'<defs><linearGradient id="scale">{stops}</linearGradient></defs>'
    yield (
        f'<rect x="0" y="{top:.0f}" width="{_WIDE:.0f}" height="22" fill="url(#scale)" '
        'stroke="#000"/>'
    )
    marks = round((high - low) / step)
    for mark in range(marks + 1):
        x = _WIDE * mark / marks
        anchor = "start" if mark == 0 else "end" if mark == marks else "middle"
        unit = " °C" if mark == marks else ""
        yield f'<path d="M{x:.1f} {top + 22:.0f}v6" stroke="#000"/>'
        yield (
            f'<text x="{x:.1f}" y="{top + 48:.0f}" text-anchor="{anchor}">'
            f"{low + mark * step:g}{unit}</text>"
        )


def _figures(picture: HeatPicture) -> tuple[str, str]:
    sensor = ""
    if picture.sensor is not None:
        off = picture.sensor.off_mean_k
        sensor = f"; the sensor's film {off:+.1f} K off the film's mean"
    return (
        f"heated floor {picture.mean_c:.1f} °C on average, {picture.least_c:.1f} to "
        f"{picture.most_c:.1f} °C{sensor}",
        f"{picture.cold_share:.0f} % of the room's floor stays within 2 K of the room; "
        f"{picture.up_w:.0f} W go up, {picture.down_w:.0f} W down",
    )


def _png(surface: Floats, low: float, high: float) -> str:
    share = np.clip((np.nan_to_num(surface, nan=low) - low) / (high - low), 0.0, 1.0)
    share = np.round(share * 255) / 255  # the last bits of a solution differ between machines
    table = _srgb(
        np.array(_COLD) + (np.array(_WARM) - np.array(_COLD)) * (np.arange(256) / 255)[:, None]
    )
    rgb = table[(share * 255).astype(int)][::-1]
    alpha = np.where(np.isnan(surface), 0, 255)[::-1, :, None]
    rows = np.concatenate((rgb, alpha), axis=2).astype(np.uint8)
    raw = b"".join(b"\x00" + row.tobytes() for row in rows)
    head = struct.pack(">IIBBBBB", surface.shape[1], surface.shape[0], 8, 6, 0, 0, 0)
    chunks = ((b"IHDR", head), (b"IDAT", zlib.compress(raw, 9)), (b"IEND", b""))
    image = b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in chunks
    )
    return base64.b64encode(image).decode("ascii")


def _srgb(lab: Floats) -> np.ndarray:
    """OKLab (n, 3) to sRGB, 0 to 255; the matrices are those that define OKLab."""
    lms = lab @ np.array(
        [
            [1.0, 1.0, 1.0],
            [0.3963377774, -0.1055613458, -0.0894841775],
            [0.2158037573, -0.0638541728, -1.2914855480],
        ]
    )
    linear = lms**3 @ np.array(
        [
            [4.0767416621, -1.2684380046, -0.0041960863],
            [-3.3077115913, 2.6097574011, -0.7034186147],
            [0.2309699292, -0.3413193965, 1.7076147010],
        ]
    )
    linear = np.clip(linear, 0.0, 1.0)
    curved = np.where(linear <= 0.0031308, 12.92 * linear, 1.055 * linear ** (1 / 2.4) - 0.055)
    whole: np.ndarray = np.round(np.clip(curved, 0.0, 1.0) * 255).astype(int)
    return whole
