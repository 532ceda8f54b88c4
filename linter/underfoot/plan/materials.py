"""What the strips, boards, sheets and coverings are made of, as the maker states it."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.plan.read_only import keep_mappings


class Film(Struct, frozen=True, kw_only=True):
    """A heating element sold by the roll and cut to length.

    One of `output_w_m2` and `output_w_m` is given, at the rated voltage. `tolerance` is the rated
    power tolerance in percent, (lowest, highest). Leakage is of an area or of a metre of strip.
    `warmest_c` is the greatest temperature that the film itself may get, `roll` how long a whole
    roll is.
    """

    id: str
    path: str
    width: float
    voltage_v: float
    output_w_m2: float | None = None
    output_w_m: float | None = None
    cut_every: float | None = None
    longest_strip: float | None = None
    longest_circuit: float | None = None
    tolerance: tuple[float, float] | None = None
    lies: str | None = None
    suits: tuple[str, ...] | None = None
    boards: tuple[str, ...] | None = None
    protection_class: str | None = None
    standard: str | None = None
    busbar_resistance_ohm_m: float | None = None
    note: str | None = None
    largest_current_a: float | None = None
    leakage_ma_m2: float | None = None
    leakage_ma_m: float | None = None
    warmest_c: float | None = None
    roll: float | None = None

    @property
    def rated_w_m(self) -> float:
        """Rated power of one metre of strip, W/m."""
        if self.output_w_m is not None:
            return self.output_w_m
        return (self.output_w_m2 or 0.0) * self.width / 1000

    @property
    def rated_w_m2(self) -> float:
        """Rated power of one square metre of strip, W/m2."""
        if self.output_w_m2 is not None:
            return self.output_w_m2
        return (self.output_w_m or 0.0) / (self.width / 1000)


class Board(Struct, frozen=True, kw_only=True):
    """An insulation board: `size` is (length, width); a pack holds `pack` of them."""

    id: str
    path: str
    size: tuple[float, float]
    thickness: float | None = None
    conductivity_w_mk: float | None = None
    material: str | None = None
    density_kg_m3: float | None = None
    pack: int | None = None
    note: str | None = None


class MembraneRoll(Struct, frozen=True, kw_only=True):
    """A vapour barrier by the roll, which is `roll` long where that is known."""

    id: str
    path: str
    width: float
    thickness: float | None = None
    material: str | None = None
    roll: float | None = None
    note: str | None = None


class Covering(Struct, frozen=True, kw_only=True):
    """A floor covering; a pack covers `pack_m2`."""

    id: str
    path: str
    kind: str | None = None
    thickness: float | None = None
    resistance_m2k_w: float | None = None
    conductivity_w_mk: float | None = None
    material: str | None = None
    density_kg_m3: float | None = None
    warmest_surface_c: float | None = None
    most_output_w_m2: float | None = None
    fixing: str | None = None
    pack_m2: float | None = None
    note: str | None = None


class Packs(Struct, frozen=True, kw_only=True):
    """What a pack, a roll or a reel holds of what is bought and no material of its own."""

    path: str
    connectors: int | None = None
    connector_insulation: int | None = None
    end_insulation: int | None = None
    board_tape: float | None = None
    strip_tape: float | None = None
    sheet_tape: float | None = None
    wall_tape: float | None = None
    conductor: float | None = None
    cable: float | None = None
    conduit: float | None = None
    underlay_m2: float | None = None
    overlay_m2: float | None = None
    grid_m2: float | None = None
    note: str | None = None


class Materials(Struct, frozen=True, kw_only=True):
    """Films, boards, sheets and coverings by id; the plan's own and its catalogue's."""

    films: Mapping[str, Film]
    boards: Mapping[str, Board]
    sheets: Mapping[str, MembraneRoll]
    coverings: Mapping[str, Covering]

    def __post_init__(self) -> None:
        """Let its mappings be read alone."""
        keep_mappings(self, "films", "boards", "sheets", "coverings")


class Difference(Struct, frozen=True, kw_only=True):
    """A key under which a plan's entry says something else than its catalogue's.

    `own` and `shared` are the two values in words, None where one says nothing; the lines are
    those of the plan and of the catalogue.
    """

    key: str
    own: str | None
    shared: str | None
    own_line: int
    shared_line: int


class OwnEntry(Struct, frozen=True, kw_only=True):
    """What a plan writes itself and might take from a catalogue.

    `kind` is the word for it (``film``), `hides` the place of the catalogue's entry of that name,
    ``file:line``, and None where there is none; `differences` are the keys that differ from it.
    """

    kind: str
    id: str
    path: str
    hides: str | None = None
    differences: tuple[Difference, ...] = ()
