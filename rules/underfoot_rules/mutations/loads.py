"""What circuits carry, by sums over their strips, and what lies over them."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.api.rules import Data, read_quantity
from underfoot_rules.mutations.drawn import Drawn, Strip, draw
from underfoot_rules.mutations.expand_rows import mm


class Load(Struct, frozen=True, kw_only=True):
    """What one circuit carries: its strips, metres and current."""

    id: str
    told: Data
    strips: tuple[Strip, ...]
    rooms: tuple[str, ...]
    current_a: float


def film_output(plan: Data, film: str) -> float:
    """Return a film's output in W/m2 at the supply voltage."""
    told = plan["materials"]["films"][film]
    if "W/m2" in told["output"].replace("²", "2"):
        rated = read_quantity(told["output"], "W/m2")
    else:
        rated = read_quantity(told["output"], "W/m") / (mm(told["width"]) / 1000)
    return rated * (volts(plan) / read_quantity(told["voltage"], "V")) ** 2


def volts(plan: Data) -> float:
    """Return the supply voltage."""
    return read_quantity(plan["supply"]["voltage"], "V")


def strip_power(plan: Data, strip: Strip) -> float:
    """Return a strip's power in W at the supply voltage."""
    return film_output(plan, strip.film) * strip.length * strip.width / 1e6


def loads(plan: Data, drawn: Mapping[str, Drawn]) -> dict[str, Load]:
    """Add up each circuit that has strips."""
    found = {}
    for name, told in (plan.get("circuits") or {}).items():
        strips = [s for room in drawn.values() for s in room.strips.values() if s.circuit == name]
        rooms = [r.id for r in drawn.values() if any(s.circuit == name for s in r.strips.values())]
        if strips:
            power = sum(strip_power(plan, strip) for strip in strips)
            found[name] = Load(
                id=name,
                told=told,
                strips=tuple(strips),
                rooms=tuple(rooms),
                current_a=power / volts(plan),
            )
    return found


def loads_as_written(plan: Data) -> dict[str, Load]:
    """Add up the circuits of a plan whose rows are open."""
    return loads(plan, {name: draw(plan, name) for name in plan["rooms"]})


def protections(found: Mapping[str, Load]) -> dict[str, tuple[Load, ...]]:
    """Return the circuits that each protection carries."""
    groups: dict[str, tuple[Load, ...]] = {}
    for load in found.values():
        key = load.told.get("shares", load.id)
        groups[key] = (*groups.get(key, ()), load)
    return groups


def list_coverings(told: Data) -> list[str]:
    """Return the ids of a room's coverings, each once."""
    if "coverings" in told:
        return list(dict.fromkeys(each["covering"] for each in told["coverings"]))
    return [told["covering"]] if "covering" in told else []
