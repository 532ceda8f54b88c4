"""Coverings at their exact limits, and several of them in one room."""

from typing import Any

import pytest

from tests.underfoot_rules.plans import check, measured, of_rule, tally_of

TILE = {
    "kind": "ceramic tile", "resistance": "0.01 m2 K/W", "warmest_surface": "33 degC",
    "most_output": "70 W/m2", "fixing": "nailed",
}  # fmt: skip
RULES = ("covering-suits-film", "covering-fixing", "covering-output")


def _found(change: dict[str, Any]) -> dict[str, list[tuple[str, ...]]]:
    report = check(change)
    return {rule: [one.items for one in of_rule(report, rule)] for rule in RULES}


def _tiled_from(x: float) -> dict[str, Any]:
    over = [[x, 0], [4000, 0], [4000, 3000], [x, 3000]]
    coverings = [{"covering": "oak-14"}, {"covering": "tile", "over": over}]
    return {
        "materials": {"coverings": {"tile": TILE}},
        "rooms": {"room": {"covering": None, "coverings": coverings}},
    }


def test_only_what_lies_over_strips_counts() -> None:
    # The strips end at x = 3560; a joint of up to 10 mm between coverings is no part of the floor.
    nothing: dict[str, list[tuple[str, ...]]] = {rule: [] for rule in RULES}
    assert _found(_tiled_from(3600)) == nothing
    assert _found(_tiled_from(3551)) == nothing
    assert _found(_tiled_from(3500)) == {
        "covering-suits-film": [("film-80",)],
        "covering-fixing": [("tile",)],
        "covering-output": [("film-80",)],
    }


def test_only_the_film_below_a_covering_counts() -> None:
    # Film-tiles lies under the tiles, film-80 under the oak.
    change = _tiled_from(3060)
    film = {
        "width": 500, "output": "60 W/m2", "voltage": "230 V", "cut_every": 250,
        "longest_strip": "9 m", "suits": ["ceramic tile"], "boards": ["board-10"],
    }  # fmt: skip
    change["materials"]["films"] = {"film-tiles": film}
    change["rooms"]["room"]["rows"] = {"A": {"lengths": [2750] * 6}}
    change["rooms"]["room"]["elements"] = {
        "E7": {"film": "film-tiles", "at": [3060, 60], "along": "y", "length": 2750}
    }
    found = _found(change)
    assert found["covering-suits-film"] == []
    assert found["covering-output"] == []
    assert tally_of(check(change), "covering-suits-film").checked == 2


def test_floor_without_a_covering_is_undecided() -> None:
    change = _tiled_from(3600)
    over = [[0, 0], [3000, 0], [3000, 3000], [0, 3000]]
    change["rooms"]["room"]["coverings"][0]["over"] = over
    report = check(change)
    for rule in (*RULES, "covering-resistance"):
        assert tally_of(report, rule).why == (
            "no covering is given for all of the strips (`covering`, or `coverings` with `over`)"
        )


@pytest.mark.parametrize(
    ("most", "found"), [("80 W/m2", False), ("79.9999995 W/m2", False), ("79.999 W/m2", True)]
)
def test_output_at_the_limit_of_the_covering(most: str, found: bool) -> None:
    report = check({"materials.coverings.oak-14.most_output": most})
    assert bool(of_rule(report, "covering-output")) is found


@pytest.mark.parametrize(
    ("underlay", "found"),
    [("0.05", False), ("0.0500005", False), ("0.050002", True), ("0.0501", True)],
)
def test_resistance_at_its_limit(underlay: str, found: bool) -> None:
    # Oak of 0.10 and the underlay: 0.15 m2 K/W is the limit (EN 1264-4, from memory: a default).
    change = {"rooms": {"room": {"underlay": {"resistance": f"{underlay} m2 K/W"}}}}
    findings = of_rule(check(change), "covering-resistance")
    assert bool(findings) is found
    for finding in findings:
        assert "0.15 m² K/W" in finding.message
        assert " 0.15 m² K/W; at most 0.15 m² K/W" not in finding.message


def test_floor_without_underlay() -> None:
    change: dict[str, Any] = {
        "materials": {"coverings": {"oak-14": {"resistance": "0.16 m2 K/W"}}},
        "rooms": {"room": {"underlay": None}},
    }
    (finding,) = of_rule(check(change), "covering-resistance")
    assert measured(finding) == pytest.approx(0.16)


def test_softwood_of_22_mm_resists_too_much() -> None:
    # 22 mm of softwood, 0.13 W/m/K (ISO 10456, CONFIRMED B): 0.169 m2 K/W (DERIVED).
    pine = {"resistance": None, "thickness": 22, "material": "softwood"}
    change = {"materials": {"coverings": {"oak-14": pine}}, "rooms": {"room": {"underlay": None}}}
    (finding,) = of_rule(check(change), "covering-resistance")
    assert measured(finding) == pytest.approx(0.169, abs=5e-4)
    assert "ISO 10456" in dict(finding.details)["covering oak-14"]


@pytest.mark.parametrize(
    ("subfloor", "checked", "found"),
    [
        ({"kind": "concrete", "below": "ground"}, 1, 1),
        ({"kind": "concrete", "below": "ground", "barrier": "pe-02"}, 1, 0),
        ({"kind": "concrete", "below": "ground", "moisture": "2 %"}, 1, 0),
        ({"kind": "concrete", "below": "heated"}, 0, 0),
        ({"kind": "timber", "below": "ground"}, 0, 0),
    ],
)
def test_moisture(subfloor: dict[str, str], checked: int, found: int) -> None:
    row = tally_of(check({"rooms.room.subfloor": subfloor}), "moisture-barrier")
    assert (row.checked, row.found, row.undecided) == (checked, found, 0)


@pytest.mark.parametrize(
    ("subfloor", "why"),
    [
        (None, "the subfloor is not given (`subfloor`)"),
        ({"kind": None, "below": "ground"},
         "what the subfloor is made of is not given (`subfloor.kind`)"),
        ({"kind": "concrete", "below": None},
         "what lies below the subfloor is not given (`subfloor.below`)"),
    ],
)  # fmt: skip
def test_moisture_that_cannot_be_judged(subfloor: dict[str, Any] | None, why: str) -> None:
    report = check({"rooms.room.subfloor": subfloor})
    assert tally_of(report, "moisture-barrier").why == why


@pytest.mark.parametrize(
    ("covering", "underlay", "remedy"),
    [
        # At most 0.15 together; what is left for the other layer is advised where such a one is.
        (
            "0.10", "0.07",
            "Choose an underlay of at most 0.05 m² K/W below oak-14, or a covering of at most "
            "0.08 m² K/W above this one.",
        ),
        ("0.10", "0.15", "Choose an underlay of at most 0.05 m² K/W below oak-14."),
        ("0.10", "0.25", "Choose an underlay of at most 0.05 m² K/W below oak-14."),
        ("0.25", "0.05", "Choose a covering of at most 0.1 m² K/W above this one."),
        ("0.25", "0.25", "Choose a covering and an underlay of at most 0.15 m² K/W together."),
        # 0.007 are left: nothing is so thin; of 0.008 a tile would be.
        ("0.10", "0.143", "Choose an underlay of at most 0.05 m² K/W below oak-14."),
        (
            "0.10", "0.142",
            "Choose an underlay of at most 0.05 m² K/W below oak-14, or a covering of at most "
            "0.008 m² K/W above this one.",
        ),
    ],
)  # fmt: skip
def test_no_layer_is_advised_that_cannot_be(covering: str, underlay: str, remedy: str) -> None:
    (finding,) = of_rule(
        check({
            "materials": {"coverings": {"oak-14": {"resistance": f"{covering} m2 K/W"}}},
            "rooms": {"room": {"underlay": {"resistance": f"{underlay} m2 K/W"}}},
        }),
        "covering-resistance",
    )  # fmt: skip
    assert finding.remedy == remedy
