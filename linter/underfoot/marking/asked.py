"""Whether a plan meets what the brief demands of the whole, measured in the brief's own rooms."""

from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction
from typing import Any

from msgspec import Struct

from underfoot.checking.engine import Tally
from underfoot.checking.facts import Facts, RoomFacts, element_power_w
from underfoot.checking.facts.coverage import measure_coverage
from underfoot.checking.finding import above, below
from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.checking.rule import LimitUse
from underfoot.checking.settings import Settings
from underfoot.marking.awarding import Row
from underfoot.marking.goals import KINDS, Goal
from underfoot.marking.laid import list_laid
from underfoot.marking.marks import NOTHING, round_marks, say_product
from underfoot.plan import Pieces

# Of a strip that heats a room, so much lies in it and on no other.
HALF = 0.5


class Seen(Struct, frozen=True, kw_only=True):
    """What goals are held against.

    `rooms` are the brief's, by the brief's names; `grave` says which findings of a rule count;
    `step_rules` are the rules whose findings name steps of the method statement.
    """

    facts: Facts
    report: PlanReport
    tallies: Mapping[str, Tally]
    rooms: Mapping[str, RoomFacts]
    grave: Callable[[ReportedFinding], bool]
    settings: Settings
    step_rules: frozenset[str]


class Met(Struct, frozen=True, kw_only=True):
    """How a goal came out: whether it is met, whether there is too little, and in words."""

    is_met: bool
    is_short: bool
    said: str


def award_asked(topic: str, goal: Goal, met: Met, seen: Seen, round_to: Fraction) -> Row:
    """Return the marks of one goal: all or nothing, or in proportion to the right steps."""
    if goal.what == "method statement" and goal.least is None:
        return _award_method(topic, goal, seen, round_to)
    earned = goal.marks if met.is_met else NOTHING
    return Row(
        topic=topic,
        what=goal.what,
        marks=goal.marks,
        earned=earned,
        reasons=(met.said,),
        room=goal.room,
    )


def meet(goal: Goal, seen: Seen) -> Met:
    """Hold a plan against a goal."""
    if goal.rule is not None:
        return _keep(goal, goal.rule, seen)
    rooms = dict(seen.rooms) if goal.room is None else {goal.room: seen.rooms[goal.room]}
    measure = _OF_ROOMS[goal.what]
    if KINDS[goal.what].adds_up and not goal.every_room:
        found = float(measure(seen, tuple(rooms.values())))
        return _compare(goal, found, f" of {goal.room}" if goal.room else "")
    by_room = {name: float(measure(seen, (room,))) for name, room in rooms.items()}
    worst = min(by_room, key=lambda name: by_room[name])
    where = f" of {worst}" if goal.room or len(by_room) > 1 else ""
    return _compare(goal, by_room[worst], where)


def _compare(goal: Goal, found: float, where: str) -> Met:
    kind = KINDS[goal.what]
    begun = f"{goal.what[:1].upper()}{goal.what[1:]}{where}"
    is_short = goal.least is not None and below(found, goal.least)
    is_over = goal.most is not None and above(found, goal.most)
    if kind.is_yes_or_no:
        return Met(
            is_met=not is_short,
            is_short=is_short,
            said=f"{begun}: {'none' if is_short else 'there'}.",
        )
    apart = goal.least if is_short else goal.most
    shown = format_quantity(found, kind.unit, apart) if kind.unit else f"{found:g}"
    said = f"{begun}: {shown}; asked for {_asked_for(goal)}."
    return Met(is_met=not (is_short or is_over), is_short=is_short, said=said)


def _asked_for(goal: Goal) -> str:
    unit = KINDS[goal.what].unit

    def say(value: float) -> str:
        return format_quantity(value, unit) if unit else f"{value:g}"

    if goal.least == goal.most and goal.least is not None:
        return say(goal.least)
    parts = [
        f"{word} {say(value)}"
        for word, value in (("at least", goal.least), ("at most", goal.most))
        if value is not None
    ]
    return ", ".join(parts)


def _keep(goal: Goal, rule: str, seen: Seen) -> Met:
    tally = seen.tallies.get(rule)
    here = {seen.rooms[goal.room].id} if goal.room else {room.id for room in seen.rooms.values()}
    broken = [
        one
        for one in seen.report.findings
        if one.rule == rule and seen.grave(one) and (one.room is None or one.room in here)
    ]
    where = f" in {goal.room}" if goal.room else ""
    if broken:
        numbers = ", ".join(str(one.number) for one in broken)
        word = "finding" if len(broken) == 1 else "findings"
        return Met(is_met=False, is_short=True, said=f"{rule}{where}: broken ({word} {numbers}).")
    undecided = (
        [one for one in tally.undecided if one.subject.room in (None, *here)] if tally else []
    )
    is_empty = goal.room is not None and not seen.rooms[goal.room].elements
    if tally is None or not tally.checked or is_empty:
        return Met(
            is_met=False,
            is_short=True,
            said=f"{rule}{where}: nothing in the plan shows that it is kept.",
        )
    if undecided:
        said = f"{rule}{where}: {len(undecided)} could not be judged ({undecided[0].why})."
        return Met(is_met=False, is_short=True, said=said)
    return Met(is_met=True, is_short=False, said=f"{rule}{where}: kept.")


Rooms = Sequence[RoomFacts]

# What floor counts as reachable where no rule has a limit for it, in mm.
_TAKEN: Mapping[LimitUse, float] = {
    "wall clearance": 50.0,
    "fixture clearance": 50.0,
    "clear height": 60.0,
}


def _share_heated(seen: Seen, rooms: Rooms) -> float:
    room = rooms[0]
    if not room.elements:
        return 0.0
    wall, fixture, height = (
        taken if (limit := seen.settings.served(use)) is None else limit.value
        for use, taken in _TAKEN.items()
    )
    return measure_coverage(room, wall, fixture, height).share


def _output(seen: Seen, rooms: Rooms) -> float:
    return sum(element_power_w(one) * share for room in rooms for one, share in list_laid(room))


def _count_strips(seen: Seen, rooms: Rooms) -> int:
    return sum(share >= HALF for room in rooms for _, share in list_laid(room))


def _is_heated(seen: Seen, rooms: Rooms) -> bool:
    return _count_strips(seen, rooms) > 0


def _share_fed(seen: Seen, rooms: Rooms) -> float:
    fed = [one.id in seen.facts.fed for room in rooms for one in room.elements]
    return 100 * sum(fed) / len(fed) if fed else 0.0


def _has_sensor(seen: Seen, rooms: Rooms) -> bool:
    import shapely

    sensor = rooms[0].drawn.sensor
    return sensor is not None and bool(shapely.covers(rooms[0].outline, shapely.Point(sensor.at)))


def _has_thermostat(seen: Seen, rooms: Rooms) -> bool:
    """Tell whether each circuit that heats the room hangs on a thermostat that is drawn."""
    plan, elements = seen.facts.plan, rooms[0].elements
    drawn = {name for name, one in plan.rooms.items() if one.thermostat is not None}
    if not elements:
        return rooms[0].id in drawn
    circuits = [plan.circuits.get(one.circuit or "") for one in elements]
    return all(one is not None and one.thermostat in drawn for one in circuits)


def _share_insulated(seen: Seen, rooms: Rooms) -> float:
    import shapely

    room = rooms[0]
    insulation = room.drawn.insulation
    if insulation is None or not insulation.layers:
        return 0.0
    lowest = insulation.layers[0]
    if isinstance(lowest, Pieces):
        return _covered(room, room.boards[0].together) if lowest.pieces else 0.0
    if lowest.over is not None:
        return _covered(room, shapely.Polygon(lowest.over))
    return 100.0  # courses over the whole outline are cut at its walls


def _share_sheeted(seen: Seen, rooms: Rooms) -> float:
    room = rooms[0]
    if room.drawn.membrane is None or not room.sheets.names:
        return 0.0
    return _covered(room, room.sheets.together)


def _covered(room: RoomFacts, cover: Any) -> float:
    bare, _ = room.floor_left_bare(cover)
    return 100.0 - bare


def _list_circuits(seen: Seen, rooms: Rooms) -> set[str]:
    heating = {one.circuit for room in rooms for one, share in list_laid(room) if share >= HALF}
    return {name for name in heating if name is not None and name in seen.facts.circuits}


def _count_circuits(seen: Seen, rooms: Rooms) -> int:
    return len(_list_circuits(seen, rooms))


def _count_tests(seen: Seen, rooms: Rooms) -> int:
    """Count the visits with a reading that nothing is wrong with."""
    circuits = _list_circuits(seen, rooms)
    wrong = [one.path for one in seen.report.findings if seen.grave(one)]
    return sum(
        test.circuit in circuits
        and any((test.load_resistance_ohm, test.insulation_resistance_mohm, test.strips_ohm))
        and not any(path == test.path or path.startswith(f"{test.path}.") for path in wrong)
        for test in seen.facts.plan.tests
    )


def _count_steps(seen: Seen, rooms: Rooms) -> int:
    return len(_right_steps(seen))


# What is a share, or is there or not, is asked of one room at a time.
_OF_ROOMS: Mapping[str, Callable[[Seen, Rooms], float]] = {
    "heated share": _share_heated,
    "output": _output,
    "circuits": _count_circuits,
    "strips": _count_strips,
    "heated rooms": _is_heated,
    "fed strips": _share_fed,
    "sensor": _has_sensor,
    "thermostat": _has_thermostat,
    "insulation": _share_insulated,
    "membrane": _share_sheeted,
    "tests": _count_tests,
    "method statement": _count_steps,
}


def measure(what: str, seen: Seen, rooms: Rooms) -> float:
    """Measure a figure of some of the brief's rooms: of one alone unless it adds up."""
    return float(_OF_ROOMS[what](seen, rooms))


def _right_steps(seen: Seen) -> set[str]:
    """Return the steps that are stated, and that no finding says are stated wrongly."""
    statement = seen.facts.plan.method_statement
    wrong = {
        item for one in seen.report.findings if one.rule in seen.step_rules for item in one.items
    }
    return set() if statement is None else {step for step in statement.steps if step not in wrong}


def _award_method(topic: str, goal: Goal, seen: Seen, round_to: Fraction) -> Row:
    statement = seen.facts.plan.method_statement
    stated = 0 if statement is None else len(statement.steps)
    right = len(_right_steps(seen))
    counted = min(right, goal.of)
    earned = round_marks(goal.marks * Fraction(counted, goal.of), round_to, goal.marks)
    said = [f"Method statement: {counted} of {goal.of} steps stated."]
    if not stated:
        said = ["No method statement: nothing shown."]
    elif right < stated:
        said = [
            f"Method statement: {counted} of {goal.of} steps stated right; what is stated wrongly "
            f"earns nothing ({stated - right})."
        ]
    if NOTHING < earned < goal.marks:
        exact = goal.marks * Fraction(counted, goal.of)
        said.append(say_product(f"{counted}/{goal.of}", goal.marks, exact, earned))
    return Row(
        topic=topic,
        what=goal.what,
        marks=goal.marks,
        earned=earned,
        reasons=tuple(said),
        rule=None,
        of=goal.of,
        right=counted,
        room=goal.room,
    )
