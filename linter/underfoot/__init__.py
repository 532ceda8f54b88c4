"""Checks plans of electric floor heating laid as film before a roll is cut."""

__version__ = "0.1.0"
