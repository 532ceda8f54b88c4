"""A heated room that some circuit heats without a thermostat."""

from underfoot.api.facts import Facts, RoomFacts, each_room
from underfoot.api.rules import CannotTell, Finding, Limits, Rule, Subject, join_names
from underfoot_rules.basis import COMMON_PRACTICE
from underfoot_rules.thermostat.switching import find_circuits_in, find_unswitched


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Look for circuits of the room that name no thermostat, or a room that has none."""
    room = subject.payload
    if not find_circuits_in(room, facts.circuits):
        return CannotTell(
            why="its strips are on no known circuit",
            write="Name the `circuit` of its strips, and the `thermostat` of that circuit.",
        )
    circuits = [c.circuit for c in find_unswitched(room, facts.circuits, facts.plan)]
    without = [circuit.id for circuit in circuits if circuit.thermostat is None]
    bare = {c.id: c.thermostat for c in circuits if c.thermostat is not None}
    if not without and not bare:
        return None
    said = []
    if without:
        said.append(f"{_circuits(without)} in room {room.id} {_is(without)} on no thermostat")
    for place in dict.fromkeys(bare.values()):
        names = [name for name, where in bare.items() if where == place]
        said.append(
            f"{_circuits(names)} in room {room.id} {_is(names)} to be switched by the thermostat "
            f"of room {place}, which has none"
        )
    message = "; ".join(said)
    return Finding(
        message=f"{message[0].upper()}{message[1:]}.",
        remedy=_remedy(room.id, without, bare, facts),
        related=tuple(facts.circuits[name].path for name in (*without, *bare)),
    )


def _remedy(room: str, without: list[str], bare: dict[str, str], facts: Facts) -> str:
    steps = []
    for place in dict.fromkeys(bare.values()):
        steps.append(
            f"Draw the thermostat of room {place}: `thermostat:` with its height, what it switches "
            "and its floor limit."
        )
    if without:
        if facts.plan.rooms[room].thermostat is None and room not in bare.values():
            steps.append(
                f"Draw a thermostat in room {room}: `thermostat:` with its height, what it "
                "switches and its floor limit."
            )
        steps.append(f"Give {_circuits(without)} `thermostat: {room}`.")
    return " ".join(steps)


def _circuits(names: list[str]) -> str:
    return f"circuit{'s' if len(names) > 1 else ''} {join_names(names)}"


def _is(names: list[str]) -> str:
    return "are" if len(names) > 1 else "is"


RULE = Rule(
    finds="a room with strips where some circuit has no thermostat, or its room has none",
    why="Strips that no thermostat switches heat on without end, and nothing watches the floor.",
    basis=COMMON_PRACTICE,
    subjects=each_room,
    check=check,
    protects_life=True,
)
