"""Strips drawn by themselves, and rows opened out into strips."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping
from typing import Any, NamedTuple

from underfoot.plan import Element, Film, Row
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import (
    FARTHEST,
    Data,
    Point,
    ProblemLog,
    read_direction,
    read_length,
    read_length_from_zero,
    read_length_value,
    read_point,
    read_reference,
)
from underfoot.reading.wording import show

MOST_STRIPS = 100_000


class Strips(NamedTuple):
    """What a room's elements and rows come to; `by_row` holds each row's strips by the row's id."""

    elements: tuple[Element, ...]
    rows: tuple[Row, ...]
    by_row: Mapping[str, tuple[str, ...]]


class Films(NamedTuple):
    """The films that could be built, and the ids of all that the plan and its catalogue name."""

    built: Mapping[str, Film]
    known: Collection[str]


class _Line(NamedTuple):
    """Where a row begins, which way it runs, and how far its places reach across."""

    at: Point
    along: str
    angle_deg: float
    reach: float

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
    elements: list[Element] = []
    for name, entry in entries_of(data, "elements"):
        element = _build_element(log, entry, f"{path}.elements.{name}", name, films)
        if element is not None:
            elements.append(element)
    entries = dict(entries_of(data, "rows"))
    lines: dict[str, _Line | None] = {}
    for name in _order_rows(log, entries, f"{path}.rows", rows_elsewhere):
        lines[name] = _draw_line(log, entries[name], f"{path}.rows.{name}", films, lines)
    rows: list[Row] = []
    by_row: dict[str, tuple[str, ...]] = {}
    for name, entry in entries.items():
        row_path = f"{path}.rows.{name}"
        strips = list(_open_row(log, entry, row_path, name, films, lines.get(name)))
        by_row[name] = tuple(strip.id for strip in strips)
        rows.append(Row(id=name, path=row_path, elements=by_row[name], note=entry.get("note")))
        elements.extend(strips)
    return Strips(tuple(elements), tuple(rows), by_row)


def _build_element(
    log: ProblemLog, data: Data, path: str, name: str, films: Films
) -> Element | None:
    film = films.built.get(data.get("film", ""))
    if film is None:
        read_reference(log, data, path, "film", films.known, "film")
    at = read_point(log, data, path, "at")
    direction = read_direction(log, data, path)
    length = read_length(log, data, path, "length")
    if film is None or at is None or direction is None or length is None:
        return None
    return Element(
        name,
        path,
        film,
        at,
        direction[0],
        length,
        direction[1],
        data.get("circuit"),
        data.get("connected", "start"),
        None,
        data.get("note"),
    )


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
    log: ProblemLog, data: Data, path: str, films: Films, lines: Mapping[str, _Line | None]
) -> _Line | None:
    """Where a row lies; rows that it goes on after have been drawn already."""
    film = films.built.get(data.get("film", ""))
    if film is None:
        read_reference(log, data, path, "film", films.known, "film")
    spacing = read_length_from_zero(log, data, path, "spacing") or 0.0
    direction = read_direction(log, data, path)
    at = read_point(log, data, path, "at")
    after: str | None = data.get("after")
    if after is not None and "at" in data:
        log.report(
            f"{path}.after", "a row lies `at` a point or goes on `after` another row: delete one"
        )
        return None
    if film is None or direction is None:
        return None
    along, angle_deg = direction
    if after is not None:
        before = lines.get(after)
        if before is None:
            return None
        if (before.along, before.angle_deg) != direction:
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
    return _Line(at, along, angle_deg, reach)


def _count_places(data: Data) -> int:
    lengths = data.get("lengths")
    return int(data.get("count", 0)) if lengths is None else len(lengths)


def _open_row(
    log: ProblemLog, data: Data, path: str, name: str, films: Films, line: _Line | None
) -> Iterator[Element]:
    """The strips of a row; without a `line` its lengths are read for their faults alone."""
    film = films.built.get(data.get("film", ""))
    lengths = data.get("lengths")
    if lengths is not None and ("length" in data or "count" in data):
        key = "length" if "length" in data else "count"
        log.report(
            f"{path}.{key}", "a row has `lengths`, or `length` with `count`: delete one of the two"
        )
    same = read_length(log, data, path, "length")
    spacing = 0.0
    if line is not None and film is not None and "spacing" in data:
        spacing = read_length_from_zero(log, data, path, "spacing") or 0.0
    step = 0.0 if film is None else film.width + spacing
    circuit = data.get("circuit")
    connected = data.get("connected", "start")
    places: list[Any] = [same] * _count_places(data) if lengths is None else lengths
    for number, place in enumerate(places):
        if place is None:
            continue
        strip_path = path if lengths is None else f"{path}.lengths.{number}"
        entry: Data = {}
        later = 0.0
        if place.__class__ is dict:
            entry = place
            length = read_length(log, entry, strip_path, "length")
            later = read_length_from_zero(log, entry, strip_path, "from") or 0.0
        else:
            length = read_length_value(log, place, strip_path, "lengths", from_zero=False)
        if line is None or film is None or length is None:
            continue
        yield Element(
            f"{name}{number + 1}",
            strip_path,
            film,
            line.place(later, number * step),
            line.along,
            length,
            line.angle_deg,
            entry.get("circuit", circuit),
            entry.get("connected", connected),
            name,
            entry.get("note"),
        )
