"""What is wrong between the parts of a plan, which no schema can say."""

import pytest

from tests.underfoot.reading.samples import FULL, SMALL, change, only_problem, problems_of


@pytest.mark.parametrize(
    ("old", "new", "path", "message"),
    [
        (
            "film: film-140,",
            "film: film-41,",
            "rooms.study.rows.A.film",
            "`film-41` names no film; did you mean `film-140`?",
        ),
        (
            "film: film-140,",
            "film: zz,",
            "rooms.study.rows.A.film",
            "`zz` names no film; there is `film-140`",
        ),
        (
            "output: 140 W/m2",
            "output: 140 W/m2, boards: [board-6]",
            "materials.films.film-140.boards.0",
            "`board-6` names no board: the plan has none",
        ),
        (
            "output: 140 W/m2",
            "output: 0 W/m2",
            "materials.films.film-140.output",
            "`output`: `0 W/m2` must be more than 0",
        ),
        (
            "width: 500",
            "width: 0 mm",
            "materials.films.film-140.width",
            "`width`: `0 mm` must be more than 0",
        ),
        (
            "width: 500",
            "width: 2 km",
            "materials.films.film-140.width",
            "`width`: `2 km` is longer than 1 km: check the unit",
        ),
        (
            "output: 140 W/m2",
            "output: 140 W/m2, tolerance: [5, -10]",
            "materials.films.film-140.tolerance",
            "`tolerance`: the lowest stands first: write `[-10, 5]`",
        ),
        (
            "output: 140 W/m2",
            "output: 140 W/m2, tolerance: [-100 %, 5]",
            "materials.films.film-140.tolerance.0",
            "`tolerance`: `-100 %` would leave no power at all",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A, thermostat: studdy}",
            "circuits.C1.thermostat",
            "`studdy` names no room; did you mean `study`?",
        ),
        (
            "{breaker: 10 A}",
            "{shares: C2}",
            "circuits.C1.shares",
            "`C2` names no circuit: the plan has none",
        ),
        (
            "{breaker: 10 A}",
            "{shares: C1}",
            "circuits.C1.shares",
            "`shares`: `C1` cannot share its own protection",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A}\n  C2: {shares: C1}\n  C3: {shares: C2}",
            "circuits.C3.shares",
            "`shares`: `C2` shares another circuit's protection itself: name the circuit that has "
            "the breaker",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A}\n  C2: {shares: C1, rcd: 30 mA}",
            "circuits.C2.rcd",
            "`C2` is fed and protected with `C1`, so it has no `rcd` of its own: delete `rcd` or "
            "`shares`",
        ),
        (
            "{breaker: 10 A}",
            "{cable: {size: 0 mm2}}",
            "circuits.C1.cable.size",
            "`size`: `0 mm2` must be more than 0",
        ),
        (
            "{breaker: 10 A}",
            "{cable: {size: 60 AWG}}",
            "circuits.C1.cable.size",
            "`size`: `60 AWG` is no gauge: they run from `4/0 AWG` to `40 AWG`",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A}\ntests: [{circuit: C9, stage: laid}]",
            "tests.0.circuit",
            "`C9` names no circuit; did you mean `C1`?",
        ),
        (
            "{breaker: 10 A}",
            "{breaker: 10 A}\ntests: [{circuit: C1, stage: laid, strips: {A3: 5 ohm}}]",
            "tests.0.strips.A3",
            "`A3` names no strip; did you mean `A2`?",
        ),
        (
            "{breaker: 10 A}",
            '{breaker: 10 A}\nwaivers: [{rule: x, until: "2026-02-30"}]',
            "waivers.0.until",
            "`until`: there is no such day as `2026-02-30`",
        ),
        (
            "{breaker: 10 A}",
            '{breaker: 10 A}\njob: {date: "2026-13-01"}',
            "job.date",
            "`date`: there is no such day as `2026-13-01`",
        ),
        (
            "    rows:",
            "    height: -1 mm\n    rows:",
            "rooms.study.height",
            "`height`: `-1 mm` must be more than 0",
        ),
        (
            "    rows:",
            "    heat_loss: -5 W\n    rows:",
            "rooms.study.heat_loss",
            "`heat_loss`: `-5 W` must not be less than 0",
        ),
        (
            "    rows:",
            "    covering: oak\n    rows:",
            "rooms.study.covering",
            "`oak` names no covering: the plan has none",
        ),
        (
            "    rows:",
            "    thermostat: {room: hall}\n    rows:",
            "rooms.study.thermostat.room",
            "`hall` names no room; there is `study`",
        ),
        (
            "    rows:",
            "    thermostat: {reads: [study, hall]}\n    rows:",
            "rooms.study.thermostat.reads.1",
            "`hall` names no room; there is `study`",
        ),
        (
            "    rows:",
            "    subfloor: {barrier: pe}\n    rows:",
            "rooms.study.subfloor.barrier",
            "`pe` names no sheet: the plan has none",
        ),
        (
            "    rows:",
            "    fixtures: {bed: {kind: on legs, at: [0, 0], size: [1, 1], outline: [[0, 0], "
            "[1, 0], [0, 1]]}}\n    rows:",
            "rooms.study.fixtures.bed.outline",
            "a fixture has `at` with `size`, or `outline`: delete one of the two",
        ),
        (
            "    rows:",
            "    joints: {J1: [[1, 1], [1, 1]]}\n    rows:",
            "rooms.study.joints.J1",
            "this joint has no length: give it two points that differ",
        ),
        (
            "    rows:",
            "    fabric: {surfaces: [{beyond: 10 A}]}\n    rows:",
            "rooms.study.fabric.surfaces.0.beyond",
            "`beyond`: `10 A` is no temperature: write `10 degC` (degC, degF or K)",
        ),
        (
            "    rows:",
            "    junction_box: {at: [0, 1001 m]}\n    rows:",
            "rooms.study.junction_box.at.1",
            "`1001 m` lies more than 1 km from the room's origin: check the unit",
        ),
    ],
)
def test_what_the_schema_cannot_say(old: str, new: str, path: str, message: str) -> None:
    problem = only_problem(change(SMALL, old, new))
    assert (problem.path, problem.message) == (path, message)


def test_two_coverings_need_places() -> None:
    text = change(
        FULL,
        "{covering: tile-10, over: [[0, 0], [1000, 0], [1000, 1000], [0, 1000]],",
        "{covering: tile-10,",
    )
    assert "a second covering lies over the rest" in only_problem(text).message
    text = change(FULL, "    underlay:", "    covering: oak-14\n    underlay:")
    assert "one `covering`, or `coverings`" in only_problem(text).message


def test_a_reference_to_a_faulty_thing_is_no_second_problem() -> None:
    text = change(SMALL, "width: 500", "width: -500")
    assert [path for _, path, _ in problems_of(text)] == ["materials.films.film-140.width"]
    text = change(SMALL, "outline: [[0, 0], [4200, 0]", "outline: [[0, 0], [9999 m, 0]")
    text = change(text, "{breaker: 10 A}", "{breaker: 10 A, thermostat: study}")
    assert [path for _, path, _ in problems_of(text)] == ["rooms.study.outline.1.0"]


def test_a_room_is_needed() -> None:
    text = SMALL[: SMALL.index("  study:")] + "  note: none yet\n"
    assert only_problem(text).message == "`rooms`: at least one is needed"
    text = SMALL[: SMALL.index("rooms:")] + "rooms: {}\n"
    assert only_problem(text).message == "`rooms`: at least one is needed"
