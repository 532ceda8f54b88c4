"""A floor that gives the room less than it loses."""

from msgspec import Struct

from underfoot.api.facts import (
    Facts,
    HeatLoss,
    RoomFacts,
    bound_heat_loss,
    each_room,
    find_heat_loss,
    find_heated_parts,
    resist_to_sensor,
    room_temperature,
)
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    at_least,
    below,
    format_quantity,
)
from underfoot_rules.basis import standard
from underfoot_rules.build_up.giving import (
    OTHER_HEATER,
    Given,
    advise,
    cap_surface,
    give,
    give_at_most,
    say_missing,
    total,
)
from underfoot_rules.sensed import find_floor_at_sensor, find_share, list_states
from underfoot_rules.warmth import NO_LAYERS, Floor, Rows, assumed, name_part, tell_layers, work_out


class _Demand(Struct, frozen=True, kw_only=True):
    """What a room asks of its floor, W: the loss and a margin, less what other heaters give.

    `at_least` is True where the loss cannot be worked out whole.
    """

    loss: HeatLoss
    margin: float
    other_w: float
    at_least: bool

    @property
    def needed_w(self) -> float:
        return self.loss.loss_w * (1 + self.margin / 100) - self.other_w

    @property
    def said(self) -> str:
        least = "at least " if self.at_least else ""
        other = (
            f", less {format_quantity(self.other_w, 'W')} of other heaters," if self.other_w else ""
        )
        return (
            f"its heat loss of {least}{format_quantity(self.loss.loss_w, 'W')} with a margin of "
            f"{format_quantity(self.margin, '%')}{other} makes {least}{{limit}}"
        )

    @property
    def rows(self) -> Rows:
        rows = [*self.loss.rows]
        if self.other_w:
            rows.append(("other heaters", f"{format_quantity(self.other_w, 'W')}, as given"))
        least = "at least " if self.at_least else ""
        less = ", less the other heaters" if self.other_w else ""
        said = f"the loss and {format_quantity(self.margin, '%')}{less}"
        return (*rows, ("needed", f"{least}{format_quantity(self.needed_w, 'W')}: {said}"))


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare what the floor gives the room with the room's heat loss and a margin.

    What the film alone, or a part of the loss alone, decides is decided though the rest is unknown.
    """
    room = subject.payload
    taken = assumed(limits)
    loss = find_heat_loss(room, taken)
    lacking = loss if isinstance(loss, CannotTell) else None
    if isinstance(loss, CannotTell):
        least_w = bound_heat_loss(room, taken)
        loss = HeatLoss(loss_w=least_w,
                        rows=(("heat loss", f"at least {format_quantity(least_w, 'W')}, as far "
                                   "as the plan tells"),))  # fmt: skip
    other_w = room.drawn.other_heat_w or 0.0
    demand = _Demand(
        loss=loss, margin=limits["margin"], other_w=other_w, at_least=lacking is not None
    )
    needed_w = demand.needed_w
    if not needed_w > 0.0:
        return lacking
    floors = work_out(find_heated_parts(room), room, facts, limits)
    if isinstance(floors, CannotTell) or not floors:
        inside_c = room_temperature(room.drawn, taken).temperature_c
        most_w = give_at_most(room, inside_c, facts, limits)
        if below(most_w, needed_w):
            return _of_film_alone(room, demand, most_w)
        return lacking or (floors if isinstance(floors, CannotTell) else None)
    kept = [(floor, cap_surface(room, floor.part, facts, limits)) for floor in floors]
    least = greatest = give(room, [(floor, floor.settled, most) for floor, most in kept])
    if not all(floor.stack.whole for floor in floors):
        other = give(room, [(floor, floor.settled_at_most, most) for floor, most in kept])
        least, greatest = sorted((least, other), key=total)
    if below(total(greatest), needed_w):
        return _finding(facts, room, greatest, demand, limits)
    if lacking is None and below(total(least), needed_w):
        return NO_LAYERS
    return lacking


def _of_film_alone(room: RoomFacts, demand: _Demand, most_w: float) -> Finding:
    """Tell what the film that lies in the room decides, whatever lies over and under it."""
    return Finding(
        message=f"The film in room {room.id} can give it {{measured}} at the very most, whatever "
        f"lies over and under it; {demand.said}.",
        remedy=f"{say_missing(demand.needed_w - most_w)}. Lay more film or a stronger one where "
        f"the floor may be so warm, or {OTHER_HEATER}.",
        measured=most_w,
        least=demand.needed_w,
        limit_key="margin",
        details=demand.rows,
    )


def _finding(
    facts: Facts, room: RoomFacts, given: tuple[Given, ...], demand: _Demand, limits: Limits
) -> Finding:
    whole = all(part.floor.stack.whole for part in given)
    at_most = "" if whole else "at most "
    rows = list(demand.rows)
    for part in given:
        if len(given) > 1:
            rows.append(("part", name_part(part.floor)))
        rows += tell_layers(part.floor, facts.plan.supply.voltage_v)
        area = format_quantity(part.floor.part.area_m2, "m2")
        installed = f"{at_most}{format_quantity(part.installed_w, 'W')} from {area} of film"
        rows.append(("installed less what goes down", installed))
        rows.append(("at the surface limit", f"{format_quantity(part.at_limit_w, 'W')}, kept at "
                     f"{part.kept_said}"))  # fmt: skip
    rows += _tell_dial(room, tuple(part.floor for part in given), facts, limits)
    return Finding(
        message=f"The floor can give room {room.id} {at_most}{{measured}}; {demand.said}.",
        remedy=advise(room, given, demand.needed_w, facts, limits),
        measured=total(given),
        least=demand.needed_w,
        limit_key="margin",
        details=tuple(rows),
    )


def _tell_dial(room: RoomFacts, floors: tuple[Floor, ...], facts: Facts, limits: Limits) -> Rows:
    """Tell what the floor gives when the sensor reads the dial's figure."""
    thermostat, sensor = room.drawn.thermostat, room.drawn.sensor
    dial_c = thermostat.floor_limit_c if thermostat is not None else None
    at_sensor = find_floor_at_sensor(room, floors, facts, limits)
    if dial_c is None or sensor is None or at_sensor is None:
        return ()
    to_m2k_w = resist_to_sensor(sensor).likely_m2k_w
    inside_c = floors[0].stack.room.temperature_c
    states = list_states(room, floors, at_sensor, inside_c, to_m2k_w)
    shares = [(state, find_share(state, dial_c)) for state in states]
    if all(share == 1.0 for _, share in shares):
        return ()  # the floor never gets so warm
    gives_w = max(
        sum(state.settle(each, share).split.up_w_m2 * each.part.area_m2 for each in floors)
        for state, share in shares
    )
    said = (
        f"about {format_quantity(max(0.0, gives_w), 'W')} when the sensor, below the film, "
        "reads that"
    )
    return ((f"with the dial at {format_quantity(dial_c, 'degC')}", said),)


RULE = Rule(
    severities=("warning",),
    finds="a floor that gives the room less than its heat loss with a margin",
    why="A floor that is too weak runs all day and the room still stays cold in frost.",
    unit="W",
    basis=standard(
        "heat loss by EN 12831-1, output by ISO 11855-2; the margin is a figure of this "
        "project's own"
    ),
    subjects=each_room,
    check=check,
    limits=(at_least("margin", 10, "%", "what the output must have over the heat loss"),),
)
