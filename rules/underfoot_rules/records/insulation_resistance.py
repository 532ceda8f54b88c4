"""An insulation resistance too low, or measured in a way that shows nothing."""

from collections.abc import Iterator

from underfoot.api.facts import Facts
from underfoot.api.plan import Measurement
from underfoot.api.rules import (
    CannotTell,
    Finding,
    Limits,
    Rule,
    Subject,
    above,
    at_least,
    at_most,
    below,
    format_quantity,
)
from underfoot_rules import not_given
from underfoot_rules.basis import own_default, standard
from underfoot_rules.records.test_records import INSULATION, visits


def subjects(facts: Facts) -> Iterator[Subject[Measurement | None]]:
    """Every circuit at every stage recorded or called for; before it is laid only where read."""
    for visit in visits(facts, INSULATION):
        test = visit.payload
        read = test is not None and test.insulation_resistance_mohm is not None
        if visit.items[1] != "made up" or read:
            yield visit


def check(
    subject: Subject[Measurement | None], facts: Facts, limits: Limits
) -> Finding | CannotTell | None:
    """Compare reading and test voltage, then where and how it was measured."""
    test = subject.payload
    if test is None:
        return not_given.TEST
    reading = test.insulation_resistance_mohm
    if reading is None:
        return CannotTell(
            why="no insulation resistance is recorded",
            write="Write the reading under the test: `insulation_resistance`.",
        )
    selv = "selv_" if facts.plan.supply.is_selv else ""
    circuit, stage = subject.items
    least = limits[f"{selv}minimum"]
    if below(reading, least):
        return Finding(
            message=f"The insulation resistance of circuit {circuit} ({stage}) reads {{measured}}; "
            "at least {limit} is needed.",
            remedy="Do not connect it. Look for a bare busbar end, a damaged strip or a connector "
            "without insulation, and measure again.",
            measured=reading,
            least=least,
            limit_key=f"{selv}minimum",
            severity="error",
        )
    voltage, wanted = test.test_voltage_v, limits[f"{selv}test_voltage"]
    if voltage is not None and below(voltage, wanted):
        return Finding(
            message=f"The insulation resistance of circuit {circuit} ({stage}), {{measured}}, was "
            f"measured at {format_quantity(voltage, 'V', wanted)}; "
            f"{format_quantity(wanted, 'V', voltage)} is "
            "needed.",
            remedy=f"Measure again at {format_quantity(wanted, 'V')} DC, the thermostat "
            "disconnected.",
            measured=reading,
            limit_key=f"{selv}test_voltage",
            severity="error",
        )
    if voltage is not None and above(voltage, limits["most_test_voltage"]):
        most = limits["most_test_voltage"]
        return Finding(
            message=f"The insulation resistance of circuit {circuit} ({stage}), {{measured}}, is "
            f"said to be measured at {format_quantity(voltage, 'V', most)}; above "
            f"{format_quantity(most, 'V', voltage)} the test itself may pierce the film.",
            remedy="Where that was the voltage, have the film looked at and tested anew; else "
            f"write what was used. {format_quantity(wanted, 'V')} DC is needed.",
            measured=reading,
            limit_key="most_test_voltage",
            severity="error",
            basis=own_default("testers for such circuits go no higher, nor is film made for it"),
        )
    if test.against == "grid" and not _has_grid(facts, circuit):
        return Finding(
            message=f"The insulation resistance of circuit {circuit} ({stage}), {{measured}}, is "
            "said to be measured against the grid, but no room of the circuit has one.",
            remedy="Measure from both conductors to earth, and write `against: earth`; or draw the "
            "`grid` that there is.",
            measured=reading,
            severity="error",
        )
    if test.against is None or test.thermostat_disconnected is False:
        what = (
            "without saying against what it was measured"
            if test.against is None
            else "with the thermostat connected"
        )
        return Finding(
            message=f"The insulation resistance of circuit {circuit} ({stage}), {{measured}}, is "
            f"recorded {what}.",
            remedy="Measure from both conductors to the earthed grid, or to earth, with the "
            "thermostat disconnected, and record both.",
            measured=reading,
            severity="warning",
        )
    if voltage is None:
        return CannotTell(
            why="the test voltage is not recorded",
            write="Write what it was measured at: `test_voltage`.",
        )
    if test.thermostat_disconnected is None:
        return CannotTell(
            why="whether the thermostat was disconnected is not recorded",
            write="Write under the test whether it was: `thermostat_disconnected`.",
            worst="warning",
        )
    return None


def _has_grid(facts: Facts, circuit: str) -> bool:
    rooms = facts.circuits[circuit].rooms
    return any(facts.rooms[room].drawn.grid is not None for room in rooms)


RULE = Rule(
    severities=("error", "warning"),
    finds="an insulation resistance too low, at an odd voltage, or measured in an unclear way",
    why="Low insulation resistance means that live film can reach somebody's feet.",
    unit="Mohm",
    basis=standard("IEC 60364-6:2016, table 6.1"),
    subjects=subjects,
    check=check,
    limits=(
        at_least(
            "minimum", 1, "Mohm", "least insulation resistance", serves="insulation resistance"
        ),
        at_least(
            "test_voltage", 500, "V", "least test voltage, DC", serves="insulation test voltage"
        ),
        at_least(
            "selv_minimum",
            0.5,
            "Mohm",
            "least insulation resistance with SELV",
            serves="insulation resistance with SELV",
        ),
        at_least(
            "selv_test_voltage",
            250,
            "V",
            "least test voltage with SELV, DC",
            serves="insulation test voltage with SELV",
        ),
        at_most("most_test_voltage", 1000, "V", "greatest test voltage, DC"),
    ),
    electrical=True,
    protects_life=True,
)
