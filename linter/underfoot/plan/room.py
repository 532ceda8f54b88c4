"""A room and what is laid in it."""

from collections.abc import Mapping
from math import dist

from msgspec import Struct

from underfoot.plan.insulation import Corners, Insulation, Membrane
from underfoot.plan.materials import Covering, Film, MembraneRoll
from underfoot.plan.read_only import keep_mappings
from underfoot.plan.wiring import JunctionBox, Lead, Point, Sensor, Thermostat

BATHS = frozenset({"bath", "shower", "open shower"})
"""The kinds of fixture that have zones round them."""


class Fixture(Struct, frozen=True, kw_only=True):
    """What stands on the floor or comes through it; `outline` is worked out from `at` and `size`.

    `clear` is the open height under a fixture on legs, 0 under what lies flat; `stands_on` is
    ``subfloor`` where floor and foam stop at it; `outlet` is an open shower's. `height` reaches
    from the floor to its top; `clearance` is what its maker wants kept free round it.
    """

    id: str
    path: str
    kind: str
    outline: Corners
    clear: float | None = None
    stands_on: str | None = None
    outlet: Point | None = None
    note: str | None = None
    height: float | None = None
    clearance: float | None = None

    @property
    def is_standing(self) -> bool:
        """Whether it stands on the floor: neither on legs nor lying on the covering."""
        return self.kind not in ("on legs", "lying flat")

    @property
    def keeps_strips_off(self) -> bool:
        """Whether it keeps strips away: on legs only where its maker states a clearance."""
        return self.is_standing or bool(self.clearance)

    def keep_free(self, standing: float) -> float:
        """Return how far strips keep from it, `standing` being the least for what stands."""
        return max(standing if self.is_standing else 0.0, self.clearance or 0.0)

    @property
    def stops_floor(self) -> bool:
        """Whether insulation and membrane may stop at it."""
        return self.kind == "structure" or self.stands_on == "subfloor"


class Joint(Struct, frozen=True, kw_only=True):
    """A movement joint in the floor: a line of two or more points."""

    id: str
    path: str
    line: Corners
    note: str | None = None


class Opening(Struct, frozen=True, kw_only=True):
    """A ``door``, ``window`` or ``passage`` on a side of the outline, from one end to the other.

    `hinge` is the end at which a door hangs, ``from`` the first of `line`, ``to`` the second, or
    ``both``; it opens ``inwards``, ``outwards``, or ``slides``. `threshold` is how what ends the
    floor in it is held: ``screwed``, ``glued``, or ``none`` where there is none. `sill` is how high
    above the floor a window begins.
    """

    id: str
    path: str
    kind: str
    line: tuple[Point, Point]
    hinge: str | None = None
    opens: str | None = None
    threshold: str | None = None
    sill: float | None = None
    note: str | None = None

    @property
    def width(self) -> float:
        """How wide it is."""
        return dist(*self.line)

    @property
    def is_walked_through(self) -> bool:
        """Whether people step over its threshold."""
        return self.kind != "window"


class SubfloorLayer(Struct, frozen=True, kw_only=True):
    """One layer of the subfloor, counted from the top."""

    path: str
    material: str | None = None
    thickness: float | None = None
    conductivity_w_mk: float | None = None
    resistance_m2k_w: float | None = None
    density_kg_m3: float | None = None
    note: str | None = None


class Subfloor(Struct, frozen=True, kw_only=True):
    """What the floor is built on, and what lies below it.

    `screed` is what its top is made of, ``cement`` or ``calcium sulphate``; `moisture_method` how
    the moisture was measured, ``CM`` or ``by weight``.
    """

    path: str
    kind: str | None = None
    below: str | None = None
    layers: tuple[SubfloorLayer, ...] = ()
    exposed_perimeter: float | None = None
    barrier: MembraneRoll | None = None
    moisture_percent: float | None = None
    note: str | None = None
    screed: str | None = None
    moisture_method: str | None = None
    moisture_note: str | None = None


class CoveredArea(Struct, frozen=True, kw_only=True):
    """A covering and where it lies; `over` is None for the rest of the room."""

    path: str
    covering: Covering
    over: Corners | None = None
    note: str | None = None


class Underlay(Struct, frozen=True, kw_only=True):
    """The layer between membrane and covering."""

    path: str
    thickness: float | None = None
    resistance_m2k_w: float | None = None
    conductivity_w_mk: float | None = None
    material: str | None = None
    density_kg_m3: float | None = None
    note: str | None = None


class Overlay(Struct, frozen=True, kw_only=True):
    """Boards that spread loads, over membrane and underlay, right below the covering.

    `fixing` is ``floating``, ``glued``, ``screwed`` or ``nailed``.
    """

    path: str
    thickness: float | None = None
    resistance_m2k_w: float | None = None
    conductivity_w_mk: float | None = None
    material: str | None = None
    density_kg_m3: float | None = None
    fixing: str | None = None
    note: str | None = None


class Surface(Struct, frozen=True, kw_only=True):
    """One surface of the room that loses heat.

    `beyond` is ``outside``, ``unheated``, ``heated`` or ``ground``; `beyond_c` is a temperature
    that the plan gives instead.
    """

    path: str
    name: str | None = None
    area_m2: float | None = None
    u_value_w_m2k: float | None = None
    beyond: str | None = None
    beyond_c: float | None = None
    note: str | None = None


class Fabric(Struct, frozen=True, kw_only=True):
    """What a room's heat loss is computed from."""

    path: str
    inside_c: float | None = None
    outside_c: float | None = None
    air_changes_per_h: float | None = None
    surfaces: tuple[Surface, ...] = ()
    note: str | None = None


class Element(Struct, frozen=True, kw_only=True):
    """One strip of film, drawn by itself or as a place in a row.

    Laid along ``x`` its length runs in +x and its width in +y from `at`, along ``y`` the other way
    round; ``angle`` is laid along x first and turned by `angle_deg` anticlockwise about `at`.
    `connected` is the end where its conductors are joined: ``start`` (at `at`) or ``end``.
    """

    id: str
    path: str
    film: Film
    at: Point
    along: str
    length: float
    angle_deg: float = 0.0
    circuit: str | None = None
    connected: str = "start"
    row: str | None = None
    note: str | None = None


class Row(Struct, frozen=True, kw_only=True):
    """Strips butted side by side; `elements` are the ids of its strips in order."""

    id: str
    path: str
    elements: tuple[str, ...]
    note: str | None = None


class Grid(Struct, frozen=True, kw_only=True):
    """A metal grid over the strips, and the protective conductor that earths it."""

    path: str
    mesh: float | None = None
    earthed: bool | None = None
    note: str | None = None
    conductor_mm2: float | None = None
    conductor_text: str | None = None


class LayingWishes(Struct, frozen=True, kw_only=True):
    """What a room is to be laid by, where it is laid by the program: the way strips run.

    Neither junction box nor thermostat may be on the lines of `no_box`.
    """

    path: str
    along: str | None = None
    angle_deg: float = 0.0
    no_box: tuple[tuple[Point, ...], ...] = ()
    note: str | None = None


class Room(Struct, frozen=True, kw_only=True):
    """A room of the plan; its coordinates have their own origin.

    `other_heat_w` is what other heaters in the room give it. `north` is the way to the north in
    words (``-x``), `north_deg` an angle anticlockwise from x in their place; where neither is
    given, the plan's.
    """

    id: str
    path: str
    outline: Corners
    use: str | None = None
    height: float | None = None
    fixtures: Mapping[str, Fixture] = {}
    joints: Mapping[str, Joint] = {}
    laying: LayingWishes | None = None
    subfloor: Subfloor | None = None
    coverings: tuple[CoveredArea, ...] = ()
    underlay: Underlay | None = None
    heat_loss_w: float | None = None
    fabric: Fabric | None = None
    insulation: Insulation | None = None
    elements: tuple[Element, ...] = ()
    rows: tuple[Row, ...] = ()
    grid: Grid | None = None
    membrane: Membrane | None = None
    junction_box: JunctionBox | None = None
    thermostat: Thermostat | None = None
    sensor: Sensor | None = None
    leads: tuple[Lead, ...] = ()
    note: str | None = None
    overlay: Overlay | None = None
    other_heat_w: float | None = None
    name: str | None = None
    north: str | None = None
    north_deg: float | None = None
    openings: Mapping[str, Opening] = {}

    def __post_init__(self) -> None:
        """Make its mappings read-only."""
        keep_mappings(self, "fixtures", "joints", "openings")

    @property
    def called(self) -> str:
        """What to call it: its name, else its id."""
        return self.name or self.id

    @property
    def called_with_id(self) -> str:
        """Its name with its id beside it: ``Guest bathroom (guest-bath)``."""
        return self.id if self.called == self.id else f"{self.name} ({self.id})"

    @property
    def is_bathroom(self) -> bool:
        """A room with a bath or shower is a bathroom, whatever it is used for."""
        return self.use == "bathroom" or self.has_bath

    @property
    def has_bath(self) -> bool:
        """Whether a bath or shower is drawn in it."""
        return any(fixture.kind in BATHS for fixture in self.fixtures.values())
