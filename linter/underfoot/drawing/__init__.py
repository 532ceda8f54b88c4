"""A room drawn on a sheet, findings marked by number; its boards and membrane on their own."""

from underfoot.drawing.body import SheetOptions, choose_options, draw_alone, draw_body
from underfoot.drawing.drawing import LAYERS, USUAL_LAYERS, Untold, choose_layers
from underfoot.drawing.lining import LINED, draw_linings
from underfoot.drawing.sheet import draw_room, draw_sheets

__all__ = [
    "LAYERS",
    "LINED",
    "USUAL_LAYERS",
    "SheetOptions",
    "Untold",
    "choose_layers",
    "choose_options",
    "draw_alone",
    "draw_body",
    "draw_linings",
    "draw_room",
    "draw_sheets",
]
