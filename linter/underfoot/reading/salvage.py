"""A plan out of what can be read of a file that cannot be read as a whole."""

import copy
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from underfoot.reading.around import parse_around
from underfoot.reading.paths import split_path
from underfoot.reading.plan_file import Reading
from underfoot.reading.problem import Problem
from underfoot.reading.stand_ins import list_stand_ins
from underfoot.reading.syntax import Parsed, parse

# More faults than this, and the file is no plan with slips in it.
_MOST_PROBLEMS = 60
# Each round takes out what the one before it left hanging; few hang on each other so far.
_MOST_ROUNDS = 8
# No row has more strips that could be called as something else is.
_MOST_STRIPS = 99
# The list whose empty places are null.
_PLACES = "lengths"
_KINDS = ("films", "boards", "sheets", "coverings")

Data = dict[str, Any]
ReadParsed = Callable[[Parsed], Reading]


class Blank(Struct, frozen=True, kw_only=True):
    """A single value that cannot be read: where it stands, and what could stand there.

    Where the brief gives the value, that alone could.
    """

    path: str
    stand_ins: tuple[Any, ...]


class Salvage(Struct, frozen=True, kw_only=True):
    """What can be read of a file that cannot be read as a whole.

    `problems` are all of the file's. `given` is the data of the brief: what it gives is taken from
    there where the file lacks it. `read` reads what was parsed. `blank` are the paths of what is no
    YAML.
    """

    parsed: Parsed
    problems: tuple[Problem, ...]
    given: Data
    read: ReadParsed
    blank: tuple[str, ...] = ()

    def read_with(self, values: Mapping[str, Any]) -> tuple[Reading | None, frozenset[str]]:
        """Read the plan with values put in at their paths, and without what cannot be read.

        Gives the paths that were taken out with it, too; None where too little is left.
        """
        data = copy.deepcopy(self.parsed.data)
        for path, value in values.items():
            _put(data, split_path(path), value)
        left = replace(self.parsed, problems=(), broken=frozenset())
        gone: set[str] = set()
        renamed: set[str] = set()
        for _ in range(_MOST_ROUNDS):
            _fill(data, self.given)
            reading = self.read(replace(left, data=data))
            if reading.plan is not None:
                return replace(reading, problems=self.problems), frozenset(gone)
            if len(reading.problems) > _MOST_PROBLEMS:
                break
            paths = {problem.path for problem in reading.problems}
            taken = {path for path in paths if not _rename(data, split_path(path), renamed)}
            if not _take_out(data, taken) and taken == paths:
                break
            gone |= taken
        return None, frozenset(gone)

    def list_blanks(self, values: Mapping[str, Any]) -> tuple[Blank, ...]:
        """List the single values that cannot be read beside these, in the order of the file."""
        _, gone = self.read_with(values)
        blanks = []
        for path in sorted(gone, key=lambda one: (self.parsed.positions.get(one, (0, 0)), one)):
            parts = split_path(path)
            if _find(self.parsed.data, parts) is None:
                continue
            own = _find(self.given, parts)
            is_given = own is not None and not isinstance(own, dict | list)
            could = (own,) if is_given else list_stand_ins(parts, self.parsed.data)
            if not could:
                continue
            blanks.append(Blank(path=path, stand_ins=could))
        return tuple(blanks)


def begin_salvage(source: bytes, given: Any, read: ReadParsed) -> Salvage | None:
    """Parse a file around what is no syntax; None where no room is drawn in it.

    Such a file would be all the brief's.
    """
    parsed = parse(source)
    problems: tuple[Problem, ...] = ()
    blank: tuple[str, ...] = ()
    if parsed.data is None:
        around = parse_around(source)
        if around is None:
            return None
        parsed, problems, blank = around.parsed, parsed.problems, around.blank
    if not isinstance(parsed.data, dict) or not _entries(parsed.data, "rooms"):
        return None
    return Salvage(
        parsed=parsed,
        problems=problems or read(parsed).problems,
        given=given if isinstance(given, dict) else {},
        read=read,
        blank=blank,
    )


def _take_out(data: Data, paths: Iterable[str]) -> bool:
    """Take out what stands at these paths; tell whether anything was there to be taken."""
    taken = False
    # The last of a list first, so that those before it keep their places.
    for parts in sorted(map(split_path, paths), key=_backwards):
        holder: Any = data
        for part in parts[:-1]:
            holder = _step(holder, part)
        if not parts or _step(holder, parts[-1]) is None:
            continue
        if parts[-2:-1] == (_PLACES,):
            holder[int(parts[-1])] = None  # the strips beyond it keep their places
        else:
            del holder[parts[-1] if isinstance(holder, dict) else int(parts[-1])]
        taken = True
    return taken


def _rename(data: Data, parts: Sequence[str], renamed: set[str]) -> bool:
    """Give a circuit or a lead another name, once, where it may have that of something else.

    Where that was not what is wrong, what stands there is taken out the next time.
    """
    for name in _list_ids_at(data, parts):
        for holder in _list_holders(data):
            anew = f"{name}-{len(holder) + 1}"
            if not isinstance(holder.get(name), dict) or name in renamed or anew in holder:
                continue
            renamed |= {name, anew}
            things = [(anew if key == name else key, thing) for key, thing in holder.items()]
            holder.clear()
            holder.update(things)
            if holder is data.get("circuits"):
                _say_anew(data, name, anew)
            return True
    return False


def _list_ids_at(data: Data, parts: Sequence[str]) -> Iterator[str]:
    """List the ids that what stands at a path gives: its own, or those of a row's strips."""
    if parts[-2:-1] == (_PLACES,) and parts[-1].isdecimal():
        yield f"{parts[-3]}{int(parts[-1]) + 1}"
    elif parts[-2:-1] == ("rows",):
        yield parts[-1]
        count = _step(_find(data, parts), "count")
        if isinstance(count, int):
            yield from (f"{parts[-1]}{at + 1}" for at in range(min(count, _MOST_STRIPS)))
    elif parts[-2:-1] in (("rooms",), ("circuits",), ("leads",), ("elements",)):
        yield parts[-1]


def _list_holders(data: Data) -> Iterator[Data]:
    """Yield the maps whose things may be called otherwise without more than a word changed."""
    rooms = [room for room in _entries(data, "rooms").values() if isinstance(room, dict)]
    for holder in (data.get("circuits"), *(room.get("leads") for room in rooms)):
        if isinstance(holder, dict):
            yield holder


def _say_anew(told: Any, name: str, anew: str) -> None:
    """Write a circuit's new name wherever it is referred to."""
    for key, value in told.items() if isinstance(told, dict) else enumerate(told):
        if isinstance(value, dict | list):
            _say_anew(value, name, anew)
        elif key in ("circuit", "shares") and value == name:
            told[key] = anew


def _put(data: Any, parts: Sequence[str], value: Any) -> None:
    """Put a value in where one stands."""
    holder = _find(data, parts[:-1])
    if _step(holder, parts[-1]) is not None:
        holder[parts[-1] if isinstance(holder, dict) else int(parts[-1])] = value


def _find(data: Any, parts: Sequence[str]) -> Any:
    for part in parts:
        data = _step(data, part)
    return data


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
