"""Right plans out of a seed: rooms of many shapes, filled by the generator's own arithmetic."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Literal

from tests.seeded_faults.floors import Column, Film, Floor, Spot, Turn, lay_floor
from underfoot.api import Data
from underfoot_rules.mutations.causing import list_faults
from underfoot_rules.mutations.comparing import UnclearError

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


@dataclass(frozen=True, slots=True)
class Supply:
    """What feeds the plan."""

    volts: int
    film_volts: int
    selv: bool


MAINS = (
    Supply(220, 230, False),
    Supply(230, 230, False),
    Supply(230, 230, False),
    Supply(240, 230, False),
    Supply(120, 120, False),
)


@dataclass(slots=True)
class Names:
    """Ids that are unique in a plan."""

    rows: Iterator[str]
    circuits: Iterator[int]
    leads: Iterator[int]


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
    if selv:
        supply = Supply(48, 48, True)
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
        },
        "rooms": {},
        "circuits": {},
        "method_statement": dict(STEPS),
    }
    names = Names(iter("ABDFGHKLMNPQ"), itertools.count(1), itertools.count(1))
    count = 1 if selv or large else rng.choice((1, 1, 1, 2, 3))
    size: Size = "large" if large else "small" if selv or count > 1 else "any"
    for number in range(count):
        use = rng.choice(
            ("living", "kitchen", "hall", "office", "other", "bathroom", "bathroom", "conservatory")
        )
        if not _draw_room(rng, plan, f"{use}-{number + 1}", use, supply, names, size=size):
            return None
    if plan["status"] in ("laid", "covered", "handed over"):
        _record_tests(rng, plan, supply)
    if plan["status"] == "handed over":
        plan["handover"] = {"diagram": True, "certificate": "signed", "left_with_customer": True}
    return plan


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
        told["longest_circuit"] = "30 m"
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
        "fixtures": {
            o.name: _write_fixture(o.box, o.kind, dict(o.more), turn) for o in floor.obstacles
        },
        "subfloor": _write_subfloor(rng, use),
        "insulation": _write_insulation(rng, use, board, of_board),
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
    if bathroom:
        room["grid"] = {"mesh": rng.choice((20, 30)), "earthed": True}
    if floor.joint is not None:
        room["joints"] = {"J1": [list(turn.spot(end)) for end in floor.joint]}
    if not room["fixtures"]:
        del room["fixtures"]
    _wire(rng, plan, room, name, floor, film, turn, output, width, supply, names)
    power = (
        sum(c.length * width for c in floor.columns)
        / 1e6
        * output
        * (supply.volts / supply.film_volts) ** 2
    )
    _write_loss(rng, room, use, power)
    plan["rooms"][name] = room
    return True


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


def _write_subfloor(rng: random.Random, use: str) -> Data:
    concrete = {"material": "concrete", "thickness": 100, "conductivity": "1.65 W/m/K"}
    foam = {"material": "foam", "thickness": 100, "resistance": "2.9 m2 K/W"}
    ground: Data = {"kind": "concrete", "below": "ground", "layers": [concrete, foam]}
    ground.update(rng.choice(({"barrier": "sheet-1"}, {"moisture": "1.7 %"})))
    if use == "conservatory":
        return ground
    above: Data = {
        "kind": rng.choice(("timber", "existing floor")),
        "below": "heated",
        "layers": [{"material": "joists and board", "thickness": 240, "resistance": "1.1 m2 K/W"}],
    }
    open_space: Data = {
        "kind": "timber",
        "below": "unheated",
        "layers": [
            {"material": "boards", "thickness": 22, "conductivity": "0.13 W/m/K"},
            {"material": "wool", "thickness": 150, "resistance": "3.2 m2 K/W"},
        ],
    }
    return rng.choice((above, above, open_space, ground))


def _write_insulation(rng: random.Random, use: str, board: str, size: list[int]) -> Data:
    along = rng.choice(("x", "y"))
    stagger = rng.choice((size[0] // 2, size[0] // 4, 200))
    layers: list[Data] = [{"courses": along, "stagger": stagger}]
    if use == "conservatory" or rng.random() < 0.15:
        layers.append({"courses": "y" if along == "x" else "x", "stagger": stagger})
    return {"board": board, "joints_taped": True, "layers": layers}


def _cable_m(floor: Floor) -> int:
    points = [floor.box, *floor.sensor_bends, floor.sensor]
    way = sum(math.dist(a, b) for a, b in itertools.pairwise(points))
    return math.ceil((way + 1500) / 1000) + 1


def _write_loss(rng: random.Random, room: Data, use: str, power_w: float) -> None:
    needed = 0.5 * power_w
    if rng.random() < 0.75:
        room["heat_loss"] = f"{round(needed)} W"
        return
    inside = 24 if use == "bathroom" else 20
    area = needed * 0.5 / (1.2 * (inside + 3))
    room["fabric"] = {
        "outside": "-3 degC",
        "surfaces": [
            {"name": "wall", "area": f"{area:.2f} m2", "u_value": "1.2 W/m2/K", "beyond": "outside"}
        ],
    }


def _wire(
    rng: random.Random,
    plan: Data,
    room: Data,
    name: str,
    floor: Floor,
    film: str,
    turn: Turn,
    output: float,
    width: float,
    supply: Supply,
    names: Names,
) -> None:
    """Divide the strips over circuits, name them, and draw a lead for each circuit."""
    most_a, most_m = rng.choice((9.6, 9.6, 5.0, 3.0)), 29.0 * 500 / max(width, 500)
    gain = (supply.volts / supply.film_volts) ** 2 / supply.volts
    groups: list[list[Column]] = [[]]
    amps = metres = 0.0
    currents = []
    for column in floor.columns:
        a = output * width * column.length / 1e6 * gain
        if groups[-1] and (amps + a > most_a or metres + column.length / 1000 > most_m):
            currents.append(amps)
            groups.append([])
            amps = metres = 0.0
        groups[-1].append(column)
        amps, metres = amps + a, metres + column.length / 1000
    currents.append(amps)
    circuits = [f"C{next(names.circuits)}" for _ in groups]
    of = {
        column: circuit for group, circuit in zip(groups, circuits, strict=True) for column in group
    }
    ids = _write_strips(rng, room, floor, film, turn, width, of, names)
    _write_circuits(rng, plan, room, name, circuits, currents, supply)
    strong = any("shares" in plan["circuits"][c] for c in circuits) or supply.selv
    room["leads"] = {}
    bx, by = floor.bend
    for circuit, group in zip(circuits, groups, strict=True):
        chain = group
        if bx > group[-1].x + width:
            chain = group[::-1]
        first = chain[0].x + width / 2
        bends: list[Spot] = [floor.bend, (bx, 30.0)] if by != 30 else [floor.bend]
        bends.append((first, 30.0))
        route: list[Any] = ["junction-box", *(list(turn.spot(bend)) for bend in _tidy(bends))]
        route += [ids[column] for column in chain]
        room["leads"][f"W{next(names.leads)}"] = {
            "circuit": circuit,
            "size": "2.5 mm2" if strong else "1.5 mm2",
            "recessed": True,
            "route": route,
        }


def _tidy(bends: list[Spot]) -> list[Spot]:
    return [bend for bend, _ in itertools.groupby(bends)]


def _write_strips(
    rng: random.Random,
    room: Data,
    floor: Floor,
    film: str,
    turn: Turn,
    width: float,
    of: dict[Column, str],
    names: Names,
) -> dict[Column, str]:
    ids: dict[Column, str] = {}
    if turn.keeps_rows and rng.random() < 0.7 and _is_even(floor, width):
        room["rows"] = {}
        for number in sorted({column.row for column in floor.columns}):
            row = next(names.rows)
            columns = [column for column in floor.columns if column.row == number]
            main = of[columns[0]]
            lengths: list[Any] = [
                c.length if of[c] == main else {"length": c.length, "circuit": of[c]}
                for c in columns
            ]
            told: Data = {
                "film": film,
                "at": list(turn.spot((columns[0].x, columns[0].y))),
                "along": "x" if turn.mirrored else "y",
                "circuit": main,
            }
            if all(length == lengths[0] for length in lengths):
                told.update(length=lengths[0], count=len(lengths))
            else:
                told["lengths"] = lengths
            room["rows"][row] = told
            ids.update({column: f"{row}{place + 1}" for place, column in enumerate(columns)})
        return ids
    letter = next(names.rows)
    room["elements"] = {}
    for place, column in enumerate(floor.columns):
        ids[column] = f"{letter}{place + 1}"
        room["elements"][ids[column]] = {
            "film": film,
            **_turn_strip(column, width, turn),
            "circuit": of[column],
        }
    return ids


def _is_even(floor: Floor, width: float) -> bool:
    """Tell whether each row's strips butt without a place left empty."""
    return all(
        b.row != a.row or abs(b.x - a.x - width) < 1e-6
        for a, b in itertools.pairwise(floor.columns)
    )


def _turn_strip(column: Column, width: float, turn: Turn) -> Data:
    x, y, length = column.x, column.y, column.length
    if turn.angle_deg:
        return {
            "at": list(turn.spot((x + width, y))),
            "along": f"{round(90 + turn.angle_deg, 1):g} deg",
            "length": length,
        }
    ends = [turn.spot((x, y)), turn.spot((x + width, y + length))]
    low = [min(ends[0][0], ends[1][0]), min(ends[0][1], ends[1][1])]
    start, end = turn.spot((x + width / 2, y)), turn.spot((x + width / 2, y + length))
    along = "x" if abs(start[1] - end[1]) < 1 else "y"
    told: Data = {"at": low, "along": along, "length": length}
    if start > end:
        told["connected"] = "end"
    return told


def _write_circuits(
    rng: random.Random,
    plan: Data,
    room: Data,
    name: str,
    circuits: list[str],
    currents: list[float],
    supply: Supply,
) -> None:
    total = sum(currents)
    shared = len(circuits) > 1 and total <= 15.5 and rng.random() < 0.6
    if len(circuits) > 1 and not shared:
        room["thermostat"]["contactor"] = {"poles": len(circuits), "rating": "20 A"}
    for number, circuit in enumerate(circuits):
        if shared and number:
            plan["circuits"][circuit] = {"thermostat": name, "shares": circuits[0]}
            continue
        carries = total if shared else currents[number]
        told: Data = {
            "thermostat": name,
            "breaker": "16 A" if shared or supply.selv else rng.choice(("10 A", "10 A", "6 A")),
            "cable": {
                "size": "10 mm2" if supply.selv else rng.choice(("2.5 mm2", "4 mm2")),
                "length": f"{rng.randint(4, 8 if supply.selv else 18)} m",
                "method": rng.choice(("C", "B1")),
                "ambient": "30 degC",
            },
        }
        if told["breaker"] == "6 A" and carries > 6:
            told["breaker"] = "10 A"
        if not supply.selv:
            told["rcd"] = rng.choice(("30 mA", "30 mA", "10 mA"))
        plan["circuits"][circuit] = told


def _record_tests(rng: random.Random, plan: Data, supply: Supply) -> None:
    """Record the tests that the status calls for, every strip read by itself."""
    laid = date(2026, 10, rng.randint(1, 20))
    days = {"laid": laid, "covered": laid + timedelta(days=rng.randint(1, 7))}
    stages = ["laid"] if plan["status"] == "laid" else ["laid", "covered"]
    plan["tests"] = []
    strips = _rated_ohms(plan, supply)
    for circuit in plan["circuits"]:
        factors = {strip: rng.uniform(0.98, 1.06) for strip in strips[circuit]}
        for stage in stages:
            drift = rng.uniform(0.995, 1.005)
            read = {s: ohm * factors[s] * drift for s, ohm in strips[circuit].items()}
            test: Data = {
                "circuit": circuit,
                "stage": stage,
                "date": days[stage].isoformat(),
                "load_resistance": f"{1 / sum(1 / ohm for ohm in read.values()):.2f} ohm",
                "strips": {strip: f"{ohm:.1f} ohm" for strip, ohm in read.items()},
                "insulation_resistance": f"{rng.randint(20, 400)} Mohm",
                "test_voltage": "250 V" if supply.selv else "500 V",
                "against": rng.choice(("grid", "earth")),
                "thermostat_disconnected": True,
                "ambient": "18 degC",
                "tested_by": "site electrician",
            }
            if not supply.selv:
                test["rcd_trip_time"] = f"{rng.randint(15, 40)} ms"
            plan["tests"].append(test)


def _rated_ohms(plan: Data, supply: Supply) -> dict[str, dict[str, float]]:
    """Work out each strip's rated resistance, circuit by circuit."""
    from underfoot_rules.mutations.opening import open_rows

    found: dict[str, dict[str, float]] = {circuit: {} for circuit in plan["circuits"]}
    for room in open_rows(plan)["rooms"].values():
        for name, told in room["elements"].items():
            film = plan["materials"]["films"][told["film"]]
            number, unit = film["output"].split()
            per_m = float(number) * (film["width"] / 1000 if unit == "W/m2" else 1)
            watts = per_m * told["length"] / 1000
            found[told["circuit"]][name] = supply.film_volts**2 / watts
    return found
