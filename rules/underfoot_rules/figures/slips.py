"""Slips of the pen: what a figure that cannot be meant was probably meant to be."""

from math import log

from underfoot.api.rules import format_quantity
from underfoot_rules.figures.plausible import Range

# Steps by which figures are miswritten: a unit a thousand times off, a digit too few or too many.
SLIPS = (1000.0, 0.001, 10.0, 0.1, 100.0, 0.01)
# What is written in degrees Celsius and meant in Fahrenheit is room temperature or above.
_ROOM_WARM_C = 18


def guess(value: float, figure: Range) -> str | None:
    """Say what was probably meant: of the slips that bring it into its range the likeliest."""
    meant = [value * slip for slip in SLIPS if figure.least <= value * slip <= figure.most]
    if figure.unit == "degC":
        return _guess_degrees(value, figure, meant)
    if not meant:
        return None
    return write_figure(min(meant, key=lambda each: abs(log(each / figure.typical))), figure.unit)


def _guess_degrees(value: float, figure: Range, meant: list[float]) -> str | None:
    """Degrees are mistaken for others first; what is no whole figure was converted already."""
    celsius, fahrenheit = (value - 32) / 1.8, round(value * 1.8 + 32, 6)
    if value > figure.most and max(_ROOM_WARM_C, figure.least) <= celsius <= figure.most:
        return f"{value:g} degF"
    if value % 1 and not fahrenheit % 1 and figure.least <= fahrenheit <= figure.most:
        return f"{fahrenheit:g} degC"
    if value < figure.most or not meant:
        return None
    return f"{min(meant, key=lambda each: abs(each - figure.typical)):g} degC"


def write_figure(value: float, unit: str) -> str:
    """Write a figure: long lengths in metres, small ones with all the digits that tell."""
    if unit == "mm" and value >= 3000:
        return format_quantity(value / 1000, "m")
    if unit == "mA" and 0 < value < 1:
        return f"{value * 1000:g} µA"
    symbol = format_quantity(0, unit).partition(" ")[2]
    return f"{value:.6g} {symbol}" if abs(value) < 1 else format_quantity(value, unit)
