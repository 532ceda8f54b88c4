"""The job, the method statement, the tests, the handover and the waivers."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from underfoot.plan import Handover, Job, Measurement, MethodStatement, Waiver
from underfoot.reading.building.materials import entries_of
from underfoot.reading.building.problem_log import (
    Data,
    ProblemLog,
    read_date,
    read_length_from_zero,
    read_non_negative,
    read_quantity,
    read_reference,
)


def build_job(log: ProblemLog, data: Data) -> Job | None:
    """Who and what."""
    job = data.get("job")
    if job is None:
        return None
    read_date(log, job, "job", "date")
    return Job(path="job", **job)


def build_method(log: ProblemLog, data: Data) -> MethodStatement | None:
    """The steps that the file states."""
    method = data.get("method_statement")
    if method is None:
        return None
    steps: dict[str, Any] = {}
    paths: dict[str, str] = {}
    for key, value in entries_of(data, "method_statement"):
        if key == "bare_conductor":
            value = read_length_from_zero(log, method, "method_statement", key)
        if value is not None:
            steps[key] = value
            paths[key] = f"{log.prefix}method_statement.{key}"
    return MethodStatement(
        path=f"{log.prefix}method_statement", steps=steps, paths=paths, note=method.get("note")
    )


def merge_methods(
    own: MethodStatement | None, shared: MethodStatement | None
) -> MethodStatement | None:
    """A plan's method statement with its catalogue's: for each step the plan's own wins."""
    if own is None or shared is None:
        return own or shared
    return MethodStatement(
        path=own.path,
        steps={**shared.steps, **own.steps},
        paths={**shared.paths, **own.paths},
        note=own.note if own.note is not None else shared.note,
    )


def build_tests(
    log: ProblemLog, data: Data, known_circuits: Collection[str], known_strips: Collection[str]
) -> tuple[Measurement, ...]:
    """The tests in the file's order."""
    tests = []
    for number, entry in enumerate(data.get("tests", ())):
        if entry is None:
            continue
        path = f"tests.{number}"
        circuit = read_reference(log, entry, path, "circuit", known_circuits, "circuit")
        stage = entry.get("stage")
        test = Measurement(
            path=path,
            circuit=circuit or "",
            stage=stage or "",
            date=read_date(log, entry, path, "date"),
            load_resistance_ohm=read_non_negative(log, entry, path, "load_resistance", "ohm"),
            strips_ohm=_read_strips(log, entry, path, known_strips),
            insulation_resistance_mohm=read_non_negative(
                log, entry, path, "insulation_resistance", "Mohm"
            ),
            test_voltage_v=read_quantity(log, entry, path, "test_voltage", "V"),
            against=entry.get("against"),
            thermostat_disconnected=entry.get("thermostat_disconnected"),
            rcd_trip_time_ms=read_non_negative(log, entry, path, "rcd_trip_time", "ms"),
            ambient_c=read_quantity(log, entry, path, "ambient", "degC", above=None),
            tested_by=entry.get("tested_by"),
            photo=entry.get("photo"),
            note=entry.get("note"),
        )
        if circuit is not None and stage is not None:
            tests.append(test)
    return tuple(tests)


def _read_strips(
    log: ProblemLog, data: Data, path: str, known_strips: Collection[str]
) -> dict[str, float] | None:
    strips = data.get("strips")
    if strips is None:
        return None
    readings: dict[str, float] = {}
    for strip, _ in entries_of(data, "strips"):
        if strip not in known_strips:
            log.report_unknown(f"{path}.strips.{strip}", strip, known_strips, "strip")
        reading = read_non_negative(log, strips, f"{path}.strips", strip, "ohm")
        if reading is not None:
            readings[strip] = reading
    return readings


def build_handover(data: Data) -> Handover | None:
    """The papers handed over."""
    handover = data.get("handover")
    return None if handover is None else Handover(path="handover", **handover)


def build_waivers(log: ProblemLog, data: Data) -> tuple[Waiver, ...]:
    """The waivers in the file's order."""
    waivers = []
    for number, entry in enumerate(data.get("waivers", ())):
        if entry is None or "rule" not in entry:
            continue
        path = f"waivers.{number}"
        waivers.append(
            Waiver(
                path=path,
                rule=entry["rule"],
                item=entry.get("item"),
                reason=entry.get("reason"),
                agreed_by=entry.get("agreed_by"),
                until=read_date(log, entry, path, "until"),
                note=entry.get("note"),
            )
        )
    return tuple(waivers)
