"""A hall of very many strips, for the benchmarks."""

from itertools import pairwise
from math import ceil, sqrt
from pathlib import Path

from msgspec import Struct

from tests.benchmarks.parts import (
    BORDER,
    CIRCUIT_LENGTH,
    MEMBRANE,
    METHOD,
    STRIP_WIDTH,
    render_corners,
    render_floor,
    render_head,
    render_sensor,
)

HALL_STRIP = 3_000
HALL_AISLE = 200
"""Between the hall's bands of strips; the leads lie in it."""

HALL_CIRCUIT = CIRCUIT_LENGTH // HALL_STRIP
"""Strips on one circuit of the hall."""


class Hall(Struct, frozen=True, kw_only=True):
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
    head = render_head(
        f"hall of {hall.strips} strips",
        f"BB-H{hall.strips}",
        output_w_m2=40,
        available_a=3 * len(circuits),
    )
    return f"""\
{head}\
rooms:
  hall:
    use: other
    outline: {render_corners(hall.outline)}
    height: 4000
{render_floor(int(area_m2 * 25))}\
    elements:
{elements}\
{MEMBRANE}\
    junction_box: {{at: [0, {box_y}], height: 450}}
    thermostat:
      height: 1.4 m
      switches: 16 A
      floor_limit: 27 degC
      contactor: {{poles: {2 * len(circuits)}, rating: 20 A}}
{render_sensor(box_y)}\
    leads:
{leads}\
circuits:
{feeds}\
{METHOD}"""


def _write_lead(hall: Hall, number: int, strips: range, box_y: int) -> str:
    x, y = hall.place(strips[0])
    aisle = y - HALL_AISLE // 2
    bends = [(BORDER // 2, box_y), (BORDER // 2, aisle), (x + STRIP_WIDTH // 2, aisle)]
    stops = ["junction-box", *(f"[{a}, {b}]" for a, b in bends), *(f"S{s + 1}" for s in strips)]
    return (
        f"      W{number}: {{circuit: C{number}, size: 4 mm2, recessed: true, "
        f"route: [{', '.join(stops)}]}}\n"
    )
