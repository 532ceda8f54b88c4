"""Checked data -> Plan, the only place that knows both."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from underfoot.plan import Materials, MethodStatement, Plan, Room
from underfoot.reading.building.circuits import build_circuits, build_supply
from underfoot.reading.building.layers import build_insulation, build_membrane
from underfoot.reading.building.materials import (
    build_each,
    build_materials,
    check_film_boards,
    entries_of,
    merge_materials,
)
from underfoot.reading.building.names import check_claims, list_claims, list_ids
from underfoot.reading.building.outlines import read_outline
from underfoot.reading.building.points import MOST_POINTS, count_points
from underfoot.reading.building.problem_log import Data, ProblemLog, read_length, read_non_negative
from underfoot.reading.building.records import (
    build_handover,
    build_job,
    build_method,
    build_tests,
    build_waivers,
    merge_methods,
)
from underfoot.reading.building.rooms import (
    Known,
    build_box,
    build_coverings,
    build_fabric,
    build_fixture,
    build_grid,
    build_joint,
    build_overlay,
    build_subfloor,
    build_thermostat,
    build_underlay,
)
from underfoot.reading.building.routes import Stops, build_leads, build_sensor
from underfoot.reading.building.strips import MOST_STRIPS, Films, build_strips, count_strips

NO_MATERIALS = Materials(films={}, boards={}, sheets={}, coverings={})


class Shared(NamedTuple):
    """What a plan takes from its catalogue.

    `data` is the catalogue as its file has it, `positions` where in it everything stands.
    """

    materials: Materials = NO_MATERIALS
    method: MethodStatement | None = None
    data: Any = None
    positions: Mapping[str, tuple[int, int]] | None = None


def build_shared(log: ProblemLog, data: Data, raw: Any) -> Shared:
    """A catalogue's materials and method statement."""
    return Shared(build_materials(log, data), build_method(log, data), raw)


def build_plan(log: ProblemLog, data: Data, raw: Any, shared: Shared) -> Plan | None:
    """The plan, as far as it can be built; what is wrong is in the log.

    `data` is what the schema let through, `raw` the whole file: ids of things that were not let
    through still name something. None where too little is left.
    """
    if not _check_extent(log, data):
        return None
    known = _list_known(raw, shared)
    materials = merge_materials(build_materials(log, data), shared.materials)
    check_film_boards(log, data, known.boards)
    job = build_job(log, data)
    supply = build_supply(log, data)
    claims = list(list_claims(data))
    check_claims(log, claims)
    rooms_of = {claim.id: claim.path.split(".")[1] for claim in claims if claim.path.count(".") > 1}
    rooms: dict[str, Room] = {}
    for name, entry in entries_of(data, "rooms"):
        room = _build_room(log, entry, name, materials, known, rooms_of)
        if room is not None:
            rooms[name] = room
    circuits = build_circuits(log, data, known.rooms, known.circuits)
    strips = {claim.id: None for claim in claims if claim.kind not in _NO_STRIPS}
    tests = build_tests(log, data, known.circuits, strips)
    method = merge_methods(build_method(log, data), shared.method)
    waivers = build_waivers(log, data)
    if not rooms and "rooms" in data and not list_ids(raw, "rooms"):
        log.report("rooms", "`rooms`: at least one is needed")
    if supply is None:
        return None
    return Plan(
        status=data.get("status", "for review"),
        materials=materials,
        supply=supply,
        rooms=rooms,
        circuits=circuits,
        job=job,
        catalogue=data.get("catalogue"),
        method_statement=method,
        tests=tests,
        handover=build_handover(data),
        waivers=waivers,
        note=data.get("note"),
    )


_NO_STRIPS = frozenset({"a room", "a row", "a lead", "a circuit"})


def _check_extent(log: ProblemLog, data: Data) -> bool:
    """Whether the strips are few enough to be opened out, and the points to be gone over."""
    for counted, most, things in (
        (count_strips(data), MOST_STRIPS, "strips"),
        (count_points(data), MOST_POINTS, "corners and bends"),
    ):
        total = 0
        for path, count in counted:
            total += count
            if total > most:
                log.report(path, f"with these, the plan has more than {most:,} {things}")
                return False
    return True


def _list_known(raw: Any, shared: Shared) -> Known:
    def in_both(kind: str) -> Mapping[str, Any]:
        own = list_ids(raw, "materials", kind)
        return {**own, **list_ids(shared.data, "materials", kind)}

    return Known(
        films=in_both("films"),
        boards=in_both("boards"),
        sheets=in_both("sheets"),
        coverings=in_both("coverings"),
        rooms=list_ids(raw, "rooms"),
        circuits=list_ids(raw, "circuits"),
    )


def _build_room(
    log: ProblemLog,
    data: Data,
    name: str,
    materials: Materials,
    known: Known,
    rooms_of: Mapping[str, str],
) -> Room | None:
    path = f"rooms.{name}"
    outline = read_outline(log, data, path, "outline")
    height = read_length(log, data, path, "height")
    heat_loss_w = read_non_negative(log, data, path, "heat_loss", "W")
    other_heat_w = read_non_negative(log, data, path, "other_heat", "W")
    strips = build_strips(log, data, path, Films(materials.films, known.films), rooms_of)
    stops = Stops(
        room=name,
        has_box="junction_box" in data,
        connected={strip.id: strip.connected for strip in strips.elements},
        rows=strips.by_row,
        rooms=rooms_of,
    )
    room = Room(
        id=name,
        path=path,
        outline=outline or (),
        use=data.get("use"),
        height=height,
        fixtures=build_each(log, data, path, "fixtures", build_fixture),
        joints=build_each(log, data, path, "joints", build_joint),
        subfloor=build_subfloor(log, data, path, materials, known),
        coverings=build_coverings(log, data, path, materials.coverings, known.coverings),
        underlay=build_underlay(log, data, path),
        overlay=build_overlay(log, data, path),
        heat_loss_w=heat_loss_w,
        fabric=build_fabric(log, data, path),
        insulation=build_insulation(log, data, path, materials.boards, known.boards, outline),
        elements=strips.elements,
        rows=strips.rows,
        grid=build_grid(log, data, path),
        membrane=build_membrane(log, data, path, materials.sheets, known.sheets, outline),
        junction_box=build_box(log, data, path),
        thermostat=build_thermostat(log, data, path, known.rooms),
        sensor=build_sensor(log, data, path, stops),
        leads=build_leads(log, data, path, stops, known.circuits),
        note=data.get("note"),
        other_heat_w=other_heat_w,
    )
    return None if outline is None else room
