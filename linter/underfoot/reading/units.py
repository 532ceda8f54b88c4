"""Units of measure: their size and kind, exactly, and pint for those not listed here."""

import re
from fractions import Fraction
from functools import cache
from typing import Any

from msgspec import Struct

# Powers of length, mass, time, current, temperature and angle.
Kind = tuple[int, int, int, int, int, int]

_NONE: Kind = (0, 0, 0, 0, 0, 0)
_LENGTH: Kind = (1, 0, 0, 0, 0, 0)
_MASS: Kind = (0, 1, 0, 0, 0, 0)
_TIME: Kind = (0, 0, 1, 0, 0, 0)
_CURRENT: Kind = (0, 0, 0, 1, 0, 0)
_DEGREE: Kind = (0, 0, 0, 0, 1, 0)
_ANGLE: Kind = (0, 0, 0, 0, 0, 1)
_ENERGY: Kind = (2, 1, -2, 0, 0, 0)
_POWER: Kind = (2, 1, -3, 0, 0, 0)
_VOLTAGE: Kind = (2, 1, -3, -1, 0, 0)
_RESISTANCE: Kind = (2, 1, -3, -2, 0, 0)

_INCH = Fraction(254, 10000)
# The circle's ratio to the digits that a float keeps: an angle in radians is not exact anyway.
_PI = Fraction(3.141592653589793)


class Size(Struct, frozen=True, kw_only=True):
    """How large a unit is, in kg, m, s, A, K and degrees of angle, and of what kind."""

    factor: Fraction
    kind: Kind


def _sizes() -> dict[str, Size]:
    """Single units by the names that a plan may use; compounds are built from them."""
    table: dict[str, tuple[str | Fraction, Kind]] = {
        "mm": ("1e-3", _LENGTH),
        "cm": ("1e-2", _LENGTH),
        "dm": ("1e-1", _LENGTH),
        "m": ("1", _LENGTH),
        "km": ("1e3", _LENGTH),
        "in": (_INCH, _LENGTH),
        "ft": (_INCH * 12, _LENGTH),
        "yd": (_INCH * 36, _LENGTH),
        "um": ("1e-6", _LENGTH),
        "A": ("1", _CURRENT),
        "mA": ("1e-3", _CURRENT),
        "V": ("1", _VOLTAGE),
        "mV": ("1e-3", _VOLTAGE),
        "kV": ("1e3", _VOLTAGE),
        "W": ("1", _POWER),
        "mW": ("1e-3", _POWER),
        "kW": ("1e3", _POWER),
        "VA": ("1", _POWER),
        "kVA": ("1e3", _POWER),
        "ohm": ("1", _RESISTANCE),
        "mohm": ("1e-3", _RESISTANCE),
        "kohm": ("1e3", _RESISTANCE),
        "Mohm": ("1e6", _RESISTANCE),
        "Gohm": ("1e9", _RESISTANCE),
        "J": ("1", _ENERGY),
        "kJ": ("1e3", _ENERGY),
        # The international table's, as ISO 31-4 defines it.
        "Btu": ("1055.05585262", _ENERGY),
        "K": ("1", _DEGREE),
        "degC": ("1", _DEGREE),
        "degF": (Fraction(5, 9), _DEGREE),
        "s": ("1", _TIME),
        "ms": ("1e-3", _TIME),
        "min": ("60", _TIME),
        "h": ("3600", _TIME),
        "day": ("86400", _TIME),
        "days": ("86400", _TIME),
        "week": ("604800", _TIME),
        "weeks": ("604800", _TIME),
        "kg": ("1", _MASS),
        "g": ("1e-3", _MASS),
        "%": ("1e-2", _NONE),
        "percent": ("1e-2", _NONE),
        "deg": ("1", _ANGLE),
        "rad": (180 / _PI, _ANGLE),
    }
    return {
        name: Size(factor=Fraction(factor), kind=kind) for name, (factor, kind) in table.items()
    }


SIZES = _sizes()

KIND_NAMES: dict[Kind, str] = {
    _LENGTH: "a length",
    (2, 0, 0, 0, 0, 0): "an area",
    (3, 0, 0, 0, 0, 0): "a volume",
    _TIME: "a time",
    (0, 0, -1, 0, 0, 0): "a rate",
    _CURRENT: "a current",
    _VOLTAGE: "a voltage",
    _POWER: "a power",
    _RESISTANCE: "an electrical resistance",
    (1, 1, -3, -2, 0, 0): "an electrical resistance of a length",
    (-2, 0, 0, 1, 0, 0): "a current of an area",
    (-1, 0, 0, 1, 0, 0): "a current of a length",
    (0, 1, -3, 0, 0, 0): "a power of an area",
    (1, 1, -3, 0, 0, 0): "a power of a length",
    (1, 1, -3, 0, -1, 0): "a thermal conductivity",
    (0, -1, 3, 0, 1, 0): "a thermal resistance",
    (0, 1, -3, 0, -1, 0): "a heat transfer",
    _DEGREE: "a temperature",
    _MASS: "a mass",
    (-3, 1, 0, 0, 0, 0): "a density",
    _ENERGY: "an energy",
    _NONE: "a share",
    _ANGLE: "an angle",
}

_SIGNS = str.maketrans(
    {
        "²": "2",
        "³": "3",
        "\u2126": "Ω",
        "·": " ",
        "⋅": " ",
        "*": " ",
        ".": " ",
        "\u00b5": "u",
        "\u03bc": "u",
    }
)
# Metre and kelvin written as one word, as the trade does; a millikelvin is of no use here.
_METRE_KELVIN = re.compile(r"\b(m2?)K\b")
_FACTOR = re.compile(r"([A-Za-z_%]+?)(?:\^?(-?[1-3]))?")
_LONGEST = 40


class UnknownUnitError(ValueError):
    """A name that is no unit; the message is the name."""


def tidy_unit(text: str) -> str:
    """A unit with signs as letters and single spaces: ``m²·K/W`` as ``m2 K/W``."""
    text = text.translate(_SIGNS).replace("°C", "degC").replace("°F", "degF").replace("°", "deg")
    text = text.replace("Ohm", "ohm").replace("Ω", "ohm")
    text = _METRE_KELVIN.sub(r"\1 K", text)
    return re.sub(r"\s*([/()])\s*", r"\1", " ".join(text.split()))


def size_unit(text: str, wanted: Kind | None = None) -> Size:
    """How large a unit is; raises UnknownUnitError.

    What follows a slash up to the next space is below it, and a bracket is below it whole
    (``m2 K/W``, ``W/(m2 K)``). Where that reading is not of the `wanted` kind, all behind the
    first slash is taken to be below it, as the trade writes ``W/m2 K``.
    """
    tidy = tidy_unit(text)
    if not tidy or len(tidy) > _LONGEST:
        raise UnknownUnitError(text)
    size = _multiply(*_split(tidy))
    if wanted is None or size.kind == wanted or tidy.count("/") != 1:
        return size
    above, below = tidy.split("/")
    other = _multiply(above.split(), below.strip("()").split())
    return other if other.kind == wanted else size


def _split(tidy: str) -> tuple[list[str], list[str]]:
    above: list[str] = []
    below: list[str] = []
    for number, part in enumerate(tidy.split("/")):
        if part.startswith("(") and part.endswith(")"):
            (below if number else above).extend(part[1:-1].split())
            continue
        factors = part.split()
        if number:
            below.extend(factors[:1])
            factors = factors[1:]
        above.extend(factors)
        if not part:
            raise UnknownUnitError(tidy)
    return above, below


def _multiply(above: list[str], below: list[str]) -> Size:
    factor, kind = Fraction(1), _NONE
    for sign, names in ((1, above), (-1, below)):
        for name in names:
            one = _size_factor(name)
            factor = factor * one.factor if sign == 1 else factor / one.factor
            kind = _add_kinds(kind, one.kind, sign)
    return Size(factor=factor, kind=kind)


def _add_kinds(first: Kind, second: Kind, sign: int) -> Kind:
    a, b, c, d, e, f = (x + sign * y for x, y in zip(first, second, strict=True))
    return (a, b, c, d, e, f)


def _size_factor(name: str) -> Size:
    if name == "1":
        return Size(factor=Fraction(1), kind=_NONE)
    found = _FACTOR.fullmatch(name)
    if found is None:
        raise UnknownUnitError(name)
    single = _size_single(found.group(1))
    power = int(found.group(2) or 1)
    a, b, c, d, e, f = (power * exponent for exponent in single.kind)
    return Size(factor=single.factor**power, kind=(a, b, c, d, e, f))


def _size_single(name: str) -> Size:
    size = SIZES.get(name) or _ask_pint(name)
    if size is None:
        raise UnknownUnitError(name)
    return size


@cache
def _ask_pint(name: str) -> Size | None:
    """A unit that is not in the table; pint takes a third of a second to load."""
    if "%" in name or len(name) > 24:
        return None
    try:
        unit = _registry().parse_units(name)
        zero = _registry().Quantity(0.0, unit).to_base_units()
        base = _registry().Quantity(1.0, unit).to_base_units()
        dimensions = {str(key): power for key, power in unit.dimensionality.items()}
        factor = Fraction(repr(float(base.magnitude)))
    except Exception:  # pint raises many kinds, and a name from a plan may be anything
        return None
    names = ("[length]", "[mass]", "[time]", "[current]", "[temperature]")
    powers = [dimensions.pop(dimension, 0) for dimension in names]
    whole = all(power == int(power) for power in powers)
    # A unit with a zero of its own (celsius, decibel) has no size; an angle is no share.
    if dimensions or not whole or not any(powers) or zero.magnitude != 0 or factor <= 0:
        return None
    a, b, c, d, e = (int(power) for power in powers)
    return Size(factor=factor, kind=(a, b, c, d, e, 0))


@cache
def _registry() -> Any:
    import pint

    return pint.UnitRegistry()
