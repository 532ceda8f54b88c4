"""What stands low or lies flat on a heated floor, and the floor below it."""

from typing import Any

import pytest

from tests.underfoot_rules.laying.rooms import lay
from tests.underfoot_rules.plans import check, of_rule, tally_of

# Over A4 of the base plan, which lies from 1560 to 2060.
PLACE = {"at": [1600, 800], "size": [400, 800]}


def furnish(**fixture: Any) -> dict[str, Any]:
    return {"rooms": {"room": {"fixtures": {"thing": {**PLACE, **fixture}}}}}


@pytest.mark.parametrize(
    ("fixture", "said"),
    [
        # 60 mm is a figure of this project's own.
        ({"kind": "on legs", "clear": 60}, None),
        ({"kind": "on legs", "clear": 59.99}, "stands only 59.99 mm above the floor"),
        ({"kind": "on legs", "clear": 0}, "comes down to the floor"),
        ({"kind": "lying flat"}, "lies flat on it and keeps the heat in"),
    ],
)
def test_what_keeps_the_heat_in(fixture: dict[str, Any], said: str | None) -> None:
    findings = of_rule(check(furnish(**fixture)), "covered-floor")
    assert len(findings) == (said is not None)
    for finding in findings:
        assert finding.severity == "error"
        assert said is not None
        assert said in finding.message
        taken = "Take thing away" in finding.remedy
        assert taken is (fixture["kind"] == "lying flat")


def test_a_height_not_given_is_asked_for() -> None:
    change = furnish(kind="on legs")
    report = check(change)
    assert not of_rule(report, "covered-floor")
    assert tally_of(report, "covered-floor").undecided == 1
    (point,) = tally_of(report, "covered-floor").reasons
    assert "(`clear`)" in (point.write or "")
    assert point.worst == "error"


def test_a_sensor_under_a_rug() -> None:
    change = furnish(kind="lying flat", at=[700, 1400], size=[300, 300])
    (finding,) = of_rule(check(change), "sensor-covered")
    assert "thing, which lies flat on the floor." in finding.message


@pytest.mark.parametrize(
    ("fixture", "is_found"),
    [
        ({"kind": "on legs", "clear": 60}, True),
        ({"kind": "on legs", "clear": 59}, False),
        ({"kind": "lying flat"}, False),
    ],
)
def test_floor_below_it_need_not_be_heated(fixture: dict[str, Any], is_found: bool) -> None:
    # The base plan without its last three strips leaves three sevenths cold; a wardrobe's floor
    # over them, from 2060 to the wall, is none that should be heated.
    change = furnish(at=[2070, 0], size=[1930, 3000], **fixture)
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [2750] * 4}}
    assert bool(of_rule(check(change), "floor-coverage")) is is_found


def test_it_is_a_reason_for_a_gap() -> None:
    strips = {"E1": {"at": [1000, 1000]}, "E2": {"at": [1700, 1000]}}
    thing = {"at": [1550, 1200], "size": [100, 500]}
    for fixture, is_found in (
        ({"kind": "on legs", "clear": 60}, True),
        ({"kind": "on legs", "clear": 59}, False),
        ({"kind": "lying flat"}, False),
    ):
        room = {"fixtures": {"thing": {**thing, **fixture}}}
        assert bool(lay("strip-gap", strips, room)) is is_found
