"""What became of a plan between two revisions: rooms, then circuits, materials and papers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from typing import Any

from underfoot.checking.facts import Facts, RoomFacts
from underfoot.comparing.change import Change
from underfoot.comparing.differing import list_differences
from underfoot.comparing.room_changes import list_room_changes
from underfoot.plan import Measurement, Plan


def list_changes(old: Facts, new: Facts) -> tuple[Change, ...]:
    """List all that differs between two plans, comments and order of writing apart."""
    return (*_rooms(old.rooms, new.rooms), *_rest(old.plan, new.plan))


def _rooms(old: Mapping[str, RoomFacts], new: Mapping[str, RoomFacts]) -> Iterator[Change]:
    for room in old:
        if room not in new:
            yield Change(room=room, kind="room", item="", what="taken away", text="taken away")
    for room in new:
        if room not in old:
            yield Change(room=room, kind="room", item="", what="added", text="added")
        else:
            yield from list_room_changes(old[room], new[room])


def _rest(old: Plan, new: Plan) -> Iterator[Change]:
    yield from _by_id("circuit", old.circuits, new.circuits)
    yield from _values("supply", "", old.supply, new.supply)
    for kind, name in (
        ("film", "films"),
        ("board", "boards"),
        ("sheet", "sheets"),
        ("covering", "coverings"),
    ):
        yield from _by_id(
            f"kind of {kind}", getattr(old.materials, name), getattr(new.materials, name)
        )
    yield from _values("method statement", "", old.method_statement, new.method_statement)
    yield from _values("packs", "", old.packs, new.packs)
    yield from _by_id("test", _tests(old.tests), _tests(new.tests))
    yield from _values("handover", "", old.handover, new.handover)
    yield from _by_id("waiver", _waivers(old), _waivers(new))
    yield from _values("job", "", old.job, new.job)
    for name in ("status", "catalogue", "note"):
        for _, was, is_now in list_differences(getattr(old, name), getattr(new, name), name):
            yield Change(room=None, kind=name, item="", what="changed", text=f"{is_now}, was {was}")


def _values(kind: str, item: str, old: Any, new: Any) -> Iterator[Change]:
    if old is None and new is None:
        return
    if old is None or new is None:
        what = "added" if old is None else "taken away"
        yield Change(room=None, kind=kind, item=item, what=what, text=what)  # type: ignore[arg-type]
        return
    for name, was, is_now in list_differences(old, new):
        yield Change(
            room=None, kind=kind, item=item, what="changed", text=f"{name}: {is_now}, was {was}"
        )


def _by_id(kind: str, old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Change]:
    for item in [*old, *(item for item in new if item not in old)]:
        yield from _values(kind, item, old.get(item), new.get(item))


def _tests(tests: tuple[Measurement, ...]) -> dict[str, Measurement]:
    """Name each visit by circuit and stage, the second of a kind with its number."""
    seen: Counter[str] = Counter()
    named = {}
    for test in tests:
        name = f"{test.circuit}, {test.stage}"
        seen[name] += 1
        named[name if seen[name] == 1 else f"{name} ({seen[name]})"] = test
    return named


def _waivers(plan: Plan) -> dict[str, Any]:
    seen: Counter[str] = Counter()
    named = {}
    for waiver in plan.waivers:
        name = f"{waiver.rule} {waiver.item}" if waiver.item else waiver.rule
        seen[name] += 1
        named[name if seen[name] == 1 else f"{name} ({seen[name]})"] = waiver
    return named
