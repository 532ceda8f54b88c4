"""What is wrong with circuits, their protection and what switches them, by sums of currents."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from underfoot.api import Data, Expected, read_quantity
from underfoot_rules.mutations.comparing import UnclearError, exceeds, falls_short
from underfoot_rules.mutations.drawn import Drawn, Strip, draw
from underfoot_rules.mutations.expand_rows import mm


class Load(NamedTuple):
    """What one circuit carries: its strips, metres and current."""

    id: str
    told: Data
    strips: tuple[Strip, ...]
    rooms: tuple[str, ...]
    current_a: float


def film_output(plan: Data, film: str) -> float:
    """Give a film's output in W/m2 at the supply voltage."""
    told = plan["materials"]["films"][film]
    if "W/m2" in told["output"].replace("²", "2"):
        rated = read_quantity(told["output"], "W/m2")
    else:
        rated = read_quantity(told["output"], "W/m") / (mm(told["width"]) / 1000)
    return rated * (volts(plan) / read_quantity(told["voltage"], "V")) ** 2


def volts(plan: Data) -> float:
    """Give the supply voltage."""
    return read_quantity(plan["supply"]["voltage"], "V")


def strip_power(plan: Data, strip: Strip) -> float:
    """Give a strip's power in W at the supply voltage."""
    return film_output(plan, strip.film) * strip.length * strip.width / 1e6


def loads(plan: Data, drawn: Mapping[str, Drawn]) -> dict[str, Load]:
    """Add up each circuit that has strips."""
    found = {}
    for name, told in (plan.get("circuits") or {}).items():
        strips = [s for room in drawn.values() for s in room.strips.values() if s.circuit == name]
        rooms = [r.id for r in drawn.values() if any(s.circuit == name for s in r.strips.values())]
        if strips:
            power = sum(strip_power(plan, strip) for strip in strips)
            found[name] = Load(name, told, tuple(strips), tuple(rooms), power / volts(plan))
    return found


def loads_as_written(plan: Data) -> dict[str, Load]:
    """Add up the circuits of a plan whose rows are open."""
    return loads(plan, {name: draw(plan, name) for name in plan["rooms"]})


def protections(found: Mapping[str, Load]) -> dict[str, tuple[Load, ...]]:
    """Give the circuits that each protection carries."""
    groups: dict[str, tuple[Load, ...]] = {}
    for load in found.values():
        key = load.told.get("shares", load.id)
        groups[key] = (*groups.get(key, ()), load)
    return groups


def is_selv(plan: Data) -> bool:
    """Tell whether the supply is SELV indeed: by its voltage and its source."""
    supply = plan["supply"]
    kind = (supply.get("source") or {}).get("kind")
    safe = ("safety isolating transformer", "safety power supply", "battery")
    return supply.get("system") == "SELV" and volts(plan) <= 50 and kind in safe


def _powers(plan: Data, drawn: Mapping[str, Drawn]) -> dict[str, float]:
    """Give the share of its rated power, in percent, that each film in use gives."""
    used = {strip.film for room in drawn.values() for strip in room.strips.values()}
    films = plan["materials"]["films"]
    return {
        film: 100 * (volts(plan) / read_quantity(films[film]["voltage"], "V")) ** 2 for film in used
    }


def wrong_films(plan: Data, drawn: Mapping[str, Drawn]) -> set[str]:
    """Give the films in use that give too much power at the supply's voltage."""
    return {film for film, power in _powers(plan, drawn).items() if exceeds(power, 110, 0.05)}


def load_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge circuits, protection, thermostats and supply; UnclearError where too close to tell."""
    wrong = wrong_films(plan, drawn)
    for film in wrong:
        yield Expected("film-voltage", None, (film,), "error")
    for film, power in _powers(plan, drawn).items():
        if falls_short(power, 90, 0.05):
            yield Expected("film-voltage", None, (film,), "warning")
    yield from _of_coverings(plan, drawn)
    found = loads(plan, drawn)
    for load in found.values():
        if _too_long(plan, load):
            yield Expected("circuit-element-length", None, (load.id,), "warning")
    yield from _of_thermostats(plan, found, wrong)


def list_coverings(told: Data) -> list[str]:
    """Give the ids of a room's coverings, each once."""
    if "coverings" in told:
        return list(dict.fromkeys(each["covering"] for each in told["coverings"]))
    return [told["covering"]] if "covering" in told else []


def _of_coverings(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    for room in drawn.values():
        names = list_coverings(room.data)
        told = [plan["materials"]["coverings"][name] for name in names]
        for film in {strip.film for strip in room.strips.values()}:
            output = film_output(plan, film)
            passes = [
                exceeds(output, read_quantity(each["most_output"], "W/m2"), 0.01)
                for each in told
                if "most_output" in each
            ]
            if any(passes):
                if len(names) > 1:
                    raise UnclearError
                yield Expected("covering-output", room.id, (film,), "error")


def fed_wrong(group: tuple[Load, ...], wrong: set[str]) -> bool:
    """Tell whether a wrong film hangs on one of the circuits."""
    return any(strip.film in wrong for load in group for strip in load.strips)


def _too_long(plan: Data, load: Load) -> bool:
    films = {strip.film: plan["materials"]["films"][strip.film] for strip in load.strips}
    makers = [mm(told["longest_circuit"]) for told in films.values() if "longest_circuit" in told]
    metres = sum(strip.length for strip in load.strips) / 1000
    if makers and exceeds(metres, min(makers) / 1000, 0.0001):
        return True
    if len(makers) == len(films):
        return False
    equal = sum(strip.length * strip.width for strip in load.strips) / 500 / 1000
    return exceeds(equal, 30, 0.0001) if abs(equal - 30) > 1e-9 else False


def _of_thermostats(plan: Data, found: Mapping[str, Load], wrong: set[str]) -> Iterator[Expected]:
    rooms = plan["rooms"]
    without: set[str] = set()
    for load in found.values():
        place = load.told.get("thermostat")
        if place is None or not rooms[place].get("thermostat"):
            without |= set(load.rooms)
    for name in rooms:
        if name in without:
            yield Expected("thermostat-missing", name, (), "error")
    for name, room in rooms.items():
        told = room.get("thermostat")
        if not told or name in without:
            continue
        switched = [load for load in found.values() if load.told.get("thermostat") == name]
        groups = protections({load.id: load for load in switched})
        contactor = told.get("contactor")
        if len(groups) > 1 and (not contactor or contactor.get("poles", len(groups)) < len(groups)):
            yield Expected("thermostat-circuits", name, ("thermostat",), "error")
        if fed_wrong(tuple(switched), wrong):
            continue
        if _overloads(told, groups):
            yield Expected("thermostat-rating", name, ("thermostat",), "error")


def _overloads(told: Data, groups: Mapping[str, tuple[Load, ...]]) -> bool:
    contactor: Any = told.get("contactor")
    sums = [sum(load.current_a for load in group) for group in groups.values()]
    if contactor:
        rating = contactor.get("rating")
        return (
            bool(sums)
            and rating is not None
            and exceeds(max(sums), read_quantity(rating, "A"), 0.001)
        )
    switches = told.get("switches")
    return switches is not None and exceeds(sum(sums), read_quantity(switches, "A"), 0.001)
