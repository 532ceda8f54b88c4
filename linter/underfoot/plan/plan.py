"""The whole plan."""

import datetime
from collections.abc import Mapping

from msgspec import Struct

from underfoot.plan.circuits import Circuit, Supply
from underfoot.plan.materials import Materials, OwnEntry, Packs
from underfoot.plan.read_only import keep_mappings
from underfoot.plan.records import Handover, Measurement, MethodStatement, Waiver
from underfoot.plan.room import Room

# The ways to the north that are words, in degrees anticlockwise from x.
NORTHS = {"x": 0.0, "y": 90.0, "-x": 180.0, "-y": 270.0}


class Job(Struct, frozen=True, kw_only=True):
    """Who and what: printed on every sheet; `date` is kept as written."""

    path: str
    title: str | None = None
    reference: str | None = None
    revision: str | None = None
    date: str | None = None
    site: str | None = None
    client: str | None = None
    drawn_by: str | None = None
    measured: str | None = None
    note: str | None = None

    @property
    def dated(self) -> datetime.date | None:
        """The date, where it is written as ISO 8601 has it (``2026-09-14``)."""
        try:
            return datetime.date.fromisoformat(self.date or "")
        except ValueError:
            return None


class Plan(Struct, frozen=True, kw_only=True):
    """One plan file, read and understood. Mappings keep the file's order.

    `own_entries` are the materials that the plan writes itself, and the method statement where it
    changes the catalogue's. `catalogue_place` is where the catalogue really lies. `north` and
    `north_deg` are a room's, for all rooms that do not give their own.
    """

    status: str
    materials: Materials
    supply: Supply
    rooms: Mapping[str, Room]
    circuits: Mapping[str, Circuit]
    job: Job | None = None
    catalogue: str | None = None
    method_statement: MethodStatement | None = None
    packs: Packs | None = None
    tests: tuple[Measurement, ...] = ()
    handover: Handover | None = None
    waivers: tuple[Waiver, ...] = ()
    note: str | None = None
    own_entries: tuple[OwnEntry, ...] = ()
    catalogue_place: str | None = None
    north: str | None = None
    north_deg: float | None = None

    def __post_init__(self) -> None:
        """Let its mappings be read alone."""
        keep_mappings(self, "rooms", "circuits")

    def north_of(self, room: Room) -> float | None:
        """Return the way to the north in a room: degrees anticlockwise from its x."""
        for place in (room, self):
            if place.north is not None:
                return NORTHS[place.north]
            if place.north_deg is not None:
                return place.north_deg % 360
        return None
