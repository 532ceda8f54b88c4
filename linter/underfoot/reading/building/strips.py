"""Strips drawn by themselves, and rows opened out into strips."""

import math
from collections.abc import Collection, Iterator, Mapping
from typing import Any

from msgspec import Struct

from underfoot.plan import Element, Film, Row
from underfoot.plan_format.kinds import FARTHEST, LENGTH
from underfoot.plan_format.strips import ELEMENT, PLACE, ROW
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import Data, Point, ProblemLog
from underfoot.reading.building.thing_reader import (
    NOTHING_KNOWN,
    Fields,
    reader_of,
    value_reader,
)
from underfoot.reading.wording import show

MOST_STRIPS = 100_000


class Strips(Struct, frozen=True, kw_only=True):
    """What a room's elements and rows come to; `by_row` holds each row's strips by the row's id."""

    elements: tuple[Element, ...]
    rows: tuple[Row, ...]
    by_row: Mapping[str, tuple[str, ...]]


class Films(Struct, frozen=True, kw_only=True):
    """The films that could be built, and the ids of all that the plan and its catalogue name."""

    built: Mapping[str, Film]
    known: Collection[str]


class _Line(Struct, frozen=True, kw_only=True):
    """Where a row begins, which way it runs, how far it reaches across; `step` parts its places."""

    at: Point
    along: str
    angle_deg: float
    reach: float
    step: float

    def place(self, later: float, across: float) -> Point:
        """The point so far along the length of the strips, and so far across them."""
        x, y = self.at
        if self.along == "y":
            return x + across, y + later
        if self.along == "x":
            return x + later, y + across
        cosine, sine = direction_of(self.angle_deg)
        return x + later * cosine - across * sine, y + later * sine + across * cosine


def direction_of(angle_deg: float) -> Point:
    """The unit vector at an angle, anticlockwise from x; exact for whole quarter turns."""
    quarters, rest = divmod(angle_deg % 360, 90)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarters) % 4]
    radians = math.radians(angle_deg)
    return math.cos(radians), math.sin(radians)


def count_strips(data: Data) -> Iterator[tuple[str, int]]:
    """The path of each element and row, and how many strips it stands for."""
    for room, entry in entries_of(data, "rooms"):
        for name, _ in entries_of(entry, "elements"):
            yield f"rooms.{room}.elements.{name}", 1
        for name, row in entries_of(entry, "rows"):
            lengths = row.get("lengths")
            count = row.get("count", 0) if lengths is None else len(lengths)
            yield f"rooms.{room}.rows.{name}", int(count)


def build_strips(
    log: ProblemLog, data: Data, path: str, films: Films, rows_elsewhere: Mapping[str, str]
) -> Strips:
    """A room's strips; `rows_elsewhere` says in which room each row of the plan lies."""
    known = {"film": films.known}
    elements: list[Element] = []
    for name, entry in entries_of(data, "elements"):
        place = f"{path}.elements.{name}"
        fields = _read_element(log, entry, place, known)
        fields["film"] = films.built.get(fields.get("film", ""))
        if fields["film"] is not None and fields.keys() >= _PLACED:
            elements.append(Element(id=name, path=place, **fields))
    entries = dict(entries_of(data, "rows"))
    read: dict[str, Fields] = {}
    for name, entry in entries.items():
        fields = read[name] = _read_row(log, entry, f"{path}.rows.{name}", known)
        fields["film"] = films.built.get(fields.get("film", ""))
    lines: dict[str, _Line | None] = {}
    for name in _order_rows(log, entries, f"{path}.rows", rows_elsewhere):
        lines[name] = _draw_line(log, entries[name], f"{path}.rows.{name}", read[name], lines)
    rows: list[Row] = []
    by_row: dict[str, tuple[str, ...]] = {}
    for name, entry in entries.items():
        row_path, fields = f"{path}.rows.{name}", read[name]
        strips = list(_open_row(log, entry, row_path, name, fields, lines.get(name)))
        by_row[name] = tuple(strip.id for strip in strips)
        rows.append(Row(id=name, path=row_path, elements=by_row[name], note=fields.get("note")))
        elements.extend(strips)
    return Strips(elements=tuple(elements), rows=tuple(rows), by_row=by_row)


def _order_rows(
    log: ProblemLog, entries: Mapping[str, Data], path: str, rows_elsewhere: Mapping[str, str]
) -> list[str]:
    """The rows, each after the one at whose end it goes on; those in a circle are left out."""
    ordered: list[str] = []
    settled: set[str] = set()
    for name in entries:
        chain: list[str] = []
        in_chain: set[str] = set()
        here: str | None = name
        while here is not None and here not in settled:
            chain.append(here)
            in_chain.add(here)
            entry = entries[here]
            after = entry.get("after")
            if after is not None and after not in entries:
                _report_after(log, f"{path}.{here}.after", after, entries, rows_elsewhere)
                after = None
            if after in in_chain:
                circle = chain[chain.index(after) :]
                log.report(
                    f"{path}.{here}.after",
                    f"`after`: {_word_circle(circle)}: give one of them `at`",
                )
                settled.update(chain)
                chain = []
                break
            here = after
        settled.update(chain)
        ordered.extend(reversed(chain))
    return ordered


def _word_circle(circle: list[str]) -> str:
    if len(circle) == 1:
        return f"row {show(circle[0])} cannot go on after itself"
    shown = ", ".join(show(name) for name in circle[:6]) + (", ..." if len(circle) > 6 else "")
    return f"the rows {shown} go on after one another in a circle"


def _report_after(
    log: ProblemLog,
    place: str,
    after: str,
    entries: Mapping[str, Data],
    rows_elsewhere: Mapping[str, str],
) -> None:
    room = rows_elsewhere.get(after)
    if room is None:
        log.report_unknown(place, after, entries, "row of this room")
    else:
        log.report(
            place,
            f"`after`: row {show(after)} lies in room {show(room)}; a row goes on after one of its "
            "own room",
        )


def _draw_line(
    log: ProblemLog, data: Data, path: str, fields: Fields, lines: Mapping[str, _Line | None]
) -> _Line | None:
    """Where a row lies; rows that it goes on after have been drawn already."""
    film: Film | None = fields["film"]
    spacing: float = fields["spacing"]
    at: Point | None = fields.get("at")
    after: str | None = data.get("after")
    if after is not None and "at" in data:
        log.report(
            f"{path}.after", "a row lies `at` a point or goes on `after` another row: delete one"
        )
        return None
    if film is None or "along" not in fields:
        return None
    along, angle_deg = fields["along"], fields.get("angle_deg", 0.0)
    if after is not None:
        before = lines.get(after)
        if before is None:
            return None
        if (before.along, before.angle_deg) != (along, angle_deg):
            log.report(
                f"{path}.after",
                f"`after`: row {show(after)} does not lie along the same direction: give this row "
                "`at`",
            )
            return None
        at = before.place(0.0, before.reach + spacing)
    if at is None:
        return None
    places = _count_places(data)
    reach = places * film.width + max(0, places - 1) * spacing
    if max(abs(at[0]), abs(at[1])) + reach > FARTHEST:
        log.report(path, "this row would reach more than 1 km from the room's origin")
        return None
    return _Line(at=at, along=along, angle_deg=angle_deg, reach=reach, step=film.width + spacing)


def _count_places(data: Data) -> int:
    lengths = data.get("lengths")
    return int(data.get("count", 0)) if lengths is None else len(lengths)


def _open_row(
    log: ProblemLog, data: Data, path: str, name: str, fields: Fields, line: _Line | None
) -> Iterator[Element]:
    """The strips of a row; without a `line` its lengths are read for their faults alone."""
    lengths = data.get("lengths")
    if lengths is not None and ("length" in data or "count" in data):
        key = "length" if "length" in data else "count"
        log.report(
            f"{path}.{key}", "a row has `lengths`, or `length` with `count`: delete one of the two"
        )
    same: Fields = {"length": fields.get("length")}
    places: list[Any] = [same] * _count_places(data) if lengths is None else lengths
    for number, place in enumerate(places):
        if place is None:
            continue
        strip_path = path
        own: Fields = same
        if lengths is not None:
            strip_path = f"{path}.lengths.{number}"
            own = _read_strip(log, place, strip_path)
        length = own.get("length")
        if line is None or length is None:
            continue
        yield Element(
            id=f"{name}{number + 1}",
            path=strip_path,
            film=fields["film"],
            at=line.place(own.get("from", 0.0), number * line.step),
            along=line.along,
            length=length,
            angle_deg=line.angle_deg,
            circuit=own.get("circuit", fields.get("circuit")),
            connected=own.get("connected") or fields["connected"],
            row=name,
            note=own.get("note"),
        )


def _read_strip(log: ProblemLog, place: Any, path: str) -> Fields:
    """What stands in a row for one strip: a mapping, or its length alone."""
    if place.__class__ is dict:
        return _read_place(log, place, path, NOTHING_KNOWN)
    return {"length": _read_length(log, place, path, "lengths", NOTHING_KNOWN)}


_PLACED = frozenset({"at", "along", "length"})
_read_element = reader_of(ELEMENT)
_read_row = reader_of(ROW, but=("after", "lengths", "count"))
_read_place = reader_of(PLACE)
_read_length = value_reader(LENGTH)
