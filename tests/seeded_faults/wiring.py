"""Divides the strips of a drawn floor over circuits, names them, and draws their leads."""

import itertools
import random
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from tests.seeded_faults.floors import Column, Floor, Spot, Turn
from underfoot.api.rules import Data
from underfoot_rules.mutations.expand_rows import open_rows
from underfoot_rules.mutations.loads import loads_as_written


@dataclass(frozen=True, slots=True)
class Supply:
    """What feeds the plan."""

    volts: int
    film_volts: int
    selv: bool


@dataclass(slots=True)
class Names:
    """Ids that are unique in a plan."""

    rows: Iterator[str]
    circuits: Iterator[int]
    leads: Iterator[int]


def wire_room(
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
    chains = [group[::-1] if bx > group[-1].x + width else group for group in groups]
    lanes = _lanes([abs(chain[0].x + width / 2 - bx) for chain in chains])
    for circuit, chain, lane in zip(circuits, chains, lanes, strict=True):
        first = chain[0].x + width / 2
        bends: list[Spot] = [(lane, by), (lane, lane)] if by != 30 else [(bx, lane)]
        bends.append((first, lane))
        route: list[Any] = ["junction-box", *(list(turn.spot(bend)) for bend in _tidy(bends))]
        route += [ids[column] for column in chain]
        room["leads"][f"W{next(names.leads)}"] = {
            "circuit": circuit,
            "size": "2.5 mm2" if strong else "1.5 mm2",
            "recessed": True,
            "route": route,
        }


def _lanes(distances: list[float]) -> list[float]:
    """Return each lead its way off the wall, 9 mm apart: the farther it goes, the nearer to it."""
    ranks = {place: rank for rank, place in enumerate(_farthest_first(distances))}
    return [30.0 + 9 * (ranks[place] - (len(ranks) - 1) / 2) for place in range(len(ranks))]


def _farthest_first(distances: list[float]) -> list[int]:
    return sorted(range(len(distances)), key=lambda place: -distances[place])


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
            told.update(rng.choice(({}, {"rcd_type": "A"}, {"rcd_type": "F"})))
        if plan["supply"].get("phases") == 3:
            told["phase"] = rng.choice(("L1", "L2", "L3"))
        plan["circuits"][circuit] = told


def share_protection(rng: random.Random, plan: Data) -> None:
    """Feed the circuit of one room on from the box of another, where one breaker carries both."""
    alone = [name for name in plan["rooms"] if len(_circuits_of(plan, name)) == 1]
    if len(alone) < 2:
        return
    first, second = (_circuits_of(plan, name)[0] for name in rng.sample(alone, 2))
    drawn = loads_as_written(open_rows(plan))
    breaker = float(plan["circuits"][first]["breaker"].removesuffix(" A"))
    if drawn[first].current_a + drawn[second].current_a > breaker - 0.1:
        return
    plan["circuits"][second] = {
        "thermostat": plan["circuits"][second]["thermostat"],
        "shares": first,
        "cable": {
            "size": rng.choice(("1.5 mm2", "2.5 mm2")),
            "length": f"{rng.randint(3, 9)} m",
            "method": rng.choice(("C", "B1")),
            "ambient": "30 degC",
        },
    }


def _circuits_of(plan: Data, room: str) -> list[str]:
    return [name for name, told in plan["circuits"].items() if told["thermostat"] == room]
