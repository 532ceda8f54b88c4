"""Lays a floor: strips, circuits, leads, box and sensor for a room that has none yet."""
