"""A room as it is begun: its outline, and a blank for everything else."""

import math
from collections.abc import Collection

from msgspec import Struct

from underfoot.beginning.found import Corners
from underfoot.beginning.lines import entry, example, number, one_of, outline, remark
from underfoot.beginning.stock import Stock
from underfoot.plan import Film
from underfoot.plan_format.rooms import ROOM

USES: tuple[str, ...] = next(
    tuple(map(str, key.of.options))  # type: ignore[union-attr]
    for key in ROOM.keys
    if key.name == "use"
)
# A gap that keeps every usual clearance from walls, as the demo plans have it.
_OFF_WALLS = 60
_USES_BY_NAME = {
    "kitchen": "kitchen",
    "bath": "bathroom",
    "shower": "bathroom",
    "hall": "hall",
    "corridor": "hall",
    "landing": "hall",
    "passage": "hall",
    "porch": "hall",
    "conservatory": "conservatory",
    "garden-room": "conservatory",
    "office": "office",
    "study": "office",
    "living": "living",
    "bedroom": "living",
    "dining": "living",
    "lounge": "living",
}


class NewRoom(Struct, frozen=True, kw_only=True):
    """A room to be written, its low corner at 0, 0; `told` is what is said of its outline."""

    id: str
    corners: Corners
    standing: tuple[tuple[str, Corners], ...] = ()
    use: str | None = None
    height: float | None = None
    told: tuple[str, ...] = ()


def write_room(
    room: NewRoom, stock: Stock | None, film: str | None, covering: str | None, place: int
) -> list[str]:
    """Write a room's lines, the `place`-th of the plan, counted from 1."""
    guessed = guess_use(room.id) if room.use is None else None
    return [
        f"  {room.id}:",
        *(line for each in room.told for line in remark(each, 4)),
        *entry(4, "name", "", f"what sheets call it, if not {room.id}"),
        *entry(
            4,
            "use",
            room.use or guessed or "",
            "by the room's name; or " * (guessed is not None)
            + one_of([use for use in USES if use != (room.use or guessed)]),
        )[: 1 if room.use else None],
        *outline(4, "outline", room.corners),
        *_openings(room),
        *entry(4, "height", "" if room.height is None else number(room.height),
               "of the room, such as 2400" if room.height is None else ""),
        *_fixtures(room),
        *entry(4, "subfloor", "", "what the floor is built on"),
        *entry(6, "kind", "", "concrete, timber or existing floor"),
        *entry(6, "below", "", "what lies below it: ground, outside, unheated or heated"),
        *entry(6, "moisture", "", "of concrete or screed, as measured: {value: 1.7 %, method: CM}"),
        *entry(6, "layers", "", "from the top, one a line:"),
        example(8, "- {material: concrete, thickness: 100, conductivity: 1.65 W/m/K}"),
        *_covering(stock, covering),
        *entry(4, "heat_loss", "", "on the coldest day, by its designer, such as 1450 W"),
        "",
        *_insulation(stock, film),
        "",
        *remark(
            "The strips. A row begins at the corner `at` with the least x and y; the strips lie "
            "side by side, towards +x where they run along y.", 4
        ),
        *entry(4, "rows"),
        example(6, f"{_row_name(place)}: {{{_example_row(room, stock, film, place)}}}"),
        "",
        *entry(4, "membrane", "", "the vapour barrier over the strips"),
        *entry(6, "sheet", _only(None if stock is None else stock.sheets),
               _ids("a sheet, by its name", None if stock is None else stock.sheets)),
        *entry(6, "overlaps_taped", "", "true or false"),
        *entry(6, "perimeter_taped", "", "true or false: taped to the wall all round"),
        *entry(6, "runs", "", "sheets side by side, such as {along: x, overlap: 150}"),
        "",
        *entry(4, "junction_box", "", "where leads meet cable: {at: [0, 1500], height: 450}"),
        *entry(4, "thermostat", "", "it hangs above the box, unless `at: [x, y]` says where"),
        *entry(6, "height", "", "above the floor, such as 1.4 m"),
        *entry(6, "switches", "", "the current that it can switch, such as 16 A"),
        *entry(6, "floor_limit", "", "what its floor limit is set to, such as 27 degC"),
        *entry(4, "sensor", "", "under the middle of a strip; its cable runs in a conduit:"),
        example(6, "at: [810, 1500]"),
        example(6, "route: [junction-box]"),
        example(6, "channel: {width: 13, depth: 7, cut_into: insulation}"),
        example(6, "conduit: {width: 12, depth: 7}"),
        example(6, "cable: 3 m"),
        *entry(4, "leads", "", "from the box, round the strips, then from strip to strip:"),
        example(6, f"W{place}: {{circuit: C{place}, size: 1.5 mm2, recessed: true,"),
        example(6, f"     route: [junction-box, [30, 1500], [30, 30], {_row_name(place)}]}}"),
    ]  # fmt: skip


def guess_use(name: str) -> str | None:
    """Say what a room is used for, by what it is called."""
    return next((use for part, use in _USES_BY_NAME.items() if part in name), None)


def _openings(room: NewRoom) -> list[str]:
    """Write a blank for doors and windows, whose examples lie on a wall of the room."""
    start, end = max(
        zip(room.corners, (*room.corners[1:], room.corners[0]), strict=True),
        key=lambda wall: math.dist(*wall),
    )
    long = math.dist(start, end)

    def place(off: float) -> str:
        share = off / long
        return ", ".join(
            number(round(a + share * (b - a))) for a, b in zip(start, end, strict=True)
        )

    wide = min(800.0, long / 3)
    return [
        *entry(4, "openings", "", "doors, windows and passages, each on a wall, from one end to "
               "the other; a door hangs at `from` or `to`, inwards is into this room:"),
        example(6, f"door: {{kind: door, from: [{place(long / 6)}], "
                   f"to: [{place(long / 6 + wide)}],"),
        example(6, "       hinge: from, opens: inwards, threshold: glued}"),
        example(6, f"window: {{kind: window, from: [{place(long / 2)}], "
                   f"to: [{place(long / 2 + wide)}],"),
        example(6, "         sill: 900}"),
    ]  # fmt: skip


def _fixtures(room: NewRoom) -> list[str]:
    lines = entry(
        4, "fixtures", "", "all that stands on the floor or comes through it, one a line:"
    )
    lines += [
        example(6, "wardrobe: {at: [0, 2500], size: [1800, 600], kind: floor-mounted}"),
        example(6, "bed: {at: [1900, 1000], size: [1400, 2000], kind: on legs, clear: 220}"),
    ]
    if room.standing:
        lines += remark("Drawn as closed lines; where one is no structure, change its kind:", 6)
    for name, corners in room.standing:
        box = _box_of(corners)
        if box is None:
            lines += [
                f"      {name}:",
                "        kind: structure",
                *outline(8, "outline", corners),
            ]
        else:
            x, y, wide, deep = map(number, box)
            lines.append(
                f"      {name}: {{at: [{x}, {y}], size: [{wide}, {deep}], kind: structure}}"
            )
    return lines


def _box_of(corners: Corners) -> tuple[float, float, float, float] | None:
    xs = sorted({x for x, _ in corners})
    ys = sorted({y for _, y in corners})
    if len(corners) == 4 and len(xs) == 2 and len(ys) == 2:
        return xs[0], ys[0], xs[1] - xs[0], ys[1] - ys[0]
    return None


def _covering(stock: Stock | None, covering: str | None) -> list[str]:
    if covering is not None:
        return entry(4, "covering", covering)
    return entry(
        4,
        "covering",
        "",
        _ids("the floor, by its name", None if stock is None else stock.coverings),
    )


def _insulation(stock: Stock | None, film: str | None) -> list[str]:
    held = None if stock is None else stock.boards
    suited: list[str] | None = None
    if stock is not None and film is not None and stock.films[film].boards is not None:
        suited = [name for name in stock.films[film].boards or () if name in stock.boards]
    chosen: Collection[str] | None = suited if suited is not None else held
    return [
        *entry(4, "insulation", "", "the boards below the strips"),
        *entry(6, "board", _only(chosen), _ids("a board, by its name", chosen)),
        *entry(6, "joints_taped", "", "true or false"),
        *entry(6, "layers", "", "from the subfloor up, one a line:"),
        example(8, "- {courses: x, stagger: 600}"),
    ]


def _only(held: Collection[str] | None) -> str:
    return next(iter(held)) if held is not None and len(held) == 1 else ""


def _ids(says: str, held: Collection[str] | None) -> str:
    names = list(held or ())
    if len(names) == 1:
        return ""
    if not names:
        return says
    few = names[:6]
    return f"{says}: {', '.join(few[:-1])} or {few[-1]}{' ...' if len(names) > 6 else ''}"


def _row_name(place: int) -> str:
    # C1 is a circuit and W1 a lead: no row may have such strips.
    letters = "ABDEFGHJKLMNPQRSTUVXYZ"
    return letters[place - 1] if place <= len(letters) else f"R{place}-"


def _example_row(room: NewRoom, stock: Stock | None, film: str | None, place: int) -> str:
    """Write a row that fits the room where that is an empty rectangle, else any."""
    name = film or ("my-film" if stock is None else next(iter(stock.films), "my-film"))
    laid = stock.films[name] if stock is not None and name in stock.films else None
    long, count = _fitting(room, laid) or (2750, 2)
    return (
        f"film: {name}, at: [{_OFF_WALLS}, {_OFF_WALLS}], along: y, circuit: C{place}, "
        f"length: {number(long)}, count: {count}"
    )


def _fitting(room: NewRoom, film: Film | None) -> tuple[float, int] | None:
    box = _box_of(room.corners)
    if film is None or box is None or room.standing:
        return None
    step = film.cut_every or 1.0
    most = min(box[3] - 2 * _OFF_WALLS, film.longest_strip or math.inf)
    long = math.floor(most / step + 1e-9) * step
    count = math.floor((box[2] - 2 * _OFF_WALLS) / film.width + 1e-9)
    return (long, count) if long > 0 and count > 0 else None
