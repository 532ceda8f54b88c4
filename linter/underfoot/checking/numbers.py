"""Numbers as text, so that a value never looks equal to a limit that it misses."""

import math
from collections.abc import Sequence

from underfoot.checking.finding import NOISE

# Decimals that a reader on site can use, by unit.
_DECIMALS = {
    "mm": 1,
    "m": 2,
    "m2": 2,
    "A": 2,
    "mA": 1,
    "VA": 0,
    "V": 1,
    "%": 1,
    "W": 0,
    "W/m2": 1,
    "degC": 1,
    "K": 1,
    "ohm": 1,
    "Mohm": 2,
    "m2 K/W": 3,
    "W/m/K": 3,
    "ms": 1,
    "days": 0,
}
_SYMBOLS = {
    "m2": "m²",
    "mm2": "mm²",
    "W/m2": "W/m²",
    "degC": "°C",
    "ohm": "Ω",
    "Mohm": "MΩ",
    "m2 K/W": "m² K/W",
    "W/m2/K": "W/m²/K",
    "m3": "m³",
    "deg": "°",
}


def format_quantity(value: float, unit: str, apart_from: float | None = None) -> str:
    """Write `value` with its unit; more decimals where it would else read like `apart_from`."""
    decimals = _DECIMALS.get(unit, 2)
    text = _rounded(value, decimals)
    if apart_from is not None and abs(value - apart_from) > NOISE:
        while decimals < 9 and float(text) == float(_rounded(apart_from, decimals)):
            decimals += 1
            text = _rounded(value, decimals)
    symbol = _SYMBOLS.get(unit, unit)
    if unit == "days" and text == "1":
        symbol = "day"
    return f"{text}{'' if symbol == '°' else ' '}{symbol}"


def format_at_least(value: float, unit: str) -> str:
    """Write what is to be at least `value`: rounded up, so that it is enough."""
    scale = 10 ** _DECIMALS.get(unit, 2)
    return format_quantity(math.ceil((value - NOISE) * scale) / scale, unit)


def format_at_most(value: float, unit: str) -> str:
    """Write what is to be at most `value`: rounded down, so that it is not too much."""
    scale = 10 ** _DECIMALS.get(unit, 2)
    return format_quantity(math.floor((value + NOISE) * scale) / scale, unit)


def format_limit(value: float, unit: str, choices: Sequence[str] = ()) -> str:
    """Write a limit: the word that it stands for where it has choices, else its quantity."""
    return choices[round(value)] if choices else format_quantity(value, unit)


def format_size(size_mm2: float, text: str | None = None) -> str:
    """Write a conductor's size: ``2.5 mm²``, with the gauge where the plan gives that."""
    size = f"{size_mm2:.3g} mm²"
    return f"{text} ({size})" if text is not None and "AWG" in text.upper() else size


def _rounded(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
