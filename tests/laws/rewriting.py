"""The same plan written otherwise: its maps in another order, its lengths in other units."""

import random
import re
from decimal import Decimal
from typing import Any

Data = dict[str, Any]

# Bare numbers that are no lengths.
COUNTED = frozenset({"plan_format", "tolerance", "count", "poles", "phases"})
# Text that no unit stands in, whatever it looks like.
WORDS = frozenset(
    {"title", "reference", "revision", "date", "note", "site", "client", "drawn_by", "reason",
     "agreed_by", "until", "tested_by", "photo", "name", "material", "standard", "item", "rule"}
)  # fmt: skip
# Ways to write a unit: the other name, and by how much the number is to be multiplied.
METRIC = {
    "mm": {"mm": "1", "cm": "0.1", "m": "0.001"},
    "m": {"m": "1", "cm": "100", "mm": "1000"},
    "A": {"A": "1", "mA": "1000"},
    "mA": {"mA": "1", "A": "0.001"},
    "V": {"V": "1", "kV": "0.001", "mV": "1000"},
    "W": {"W": "1", "kW": "0.001"},
    "ohm": {"ohm": "1", "kohm": "0.001"},
    "Mohm": {"Mohm": "1", "kohm": "1000", "Gohm": "0.001"},
    "ms": {"ms": "1", "s": "0.001"},
    "W/m2": {"W/m2": "1", "kW/m2": "0.001"},
    "W/m": {"W/m": "1", "kW/m": "0.001"},
    "VA": {"VA": "1", "kVA": "0.001"},
    "mA/m2": {"mA/m2": "1", "A/m2": "0.001"},
    "mA/m": {"mA/m": "1", "A/m": "0.001"},
    "m2": {"m2": "1", "cm2": "10000"},
    "mm2": {"mm2": "1", "cm2": "0.01"},
    "W/m/K": {"W/m/K": "1", "mW/m/K": "1000"},
    "W/m2/K": {"W/m2/K": "1"},
    "m2 K/W": {"m2 K/W": "1", "K m2/W": "1"},
    "degC": {"degC": "1"},
}
_INCHES = {"mm": 25.4, "m": 0.0254}
_QUANTITY = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?) ([A-Za-z][A-Za-z0-9/ ]*)")


def reorder_maps(data: Any, rng: random.Random) -> Any:
    """Shuffle every map of a plan; lists keep their order, which has a meaning."""
    if isinstance(data, dict):
        keys = list(data)
        rng.shuffle(keys)
        return {key: reorder_maps(data[key], rng) for key in keys}
    return [reorder_maps(each, rng) for each in data] if isinstance(data, list) else data


def change_units(data: Any, rng: random.Random, key: str = "") -> Any:
    """Write every quantity in another unit: exactly, but inches and feet to the last digit."""
    if isinstance(data, dict):
        return {k: v if k in COUNTED else change_units(v, rng, k) for k, v in data.items()}
    if isinstance(data, list):
        return [change_units(each, rng, key) for each in data]
    if isinstance(data, bool) or data is None or key in WORDS:
        return data
    if isinstance(data, int | float):
        return _rewrite(repr(data), "mm", rng)
    found = _QUANTITY.fullmatch(data)
    if found is None or found[2] not in METRIC:
        return data
    return _rewrite(found[1], found[2], rng)


def _rewrite(number: str, unit: str, rng: random.Random) -> str:
    ways = METRIC[unit]
    names = [*ways, *(("in", "ft") if unit in _INCHES else ()), *(("degF",) * (unit == "degC"))]
    name = rng.choice(names)
    if name == "degF":
        return f"{Decimal(number) * 9 / 5 + 32:f} degF"
    if name in ways:
        return f"{Decimal(number) * Decimal(ways[name]):f} {name}"
    inches = float(number) / _INCHES[unit]
    return f"{inches if name == 'in' else inches / 12:.17g} {name}"
