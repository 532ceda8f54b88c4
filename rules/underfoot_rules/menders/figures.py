"""Writes figures of the planner's own as they were meant, where a slip leaves no doubt."""

import re
from collections.abc import Iterator

from underfoot.api.physics import conductors
from underfoot.api.rules import Mender, Proposal, ToMend, below, read_quantity
from underfoot_rules.figures import plausible
from underfoot_rules.figures.plausible import Range
from underfoot_rules.figures.slips import SLIPS
from underfoot_rules.menders.laid import is_handed_over, is_laid
from underfoot_rules.menders.protection import RCDS_MA
from underfoot_rules.menders.spelled import parts_of, put, stands
from underfoot_rules.menders.written import Path, look_up

# What the planner chooses. All else records a fact: what was measured or found, what a maker
# states, what the supply has. Of that nobody guesses what was meant.
_CHOSEN: tuple[tuple[re.Pattern[str], tuple[Range, ...]], ...] = (
    (re.compile(r"circuits\.[^.]+"), plausible.CIRCUIT),
    (re.compile(r"circuits\.[^.]+\.(cable|links\.\d+)"), plausible.CABLE),
    (re.compile(r"rooms\.[^.]+\.leads\.[^.]+"), plausible.LEAD),
    (re.compile(r"rooms\.[^.]+\.thermostat"), plausible.THERMOSTAT),
    (re.compile(r"rooms\.[^.]+\.thermostat\.contactor"), plausible.CONTACTOR),
    (re.compile(r"rooms\.[^.]+\.junction_box"), plausible.JUNCTION_BOX),
    (re.compile(r"rooms\.[^.]+\.sensor"), plausible.SENSOR),
    (re.compile(r"rooms\.[^.]+\.sensor\.channel"), plausible.CHANNEL),
    (re.compile(r"rooms\.[^.]+\.sensor\.conduit"), plausible.CONDUIT),
    (re.compile(r"rooms\.[^.]+\.grid"), plausible.GRID),
)
# Within this factor of what a figure mostly is it is usual; less than the root of ten.
_NEAR = 3.0
_SAME = 1e-6
# What lies below the floor once it is laid.
_LAID = re.compile(r"rooms\.[^.]+\.(leads|sensor|grid)\.")


def write_what_is_meant(found: ToMend) -> Iterator[Proposal]:
    """Propose the figure that one slip of the pen makes of what stands there, and no other."""
    holder, _, key = found.path.rpartition(".")
    path = parts_of(found.data, found.path)
    if not stands(found.data, path) or is_handed_over(found.facts):
        return
    if _LAID.match(found.path) and is_laid(found.facts, str(path[1])):
        return
    for pattern, ranges in _CHOSEN:
        if pattern.fullmatch(holder):
            for figure in ranges:
                if figure.key == key:
                    yield from _unslip(found, path, figure)


def _unslip(found: ToMend, path: Path, figure: Range) -> Iterator[Proposal]:
    written = look_up(found.data, path)
    if not isinstance(written, str | int | float) or figure.unit == "degC":
        return
    value = read_quantity(written, figure.unit)
    meant = [value * slip for slip in SLIPS if figure.least <= value * slip <= figure.most]
    likely = [each for each in meant if _is_usual(each, figure)]
    if len(likely) != 1:
        return
    edit = put(found.data, path, likely[0], figure.unit)
    yield Proposal(
        says=f"Write `{figure.key}: {edit.value}`, if that is what is meant.", edits=(edit,)
    )


def _is_usual(value: float, figure: Range) -> bool:
    """Tell whether a figure is near what such a one mostly is, and a thing of it is made.

    Of slips that are tens apart one alone is so near.
    """
    made = {"mm2": conductors.list_sizes(), "mA": RCDS_MA}.get(figure.unit)
    if made is not None:
        return any(abs(value - each) < _SAME for each in made)
    return figure.typical / _NEAR <= value <= figure.typical * _NEAR


def take_made_breaker(found: ToMend) -> Iterator[Proposal]:
    """Propose the smallest breaker that is made and carries the current."""
    path = parts_of(found.data, found.path)
    protection = found.facts.protections.get(found.items[0])
    if path[-1:] != ("breaker",) or protection is None or is_handed_over(found.facts):
        return
    asked_a = protection.current_a * found.facts.limits["breaker-rating"]["of_current"] / 100
    for rating in [each for each in conductors.STANDARD_RATINGS_A if not below(each, asked_a)][:1]:
        yield Proposal(
            says=f"Fit a breaker rated {rating:g} A to circuit {protection.id}.",
            edits=(put(found.data, path, rating, "A"),),
        )


MENDERS = (
    Mender(rule="odd-figure", propose=write_what_is_meant),
    Mender(rule="odd-figure", propose=take_made_breaker),
)
