"""The sheets that boards and membrane are cut and laid from."""

from underfoot.drawing.lining.sheets import LINED, draw_linings

__all__ = ["LINED", "draw_linings"]
