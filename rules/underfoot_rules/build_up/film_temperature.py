"""A film that gets hotter than it may when its thermostat sticks."""

from collections.abc import Callable

from msgspec import Struct
from msgspec.structs import replace

from underfoot.api.facts import (
    Facts,
    FloorStack,
    RoomFacts,
    build_insulated,
    build_stacks,
    each_room,
    film_output,
    find_heated_parts,
)
from underfoot.api.plan import Film
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_most,
    format_at_most,
    format_quantity,
)
from underfoot_rules.basis import MAKER, standard
from underfoot_rules.in_the_way import say_apart
from underfoot_rules.trying import try_output
from underfoot_rules.warmth import (
    HOME,
    NO_LAYERS,
    Floor,
    assumed,
    name_part,
    tell_layers,
    tell_warm_sides,
)


class _Hot(Struct, frozen=True, kw_only=True):
    """A part too hot: its floor on the warmest day, its film's temperature, and its limit."""

    floor: Floor
    film_c: float
    limit_c: float


def check(subject: Subject[RoomFacts], facts: Facts, limits: Limits) -> Finding | CannotTell | None:
    """Compare the film's temperature at full output on a warm day with the film's limit."""
    room = subject.payload
    taken, warmest_c = assumed(limits), limits.of(HOME)["warmest_room"]
    worst: _Hot | None = None
    unknown: CannotTell | None = None
    for part, stack in zip(find_heated_parts(room), build_stacks(room, taken), strict=True):
        lacking = stack if isinstance(stack, CannotTell) else NO_LAYERS
        bound = build_insulated(room, part, taken) if isinstance(stack, CannotTell) else stack
        if isinstance(bound, CannotTell):
            unknown = unknown or bound
            continue
        limit_c = _limit(part.film, limits)
        output_w_m2 = _full_output(part.film, facts)
        floor = Floor(part=part, stack=bound.in_warmest_room(warmest_c), output_w_m2=output_w_m2)
        ends = [end.settle(output_w_m2).film_c for end in floor.stack.ends]
        if not above(max(ends), limit_c):
            continue
        if isinstance(stack, CannotTell) or not above(min(ends), limit_c):
            unknown = unknown or lacking
        elif worst is None or min(ends) - limit_c > worst.film_c - worst.limit_c:
            worst = _Hot(floor=floor, film_c=min(ends), limit_c=limit_c)
    return unknown if worst is None else _finding(worst, room, facts)


def _limit(film: Film, limits: Limits) -> float:
    most_c = limits["maximum"]
    return most_c if film.warmest_c is None else min(film.warmest_c, most_c)


def _full_output(film: Film, facts: Facts) -> float:
    """Return the most that the film may give at the supply voltage, W/m2."""
    more = film.tolerance[1] / 100 if film.tolerance is not None else 0.0
    return film_output(film, facts.plan.supply.voltage_v) * (1.0 + max(0.0, more))


def _finding(hot: _Hot, room: RoomFacts, facts: Facts) -> Finding:
    floor, film = hot.floor, hot.floor.part.film
    least = "" if floor.stack.whole else "at least "
    own = film.warmest_c is not None and film.warmest_c <= hot.limit_c
    said = f"the most that {film.id} bears" if own else "the most for a film in a floor"
    day = format_quantity(floor.stack.room.temperature_c, "degC")
    return Finding(
        message=f"With its thermostat stuck on, on a day of {day}, {name_part(floor)} in room "
        f"{room.id} would reach {least}{{measured}}; its limit is {{limit}} ({said}).",
        remedy=_remedy(hot, room, facts),
        measured=hot.film_c,
        most=hot.limit_c,
        limit_key=None if own else "maximum",
        basis=MAKER if own else None,
        details=(
            *tell_layers(floor, facts.plan.supply.voltage_v),
            *_tell_tolerance(film),
            *tell_warm_sides(room, floor, floor.output_w_m2),
        ),
        related=(film.path,),
    )


def _tell_tolerance(film: Film) -> tuple[tuple[str, str], ...]:
    if film.tolerance is None or not film.tolerance[1] > 0:
        return ()
    return (("tolerance", f"{film.tolerance[1]:g} % more than rated is counted"),)


def _remedy(hot: _Hot, room: RoomFacts, facts: Facts) -> str:
    """Name what would do by itself: a weaker film, or less that keeps its heat in."""
    if not facts.is_advised:
        return ""
    floor, limit_c = hot.floor, hot.limit_c
    stack = floor.stack.ends[-1]
    ways = []
    weaker = _most(floor.output_w_m2, lambda w_m2: stack.settle(w_m2).film_c <= limit_c)
    if weaker >= 10.0:
        film = floor.part.film
        # As its maker rates it, at its own voltage.
        rated = film.rated_w_m2 * weaker / floor.output_w_m2
        said = format_at_most(rated, "W/m2")
        brought = try_output(facts, room, film.id, float(said.split()[0]), RULE.id)
        others = [fault for fault in brought if fault.rule != RULE.id]
        ways.append(f"a weaker film{say_apart(others)}" if brought else f"a film of at most {said}")
    thinner = _most(
        stack.above_m2k_w,
        lambda m2k_w: _under(stack, m2k_w).settle(floor.output_w_m2).film_c <= limit_c,
    )
    if thinner > 0.01:
        ways.append(f"layers above it of at most {format_at_most(thinner, 'm2 K/W')} together")
    if not ways:
        return (
            "No film suits this floor: a room so warm or a film that bears so little allows none."
        )
    return f"Use {' or '.join(ways)}."


def _under(stack: FloorStack, above_m2k_w: float) -> FloorStack:
    layer = replace(stack.above[0], resistance_m2k_w=above_m2k_w)
    return replace(stack, above=(layer,))


def _most(full: float, will_do: Callable[[float], bool]) -> float:
    """Find the most, up to `full`, that will still do; 0 where nothing does."""
    low, high = 0.0, full
    for _ in range(50):
        middle = (low + high) / 2
        low, high = (middle, high) if will_do(middle) else (low, middle)
    return low


RULE = Rule(
    finds="a film that would get hotter than it may at full output, with its thermostat stuck on",
    why="A film that is too hot melts its insulation, chars what lies on it and may start a fire.",
    unit="degC",
    basis=standard(
        "IEC 60364-7-753 for the 80 °C (one weak source), where the film's maker does not allow "
        "less; the temperature itself by ISO 11855-2, A.29 to A.31 and equation 1"
    ),
    subjects=each_room,
    check=check,
    limits=(at_most("maximum", 80, "degC", "greatest temperature of any film, its own aside"),),
    protects_life=True,
)
