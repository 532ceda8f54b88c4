"""The supply and the circuits."""

from __future__ import annotations

from collections.abc import Collection

from underfoot.plan import Cable, Circuit, Supply
from underfoot.reading.building.ledger import (
    Data,
    Ledger,
    read_least,
    read_length,
    read_quantity,
    read_reference,
)
from underfoot.reading.building.materials import entries_of
from underfoot.reading.quantities import QuantityError, read_conductor_size
from underfoot.reading.wording import show

_OWN_PROTECTION = ("breaker", "rcd", "cable")


def build_supply(ledger: Ledger, data: Data) -> Supply | None:
    """What feeds the heating."""
    supply = data.get("supply")
    if supply is None:
        return None
    voltage_v = read_quantity(ledger, supply, "supply", "voltage", "V")
    available_a = read_least(ledger, supply, "supply", "available", "A")
    if voltage_v is None:
        return None
    return Supply(
        path="supply",
        voltage_v=voltage_v,
        system=supply.get("system", "mains"),
        available_a=available_a,
        note=supply.get("note"),
    )


def build_circuits(
    ledger: Ledger, data: Data, known_rooms: Collection[str], known_circuits: Collection[str]
) -> dict[str, Circuit]:
    """The circuits by id."""
    entries = entries_of(data, "circuits")
    sharing = {name for name, entry in entries if "shares" in entry}
    circuits: dict[str, Circuit] = {}
    for name, entry in entries:
        path = f"circuits.{name}"
        _check_sharing(ledger, entry, path, name, sharing, known_circuits)
        circuits[name] = Circuit(
            id=name,
            path=path,
            thermostat=read_reference(ledger, entry, path, "thermostat", known_rooms, "room"),
            breaker_a=read_quantity(ledger, entry, path, "breaker", "A"),
            rcd_ma=read_quantity(ledger, entry, path, "rcd", "mA"),
            cable=_build_cable(ledger, entry, path),
            shares=entry.get("shares"),
            note=entry.get("note"),
        )
    return circuits


def _check_sharing(
    ledger: Ledger,
    data: Data,
    path: str,
    name: str,
    sharing: Collection[str],
    known_circuits: Collection[str],
) -> None:
    """A circuit shares that of a circuit with protection of its own, and has none itself."""
    shared = data.get("shares")
    if shared is None:
        return
    place = f"{path}.shares"
    if shared not in known_circuits:
        others = [circuit for circuit in known_circuits if circuit != name]
        ledger.report_unknown(place, shared, others, "circuit")
    elif shared == name:
        ledger.report(place, f"`shares`: {show(name)} cannot share its own protection")
    elif shared in sharing:
        ledger.report(
            place,
            f"`shares`: {show(shared)} shares another circuit's protection itself: name the "
            "circuit that has the breaker",
        )
    for key in _OWN_PROTECTION:
        if key in data:
            ledger.report(
                f"{path}.{key}",
                f"{show(name)} is fed and protected with {show(shared)}, so it has no `{key}` of "
                f"its own: delete `{key}` or `shares`",
            )


def _build_cable(ledger: Ledger, data: Data, path: str) -> Cable | None:
    cable = data.get("cable")
    if cable is None:
        return None
    path = f"{path}.cable"
    size_mm2, size_text = read_size_of_conductor(ledger, cable, path)
    return Cable(
        path=path,
        size_mm2=size_mm2,
        size_text=size_text,
        length=read_length(ledger, cable, path, "length"),
        method=cable.get("method"),
        ambient_c=read_quantity(ledger, cable, path, "ambient", "degC", above=None),
        capacity_a=read_quantity(ledger, cable, path, "capacity", "A"),
        note=cable.get("note"),
    )


def read_size_of_conductor(
    ledger: Ledger, data: Data, path: str
) -> tuple[float | None, str | None]:
    """(mm2, as written)."""
    value = data.get("size")
    if value is None:
        return None, None
    try:
        size_mm2 = read_conductor_size(value)
    except QuantityError as error:
        ledger.report(f"{path}.size", f"`size`: {error}")
        return None, None
    if size_mm2 <= 0:
        ledger.report(f"{path}.size", f"`size`: {show(value)} must be more than 0")
        return None, None
    return size_mm2, value
