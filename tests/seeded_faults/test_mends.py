"""What is offered as a mend holds when it is taken up by other means.

The big run (``python -m tests.seeded_faults``) does the same with a thousand damaged plans.
"""

import json
from functools import cache

import pytest

from tests.seeded_faults.demo_plans import demo_plans
from tests.seeded_faults.judging import BENCH, damage
from tests.seeded_faults.mends import (
    Asked,
    as_json,
    ask_mends,
    find_harms,
    patch,
    report_mends,
)
from underfoot.api.rules import Data, Edit
from underfoot.checking.check import check_source
from underfoot.checking.mend import Mend
from underfoot.mending.patch import patch_data
from underfoot_rules import STANDARD

pytestmark = pytest.mark.oracle

BEDROOM, KNOWN = demo_plans()["bedroom.yaml"]


@cache
def damaged(name: str) -> Data:
    mutation = next(each for each in STANDARD.mutations if each.name == name)
    found = damage(mutation, BEDROOM, 1)
    assert found is not None
    return found.data


@cache
def damages() -> dict[str, Data]:
    """Return a fifth of the ways to damage the bedroom, by name, each with the damaged plan."""
    found = {each.name: damage(each, BEDROOM, 1) for each in STANDARD.mutations[1::5]}
    return {name: each.data for name, each in found.items() if each is not None}


def harms(plan: Data, rule: str, *edits: Edit) -> list[str]:
    report = check_source(json.dumps(plan).encode(), BENCH, path="plan.yaml")
    found = next(each for each in report.findings if each.rule == rule)
    what = (found.rule, found.room, found.items)
    return find_harms(plan, report, what, Mend(says="Do it.", patch=edits))


def test_mends_clear_theirs_and_harm_nothing(capsys: pytest.CaptureFixture[str]) -> None:
    assert len(damages()) > 20
    asked = [one for name, plan in damages().items() for one in ask_mends(plan, name, KNOWN)]
    assert [each.harms for each in asked if each.harms] == []
    assert report_mends(asked, 0.0) == 0
    assert "clear theirs without harm" in capsys.readouterr().out


RCD = ("circuits", "C1", "rcd")


def test_a_mend_that_holds_has_no_harm() -> None:
    plan = patch(BEDROOM, [{"op": "remove", "path": "/circuits/C1/rcd"}])
    assert harms(plan, "rcd", Edit(op="add", path=RCD, value="30 mA")) == []


@pytest.mark.parametrize(
    ("edits", "said"),
    [
        ((Edit(op="add", path=RCD, value="300 mA"),), "does not clear its finding"),
        ((Edit(op="replace", path=RCD, value="30 mA"),), "does not go on the plan"),
        (
            (
                Edit(op="add", path=RCD, value="30 mA"),
                Edit(op="replace", path=("circuits", "C1", "breaker"), value="1 A"),
            ),
            "brings breaker-rating C1",
        ),
        (
            (
                Edit(op="add", path=RCD, value="30 mA"),
                Edit(op="remove", path=("supply", "available")),
            ),
            "leaves supply-capacity unjudged",
        ),
        ((Edit(op="add", path=RCD, value="thirty"),), "makes a plan that cannot be judged"),
    ],
)
def test_a_mend_that_does_not_hold_would_be_noticed(edits: tuple[Edit, ...], said: str) -> None:
    plan = patch(BEDROOM, [{"op": "remove", "path": "/circuits/C1/rcd"}])
    assert any(each.startswith(said) for each in harms(plan, "rcd", *edits))


def test_worse_is_noticed_too() -> None:
    plan = patch(damaged("thermostat-hung-wrong"), [{"op": "remove", "path": "/circuits/C1/rcd"}])
    way = ("rooms", "bedroom", "thermostat", "height")
    rcd = Edit(op="add", path=RCD, value="30 mA")
    was = plan["rooms"]["bedroom"]["thermostat"]["height"]
    assert harms(plan, "rcd", rcd, Edit(op="replace", path=way, value=was)) == []
    worse = 300 if was < 1400 else 2300
    assert harms(plan, "rcd", rcd, Edit(op="replace", path=way, value=worse)) == [
        "brings thermostat-height thermostat"
    ]


EDITS = (
    Edit(op="add", path=("rooms", "bedroom", "rows", "A", "lengths", 0), value=250),
    Edit(op="add", path=("rooms", "bedroom", "rows", "A", "lengths", "-"), value=500),
    Edit(op="remove", path=("rooms", "bedroom", "rows", "A", "lengths", 2)),
    Edit(op="replace", path=("rooms", "bedroom", "rows", "A", "lengths", 1), value=[1, 2]),
    Edit(op="add", path=("rooms", "bedroom", "a/b~c"), value={"x": 1}),
    Edit(op="replace", path=("rooms", "bedroom", "a/b~c", "x"), value=2),
    Edit(op="remove", path=("circuits", "C1", "rcd")),
)


@pytest.mark.parametrize("count", range(1, len(EDITS) + 1))
def test_two_ways_of_patching_come_to_the_same(count: int) -> None:
    before = json.dumps(BEDROOM)
    patched = patch(BEDROOM, as_json(EDITS[:count]))
    assert patched == patch_data(BEDROOM, EDITS[:count])
    assert json.dumps(BEDROOM) == before
    assert patched != BEDROOM


def test_what_is_not_mended_or_harms_fails_the_run(capsys: pytest.CaptureFixture[str]) -> None:
    def asked(mended: int, of: int, harm: str = "", *, laid: bool = False) -> list[Asked]:
        return [
            Asked(
                rule="rcd",
                where="plan: rcd C1",
                in_materials=False,
                is_laid=laid,
                says=("Do it.",) if place < mended else (),
                harms=(harm,) if harm and not place else (),
            )
            for place in range(of)
        ]

    theirs = [
        Asked(rule="rcd", where="plan: rcd C1", in_materials=True, is_laid=False, says=(), harms=())
        for _ in range(9)
    ]
    assert report_mends([*asked(6, 10), *theirs, *asked(1, 10, laid=True)], 1.0) == 0
    assert report_mends([*asked(5, 10), *asked(10, 10, laid=True)], 1.0) == 1
    assert report_mends(asked(10, 10, "it brings a fault"), 1.0) == 1
    assert report_mends(asked(10, 10, laid=True), 1.0) == 1
    assert report_mends([], 1.0) == 1
    out = capsys.readouterr().out
    assert "HARM: it brings a fault" in out
    assert "rcd                            20       7    35 %             9" in out
    assert "Of 10 in plans of floors still to be laid 6 (60.0 %), of 10 in records of laid" in out
