"""How hot a film gets, and what its sensor reads, estimated between bounds from the plan."""

from collections.abc import Iterator

from tests.second_opinion.comparing import UnclearError, exceeds
from tests.second_opinion.saying import error
from tests.second_opinion.warmth import (
    UNDER,
    add_above,
    estimate_flow,
    inside_c,
    resistance,
)
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn, inside
from underfoot_rules.mutations.loads import film_output, list_coverings
from underfoot_rules.mutations.thermostat import warmest

WARM = 24.0
SURFACE = 1 / 10.8


def film_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge whether a room's film gets too hot with its thermostat stuck, on a warm day."""
    told = room.data
    if not told.get("subfloor") or not list_coverings(told):
        return
    if any(_is_too_hot(plan, told, film, covering)
           for film in {strip.film for strip in room.strips.values()}
           for covering in list_coverings(told)):  # fmt: skip
        yield error("film-temperature", room.id)


def _is_too_hot(plan: Data, told: Data, film: str, covering: str) -> bool:
    of_film = plan["materials"]["films"][film]
    limit = 80.0
    if "warmest" in of_film:
        limit = min(limit, read_quantity(of_film["warmest"], "degC"))
    output = film_output(plan, film)
    tolerance = of_film.get("tolerance")
    if tolerance:
        output *= 1 + max(0.0, float(str(tolerance[1]).removesuffix("%"))) / 100
    room = max(inside_c(told), WARM)
    around = max(room, UNDER.get(told["subfloor"].get("below", ""), room))
    up = SURFACE + add_above(plan, told, covering)
    hot = [
        around + output * up * down / (up + down) for down in _below(plan, told, told["subfloor"])
    ]
    if min(hot) - 0.5 > limit:
        return True
    if max(hot) + 1.0 > limit:
        raise UnclearError
    return False


def _below(plan: Data, told: Data, subfloor: Data) -> tuple[float, float]:
    """Return what resists below the film: at the least and at the most."""
    insulation = told.get("insulation")
    below = sum(resistance(layer) for layer in subfloor.get("layers") or [])
    if insulation:
        board = resistance(plan["materials"]["boards"][insulation["board"]])
        below += board * len(insulation["layers"])
    end = subfloor.get("below")
    if end == "ground":
        soil = (0.2, 4.0) if (told.get("fabric") or {}).get("outside") is not None else (0.0, 0.0)
    else:
        soil = (0.04, 0.17)
    return below + soil[0], (below if subfloor.get("layers") else 1e3) + soil[1]


def sensed_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge whether a part passes its limit while the sensor lies below a weaker film."""
    told, films = room.data, {strip.film for strip in room.strips.values()}
    thermostat = told.get("thermostat") or {}
    if len(films) < 2 or "floor_limit" not in thermostat or room.sensor is None:
        return
    there = [strip.film for strip in room.strips.values() if inside(room.sensor, strip.shape)]
    if not there or not told.get("subfloor"):
        return
    dial = read_quantity(thermostat["floor_limit"], "degC")
    coverings = set(list_coverings(told))
    if len(coverings) != 1:
        raise UnclearError
    readings = []
    for room_c in (inside_c(told), max(inside_c(told), WARM)):
        for film in films:
            reading = _reading(plan, told, min(coverings), film, there[0], room_c)
            readings += [] if reading is None else [reading]
    if readings and exceeds(dial, min(readings), 0.5):
        yield error("floor-limit", room.id, "thermostat")


def _reading(
    plan: Data, told: Data, covering: str, hot: str, at_sensor: str, room_c: float
) -> float | None:
    """Return what the sensor reads when the hot film's part is 1 K over its limit.

    None where that part does not get so warm.
    """
    limit = warmest(plan, told, covering) + 1.0
    above = add_above(plan, told, covering)
    up = 8.92 * max(0.0, limit - room_c) ** 1.1
    # In a room that is warmer by a few kelvins a little less goes up than as designed.
    at_least, at_most = estimate_flow(plan, told, hot, covering).up
    if up > at_most:
        return None
    if up > at_least - 4.0:
        raise UnclearError
    own = up * film_output(plan, at_sensor) / film_output(plan, hot)
    return float(room_c + (own / 8.92) ** (1 / 1.1) + own * above)
