"""What a right plan's floors are made of, layer by layer, and the heat that its rooms lose."""

import random

from underfoot.api.rules import Data

# Laid loose below what does not spread loads by itself.
OVERLAYS: tuple[Data, ...] = (
    {"thickness": 6, "material": "hardboard", "resistance": "0.03 m2 K/W", "fixing": "floating"},
    {"thickness": 10, "material": "fibre cement board", "resistance": "0.04 m2 K/W",
     "fixing": "floating"},
)  # fmt: skip

# What keeps the ground's damp away, or how damp the slab is: all dry enough below any covering.
READ: tuple[Data, ...] = (
    {"barrier": "sheet-1"},
    {"barrier": "sheet-1"},
    {"moisture": "1.7 %"},
    {"moisture": {"value": "1.7 %", "method": "CM"}},
    {"moisture": {"value": "3.1 %", "method": "by weight"}, "screed": "cement"},
    {"moisture": {"value": "0.2 %", "method": "CM"}, "screed": "calcium sulphate"},
)


def write_subfloor(rng: random.Random, use: str) -> Data:
    concrete = {"material": "concrete", "thickness": 100, "conductivity": "1.65 W/m/K"}
    foam = {"material": "foam", "thickness": 100, "resistance": "2.9 m2 K/W"}
    ground: Data = {"kind": "concrete", "below": "ground", "layers": [concrete, foam]}
    ground.update(rng.choice(READ))
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


def write_insulation(rng: random.Random, use: str, board: str, size: list[int]) -> Data:
    along = rng.choice(("x", "y"))
    stagger = rng.choice((size[0] // 2, size[0] // 4, 200))
    layers: list[Data] = [{"courses": along, "stagger": stagger}]
    if use == "conservatory" or rng.random() < 0.15:
        layers.append({"courses": "y" if along == "x" else "x", "stagger": stagger})
    return {"board": board, "joints_taped": True, "layers": layers}


def write_loss(rng: random.Random, room: Data, use: str, power_w: float) -> None:
    needed = 0.5 * power_w
    if rng.random() < 0.75:
        other = round(rng.uniform(0.5, 1.0) * power_w) if rng.random() < 0.3 else 0
        room["heat_loss"] = f"{round(needed + other / 1.1)} W"
        if other:
            room["other_heat"] = f"{other} W"
        return
    inside = 24 if use == "bathroom" else 20
    area = needed * 0.5 / (1.2 * (inside + 3))
    room["fabric"] = {
        "outside": "-3 degC",
        "surfaces": [
            {"name": "wall", "area": f"{area:.2f} m2", "u_value": "1.2 W/m2/K", "beyond": "outside"}
        ],
    }
