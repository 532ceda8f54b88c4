"""What is wrong with the layers of one room's floor, as the plan writes them."""

from collections.abc import Iterator, Mapping
from typing import Any

import shapely
from shapely import Polygon

from tests.second_opinion.comparing import UnclearError, exceeds
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Data, Expected, read_quantity
from underfoot_rules.mutations.drawn import Drawn
from underfoot_rules.mutations.expand_rows import mm

# What the kinds of the drawn plans and of the scenario are like; of others nothing is said here.
YIELDS: Mapping[str, bool] = {
    "laminate": False,
    "engineered wood": False,
    "solid wood": False,
    "vinyl plank": True,
    "carpet": True,
    "cork parquet": True,
    "ceramic tile": True,
    "stone plank": True,
}
MINERAL = ("ceramic tile", "stone plank")
SOFT_LAYERS = ("foam", "cork", "felt")
# By base and method, in %: below anything, below tile or stone.
DRY: Mapping[tuple[str, str], tuple[float, float]] = {
    ("cement", "CM"): (1.8, 2.0),
    ("cement", "by weight"): (3.3, 3.5),
    ("calcium sulphate", "CM"): (0.3, 0.3),
    ("calcium sulphate", "by weight"): (0.3, 0.3),
    ("timber", "by weight"): (12.0, 12.0),
}


def layer_faults(plan: Data, room: Drawn) -> Iterator[Expected]:
    """Judge coverings, overlay and subfloor; UnclearError where that is too close to tell."""
    told = room.data
    overlay = told.get("overlay")
    over = _coverings_over(room)
    coverings = {name: plan["materials"]["coverings"][name] for name in over}
    for name, covering in coverings.items():
        yield from _of_fixing(room, name, covering.get("fixing"), loose=overlay is None)
        if _lacks_overlay(plan, told, covering):
            yield error("load-spreading", room.id, name)
    if overlay:
        yield from _of_fixing(room, "overlay", overlay.get("fixing"), loose=True)
    for film in {strip.film for strip in room.strips.values()}:
        shapes = [strip.shape for strip in room.strips.values() if strip.film == film]
        held = [coverings[name].get("fixing") for name in over if _share(over[name], shapes)]
        yield from _of_standard(plan, room, film, held, (overlay or {}).get("fixing"))
    if coverings:
        yield from _of_damp(told, room, [each.get("kind") for each in coverings.values()])


def _coverings_over(room: Drawn) -> dict[str, Any]:
    """Return the coverings that strips lie under, each with its area."""
    told = room.data
    entries = told.get("coverings") or (
        [{"covering": told["covering"]}] if "covering" in told else []
    )
    strips = [strip.shape for strip in room.strips.values()]
    rest = room.outline.buffer(100)
    areas: dict[str, Any] = {}
    for entry in sorted(entries, key=lambda each: "over" not in each):
        area = rest
        if "over" in entry:
            area = rest.intersection(Polygon([(mm(x), mm(y)) for x, y in entry["over"]]))
        rest = rest.difference(area)
        areas[entry["covering"]] = areas.get(entry["covering"], Polygon()).union(area)
    return {name: area for name, area in areas.items() if _share(area, strips)}


def _share(area: Any, shapes: list[Any]) -> bool:
    """Tell whether more than a joint's width of some shape lies in an area."""
    widths = [shapely.intersection(area, shape).buffer(-5.0).area for shape in shapes]
    if any(0 < width < 5000 for width in widths):
        raise UnclearError
    return any(widths)


def _of_fixing(room: Drawn, name: str, fixing: str | None, *, loose: bool) -> Iterator[Expected]:
    if fixing in ("nailed", "screwed"):
        yield error("covering-fixing", room.id, name)
    if fixing == "glued" and loose:
        yield error("covering-bond", room.id, name)


def _lacks_overlay(plan: Data, told: Data, covering: Data) -> bool:
    insulation = told.get("insulation")
    if not insulation:
        return False
    board = plan["materials"]["boards"].get(insulation.get("board"), {})
    if any(word in board.get("material", "") for word in ("cement", "coated", "faced")):
        return False
    kind = covering.get("kind", "")
    if kind not in YIELDS:
        raise UnclearError
    thin = "thickness" in covering and _misses(mm(covering["thickness"]), 6)
    if not YIELDS[kind] and not thin:
        return False
    overlay = told.get("overlay")
    if not overlay:
        return True
    return overlay["material"] in SOFT_LAYERS or _misses(mm(overlay["thickness"]), 5)


def _misses(thickness: float, least: float) -> bool:
    return thickness != least and not exceeds(thickness, least, 0.01)


def _of_standard(
    plan: Data, room: Drawn, film: str, held: list[str | None], overlay: str | None
) -> Iterator[Expected]:
    told = plan["materials"]["films"][film].get("standard", "")
    if told.endswith("2-106") and ("glued" in held or overlay == "glued"):
        yield error("film-standard", room.id, film)
    if told.endswith("2-96") and "floating" in held and overlay in (None, "floating"):
        yield warning("film-standard", room.id, film)


def _of_damp(told: Data, room: Drawn, kinds: list[str | None]) -> Iterator[Expected]:
    subfloor = told.get("subfloor") or {}
    moisture = subfloor.get("moisture")
    if moisture is None:
        return
    written = moisture if isinstance(moisture, dict) else {"value": moisture}
    base = subfloor.get("screed") or {"concrete": "cement", "timber": "timber"}.get(
        subfloor.get("kind", "")
    )
    below_tile = all(kind in MINERAL for kind in kinds)
    limits = [
        limit[below_tile]
        for (of, method), limit in DRY.items()
        if base in (None, of) and written.get("method", method) == method
    ]
    reading = read_quantity(written["value"], "%")
    if limits and reading != max(limits) and exceeds(reading, max(limits), 0.01):
        yield error("moisture-reading", room.id)
