"""The whole plan."""

from __future__ import annotations

import datetime
from collections.abc import Mapping

from msgspec import Struct

from underfoot.plan.circuits import Circuit, Supply
from underfoot.plan.materials import Materials, OwnEntry
from underfoot.plan.records import Handover, Measurement, MethodStatement, Waiver
from underfoot.plan.room import Room


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
    changes the catalogue's. `catalogue_place` is where the catalogue really lies.
    """

    status: str
    materials: Materials
    supply: Supply
    rooms: Mapping[str, Room]
    circuits: Mapping[str, Circuit]
    job: Job | None = None
    catalogue: str | None = None
    method_statement: MethodStatement | None = None
    tests: tuple[Measurement, ...] = ()
    handover: Handover | None = None
    waivers: tuple[Waiver, ...] = ()
    note: str | None = None
    own_entries: tuple[OwnEntry, ...] = ()
    catalogue_place: str | None = None
