"""How thick leads are: against the boards that they lie in, and the copper in them."""

from typing import Any

import pytest

from tests.underfoot_rules.leads.drawn import BOX, boards, found, lead
from tests.underfoot_rules.plans import check, tally_of


class TestThickness:
    @pytest.mark.parametrize(
        ("more", "thickness", "seen"),
        [
            ({}, 3.0, False),
            ({}, 2.99, True),
            ({"size": "4 mm2"}, 4.19, True),
            ({"size": "4 mm2"}, 4.2, False),
            ({"thickness": 10}, 10, False),
            ({"thickness": 10.1}, 10, True),
            ({"recessed": False, "thickness": 20}, 10, False),
        ],
    )
    def test_against_the_boards(self, more: Any, thickness: float, seen: bool) -> None:
        room = {"leads": {"W1": more}}
        assert (("W1",) in found("lead-thickness", room, **boards(thickness))) == seen

    def test_two_layers_hold_a_thicker_lead(self) -> None:
        layers = [{"courses": "x", "stagger": 600}, {"courses": "y", "stagger": 600}]
        room = {"leads": {"W1": {"thickness": 19}}, "insulation": {"layers": layers}}
        assert not found("lead-thickness", room)

    @pytest.mark.parametrize(
        ("room", "top", "key"),
        [
            ({"leads": {"W1": {"size": None}}}, {}, "size"),
            ({}, boards(None), "thickness"),  # type: ignore[arg-type]
        ],
    )
    def test_without_the_key_it_is_not_in_order(
        self, room: dict[str, Any], top: dict[str, Any], key: str
    ) -> None:
        report = check({"rooms": {"room": room}, **top})
        row = tally_of(report, "lead-thickness")
        assert (row.checked, row.found, row.undecided) == (1, 0, 1)
        assert f"`{key}`" in str(row.reasons)

    def test_a_second_layer_elsewhere_holds_nothing(self) -> None:
        over = [[2000, 0], [4000, 0], [4000, 3000], [2000, 3000]]
        layers = [{"courses": "x", "stagger": 600}, {"courses": "y", "over": over}]
        room = {"leads": {"W1": {"thickness": 19}}, "insulation": {"layers": layers}}
        assert found("lead-thickness", room) == {("W1",): ("error", 19)}

    def test_layers_that_are_not_drawn_are_one(self) -> None:
        room = {"insulation": {"layers": None}, "leads": {"W1": {"thickness": 10}}}
        assert not found("lead-thickness", room)

    def test_without_insulation_it_is_not_in_order_below_strips(self) -> None:
        row = tally_of(check({"rooms.room.insulation": None}), "lead-thickness")
        assert (row.checked, row.found, row.undecided) == (1, 0, 1)

    def test_in_a_room_without_strips_the_floor_is_not_ours(self) -> None:
        other = {
            "outline": [[0, 0], [2000, 0], [2000, 2000], [0, 2000]],
            "junction_box": {"at": [0, 1000]},
            "leads": {"W9": lead(BOX, [500, 1000])},
        }
        row = tally_of(check({"rooms.other": other}), "lead-thickness")
        assert (row.checked, row.found, row.undecided) == (2, 0, 0)

    def test_too_thick_at_best_is_known_without_a_size(self) -> None:
        room = {"leads": {"W1": {"size": None}}}
        assert ("W1",) in found("lead-thickness", room, **boards(2.5))


@pytest.mark.parametrize(
    ("more", "seen"),
    [
        # A round conductor of 2.5 mm2: 2 * sqrt(2.5 / pi) = 1.7841 mm.
        ({"size": "2.5 mm2", "thickness": 1.785}, False),
        ({"size": "2.5 mm2", "thickness": 1.783}, True),
        # One of 1.5 mm2: 1.3820 mm.
        ({"size": "1.5 mm2", "thickness": 1.383}, False),
        ({"size": "1.5 mm2", "thickness": 1.381}, True),
        # Two flat ones of 1.5 mm2 in a width of 3 mm need 1 mm.
        ({"size": "1.5 mm2", "thickness": 1, "width": 3}, False),
        ({"size": "1.5 mm2", "thickness": 1, "width": 2.9}, True),
        ({"size": None, "thickness": 1}, False),
        ({"size": "2.5 mm2", "thickness": None}, False),
        ({"size": "2.5 mm2", "thickness": 1, "recessed": False}, True),
    ],
)
def test_a_lead_is_no_thinner_than_its_copper(more: dict[str, Any], seen: bool) -> None:
    assert (("W1",) in found("lead-thickness", {"leads": {"W1": more}})) == seen


def test_the_copper_is_the_least_thickness() -> None:
    told = found("lead-thickness", {"leads": {"W1": {"size": "2.5 mm2", "thickness": 1}}})
    assert told == {("W1",): ("error", 1.0)}
