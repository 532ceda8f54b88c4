"""Submissions that are one plan in disguise, and answers that only look alike."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Callable
from itertools import combinations
from typing import Any

import pytest

from tests.laws.moving import Move, move_rooms
from tests.laws.opening import open_plan
from tests.laws.renaming import rename_ids, renaming
from tests.laws.rewriting import change_units, reorder_maps
from tests.seeded_faults.plans import right_plan
from tests.underfoot.marking.demo import demo_desk, plan_of
from underfoot.marking.copies import find_copies
from underfoot.marking.traits import Traits, list_traits
from underfoot.reading import read_plan

Data = dict[str, Any]
PERFECT = plan_of("apprentice-01")


def traits_of(data: Data) -> Traits:
    reading = read_plan(json.dumps(data).encode(), path="plan.yaml")
    assert reading.plan is not None, reading.problems
    traits = list_traits(reading.plan)
    assert traits is not None
    return traits


def answer(rng: random.Random) -> Data:
    """Draw an answer to the demo brief, as one of many who never met would."""
    plan = copy.deepcopy(PERFECT)
    room = plan["rooms"]["bedroom"]
    start = rng.randrange(58, 90, 2)
    height = rng.randrange(500, 2300, 20)
    aside = rng.randrange(20, 45)
    if rng.random() < 0.3:
        row = {"film": "film-80", "at": [start, start], "along": "x", "circuit": "C1",
               "lengths": [3500, 3500, 3500, 3500, 1500]}  # fmt: skip
        sensor = [start + rng.randrange(300, 1500, 10), start + 250 + 500 * rng.randrange(0, 4)]
    else:
        row = {**room["rows"]["A"], "at": [start, start]}
        sensor = [start + 250 + 500 * rng.randrange(0, 4), rng.choice([height, height + 200])]
    room["rows"]["A"] = row
    room["junction_box"] = {"at": [0, height], "height": rng.choice([300, 400, 450, 450, 500])}
    room["thermostat"]["height"] = rng.choice([1200, 1350, 1400, 1400, 1400, 1450, 1500])
    room["sensor"].update(at=sensor, cable=f"{rng.choice([2.5, 3, 3, 3.5, 4, 5])} m")
    room["membrane"]["runs"]["overlap"] = rng.choice([100, 120, 150, 150, 200])
    room["leads"]["W1"]["route"] = ["junction-box", [aside, height], [aside, 30], "A"]
    plan["circuits"]["C1"]["cable"]["length"] = f"{rng.randrange(8, 24)} m"
    return plan


def mirror(data: Data) -> Data:
    return moved(data, Move(mirrored=True))


def moved(data: Data, move: Move) -> Data:
    opened = open_plan(data)
    return move_rooms(opened, dict.fromkeys(opened["rooms"], move))


def shift(data: Data, by: float = 20) -> Data:
    """Move every strip, and the sensor with them; what hangs on walls stays."""
    less = open_plan(data)
    for room in less["rooms"].values():
        for element in room["elements"].values():
            element["at"] = [element["at"][0] + by, element["at"][1]]
        room["sensor"]["at"] = [room["sensor"]["at"][0] + by, room["sensor"]["at"][1]]
    return less


def rename(data: Data) -> Data:
    return rename_ids(data, renaming(data, random.Random(5)))


DISGUISES: dict[str, Callable[[Data], Data]] = {
    "none": lambda data: data,
    "other ids": rename,
    "another order": lambda data: reorder_maps(data, random.Random(5)),
    "other units": lambda data: change_units(data, random.Random(5)),
    "mirrored": mirror,
    "turned": lambda data: moved(data, Move(turn_deg=90)),
    "mirrored and turned": lambda data: moved(data, Move(turn_deg=180, mirrored=True)),
    "moved by 20 mm": shift,
    "moved by 100 mm": lambda data: shift(data, 100),
    "all of it": lambda data: change_units(
        reorder_maps(rename(shift(mirror(data))), random.Random(3)), random.Random(4)
    ),
}


@pytest.mark.parametrize("disguise", DISGUISES)
@pytest.mark.parametrize("seed", [3, 11])
def test_a_copy_in_a_class_is_seen_through_its_disguise(disguise: str, seed: int) -> None:
    rng = random.Random(seed)
    answers = [answer(rng) for _ in range(12)]
    plans = [(f"a{at}", traits_of(data)) for at, data in enumerate(answers)]
    plans.append(("copy", traits_of(DISGUISES[disguise](answers[seed % 5]))))
    found = find_copies(plans, list_traits(demo_desk().brief))
    assert [(one.one, one.other) for one in found] == [(f"a{seed % 5}", "copy")]
    assert "strips coincide" in found[0].said


def test_the_way_to_lay_one_on_the_other_is_said() -> None:
    plans = [("a", traits_of(PERFECT)), ("b", traits_of(mirror(PERFECT)))]
    (found,) = find_copies(plans, None)
    assert "mirrored left to right" in found.said
    plans = [("a", traits_of(PERFECT)), ("b", traits_of(shift(PERFECT)))]
    (found,) = find_copies(plans, None)
    assert "moved by 20 mm" in found.said


def test_one_changed_figure_hides_no_copy_and_other_choices_make_none() -> None:
    touched = copy.deepcopy(PERFECT)
    touched["circuits"]["C1"]["cable"]["length"] = "99 m"
    plans = [("a", traits_of(PERFECT)), ("b", traits_of(touched))]
    assert find_copies(plans, None)
    anew = copy.deepcopy(PERFECT)
    anew["rooms"]["bedroom"]["junction_box"]["at"] = [0, 700]
    anew["rooms"]["bedroom"]["sensor"]["at"] = [1310, 700]
    anew["rooms"]["bedroom"]["leads"]["W1"]["route"] = ["junction-box", [20, 700], [20, 45], "A"]
    assert not find_copies([("a", traits_of(PERFECT)), ("b", traits_of(anew))], None)


def test_answers_to_one_brief_that_know_nothing_of_each_other_are_not_accused() -> None:
    rng = random.Random(20)
    accused = 0
    for _ in range(4):
        plans = [(f"a{at}", traits_of(answer(rng))) for at in range(30)]
        accused += len(find_copies(plans, list_traits(demo_desk().brief)))
    # Of 4 classes, 1740 pairs.
    assert accused == 0


def test_plans_of_rooms_drawn_at_random_are_not_accused() -> None:
    plans = [(str(seed), traits_of(right_plan(seed))) for seed in range(14)]
    assert len(list(combinations(plans, 2))) == 91
    assert find_copies(plans, None) == ()


def test_a_copy_of_a_plan_drawn_at_random_is_found() -> None:
    found = 0
    for seed in range(6):
        data = right_plan(seed)
        disguised = reorder_maps(moved(data, Move(mirrored=True)), random.Random(seed))
        plans = [("a", traits_of(data)), ("b", traits_of(disguised))]
        found += len(find_copies(plans, None))
    assert found >= 5  # a room of one or two strips leaves too little to go by


def test_attempts_of_one_apprentice_are_no_copies() -> None:
    assert find_copies([("a", traits_of(PERFECT)), ("a", traits_of(PERFECT))], None) == ()


def test_what_everybody_does_is_no_evidence() -> None:
    plans = [(f"a{at}", traits_of(PERFECT)) for at in range(6)]
    assert find_copies(plans, None) == ()
