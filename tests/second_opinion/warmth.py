"""Which way the heat of a floor goes, estimated with two resistances, between bounds."""

from collections.abc import Iterator

from msgspec import Struct

from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.saying import expect, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn, heated
from underfoot_rules.mutations.expand_rows import mm
from underfoot_rules.mutations.loads import film_output, list_coverings, strip_power
from underfoot_rules.mutations.thermostat import room_kind, warmest

INSIDE = {"bathroom": 24.0}
UNDER = {"heated": 20.0, "unheated": 10.0, "ground": 10.0}


class Flow(Struct, frozen=True, kw_only=True):
    """A floor at full output: what goes up in W/m2, the share down in percent, both for certain."""

    up: tuple[float, float]
    share: tuple[float, float]
    surface_c: tuple[float, float]


def heat_faults(plan: Data, room: Drawn, wrong: set[str]) -> Iterator[Expected]:
    """Judge where a room's heat goes; UnclearError where the estimate is too rough to tell."""
    told = room.data
    flows = _flows(plan, room)
    if not flows:
        return
    low, high = _share_down(plan, room, flows)
    below = told["subfloor"].get("below")
    # Which way the heat goes asks for two layers, whether or not the film is the right one.
    if told["subfloor"].get("kind") == "concrete" and len(told["insulation"]["layers"]) == 1:
        exposed = below in ("ground", "outside")
        if told.get("use") == "conservatory" or (exposed and _loses(low, high)):
            yield warning("insulation-layers", room.id)
    if _has_wrong(room, wrong):
        return
    if below != "heated" and _loses(low, high):
        yield expect("downward-loss", room.id, severity="note")
    yield from _of_surface(plan, room, flows)
    yield from _of_demand(plan, room, flows)


def _share_down(plan: Data, room: Drawn, flows: dict[tuple[str, str], Flow]) -> tuple[float, float]:
    """Return bounds of the share of what a room's films give that goes down, in percent."""
    low = high = total = 0.0
    for strip in room.strips.values():
        power = strip_power(plan, strip)
        shares = [flow.share for (film, _), flow in flows.items() if film == strip.film]
        low += power * min(share[0] for share in shares)
        high += power * max(share[1] for share in shares)
        total += power
    return low / total, high / total


def _loses(low: float, high: float) -> bool:
    if low > 25:
        return True
    if high > 25:
        raise UnclearError
    return False


def _has_wrong(room: Drawn, wrong: set[str]) -> bool:
    return any(strip.film in wrong for strip in room.strips.values())


def _flows(plan: Data, room: Drawn) -> dict[tuple[str, str], Flow]:
    told = room.data
    films = {strip.film for strip in room.strips.values()}
    if not films or not told.get("insulation") or not told.get("subfloor"):
        return {}
    return {
        (film, covering): estimate_flow(plan, told, film, covering)
        for film in films
        for covering in list_coverings(told)
    }


def resistance(told: Data) -> float:
    """Return the resistance of a layer in m2 K/W, as stated or of its thickness."""
    if "resistance" in told:
        return read_quantity(told["resistance"], "m2 K/W")
    if "conductivity" in told:
        return mm(told["thickness"]) / 1000 / read_quantity(told["conductivity"], "W/m/K")
    raise UnclearError


def inside_c(told: Data) -> float:
    """Return the room's temperature."""
    stated = (told.get("fabric") or {}).get("inside")
    if stated is not None:
        return read_quantity(stated, "degC")
    return INSIDE.get(room_kind(told), 20.0)


def add_above(plan: Data, told: Data, covering: str) -> float:
    """Add up what resists above the film in m2 K/W, the thin membrane aside."""
    between = [told[key] for key in ("underlay", "overlay") if told.get(key)]
    own = plan["materials"]["coverings"][covering]
    return sum(resistance(each) for each in (own, *between))


def estimate_flow(plan: Data, told: Data, film: str, covering: str) -> Flow:
    """Estimate where the heat of one film under one covering goes, at full output."""
    materials, insulation, subfloor = plan["materials"], told["insulation"], told["subfloor"]
    output = film_output(plan, film)
    cover = add_above(plan, told, covering)
    board = resistance(materials["boards"][insulation["board"]])
    boards = [board * len(insulation["layers"])] * 2
    beneath = [sum(resistance(layer) for layer in subfloor.get("layers") or [])] * 2
    if not subfloor.get("layers"):
        beneath[1] = 5.0
    below = subfloor.get("below", "heated")
    if below == "outside":
        raise UnclearError
    inside, under = inside_c(told), UNDER[below]
    soil = (0.17, 0.17)
    if below == "ground":
        soil = (0.0, 0.0)
        outside = (told.get("fabric") or {}).get("outside")
        if outside is not None:
            # The heat goes on through the soil into the open air: by ISO 13370, here in bounds.
            soil, under = (0.2, 4.0), read_quantity(outside, "degC")
    ends = [_split(output, cover, boards[i] + beneath[i] + soil[i], inside, under) for i in (0, 1)]
    ups = [up for up, _ in ends]
    surfaces = [surface for _, surface in ends]
    return Flow(
        up=(min(ups) * 0.97, max(ups) * 1.03),
        share=(
            100 * (1 - max(ups) / output) - 2,
            100 * (1 - min(ups) / output) + 2,
        ),
        surface_c=(min(surfaces) - 0.2, max(surfaces) + 0.2),
    )


def _split(
    output: float, cover: float, down: float, inside: float, under: float
) -> tuple[float, float]:
    """Find what goes up and how warm the surface gets, by halving."""
    low, high = 0.0, output
    for _ in range(50):
        up = (low + high) / 2
        surface = inside + (up / 8.92) ** (1 / 1.1)
        film = surface + up * cover
        if up + (film - under) / down > output:
            high = up
        else:
            low = up
    return up, surface


def _of_surface(plan: Data, room: Drawn, flows: dict[tuple[str, str], Flow]) -> Iterator[Expected]:
    thermostat = room.data.get("thermostat") or {}
    if "floor_limit" not in thermostat:
        return
    passes = False
    for (_, covering), flow in flows.items():
        limit = warmest(plan, room.data, covering)
        if flow.surface_c[0] > limit:
            passes = True
        elif flow.surface_c[1] > limit and not passes:
            raise UnclearError
    if passes:
        yield expect("floor-temperature", room.id, severity="note")


def _of_demand(plan: Data, room: Drawn, flows: dict[tuple[str, str], Flow]) -> Iterator[Expected]:
    if room.data.get("heat_loss") is None and not room.data.get("fabric"):
        return
    low, high = heat_loss(room.data)
    installed = sum(
        strip_power(plan, strip) * (strip.shape & room.outline).area / strip.shape.area
        for strip in room.strips.values()
    )
    area = (heated(room) & room.outline).area / 1e6
    other = room.data.get("other_heat")
    others = 0.0 if other is None else read_quantity(other, "W")
    limit = min(warmest(plan, room.data, covering) for _, covering in flows)
    thermostat = room.data.get("thermostat") or {}
    if "floor_limit" in thermostat:
        limit = min(limit, read_quantity(thermostat["floor_limit"], "degC"))
    capped = 8.92 * max(0.0, limit - inside_c(room.data)) ** 1.1 * area
    shares = [flow.share for flow in flows.values()]
    least = min(installed * (1 - max(0.0, max(s[1] for s in shares)) / 100), capped)
    most = min(installed * (1 - min(s[0] for s in shares) / 100), capped)
    if most * 1.02 < low * 1.1 - others:
        yield warning("heat-demand", room.id)
    elif least * 0.98 < high * 1.1 - others:
        raise UnclearError


def heat_loss(told: Data) -> tuple[float, float]:
    """Return a room's heat loss in W, between bounds where it follows from the fabric."""
    if told.get("heat_loss") is not None:
        loss = read_quantity(told["heat_loss"], "W")
        return loss, loss
    fabric = told["fabric"]
    inside = inside_c(told)
    if "outside" not in fabric:
        raise UnclearError
    outside = read_quantity(fabric["outside"], "degC")
    loss = 0.0
    for surface in fabric.get("surfaces") or []:
        beyond = surface.get("beyond", "outside")
        there = outside if beyond == "outside" else read_quantity(beyond, "degC")
        loss += (
            read_quantity(surface["area"], "m2")
            * read_quantity(surface["u_value"], "W/m2/K")
            * (inside - there)
        )
    if "air_changes" in fabric and "height" in told:
        xs, ys = zip(*((mm(x), mm(y)) for x, y in told["outline"]), strict=True)
        volume = (max(xs) - min(xs)) * (max(ys) - min(ys)) * mm(told["height"]) / 1e9
        changes = read_quantity(fabric["air_changes"], "1/h")
        loss += 0.34 * changes * volume * (inside - outside)
    return loss * 0.5, loss * 1.2
