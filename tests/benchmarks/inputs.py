"""Plans of known size for the benchmarks: a folder of one-room plans, and halls of many strips.

Every plan written here is a right one: no rule has an error or a warning to report on it.
Nothing is drawn at random, so the same call writes the same bytes.

    python -m tests.benchmarks.inputs FOLDER
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, sqrt
from pathlib import Path

STRIP_WIDTH = 500
BORDER = 60
"""Between strips and walls; the leads lie in it."""

CIRCUIT_LENGTH = 30_000
"""The most strip on one circuit, in metres of 500 mm wide strip: common practice."""

HALL_STRIP = 3_000
HALL_AISLE = 200
"""Between the hall's bands of strips; the leads lie in it."""

HALL_CIRCUIT = CIRCUIT_LENGTH // HALL_STRIP
"""Strips on one circuit of the hall."""

ROOM_COUNT = 500
HALL_SIZES = (1_000, 10_000)

_METHOD = """\
method_statement:
  floor_cleaned: true
  busbars: down
  elements_taped: true
  cut_ends_insulated: true
  connector_tool: ratchet
  connectors_insulated: both sides
  connectors_recessed: true
  single_conductor_folded: true
  bare_conductor: 6
  conduit_closed: true
  sensor_taped: true
"""


@dataclass(frozen=True, slots=True)
class Room:
    """One room of the family: strips of two lengths side by side, in a rectangle or an L."""

    number: int
    strips: int
    long_strips: int
    long_length: int
    short_length: int
    right_border: int
    top_border: int
    has_table: bool

    @property
    def lengths(self) -> list[int]:
        return [self.long_length] * self.long_strips + [self.short_length] * (
            self.strips - self.long_strips
        )

    @property
    def outline(self) -> list[tuple[int, int]]:
        right = BORDER + self.strips * STRIP_WIDTH + self.right_border
        top = BORDER + self.long_length + self.top_border
        if self.long_strips == self.strips:
            return [(0, 0), (right, 0), (right, top), (0, top)]
        step_x = BORDER + self.long_strips * STRIP_WIDTH + self.right_border
        step_y = BORDER + self.short_length + self.top_border
        return [(0, 0), (right, 0), (right, step_y), (step_x, step_y), (step_x, top), (0, top)]


def plan_room(number: int) -> Room:
    """Choose the room of a number: 5 to 9 strips, 2250 to 4500 mm long, every third an L."""
    strips = 5 + number % 5
    long_length = min(2250 + 250 * (number // 5 % 10), CIRCUIT_LENGTH // strips // 250 * 250)
    is_l = number % 3 == 2
    return Room(
        number=number,
        strips=strips,
        long_strips=3 + number // 15 % (strips - 3) if is_l else strips,
        long_length=long_length,
        short_length=long_length - 750 if is_l else long_length,
        right_border=60 + 10 * (number // 50 % 9),
        top_border=60 + 20 * (number // 7 % 7),
        has_table=number % 2 == 1,
    )


def write_rooms(folder: Path, count: int = ROOM_COUNT) -> list[Path]:
    """Write one-room plans of about 90 lines each, and return their paths in order."""
    folder.mkdir(parents=True, exist_ok=True)
    paths = []
    for number in range(1, count + 1):
        path = folder / f"room-{number:04d}.yaml"
        path.write_text(render_room(plan_room(number)), encoding="utf-8")
        paths.append(path)
    return paths


def render_room(room: Room) -> str:
    """Write out the plan of one room as YAML."""
    middle = BORDER + room.long_length // 2
    area_m2 = sum(room.lengths) * STRIP_WIDTH / 1e6
    table = """\
    fixtures:
      table: {at: [900, 700], size: [1200, 800], kind: on legs, clear: 650}
"""
    return f"""\
plan_format: 1
status: for review
job:
  title: Benchmark block, room {room.number}
  reference: BB-{room.number:04d}
  revision: P1
  date: "2026-09-14"
  site: Benchmark block
  drawn_by: design office
  measured: from a drawing
materials:
  films:
    film-80:
      width: {STRIP_WIDTH}
      output: 80 W/m2
      voltage: 230 V
      cut_every: 250
      longest_strip: 9 m
      tolerance: [-10, 5]
      lies: busbars down
      suits: [laminate, engineered wood]
      boards: [board-10]
      protection_class: II
      standard: IEC 60335-2-106
  boards:
    board-10: {{size: [1200, 600], thickness: 10, conductivity: 0.033 W/m/K}}
  sheets:
    pe-02: {{width: 2 m, thickness: 0.2, material: polyethylene}}
  coverings:
    laminate-8: {{kind: laminate, thickness: 8, resistance: 0.06 m2 K/W,
                 warmest_surface: 27 degC, most_output: 160 W/m2, fixing: floating}}
supply:
  voltage: 230 V
  system: mains
  available: 25 A
rooms:
  room-{room.number}:
    use: living
    outline: {_write_corners(room.outline)}
    height: 2400
{table if room.has_table else ""}\
    subfloor:
      kind: timber
      below: heated
      layers:
        - {{material: chipboard, thickness: 22, conductivity: 0.14 W/m/K}}
        - {{material: joist space, thickness: 220, resistance: 0.9 m2 K/W}}
    covering: laminate-8
    heat_loss: {int(area_m2 * 50)} W
    insulation:
      board: board-10
      joints_taped: true
      layers:
        - {{courses: x, stagger: 600}}
    rows:
      A: {{film: film-80, at: [{BORDER}, {BORDER}], along: y, lengths: {room.lengths}, circuit: C1}}
    membrane:
      sheet: pe-02
      overlaps_taped: true
      perimeter_taped: true
      runs: {{along: x, overlap: 150}}
    junction_box: {{at: [0, {middle}], height: 450}}
    thermostat: {{height: 1.4 m, switches: 16 A, floor_limit: 27 degC}}
    sensor:
      at: [{BORDER + STRIP_WIDTH * 3 // 2}, {middle}]
      route: [junction-box]
      channel: {{width: 13, depth: 7, cut_into: insulation}}
      conduit: {{width: 12, depth: 7}}
      cable: 3 m
    leads:
      W1: {{circuit: C1, size: 1.5 mm2, recessed: true,
           route: [junction-box, [{BORDER // 2}, {middle}], [{BORDER // 2}, {BORDER // 2}], A]}}
circuits:
  C1:
    thermostat: room-{room.number}
    breaker: 10 A
    rcd: 30 mA
    cable: {{size: 2.5 mm2, length: 14 m, method: C, ambient: 30 degC}}
{_METHOD}"""


@dataclass(frozen=True, slots=True)
class Hall:
    """Bands of strips side by side, an aisle before each; the last band may be a part of one."""

    strips: int
    columns: int

    @property
    def bands(self) -> int:
        return ceil(self.strips / self.columns)

    @property
    def in_last_band(self) -> int:
        return self.strips - (self.bands - 1) * self.columns

    @property
    def outline(self) -> list[tuple[int, int]]:
        right = 2 * BORDER + self.columns * STRIP_WIDTH
        top = self.bands * (HALL_AISLE + HALL_STRIP) + BORDER
        if self.in_last_band == self.columns:
            return [(0, 0), (right, 0), (right, top), (0, top)]
        step_x = 2 * BORDER + self.in_last_band * STRIP_WIDTH
        step_y = top - HALL_AISLE - HALL_STRIP
        return [(0, 0), (right, 0), (right, step_y), (step_x, step_y), (step_x, top), (0, top)]

    @property
    def circuits(self) -> list[range]:
        """The strips of each circuit: neighbours of one band, counted from 0."""
        found: list[range] = []
        for start in range(0, self.strips, self.columns):
            end = min(start + self.columns, self.strips)
            stops = [*range(start, end, HALL_CIRCUIT), end]
            found.extend(range(first, last) for first, last in pairwise(stops))
        return found

    def place(self, strip: int) -> tuple[int, int]:
        """Find the low left corner of a strip."""
        band, column = divmod(strip, self.columns)
        return BORDER + column * STRIP_WIDTH, HALL_AISLE + band * (HALL_AISLE + HALL_STRIP)


def plan_hall(strips: int) -> Hall:
    """Choose a near-square hall with so many strips, from 30 upwards."""
    side = sqrt(strips * STRIP_WIDTH * (HALL_STRIP + HALL_AISLE))
    columns = max(1, round(side / STRIP_WIDTH / HALL_CIRCUIT)) * HALL_CIRCUIT
    return Hall(strips=strips, columns=columns)


def write_hall(path: Path, strips: int) -> Path:
    """Write the plan of one hall with every strip listed, and return its path."""
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(render_hall(plan_hall(strips)), encoding="utf-8")
    return path


def render_hall(hall: Hall) -> str:
    """Write out the plan of a hall as YAML."""
    circuits = hall.circuits
    box_y = hall.place((hall.bands - 1) // 2 * hall.columns)[1] + HALL_STRIP // 2
    elements = "".join(
        f"      S{strip + 1}: {{film: film-40, at: [{x}, {y}], along: y, "
        f"length: {HALL_STRIP}, circuit: C{number}}}\n"
        for number, of_circuit in enumerate(circuits, 1)
        for strip in of_circuit
        for x, y in [hall.place(strip)]
    )
    leads = "".join(
        _write_lead(hall, number, of_circuit, box_y)
        for number, of_circuit in enumerate(circuits, 1)
    )
    feeds = "".join(
        f"  C{number}: {{thermostat: hall, breaker: 6 A, rcd: 30 mA, "
        "cable: {size: 4 mm2, length: 20 m, method: C, ambient: 30 degC}}\n"
        for number in range(1, len(circuits) + 1)
    )
    area_m2 = hall.strips * HALL_STRIP * STRIP_WIDTH / 1e6
    return f"""\
plan_format: 1
status: for review
job:
  title: Benchmark block, hall of {hall.strips} strips
  reference: BB-H{hall.strips}
  revision: P1
  date: "2026-09-14"
  site: Benchmark block
  drawn_by: design office
  measured: from a drawing
materials:
  films:
    film-40:
      width: {STRIP_WIDTH}
      output: 40 W/m2
      voltage: 230 V
      cut_every: 250
      longest_strip: 9 m
      tolerance: [-10, 5]
      lies: busbars down
      suits: [laminate, engineered wood]
      boards: [board-10]
      protection_class: II
      standard: IEC 60335-2-106
  boards:
    board-10: {{size: [1200, 600], thickness: 10, conductivity: 0.033 W/m/K}}
  sheets:
    pe-02: {{width: 2 m, thickness: 0.2, material: polyethylene}}
  coverings:
    laminate-8: {{kind: laminate, thickness: 8, resistance: 0.06 m2 K/W,
                 warmest_surface: 27 degC, most_output: 160 W/m2, fixing: floating}}
supply:
  voltage: 230 V
  system: mains
  available: {3 * len(circuits)} A
rooms:
  hall:
    use: other
    outline: {_write_corners(hall.outline)}
    height: 4000
    subfloor:
      kind: timber
      below: heated
      layers:
        - {{material: chipboard, thickness: 22, conductivity: 0.14 W/m/K}}
        - {{material: joist space, thickness: 220, resistance: 0.9 m2 K/W}}
    covering: laminate-8
    heat_loss: {int(area_m2 * 25)} W
    insulation:
      board: board-10
      joints_taped: true
      layers:
        - {{courses: x, stagger: 600}}
    elements:
{elements}\
    membrane:
      sheet: pe-02
      overlaps_taped: true
      perimeter_taped: true
      runs: {{along: x, overlap: 150}}
    junction_box: {{at: [0, {box_y}], height: 450}}
    thermostat:
      height: 1.4 m
      switches: 16 A
      floor_limit: 27 degC
      contactor: {{poles: {2 * len(circuits)}, rating: 20 A}}
    sensor:
      at: [{BORDER + STRIP_WIDTH * 3 // 2}, {box_y}]
      route: [junction-box]
      channel: {{width: 13, depth: 7, cut_into: insulation}}
      conduit: {{width: 12, depth: 7}}
      cable: 3 m
    leads:
{leads}\
circuits:
{feeds}\
{_METHOD}"""


def _write_lead(hall: Hall, number: int, strips: range, box_y: int) -> str:
    x, y = hall.place(strips[0])
    aisle = y - HALL_AISLE // 2
    bends = [(BORDER // 2, box_y), (BORDER // 2, aisle), (x + STRIP_WIDTH // 2, aisle)]
    stops = ["junction-box", *(f"[{a}, {b}]" for a, b in bends), *(f"S{s + 1}" for s in strips)]
    return (
        f"      W{number}: {{circuit: C{number}, size: 4 mm2, recessed: true, "
        f"route: [{', '.join(stops)}]}}\n"
    )


def _write_corners(corners: list[tuple[int, int]]) -> str:
    return "[" + ", ".join(f"[{x}, {y}]" for x, y in corners) + "]"


def main() -> None:
    """Write both kinds of input into a folder: `rooms/` and one file a hall."""
    parser = argparse.ArgumentParser(description="Write the plans that the benchmarks read.")
    parser.add_argument("folder", type=Path)
    folder: Path = parser.parse_args().folder
    rooms = write_rooms(folder / "rooms")
    print(f"{len(rooms)} plans in {folder / 'rooms'}")
    for strips in HALL_SIZES:
        print(write_hall(folder / f"hall-{strips}.yaml", strips))


if __name__ == "__main__":
    main()
