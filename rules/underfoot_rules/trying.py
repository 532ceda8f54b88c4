"""What the rules would say of a room drawn otherwise: a figure is advised only where it was tried.

Rules that share nothing with what is changed are left out: a strip that moves changes no circuit.
"""

from collections.abc import Container, Iterable, Mapping
from functools import cache
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import Facts, RoomFacts
from underfoot.api.plan import Courses, Room
from underfoot.api.rules import CannotTell, Finding, Rule, Subjects

# In a larger room nothing is tried: a look at all of it would take longer than the check itself.
MOST_STRIPS = 300
_GRAVITY = ("note", "warning", "error")
# What brings so much is not looked at any further.
MANY = 8
# What moved leads may come to lie in, on or beside.
LEADS = (
    "lead-under-element", "lead-near-heat", "lead-under-fixture", "lead-outside-room",
    "lead-on-lead", "lead-joint", "lead-under-nails", "lead-thickness",
)  # fmt: skip
# What strips and leads may come to lie before.
DOORWAYS = ("threshold-fixing", "doorway-joint")
# What moved strips, or a moved sensor, may mean for the sensor.
SENSOR = (
    "sensor-under-element", "sensor-depth", "sensor-seam", "sensor-other-strip",
    "sensor-near-lead",
)  # fmt: skip
# Where its conduit may come to lie.
CONDUIT = (
    "sensor-way",
    "sensor-near-lead",
    "sensor-channel",
    "sensor-cable-reach",
    "lead-under-nails",
    "threshold-fixing",
)
# What a moved sensor itself may come to lie under or beside.
PLACED = ("sensor-near-heat", "sensor-covered")
# What a strip made shorter or longer changes besides.
CUT = (
    "floor-coverage", "heat-demand", "load-resistance", "strip-readings", "resistance-drift",
)  # fmt: skip
# Where a junction box may come to hang, and where a thermostat.
OPENINGS = ("hung-in-opening", "thermostat-behind-door")
BOX = ("box-place", "box-reach", "bath-zone", "thermostat-place", *OPENINGS)
THERMOSTAT = ("thermostat-place", "bath-zone", "sensor-cable-reach", *OPENINGS)
# Rules that look at one room, and at those that it shares a thermostat with, so that in a plan of
# many rooms each trial need look at few.
NEAR = frozenset(
    {
        *LEADS,
        *DOORWAYS,
        *SENSOR,
        *CONDUIT,
        *PLACED,
        *BOX,
        *THERMOSTAT,
        "strip-gap",
        "floor-coverage",
        "heat-demand",
    }
)
# What another film, or strips that draw more, must suit.
FILM = (
    "film-temperature", "covering-output", "heat-demand", "circuit-current", "breaker-rating",
    "cable-capacity", "thermostat-rating", "voltage-drop", "rcd-leakage", "supply-capacity",
    "source-rating", "load-resistance", "strip-readings", "resistance-drift",
)  # fmt: skip
# Where coverings or boards are not the same everywhere, a strip that moves lies on others.
PARTS = (
    "covering-suits-film", "covering-output", "covering-resistance", "film-temperature",
    "floor-temperature", "floor-limit", "insulation-layers", "insulation-board", "downward-loss",
    "heat-demand",
)  # fmt: skip


class Fault(Struct, frozen=True, kw_only=True):
    """What a rule would find, or could no longer judge."""

    rule: str
    room: str | None
    items: tuple[str, ...]


class _Limits:
    """The numbers in force as one rule sees them."""

    def __init__(self, rule: str, numbers: Mapping[str, Mapping[str, float]]) -> None:
        self._rule, self._numbers = rule, numbers

    def __getitem__(self, key: str) -> float:
        return self._numbers[self._rule][key]

    def of(self, rule: str) -> Mapping[str, float]:
        """Return another rule's limits in force."""
        return self._numbers[rule]


def find_brought(
    facts: Facts,
    room: RoomFacts,
    drawn: Room,
    names: Iterable[str],
    most: int = MANY,
    clears: Fault | None = None,
    anew: Container[str] = (),
) -> tuple[Fault, ...]:
    """Find what certain rules would say of a room drawn otherwise and do not say of it now.

    They are asked in that order, and no longer once they have brought `most`. What is to be clear
    counts as brought where it is not, and so does all that the rules to be met `anew` find there.
    """
    trial = facts.with_room(drawn)
    close = {room.id, *list_linked(facts, room)}
    near = trial if len(close) == len(facts.rooms) else trial.of_rooms(close)
    if not _is_even(room):
        names = (*names, *PARTS)
    brought: list[Fault] = []
    for rule in _rules(facts, names):
        found = _list_faults(near if rule.id in NEAR else trial, rule)
        if found:
            known = facts.once(_list_known, rule.id)
            brought += [
                fault
                for fault, grave in found.items()
                if grave > known.get(fault, -1)
                or fault == clears
                or (grave > 0 and fault.room == room.id and rule.id in anew)
            ]
            if len(brought) >= most:
                break
    return tuple(brought)


def list_linked(facts: Facts, room: RoomFacts) -> set[str]:
    """List the rooms that share a thermostat with a room: where it hangs, what it switches."""
    switched = {element.circuit for element in room.elements}
    circuits = facts.plan.circuits
    linked = {
        circuits[name].thermostat for name in switched if name is not None and name in circuits
    }
    for name, other in facts.plan.rooms.items():
        if other.thermostat is not None and other.thermostat.room is not None:
            pair = {name, other.thermostat.room}
            if pair & {room.id, *linked}:
                linked |= pair
    return {name for name in linked if name is not None}


def try_output(
    facts: Facts, room: RoomFacts, film: str, rated_w_m2: float, clears: str
) -> tuple[Fault, ...]:
    """Find what a film of another output in a room would bring; it is to clear a finding there."""
    if len(room.elements) > MOST_STRIPS:
        return (Fault(rule=clears, room=room.id, items=()),)
    drawn = replace(
        room.drawn,
        elements=tuple(
            replace(element, film=replace(element.film, output_w_m2=rated_w_m2, output_w_m=None))
            if element.film.id == film
            else element
            for element in room.elements
        ),
    )
    return find_brought(facts, room, drawn, FILM, clears=Fault(rule=clears, room=room.id, items=()))


def try_lead_size(facts: Facts, lead: str, size_mm2: float) -> tuple[Fault, ...]:
    """Find what another size of a lead, and so another width and thickness, would bring."""
    for room in facts.rooms.values():
        if any(each.id == lead for each in room.drawn.leads):
            leads = tuple(
                replace(each, size_mm2=size_mm2, size_text=f"{size_mm2:g} mm2")
                if each.id == lead
                else each
                for each in room.drawn.leads
            )
            names = (*LEADS, "breaker-rating", "cable-capacity")
            return find_brought(facts, room, replace(room.drawn, leads=leads), names)
    return ()


def _is_even(room: RoomFacts) -> bool:
    """Tell whether the floor is built alike everywhere, so that it matters not where strips lie."""
    drawn = room.drawn
    if len(drawn.coverings) > 1:
        return False
    return drawn.insulation is None or all(
        isinstance(layer, Courses) and layer.over is None for layer in drawn.insulation.layers
    )


def _rules(facts: Facts, names: Iterable[str]) -> list[Rule[Any]]:
    """Return rules by name, each once, as far as this set of rules is in force."""
    by_name = _rules_by_name()
    return [by_name[name] for name in dict.fromkeys(names) if name in facts.limits]


@cache
def _rules_by_name() -> dict[str, Rule[Any]]:
    # Rules ask for advice here, and so cannot be asked for before all of them are there.
    from underfoot_rules.standard import RULES

    return {rule.id: rule for rule in RULES}


def _list_known(facts: Facts, name: str) -> dict[Fault, int]:
    (rule,) = _rules(facts, (name,))
    any_room = next(iter(facts.rooms.values()))
    return _list_faults(facts.with_room(any_room.drawn), rule)


def _list_faults(trial: Facts, rule: Rule[Any]) -> dict[Fault, int]:
    """List what a rule says, and how grave that is: 0 where it cannot judge."""
    listed = rule.subjects(trial)
    subjects = listed.candidates if isinstance(listed, Subjects) else listed
    limits = _Limits(rule.id, trial.limits)
    said = ((subject, rule.check(subject, trial, limits)) for subject in subjects)
    return {
        Fault(rule=rule.id, room=subject.room, items=subject.items): _weigh(rule, verdict)
        for subject, verdict in said
        if verdict is not None
    }


def _weigh(rule: Rule[Any], verdict: Finding | CannotTell) -> int:
    if isinstance(verdict, CannotTell):
        return 0
    return 1 + _GRAVITY.index(verdict.severity or rule.severities[0])
