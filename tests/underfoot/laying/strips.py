"""Strips made by hand."""

from typing import Any

from underfoot.laying.strips import LaidStrip


def strip(name: str, x: float, low: float, high: float, **told: Any) -> LaidStrip:
    """Return a strip of 500 mm along y, about x."""
    row = name.rstrip("0123456789")
    number = int(name.removeprefix(row) or 0)
    more = {"row": row, "number": number, "width": 500.0, "amps": 1.0, **told}
    return LaidStrip(id=name, start=(x, low), end=(x, high), **more)
