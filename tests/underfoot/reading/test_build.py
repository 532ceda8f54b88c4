"""The whole format, key by key."""

from __future__ import annotations

from datetime import date

from msgspec import Struct
from msgspec.structs import asdict

from tests.underfoot.reading.samples import FULL, SMALL, change, read
from underfoot import plan as model
from underfoot.plan import Plan


def full() -> Plan:
    reading = read(FULL)
    assert reading.problems == ()
    assert reading.plan is not None
    return reading.plan


def test_job_supply_and_status() -> None:
    plan = full()
    assert (plan.status, plan.note) == ("laid", "the whole format once")
    assert plan.job == model.Job(
        path="job",
        title="Larch Lane 3, day room",
        reference="LL3-FH-01",
        revision="P2",
        date="2026-09-14",
        site="3 Larch Lane",
        client="the housing trust",
        drawn_by="site office",
        measured="from a drawing",
        note="remeasured",
    )
    assert plan.supply == model.Supply(
        path="supply",
        voltage_v=230,
        system="mains",
        available_a=40,
        note="from the board in the hall",
        source=model.Source(
            path="supply.source",
            kind="other",
            standard="IEC 61558-2-4",
            rating_va=2000,
            note="in the loft",
        ),
        phases=3,
    )


def test_materials() -> None:
    materials = full().materials
    assert materials.films["film-140"] == model.Film(
        id="film-140",
        path="materials.films.film-140",
        width=500,
        voltage_v=230,
        output_w_m2=140,
        cut_every=250,
        longest_strip=9000,
        longest_circuit=30_000,
        tolerance=(-10, 5),
        lies="busbars down",
        suits=("laminate", "engineered wood"),
        boards=("board-6",),
        protection_class="II",
        standard="IEC 60335-2-106",
        busbar_resistance_ohm_m=0.02,
        note="invented",
        largest_current_a=12,
        leakage_ma_m2=0.4,
        warmest_c=80,
    )
    assert materials.films["film-70"].leakage_ma_m == 0.2
    assert materials.films["film-70"].output_w_m == 70
    assert materials.films["film-70"].output_w_m2 is None
    assert materials.boards["board-6"] == model.Board(
        id="board-6",
        path="materials.boards.board-6",
        size=(1200, 600),
        thickness=6,
        conductivity_w_mk=0.033,
        material="foam",
        density_kg_m3=35,
        note="grooved",
    )
    assert materials.sheets["pe-02"] == model.MembraneRoll(
        id="pe-02",
        path="materials.sheets.pe-02",
        width=2000,
        thickness=0.2,
        material="polyester",
        note="clear",
    )
    assert materials.coverings["oak-14"] == model.Covering(
        id="oak-14",
        path="materials.coverings.oak-14",
        kind="engineered wood",
        thickness=14,
        resistance_m2k_w=0.1,
        conductivity_w_mk=0.14,
        material="oak",
        density_kg_m3=700,
        warmest_surface_c=27,
        most_output_w_m2=160,
        fixing="floating",
        note="brushed",
    )


def test_what_stands_in_a_room() -> None:
    room = full().rooms["day-room"]
    assert (room.id, room.path, room.use, room.height) == (
        "day-room",
        "rooms.day-room",
        "living",
        2400,
    )
    assert room.outline == ((0, 0), (6000, 0), (6000, 4000), (0, 4000))
    assert room.note == "faces south"
    assert room.heat_loss_w == 1450
    assert room.other_heat_w == 400
    path = "rooms.day-room.fixtures"
    assert room.fixtures == {
        "bench": model.Fixture(
            id="bench",
            path=f"{path}.bench",
            kind="floor-mounted",
            outline=((5000, 0), (5800, 0), (5800, 600), (5000, 600)),
            stands_on="subfloor",
        ),
        "sofa": model.Fixture(
            id="sofa",
            path=f"{path}.sofa",
            kind="on legs",
            outline=((3000, 3000), (4800, 3000), (4800, 3800), (3000, 3800)),
            clear=120,
            note="new",
        ),
        "wet": model.Fixture(
            id="wet",
            path=f"{path}.wet",
            kind="open shower",
            outline=((0, 3000), (900, 3000), (900, 3900)),
            outlet=(600, 3300),
        ),
    }
    assert room.joints == {
        "J1": model.Joint(id="J1", path="rooms.day-room.joints.J1", line=((4800, 0), (4800, 4000)))
    }
    assert room.grid == model.Grid(
        path="rooms.day-room.grid",
        mesh=30,
        earthed=True,
        note="copper",
        conductor_mm2=4,
        conductor_text="4 mm2",
    )
    assert room.junction_box == model.JunctionBox(
        path="rooms.day-room.junction_box", at=(0, 1500), height=450, note="deep"
    )
    assert room.thermostat == model.Thermostat(
        path="rooms.day-room.thermostat",
        at=(0, 1500),
        height=1400,
        switches_a=16,
        floor_limit_c=27,
        room="hall",
        contactor=model.Contactor(
            path="rooms.day-room.thermostat.contactor", poles=4, rating_a=20, note="on the rail"
        ),
        note="white",
        reads=("day-room", "hall"),
    )


def test_what_a_floor_is_built_of() -> None:
    plan = full()
    room = plan.rooms["day-room"]
    oak, tile = (plan.materials.coverings[name] for name in ("oak-14", "tile-10"))
    path = "rooms.day-room"
    assert room.subfloor == model.Subfloor(
        path=f"{path}.subfloor",
        kind="concrete",
        below="ground",
        layers=(
            model.SubfloorLayer(
                path=f"{path}.subfloor.layers.0",
                material="concrete",
                thickness=100,
                conductivity_w_mk=1.65,
                density_kg_m3=2200,
            ),
            model.SubfloorLayer(
                path=f"{path}.subfloor.layers.1",
                thickness=60,
                resistance_m2k_w=1.7,
                note="under it",
            ),
        ),
        exposed_perimeter=7300,
        barrier=plan.materials.sheets["pe-02"],
        moisture_percent=1.8,
        moisture_method="CM",
        moisture_note="in two places",
        screed="cement",
        note="dry",
    )
    assert room.coverings == (
        model.CoveredArea(
            path=f"{path}.coverings.0",
            covering=tile,
            over=((0, 0), (1000, 0), (1000, 1000), (0, 1000)),
            note="by the door",
        ),
        model.CoveredArea(path=f"{path}.coverings.1", covering=oak),
    )
    assert room.underlay == model.Underlay(
        path=f"{path}.underlay",
        thickness=3,
        resistance_m2k_w=0.04,
        conductivity_w_mk=0.07,
        material="felt",
        density_kg_m3=120,
        note="thin",
    )
    assert room.overlay == model.Overlay(
        path=f"{path}.overlay",
        thickness=6,
        resistance_m2k_w=0.05,
        conductivity_w_mk=0.12,
        material="hardboard",
        density_kg_m3=800,
        fixing="floating",
        note="in two layers",
    )
    assert room.fabric == model.Fabric(
        path=f"{path}.fabric",
        inside_c=20,
        outside_c=-3,
        air_changes_per_h=0.5,
        surfaces=(
            model.Surface(
                path=f"{path}.fabric.surfaces.0",
                name="glazing",
                area_m2=11.2,
                u_value_w_m2k=1.4,
                beyond="outside",
            ),
            model.Surface(
                path=f"{path}.fabric.surfaces.1",
                name="wall",
                area_m2=8,
                u_value_w_m2k=0.3,
                beyond_c=10,
                note="to the stair",
            ),
        ),
        note="by the designer",
    )


def test_insulation_and_membrane() -> None:
    plan = full()
    room = plan.rooms["day-room"]
    path = "rooms.day-room.insulation"
    assert room.insulation == model.Insulation(
        path=path,
        board=plan.materials.boards["board-6"],
        layers=(
            model.Courses(path=f"{path}.layers.0", along="x", stagger=600, note="below"),
            model.Courses(
                path=f"{path}.layers.1",
                along="y",
                over=((0, 0), (2000, 0), (2000, 2000), (0, 2000)),
            ),
            model.Pieces(
                path=f"{path}.layers.2",
                pieces=(
                    model.BoardPiece(
                        id="P1",
                        path=f"{path}.layers.2.pieces.P1",
                        at=(2000, 0),
                        along="x",
                        length=1200,
                        width=600,
                    ),
                    model.BoardPiece(
                        id="P2",
                        path=f"{path}.layers.2.pieces.P2",
                        at=(3200, 0),
                        along="angle",
                        angle_deg=90,
                        length=700,
                        width=500,
                        note="cut",
                    ),
                ),
                note="by hand",
            ),
        ),
        joints_taped=True,
        note="two layers",
    )
    path = "rooms.day-room.membrane"
    assert room.membrane == model.Membrane(
        path=path,
        sheet=plan.materials.sheets["pe-02"],
        runs=(
            model.Runs(
                path=f"{path}.runs",
                along="x",
                overlap=150,
                over=((0, 0), (6000, 0), (6000, 3000), (0, 3000)),
                note="low",
            ),
        ),
        pieces=(
            model.MembraneSheet(
                id="M1",
                path=f"{path}.pieces.M1",
                at=(0, 2900),
                along="x",
                length=4200,
                width=2000,
            ),
            model.MembraneSheet(
                id="M2",
                path=f"{path}.pieces.M2",
                at=(4000, 2900),
                along="x",
                length=2000,
                width=1250,
                note="cut",
            ),
        ),
        overlaps_taped=True,
        perimeter_taped=False,
        note="over all",
    )


def test_circuits_and_records() -> None:
    plan = full()
    assert plan.circuits == {
        "C1": model.Circuit(
            id="C1",
            path="circuits.C1",
            thermostat="day-room",
            breaker_a=10,
            rcd_ma=30,
            cable=model.Cable(
                path="circuits.C1.cable",
                size_mm2=2.5,
                size_text="2.5 mm2",
                length=14_000,
                method="C",
                ambient_c=30,
                capacity_a=20,
                note="grey",
            ),
            note="main",
            phase="L2",
            rcd_type="A",
            rcd_group="R1",
        ),
        "C2": model.Circuit(id="C2", path="circuits.C2", thermostat="day-room", shares="C1"),
    }
    method = plan.method_statement
    assert method is not None
    assert method.note == "as agreed"
    assert method.steps == {
        "floor_cleaned": True,
        "busbars": "down",
        "elements_taped": True,
        "cut_ends_insulated": True,
        "connector_tool": "ratchet",
        "connectors_insulated": "no",
        "connectors_recessed": True,
        "single_conductor_folded": True,
        "bare_conductor": 6,
        "conduit_closed": True,
        "sensor_taped": True,
    }
    assert method.paths == {step: f"method_statement.{step}" for step in method.steps}
    assert plan.tests == (
        model.Measurement(
            path="tests.0",
            circuit="C1",
            stage="laid",
            date=date(2026, 9, 20),
            load_resistance_ohm=94.5,
            strips_ohm={"A1": 275},
            insulation_resistance_mohm=210,
            test_voltage_v=500,
            against="grid",
            thermostat_disconnected=True,
            rcd_trip_time_ms=24,
            ambient_c=18,
            tested_by="site electrician",
            photo="laid.jpg",
            note="dry day",
        ),
    )
    assert plan.handover == model.Handover(
        path="handover",
        diagram=True,
        certificate="signed",
        left_with_customer=False,
        note="in the folder",
    )
    assert plan.waivers == (
        model.Waiver(
            path="waivers.0",
            rule="wall-clearance",
            item="A4",
            reason="boxed-in pipe",
            agreed_by="design lead",
            until=date(2027, 3, 1),
            note="see the minutes",
        ),
    )


def test_what_a_small_plan_leaves_out_is_none() -> None:
    plan = read(SMALL).plan
    assert plan is not None
    assert plan.status == "for review"
    room = plan.rooms["study"]
    for name in ("use", "height", "subfloor", "insulation", "membrane", "sensor", "thermostat"):
        assert getattr(room, name) is None
    assert (plan.job, plan.method_statement, plan.handover, plan.catalogue) == (None,) * 4
    assert (room.fixtures, room.leads, plan.tests, plan.waivers) == ({}, (), (), ())


def test_every_path_has_its_position() -> None:
    reading = read(FULL)
    assert reading.plan is not None
    missing: list[str] = []
    found = 0

    def walk(thing: object) -> None:
        nonlocal found
        if isinstance(thing, Struct):
            path = getattr(thing, "path", None)
            if path is not None:
                found += 1
                if path not in reading.positions:
                    missing.append(path)
            for inner in asdict(thing).values():
                walk(inner)
        elif isinstance(thing, dict):
            for value in thing.values():
                walk(value)
        elif isinstance(thing, tuple):
            for value in thing:
                walk(value)

    walk(reading.plan)
    assert missing == []
    assert found > 80


def test_a_single_covering_is_an_area_without_bounds() -> None:
    text = change(
        SMALL,
        "supply:",
        "  coverings: {oak: {kind: laminate}}\nsupply:",
    )
    plan = read(change(text, "    rows:", "    covering: oak\n    rows:")).plan
    assert plan is not None
    (area,) = plan.rooms["study"].coverings
    assert (area.path, area.covering.id, area.over) == ("rooms.study.covering", "oak", None)


def test_an_element_may_be_on_an_unknown_circuit_and_a_waiver_about_nothing() -> None:
    text = change(SMALL, "circuit: C1", "circuit: C7")
    text += "waivers: [{rule: no-such-rule, item: nothing}]\n"
    reading = read(text)
    assert reading.problems == ()
    assert reading.plan is not None
    assert {strip.circuit for strip in reading.plan.rooms["study"].elements} == {"C7"}
