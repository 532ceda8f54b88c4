"""What is taken of heat where a plan says nothing, from the limits in force."""

from collections.abc import Mapping

from underfoot.checking.facts.stack import Assumptions
from underfoot.checking.rule import LimitUse
from underfoot.checking.settings import Settings

# What is taken where a plan says nothing, by what a rule's limit serves for.
TAKEN: Mapping[str, LimitUse] = {
    "inside_c": "room",
    "bathroom_c": "bathroom",
    "heated_c": "heated space",
    "unheated_c": "unheated space",
    "ground_c": "ground",
    "space_m2k_w": "surface to a space",
    "open_air_m2k_w": "surface to the open air",
    "ground_w_mk": "conductivity of the ground",
    "wall": "outside walls",
}


class NothingTakenError(Exception):
    """Names what no rule set that is used says a figure for."""

    def __init__(self, missing: tuple[str, ...]) -> None:
        super().__init__(", ".join(missing))
        self.missing = missing


def gather_assumptions(settings: Settings) -> Assumptions:
    """Gather what is taken; NothingTakenError where the rules do not say all of it."""
    taken = {name: settings.served(use) for name, use in TAKEN.items()}
    missing = tuple(TAKEN[name] for name, limit in taken.items() if limit is None)
    if missing:
        raise NothingTakenError(missing)
    return Assumptions(**{name: limit.value for name, limit in taken.items() if limit is not None})
