"""The facts of linking: what leads on from junction box to junction box behind one protection."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from msgspec import Struct

from underfoot.checking.facts.facts import Facts
from underfoot.checking.facts.feed import BOX
from underfoot.checking.facts.protection import ProtectionFacts
from underfoot.checking.facts.room import LaidLead, RoomFacts
from underfoot.plan import Cable, Circuit

Leads = Mapping[str, Sequence[tuple[RoomFacts, LaidLead]]]
"""The leads of each circuit, with the rooms that they lie in."""


class Unknown(Struct, frozen=True, kw_only=True):
    """What the plan leaves out: `why` completes "could not be judged: ...", `write` asks for it."""

    why: str
    write: str


def no_cable(circuit: str) -> Unknown:
    """Say that a circuit's cable is missing."""
    return Unknown(
        why=f"no cable is given for circuit {circuit}",
        write=f"Write the `cable` of circuit {circuit}: size, length, method and ambient.",
    )


class Link(Struct, frozen=True, kw_only=True):
    """What joins two boxes, between two nodes of the network; `cable` is None where it is missing.

    `circuit` is the one that it is written under, `items` name it in findings.
    """

    circuit: Circuit
    items: tuple[str, ...]
    name: str
    start: str
    end: str
    cable: Cable | None
    why: str = ""
    write: str = ""


class Boxes(Struct, frozen=True, kw_only=True):
    """The junction boxes behind one protection: the links between them, the missing ones last.

    The cable ends at the node `BOX`; `nodes` has the boxes that are others, by circuit and room.
    """

    links: tuple[Link, ...] = ()
    nodes: Mapping[tuple[str, str], str] = {}

    def node_of(self, circuit: str, room: str) -> str:
        """Name the node of the box that a circuit's leads in a room begin at."""
        return self.nodes.get((circuit, room), BOX)


_ONE_BOX = Boxes()


def gather_circuit_leads(facts: Facts) -> dict[str, list[tuple[RoomFacts, LaidLead]]]:
    """Gather the leads of every circuit that has some, with the rooms that they lie in."""
    found: dict[str, list[tuple[RoomFacts, LaidLead]]] = {}
    for room in facts.rooms.values():
        for lead in room.leads:
            found.setdefault(lead.lead.circuit, []).append((room, lead))
    return found


def find_all_boxes(facts: Facts) -> dict[str, Boxes]:
    """Find the junction boxes behind each protection and what links them, by its id."""
    leads = facts.once(gather_circuit_leads)
    return {name: find_boxes(protection, leads) for name, protection in facts.protections.items()}


def find_boxes(protection: ProtectionFacts, leads: Leads) -> Boxes:
    """Find the boxes that leads of a protection's circuits begin at, and what links them.

    The cable goes to the first box of the circuit that it is given for: that of its thermostat's
    room, else the first drawn, that no link feeds. What no link reaches lacks one.
    """
    circuits = [protection.circuit]
    circuits += [each.circuit for each in protection.circuits if each.id != protection.id]
    linked = any(circuit.links or (circuit.shares and circuit.cable) for circuit in circuits)
    rooms = {c.id: {room.id: None for room, _ in leads.get(c.id, ())} for c in circuits}
    if not linked and len({room for own in rooms.values() for room in own}) < 2:
        return _ONE_BOX
    rooms = {c.id: dict.fromkeys(_list_box_rooms(leads.get(c.id, ()))) for c in circuits}
    first = {circuit.id: _find_first_box(circuit, rooms[circuit.id]) for circuit in circuits}
    heads = (first[c.id] for c in circuits if not (c.shares and c.cable))
    head = next((room for room in heads if room is not None), "")

    nodes = {
        (circuit, room): f"{BOX} in {room}"
        for circuit, own in rooms.items()
        for room in own
        if room != head
    }
    links: list[Link] = []
    for circuit in circuits:
        if circuit.shares and circuit.cable:
            to = first[circuit.id]
            end = f"{BOX} in {to}"
            if to is None or to == head:
                # Two boxes in one room, of which the plan draws one.
                end = f"{BOX} of {circuit.id}"
                nodes[circuit.id, head] = end
            name = f"the link to circuit {circuit.id}"
            links.append(
                Link(
                    circuit=circuit,
                    items=(circuit.id,),
                    name=name,
                    start=BOX,
                    end=end,
                    cable=circuit.cable,
                )
            )
        links += [_given_link(circuit, cable, head) for cable in circuit.links]
    links += _list_missing(circuits, first, head, nodes, links)
    return Boxes(links=tuple(links), nodes=nodes)


def _list_box_rooms(leads: Iterable[tuple[RoomFacts, LaidLead]]) -> Iterator[str]:
    for room, laid in leads:
        if any(stop.kind == "box" for stop in laid.lead.route):
            yield room.id


def _find_first_box(circuit: Circuit, rooms: Iterable[str]) -> str | None:
    """Find the room of the box that all others of a circuit are fed from."""
    fed = {link.end for link in circuit.links}
    starts = [link.start for link in circuit.links if link.start is not None]
    unfed = [room for room in (*rooms, *starts) if room not in fed]
    if circuit.thermostat in unfed:
        return circuit.thermostat
    return unfed[0] if unfed else None


def _given_link(circuit: Circuit, cable: Cable, head: str) -> Link:
    start, end = cable.start or "", cable.end or ""
    return Link(
        circuit=circuit,
        items=(circuit.id, start, end),
        name=f"the link of circuit {circuit.id} from {start} to {end}",
        start=BOX if start == head else f"{BOX} in {start}",
        end=BOX if end == head else f"{BOX} in {end}",
        cable=cable,
    )


def _list_missing(
    circuits: Sequence[Circuit],
    first: Mapping[str, str | None],
    head: str,
    nodes: Mapping[tuple[str, str], str],
    links: Sequence[Link],
) -> Iterator[Link]:
    joined = [(link.start, link.end) for link in links]
    reached = _reach(joined)
    for circuit in circuits:
        for (owner, room), node in nodes.items():
            if owner != circuit.id or node in reached:
                continue
            joined.append((BOX, node))
            reached = _reach(joined)
            yield _missing_link(circuit, head, room, node, is_first=room == first[circuit.id])


def _reach(joined: Iterable[tuple[str, str]]) -> set[str]:
    """Find the nodes that links join to the box where the cable ends."""
    reached = {BOX}
    left = list(joined)
    while True:
        touching = [pair for pair in left if reached.intersection(pair)]
        if not touching:
            return reached
        reached.update(*touching)
        left = [pair for pair in left if not reached.issuperset(pair)]


def _missing_link(circuit: Circuit, head: str, room: str, node: str, *, is_first: bool) -> Link:
    way = f"from the junction box in {head} to that in {room}"
    shares = circuit.shares is not None and is_first
    key = "the `cable`" if shares else "under `links`"
    return Link(
        circuit=circuit,
        items=(circuit.id,) if shares else (circuit.id, head, room),
        name=f"the link {way}",
        start=BOX,
        end=node,
        cable=None,
        why=f"what leads on {way} is not given",
        write=f"Write {key} of circuit {circuit.id} that leads on {way}: size, length, method and "
        "ambient."
        if shares
        else f"Write {key} of circuit {circuit.id} what leads on {way}: size, length, method and "
        "ambient.",
    )
