"""Which strips the leads of a plan leave unfed or feed wrong, by walking from stop to stop."""

from collections.abc import Iterable, Iterator

from tests.second_opinion.comparing import UnclearError, exceeds
from tests.second_opinion.saying import error, warning
from underfoot.api.rules import Data, Expected
from underfoot_rules.mutations.drawn import Drawn, Lead
from underfoot_rules.mutations.expand_rows import mm

BOX = "junction-box"
Way = tuple[str, str]


def feed_faults(plan: Data, drawn: dict[str, Drawn]) -> Iterator[Expected]:
    """Follow the leads of each circuit from the junction box; UnclearError where rings share."""
    circuits = plan.get("circuits") or {}
    led = {lead.circuit for room in drawn.values() for lead in room.leads.values()}
    bare = {name for name in circuits if name not in led}
    for name in bare:
        if any(s.circuit == name for room in drawn.values() for s in room.strips.values()):
            yield error("circuit-feed", None, name)
    for room in drawn.values():
        fed = _walk(room)
        for strip in room.strips.values():
            if strip.id not in fed and strip.circuit not in bare:
                yield error("circuit-feed", room.id, strip.id)
        for lead in room.leads.values():
            yield from _of_lead(room, lead, fed, circuits)
        for circuit in dict.fromkeys(lead.circuit for lead in room.leads.values()):
            ways = _list_ways(lead for lead in room.leads.values() if lead.circuit == circuit)
            rings = any(_goes_round(ways, which) for which in range(len(ways)))
            if rings:
                yield warning("lead-ring", room.id, circuit)
            yield from _fed_on(plan, room, circuit, fed, rings=rings)


def _walk(room: Drawn) -> set[str]:
    fed: set[str] = set()
    grows = True
    while grows:
        grows = False
        for lead in room.leads.values():
            reaches = {s for s in lead.strips if room.strips[s].circuit == lead.circuit} - fed
            touched = any(room.strips[s].circuit == lead.circuit for s in fed & {*lead.strips})
            if reaches and (BOX in lead.named or touched):
                fed |= reaches
                grows = True
    return fed


def _of_lead(room: Drawn, lead: Lead, fed: set[str], circuits: Data) -> Iterator[Expected]:
    joined = {room.strips[name].circuit for name in lead.strips}
    if joined and joined != {lead.circuit}:
        if not joined <= set(circuits):
            if len(joined) > 1:
                raise UnclearError
        elif len(joined) > 1 or (BOX in lead.named and fed & {*lead.strips}):
            yield error("circuits-joined", room.id, lead.id)
        elif fed & {*lead.strips}:
            yield warning("circuits-joined", room.id, lead.id)
    if not room.strips:
        return  # the room without strips speaks for them
    live = BOX in lead.named or bool(fed & {*lead.strips})
    if live and (lead.named[0] is None or lead.named[-1] is None):
        yield error("lead-loose-end", room.id, lead.id)
    elif (live or not lead.strips) and not _list_ways([lead]):
        yield warning("lead-loose-end", room.id, lead.id)


def _list_ways(leads: Iterable[Lead], apart: str = "") -> list[Way]:
    """List what leads join: strips, the box, and the two ends of the strip `apart` by themselves.

    Where the route goes from one end of a strip straight to its other end, busbars carry on.
    """
    ways = []
    for lead in leads:
        at: str | None = None
        bent = False
        for stop in lead.named:
            if stop is None:
                bent = True
                continue
            strip = stop.partition(".")[0]
            if at is not None and (strip != at.partition(".")[0] or (bent and strip != BOX)):
                ways.append((_join(at, apart), _join(stop, apart)))
            at, bent = stop, False
    return ways


def _join(stop: str, apart: str) -> str:
    strip = stop.partition(".")[0]
    return stop if strip == apart else strip


def _goes_round(ways: list[Way], which: int) -> bool:
    """Tell whether the two ends of a way are joined without it."""
    start, end = ways[which]
    return end in _reach(start, [way for at, way in enumerate(ways) if at != which])


def _reach(start: str, ways: Iterable[Way]) -> set[str]:
    reached, left = {start}, list(ways)
    while True:
        more = {end for way in left for end in way if reached & {*way}} - reached
        if not more:
            return reached
        reached |= more


def _fed_on(
    plan: Data, room: Drawn, circuit: str, fed: set[str], *, rings: bool
) -> Iterator[Expected]:
    """Add up what hangs on strips that leads join at both ends."""
    leads = [lead for lead in room.leads.values() if lead.circuit == circuit]
    for strip in room.strips.values():
        stops = {stop for lead in leads for stop in lead.named if stop is not None}
        joined = stops & {f"{strip.id}.start", f"{strip.id}.end"}
        longest = plan["materials"]["films"][strip.film].get("longest_strip")
        if len(joined) < 2 or strip.id not in fed or longest is None:
            continue
        if strip.length > mm(longest):
            continue  # too long by itself, which is the same finding
        ways = _list_ways(leads, strip.id)
        near = _reach(BOX, ways)
        far = joined - near
        if len(far) != 1 or rings:
            if sum(each.length for each in room.strips.values()) > mm(longest):
                raise UnclearError
            continue
        hanging = [strip, *(room.strips[name] for name in _reach(far.pop(), ways) - joined)]
        names = {each.id for each in hanging}
        others = (lead for lead in room.leads.values() if lead.circuit != circuit)
        if {each.film for each in hanging} != {strip.film} or any(
            names & {*lead.strips} for lead in others
        ):
            raise UnclearError
        if exceeds(sum(each.length for each in hanging), mm(longest), 1):
            yield error("strip-length", room.id, strip.id)
