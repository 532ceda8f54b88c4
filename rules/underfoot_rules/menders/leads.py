"""Takes leads another way, round what bars them; opens rings and shortens loose ends."""

import math
from collections.abc import Iterator
from itertools import pairwise

from msgspec.structs import replace

from underfoot.api.facts import RoomFacts, gather_leads, size_lead, strips_of
from underfoot.api.plan import Element, Lead, Stop
from underfoot.api.rules import (
    Edit,
    Mender,
    Proposal,
    ToMend,
    format_quantity,
    join_names,
)
from underfoot_rules.leads.leads_together import find_leads_together
from underfoot_rules.leads.rings import find_ring
from underfoot_rules.menders.joining import find_lead
from underfoot_rules.menders.laid import is_laid
from underfoot_rules.menders.layout import MOST_STRIPS
from underfoot_rules.menders.routes import reroute, write_route
from underfoot_rules.menders.written import Path, change, change_list, look_up

_MOST_STOPS = 100
# A way that is more than twice as long as before, and this, is no mend (mm).
_FARTHER = 1500.0


def take_round(found: ToMend) -> Iterator[Proposal]:
    """Propose another way for the legs of a lead that lie wrong, and the nearer end of a strip."""
    room = found.room_facts
    lead = next((each for each in room.drawn.leads if each.id == found.items[0]), None)
    if lead is None or is_laid(found.facts, room.id) or not _is_small(room, lead):
        return
    usual = _join_usual_ends(room, lead)
    for tried in (usual, lead) if usual is not None else (lead,):
        taken = _take(found, room, tried)
        if taken is not None and taken.route != lead.route:
            yield _propose_way(found, room, lead, taken)
            return


def part_leads(found: ToMend) -> Iterator[Proposal]:
    """Propose to lay the one of two leads beside the other."""
    room = found.room_facts
    name = found.items[0]
    if is_laid(found.facts, room.id):
        return
    others = [
        room.leads[which].lead.id
        for each in find_leads_together(room)
        if room.leads[each.which].lead.id == name
        for which in each.on
    ]
    ways: list[tuple[float, int, Lead, Lead]] = []
    for each in dict.fromkeys((name, *others)):
        lead = find_lead(room, each)
        taken = _take(found, room, lead) if _is_small(room, lead) else None
        if taken is not None and taken.route != lead.route:
            ways.append((_measure(room, taken) - _measure(room, lead), len(ways), lead, taken))
    for *_, lead, taken in sorted(ways, key=lambda each: each[:2])[:2]:
        yield _propose_way(found, room, lead, taken)


def end_at_joint(found: ToMend) -> Iterator[Proposal]:
    """Propose to end a lead at its last joint, to begin it at the box, or to leave it out."""
    room = found.room_facts
    lead = find_lead(room, found.items[0])
    if is_laid(found.facts, room.id):
        return
    named = [at for at, stop in enumerate(lead.route) if stop.kind != "bend"]
    strips = strips_of(lead)
    if not strips:
        yield _leave_out(room, lead, "it joins no strip")
        return
    joined = lead.route[named[0] : named[-1] + 1]
    if len(named) > 1 and joined != lead.route:
        last = joined[-1] if lead.route[-1].kind == "bend" else joined[0]
        which = "End" if lead.route[-1].kind == "bend" else "Begin"
        says = f"{which} lead {lead.id} at {_called(last)}, where it is joined."
        yield _propose_way(found, room, lead, replace(lead, route=joined), says)
    if room.box is not None and all(stop.kind != "box" for stop in lead.route):
        box = Stop(kind="box", path="")
        if lead.route[0].kind == "bend":
            begun = replace(lead, route=(box, *lead.route))
            says = f"Begin lead {lead.id} at the junction box."
            yield _propose_way(found, room, lead, begun, says)
    if _is_fed_without(room, lead):
        yield _leave_out(room, lead, "what it joins is fed without it")


def open_ring(found: ToMend) -> Iterator[Proposal]:
    """Propose to leave out what closes a ring: a whole lead, or a stop at the end of one."""
    room = found.room_facts
    if is_laid(found.facts, room.id):
        return
    ring = find_ring(gather_leads(room).get(found.items[0], ()))
    for name in reversed(ring.leads if ring is not None else ()):
        lead = find_lead(room, name)
        if _is_fed_without(room, lead):
            yield _leave_out(room, lead, "what it joins is fed without it")
        named = [at for at, stop in enumerate(lead.route) if stop.kind != "bend"]
        if len(named) > 2 and named[-1] == len(lead.route) - 1:
            shorter = replace(lead, route=lead.route[: named[-2] + 1])
            last = _called(lead.route[-1])
            says = f"End lead {name} before {last}, which is fed already."
            yield _propose_way(found, room, lead, shorter, says)


def join_near_ends(found: ToMend) -> Iterator[Proposal]:
    """Propose to join at their usual ends all strips that one strip's busbars feed on."""
    room = found.room_facts
    element = room.elements[room.place_of[found.items[0]]]
    own = [lead for lead in room.drawn.leads if lead.circuit == element.circuit]
    feeding = next((lead for lead in own if _joins(lead, element, element.connected)), None)
    if is_laid(found.facts, room.id) or feeding is None or not _is_small(room, feeding):
        return
    joined = [stop.element for lead in own for stop in lead.route if stop.element is not None]
    far = [
        lead for lead in own
        if lead is feeding or any(stop.element == element.id for stop in lead.route)
    ]  # fmt: skip
    names = dict.fromkeys(
        stop.element for lead in far for stop in lead.route if stop.element in room.place_of
    )
    if len(names) < 2 or len(joined) == len(names):
        return
    first = next(at for at, stop in enumerate(feeding.route) if stop.element is not None)
    stops = tuple(
        Stop(kind="strip", path="", element=name, end=room.elements[room.place_of[name]].connected)
        for name in names
        if name is not None
    )
    taken = _take(found, room, replace(feeding, route=(*feeding.route[:first], *stops)))
    if taken is None:
        return
    others = [lead.id for lead in far if lead is not feeding]
    says = f"Let lead {feeding.id} join {join_names([str(name) for name in names])} side by side"
    says += f", and leave out lead {join_names(others)}." if others else "."
    proposal = _propose_way(found, room, feeding, taken, says)
    gone = tuple(Edit(op="remove", path=("rooms", room.id, "leads", name)) for name in others)
    yield replace(proposal, edits=(*proposal.edits, *gone))


def _joins(lead: Lead, element: Element, end: str) -> bool:
    return any(stop.element == element.id and stop.end == end for stop in lead.route)


def let_in(found: ToMend) -> Iterator[Proposal]:
    """Propose to let a lead into the insulation."""
    room = found.room_facts
    if is_laid(found.facts, room.id):
        return
    path = _path(room, found.items[0], "recessed")
    yield Proposal(
        says=f"Let lead {found.items[0]} into the insulation, flush, and state `recessed: true`.",
        edits=(change(found.data, path, True),),
    )


def take_flat_pair(found: ToMend) -> Iterator[Proposal]:
    """Propose two conductors side by side for a lead too thick, or said to be all but none."""
    room = found.room_facts
    lead = find_lead(room, found.items[0])
    if is_laid(found.facts, room.id) or lead.thickness is None or lead.size_text is None:
        return
    pair = size_lead(replace(lead, thickness=None, width=None))
    edits = [Edit(op="remove", path=_path(room, lead.id, "thickness"))]
    if lead.width is not None:
        edits.append(Edit(op="remove", path=_path(room, lead.id, "width")))
    thick = format_quantity(pair.thickness, "mm")
    says = (
        f"Take two conductors of {lead.size_text} side by side for lead {lead.id}, {thick} thick, "
        "and leave out its `thickness`."
    )
    if found.finding.least is not None:
        says = (
            f"Leave out the `thickness` of lead {lead.id}, which cannot be right: the least for "
            f"{lead.size_text}, {thick}, is taken until somebody measures it."
        )
    yield Proposal(says=says, edits=tuple(edits))


def _path(room: RoomFacts, lead: str, key: str) -> Path:
    return ("rooms", room.id, "leads", lead, key)


def _is_small(room: RoomFacts, lead: Lead) -> bool:
    return len(room.elements) <= MOST_STRIPS and len(lead.route) <= _MOST_STOPS


def _join_usual_ends(room: RoomFacts, lead: Lead) -> Lead | None:
    """Join each strip at the end where its conductors are; None where that changes nothing."""
    route = tuple(
        replace(stop, end=room.elements[room.place_of[stop.element]].connected, path="")
        if stop.named_end and stop.element in room.place_of
        else stop
        for stop in lead.route
    )
    ends = [stop.end for stop in route]
    return None if ends == [stop.end for stop in lead.route] else replace(lead, route=route)


def _take(found: ToMend, room: RoomFacts, lead: Lead) -> Lead | None:
    """Take a lead another way, but not round the whole house."""
    taken = reroute(found.facts, room, lead)
    if taken is None or _measure(room, taken) > 2 * _measure(room, lead) + _FARTHER:
        return None
    return taken


def _measure(room: RoomFacts, lead: Lead) -> float:
    places = room.places_of(lead.route)
    return round(sum(math.dist(a, b) for a, b in pairwise(places)) + 150.0 * len(places))


def _propose_way(
    found: ToMend, room: RoomFacts, lead: Lead, taken: Lead, says: str = ""
) -> Proposal:
    path = _path(room, lead.id, "route")
    old = look_up(found.data, path)
    new = write_route(room, old, taken.route)
    if not says:
        bends = [stop for stop in new if isinstance(stop, list) and stop not in old]
        by = f" by {join_names([_spot(bend) for bend in bends])}" if bends else " the short way"
        was = {(stop.element, stop.end) for stop in lead.route}
        ends = [stop for stop in taken.route if (stop.element, stop.end) not in was]
        if not bends and ends:
            joined = join_names([f"{stop.element} at its {stop.end}" for stop in ends])
            says = f"Let lead {lead.id} join {joined}."
        else:
            says = f"Take lead {lead.id}{by}."
    return Proposal(says=says, edits=change_list(path, old, new))


def _spot(bend: list[object]) -> str:
    return f"[{bend[0]}, {bend[1]}]"


def _called(stop: Stop) -> str:
    return "the junction box" if stop.element is None else stop.element


def _leave_out(room: RoomFacts, lead: Lead, why: str) -> Proposal:
    path: Path = ("rooms", room.id, "leads", lead.id)
    return Proposal(says=f"Leave out lead {lead.id}: {why}.", edits=(Edit(op="remove", path=path),))


def _is_fed_without(room: RoomFacts, lead: Lead) -> bool:
    others = [each for each in room.drawn.leads if each.id != lead.id]
    fed = {name for each in others for name in strips_of(each)}
    return fed.issuperset(strips_of(lead))


MENDERS = (
    *(
        Mender(rule=rule, propose=take_round)
        for rule in (
            "lead-under-element",
            "lead-outside-room",
            "lead-under-fixture",
            "lead-near-heat",
            "lead-under-nails",
            "lead-joint",
            "threshold-fixing",
        )
    ),
    Mender(rule="lead-on-lead", propose=part_leads),
    Mender(rule="lead-loose-end", propose=end_at_joint),
    Mender(rule="lead-ring", propose=open_ring),
    Mender(rule="strip-length", propose=join_near_ends),
    Mender(rule="lead-recessed", propose=let_in),
    Mender(rule="lead-thickness", propose=take_flat_pair),
)
