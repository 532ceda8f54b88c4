import pytest

from tests.underfoot.reading.samples import FULL, SMALL, change, only_problem, read
from underfoot.plan import Cutout, Lead, Sensor, Stop

ROOM = "rooms.day-room"


def test_the_routes_of_the_full_plan() -> None:
    plan = read(FULL).plan
    assert plan is not None
    room = plan.rooms["day-room"]
    path = f"{ROOM}.leads.W1"
    assert room.leads[0] == Lead(
        id="W1",
        path=path,
        circuit="C1",
        route=(
            Stop(kind="box", path=f"{path}.route.0"),
            Stop(kind="bend", path=f"{path}.route.1", at=(30, 1500)),
            Stop(kind="strip", path=f"{path}.route.2", element="A1", end="start"),
            Stop(kind="strip", path=f"{path}.route.3", element="A2", end="end", named_end=True),
            Stop(kind="strip", path=f"{path}.route.4", element="B3", end="start"),
        ),
        size_mm2=1.5,
        size_text="1.5 mm2",
        recessed=True,
        capacity_a=12,
        note="left",
    )
    path = f"{ROOM}.leads.W2"
    lead = room.leads[1]
    # B is connected at its ends but for B3; a row stands for its strips in order.
    assert lead.route == (
        Stop(kind="box", path=f"{path}.route.0"),
        Stop(kind="strip", path=f"{path}.route.1", element="B1", end="end"),
        Stop(kind="strip", path=f"{path}.route.1", element="B2", end="end"),
        Stop(kind="strip", path=f"{path}.route.1", element="B3", end="start"),
        Stop(kind="strip", path=f"{path}.route.2", element="E1", end="start", named_end=True),
    )
    assert (lead.size_text, lead.recessed, lead.capacity_a) == ("14 AWG", None, None)
    # ASTM B258: 2.081 mm2, CONFIRMED B
    assert lead.size_mm2 == pytest.approx(2.081, rel=1e-3)
    path = f"{ROOM}.sensor"
    assert room.sensor == Sensor(
        path=path,
        at=(1250, 1500),
        route=(
            Stop(kind="box", path=f"{path}.route.0"),
            Stop(kind="bend", path=f"{path}.route.1", at=(400, 1500)),
        ),
        channel=Cutout(
            path=f"{path}.channel", width=13, depth=7, cut_into="insulation", note="straight"
        ),
        conduit=Cutout(path=f"{path}.conduit", width=12, depth=7),
        cable=4000,
        note="one spare",
    )


@pytest.mark.parametrize(
    ("stop", "message"),
    [
        (
            "A3",
            "`A3` names no strip or row of this room; did you mean `A2`?",
        ),
        (
            "zzzz",
            "`zzzz` names no strip or row of this room; there are `junction-box`, `A1`, "
            "`A2` and `A`",
        ),
        (
            "A.end",
            "`route`: `A` is a row, and an end is named of one strip: write for example `A1.end`",
        ),
        (
            "Z1",
            "`route`: `Z1` lies in room `hall`; a route stops in its own room only",
        ),
        ("Z", "`route`: `Z` lies in room `hall`; a route stops in its own room only"),
        (
            "A1.middle",
            "`route`: `A1.middle` is not a stop of a route: write `junction-box`, `A1`, `A1.end` "
            "or `[400, 1500]`",
        ),
        (
            "[1, 2 A]",
            "`2 A` is a current; a length is expected: write `1400` (millimetres), `1400 mm` or "
            "`1.4 m`",
        ),
    ],
)
def test_stops_that_are_none(stop: str, message: str) -> None:
    text = change(
        SMALL,
        "circuits:",
        f"    junction_box: {{at: [0, 0]}}\n"
        f"    leads: {{W1: {{circuit: C1, route: [junction-box, {stop}]}}}}\n"
        "  hall:\n    outline: [[0, 0], [9, 0], [0, 9]]\n"
        "    rows: {Z: {film: film-140, at: [0, 0], along: y, lengths: [500]}}\ncircuits:",
    )
    problem = only_problem(text)
    assert problem.message == message
    assert problem.path.startswith("rooms.study.leads.W1.route.1")


def test_a_route_to_a_box_that_is_not_there() -> None:
    text = change(SMALL, "circuits:", "    sensor: {at: [1, 1], route: [junction-box]}\ncircuits:")
    assert only_problem(text).message == "`route`: room `study` has no `junction_box` to go to"


def test_a_lead_of_an_unknown_circuit() -> None:
    text = change(SMALL, "circuits:", "    leads: {W1: {circuit: C8, route: [A1]}}\ncircuits:")
    problem = only_problem(text)
    assert problem.path == "rooms.study.leads.W1.circuit"
    assert problem.message == "`C8` names no circuit; did you mean `C1`?"


def test_rows_named_again_and_again_do_not_fill_the_memory() -> None:
    stops = ", ".join(["A"] * 4000)
    text = change(SMALL, "width: 500", "width: 5")
    text = change(text, "lengths: [2750, 2750]", "length: 500, count: 50000")
    text = change(
        text, "circuits:", f"    leads: {{W1: {{circuit: C1, route: [{stops}]}}}}\ncircuits:"
    )
    problem = only_problem(text)
    assert problem.path == "rooms.study.leads.W1.route.6"
    assert problem.message == "`route`: the strips of its rows come to more stops than are read"
