"""A key that a rule needs and the plan leaves out is said to be missing, never passed over."""

import ast
from pathlib import Path
from typing import Any

import pytest

import underfoot_rules
from tests.underfoot_rules.plans import check, of_rule, tally_of

NO_USE = "what the room is used for is not given (`use`)"
EARTHED = {"mesh": 30, "earthed": True, "protective_conductor": "4 mm2"}
CONCRETE = {"kind": "concrete", "below": "heated"}


def room(**change: Any) -> dict[str, Any]:
    return {"rooms.room": change}


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
    bare = {"materials.coverings.oak-14.warmest_surface": None}
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


def test_a_plan_that_lacks_what_an_error_hangs_on_is_not_called_in_order() -> None:
    assert check({}).verdict == "no objection"
    lacking: list[dict[str, Any]] = [
        room(use=None),
        room(sensor={"cable": None}),
        room(insulation={"layers": None}),
        room(membrane={"runs": None}),
        room(thermostat={"switches": None}),
        room(covering=None),
        {"supply.available": None},
        {"circuits.C1.cable": None},
        {"materials.films.film-80.longest_strip": None},
        {"materials.films.film-80.cut_every": None},
        {"materials.films.film-80.suits": None},
        {"materials.films.film-80.boards": None},
    ]
    for change in lacking:
        report = check(change)
        assert report.verdict == "insufficient information", change
        grave = [r for row in report.checks for r in row.reasons if r.worst == "error"]
        assert grave, change
        for reason in grave:
            assert (reason.write or "").endswith("."), reason
            assert "`" in (reason.write or ""), reason


def test_every_rule_that_cannot_tell_says_what_to_write() -> None:
    silent = []
    for place in sorted(Path(underfoot_rules.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(place.read_text("utf-8"))):
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "CannotTell":
                named = {keyword.arg for keyword in node.keywords}
                starred = any(isinstance(each, ast.Starred) for each in node.args)
                if len(node.args) < 2 and "write" not in named and not starred:
                    silent.append(f"{place.name}:{node.lineno}")
    assert silent == []
