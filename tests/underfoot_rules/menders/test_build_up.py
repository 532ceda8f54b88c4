"""What lies over and under the strips is chosen of what the plan has, as long as it is not laid."""

import pytest
import yaml

from tests.underfoot_rules.menders.asking import judge, mended, mends, plan, says
from underfoot.api.rules import Data
from underfoot_rules import BASE_PLAN

OAK = yaml.safe_load(BASE_PLAN)["materials"]["coverings"]["oak-14"]


LAYERS = [{"material": "boards", "thickness": 22, "conductivity": "0.14 W/m/K"}]


def oak(**told: object) -> Data:
    """Change the oak that lies, and have another beside it that does for the film."""
    return {"materials.coverings": {"oak-14": told, "oak-10": OAK}}


@pytest.mark.parametrize(
    ("change", "rule", "item"),
    [
        (oak(fixing="glued"), "covering-bond", "oak-14"),
        (oak(fixing="nailed"), "covering-fixing", "oak-14"),
        (oak(kind="carpet"), "covering-suits-film", None),
        (oak(kind="carpet"), "load-spreading", "oak-14"),
        (oak(fixing="glued"), "film-standard", None),
        (oak(most_output="60 W/m2"), "covering-output", None),
        (oak(resistance="0.20 m2 K/W"), "covering-resistance", None),
    ],
)
def test_another_covering_is_chosen_until_it_lies(
    change: Data, rule: str, item: str | None
) -> None:
    choose = "Choose covering oak-10 (engineered wood) in place of oak-14 for room room."
    assert choose in says(plan(change), rule, item)
    assert says(plan({**change, "status": "laid"}), rule, item)
    assert says(plan({**change, "status": "covered"}), rule, item) == []


def test_a_covering_of_the_same_kind_is_chosen_first() -> None:
    laminate = {**OAK, "kind": "laminate"}
    data = plan({"materials": {"coverings": {"oak-14": {"fixing": "glued"}, "laminate-8": laminate,
                                             "oak-10": OAK}}})  # fmt: skip
    data["materials"]["coverings"] = dict(sorted(data["materials"]["coverings"].items()))
    assert mended(data, "covering-bond", "oak-14")["rooms"]["room"]["covering"] == "oak-10"


def test_a_covering_is_changed_where_it_is_written() -> None:
    two = plan(oak(fixing="glued"))
    two["rooms"]["room"]["coverings"] = [{"covering": "oak-14"}]
    del two["rooms"]["room"]["covering"]
    (mend,) = mends(two, "covering-bond", "oak-14")
    assert [edit.path for edit in mend.patch] == [("rooms", "room", "coverings", 0, "covering")]


def test_a_covering_that_does_no_better_is_not_offered() -> None:
    both = {"materials": {"coverings": {"oak-14": {"fixing": "glued"},
                                        "oak-10": {**OAK, "fixing": "glued"}}}}  # fmt: skip
    assert says(plan(both), "covering-bond", "oak-14") == []


def test_another_film_is_laid_until_it_is_cut() -> None:
    film = yaml.safe_load(BASE_PLAN)["materials"]["films"]["film-80"]
    change = {"materials.films": {"film-80": {"suits": ["laminate"]}, "film-81": film}}
    data = plan(change)
    assert says(data, "covering-suits-film") == [
        "Lay film film-81 in place of film-80 in room room."
    ]
    assert mended(data, "covering-suits-film")["rooms"]["room"]["rows"]["A"]["film"] == "film-81"
    made_up = {**plan(change), "tests": [{"circuit": "C1", "stage": "made up"}]}
    assert says(made_up, "covering-suits-film") == []


def test_a_film_of_another_width_is_not_offered() -> None:
    film = yaml.safe_load(BASE_PLAN)["materials"]["films"]["film-80"]
    films = {"film-80": {"suits": ["laminate"]}, "film-81": {**film, "width": 400}}
    assert says(plan({"materials.films": films}), "covering-suits-film") == []


def test_an_underlay_is_chosen_that_leaves_the_covering_its_heat() -> None:
    # 0.15 are allowed for both, and the oak has 0.10.
    thick = plan({"rooms.room.underlay.resistance": "0.09 m2 K/W"})
    assert says(thick, "covering-resistance") == [
        "Choose an underlay of at most 0.05 m² K/W for room room."
    ]
    after = mended(thick, "covering-resistance")["rooms"]["room"]["underlay"]
    assert after["resistance"] == "0.05 m2 K/W"


def test_boards_are_laid_that_spread_loads() -> None:
    soft = plan(
        {"materials": {"coverings": {"oak-14": {"kind": "vinyl plank"}},
                       "films": {"film-80": {"suits": ["vinyl plank"]}}},
         "rooms": {"room": {"underlay": None, "subfloor": {"layers": LAYERS}}}}
    )  # fmt: skip
    soft["materials"]["coverings"]["oak-14"]["resistance"] = "0.05 m2 K/W"
    (mend,) = mends(soft, "load-spreading")
    assert mend.says == "Lay boards of hardboard, 6 mm, loose over the membrane of room room."
    assert mend.patch[0].value["fixing"] == "floating"
    thin = {"thickness": 3, "material": "cork", "resistance": "0.03 m2 K/W", "fixing": "floating"}
    soft["rooms"]["room"]["overlay"] = thin
    after = mended(soft, "load-spreading")["rooms"]["room"]["overlay"]
    assert (after["material"], after["thickness"]) == ("hardboard", 6)


@pytest.mark.parametrize(("fixing", "rule"), [("glued", "covering-bond"),
                                              ("screwed", "covering-fixing")])  # fmt: skip
def test_an_overlay_is_laid_loose(fixing: str, rule: str) -> None:
    overlay = {"thickness": 6, "material": "hardboard", "resistance": "0.02 m2 K/W",
               "fixing": fixing}  # fmt: skip
    data = plan({"rooms.room.overlay": overlay})
    assert mended(data, rule, "overlay")["rooms"]["room"]["overlay"]["fixing"] == "floating"


def test_another_heater_gives_what_the_floor_cannot() -> None:
    cold = plan({"rooms.room": {"heat_loss": "1200 W", "subfloor": {"layers": LAYERS}}})
    found = next(each for each in judge(cold)[1].standing if each.rule.id == "heat-demand").finding
    assert found.least is not None
    assert found.measured is not None
    missing = found.least - found.measured
    before = mended(cold, "heat-demand")["rooms"]["room"]
    assert before["heat_loss"] == "1200 W"
    planned = float(before["other_heat"].removesuffix(" W"))
    assert 0 <= planned - missing < 10
    cold["rooms"]["room"]["other_heat"] = "0.1 kW"
    after = mended(cold, "heat-demand")["rooms"]["room"]["other_heat"]
    assert float(after.removesuffix(" kW")) * 1000 == planned


def test_a_barrier_is_laid_until_the_boards_lie_on_it() -> None:
    damp = {"rooms.room.subfloor": {"kind": "concrete", "below": "ground"}}
    data = plan(damp)
    assert "Lay a damp barrier of pe-02 below the insulation of room room." in says(
        data, "moisture-barrier"
    )
    assert says(plan({**damp, "status": "laid"}), "moisture-barrier") == []


def test_nothing_is_offered_for_what_was_measured() -> None:
    wet = {"kind": "concrete", "below": "ground", "moisture": "4 %"}
    assert says(plan({"rooms.room.subfloor": wet}), "moisture-reading") == []
