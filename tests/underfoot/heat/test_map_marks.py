"""What stands on a temperature picture: lines that mean something, fixtures, profile, limit."""

import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import pytest

from tests.demo_plans import PLANS
from tests.there import there

pytest.importorskip("scipy", reason="the extra 'heat' is not installed")

from tests.underfoot.heat.test_heat import run

SVG = "{http://www.w3.org/2000/svg}"


def drawn(tmp_path: Path, output: str) -> tuple[str, Any]:
    """Picture the bedroom with a film of another output: room 20 °C, oak allows 27 °C."""
    text = (PLANS / "bedroom.yaml").read_text("utf-8").replace("80 W/m2", output, 1)
    plan = tmp_path / "plan.yaml"
    plan.write_text(text, "utf-8")
    svg = run(str(plan), "--format", "svg").output
    return svg, ET.fromstring(svg)


def numbers(text: str) -> list[float]:
    return [float(each) for each in re.findall(r"-?[0-9.]+", text)]


@pytest.fixture(scope="module")
def mild(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Any]:
    return drawn(tmp_path_factory.mktemp("mild"), "80 W/m2")


@pytest.fixture(scope="module")
def hot(tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Any]:
    return drawn(tmp_path_factory.mktemp("hot"), "200 W/m2")


def labels_of(root: Any) -> list[tuple[float, float, str]]:
    return [
        (float(each.get("x")), float(each.get("y")), each.text)
        for each in root.iter(f"{SVG}text")
        if each.get("font-size") == "17" and (each.text or "").replace(".", "").isdigit()
    ]


def test_no_isotherm_lies_within_noise_of_the_air(mild: tuple[str, Any]) -> None:
    """The air has 20 °C, below as well: all that lies at 20 is what the solution is off."""
    levels = [text for _, _, text in labels_of(mild[1])]
    # The warmest place has 26.6: every whole degree above the air has its label.
    assert levels == ["21", "22", "23", "24", "25", "26"]


def test_each_label_stands_on_the_floor(mild: tuple[str, Any], hot: tuple[str, Any]) -> None:
    for svg, root in (mild, hot):
        assert "NaN" not in svg
        # The map is 1000 wide, and as high as 3120 is to 3650 mm.
        tall = 1000 * 3120 / 3650
        for x, y, _ in labels_of(root):
            assert 20 <= x <= 980
            assert 20 <= y <= tall - 10


def test_no_label_crowds_another_or_a_letter_of_the_profile(
    mild: tuple[str, Any], hot: tuple[str, Any]
) -> None:
    for _, root in (mild, hot):
        letters = [
            (float(each.get("x")), float(each.get("y")) - 6, each.text)
            for each in root.iter(f"{SVG}text")
            if each.text in ("A", "B")
        ]
        assert len(letters) == 2
        labels = labels_of(root)
        # A label of two figures is about 20 wide, of letters 17 high.
        for number, (x, y, _) in enumerate(labels):
            for across, down, _ in [*labels[number + 1 :], *letters]:
                assert math.hypot(x - across, y - 6 - down) > 40


def test_fixtures_are_drawn_with_their_names(mild: tuple[str, Any]) -> None:
    texts = [each.text for each in mild[1].iter(f"{SVG}text")]
    assert "wardrobe" in texts
    assert "bed" in texts
    # The wardrobe stands in the upper left corner, 1800 by 600 of 3650 wide.
    (wardrobe,) = (
        each.get("d")
        for each in mild[1].iter(f"{SVG}path")
        if each.get("stroke-width") == "1.5" and not each.get("stroke-dasharray")
    )
    found = numbers(wardrobe)
    assert max(found[::2]) == pytest.approx(1800 / 3.65, abs=0.2)
    assert max(found[1::2]) == pytest.approx(600 / 3.65, abs=3)


def test_the_limit_is_a_line_where_the_floor_is_warmer(
    mild: tuple[str, Any], hot: tuple[str, Any]
) -> None:
    assert 'class="limit"' not in mild[0]
    assert 'class="limit"' in hot[0]
    for svg, side in ((mild[0], "below"), (hot[0], "above")):
        assert re.search(rf"at most 27 °C: oak-14; the warmest place is [0-9.]+ K {side} it", svg)


def test_the_profile_runs_through_the_warmest_place(hot: tuple[str, Any]) -> None:
    svg, root = hot
    told = there(re.search(r"at y = (\d+) mm, through the warmest place: ([0-9.]+) °C", svg))
    most = there(re.search(r"to ([0-9.]+) °C; the sensor", svg))
    assert float(told[2]) == pytest.approx(float(most[1]), abs=0.11)
    (path,) = (
        each.get("d")
        for each in root.iter(f"{SVG}path")
        if (each.get("stroke-width"), each.get("stroke")) == ("2.5", "#000")
    )
    found = numbers(path)
    assert max(found[::2]) == pytest.approx(1000, abs=1)
    assert min(found[::2]) == pytest.approx(0, abs=1)
    # Warm in the middle, cold at both walls; on paper warmer is higher up.
    heights = found[1::2]
    assert heights[0] > min(heights) + 50
    assert heights[-1] > min(heights) + 50


def test_a_name_that_the_title_ends_with_is_said_once(mild: tuple[str, Any]) -> None:
    """The bedroom's title is "Teasel Court, plot 3, bedroom"."""
    (title,) = mild[1].iter(f"{SVG}title")
    assert there(title.text).split(":")[0] == "Teasel Court, plot 3, bedroom"


def test_the_name_of_what_stands_in_the_wall_is_whole() -> None:
    """The parlour's pouffe stands across a corner: its name was cut at the picture's edge.

    A letter of 17 is some 8 wide on average; the picture reaches from -20 to 1020.
    """
    svg = run(str(PLANS / "parlour.yaml"), "--format", "svg").output
    named = {
        each.text: float(there(each.get("x"))) for each in ET.fromstring(svg).iter(f"{SVG}text")
    }
    for name in ("wardrobe", "bed", "pouffe"):
        assert -20 < named[name] - 4 * len(name) < named[name] + 4 * len(name) < 1020


@pytest.mark.parametrize("name", ["parlour", "attic"])
def test_the_curve_does_not_run_through_the_air(name: str) -> None:
    """The label of the air's temperature is some 105 wide and 16 high; the attic's floor is short.

    The curve is the only path whose pen is 2.5 wide and solid.
    """
    root = ET.fromstring(run(str(PLANS / f"{name}.yaml"), "--format", "svg").output)
    (air,) = (each for each in root.iter(f"{SVG}text") if there(each.text or "x")[:4] == "air ")
    x, y = float(there(air.get("x"))), float(there(air.get("y")))
    (curve,) = (
        each
        for each in root.iter(f"{SVG}path")
        if each.get("stroke-width") == "2.5" and each.get("stroke") == "#000"
    )
    places = numbers(there(curve.get("d")))
    for across, down in zip(places[::2], places[1::2], strict=True):
        assert not (x < across < x + 105 and y - 12 < down < y + 2)
