"""Compares values with limits, and says so where it is too close to tell."""


class UnclearError(Exception):
    """The damage lies too near to a limit, or in a corner, to say surely what it causes."""


def exceeds(value: float, limit: float, slack: float) -> bool:
    """Tell whether a value surely passes a limit; UnclearError within `slack` of it."""
    if abs(value - limit) < slack:
        raise UnclearError
    return value > limit


def falls_short(value: float, limit: float, slack: float) -> bool:
    """Tell whether a value surely misses a limit; UnclearError within `slack` of it."""
    return not exceeds(value, limit, slack)
