"""Leads and the sensor's conduit with their width: each limit on both sides, by hand sums.

A lead of 1.5 mm2 is taken as 6 mm wide and 3 mm thick, one of 2.5 mm2 as 7.2 and 3.6.
"""

from typing import Any

import pytest

from tests.underfoot_rules.leads.drawn import BOX, boards, found, lead
from tests.underfoot_rules.plans import check, of_rule, tally_of


class TestUnderStrips:
    def test_the_joint_of_two_strips_is_under_both(self) -> None:
        room = {
            "leads": {
                "W1": lead(BOX, [30, 1500], [30, 30], "A1", "A2", "A3", "A4", "A5", "A6"),
                "W2": lead("A6", [3060, 30], [3060, 2860], "A7.end"),
            }
        }
        assert found("lead-under-element", room) == {
            ("W2", "A6"): ("error", 2750),
            ("W2", "A7"): ("error", 2750),
        }

    @pytest.mark.parametrize(
        ("more", "reach"),
        [
            ({}, 3.0),
            ({"size": "2.5 mm2"}, 3.6),
            ({"size": "2 mm2"}, 3.0),
            ({"size": "16 mm2"}, 7.0),
            ({"size": None}, 3.0),
            ({"width": 9}, 4.5),
            ({"width": 4, "thickness": 4}, 2.0),
            ({"thickness": 8}, 4.0),
        ],
    )
    def test_beside_a_strip_by_half_of_its_width(self, more: Any, reach: float) -> None:
        for off, seen in ((reach + 0.01, False), (reach - 0.01, True)):
            way = lead(BOX, [30, 1500], [60 - off, 1500], [60 - off, 20], [310, 20], "A", **more)
            assert bool(found("lead-under-element", {"leads": {"W1": way}})) == seen

    def test_along_the_ends_it_lies_beside_what_it_joins_or_passes_between_joints(self) -> None:
        assert not found(
            "lead-under-element", {"leads": {"W1": lead(BOX, [30, 1500], [30, 30], "A1", "A7")}}
        )

    def test_a_bend_on_the_ends_is_no_joint(self) -> None:
        way = lead(BOX, [30, 1500], [30, 60], [560, 60], "A2", "A3", "A4", "A5", "A6", "A7")
        assert found("lead-under-element", {"leads": {"W1": way}}) == {("W1", "A1"): ("error", 500)}

    def test_to_a_joint_only_strips_of_its_own_may_be_passed(self) -> None:
        own = lead(BOX, [30, 1500], [30, 60], "A2", "A1")
        assert not found("lead-under-element", {"leads": {"W1": own}})
        other = lead(BOX, [30, 1500], [30, 60], "A2")
        assert found("lead-under-element", {"leads": {"W1": other}}) == {
            ("W1", "A1"): ("error", 500)
        }


class TestOutside:
    @pytest.mark.parametrize(("x", "seen"), [(0, 1170.0), (2.99, 1170.0), (3, None)])
    def test_along_the_wall_line(self, x: float, seen: float | None) -> None:
        # 1470 mm down the wall, of which the first 300 mm from the box may touch it.
        way = lead(BOX, [x, 1500], [x, 30], [30, 30], "A")
        length = found("lead-outside-room", {"leads": {"W1": way}}).get(("W1",), (None, None))[1]
        # At 2.99 mm aside the circle of 300 mm ends 0.015 mm nearer.
        assert length == (None if seen is None else pytest.approx(seen, abs=0.02))

    def test_out_of_the_box_at_a_slant(self) -> None:
        # 3 mm off the wall at 300 mm from the box: a fall of one in a hundred.
        assert not found("lead-outside-room", {"leads": {"W1": lead(BOX, [30, 30], "A")}})
        slow = lead(BOX, [3, 1000], [30, 30], "A")
        assert found("lead-outside-room", {"leads": {"W1": slow}})


class TestFixtures:
    @pytest.mark.parametrize(("gap", "seen"), [(50.0, False), (49.9, True)])
    def test_clear_of_fixings(self, gap: float, seen: bool) -> None:
        # The lead's side lies at x = 27 in a room that reaches to -400.
        room = {
            "outline": [[-400, 0], [4000, 0], [4000, 3000], [-400, 3000]],
            "junction_box": {"at": [-400, 1500]},
            "fixtures": {
                "rail": {"at": [27 - gap - 100, 600], "size": [100, 50], "kind": "fixings"}
            },
            "leads": {"W1": lead(BOX, [30, 1500], [30, 30], "A")},
        }
        assert found("lead-under-fixture", room) == (
            {("W1", "rail"): ("error", pytest.approx(gap))} if seen else {}
        )

    def test_the_nearest_piece_of_a_lead_counts(self) -> None:
        # 20 mm right of the piece that goes down at 30, 40 mm above the one that goes on at 2500.
        rail = {"at": [53, 2543], "size": [20, 20], "kind": "fixings"}
        way = lead(BOX, [30, 1500], [30, 2900], [20, 2900], [20, 2500], [70, 2500], [20, 20], "A")
        room = {"fixtures": {"rail": rail}, "leads": {"W1": way}}
        assert found("lead-under-fixture", room) == {("W1", "rail"): ("error", pytest.approx(20))}

    @pytest.mark.parametrize("kind", ["structure", "floor-mounted"])
    def test_what_is_not_screwed_down_may_stand_close_by(self, kind: str) -> None:
        post = {"at": [0, 600], "size": [20, 50], "kind": kind, "stands_on": "subfloor"}
        assert not found("lead-under-fixture", {"fixtures": {"post": post}})

    @pytest.mark.parametrize(
        ("gap", "seen"), [(300.0, None), (299.9, 299.9), (1.0, 1.0), (-30.0, 0.0)]
    )
    def test_clear_of_heat(self, gap: float, seen: float | None) -> None:
        room = {
            "outline": [[-700, 0], [4000, 0], [4000, 3000], [-700, 3000]],
            "junction_box": {"at": [-700, 1500]},
            "fixtures": {
                "stove": {"at": [27 - gap - 200, 600], "size": [200, 50], "kind": "heat source"}
            },
            "leads": {"W1": lead(BOX, [30, 1500], [30, 30], "A")},
        }
        assert found("lead-near-heat", room) == (
            {} if seen is None else {("W1", "stove"): ("error", pytest.approx(seen))}
        )

    def test_close_by_is_not_under(self) -> None:
        stove = {"at": [34, 2600], "size": [20, 20], "kind": "heat source"}
        way = lead(BOX, [30, 1500], [30, 2900], [20, 2900], [20, 20], [310, 20], "A")
        room = {"fixtures": {"stove": stove}, "leads": {"W1": way}}
        (said,) = of_rule(check({"rooms.room": room}), "lead-near-heat")
        assert "1 mm from stove" in said.message

    @pytest.mark.parametrize(
        ("kind", "clearance", "gap", "seen"),
        [
            ("heat source", 400, 399.9, True),
            ("heat source", 400, 400, False),
            ("heat source", 200, 299.9, True),
            ("floor-mounted", 200, 199.9, True),
            ("floor-mounted", 200, 200, False),
            ("floor-mounted", None, 1, False),
        ],
    )
    def test_what_its_maker_wants_kept_free_counts(
        self, kind: str, clearance: float | None, gap: float, seen: bool
    ) -> None:
        at = [27 - gap - 200, 600]
        stove = {"at": at, "size": [200, 50], "kind": kind, "clearance": clearance}
        room = {
            "outline": [[-700, 0], [4000, 0], [4000, 3000], [-700, 3000]],
            "junction_box": {"at": [-700, 2000]},
            "fixtures": {"stove": stove},
            "leads": {"W1": lead(BOX, [30, 2000], [30, 30], "A")},
        }
        assert (("W1", "stove") in found("lead-near-heat", room)) == seen


class TestOnEachOther:
    def two(self, apart: float, **more: Any) -> dict[str, Any]:
        # W1 turns off to its strips before W2, which lies nearer to the wall.
        return {
            "leads": {
                "W1": lead(BOX, [20 + apart, 1500], [20 + apart, 20 + apart], "A1", "A2", **more),
                "W2": lead(BOX, [20, 1500], [20, 20], [1310, 20], "A3", "A4", "A5", "A6", "A7"),
            }
        }

    @pytest.mark.parametrize(("apart", "seen"), [(6.0, False), (5.99, True)])
    def test_side_by_side(self, apart: float, seen: bool) -> None:
        assert bool(found("lead-on-lead", self.two(apart))) == seen

    def test_in_one_line_it_is_told_of_the_later_lead(self) -> None:
        ((items, (severity, length)),) = found("lead-on-lead", self.two(0.0)).items()
        assert (items, severity) == (("W2",), "warning")
        # Down from 300 mm off the box, at x = 20: 1500 - (300^2 - 20^2)^0.5, to the lower side of
        # the piece along the wall, 17.
        assert length == pytest.approx(1500 - 299.33 - 17, abs=0.1)

    @pytest.mark.parametrize(("thickness", "severity"), [(6.0, "warning"), (5.9, "error")])
    def test_an_error_where_both_are_thicker_than_the_boards(
        self, thickness: float, severity: str
    ) -> None:
        assert found("lead-on-lead", self.two(0.0), **boards(thickness))[("W2",)][0] == severity

    def test_a_stated_thickness_counts(self) -> None:
        room = self.two(0.0, thickness=7.5)
        assert found("lead-on-lead", room)[("W2",)][0] == "error"  # 7.5 + 3 in 10 mm

    def test_where_they_share_a_joint_they_may_touch(self) -> None:
        one = lead(BOX, [30, 1500], [30, 30], "A1", "A2", "A3")
        assert not found(
            "lead-on-lead", {"leads": {"W1": one, "W2": lead("A3", "A4", "A5", "A6", "A7")}}
        )
        # Back along the ends that W1 feeds along: 500 mm, less 100 mm from the joint they share.
        back = lead("A3", "A2.start", [810, 40], [2000, 40], "A4", "A5", "A6", "A7")
        room = {"leads": {"W1": one, "W2": back}}
        assert found("lead-on-lead", room)[("W2",)][1] == pytest.approx(300, abs=1)

    def test_on_itself(self) -> None:
        way = lead(BOX, [30, 1500], [30, 2000], [30, 30], "A")
        ((items, (severity, length)),) = found("lead-on-lead", {"leads": {"W1": way}}).items()
        assert (items, severity) == (("W1",), "warning")
        (said,) = of_rule(check({"rooms.room.leads.W1": way}), "lead-on-lead")
        assert "on itself" in said.message
        assert "two ways of W1" in said.remedy
        # From 300 mm off the box, (300^2 - 30^2)^0.5 = 298.5 up, to 2000, and 3 mm either way.
        assert length == pytest.approx(500 - 298.5 + 6, abs=0.1)

    def test_a_ring_that_ends_where_it_began_does_not_lie_on_itself(self) -> None:
        ring = lead([60, 2900], [900, 2900], [900, 2820], [60, 2820], [60, 2900])
        assert not found("lead-on-lead", {"leads": {"W1": ring}})
        over = lead([60, 2900], [900, 2900], [900, 2820], [500, 2820], [500, 2950])
        assert list(found("lead-on-lead", {"leads": {"W1": over}})) == [("W1",)]

    def test_a_short_way_to_a_joint_and_back_may_be(self) -> None:
        way = lead(BOX, [30, 1500], [30, 30], [310, 30], "A1", [310, 30], [810, 30], "A2")
        assert not found("lead-on-lead", {"leads": {"W1": way}})

    def test_in_one_line_with_very_many(self) -> None:
        room = {"leads": {f"W{n}": lead(BOX, [30, 1500], [30, 30], "A1") for n in range(1, 31)}}
        report = check({"rooms.room": room})
        ours = of_rule(report, "lead-on-lead")
        assert [each.items for each in ours] == [(f"W{n}",) for n in range(2, 31)]
        assert "W1, W10 and W11" in ours[-1].message
        assert tally_of(report, "lead-on-lead").checked == 30


class TestNails:
    def border(self, low: float, fixing: str | None, **room: Any) -> tuple[dict[str, Any], Any]:
        over = [[60, low], [4000, low], [4000, 60], [60, 60]]
        kinds = {"border": {"kind": "engineered wood", "thickness": 14, "fixing": fixing}}
        areas = [{"covering": "border", "over": over}, {"covering": "oak-14"}]
        room = {"covering": None, "coverings": areas, **room}
        return room, {"materials.coverings": kinds}

    @pytest.mark.parametrize(("low", "seen"), [(33.0, False), (32.9, True)])
    def test_a_border_beside_a_lead(self, low: float, seen: bool) -> None:
        way = lead(
            BOX, [30, 1500], [30, 30], [3310, 30], [3310, 10], [3900, 10], [3900, 2850], "A7.end"
        )
        room, top = self.border(low, "nailed", leads={"W1": way})
        hit = ("W1", "border") in found("lead-under-nails", room, **top)
        # The rising piece at 3900 lies under the border in any case, for its part above `low`.
        assert hit
        level = lead(BOX, [30, 1500], [30, 30], [3310, 30])
        room, top = self.border(low, "nailed", leads={"W1": level})
        assert (("W1", "border") in found("lead-under-nails", room, **top)) == seen

    @pytest.mark.parametrize("fixing", ["glued", "floating"])
    def test_what_is_not_nailed_may_lie_over_it(self, fixing: str) -> None:
        room, top = self.border(0, fixing)
        assert not found("lead-under-nails", room, **top)

    def test_how_it_is_fixed_must_be_known(self) -> None:
        room, top = self.border(0, None)
        report = check({"rooms": {"room": room}, **top})
        assert "`fixing`" in str(tally_of(report, "lead-under-nails").reasons)
        assert report.verdict == "insufficient information"

    def test_the_conduit_too(self) -> None:
        over = [[0, 1400], [50, 1400], [50, 1600], [0, 1600]]
        areas = [{"covering": "border", "over": over}, {"covering": "oak-14"}]
        _, top = self.border(0, "nailed")
        room = {"covering": None, "coverings": areas, "leads": {"W1": lead(BOX, [310, 1500])}}
        assert found("lead-under-nails", room, **top) == {
            ("W1", "border"): ("error", 50),
            ("sensor", "border"): ("error", 50),
        }

    def test_the_rest_of_a_nailed_floor_begins_beyond_what_lies_over_the_strips(self) -> None:
        # The strips lie under oak that floats, with all of the border where the lead lies, or not.
        _, top = self.border(0, "nailed")
        for low, seen in ((0, False), (50, True)):
            over = [[low, low], [4000, low], [4000, 3000], [low, 3000]]
            areas = [{"covering": "oak-14", "over": over}, {"covering": "border"}]
            room = {"covering": None, "coverings": areas}
            assert (("W1", "border") in found("lead-under-nails", room, **top)) == seen

    def test_nailed_over_strips_is_told_once(self) -> None:
        top = {"materials.coverings.oak-14.fixing": "nailed"}
        report = check({"rooms": {"room": {}}, **top})
        assert len(of_rule(report, "covering-fixing")) == 1
        assert not of_rule(report, "lead-under-nails")
