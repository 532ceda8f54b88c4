"""What wires a room: junction box, thermostat, floor sensor, leads."""

from msgspec import Struct

Point = tuple[float, float]


class JunctionBox(Struct, frozen=True, kw_only=True):
    """Where the leads meet the cable."""

    path: str
    at: Point
    height: float | None = None
    note: str | None = None


class Contactor(Struct, frozen=True, kw_only=True):
    """Switches in the thermostat's place."""

    path: str
    poles: int | None = None
    rating_a: float | None = None
    note: str | None = None


class Thermostat(Struct, frozen=True, kw_only=True):
    """`room` is the room that it hangs in where that is another one; `at` is there.

    `at` is None where the plan leaves it out: above the junction box. `reads` are the rooms whose
    floor sensors it reads, None where the plan does not say.
    """

    path: str
    at: Point | None = None
    height: float | None = None
    switches_a: float | None = None
    floor_limit_c: float | None = None
    room: str | None = None
    contactor: Contactor | None = None
    note: str | None = None
    reads: tuple[str, ...] | None = None


class Cutout(Struct, frozen=True, kw_only=True):
    """Width and depth of a channel or a conduit."""

    path: str
    width: float | None = None
    depth: float | None = None
    cut_into: str | None = None
    note: str | None = None


class Stop(Struct, frozen=True, kw_only=True):
    """One stop of a route: the junction box, a bend, or an end of a strip.

    `kind` is ``box``, ``bend`` or ``strip``; `end` is ``start`` or ``end`` for a strip, worked out
    from `connected` where the route does not say; `named_end` is True where it does.
    """

    kind: str
    path: str
    at: Point | None = None
    element: str | None = None
    end: str | None = None
    named_end: bool = False


class Sensor(Struct, frozen=True, kw_only=True):
    """The floor sensor: its route ends at `at`."""

    path: str
    at: Point
    route: tuple[Stop, ...] = ()
    channel: Cutout | None = None
    conduit: Cutout | None = None
    cable: float | None = None
    note: str | None = None


class Lead(Struct, frozen=True, kw_only=True):
    """A pair of conductors along `route`; a row named in a route stands here as its strips.

    `width` is across both conductors with their insulation, `thickness` how deep it lies.
    """

    id: str
    path: str
    circuit: str
    route: tuple[Stop, ...]
    size_mm2: float | None = None
    size_text: str | None = None
    recessed: bool | None = None
    capacity_a: float | None = None
    note: str | None = None
    width: float | None = None
    thickness: float | None = None
