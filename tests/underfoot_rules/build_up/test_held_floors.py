"""How coverings and overlays are held, over which film, and what spreads loads over it."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of

BOARDS = {
    "thickness": 6,
    "material": "hardboard",
    "resistance": "0.02 m2 K/W",
    "fixing": "floating",
}
RULES = ("covering-fixing", "covering-bond", "film-standard", "load-spreading")
LOOSE, BUILT_IN = "IEC 60335-2-106", "EN 60335-2-96:2002"


def floor(
    covering: dict[str, Any] | None = None,
    overlay: dict[str, Any] | None = None,
    standard: str | None = LOOSE,
    **room: Any,
) -> dict[str, Any]:
    return {
        "materials.films.film-80": {"standard": standard, "suits": None},
        "materials.coverings.oak-14": covering or {},
        "rooms.room": {"overlay": overlay, **room},
    }


def found(change: dict[str, Any]) -> dict[str, str]:
    """Return each finding's severity by rule and items."""
    report = check(change)
    return {
        f"{one.rule} {'/'.join(one.items)}": one.severity
        for rule in RULES
        for one in of_rule(report, rule)
    }


GLUED, NAILED, SCREWED = ({"fixing": how} for how in ("glued", "nailed", "screwed"))


@pytest.mark.parametrize(
    ("change", "faults"),
    [
        (floor(), {}),
        (floor(NAILED), {"covering-fixing oak-14": "error"}),
        (floor(overlay={**BOARDS, **NAILED}), {"covering-fixing overlay": "error"}),
        (floor(overlay={**BOARDS, **SCREWED}), {"covering-fixing overlay": "error"}),
        (floor(GLUED, standard=BUILT_IN), {"covering-bond oak-14": "error"}),
        (floor(GLUED), {"covering-bond oak-14": "error", "film-standard film-80": "error"}),
        (floor(GLUED, BOARDS), {"film-standard film-80": "error"}),
        (floor(GLUED, BOARDS, BUILT_IN), {}),
        (floor(overlay={**BOARDS, **GLUED}, standard=BUILT_IN), {"covering-bond overlay": "error"}),
        (
            floor(overlay={**BOARDS, **GLUED}),
            {"covering-bond overlay": "error", "film-standard film-80": "error"},
        ),
        (floor(standard=BUILT_IN), {"film-standard film-80": "warning"}),
        (floor(overlay=BOARDS, standard=BUILT_IN), {"film-standard film-80": "warning"}),
        (floor(standard="IEC 60335-2-96, IEC 60335-2-106"), {}),
        (floor(GLUED, BOARDS, "IEC 60335-2-96, IEC 60335-2-106"), {}),
    ],
)
def test_how_a_floor_is_held(change: dict[str, Any], faults: dict[str, str]) -> None:
    assert found(change) == faults


@pytest.mark.parametrize(
    ("room", "named"),
    [
        ({}, "the loose underlay"),
        ({"underlay": None}, "the loose membrane"),
        ({"underlay": None, "membrane": None}, "the bare strips"),
    ],
)
def test_what_it_is_glued_to_is_named(room: dict[str, Any], named: str) -> None:
    (finding,) = of_rule(check(floor(GLUED, standard=BUILT_IN, **room)), "covering-bond")
    assert named in finding.message


@pytest.mark.parametrize(
    ("covering", "overlay", "needed"),
    [
        ({"kind": "vinyl plank"}, None, True),
        ({"kind": "Cork tile"}, None, True),
        ({"kind": "carpet"}, None, True),
        ({"kind": "linoleum"}, None, True),
        ({"kind": "porcelain tile"}, None, True),
        ({"kind": "stone-look laminate"}, None, False),
        ({"kind": "bamboo"}, None, False),
        ({"kind": "laminate", "thickness": 6}, None, False),
        ({"kind": "laminate", "thickness": 5.99}, None, True),
        ({"kind": "something new", "thickness": 5.99}, None, True),
        ({"kind": "vinyl plank"}, BOARDS, False),
        ({"kind": "something new"}, BOARDS, False),
        ({"kind": "vinyl plank"}, {**BOARDS, "thickness": 5}, False),
        ({"kind": "vinyl plank"}, {**BOARDS, "thickness": 4.99}, True),
        ({"kind": "vinyl plank"}, {**BOARDS, "material": "Cork"}, True),
        ({"kind": "vinyl plank"}, {**BOARDS, "material": "cement-coated foam"}, False),
        ({"kind": "laminate"}, {**BOARDS, "material": "foam"}, False),
    ],
)
def test_what_spreads_loads(
    covering: dict[str, Any], overlay: dict[str, Any] | None, needed: bool
) -> None:
    report = check(floor(covering, overlay))
    assert bool(of_rule(report, "load-spreading")) is needed
    assert tally_of(report, "load-spreading").undecided == 0


@pytest.mark.parametrize(
    ("change", "checked"),
    [
        ({"materials.boards.board-10.material": "cement-coated foam"}, 0),
        ({"materials.boards.board-10.material": "extruded polystyrene"}, 1),
        ({"rooms.room.insulation": None}, 0),
    ],
)
def test_only_soft_boards_need_it(change: dict[str, Any], checked: int) -> None:
    assert tally_of(check(change), "load-spreading").checked == checked


BARE = {key: value for key, value in BOARDS.items() if key not in ("material", "thickness")}


@pytest.mark.parametrize(
    ("change", "rule", "asked"),
    [
        (floor({"fixing": None}), "covering-fixing", "how covering oak-14 is laid"),
        (floor({"fixing": None}), "covering-bond", "how covering oak-14 is laid"),
        (floor({"fixing": None}), "film-standard", "how covering oak-14 is laid"),
        (floor({"fixing": None}, standard=BUILT_IN), "film-standard", "covering oak-14 is laid"),
        (floor(overlay={**BOARDS, "fixing": None}), "covering-fixing", "how the overlay is laid"),
        (floor(overlay={**BOARDS, "fixing": None}), "covering-bond", "how the overlay is laid"),
        (floor(standard=None), "film-standard", "the product standard of film film-80"),
        (floor(standard="IEC 60800"), "film-standard", "IEC 60335-2-96 (built in)"),
        (floor(standard="IEC 60335-2-1060"), "film-standard", "IEC 60335-2-96 (built in)"),
        (floor({"kind": None}), "load-spreading", "Write the `kind` of covering oak-14"),
        (floor({"kind": "something new"}), "load-spreading", "Write the `kind`"),
        (floor({"kind": None}, {**BOARDS, "material": "foam"}), "load-spreading", "the `kind`"),
        (floor({"thickness": None}), "load-spreading", "Write the `thickness` of covering oak-14"),
        (
            floor({"kind": "carpet"}, {**BARE, "material": "hardboard"}),
            "load-spreading",
            "Write the overlay's `thickness`",
        ),
        (
            floor({"kind": "carpet"}, {**BARE, "thickness": 6}),
            "load-spreading",
            "Write the overlay's `material`",
        ),
    ],
)
def test_what_is_not_given_is_asked_for(change: dict[str, Any], rule: str, asked: str) -> None:
    report = check(change)
    assert not of_rule(report, rule)
    (point,) = tally_of(report, rule).reasons
    assert asked in (point.write or "")
    assert point.worst == "error"
    assert tally_of(report, rule).undecided == 1


def test_an_overlay_counts_with_what_keeps_the_heat_down() -> None:
    # Oak 0.10 and underlay 0.03: an overlay of 0.02 m2 K/W comes to 0.15, the limit.
    assert not of_rule(check(floor(overlay=BOARDS)), "covering-resistance")
    above = {**BOARDS, "resistance": "0.021 m2 K/W"}
    (finding,) = of_rule(check(floor(overlay=above)), "covering-resistance")
    assert "Covering oak-14, the overlay and the underlay resist" in finding.message
    assert measured(finding) == pytest.approx(0.151)
    unknown = check(floor(overlay={"thickness": 6, "fixing": "floating"}))
    assert "the overlay" in (tally_of(unknown, "covering-resistance").why or "")
