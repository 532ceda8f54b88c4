"""A room drawn on a sheet, findings marked by number."""

from underfoot.reporting.drawing.drawing import LAYERS, USUAL_LAYERS
from underfoot.reporting.drawing.sheet import SheetOptions, draw_body, draw_room

__all__ = ["LAYERS", "USUAL_LAYERS", "SheetOptions", "draw_body", "draw_room"]
