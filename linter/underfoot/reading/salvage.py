"""A plan out of what can be read of a file that cannot be read as a whole."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Any

from underfoot.reading.plan_file import Reading
from underfoot.reading.problem import Problem
from underfoot.reading.syntax import Parsed, parse

# More faults than this, and the file is no plan with slips in it.
_MOST_PROBLEMS = 60
# Each round takes out what the one before it left hanging; few hang on each other so far.
_MOST_ROUNDS = 8
# Where the syntax breaks off, the slip stands in that line or in one of the few before it.
_BEFORE = 5
_LONGEST_TEXT = 100_000
_PART = re.compile(r'"(?:[^"\\]|\\.)*"|[^.]+')
_KINDS = ("films", "boards", "sheets", "coverings")

Data = dict[str, Any]
ReadParsed = Callable[[Parsed], Reading]


def salvage_plan(source: bytes, given: Any, read: ReadParsed) -> Reading | None:
    """Read a plan without what cannot be read in it; None where too little is left.

    `given` is the data of the brief: what it gives is taken from there where the file lacks it.
    `read` reads what was parsed. The reading's plan comes with all problems of the file.
    """
    parsed, problems = _parse_around(source)
    # A file in which no room is drawn would be all the brief's.
    if not isinstance(parsed.data, dict) or not _entries(parsed.data, "rooms"):
        return None
    problems = problems or read(parsed).problems
    data = copy.deepcopy(parsed.data)
    left = parsed._replace(problems=(), broken=frozenset())
    for _ in range(_MOST_ROUNDS):
        _fill(data, given if isinstance(given, dict) else {})
        reading = read(left._replace(data=data))
        if reading.plan is not None:
            return reading._replace(problems=problems)
        if len(reading.problems) > _MOST_PROBLEMS:
            return None
        if not _take_out(data, {problem.path for problem in reading.problems}):
            return None
    return None


def _parse_around(source: bytes) -> tuple[Parsed, tuple[Problem, ...]]:
    """Parse the text without the lines at which its syntax breaks off.

    Gives the problems of the whole text where there were such lines.
    """
    parsed = parse(source)
    if parsed.data is not None or len(source) > _LONGEST_TEXT or not parsed.problems:
        return parsed, ()
    problems = parsed.problems
    lines = source.split(b"\n")
    for _ in range(_MOST_ROUNDS):
        broken = parsed.problems[0].line
        tries = []
        for place in range(min(broken, len(lines)) - 1, max(-1, broken - _BEFORE), -1):
            without = [*lines[:place], b"", *lines[place + 1 :]]
            found = parse(b"\n".join(without))
            tries.append((_how_far(found), without, found))
            if found.data is not None:
                break
        if not tries:
            break
        far, lines, found = max(tries, key=lambda one: one[0])
        if found.data is not None:
            return found, problems
        if far <= broken:
            break
        parsed = found
    return parsed, problems


def _how_far(parsed: Parsed) -> float:
    if parsed.data is not None or not parsed.problems:
        return float("inf")
    return parsed.problems[0].line


def _take_out(data: Data, paths: Iterable[str]) -> bool:
    """Take out what stands at these paths; tell whether anything was there to be taken."""
    taken = False
    # The last of a list first, so that those before it keep their places.
    for parts in sorted(map(_split, paths), key=_backwards):
        holder: Any = data
        for part in parts[:-1]:
            holder = _step(holder, part)
        if parts and _step(holder, parts[-1]) is not None:
            del holder[parts[-1] if isinstance(holder, dict) else int(parts[-1])]
            taken = True
    return taken


def _split(path: str) -> tuple[str, ...]:
    return tuple(json.loads(part) if part.startswith('"') else part for part in _PART.findall(path))


def _backwards(parts: tuple[str, ...]) -> tuple[tuple[float, str], ...]:
    return tuple((-float(part), "") if part.isdecimal() else (0.0, part) for part in parts)


def _step(holder: Any, part: str) -> Any:
    if isinstance(holder, dict):
        return holder.get(part)
    if isinstance(holder, list) and part.isdecimal() and int(part) < len(holder):
        return holder[int(part)]
    return None


def _fill(data: Data, given: Data) -> None:
    """Put in what is missing and the brief gives, and circuits that are only named."""
    for key in ("plan_format", "supply"):
        if key not in data and key in given:
            data[key] = copy.deepcopy(given[key])
    materials = _mapping(data, "materials")
    for kind in _KINDS:
        for name, thing in _entries(given.get("materials"), kind).items():
            _mapping(materials, kind).setdefault(name, copy.deepcopy(thing))
    rooms = _mapping(data, "rooms")
    theirs = _entries(given, "rooms")
    films = list(_entries(given.get("materials"), "films"))
    for name, room in rooms.items():
        for key in ("rows", "elements") if len(films) == 1 else ():
            for thing in _entries(room, key).values():
                if isinstance(thing, dict):
                    thing.setdefault("film", films[0])
        model = theirs.get(name)
        if model is None and len(theirs) == len(rooms) == 1:
            (model,) = theirs.values()
        if isinstance(room, dict) and "outline" not in room and isinstance(model, dict):
            room["outline"] = copy.deepcopy(model.get("outline"))
    circuits = _mapping(data, "circuits")
    for name in _named_circuits(rooms):
        circuits.setdefault(name, {})


def _mapping(holder: Data, key: str) -> Data:
    found = holder.get(key)
    if not isinstance(found, dict):
        found = holder[key] = {}
    return found


def _entries(holder: Any, key: str) -> Mapping[str, Any]:
    found = holder.get(key) if isinstance(holder, dict) else None
    if not isinstance(found, dict):
        return {}
    return {name: one for name, one in found.items() if name != "note"}


def _named_circuits(rooms: Data) -> list[str]:
    named: dict[str, None] = {}
    for room in rooms.values():
        for key in ("leads", "rows", "elements"):
            for thing in _entries(room, key).values():
                name = thing.get("circuit") if isinstance(thing, dict) else None
                if isinstance(name, str):
                    named[name] = None
    return list(named)
