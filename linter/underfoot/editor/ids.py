"""The ids of a plan's text: where each is given, and where it is used."""

import re
from collections.abc import Iterator
from functools import lru_cache

from msgspec import Struct

from underfoot.editor.declared import Declared, find_declared, named_kind
from underfoot.editor.outline import Outline, outline
from underfoot.editor.scan import Entry, Parts
from underfoot.editor.text_places import Place, Span

# The list that a thing's id stands in -> its kind.
_KINDS = {
    "films": "film",
    "boards": "board",
    "sheets": "sheet",
    "coverings": "covering",
    "fixtures": "fixture",
    "joints": "joint",
    "openings": "opening",
    "elements": "strip",
    "rows": "row",
    "leads": "lead",
    "rooms": "room",
    "circuits": "circuit",
}
_IN_ROOM = frozenset({"fixtures", "joints", "openings", "elements", "rows", "leads"})
# A stop of a route names a strip, one of its ends, or a row.
_STOPS = ("strip", "row")
_MOST_STRIPS = 1000
_STOP = re.compile(r"([A-Za-z0-9_-]+)(\.(?:start|end))?")


class Id(Struct, frozen=True, kw_only=True):
    """An id where it is given: what it names, its room, and the words that give it."""

    kind: str
    name: str
    room: str | None
    path: Parts
    span: Span


class Use(Struct, frozen=True, kw_only=True):
    """An id where it is used; `kind` is what is meant there ("stop": a strip or a row)."""

    kind: str
    name: str
    room: str | None
    span: Span


class Ids(Struct, frozen=True, kw_only=True):
    """All ids of a text."""

    given: tuple[Id, ...]
    used: tuple[Use, ...]


@lru_cache(maxsize=16)
def list_ids(text: str) -> Ids:
    """List the ids that a text gives and uses."""
    lines = outline(text)
    given: list[Id] = []
    used: list[Use] = []
    for entry in lines.entries:
        given += _list_given(entry, lines)
        used += _list_used(entry)
    return Ids(given=tuple(given), used=tuple(used))


def at_place(text: str, place: Place) -> tuple[str, str] | None:
    """Kind and name of the id at a place, whether it is given or used there."""
    ids = list_ids(text)
    for use in ids.used:
        if use.span.holds(place):
            return use.kind, use.name
    for each in ids.given:
        if each.span.holds(place):
            return each.kind, each.name
    return None


def find_given(text: str, kind: str, name: str) -> tuple[Id, ...]:
    """Where an id is given."""
    return tuple(
        each for each in list_ids(text).given if each.name == name and _fits(each.kind, kind)
    )


def find_used(text: str, kind: str, name: str) -> tuple[Use, ...]:
    """Where an id is used."""
    return tuple(
        each
        for each in list_ids(text).used
        if each.name == name and (_fits(kind, each.kind) or each.kind == kind)
    )


def _fits(given: str, wanted: str) -> bool:
    """Whether what an id names can be meant where a kind is wanted."""
    if wanted == "stop":
        return given in _STOPS
    return wanted in (given, "any")


def room_of(path: Parts) -> str | None:
    """The room that a place lies in."""
    return path[1] if len(path) > 1 and path[0] == "rooms" else None


def _list_given(entry: Entry, lines: Outline) -> Iterator[Id]:
    path, room = entry.path, room_of(entry.path)
    if entry.key is not None and len(path) > 1 and path[-1] != "note":
        kind = _KINDS.get(path[-2])
        depth = 4 if path[-2] in _IN_ROOM else 3 if path[0] == "materials" else 2
        if kind is not None and len(path) == depth:
            yield Id(kind=kind, name=path[-1], room=room, path=path, span=entry.key)
            if kind == "row":
                yield from _list_counted(entry, lines, room)
    elif entry.key is None and path[-2:-1] == ("lengths",) and len(path) == 6 and _is_laid(entry):
        name = f"{path[3]}{int(path[-1]) + 1}"
        span = entry.value or Span(entry.whole.start, entry.whole.start)
        yield Id(kind="strip", name=name, room=room, path=path, span=span)


def _is_laid(entry: Entry) -> bool:
    """Whether a strip lies at a place of a row: null leaves it empty."""
    return entry.text not in ("null", "~") and (entry.value is not None or bool(entry.text))


def _list_counted(row: Entry, lines: Outline, room: str | None) -> Iterator[Id]:
    """The strips of a row that says how many there are of one length."""
    assert row.key is not None
    count = lines.find((*row.path, "count"))
    if count is None or not count.text.isdecimal() or count.value is None:
        return
    for number in range(1, min(int(count.text[:6]), _MOST_STRIPS) + 1):
        name = f"{row.path[-1]}{number}"
        yield Id(kind="strip", name=name, room=room, path=row.path, span=count.value)


def _list_used(entry: Entry) -> Iterator[Use]:
    path, room = entry.path, room_of(entry.path)
    if path[:1] == ("tests",) and len(path) == 4 and path[2] == "strips" and entry.key is not None:
        yield Use(kind="strip", name=path[-1], room=None, span=entry.key)
    if not entry.text or entry.value is None:
        return
    declared: Declared | None = find_declared(path)
    if declared is None:
        return
    kind = named_kind(path, declared)
    if kind is None or kind == "rule":
        return
    name, span = entry.text, entry.value
    if kind == "stop":
        stop = _STOP.fullmatch(name)
        if stop is None:
            return
        name = stop[1]
    yield Use(kind=kind, name=name, room=room, span=span)
