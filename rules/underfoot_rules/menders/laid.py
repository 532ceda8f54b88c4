"""Tells how far the work is: what is done is a record, and no mend draws it otherwise.

A plan's status tells, or a test of one of the room's circuits: whoever records one after the floor
was covered has covered it, whatever the status still says.
"""

from underfoot.api.facts import Facts

# How far the work is, by the stage of a test or the plan's status.
_CUT, _LAID, _COVERED = 1, 2, 3
_DONE = {
    "made up": _CUT,
    "laid": _LAID,
    "covered": _COVERED,
    "handed over": _COVERED,
}


def is_cut(facts: Facts, room: str | None) -> bool:
    """Tell whether a room's strips are cut and joined: no length and no circuit of one changes.

    Of no room in particular: whether any room's are.
    """
    return _reached(facts, room) >= _CUT


def is_laid(facts: Facts, room: str | None) -> bool:
    """Tell whether a room's insulation, leads, sensor and strips lie where they are drawn."""
    return _reached(facts, room) >= _LAID


def is_covered(facts: Facts, room: str | None) -> bool:
    """Tell whether a room's membrane and covering lie over its strips."""
    return _reached(facts, room) >= _COVERED


def is_handed_over(facts: Facts) -> bool:
    """Tell whether the plan records a floor that is finished, with all that feeds it."""
    return facts.plan.status == "handed over"


def _reached(facts: Facts, room: str | None) -> int:
    found = None if room is None else facts.rooms.get(room)
    circuits = None if found is None else {element.circuit for element in found.elements}
    stages = [facts.plan.status]
    stages += [
        test.stage for test in facts.plan.tests if circuits is None or test.circuit in circuits
    ]
    return max(_DONE.get(stage, 0) for stage in stages)
