"""Marks of what findings are about, made of content alone: they survive a new id.

So a finding that was known is known again where only a room or a strip was called otherwise.
"""

from collections.abc import Iterable, Mapping
from hashlib import sha256
from typing import Any

from underfoot.checking.finding import Subject
from underfoot.checking.report import PlanContent
from underfoot.plan import Plan, Room

# How a thing is called or whom it names, and where it stands in the file, is no content.
_NOT_CONTENT = frozenset(
    {
        "id", "path", "paths", "note", "moisture_note", "size_text", "conductor_text", "row",
        "element", "circuit", "thermostat", "shares", "rcd_group", "room", "reads",
    }
)  # fmt: skip
_MARK_DIGITS = 16


def mark(value: Any) -> str:
    """Return a short mark of plain values."""
    return mark_text(repr(value))


def mark_text(text: str) -> str:
    """Return a short mark of a text."""
    return sha256(text.encode("utf-8", "backslashreplace")).hexdigest()[:_MARK_DIGITS]


def content_of(thing: Any, known: dict[int, Any] | None = None) -> Any:
    """Return what a thing of a plan is, without what it is called; numbers to a thousandth.

    `known` keeps what was given of the things of one plan, by `id`: many strips are of one film.
    """
    if isinstance(thing, float | int) and not isinstance(thing, bool):
        return round(float(thing), 3) + 0.0
    fields = getattr(thing, "__struct_fields__", None)
    if fields is not None:
        if known is not None and id(thing) in known:
            return known[id(thing)]
        kept = ((field, getattr(thing, field)) for field in fields if field not in _NOT_CONTENT)
        content = tuple((field, content_of(value, known)) for field, value in kept)
        if known is not None:
            known[id(thing)] = content
        return content
    if isinstance(thing, Mapping):
        return tuple((key, content_of(value, known)) for key, value in thing.items())
    if isinstance(thing, tuple | list):
        return tuple(content_of(value, known) for value in thing)
    return thing


def list_content(plan: Plan, source: bytes) -> PlanContent:
    """List what tells whether another plan is this one: its rooms, and all its ids."""
    ids = {"": tuple(plan.circuits)}
    for room in plan.rooms.values():
        ids[room.id] = tuple(dict.fromkeys(_things(room)))
    outlines = {room.id: mark(content_of(room.outline)) for room in plan.rooms.values()}
    return PlanContent(source=sha256(source).hexdigest()[:_MARK_DIGITS], ids=ids, outlines=outlines)


class Marking:
    """Gives the marks of a plan's findings."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self._things = {room.id: _things(room) for room in plan.rooms.values()}
        self._known: dict[int, Any] = {}
        self._outlines: dict[str, str] = {}
        self._texts: dict[tuple[str | None, str], str] = {}

    def mark_of(self, rule: str, subject: Subject[object]) -> str:
        """Mark rule, room and items by their content; what is no thing of the plan by its name."""
        room = None if subject.room is None else self.plan.rooms.get(subject.room)
        items = sorted(self._text(room, item) for item in subject.items)
        outline = "None" if room is None else self._outline(room)
        return mark_text(f"({rule!r}, {outline}, {items!r})")

    def _outline(self, room: Room) -> str:
        if room.id not in self._outlines:
            self._outlines[room.id] = repr(self._content(room.outline))
        return self._outlines[room.id]

    def _text(self, room: Room | None, item: str) -> str:
        """Write what an item is; kept, for many findings may be about one thing of many bends."""
        key = None if room is None else room.id, item
        if key not in self._texts:
            self._texts[key] = repr(self._item(room, item))
        return self._texts[key]

    def _content(self, thing: Any) -> Any:
        return content_of(thing, self._known)

    def _item(self, room: Room | None, item: str) -> Any:
        if room is not None and item in self._things[room.id]:
            return self._content(self._things[room.id][item])
        circuit = self.plan.circuits.get(item)
        if circuit is not None:
            # Two circuits are often protected alike: what is laid on them tells them apart.
            return self._content(circuit), self._laid_on(item)
        return item

    def _laid_on(self, circuit: str) -> list[Any]:
        return [
            (self._content(room.outline), self._content(strip))
            for room in self.plan.rooms.values()
            for strip in room.elements
            if strip.circuit == circuit
        ]


def _things(room: Room) -> dict[str, Any]:
    listed: Iterable[tuple[str, Any]] = (
        *((strip.id, strip) for strip in room.elements),
        *((lead.id, lead) for lead in room.leads),
        *room.fixtures.items(),
        *room.joints.items(),
        *room.openings.items(),
    )
    return dict(listed)
