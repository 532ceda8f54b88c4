"""What became of a plan between two revisions: rooms, then circuits, materials and papers."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeVar

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.comparing.change import ADDED, TAKEN_AWAY, Change, ThingChange, make_changes, tell
from underfoot.comparing.differing import list_differences, say_differences
from underfoot.comparing.room_changes import list_room_changes
from underfoot.plan import Measurement, Plan

Thing = TypeVar("Thing")


def list_changes(old: Facts, new: Facts) -> tuple[Change, ...]:
    """List all that differs between two plans, comments and order of writing apart."""
    return (*_rooms(old.rooms, new.rooms), *make_changes(None, _rest(old.plan, new.plan)))


def _rooms(old: Mapping[str, RoomFacts], new: Mapping[str, RoomFacts]) -> Iterator[Change]:
    for room in old:
        if room not in new:
            yield from make_changes(room, [("room", "", TAKEN_AWAY)])
    for room in new:
        if room not in old:
            yield from make_changes(room, [("room", "", ADDED)])
        else:
            yield from list_room_changes(old[room], new[room])


def _rest(old: Plan, new: Plan) -> Iterator[ThingChange]:
    yield from _by_id("circuit", old.circuits, new.circuits)
    yield from _values("supply", "", old.supply, new.supply)
    for kind in ("film", "board", "sheet", "covering"):
        before, after = (getattr(plan.materials, f"{kind}s") for plan in (old, new))
        yield from _by_id(f"kind of {kind}", before, after)
    yield from _values("method statement", "", old.method_statement, new.method_statement)
    yield from _values("packs", "", old.packs, new.packs)
    yield from _by_id("test", _tests(old.tests), _tests(new.tests))
    yield from _values("handover", "", old.handover, new.handover)
    yield from _by_id("waiver", _waivers(old), _waivers(new))
    yield from _values("job", "", old.job, new.job)
    for name in ("status", "catalogue", "note"):
        for _, was, is_now in list_differences(getattr(old, name), getattr(new, name), name):
            yield name, "", ("changed", f"{is_now}, was {was}", None)


def _values(kind: str, item: str, old: Any, new: Any) -> Iterator[ThingChange]:
    if old is None and new is None:
        return
    if old is None or new is None:
        yield kind, item, ADDED if old is None else TAKEN_AWAY
        return
    yield from tell(kind, item, say_differences(old, new))


def _by_id(kind: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[ThingChange]:
    for item in [*old, *(item for item in new if item not in old)]:
        yield from _values(kind, item, old.get(item), new.get(item))


def _tests(tests: tuple[Measurement, ...]) -> dict[str, Measurement]:
    return _named((f"{test.circuit}, {test.stage}", test) for test in tests)


def _waivers(plan: Plan) -> dict[str, Any]:
    return _named((f"{one.rule} {one.item}" if one.item else one.rule, one) for one in plan.waivers)


def _named(things: Iterable[tuple[str, Thing]]) -> dict[str, Thing]:
    """Return things by their names, the second of a name with its number."""
    seen: Counter[str] = Counter()
    named = {}
    for name, thing in things:
        seen[name] += 1
        named[name if seen[name] == 1 else f"{name} ({seen[name]})"] = thing
    return named
