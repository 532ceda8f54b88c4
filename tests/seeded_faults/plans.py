"""Right plans out of a seed: rooms of many shapes, filled by the generator's own arithmetic."""

import itertools
import math
import random
from collections.abc import Sequence
from typing import Literal

from tests.second_opinion.comparing import UnclearError
from tests.second_opinion.listing import list_faults
from tests.seeded_faults.build_ups import OVERLAYS, write_insulation, write_loss, write_subfloor
from tests.seeded_faults.floors import Film, Floor, Turn, lay_floor
from tests.seeded_faults.recording import record_tests
from tests.seeded_faults.wiring import Names, Supply, share_protection, wire_room
from underfoot.api.rules import Data

Size = Literal["small", "any", "large"]

STEPS: Data = {
    "floor_cleaned": True,
    "busbars": "down",
    "elements_taped": True,
    "cut_ends_insulated": True,
    "connector_tool": "ratchet",
    "connectors_insulated": "both sides",
    "connectors_recessed": True,
    "single_conductor_folded": True,
    "bare_conductor": 6,
    "conduit_closed": True,
    "sensor_taped": True,
}
COVERINGS: dict[str, tuple[str, str, str]] = {
    "plank-a": ("laminate", "27 degC", "0.06 m2 K/W"),
    "plank-b": ("engineered wood", "27 degC", "0.10 m2 K/W"),
    "plank-c": ("vinyl plank", "29 degC", "0.03 m2 K/W"),
    "tile-d": ("ceramic tile", "33 degC", "0.01 m2 K/W"),
}
MAINS = (
    Supply(220, 230, False),
    Supply(230, 230, False),
    Supply(230, 230, False),
    Supply(240, 230, False),
    Supply(120, 120, False),
)


def right_plan(seed: int) -> Data:
    """Draw a right plan; the same seed gives the same plan."""
    rng = random.Random(seed)
    while True:
        plan = _draw_plan(rng)
        if plan is None:
            continue
        try:
            if not list_faults(plan):
                return plan
        except UnclearError:
            continue


def _draw_plan(rng: random.Random) -> Data | None:
    kind = rng.random()
    selv = kind < 0.06
    large = not selv and rng.random() < 0.2
    supply = rng.choice(MAINS[3:] if large else MAINS)
    count = 1 if selv or large else rng.choice((1, 1, 1, 2, 3))
    uses = [
        rng.choice(
            ("living", "kitchen", "hall", "office", "other", "bathroom", "bathroom", "conservatory")
        )
        for _ in range(count)
    ]
    if selv:
        supply = Supply(24, 24, True) if "bathroom" in uses else Supply(48, 48, True)
    plan: Data = {
        "plan_format": 1,
        "status": rng.choice(
            ("draft", "for review", "for review", "laid", "covered", "handed over")
        ),
        "job": {
            "title": "Osier Row",
            "reference": f"OR-{rng.randint(1, 999):03}",
            "revision": rng.choice(("P1", "P2", "C1")),
            "date": "2026-09-14",
        },
        "materials": {"films": {}, "boards": {}, "sheets": {}, "coverings": {}},
        "supply": {
            "voltage": f"{supply.volts} V",
            "system": "SELV" if selv else "mains",
            "available": "60 A",
            **_write_phases(rng, selv=selv),
        },
        "rooms": {},
        "circuits": {},
        "method_statement": dict(STEPS),
    }
    names = Names(iter("ABDFGHKLMNPQ"), itertools.count(1), itertools.count(1))
    size: Size = "large" if large else "small" if selv or count > 1 else "any"
    for number, use in enumerate(uses):
        if not _draw_room(rng, plan, f"{use}-{number + 1}", use, supply, names, size=size):
            return None
    if count > 1 and rng.random() < 0.5:
        share_protection(rng, plan)
    if plan["status"] in ("laid", "covered", "handed over"):
        record_tests(rng, plan, supply)
    if plan["status"] == "handed over":
        plan["handover"] = {"diagram": True, "certificate": "signed", "left_with_customer": True}
    return plan


def _write_phases(rng: random.Random, *, selv: bool) -> Data:
    """Write the source of extra-low voltage, or that there are three phases."""
    if selv:
        source = {
            "kind": "safety isolating transformer",
            "standard": "IEC 61558-2-6",
            "rating": "1 kVA",
        }
        return {"source": source}
    return {"phases": 3} if rng.random() < 0.3 else {}


def _draw_room(
    rng: random.Random,
    plan: Data,
    name: str,
    use: str,
    supply: Supply,
    names: Names,
    *,
    size: Size,
) -> bool:
    materials = plan["materials"]
    bathroom = use == "bathroom"
    covering = "tile-d" if bathroom else rng.choice(("plank-a", "plank-b", "plank-c"))
    kind, warmest, resists = COVERINGS[covering]
    materials["coverings"][covering] = {
        "kind": kind,
        "thickness": 10,
        "resistance": resists,
        "warmest_surface": warmest,
        "most_output": "160 W/m2",
        "fixing": "glued" if bathroom else "floating",
    }
    board = rng.choice(("board-10", "board-20"))
    of_board = materials["boards"].setdefault(
        board,
        {
            "size": rng.choice(([1200, 600], [1000, 500])),
            "thickness": int(board[-2:]),
            "conductivity": "0.033 W/m/K",
        },
    )["size"]
    materials["sheets"].setdefault(
        "sheet-1", {"width": rng.choice(("2 m", "1.5 m")), "thickness": 0.2}
    )
    stronger = warmest != "27 degC"
    most = (85 if stronger else 66) * (supply.film_volts / supply.volts) ** 2
    output = round(rng.uniform(45, most))
    width, cut = rng.choice(
        ((500, 250), (500, 250), (400, 200), (600, 300), (1000, 250), (500, 125))
    )
    film = f"film-{width}-{output}-{len(materials['films']) + 1}"
    told: Data = {
        "width": width,
        "output": f"{output} W/m2" if rng.random() < 0.8 else f"{output * width / 1000:g} W/m",
        "voltage": f"{supply.film_volts} V",
        "cut_every": cut,
        "longest_strip": rng.choice(("6 m", "9 m")),
        "tolerance": [-10, 5],
        "lies": "busbars down",
        "suits": [kind],
        "boards": [board],
        "standard": "IEC 60335-2-96" if bathroom else "IEC 60335-2-106",
    }
    if not bathroom and not supply.selv:
        told["protection_class"] = "II"
    if rng.random() < 0.3:
        told["largest_current"] = "16 A"
    if rng.random() < 0.4:
        told["leakage"] = rng.choice(("0.2 mA/m2", "0.1 mA/m", "0.05 mA/m2"))
    if rng.random() < 0.3:
        told["longest_circuit"] = "30 m"
    if rng.random() < 0.3:
        told["warmest"] = rng.choice(("80 degC", "70 degC", "176 degF"))
    materials["films"][film] = told
    floor = lay_floor(
        rng,
        Film(width, cut, 5500),
        bathroom=bathroom,
        small=size == "small",
        large=size == "large",
    )
    if floor is None:
        return False
    turn = _choose_turn(rng)
    limit = min(29 if not bathroom else 33, int(warmest[:2]))
    room: Data = {
        "use": use,
        "outline": [list(turn.spot(corner)) for corner in floor.outline],
        "height": 2400,
        "openings": {"window": _write_window(floor.outline, turn)},
        "fixtures": {
            o.name: _write_fixture(o.box, o.kind, dict(o.more), turn) for o in floor.obstacles
        },
        "subfloor": write_subfloor(rng, use),
        "insulation": write_insulation(rng, use, board, of_board),
        "membrane": {
            "sheet": "sheet-1",
            "overlaps_taped": True,
            "perimeter_taped": True,
            "runs": {"along": rng.choice(("x", "y")), "overlap": rng.choice((100, 150, 200))},
        },
        "junction_box": {"at": list(turn.spot(floor.box)), "height": 450},
        "thermostat": {
            "height": rng.choice((1400, "1.4 m", 1350, 1480)),
            "switches": "16 A",
            "floor_limit": f"{limit} degC",
        },
        "sensor": {
            "at": list(turn.spot(floor.sensor)),
            "route": ["junction-box", *(list(turn.spot(bend)) for bend in floor.sensor_bends)],
            "channel": {
                "width": 13,
                "depth": 7,
                "cut_into": rng.choice(("insulation", "subfloor")),
            },
            "conduit": {"width": 12, "depth": 7},
            "cable": f"{_cable_m(floor)} m",
        },
    }
    if rng.random() < 0.4:
        half = floor.outline[1][0] / 2
        top = max(y for _, y in floor.outline) + 100
        over = [(-100, -100), (half, -100), (half, top), (-100, top)]
        room["coverings"] = [
            {"covering": covering, "over": [list(turn.spot(corner)) for corner in over]},
            {"covering": covering},
        ] if rng.random() < 0.3 else [{"covering": covering}]  # fmt: skip
    else:
        room["covering"] = covering
    if rng.random() < 0.4:
        room["underlay"] = {"thickness": 2, "resistance": "0.02 m2 K/W"}
    if kind in ("vinyl plank", "ceramic tile"):
        room["overlay"] = dict(rng.choice(OVERLAYS))
    if bathroom:
        size = rng.choice(("1.5 mm2", "4 mm2"))
        room["grid"] = {
            "mesh": rng.choice((20, 30)), "earthed": True, "protective_conductor": size
        }  # fmt: skip
    if floor.joint is not None:
        room["joints"] = {"J1": [list(turn.spot(end)) for end in floor.joint]}
    if not room["fixtures"]:
        del room["fixtures"]
    wire_room(rng, plan, room, name, floor, film, turn, output, width, supply, names)
    power = (
        sum(c.length * width for c in floor.columns)
        / 1e6
        * output
        * (supply.volts / supply.film_volts) ** 2
    )
    write_loss(rng, room, use, power)
    plan["rooms"][name] = room
    return True


def _write_window(outline: Sequence[tuple[float, float]], turn: Turn) -> Data:
    """Put a window in the middle of the first wall."""
    (x, y), (u, v) = outline[0], outline[1]
    ends = (turn.spot((x + (u - x) * share, y + (v - y) * share)) for share in (0.3, 0.7))
    start, end = ([round(value, 3) for value in spot] for spot in ends)
    return {"kind": "window", "from": start, "to": end}


def _choose_turn(rng: random.Random) -> Turn:
    kind = rng.random()
    if kind < 0.55:
        return Turn(mirrored=rng.random() < 0.4)
    if kind < 0.88:
        return Turn(quarters=rng.randint(0, 3), mirrored=rng.random() < 0.5)
    return Turn(angle_deg=round(rng.uniform(3, 87), 1))


def _write_fixture(box: tuple[float, ...], kind: str, more: Data, turn: Turn) -> Data:
    x, y, width, depth = box
    corners = [
        turn.spot(c) for c in ((x, y), (x + width, y), (x + width, y + depth), (x, y + depth))
    ]
    written: Data
    if turn.angle_deg:
        written = {"outline": [list(corner) for corner in corners], "kind": kind}
    else:
        low = [min(c[0] for c in corners), min(c[1] for c in corners)]
        high = [max(c[0] for c in corners), max(c[1] for c in corners)]
        size = [round(high[0] - low[0], 6), round(high[1] - low[1], 6)]
        written = {"at": low, "size": size, "kind": kind}
    if "outlet" in more:
        more["outlet"] = list(turn.spot(more["outlet"]))
    return {**written, **more}


def _cable_m(floor: Floor) -> int:
    points = [floor.box, *floor.sensor_bends, floor.sensor]
    way = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    return math.ceil((way + 1500) / 1000) + 1
