"""The supply and the circuits."""

from collections.abc import Collection, Mapping

from underfoot.plan import Cable, Circuit, Supply
from underfoot.plan_format.circuits import CIRCUIT, LINK, SUPPLY
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.thing_reader import Known, maker_of
from underfoot.reading.wording import show

_OWN_PROTECTION = ("breaker", "rcd", "rcd_type", "rcd_group", "phase")
# What circuits behind one RCD say of it.
_OF_THE_RCD = ("rcd", "rcd_type")


def build_supply(log: ProblemLog, data: Data) -> Supply | None:
    """What feeds the heating."""
    supply = data.get("supply")
    return None if supply is None else _make_supply(log, supply, "supply")


def build_circuits(log: ProblemLog, data: Data, known: Known) -> dict[str, Circuit]:
    """The circuits by id."""
    entries = entries_of(data, "circuits")
    sharing = {name for name, entry in entries if "shares" in entry}
    circuits: dict[str, Circuit] = {}
    for name, entry in entries:
        path = f"circuits.{name}"
        _check_sharing(log, entry, path, name, sharing, known["circuit"])
        links = _build_links(log, entry, path, known)
        circuits[name] = _make_circuit(log, entry, path, known, id=name, links=links)
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


def _build_links(log: ProblemLog, data: Data, path: str, known: Known) -> tuple[Cable, ...]:
    """The links from box to box: each box is fed once, and none by itself."""
    links: list[Cable] = []
    fed_from: dict[str, str] = {}
    for number, entry in enumerate(data.get("links", ())):
        place = f"{path}.links.{number}"
        link = None if entry is None else _make_link(log, entry, place, known)
        if link is None:
            continue
        start, end = link.start, link.end
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


_make_supply = maker_of(SUPPLY)
_make_circuit = maker_of(CIRCUIT, but=("links",))
_make_link = maker_of(LINK)
