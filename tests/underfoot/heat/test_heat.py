"""The temperature picture: isotherms, colours, map, figures and command."""

import json
import xml.etree.ElementTree as ET
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from tests.demo_plans import PLANS
from underfoot.heat.isotherms import trace_isotherms

pytestmark = pytest.mark.slow

pytest.importorskip("scipy", reason="the extra 'heat' is not installed")


def run(*arguments: str):
    from underfoot.commands.heat import heat

    return CliRunner().invoke(heat, list(arguments), standalone_mode=False)


def test_isotherms_of_a_cone_are_circles() -> None:
    y, x = np.mgrid[0:80, 0:80] + 0.5
    values = np.hypot(x - 40, y - 40)
    (line,) = trace_isotherms(values, 25.0)
    assert line[0] == line[-1]
    radii = [np.hypot(px - 40, py - 40) for px, py in line]
    assert max(abs(radius - 25) for radius in radii) < 0.01


def test_isotherms_stop_where_nothing_is_known() -> None:
    values = np.tile(np.arange(10.0), (6, 1))
    values[3:, :] = np.nan
    (line,) = trace_isotherms(values, 4.5)
    assert {round(x, 3) for x, _ in line} == {5.0}
    assert max(y for _, y in line) == 2.5


def test_the_scale_gets_lighter_evenly() -> None:
    from underfoot.heat.map import colour_at

    def lightness(rgb: tuple[int, int, int]) -> float:
        linear = [c / 255 / 12.92 if c / 255 <= 0.04045 else ((c / 255 + 0.055) / 1.055) ** 2.4
                  for c in rgb]  # fmt: skip
        luminance = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
        return 116 * luminance ** (1 / 3) - 16  # CIE L*, above 0.9 % of white

    steps = np.diff([lightness(colour_at(share / 10)) for share in range(11)])
    assert steps.min() > 0.7 * steps.mean()
    assert steps.max() < 1.3 * steps.mean()


def test_the_map_is_well_formed_and_names_the_sensor() -> None:
    done = run(str(PLANS / "bedroom.yaml"), "--format", "svg")
    root = ET.fromstring(done.output)
    texts = "".join(root.itertext())
    assert "sensor, film" in texts
    assert "certifies nothing" in texts
    assert root.find(".//{*}image") is not None


def test_the_sensor_is_held_against_the_film_and_not_the_surface() -> None:
    # The film lies below the covering and is warmer than the floor's surface throughout.
    words = " ".join(run(str(PLANS / "bedroom.yaml")).output.split())
    assert "K off the film's mean" in words
    drawn = run(str(PLANS / "bedroom.yaml"), "--format", "svg").output
    assert "K off the film's mean" in drawn


def test_the_ending_of_the_file_chooses_the_format(tmp_path: Path) -> None:
    plan = str(PLANS / "bedroom.yaml")
    for name, begins in (("map.svg", "<svg"), ("map.json", "{"), ("map.txt", "Room bedroom")):
        run(plan, "--output", str(tmp_path / name))
        assert (tmp_path / name).read_text("utf-8").startswith(begins)


def test_figures_agree_with_the_rule_in_one_dimension() -> None:
    # The rule's own figures for this plan, by ISO 11855-2 in one dimension: DERIVED.
    done = run(str(PLANS / "kitchen.yaml"), "--format", "json")
    (room,) = json.loads(done.output)["rooms"]
    report = (PLANS / "kitchen.report.txt").read_text("utf-8")
    assert "up                              114.6 W/m²" in report
    assert room["surface_most_c"] == pytest.approx(20 + 114.6 / 10.8, abs=0.1)
    assert room["heat_in_w"] == pytest.approx(room["heat_up_w"] + room["heat_down_w"], rel=1e-6)


def test_text_says_where_the_floor_stays_cold() -> None:
    done = run(str(PLANS / "nursery.yaml"))
    assert "cold floor" in done.output
    assert "CAUTION" in done.output
    assert max(map(len, done.output.splitlines())) <= 80


def test_a_plan_that_says_too_little_is_told(tmp_path: Path) -> None:
    plan = (PLANS / "bedroom.yaml").read_text("utf-8")
    bare = tmp_path / "bare.yaml"
    bare.write_text(plan.replace("    covering: oak-14\n", ""), "utf-8")
    done = run(str(bare))
    assert done.return_value == 1
    assert "could not be pictured: no covering is given" in " ".join(done.output.split())
