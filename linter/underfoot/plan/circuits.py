"""The supply, the circuits and their protection."""

from msgspec import Struct

EXTRA_LOW_V = 50.0
"""The greatest alternating voltage that is still extra-low voltage."""

_SAFE_SOURCES = frozenset({"safety isolating transformer", "safety power supply", "battery"})


class Source(Struct, frozen=True, kw_only=True):
    """What makes the extra-low voltage of a SELV supply."""

    path: str
    kind: str | None = None
    standard: str | None = None
    rating_va: float | None = None
    note: str | None = None

    @property
    def is_safe(self) -> bool:
        """Whether its kind keeps the extra-low voltage apart from the mains."""
        return self.kind in _SAFE_SOURCES


class Supply(Struct, frozen=True, kw_only=True):
    """What feeds the heating: `available_a` is the current the installation can spare.

    Of three `phases` that is of each, and `voltage_v` is between a phase and neutral.
    """

    path: str
    voltage_v: float
    system: str = "mains"
    available_a: float | None = None
    note: str | None = None
    source: Source | None = None
    phases: int = 1

    @property
    def is_extra_low(self) -> bool:
        """Whether the voltage is no more than extra-low."""
        return self.voltage_v <= EXTRA_LOW_V

    @property
    def is_selv(self) -> bool:
        """SELV counts only at extra-low voltage, out of a source that is made for it."""
        return (
            self.system == "SELV"
            and self.is_extra_low
            and self.source is not None
            and self.source.is_safe
        )


class Cable(Struct, frozen=True, kw_only=True):
    """The cable from the distribution board to the junction box, or the link from box to box.

    `size_mm2` is the conductor's cross-section; `size_text` is how the plan wrote it
    (``2.5 mm2``, ``12 AWG``). `start` and `end` are the rooms whose boxes one of `links` joins.
    """

    path: str
    size_mm2: float | None = None
    size_text: str | None = None
    length: float | None = None
    method: str | None = None
    ambient_c: float | None = None
    capacity_a: float | None = None
    note: str | None = None
    start: str | None = None
    end: str | None = None


class Circuit(Struct, frozen=True, kw_only=True):
    """One chain of strips with its protection, or one that shares another's (`shares`).

    The `cable` of one that shares goes from the other's junction box to its own; `links` join the
    boxes of several rooms.
    Circuits of one `rcd_group` stand behind one RCD.
    """

    id: str
    path: str
    thermostat: str | None = None
    breaker_a: float | None = None
    rcd_ma: float | None = None
    cable: Cable | None = None
    shares: str | None = None
    note: str | None = None
    links: tuple[Cable, ...] = ()
    phase: str | None = None
    rcd_type: str | None = None
    rcd_group: str | None = None
