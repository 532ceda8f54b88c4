"""Heating film as the resistance it is: power, current and tolerance.

A film's rated output holds at its rated voltage. Its resistance hardly changes with temperature,
so at any other voltage the power goes with the square of the voltage and the current with its
first power.
"""

from msgspec import Struct


class PowerBand(Struct, frozen=True, kw_only=True):
    """The least and the most power, in W at the rated voltage, that a tolerance allows."""

    least_w: float
    most_w: float


class ResistanceBand(Struct, frozen=True, kw_only=True):
    """The least and the most resistance, in ohm, that a tolerance allows."""

    least_ohm: float
    most_ohm: float


def compute_current(rated_w: float, rated_v: float, supply_v: float) -> float:
    """Return the current in A of a resistive load at the supply voltage.

    It is rated power x supply voltage / rated voltage squared.

    Raises ValueError where the rated voltage is not positive.
    """
    return rated_w * supply_v / _positive(rated_v, "rated voltage") ** 2


def compute_resistance(rated_w: float, rated_v: float) -> float:
    """Return the resistance in ohm of a load, V squared / P.

    Raises ValueError where power or voltage is not positive.
    """
    return _positive(rated_v, "rated voltage") ** 2 / _positive(rated_w, "rated power")


def allow_power(rated_w: float, percent: tuple[float, float] | None = None) -> PowerBand:
    """Return the band of power at the rated voltage in which a heating unit may lie.

    `percent` is the maker's tolerance (lowest, highest), such as (-10, 5). Without it the band is
    that of IEC 60335-1 table 1 for heating appliances, which is given here from memory and was
    not read in the standard: up to 25 W +20 % and no lower bound of its own (-20 % is taken);
    above 25 and up to 200 W +/-10 %; above 200 W +5 % or 20 W, whichever is greater, and -10 %.
    The table is for one appliance: ask it for one strip, or for the unit that is sold as one, and
    add the bands of several with `add_bands`.

    Raises ValueError where the power is not positive, or the tolerance leaves no power.
    """
    _positive(rated_w, "rated power")
    if percent is not None:
        low, high = percent
        if not -100.0 < low <= high:
            raise ValueError(f"a tolerance of {low} to {high} % leaves no power")
        return PowerBand(
            least_w=rated_w * (1.0 + low / 100.0), most_w=rated_w * (1.0 + high / 100.0)
        )
    if rated_w <= 25.0:
        return PowerBand(least_w=rated_w * 0.8, most_w=rated_w * 1.2)
    if rated_w <= 200.0:
        return PowerBand(least_w=rated_w * 0.9, most_w=rated_w * 1.1)
    return PowerBand(least_w=rated_w * 0.9, most_w=rated_w + max(rated_w * 0.05, 20.0))


def _positive(value: float, what: str) -> float:
    if not value > 0.0:
        raise ValueError(f"the {what} must be above zero, not {value}")
    return value
