"""Checked data -> Plan, the only place that knows both."""

from collections.abc import Mapping
from typing import Any

from msgspec import Struct

from underfoot.plan import Materials, MethodStatement, Packs, Plan, Room
from underfoot.plan_format.files import PLAN
from underfoot.reading.building.circuits import build_circuits, build_supply
from underfoot.reading.building.layers import build_insulation, build_membrane
from underfoot.reading.building.materials import (
    build_each,
    build_materials,
    build_packs,
    check_film_boards,
    entries_of,
    merge_materials,
    merge_packs,
)
from underfoot.reading.building.names import check_claims, list_claims, list_ids
from underfoot.reading.building.openings import build_openings
from underfoot.reading.building.points import MOST_POINTS, count_points
from underfoot.reading.building.problem_log import Data, ProblemLog
from underfoot.reading.building.records import (
    build_handover,
    build_job,
    build_method,
    build_tests,
    build_waivers,
    merge_methods,
)
from underfoot.reading.building.rooms import (
    build_coverings,
    build_fixture,
    build_joint,
    build_subfloor,
    read_room,
)
from underfoot.reading.building.routes import Stops, build_leads, build_sensor
from underfoot.reading.building.strips import MOST_STRIPS, Films, build_strips, count_strips
from underfoot.reading.building.thing_reader import Known, reader_of

NO_MATERIALS = Materials(films={}, boards={}, sheets={}, coverings={})


class Shared(Struct, frozen=True, kw_only=True):
    """What a plan takes from its catalogue.

    `data` is the catalogue as its file has it, `positions` where in it everything stands.
    """

    materials: Materials = NO_MATERIALS
    method: MethodStatement | None = None
    packs: Packs | None = None
    data: Any = None
    positions: Mapping[str, tuple[int, int]] | None = None


def build_shared(log: ProblemLog, data: Data, raw: Any) -> Shared:
    """A catalogue's materials, method statement and packs."""
    return Shared(
        materials=build_materials(log, data),
        method=build_method(log, data),
        packs=build_packs(log, data),
        data=raw,
    )


def build_plan(log: ProblemLog, data: Data, raw: Any, shared: Shared) -> Plan | None:
    """The plan, as far as it can be built; what is wrong is in the log.

    `data` is what the schema let through, `raw` the whole file: ids of things that were not let
    through still name something. None where too little is left.
    """
    if not _check_extent(log, data):
        return None
    known = _list_known(raw, shared)
    materials = merge_materials(build_materials(log, data), shared.materials)
    check_film_boards(log, data, known["board"])
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
    circuits = build_circuits(log, data, known)
    strips = {claim.id: None for claim in claims if claim.kind not in _NO_STRIPS}
    tests = build_tests(log, data, known, strips)
    method = merge_methods(build_method(log, data), shared.method)
    waivers = build_waivers(log, data)
    if not rooms and "rooms" in data and not list_ids(raw, "rooms"):
        log.report("rooms", "`rooms`: at least one is needed")
    if supply is None:
        return None
    return Plan(
        materials=materials,
        supply=supply,
        rooms=rooms,
        circuits=circuits,
        job=job,
        method_statement=method,
        packs=merge_packs(build_packs(log, data), shared.packs),
        tests=tests,
        handover=build_handover(log, data),
        waivers=waivers,
        **_read_plan(log, data, "", known),
    )


_read_plan = reader_of(PLAN, but={key.name for key in PLAN.keys} - {"status", "catalogue", "north"})


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

    return {
        "film": in_both("films"),
        "board": in_both("boards"),
        "sheet": in_both("sheets"),
        "covering": in_both("coverings"),
        "room": list_ids(raw, "rooms"),
        "circuit": list_ids(raw, "circuits"),
    }


def _build_room(
    log: ProblemLog,
    data: Data,
    name: str,
    materials: Materials,
    known: Known,
    rooms_of: Mapping[str, str],
) -> Room | None:
    path = f"rooms.{name}"
    fields = read_room(log, data, path, known)
    outline = fields.get("outline")
    covering = fields.pop("covering", None)
    strips = build_strips(
        log, data, path, Films(built=materials.films, known=known["film"]), rooms_of
    )
    stops = Stops(
        room=name,
        has_box="junction_box" in data,
        connected={strip.id: strip.connected for strip in strips.elements},
        rows=strips.by_row,
        rooms=rooms_of,
    )
    fields.update(
        fixtures=build_each(log, data, path, "fixtures", build_fixture),
        joints=build_each(log, data, path, "joints", build_joint),
        openings=build_openings(log, data, path, outline),
        subfloor=build_subfloor(log, data, path, materials, known),
        coverings=build_coverings(log, data, path, covering, materials.coverings, known),
        insulation=build_insulation(log, data, path, materials.boards, known, outline),
        elements=strips.elements,
        rows=strips.rows,
        membrane=build_membrane(log, data, path, materials.sheets, known, outline),
        sensor=build_sensor(log, data, path, stops),
        leads=build_leads(log, data, path, stops, known),
    )
    return None if outline is None else Room(id=name, path=path, **fields)
