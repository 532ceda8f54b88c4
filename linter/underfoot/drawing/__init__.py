"""A room drawn on a sheet, findings marked by number."""

from underfoot.drawing.body import SheetOptions, choose_options, draw_alone, draw_body
from underfoot.drawing.drawing import LAYERS, USUAL_LAYERS, Untold, choose_layers
from underfoot.drawing.sheet import draw_room, draw_sheets

__all__ = [
    "LAYERS",
    "USUAL_LAYERS",
    "SheetOptions",
    "Untold",
    "choose_layers",
    "choose_options",
    "draw_alone",
    "draw_body",
    "draw_room",
    "draw_sheets",
]
