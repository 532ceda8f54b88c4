"""A folder of one-room plans of known size, for the benchmarks."""

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


class Room(Struct, frozen=True, kw_only=True):
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


def write_rooms(folder: Path, count: int) -> list[Path]:
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
    head = render_head(
        f"room {room.number}", f"BB-{room.number:04d}", output_w_m2=80, available_a=25
    )
    return f"""\
{head}\
rooms:
  room-{room.number}:
    use: living
    outline: {render_corners(room.outline)}
    height: 2400
{table if room.has_table else ""}\
{render_floor(int(area_m2 * 50))}\
    rows:
      A: {{film: film-80, at: [{BORDER}, {BORDER}], along: y, lengths: {room.lengths}, circuit: C1}}
{MEMBRANE}\
    junction_box: {{at: [0, {middle}], height: 450}}
    thermostat: {{height: 1.4 m, switches: 16 A, floor_limit: 27 degC}}
{render_sensor(middle)}\
    leads:
      W1: {{circuit: C1, size: 1.5 mm2, recessed: true,
           route: [junction-box, [{BORDER // 2}, {middle}], [{BORDER // 2}, {BORDER // 2}], A]}}
circuits:
  C1:
    thermostat: room-{room.number}
    breaker: 10 A
    rcd: 30 mA
    cable: {{size: 2.5 mm2, length: 14 m, method: C, ambient: 30 degC}}
{METHOD}"""
