"""What a floor gives its room, worked out by hand beside each value, and where a plan is silent."""

from typing import Any

import pytest

from tests.underfoot_rules.build_up.balance import (
    ABOVE,
    AREA,
    BOARD,
    check_room,
    detail,
    one,
    over_heated,
    surface_of,
    up_of,
)
from tests.underfoot_rules.plans import BASE, check, limit_of, measured, of_rule, tally_of
from underfoot.checking.page import merge_patch


def test_demand_without_layers() -> None:
    bare = {"kind": "timber", "below": "heated"}
    # Installed 770 W; 523 W if nothing but the board insulated; at the limit 730 W.
    assert tally_of(check_room(subfloor=bare, heat_loss="470 W"), "heat-demand").undecided == 0
    assert tally_of(check_room(subfloor=bare, heat_loss="500 W"), "heat-demand").undecided == 1
    finding = one(check_room(subfloor=bare, heat_loss="670 W"), "heat-demand")
    assert "at most" in finding.message
    assert measured(finding) == pytest.approx(8.92 * 7**1.1 * AREA)


# heat-demand


@pytest.mark.parametrize("output", ["160 W/m2", "300 W/m2"])
def test_whatever_is_installed_the_surface_limit_stops_it(output: str) -> None:
    # 7 K over the room is 75.9 W/m2 (8.92 x 7^1.1 = 75.85, ISO 11855-2 equation 1, DERIVED).
    finding = one(
        check_room({"output": output}, subfloor=over_heated(1.1), heat_loss="700 W"), "heat-demand"
    )
    assert measured(finding) / AREA == pytest.approx(75.85, abs=0.01)
    assert "no stronger film helps" in finding.remedy


@pytest.mark.parametrize(("more", "found"), [(0.0, False), (-0.9e-6, False), (1e-3, True)])
def test_demand_at_its_margin(more: float, found: bool) -> None:
    given = up_of(80, BOARD + 1.1 + 0.17) * AREA
    loss = f"{given / 1.1 + more:.9f} W"
    assert (
        bool(of_rule(check_room(subfloor=over_heated(1.1), heat_loss=loss), "heat-demand")) is found
    )


def test_thermostats_floor_limit_counts_too() -> None:
    change = {"floor_limit": "25 degC"}
    report = check_room(subfloor=over_heated(1.1), heat_loss="500 W", thermostat=change)
    # 5 K over the room is 52.39 W/m2 (DERIVED): 504 W, less than 550.
    finding = one(report, "heat-demand")
    assert measured(finding) == pytest.approx(52.39 * AREA, abs=0.1)
    # The oak bears 27 degC, at which all that goes up of 80 W/m2, 70 W/m2 or 674 W, is let out.
    assert "Raise the floor limit's dial to 27 °C at most, lay about" in finding.remedy
    # What the sensor lets through: 25 °C at the sensor, in the conduit's middle below the film.
    share = _share_at(25.0)
    said = f"about {up_of(80 * share, BOARD + 1.27) * AREA:.0f} W when the sensor"
    assert detail(finding, "with the dial at 25 °C").startswith(said)


def _share_at(dial: float) -> float:
    low, high = 0.0, 1.0
    for _ in range(60):
        share = (low + high) / 2
        up = up_of(80 * share, BOARD + 1.27)
        film = surface_of(up) + up * (ABOVE - 1 / 10.8)
        reading = film - (80 * share - up) * 0.11 * 3.5 / 5
        low, high = (share, high) if reading < dial else (low, share)
    return low


def test_a_floor_limit_that_is_not_what_stops_it_is_not_raised() -> None:
    # 7 K, all that the oak allows, are 730 W: less than 770.
    report = check_room(
        {"output": "160 W/m2"}, subfloor=over_heated(1.1), heat_loss="700 W",
        thermostat={"floor_limit": "25 degC"},
    )  # fmt: skip
    assert "Raise" not in one(report, "heat-demand").remedy


def test_a_floor_limit_that_other_rooms_hang_on_is_not_raised() -> None:
    room = BASE["rooms"]["room"]
    other = {key: value for key, value in room.items() if key not in ("thermostat", "leads")}
    other |= {"rows": {"B": room["rows"]["A"]}, "heat_loss": None}
    own = {"subfloor": over_heated(1.1), "thermostat": {"floor_limit": "25 degC"}}
    report = check({"rooms": {"room": own, "other": other}})
    assert "Raise" not in one(report, "heat-demand").remedy


def test_loss_from_the_fabric() -> None:
    fabric = {
        "inside": "21 degC", "outside": "-4 degC", "air_changes": "0.5 1/h",
        "surfaces": [
            {"name": "window", "area": "10 m2", "u_value": "1.4 W/m2/K", "beyond": "outside"},
            {"name": "door", "area": "2 m2", "u_value": "1.5 W/m2/K", "beyond": "unheated"},
            {"area": "20 m2", "u_value": "0.5 W/m2/K", "beyond": "5 degC"},
        ],
    }  # fmt: skip
    report = check_room(subfloor=over_heated(1.1), heat_loss=None, fabric=fabric)
    finding = one(report, "heat-demand")
    # 10 x 1.4 x 25 + 2 x 1.5 x 11 + 20 x 0.5 x 16 + 0.34 x 0.5 x 28.8 x 25 = 665.4 W
    assert limit_of(finding).least == pytest.approx(1.1 * 665.4)
    assert detail(finding, "window") == "10 m² at 1.4 W/m²/K to -4 °C: 350 W"
    assert detail(finding, "change of air") == "28.8 m³, 0.5 1/h, to -4 °C: 122 W"
    assert "EN 12831-1" in detail(finding, "heat loss")


WHOLE: dict[str, Any] = {
    "outside": "-4 degC", "air_changes": "0.5 1/h",
    "surfaces": [{"name": "W", "area": "10 m2", "u_value": "1 W/m2/K", "beyond": "outside"}],
}  # fmt: skip


@pytest.mark.parametrize(
    ("room", "why"),
    [
        ({"fabric": None}, "no heat loss is given (`heat_loss`, or `fabric` to compute it from)"),
        ({"fabric": {"surfaces": []}}, "no surfaces that lose heat are given (`fabric.surfaces`)"),
        ({"fabric": {"outside": None}}, "the temperature outside is not given (`fabric.outside`)"),
        ({"fabric": {"air_changes": None}},
         "the room's changes of air are not given (`fabric.air_changes`)"),
        ({"height": None}, "the room's height is not given (`height`), so its air is not known"),
        ({"fabric": {"surfaces": [{"name": "W", "area": "1 m2", "beyond": "outside"}]}},
         "the `u_value` of W is not given (`fabric.surfaces`)"),
        ({"fabric": {"surfaces": [{"area": "1 m2", "u_value": "1 W/m2/K"}]}},
         "what lies beyond surface 1 is not given (`beyond`)"),
    ],
)  # fmt: skip
def test_what_the_loss_lacks_is_named(room: dict[str, Any], why: str) -> None:
    whole = {"heat_loss": None, "fabric": WHOLE, "subfloor": over_heated(1.1)}
    base = merge_patch(BASE, {"rooms": {"room": whole}})
    report = check({"rooms.room": room}, base)
    assert tally_of(report, "heat-demand").why == why


# other heaters


@pytest.mark.parametrize(("other", "found"), [("318 W", True), ("319 W", False), ("2 kW", False)])
def test_other_heaters_take_their_share(other: str, found: bool) -> None:
    # Of 80 W/m2 70.04 go up, over 9.625 m2 674.2 W; 902 x 1.1 = 992.2 W are asked for.
    given = up_of(80, BOARD + 1.27) * AREA
    assert given == pytest.approx(674.2, abs=0.05)
    report = check_room(subfloor=over_heated(1.1), heat_loss="902 W", other_heat=other)
    assert bool(of_rule(report, "heat-demand")) is found
    if found:
        finding = one(report, "heat-demand")
        assert "less 318 W of other heaters" in finding.message
        assert detail(finding, "other heaters") == "318 W, as given"
        assert limit_of(finding).least == pytest.approx(992.2 - 318)


# strips outside the room


def test_what_lies_in_the_wall_heats_nothing() -> None:
    # The room ends at x = 2500: of seven strips from 60 on four lie in it, and 440 mm of the fifth.
    outline = [[0, 0], [2500, 0], [2500, 3000], [0, 3000]]
    report = check_room(subfloor=over_heated(1.1), outline=outline, heat_loss="600 W")
    assert of_rule(report, "element-outside-room")
    finding = one(report, "heat-demand")
    assert measured(finding) == pytest.approx(up_of(80, BOARD + 1.27) * 2.44 * 2.75)
    assert "from 6.71 m² of film" in detail(finding, "installed less what goes down")
    at_limit = float(detail(finding, "at the surface limit").split()[0])
    assert at_limit == pytest.approx(8.92 * 7**1.1 * 2.44 * 2.75, abs=0.5)


def test_a_room_with_all_its_film_outside_gets_nothing() -> None:
    outline = [[10000, 0], [12500, 0], [12500, 3000], [10000, 3000]]
    report = check_room(subfloor=over_heated(1.1), outline=outline, heat_loss="600 W")
    assert measured(one(report, "heat-demand")) == 0
    for rule in ("film-temperature", "floor-temperature", "downward-loss", "floor-limit"):
        assert of_rule(report, rule) == ()


# what the film alone, or a part of the loss alone, decides


UNKNOWN_FLOORS: list[dict[str, Any]] = [
    {"rooms": {"room": {"covering": None}}},
    {"rooms": {"room": {"subfloor": None}}},
    {"rooms": {"room": {"subfloor": {"below": None}}}},
    {"materials": {"boards": {"board-10": {"conductivity": None}}}},
    {"materials": {"coverings": {"oak-14": {"resistance": None}}}},
]


@pytest.mark.parametrize("change", UNKNOWN_FLOORS)
@pytest.mark.parametrize(("loss", "found"), [("663 W", False), ("665 W", True)])
def test_what_the_surface_limit_alone_decides(
    change: dict[str, Any], loss: str, found: bool
) -> None:
    # 7 K are 75.85 W/m2 (DERIVED), over 9.625 m2 730.07 W; 663.7 W and 10 % ask for as much.
    room = {"heat_loss": loss, "subfloor": over_heated(1.1)}
    whole = merge_patch(BASE, {"rooms": {"room": room}})
    report = check(change, whole)
    assert bool(of_rule(report, "heat-demand")) is found
    assert tally_of(report, "heat-demand").undecided == (0 if found else 1)


@pytest.mark.parametrize(("loss", "found"), [("524 W", False), ("526 W", True)])
def test_what_the_film_alone_decides(loss: str, found: bool) -> None:
    # 60 W/m2 over 9.625 m2 are 577.5 W; 525 W and 10 % ask for as much.
    report = check_room({"output": "60 W/m2"}, covering=None, heat_loss=loss)
    assert bool(of_rule(report, "heat-demand")) is found
    if found:
        finding = one(report, "heat-demand")
        assert measured(finding) == pytest.approx(577.5)
        assert "whatever lies over and under it" in finding.message


def test_other_heaters_count_there_too() -> None:
    report = check_room({"output": "60 W/m2"}, covering=None, heat_loss="900 W", other_heat="420 W")
    assert tally_of(report, "heat-demand").undecided == 1


@pytest.mark.parametrize(("area", "found"), [("21 m2", False), ("22 m2", True)])
def test_a_part_of_the_loss_may_decide(area: str, found: bool) -> None:
    # 1.2 W/m2/K over 24 K: 604.8 and 633.6 W, 665 and 697 W with 10 %; the floor gives 674 W. What
    # the rest of the fabric loses is not known: so 21 m2 cannot be cleared either.
    surfaces = [{"area": area, "u_value": "1.2 W/m2/K", "beyond": "outside"}, {"area": "5 m2"}]
    fabric = {"outside": "-4 degC", "surfaces": surfaces}
    report = check_room(subfloor=over_heated(1.1), heat_loss=None, fabric=fabric)
    row = tally_of(report, "heat-demand")
    assert (row.found, row.undecided) == ((1, 0) if found else (0, 1))
    if found:
        finding = one(report, "heat-demand")
        assert "heat loss of at least 634 W" in finding.message
        assert detail(finding, "heat loss") == "at least 634 W, as far as the plan tells"


def test_nothing_known_of_the_loss_is_not_in_order() -> None:
    report = check_room(subfloor=over_heated(1.1), heat_loss=None)
    assert tally_of(report, "heat-demand").undecided == 1


# the dial


def test_the_dial_of_another_room_says_nothing_here() -> None:
    room = BASE["rooms"]["room"]
    other = {key: value for key, value in room.items() if key != "leads"}
    other |= {"rows": {"B": room["rows"]["A"]}, "thermostat": {"switches": "16 A", "at": [0, 500],
              "floor_limit": "22 degC"}}  # fmt: skip
    own = {"subfloor": over_heated(1.1), "heat_loss": "500 W"}
    report = check({"rooms": {"room": own, "other": {**other, "subfloor": over_heated(1.1)}}})
    # B hangs on C1, which the thermostat of `room` switches: 27 degC, not 22.
    assert of_rule(report, "heat-demand") == ()


def test_the_dial_that_never_acts_is_not_told() -> None:
    # 40 W/m2 through 0.22 m2 K/W: 28 degC at the film at full output, less than the dial's 29.
    tile = {"coverings": {"oak-14": {"warmest_surface": "29 degC"}},
            "films": {"film-80": {"output": "40 W/m2"}}}  # fmt: skip
    room = {"subfloor": over_heated(1.1), "thermostat": {"floor_limit": "29 degC"}}
    report = check({"materials": tile, "rooms.room": room})
    names = [name for name, _ in one(report, "heat-demand").details]
    assert not [name for name in names if name.startswith("with the dial")]


@pytest.mark.parametrize(("bears", "advised"), [("90 W/m2", True), ("89 W/m2", False)])
def test_no_film_is_advised_that_the_covering_does_not_bear(bears: str, advised: bool) -> None:
    # 64 W over 9.6 m2 or so, a tenth more as that much goes down: 80 + 7, so 90 in whole tens.
    change = {
        "materials": {
            "coverings": {"oak-14": {"most_output": bears, "warmest_surface": "29 degC"}}
        },
        "rooms": {
            "room": {
                "heat_loss": "700 W",
                "thermostat": {"floor_limit": "29 degC"},
                "subfloor": over_heated(2),
            }
        },
    }
    (finding,) = of_rule(check(change), "heat-demand")
    assert ("use a film of 90 W/m² or so" in finding.remedy) == advised
    assert "use a film of" in finding.remedy or not advised


def test_no_dial_is_raised_beyond_what_nobody_knows() -> None:
    whole = {"rooms": {"room": {"subfloor": over_heated(1.1), "heat_loss": "500 W",
             "thermostat": {"floor_limit": "25 degC"}}}}  # fmt: skip
    unstated = {"materials": {"coverings": {"oak-14": {"warmest_surface": None}}}}
    report = check(unstated, merge_patch(BASE, whole))
    assert "Raise" not in one(report, "heat-demand").remedy


def test_what_is_lacking_first_is_named() -> None:
    loss = "no heat loss is given (`heat_loss`, or `fabric` to compute it from)"
    for change in ({"covering": None}, {"subfloor": {"kind": "timber", "below": "heated"}}):
        report = check_room(heat_loss=None, **change)
        assert tally_of(report, "heat-demand").why == loss
    # A part of the loss that the floor gives at one end of what the subfloor may be, and not at
    # the other: 523 W if nothing but the board insulates, 730 W at the limit; 545 W are asked for.
    wall = {"area": "20 m2", "u_value": "1.03 W/m2/K", "beyond": "outside"}
    fabric = {"outside": "-4 degC", "surfaces": [wall, {"area": "5 m2"}]}
    bare = {"kind": "timber", "below": "heated"}
    for lacks in ({"subfloor": bare}, {"covering": None}):
        report = check_room(heat_loss=None, fabric=fabric, **lacks)
        assert "u_value" in (tally_of(report, "heat-demand").why or "")
