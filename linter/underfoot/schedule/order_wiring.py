"""What the wiring asks for: connectors and what insulates them, leads, cable, control gear."""

from collections.abc import Iterator
from itertools import pairwise
from math import dist

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.checking.facts.linking import find_all_boxes
from underfoot.checking.numbers import format_size
from underfoot.plan import Cable, Circuit, Cutout, Lead, Packs
from underfoot.schedule.items import Item, metres, packs_of

# IEC 60445, from memory.
LINE_COLOURS = {"L1": "brown", "L2": "black", "L3": "grey"}
NEUTRAL_COLOUR = "blue"
PROTECTIVE_COLOUR = "green and yellow"
_BUSBARS = 2


def list_wiring_items(facts: Facts) -> Iterator[Item]:
    """List connectors, insulating pieces, leads, cables, and what switches and protects."""
    for room in facts.heated_rooms:
        yield from _list_connectors(facts, room)
    for room in facts.rooms.values():
        for lead in room.drawn.leads:
            yield from _list_lead(facts, room, lead)
        yield from _list_protective(room)
    yield from _list_cables(facts)
    for room in facts.rooms.values():
        yield from _list_sensor(room, packs_of(facts))
        yield from _list_control(room)
    for protection in facts.protections.values():
        yield from _list_protection(facts, protection.circuit)


def _list_connectors(facts: Facts, room: RoomFacts) -> Iterator[Item]:
    joined = {
        (stop.element, stop.end)
        for lead in room.drawn.leads
        for stop in lead.route
        if stop.element in room.place_of
    }
    packs = packs_of(facts)
    steps = facts.plan.method_statement.steps if facts.plan.method_statement else {}
    connectors = _BUSBARS * len(joined)
    if connectors:
        yield Item(
            group="connectors",
            what="connectors",
            amount=connectors,
            unit="pieces",
            reckoned="2 for each end of a strip that a lead joins, one on each busbar",
            rooms=(room.id,),
            pack=packs.connectors,
        )
        sides = {"one side": 1, "no": 0}.get(str(steps.get("connectors_insulated")), 2)
        yield Item(
            group="connectors",
            what="insulating pieces for connectors",
            amount=connectors * sides,
            unit="pieces",
            reckoned=f"{sides} for each connector"
            + ("" if "connectors_insulated" in steps else "; the plan does not say: both sides"),
            rooms=(room.id,),
            pack=packs.connector_insulation,
        )
    yield Item(
        group="connectors",
        what="insulating pieces for cut ends",
        amount=_BUSBARS * (2 * len(room.elements) - len(joined)),
        unit="pieces",
        reckoned="2 for each end of a strip that no lead joins, one on each busbar",
        rooms=(room.id,),
        pack=packs.end_insulation,
    )


def _list_lead(facts: Facts, room: RoomFacts, lead: Lead) -> Iterator[Item]:
    """List both conductors of a lead: over the floor, and down from the box."""
    way = next(laid for laid in room.leads if laid.lead is lead)
    box = room.drawn.junction_box
    ends_at_box = sum(stop.kind == "box" for stop in lead.route)
    rise = (box.height or 0.0) * ends_at_box if box is not None else 0.0
    length = None if way.line is None else (way.line.length + rise) / 1000
    size = "size not given" if lead.size_mm2 is None else format_size(lead.size_mm2, lead.size_text)
    reckoned = "its way over the floor, and down from the box"
    for colour in _colours(facts, facts.plan.circuits.get(lead.circuit)):
        yield _in_one_piece(
            "leads",
            f"conductor {size}{colour}",
            length,
            reckoned,
            pack=packs_of(facts).conductor,
            rooms=(room.id,),
        )


def _list_protective(room: RoomFacts) -> Iterator[Item]:
    """List what earths the grid; how long it is no plan says."""
    grid = room.drawn.grid
    if grid is not None and grid.conductor_mm2 is not None:
        size = format_size(grid.conductor_mm2, grid.conductor_text)
        yield Item(
            group="leads",
            what=f"protective conductor {size}, {PROTECTIVE_COLOUR}, from the box to the grid",
            amount=None,
            unit="m",
            reckoned="the plan does not tell",
            rooms=(room.id,),
        )


def _colours(facts: Facts, circuit: Circuit | None) -> tuple[str, str]:
    if facts.plan.supply.is_extra_low:
        return ", one conductor of the pair", ", the other conductor"
    phase = circuit.phase if circuit is not None and circuit.phase else "L1"
    return f", line, {LINE_COLOURS[phase]}", f", neutral, {NEUTRAL_COLOUR}"


def _list_cables(facts: Facts) -> Iterator[Item]:
    for protection in facts.protections.values():
        cable = protection.circuit.cable
        yield _cable(facts, protection.circuit.id, cable, "from the board to the box")
        for link in facts.once(find_all_boxes)[protection.id].links:
            yield _cable(facts, link.circuit.id, link.cable, "from box to box")


def _cable(facts: Facts, circuit: str, cable: Cable | None, way: str) -> Item:
    size = "size not given"
    if cable is not None and cable.size_mm2 is not None:
        size = format_size(cable.size_mm2, cable.size_text)
    length = None if cable is None else metres(cable.length)
    of = "" if length is not None else f", circuit {circuit}, {way}"
    return _in_one_piece(
        "cable",
        f"cable {size}{of}",
        length,
        "as the plan gives it, from the board to the boxes and between them",
        pack=packs_of(facts).cable,
    )


def _list_sensor(room: RoomFacts, packs: Packs) -> Iterator[Item]:
    sensor = room.drawn.sensor
    if sensor is None:
        return
    cable = f", cable {sensor.cable / 1000:g} m" if sensor.cable else ""
    yield _piece("sensor", f"floor sensor{cable}", room)
    places = room.sensor_way
    length = sum(dist(a, b) for a, b in pairwise(places)) / 1000
    for cutout, name, pack in (
        (sensor.conduit, "conduit", packs.conduit),
        (sensor.channel, "channel", None),
    ):
        if cutout is not None:
            yield _in_one_piece(
                "sensor",
                f"{name}{_say_cutout(cutout)}",
                length,
                "the sensor's way over the floor; what goes up the wall is not in it",
                pack=pack,
                rooms=(room.id,),
            )


def _say_cutout(cutout: Cutout) -> str:
    if cutout.width is None or cutout.depth is None:
        return ""
    into = f", cut into the {cutout.cut_into}" if cutout.cut_into else ""
    return f" {cutout.width:g} × {cutout.depth:g} mm{into}"


def _list_control(room: RoomFacts) -> Iterator[Item]:
    drawn = room.drawn
    if drawn.junction_box is not None:
        yield _piece("control", "junction box", room)
    thermostat = drawn.thermostat
    if thermostat is None:
        return
    switches = f", switches {thermostat.switches_a:g} A" if thermostat.switches_a else ""
    yield _piece("control", f"thermostat with floor sensor{switches}", room)
    contactor = thermostat.contactor
    if contactor is not None:
        poles = f", {contactor.poles} poles" if contactor.poles else ""
        rating = f", {contactor.rating_a:g} A each" if contactor.rating_a else ""
        yield _piece("control", f"contactor{poles}{rating}", room)


def _in_one_piece(
    group: str,
    what: str,
    length: float | None,
    reckoned: str,
    *,
    pack: float | None,
    rooms: tuple[str, ...] = (),
) -> Item:
    """So many metres that are cut off a reel of `pack` mm without a joint."""
    return Item(
        group=group,
        what=what,
        amount=length,
        unit="m",
        reckoned=reckoned,
        rooms=rooms,
        pack=metres(pack),
        whole=() if length is None else (length,),
    )


def _piece(group: str, what: str, room: RoomFacts) -> Item:
    return Item(
        group=group,
        what=what,
        amount=1,
        unit="pieces",
        reckoned="as drawn",
        rooms=(room.id,),
    )


def _list_protection(facts: Facts, circuit: Circuit) -> Iterator[Item]:
    if circuit.breaker_a is not None:
        yield Item(
            group="board",
            what=f"breaker {circuit.breaker_a:g} A",
            amount=1,
            unit="pieces",
            reckoned="one for each protection",
        )
    if circuit.rcd_ma is not None and _writes_rcd(facts, circuit):
        kind = f", type {circuit.rcd_type}" if circuit.rcd_type else ""
        yield Item(
            group="board",
            what=f"RCD {circuit.rcd_ma:g} mA{kind}",
            amount=1,
            unit="pieces",
            reckoned="one for each protection, or for each group that stands behind one",
        )


def _writes_rcd(facts: Facts, circuit: Circuit) -> bool:
    """Say whether a circuit is the first of its group to give the RCD: a group has one."""
    if circuit.rcd_group is None:
        return True
    first = next(
        protection.circuit
        for protection in facts.protections.values()
        if protection.circuit.rcd_group == circuit.rcd_group
        and protection.circuit.rcd_ma is not None
    )
    return first.id == circuit.id
