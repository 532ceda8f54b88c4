"""A waiver names what there is in the plan, each by the name that findings give it."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, of_rule

ROOM = "rooms.room"
SOFA = {"at": [3600, 100], "size": [300, 900], "kind": "on legs", "clear": 200}
BOARDS = {"pieces": {"P1": {"at": [0, 0], "along": "x"}}}


@pytest.mark.parametrize(
    ("name", "here", "gone"),
    [
        ("sofa", {f"{ROOM}.fixtures": {"sofa": SOFA}}, {}),
        ("J1", {f"{ROOM}.joints": {"J1": [[3900, 0], [3900, 3000]]}}, {}),
        ("door", {f"{ROOM}.openings": {"door": {"kind": "door", "from": [1, 0], "to": [801, 0]}}},
         {}),
        ("A", {}, {f"{ROOM}.rows": None, f"{ROOM}.leads": None}),
        ("A7", {}, {f"{ROOM}.rows.A.lengths": [2750] * 6}),
        ("W1", {}, {f"{ROOM}.leads.W1": None}),
        ("1-5-4", {}, {f"{ROOM}.insulation": None}),
        ("P1", {f"{ROOM}.insulation.layers": [BOARDS]}, {}),
        ("R2", {}, {f"{ROOM}.membrane": None}),
        ("junction-box", {}, {f"{ROOM}.junction_box": None, f"{ROOM}.leads": None,
                              f"{ROOM}.sensor": None}),
        ("thermostat", {}, {f"{ROOM}.thermostat": None, "circuits.C1.thermostat": None}),
        ("sensor", {}, {f"{ROOM}.sensor": None}),
        ("room", {}, None),
        ("C1", {}, None),
        ("film-80", {}, None),
        ("board-10", {}, None),
        ("pe-02", {}, None),
        ("oak-14", {}, None),
        ("C2", None, {}),
    ],
)  # fmt: skip
def test_what_is_there_can_be_named_and_what_is_not_cannot(
    name: str, here: dict[str, Any] | None, gone: dict[str, Any] | None
) -> None:
    """No rule finds anything to be waived: then that is what speaks against the waiver."""
    waiver = {"rule": "strip-gap", "item": name, "reason": "as agreed", "agreed_by": "the lead"}
    for change, said in (here, "no finding needs it"), (gone, "nothing in the plan is called"):
        if change is not None:
            (found,) = of_rule(check({**change, "waivers": [waiver]}), "waiver-lapsed")
            assert said in found.message
