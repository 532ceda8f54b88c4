"""A class's submissions for one brief -> marks with their reasons, sheets, and exercises."""
