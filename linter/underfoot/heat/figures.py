"""The figures of a temperature picture as text and as JSON."""

import json
from collections.abc import Sequence
from typing import Any

from underfoot.checking.caution import CAUTION
from underfoot.heat.picture import COLD_WITHIN, HeatPicture
from underfoot.reporting.json import spell_out
from underfoot.reporting.layout import WIDTH, hanging_indent, wrap


def write_heat_text(pictures: Sequence[HeatPicture], undecided: Sequence[tuple[str, str]]) -> str:
    """Write the figures of every room, and why some have none."""
    lines: list[str] = []
    for picture in pictures:
        lines += [f"Room {picture.called}, surface of the floor at full output, steady", ""]
        rows = [
            ("heated floor", f"{picture.mean_c:.1f} °C on average, "
             f"{picture.least_c:.1f} to {picture.most_c:.1f} °C"),
            ("spread", f"nine tenths of it within {picture.spread_k:.1f} K"),
            ("cold floor", f"{picture.cold_share:.1f} % of the room's floor is less than "
             f"{COLD_WITHIN:g} K over the room{_deepest(picture)}"),
            ("heat", f"{picture.in_w:.0f} W in, {picture.up_w:.0f} W up, "
             f"{picture.down_w:.0f} W down"),
            ("temperatures", f"room {picture.room_c:g} °C, below {picture.below_c:g} °C"),
            ("cells", f"{picture.grid.cell:.1f} mm wide"),
        ]  # fmt: skip
        if picture.sensor is not None:
            rows.insert(3, ("sensor", f"the film there is at {picture.sensor.film_c:.1f} °C, "
                            f"{picture.sensor.off_mean_k:+.1f} K off the film's mean"))  # fmt: skip
        rows += [(name, said) for name, said in picture.layers]
        for name, said in rows:
            lines += hanging_indent(f"  {name:16} ", said, WIDTH, 19)
        lines.append("")
    for room, why in undecided:
        lines += [*wrap(f"Room {room} could not be pictured: {why}.", WIDTH), ""]
    lines += wrap(f"CAUTION: {CAUTION}", WIDTH)
    return "\n".join(lines) + "\n"


def _deepest(picture: HeatPicture) -> str:
    if picture.coldest is None:
        return ""
    x, y = picture.coldest
    return f"; the middle of the widest such part is [{x:.0f}, {y:.0f}]"


def write_heat_json(pictures: Sequence[HeatPicture], undecided: Sequence[tuple[str, str]]) -> str:
    """Write the same figures as JSON, `heat_format` 1; lengths in mm, temperatures in degC."""
    rooms: list[dict[str, Any]] = [
        {
            "room": picture.room,
            "room_temperature_c": picture.room_c,
            "below_temperature_c": picture.below_c,
            "cell": round(picture.grid.cell, 3),
            "heat_in_w": round(picture.in_w, 3),
            "heat_up_w": round(picture.up_w, 3),
            "heat_down_w": round(picture.down_w, 3),
            "surface_mean_c": round(picture.mean_c, 3),
            "surface_least_c": round(picture.least_c, 3),
            "surface_most_c": round(picture.most_c, 3),
            "surface_spread_k": round(picture.spread_k, 3),
            "cold_share_percent": round(picture.cold_share, 3),
            "coldest": None
            if picture.coldest is None
            else [round(value, 1) for value in picture.coldest],
            "sensor": None
            if picture.sensor is None
            else {
                "film_c": round(picture.sensor.film_c, 3),
                "off_mean_k": round(picture.sensor.off_mean_k, 3),
            },
            "layers": [{"name": name, "said": said} for name, said in picture.layers],
        }
        for picture in pictures
    ]
    whole = {
        "heat_format": 1,
        "caution": CAUTION,
        "rooms": rooms,
        "undecided": [{"room": room, "why": why} for room, why in undecided],
    }
    return spell_out(json.dumps(whole, ensure_ascii=False, indent=2)) + "\n"
