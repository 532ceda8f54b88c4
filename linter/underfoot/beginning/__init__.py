"""A plan's beginning: an outline from a tape or a drawing, written as a plan with its blanks."""
