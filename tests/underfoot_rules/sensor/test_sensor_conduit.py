"""The sensor's conduit with its width: out of the room, through fixtures, deeper than boards."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

BOX = "junction-box"
# Conduit 12 mm wide in a channel of 13: the channel's 6.5 mm to either side count.


def found(sensor: dict[str, Any], **room: Any) -> dict[tuple[str, ...], float]:
    report = check({"rooms.room": {"sensor": {"cable": "9 m", **sensor}, **room}})
    return {
        each.items: each.measured.value
        for each in of_rule(report, "sensor-way")
        if each.measured is not None
    }


@pytest.mark.parametrize(("x", "seen"), [(6.5, False), (6.4, True), (-20, True)])
def test_along_the_wall(x: float, seen: bool) -> None:
    assert (() in found({"route": [BOX, [x, 1500], [x, 900], [810, 900]]})) == seen


def test_the_first_300_mm_from_the_box_may_touch_the_wall() -> None:
    # Down the wall line from the box: 600 mm less 300.
    assert found({"route": [BOX, [0, 900], [810, 900]]}) == {(): pytest.approx(300)}
    assert not found({"route": [BOX, [0, 1201], [7, 1200], [810, 1200]]})


def test_through_the_wall_its_middle_counts_at_the_box_too() -> None:
    assert found({"route": [BOX, [-30, 1500], [-30, 1400], [30, 1400]]})[()] == pytest.approx(160)


@pytest.mark.parametrize(
    ("sections", "reach"),
    [
        ({}, 6.5),
        ({"channel": {"width": 20}}, 10.0),
        ({"conduit": {"width": 18}}, 9.0),
        ({"channel": None}, 6.0),
        ({"channel": None, "conduit": None}, 0.0),
    ],
)
def test_the_wider_of_channel_and_conduit_counts(sections: dict[str, Any], reach: float) -> None:
    for x, seen in ((reach, False), (reach - 0.1, True)):
        route = [BOX, [x, 1500], [x, 900], [810, 900]]
        assert (() in found({"route": route, **sections})) == seen


@pytest.mark.parametrize(
    ("fixture", "measured"),
    [
        ({"kind": "fixings"}, 30),
        ({"kind": "structure"}, 30),
        ({"kind": "floor-mounted", "stands_on": "subfloor"}, 30),
        ({"kind": "heat source"}, 30),
        ({"kind": "floor-mounted"}, None),
        ({"kind": "on legs", "clear": 100}, None),
    ],
)
def test_which_fixtures_bar_it(fixture: dict[str, Any], measured: float | None) -> None:
    post = {"at": [300, 1400], "size": [30, 200], **fixture}
    assert found({}, fixtures={"post": post}) == ({} if measured is None else {("post",): measured})


@pytest.mark.parametrize(
    ("kind", "gap", "seen"),
    [("fixings", 50.0, False), ("fixings", 49.9, True), ("structure", 1.0, False),
     ("heat source", 1.0, False)],
)  # fmt: skip
def test_clear_of_what_is_screwed_down(kind: str, gap: float, seen: bool) -> None:
    post = {"at": [300, 1506.5 + gap], "size": [30, 20], "kind": kind}
    assert found({}, fixtures={"post": post}) == ({("post",): pytest.approx(gap)} if seen else {})


def test_without_a_route_it_is_not_in_order() -> None:
    report = check({"rooms.room.sensor.route": None})
    row = tally_of(report, "sensor-way")
    assert (row.checked, row.found, row.undecided) == (1, 0, 1)
    assert "`sensor.route`" in str(row.reasons)


@pytest.mark.parametrize(
    ("depth", "cut_into", "severity"),
    [
        (10, "insulation", None),
        (10.1, "insulation", "warning"),
        (10.1, None, "note"),
        (10.1, "subfloor", None),
    ],
)
def test_a_conduit_deeper_than_the_boards(
    depth: float, cut_into: str | None, severity: str | None
) -> None:
    sections = {
        "channel": {"depth": depth, "cut_into": cut_into},
        "conduit": {"depth": depth},
    }
    report = check({"rooms.room.sensor": sections})
    assert [each.severity for each in of_rule(report, "sensor-channel")] == (
        [severity] if severity else []
    )


@pytest.mark.parametrize(
    ("channel", "conduit", "said"),
    [
        # 13 mm wide will do for conduits up to that; a wider one asks for more, or for less of it.
        (13, 13, None),
        (12.9, 12, "Cut it to 13 mm wide."),
        (13, 14, "Cut it to 14 mm wide, or take a smaller conduit."),
        (12.9, 14, "Cut it to 14 mm wide."),
        (14, 14, None),
    ],
)
def test_a_smaller_conduit_is_offered_where_the_channel_would_do(
    channel: float, conduit: float, said: str | None
) -> None:
    change = {"rooms.room.sensor.channel.width": channel,
              "rooms.room.sensor.conduit.width": conduit}  # fmt: skip
    found = of_rule(check(change), "sensor-channel")
    assert [each.remedy for each in found] == ([] if said is None else [said])
