"""The supply and the circuits."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from underfoot.plan import Cable, Circuit, Source, Supply
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_length,
    read_non_negative,
    read_quantity,
    read_reference,
)
from underfoot.reading.quantities import QuantityError, read_conductor_size
from underfoot.reading.wording import show

_OWN_PROTECTION = ("breaker", "rcd", "rcd_type", "rcd_group", "phase")
# What circuits behind one RCD say of it.
_OF_THE_RCD = ("rcd", "rcd_type")


def build_supply(log: ProblemLog, data: Data) -> Supply | None:
    """What feeds the heating."""
    supply = data.get("supply")
    if supply is None:
        return None
    voltage_v = read_quantity(log, supply, "supply", "voltage", "V")
    available_a = read_non_negative(log, supply, "supply", "available", "A")
    if voltage_v is None:
        return None
    return Supply(
        path="supply",
        voltage_v=voltage_v,
        system=supply.get("system", "mains"),
        available_a=available_a,
        note=supply.get("note"),
        source=_build_source(log, supply),
        phases=supply.get("phases", 1),
    )


def _build_source(log: ProblemLog, data: Data) -> Source | None:
    source = data.get("source")
    if source is None:
        return None
    path = "supply.source"
    return Source(
        path=path,
        kind=source.get("kind"),
        standard=source.get("standard"),
        rating_va=read_quantity(log, source, path, "rating", "VA"),
        note=source.get("note"),
    )


def build_circuits(
    log: ProblemLog, data: Data, known_rooms: Collection[str], known_circuits: Collection[str]
) -> dict[str, Circuit]:
    """The circuits by id."""
    entries = entries_of(data, "circuits")
    sharing = {name for name, entry in entries if "shares" in entry}
    circuits: dict[str, Circuit] = {}
    for name, entry in entries:
        path = f"circuits.{name}"
        _check_sharing(log, entry, path, name, sharing, known_circuits)
        circuits[name] = Circuit(
            id=name,
            path=path,
            thermostat=read_reference(log, entry, path, "thermostat", known_rooms, "room"),
            breaker_a=read_quantity(log, entry, path, "breaker", "A"),
            rcd_ma=read_quantity(log, entry, path, "rcd", "mA"),
            cable=_build_cable(log, entry, path),
            shares=entry.get("shares"),
            note=entry.get("note"),
            links=_build_links(log, entry, path, known_rooms),
            phase=entry.get("phase"),
            rcd_type=entry.get("rcd_type"),
            rcd_group=entry.get("rcd_group"),
        )
    _check_groups(log, circuits)
    return circuits


def _check_groups(log: ProblemLog, circuits: Mapping[str, Circuit]) -> None:
    """One RCD has one residual current and one type, whichever circuit they are written with."""
    firsts: dict[tuple[str, str], tuple[str, object]] = {}
    for circuit in circuits.values():
        if circuit.rcd_group is None:
            continue
        for key, value in zip(_OF_THE_RCD, (circuit.rcd_ma, circuit.rcd_type), strict=True):
            if value is None:
                continue
            name, first = firsts.setdefault((circuit.rcd_group, key), (circuit.id, value))
            if first != value:
                log.report(
                    f"{circuit.path}.{key}",
                    f"{show(circuit.id)} and {show(name)} stand behind one RCD (`rcd_group`: "
                    f"{show(circuit.rcd_group)}), which has one `{key}`: write the same, or give "
                    "one of them another group",
                )


def _check_sharing(
    log: ProblemLog,
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
        log.report_unknown(place, shared, others, "circuit")
    elif shared == name:
        log.report(place, f"`shares`: {show(name)} cannot share its own protection")
    elif shared in sharing:
        log.report(
            place,
            f"`shares`: {show(shared)} shares another circuit's protection itself: name the "
            "circuit that has the breaker",
        )
    for key in _OWN_PROTECTION:
        if key in data:
            log.report(
                f"{path}.{key}",
                f"{show(name)} is fed and protected with {show(shared)}, so it has no `{key}` of "
                f"its own: delete `{key}` or `shares`",
            )


def _build_cable(log: ProblemLog, data: Data, path: str) -> Cable | None:
    cable = data.get("cable")
    if cable is None:
        return None
    return _read_cable(log, cable, f"{path}.cable")


def _build_links(
    log: ProblemLog, data: Data, path: str, known_rooms: Collection[str]
) -> tuple[Cable, ...]:
    """The links from box to box: each box is fed once, and none by itself."""
    links: list[Cable] = []
    fed_from: dict[str, str] = {}
    for number, entry in enumerate(data.get("links", ())):
        place = f"{path}.links.{number}"
        start = read_reference(log, entry, place, "from", known_rooms, "room")
        end = read_reference(log, entry, place, "to", known_rooms, "room")
        link = _read_cable(log, entry, place)._replace(start=start, end=end)
        if start is None or end is None:
            continue
        if end in fed_from:
            log.report(
                f"{place}.to",
                f"`to`: the junction box in {show(end)} is fed from {show(fed_from[end])} already",
            )
        elif _leads_back(end, start, fed_from):
            log.report(f"{place}.to", f"`to`: the way to {show(end)} begins in {show(end)}")
        else:
            fed_from[end] = start
            links.append(link)
    return tuple(links)


def _leads_back(end: str, start: str, fed_from: Mapping[str, str]) -> bool:
    room: str | None = start
    while room is not None and room != end:
        room = fed_from.get(room)
    return room == end


def _read_cable(log: ProblemLog, cable: Data, path: str) -> Cable:
    size_mm2, size_text = read_size_of_conductor(log, cable, path)
    return Cable(
        path=path,
        size_mm2=size_mm2,
        size_text=size_text,
        length=read_length(log, cable, path, "length"),
        method=cable.get("method"),
        ambient_c=read_quantity(log, cable, path, "ambient", "degC", above=None),
        capacity_a=read_quantity(log, cable, path, "capacity", "A"),
        note=cable.get("note"),
    )


def read_size_of_conductor(
    log: ProblemLog, data: Data, path: str, key: str = "size"
) -> tuple[float | None, str | None]:
    """(mm2, as written)."""
    value = data.get(key)
    if value is None:
        return None, None
    try:
        size_mm2 = read_conductor_size(value)
    except QuantityError as error:
        log.report(f"{path}.{key}", f"`{key}`: {error}")
        return None, None
    if size_mm2 <= 0:
        log.report(f"{path}.{key}", f"`{key}`: {show(value)} must be more than 0")
        return None, None
    return size_mm2, value
