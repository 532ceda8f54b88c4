"""A heated floor's layers, each with its resistance and its source, and what they settle at."""

from __future__ import annotations

import math

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.numbers import format_quantity
from underfoot.physics import heat


class Layer(Struct, frozen=True, kw_only=True):
    """One layer of a floor: its name and its resistance, and where that is from.

    `source` says so in words; `thickness` and `conductivity_w_mk` are set where they gave it.
    `role` is ``covering``, ``boards``, ``timber`` (of the subfloor) or empty for any other.
    """

    name: str
    resistance_m2k_w: float
    source: str
    thickness: float | None = None
    conductivity_w_mk: float | None = None
    role: str = ""

    @property
    def said(self) -> str:
        """In words how the resistance came about."""
        words = [] if self.thickness is None else [format_quantity(self.thickness, "mm")]
        if self.conductivity_w_mk is not None:
            words.append(f"at {format_quantity(self.conductivity_w_mk, 'W/m/K')}")
            return " ".join(words)
        return ", ".join([*words, self.source])


class Warmth(Struct, frozen=True, kw_only=True):
    """A temperature and in words where it is from."""

    temperature_c: float
    said: str


class FloorStack(Struct, frozen=True, kw_only=True):
    """The layers above the film, from the top, and below it, down to what lies beyond.

    `whole` is False where the subfloor's layers are not given: what lies below then resists at
    least as much as `below` says.
    """

    above: tuple[Layer, ...]
    below: tuple[Layer, ...]
    room: Warmth
    beyond: Warmth
    whole: bool

    @property
    def above_m2k_w(self) -> float:
        """Resistance between film and room, without the surface."""
        return math.fsum(layer.resistance_m2k_w for layer in self.above)

    @property
    def below_m2k_w(self) -> float:
        """Resistance from the film down, with what lies beyond."""
        return math.fsum(layer.resistance_m2k_w for layer in self.below)

    def settle(self, output_w_m2: float, to_sensor_m2k_w: float = 0.0) -> heat.FloorTemperatures:
        """Return what the floor settles at, with the sensor so far below the film."""
        return self._settle(output_w_m2, self.below_m2k_w, to_sensor_m2k_w)

    def settle_insulated(self, output_w_m2: float) -> heat.FloorTemperatures:
        """Return the same if nothing went down: the other end where the subfloor is not known."""
        return self._settle(output_w_m2, math.inf, 0.0)

    def hold(self, surface_c: float, to_sensor_m2k_w: float = 0.0) -> heat.FloorTemperatures:
        """Return the state in which the surface keeps a temperature."""
        return heat.hold_surface(
            surface_c,
            self.above_m2k_w,
            self.below_m2k_w,
            self.room.temperature_c,
            self.beyond.temperature_c,
            to_sensor_m2k_w,
        )

    @property
    def ends(self) -> tuple[FloorStack, ...]:
        """The floor itself where its layers are known; else both ends of what it may be."""
        return (self,) if self.whole else (self, self.insulated())

    def in_room_of(self, room_c: float) -> FloorStack:
        """Return the same floor in a room of another temperature."""
        return replace(self, room=Warmth(temperature_c=room_c, said="taken"))

    def in_warmest_room(self, warmest_c: float) -> FloorStack:
        """Return the same floor on a warm day: the room and all beyond at least so warm."""
        room_c = max(self.room.temperature_c, warmest_c)
        room = (
            self.room
            if room_c == self.room.temperature_c
            else Warmth(temperature_c=room_c, said="taken")
        )
        beyond_c = max(self.beyond.temperature_c, room_c)
        return replace(
            self, room=room, beyond=Warmth(temperature_c=beyond_c, said="taken as warm as the room")
        )

    def insulated(self) -> FloorStack:
        """Return the same floor if nothing went down."""
        layer = Layer(name="nothing", resistance_m2k_w=math.inf, source="if nothing went down")
        return replace(self, below=(layer,), whole=True)

    def warm_sides(self, state: heat.FloorTemperatures) -> tuple[tuple[Layer, float], ...]:
        """Return each layer with the temperature of its warmer side, the nearest to the film first.

        Above and below alike; from the film's temperature with the flux through each layer.
        """
        sides = []
        for layers, flux_w_m2 in (
            (reversed(self.above), state.split.up_w_m2),
            (self.below, state.split.down_w_m2),
        ):
            near_c = state.film_c
            for layer in layers:
                endless = math.isinf(layer.resistance_m2k_w)  # nothing goes through: no fall
                fall = 0.0 if endless else flux_w_m2 * layer.resistance_m2k_w
                sides.append((layer, max(near_c, near_c - fall)))
                near_c -= fall
        return tuple(sides)

    def _settle(
        self, output_w_m2: float, below_m2k_w: float, to_sensor_m2k_w: float
    ) -> heat.FloorTemperatures:
        room_c, above_m2k_w = self.room.temperature_c, self.above_m2k_w
        split = heat.split_output(
            output_w_m2, above_m2k_w, below_m2k_w, room_c, self.beyond.temperature_c
        )
        return heat.compute_temperatures(split, above_m2k_w, room_c, to_sensor_m2k_w)
