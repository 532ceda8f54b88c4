"""A key that a rule needs and the plan leaves out is said to be missing, never passed over."""

from __future__ import annotations

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule, tally_of

NO_USE = "what the room is used for is not given (`use`)"
EARTHED = {"mesh": 30, "earthed": True, "protective_conductor": "4 mm2"}
CONCRETE = {"kind": "concrete", "below": "heated"}


def room(**change: Any) -> dict[str, Any]:
    return {"rooms": {"room": change}}


@pytest.mark.parametrize(
    ("change", "rule", "why"),
    [
        # It might be a bathroom, which asks for a grid over any film.
        (room(use=None), "protective-grid", NO_USE),
        (room(use="hall"), "protective-grid", None),
        (room(use=None, grid=EARTHED), "protective-grid", None),
        # It might be a conservatory, which asks for two layers on concrete.
        (room(use=None, subfloor=CONCRETE), "insulation-layers", NO_USE),
        (room(use="hall", subfloor=CONCRETE), "insulation-layers", None),
        (
            room(
                use=None,
                subfloor=CONCRETE,
                insulation={"layers": [{"courses": "x", "stagger": 600}, {"courses": "y"}]},
            ),
            "insulation-layers",
            None,
        ),
    ],
)
def test_what_a_room_is_for(change: dict[str, Any], rule: str, why: str | None) -> None:
    report = check(change)
    assert not of_rule(report, rule)
    assert (tally_of(report, rule).checked, tally_of(report, rule).why) == (1, why)


def test_how_warm_a_covering_may_get() -> None:
    # 80 W/m2 make 26.5 degC of it (the rule's page): fine for a room, perhaps not for the oak.
    subfloor = {"layers": [{"thickness": 250, "resistance": "1.1 m2 K/W"}]}
    bare = {"materials": {"coverings": {"oak-14": {"warmest_surface": None}}}}
    for change, why in (
        (room(subfloor=subfloor), None),
        (
            {**bare, **room(subfloor=subfloor)},
            "the warmest surface that oak-14 may have is not given",
        ),
    ):
        report = check(change)
        assert not of_rule(report, "floor-temperature")
        assert tally_of(report, "floor-temperature").why == why
