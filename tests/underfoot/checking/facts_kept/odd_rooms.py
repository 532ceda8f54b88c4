"""Rooms that nobody would plan: slanted walls, strips at any angle, over each other and outside.

Each is drawn by a seed of its own, with few things at places that are no round figures, so that
every way through the geometry is gone by something.
"""

import copy
import random
from typing import Any

from tests.underfoot_rules.plans import BASE

ROOMS = 10
OUTLINES = (
    [[0, 0], [4000, 0], [4000, 3000], [0, 3000]],
    [[0, 0], [4213, 0], [4213, 1811], [2507, 1811], [2507, 3403], [0, 3403]],
    [[0, 1100], [900, 0], [3700, 212], [4303, 2201], [3001, 3307], [411, 3109]],
    [[0, 0], [1503, 0], [1503, 2007], [2711, 2007], [2711, 0], [4301, 0], [4301, 3499], [0, 3499]],
    [[0, 0], [4100, 0], [4100, 2900], [2200, 2333], [0, 2900]],
)
KINDS = ("floor-mounted", "structure", "heat source", "on legs", "bath", "open shower")


def odd_plan(seed: int) -> dict[str, Any]:
    """Draw the plan of one room."""
    draw = random.Random(seed)
    plan = copy.deepcopy(dict(BASE))
    room = plan["rooms"]["room"]
    room["outline"] = [list(each) for each in OUTLINES[seed % len(OUTLINES)]]
    del room["rows"]
    row = {"film": "film-80", "at": _place(draw, 300, 900), "along": draw.choice("xy"),
           "lengths": [draw.randint(6, 13) * 125 for _ in range(3)], "circuit": "C1"}  # fmt: skip
    room["rows"] = {"A": {**row, "spacing": draw.choice([0, 3, 9, 11, 70])}}
    room["elements"] = {
        f"E{number}": {
            "film": "film-80", "at": _place(draw, 100, 2600), "length": draw.randint(500, 1900),
            "along": draw.choice(["x", "y", "30 deg", "117 deg"]), "circuit": "C1",
        }
        for number in range(1, 4)
    }  # fmt: skip
    room["fixtures"] = {
        f"F{number}": _fixture(draw, kind) for number, kind in enumerate(draw.sample(KINDS, 3))
    }
    room["joints"] = {
        "J1": [_place(draw, 0, 800), _place(draw, 1000, 1900), _place(draw, 2000, 3000)]
    }
    bends = [_place(draw, -60, 3300) for _ in range(3)]
    names = ["A1", "E1", "A2", "E2", "A3.end", "E3.end"]
    room["leads"] = {
        "W1": {"circuit": "C1", "size": "1.5 mm2", "recessed": True,
               "route": ["junction-box", bends[0], *names[:3]]},
        "W2": {"circuit": "C1", "size": "2.5 mm2", "recessed": draw.random() < 0.5,
               "route": ["A2.end", bends[1], bends[2], *names[3:]]},
    }  # fmt: skip
    room["sensor"]["at"] = _place(draw, 400, 2300)
    room["sensor"]["route"] = ["junction-box", _place(draw, 200, 1500)]
    room["membrane"]["runs"] = {"along": draw.choice("xy"), "overlap": draw.choice([90, 150, 220])}
    room["insulation"]["layers"] = [
        {"courses": draw.choice("xy"), "stagger": draw.choice([0, 100, 600, 700])}
    ]
    if seed % 3 == 0:
        room["subfloor"] = {
            "kind": "concrete",
            "below": draw.choice(["ground", "unheated"]),
            "exposed_perimeter": "9.3 m",
            "layers": [{"material": "concrete", "thickness": 120}],
        }
    return plan


def _place(draw: random.Random, low: int, high: int) -> list[int]:
    return [draw.randint(low, high), draw.randint(low, high)]


def _fixture(draw: random.Random, kind: str) -> dict[str, Any]:
    size = [draw.randint(300, 900), draw.randint(300, 900)]
    fixture: dict[str, Any] = {"at": _place(draw, 0, 3000), "size": size, "kind": kind}
    if kind == "on legs":
        fixture["clear"] = draw.choice([20, 80, 150])
    if kind == "open shower":
        fixture["outlet"] = [fixture["at"][0] + 100, fixture["at"][1] + 150]
    return fixture
