"""The supply, the circuits and their protection."""

from __future__ import annotations

from typing import NamedTuple


class Supply(NamedTuple):
    """What feeds the heating: `available_a` is the current the installation can spare."""

    path: str
    voltage_v: float
    system: str = "mains"
    available_a: float | None = None
    note: str | None = None

    @property
    def is_selv(self) -> bool:
        """SELV counts only up to 50 V."""
        return self.system == "SELV" and self.voltage_v <= 50


class Cable(NamedTuple):
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


class Circuit(NamedTuple):
    """One chain of strips with its protection, or one that shares another's (`shares`).

    The `cable` of one that shares goes from the other's junction box to its own; `links` join the
    boxes of several rooms.
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
