""" "number unit" -> number in the model's unit."""

import math
import re
from fractions import Fraction
from functools import lru_cache

from underfoot.reading.units import (
    KIND_NAMES,
    SIZES,
    Kind,
    UnknownUnitError,
    size_unit,
    tidy_unit,
)
from underfoot.reading.wording import describe, find_nearest, show

# How to write one, by the model's unit; for any other unit "1 unit" is shown.
EXAMPLES: dict[str, str] = {
    "mm": "`1400` (millimetres), `1400 mm` or `1.4 m`",
    "m": "`1.4 m`",
    "mm2": "`1.5 mm2` or `12 AWG`",
    "m2": "`11.2 m2`",
    "V": "`230 V`",
    "A": "`10 A`",
    "mA": "`30 mA`",
    "mA/m2": "`0.4 mA/m2`",
    "mA/m": "`0.2 mA/m`",
    "VA": "`300 VA`",
    "W": "`1450 W`",
    "W/m2": "`140 W/m2`",
    "W/m": "`70 W/m`",
    "ohm": "`94.5 ohm`",
    "ohm/m": "`0.02 ohm/m`",
    "Mohm": "`210 Mohm`",
    "W/m/K": "`0.033 W/m/K`",
    "m2 K/W": "`0.10 m2 K/W`",
    "W/m2/K": "`1.4 W/m2/K`",
    "degC": "`27 degC`",
    "K": "`9 K`",
    "%": "`80 %`",
    "1/h": "`0.5 1/h`",
    "ms": "`24 ms`",
    "days": "`7 days`",
    "kg/m3": "`500 kg/m3`",
    "deg": "`30 deg`",
}

_QUANTITY = re.compile(r"([+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?)\s*([^\s0-9.,+-].*|1\s*/.+)")
_NUMBER = re.compile(r"[+-]?[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_COMMA = re.compile(r"([+-]?[0-9]+),([0-9]+)(\D.*)?")
_THOUSANDS = re.compile(r"([+-]?[1-9][0-9]{0,2})((?:[ ,'][0-9]{3})+)(\D.*)?")
_BARE_POINT = re.compile(r"([+-]?)(?:\.([0-9]+)|([0-9]+)\.)(\D.*)")
_GAUGE = re.compile(r"(?:([0-9]{1,2})(/0)?\s*AWG|AWG\s*([0-9]{1,2})(/0)?)", re.IGNORECASE)
_LONGEST = 60
_LARGEST = 1e15
# What a floor, a room or the ground may have; "27 K" for "27 degC" is caught here.
_COLDEST_C, _WARMEST_C = -100, 200
# No conductor in a house is so thick; "1.5 m2" for "1.5 mm2" is caught here.
_THICKEST_MM2 = 1000
_TEMPERATURE_SLIPS = {"C": "degC", "F": "degF", "c": "degC", "f": "degF", "deg": "degC"}
_SLIPS = {
    "a": "A",
    "amp": "A",
    "amps": "A",
    "v": "V",
    "volts": "V",
    "w": "W",
    "M": "m",
    "MM": "mm",
    "Mm": "mm",
    "kw": "kW",
    "KW": "kW",
    "ma": "mA",
    "MA": "mA",
    "k": "K",
}


class QuantityError(ValueError):
    """Says in plain words what is wrong with a quantity and how to write it."""


def read(value: object, unit: str) -> float:
    """The value in `unit`; raises QuantityError.

    A bare number is read as millimetres, where `unit` is "mm" alone; all else is text with a unit
    of the same kind. "degC" is a temperature, "K" a difference of two.
    """
    if isinstance(value, str):
        return _read_text(value, unit)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise QuantityError(f"{describe(value)} is no quantity: write {_example(unit)}")
    if unit == "mm":
        if not math.isfinite(value):
            raise QuantityError(f"{show(value)} is no length: write {_example(unit)}")
        if abs(value) > _LARGEST:
            raise QuantityError(f"{show(value)} is too large to be meant: write {_example(unit)}")
        return float(value)
    raise QuantityError(f"{show(value)} has no unit: write {show(f'{_plain(value)} {unit}')}")


def read_typed(value: object, unit: str) -> float:
    """As `read`, of an option or a table's cell, where a bare number of mm is text, too."""
    if unit == "mm" and isinstance(value, str) and is_bare_number(value):
        value = float(value)
    return read(value, unit)


def is_bare_number(text: str) -> bool:
    """Whether a text is a number and nothing else."""
    return _NUMBER.fullmatch(text.strip()) is not None


def read_one_of(value: object, units: tuple[str, ...]) -> tuple[float, str]:
    """The value, and that of the `units` whose kind it has; raises QuantityError."""
    if isinstance(value, str):
        for unit in units:
            try:
                return read(value, unit), unit
            except QuantityError:
                continue
    ways = " or ".join(_example(unit) for unit in units)
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise QuantityError(f"{describe(value)} is no quantity: write {ways}")
    if isinstance(value, str):
        problem = _diagnose(value.strip(), units[0])
        if problem is not None:
            raise QuantityError(problem)
        raise QuantityError(f"{show(value)} is in no unit that fits here: write {ways}")
    ways = " or ".join(show(f"{_plain(value)} {unit}") for unit in units)
    raise QuantityError(f"{show(value)} has no unit: write {ways}")


def read_conductor_size(value: object) -> float:
    """A conductor's cross-section in mm2, of "1.5 mm2" or of an American gauge, "12 AWG".

    The gauge's diameter is 0.127 mm * 92 ** ((36 - n) / 39) by ASTM B258; "1/0" is n = 0.
    """
    if isinstance(value, str) and (found := _GAUGE.fullmatch(value.strip())):
        digits = found.group(1) or found.group(3)
        number = int(digits)
        if found.group(2) or found.group(4):
            number = 1 - number
        if not -3 <= number <= 40:
            raise QuantityError(f"{show(value)} is no gauge: they run from `4/0 AWG` to `40 AWG`")
        diameter = 0.127 * 92 ** ((36 - number) / 39)
        return math.pi / 4 * float(diameter) ** 2
    size_mm2 = read(value, "mm2")
    if size_mm2 > _THICKEST_MM2:
        raise QuantityError(
            f"{show(value)} is {size_mm2:,.0f} mm2, which cannot be meant: write {_example('mm2')}"
        )
    return size_mm2


@lru_cache(maxsize=4096)
def _read_text(text: str, unit: str) -> float:
    stripped = text.strip().replace("\u2212", "-")
    found = _QUANTITY.fullmatch(stripped) if len(stripped) <= _LONGEST else None
    if found is None:
        raise QuantityError(
            _diagnose(stripped, unit)
            or f"{show(text)} is not a number with a unit: write {_example(unit)}"
        )
    number, written = found.groups()
    size = float(number)
    if abs(size) > _LARGEST:
        raise QuantityError(f"{show(text)} is too large to be meant: write {_example(unit)}")
    # A number as tiny as 1e-999 is nought; as a fraction it would fill the memory.
    exact = Fraction(number) if abs(size) > 1 / _LARGEST else Fraction(0)
    if unit == "degC":
        return _read_temperature(text, exact, number, written)
    factor = _convert(text, number, written, unit)
    value = float(exact * factor)
    if abs(value) > _LARGEST:
        raise QuantityError(f"{show(text)} is too large to be meant: write {_example(unit)}")
    return value


def _convert(text: str, number: str, written: str, unit: str) -> Fraction:
    """How many `unit` the written unit is."""
    wanted = size_unit(unit)
    try:
        found = size_unit(written, wanted.kind)
    except UnknownUnitError as error:
        raise QuantityError(
            f"{show(text)}: {_say_unknown(str(error), number, unit, wanted.kind)}"
        ) from None
    if found.kind != wanted.kind:
        slip = _find_slip(written, wanted.kind)
        if slip is not None:
            raise QuantityError(f"{show(text)}: write {show(f'{number} {slip}')}")
        name = KIND_NAMES.get(found.kind, "of another kind")
        expected = KIND_NAMES.get(wanted.kind, f"a quantity in {unit}")
        raise QuantityError(
            f"{show(text)} is {name}; {expected} is expected: write {_example(unit)}"
        )
    if unit == "K" and tidy_unit(written) in ("degC", "degF"):
        raise QuantityError(f"{show(text)} is a temperature; a difference is written in K: `9 K`")
    return found.factor / wanted.factor


def _read_temperature(text: str, exact: Fraction, number: str, written: str) -> float:
    tidy = tidy_unit(written)
    if tidy == "degC":
        celsius = exact
    elif tidy == "degF":
        celsius = (exact - 32) * Fraction(5, 9)
    elif tidy == "K":
        celsius = exact - Fraction("273.15")
    else:
        meant = _TEMPERATURE_SLIPS.get(tidy, "degC")
        raise QuantityError(
            f"{show(text)} is no temperature: write {show(f'{number} {meant}')} (degC, degF or K)"
        )
    if not _COLDEST_C <= celsius <= _WARMEST_C:
        raise QuantityError(
            f"{show(text)} is {float(celsius):g} °C, which cannot be meant: "
            f"write {_example('degC')}"
        )
    return float(celsius)


def _diagnose(text: str, unit: str) -> str | None:
    """Say what is wrong with a text that is not "number unit"; None where it is one."""
    shown = show(text)
    if not text:
        return f"an empty text is no quantity: write {_example(unit)}"
    if len(text) <= _LONGEST:
        if _QUANTITY.fullmatch(text):
            return None
        if _NUMBER.fullmatch(text):
            bare = f"{show(_json_number(text))} (millimetres) or " if unit == "mm" else ""
            return f"{shown} has no unit: write {bare}{show(f'{text} {unit}')}"
        if found := _THOUSANDS.fullmatch(text):
            tail = found.group(3) or f" {unit}"
            whole = found.group(1) + re.sub(r"\D", "", found.group(2)) + tail
            if found.group(2).count(",") != 1:
                return f"{shown} has marks between its digits: write {show(whole)}"
            point = (found.group(1) + found.group(2)).replace(",", ".", 1) + tail
            return f"{shown} can be read in two ways: write {show(whole)} or {show(point)}"
        if found := _COMMA.fullmatch(text):
            tail = found.group(3) or f" {unit}"
            return f"{shown}: write {show(f'{found.group(1)}.{found.group(2)}{tail}')} with a point"
        if found := _BARE_POINT.fullmatch(text):
            sign, after, before, tail = found.groups()
            number = f"0.{after}" if after else before
            return f"{shown}: write {show(f'{sign}{number}{tail}')}"
        if text.lstrip("+-.").lower().startswith(("inf", "nan")):
            return f"{shown} is no number: write {_example(unit)}"
        if tidy_unit(text) in SIZES:
            return f"{shown} is a unit without a number: write {_example(unit)}"
    return f"{shown} is not a number with a unit: write {_example(unit)}"


def _say_unknown(name: str, number: str, unit: str, wanted: Kind) -> str:
    slip = _find_slip(name, wanted)
    if slip is None:
        fitting = [known for known, size in SIZES.items() if size.kind == wanted]
        slip = find_nearest(name, [unit]) or find_nearest(name, fitting)
    meant = f"; did you mean {show(f'{number} {slip}')}?" if slip else f": write {_example(unit)}"
    return f"{show(name)} is no unit that is known here{meant}"


def _find_slip(written: str, wanted: Kind) -> str | None:
    slip = _SLIPS.get(written.strip())
    return slip if slip is not None and SIZES[slip].kind == wanted else None


def _example(unit: str) -> str:
    return EXAMPLES.get(unit, f"`1 {unit}`")


def _plain(value: float) -> str:
    return f"{value:.15g}"


def _json_number(text: str) -> str:
    number = float(text)
    return _plain(number) if math.isfinite(number) else text
