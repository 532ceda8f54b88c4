"""What speaks against a waiver is told so that it can be put right."""

from datetime import date

import pytest

from underfoot.checking.finding import Subject
from underfoot.checking.waivers import judge_waivers
from underfoot.plan import Waiver

FOUND = [
    ("wall-clearance", Subject(room="room", items=("A1",), path="rooms.room.rows.A.lengths.0"))
]


def lapse(rule: str, item: str | None) -> str | None:
    (state,) = judge_waivers(
        [
            Waiver(
                path="waivers.0",
                rule=rule,
                item=item,
                reason="narrow",
                agreed_by="lead",
                until=None,
            )
        ],
        FOUND,
        rules={"wall-clearance", "rcd"},
        ids=frozenset({"room", "A1", "A2", "W1"}),
        forbidden={"rcd": "the settings in force do not let rcd be waived"},
        today=date(2026, 10, 1),
    )
    return state.lapsed


@pytest.mark.parametrize(
    ("rule", "item", "why"),
    [
        ("wall-clearance", "A1", None),
        ("wall-clearance", "room", None),
        ("wall-clearance", None, None),
        ("wall-clearance", "A2", "no finding needs it"),
        (
            "wall-clearence",
            "A1",
            "there is no rule wall-clearence (did you mean wall-clearance?)",
        ),
        ("zzz", None, "there is no rule zzz"),
        ("wall-clearance", "A1.", "nothing in the plan is called A1. (did you mean A1?)"),
        ("wall-clearance", "sofa", "nothing in the plan is called sofa"),
        ("rcd", None, "the settings in force do not let rcd be waived"),
    ],
)
def test_a_waiver_holds_or_says_why_not(rule: str, item: str | None, why: str | None) -> None:
    assert lapse(rule, item) == why
