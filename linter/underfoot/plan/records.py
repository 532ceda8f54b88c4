"""What a drawing cannot show: the method, the tests, the papers and the waivers."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from msgspec import Struct


class MethodStatement(Struct, frozen=True, kw_only=True):
    """The steps that the plan states; `steps` holds only those stated, `paths` where each stands.

    Values are text, true/false, or a length (`bare_conductor`).
    """

    path: str
    steps: Mapping[str, str | bool | float]
    paths: Mapping[str, str]
    note: str | None = None


class Measurement(Struct, frozen=True, kw_only=True):
    """One visit with the meter: the readings of a circuit at a stage.

    `strips_ohm` are the readings of single strips by id.
    """

    path: str
    circuit: str
    stage: str
    date: date | None = None
    load_resistance_ohm: float | None = None
    strips_ohm: Mapping[str, float] | None = None
    insulation_resistance_mohm: float | None = None
    test_voltage_v: float | None = None
    against: str | None = None
    thermostat_disconnected: bool | None = None
    rcd_trip_time_ms: float | None = None
    ambient_c: float | None = None
    tested_by: str | None = None
    photo: str | None = None
    note: str | None = None


class Handover(Struct, frozen=True, kw_only=True):
    """The papers handed to the customer."""

    path: str
    diagram: bool | None = None
    certificate: str | None = None
    left_with_customer: bool | None = None
    note: str | None = None


class Waiver(Struct, frozen=True, kw_only=True):
    """A finding that somebody agreed to leave as it is, with a reason and a name.

    `item` None covers the whole plan; `until` is inclusive.
    """

    path: str
    rule: str
    item: str | None = None
    reason: str | None = None
    agreed_by: str | None = None
    until: date | None = None
    note: str | None = None
