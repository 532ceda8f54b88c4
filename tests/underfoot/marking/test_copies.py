"""Submissions that are one plan in disguise, and answers that only look alike."""

import copy
import json
import random
from collections.abc import Callable
from itertools import combinations
from typing import Any

import pytest

from tests.laws.moving import Move
from tests.laws.opening import open_plan
from tests.laws.renaming import rename_ids, renaming
from tests.laws.rewriting import change_units, reorder_maps
from tests.seeded_faults.plans import right_plan
from tests.there import there
from tests.underfoot.marking.demo import demo_desk, plan_of
from tests.underfoot.marking.right_ways import moved
from underfoot.marking.copies import find_copies
from underfoot.marking.traits import Traits, list_traits
from underfoot.reading import read_plan

Data = dict[str, Any]
PERFECT = plan_of("apprentice-01")


def traits_of(data: Data) -> Traits:
    reading = read_plan(json.dumps(data).encode(), path="plan.yaml")
    assert reading.plan is not None, reading.problems
    return there(list_traits(reading.plan))


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


@pytest.mark.slow
@pytest.mark.parametrize("disguise", DISGUISES)
@pytest.mark.parametrize("seed", [3, 11])
def test_a_copy_in_a_class_is_seen_through_its_disguise(disguise: str, seed: int) -> None:
    rng = random.Random(seed)
    answers = [answer(rng) for _ in range(12)]
    plans = [(f"a{at}", traits_of(data)) for at, data in enumerate(answers)]
    plans.append(("copy", traits_of(DISGUISES[disguise](answers[seed % 5]))))
    found = find_copies(plans, list_traits(demo_desk().brief))
    assert [(one.one, one.other) for one in found] == [(f"a{seed % 5}", "copy")]
    assert "strips coincide" in found[0].said or "figure is the same" in found[0].said


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


def test_the_same_plan_is_named_however_many_handed_it_in() -> None:
    rng = random.Random(2)
    others = [(f"b{at}", traits_of(answer(rng))) for at in range(6)]
    plans = [*((f"a{at}", traits_of(PERFECT)) for at in range(6)), *others]
    found = find_copies(plans, list_traits(demo_desk().brief))
    assert [(one.one, one.other) for one in found] == [("a0", f"a{at}") for at in range(1, 6)]
    assert found[0].said == "every strip, place and figure is the same (6 of them)"


def test_the_same_file_is_named_whatever_is_in_it() -> None:
    files = [("a", "x"), ("b", "y"), ("c", "x"), ("c", "x"), ("d", "x")]
    found = find_copies([], None, files)
    assert [(one.one, one.other) for one in found] == [("a", "c"), ("a", "d")]
    assert found[0].said == "the files are the same, byte for byte (3 of them)"
    # Told once, and not again for what is in it.
    plans = [(name, traits_of(PERFECT)) for name in ("a", "c", "d")]
    assert len(find_copies(plans, None, files)) == 2


def test_the_brief_handed_back_by_several_is_no_copied_plan() -> None:
    brief = there(list_traits(demo_desk().brief))
    assert find_copies([("a", brief), ("b", brief)], brief) == ()


def nudge(data: Data, rng: random.Random) -> Data:
    """Move everything a little, each thing by another amount."""

    def few() -> int:
        return rng.choice([-1, 1]) * rng.randrange(2, 20)

    plan = copy.deepcopy(data)
    room, circuit = plan["rooms"]["bedroom"], plan["circuits"]["C1"]
    up = few()
    row, sensor = room["rows"]["A"], room["sensor"]
    row["at"] = [row["at"][0] + rng.randrange(1, 7), row["at"][1] + rng.randrange(1, 7)]
    sensor["at"] = [sensor["at"][0] + few(), sensor["at"][1] + few()]
    room["junction_box"]["at"][1] += up
    room["thermostat"]["height"] += rng.choice([-20, 20])
    box, near, far, end = room["leads"]["W1"]["route"]
    room["leads"]["W1"]["route"] = [box, [near[0] + 3, near[1] + up], [far[0] - 4, far[1]], end]
    circuit["cable"]["length"] = f"{int(circuit['cable']['length'].split()[0]) + 1} m"
    return plan


@pytest.mark.parametrize("seed", range(4))
def test_a_copy_that_was_moved_a_little_everywhere_is_found_and_nobody_else(seed: int) -> None:
    rng = random.Random(seed)
    answers = [answer(rng) for _ in range(24)]
    plans = [(f"a{at}", traits_of(data)) for at, data in enumerate(answers)]
    plans.append(("copy", traits_of(nudge(answers[5], rng))))
    plans.append(("mirrored", traits_of(mirror(nudge(answers[9], rng)))))
    found = find_copies(plans, list_traits(demo_desk().brief))
    assert {(one.one, one.other) for one in found} == {("a5", "copy"), ("a9", "mirrored")}
    for one in found:
        # 26 x 25 / 2 pairs.
        assert "in the class" in one.said
        assert "of 325 pairs" in one.said
        assert "moved a little" in one.said


def test_a_class_that_never_met_is_not_accused_of_moving_things_a_little() -> None:
    rng = random.Random(77)
    for _ in range(6):
        plans = [(f"a{at}", traits_of(answer(rng))) for at in range(24)]
        assert find_copies(plans, list_traits(demo_desk().brief)) == ()
