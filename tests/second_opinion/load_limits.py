"""What is wrong with circuits, coverings and what switches them, by sums of currents."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from tests.second_opinion.comparing import UnclearError, exceeds, falls_short
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.loads import (
    Load,
    film_output,
    list_coverings,
    loads,
    protections,
    volts,
)


def is_selv(plan: Data) -> bool:
    """Tell whether the supply is SELV indeed: by its voltage and its source."""
    supply = plan["supply"]
    kind = (supply.get("source") or {}).get("kind")
    safe = ("safety isolating transformer", "safety power supply", "battery")
    return supply.get("system") == "SELV" and volts(plan) <= 50 and kind in safe


def _powers(plan: Data, drawn: Mapping[str, Drawn]) -> dict[str, float]:
    """Return the share of its rated power, in percent, that each film in use gives."""
    used = {strip.film for room in drawn.values() for strip in room.strips.values()}
    films = plan["materials"]["films"]
    return {
        film: 100 * (volts(plan) / read_quantity(films[film]["voltage"], "V")) ** 2 for film in used
    }


def wrong_films(plan: Data, drawn: Mapping[str, Drawn]) -> set[str]:
    """Return the films in use that give too much power at the supply's voltage."""
    return {film for film, power in _powers(plan, drawn).items() if exceeds(power, 110, 0.05)}


def load_faults(plan: Data, drawn: Mapping[str, Drawn]) -> Iterator[Expected]:
    """Judge circuits, protection, thermostats and supply; UnclearError where too close to tell."""
    wrong = wrong_films(plan, drawn)
    for film in wrong:
        yield error("film-voltage", None, film)
    for film, power in _powers(plan, drawn).items():
        if falls_short(power, 90, 0.05):
            yield warning("film-voltage", None, film)
    yield from _of_coverings(plan, drawn)
    found = loads(plan, drawn)
    for load in found.values():
        if _too_long(plan, load):
            yield warning("circuit-element-length", None, load.id)
    yield from _of_thermostats(plan, found, wrong)


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
                yield error("covering-output", room.id, film)


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
            yield error("thermostat-missing", name)
    for name, room in rooms.items():
        told = room.get("thermostat")
        if not told or name in without:
            continue
        switched = [load for load in found.values() if load.told.get("thermostat") == name]
        groups = protections({load.id: load for load in switched})
        contactor = told.get("contactor")
        if len(groups) > 1 and (not contactor or contactor.get("poles", len(groups)) < len(groups)):
            yield error("thermostat-circuits", name, "thermostat")
        if not fed_wrong(tuple(switched), wrong) and _overloads(told, groups):
            yield error("thermostat-rating", name, "thermostat")
        elif _is_behind_too_much(plan, told, groups):
            yield warning("contact-protection", name, "thermostat")


def _is_behind_too_much(plan: Data, told: Data, groups: Iterable[str]) -> bool:
    """Tell whether a breaker is rated above the contact that it protects."""
    contactor: Any = told.get("contactor")
    rating = contactor.get("rating") if contactor else told.get("switches")
    given = [plan["circuits"][name].get("breaker") for name in groups]
    if rating is None:
        return False
    contact_a = read_quantity(rating, "A")
    breakers_a = [read_quantity(each, "A") for each in given if each is not None]
    return any(each != contact_a and exceeds(each, contact_a, 0.001) for each in breakers_a)


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
