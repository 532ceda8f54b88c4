"""What is expected of a rule, said in one line."""

from functools import partial

from underfoot.api.rules import Expected, Severity


def expect(rule: str, room: str | None, *items: str, severity: Severity | None = None) -> Expected:
    """A finding about these things of a room, or of the whole plan where it is None."""
    return Expected(rule=rule, room=room, items=items, severity=severity)


error = partial(expect, severity="error")
warning = partial(expect, severity="warning")
