"""What is explained where the pointer rests."""

from datetime import date
from pathlib import Path

import pytest

from tests.demo_plans import PLANS
from tests.there import there
from underfoot.editor.explaining import explain
from underfoot.editor.hovering import find_pointed
from underfoot.editor.judging import Judge, Judged
from underfoot.running.checking import rule_sets_to_use

TODAY = date(2026, 11, 29)


def _judge(text: str, name: str = "bedroom.yaml") -> Judged:
    return Judge(rule_sets_to_use(), TODAY).judge(str(PLANS / name), text.encode())


@pytest.fixture(scope="module")
def bedroom() -> Judged:
    return _judge((PLANS / "bedroom.yaml").read_text("utf-8"))


def _explain(judged: Judged, kind: str, name: str) -> list[str]:
    assert judged.facts is not None
    told = there(explain(judged.facts, there(judged.bench).settings, kind, name))
    return told.split("\n")


def test_a_strip(bedroom: Judged) -> None:
    # 3 m of 500 mm at 80 W/m2 is 120 W: at 230 V 0.52 A and 440.8 ohm, -10 % to +5 % of power.
    told = _explain(bedroom, "strip", "A5")
    assert told[0] == "**Strip A5**"
    assert told[2:] == [
        "- film: film-80, 500 mm wide",
        "- length: 3000 mm",
        "- power: 120 W",
        "- current: 0.52 A at 230 V",
        "- expected resistance: 440.8 Ω (419.8 Ω to 489.8 Ω)",
        "- circuit: C1",
    ]
    assert _explain(bedroom, "stop", "A5") == told


def test_a_circuit_and_its_row(bedroom: Judged) -> None:
    # 4 x 2.25 m and 3 x 3 m are 18 m: 720 W.
    assert _explain(bedroom, "circuit", "C1")[2:] == [
        "- strips: 7 strips, 18 m in all",
        "- rooms: bedroom",
        "- power: 720 W",
        "- current: 3.13 A at 230 V",
        "- expected resistance: 73.5 Ω (70 Ω to 81.6 Ω)",
        "- breaker: 10 A",
        "- RCD: 30 mA",
    ]
    assert _explain(bedroom, "row", "A")[2:] == [
        "- strips: 7 strips, 18 m in all",
        "- power: 720 W",
        "- current: 3.13 A",
        "- circuit: C1",
    ]


def test_a_film(bedroom: Judged) -> None:
    assert _explain(bedroom, "film", "film-80")[2:] == [
        "- width: 500 mm",
        "- output: 80 W/m², 40 W/m at 230 V",
        "- cut every: 250 mm",
        "- longest strip: 9000 mm",
        "- laid in this plan: 7 strips, 18 m in all",
    ]


def test_a_room(bedroom: Judged) -> None:
    told = _explain(bedroom, "room", "bedroom")
    assert told[2:4] == ["- floor: 11.39 m²", "- heated: 9 m², 79 % of the floor"]
    assert told[4].startswith("- of the floor that could be heated: 9")
    assert told[5:] == ["- installed: 720 W, 63.2 W/m² of floor", "- heat demand: 470 W, as given"]


def test_without_rules_nothing_is_said_of_where_strips_may_lie() -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    bare = Judge((), TODAY).judge(str(PLANS / "bedroom.yaml"), text.encode())
    told = _explain(bare, "room", "bedroom")
    assert told[2:5] == [
        "- floor: 11.39 m²",
        "- heated: 9 m², 79 % of the floor",
        "- installed: 720 W, 63.2 W/m² of floor",
    ]


def test_a_catalogue_is_looked_for_beside_the_plan(tmp_path: Path) -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    film = text[text.index("    film-80:") : text.index("  boards:\n")]
    (tmp_path / "films.yaml").write_text(f"catalogue_format: 1\nmaterials:\n  films:\n{film}")
    shared = text.replace(f"  films:\n{film}", "").replace(
        "materials:", "catalogue: films.yaml\nmaterials:", 1
    )
    judged = Judge(rule_sets_to_use(), TODAY).judge(str(tmp_path / "bedroom.yaml"), shared.encode())
    assert judged.told.problems == ()
    assert "- laid in this plan: 7 strips, 18 m in all" in _explain(judged, "film", "film-80")


def test_what_other_heaters_give() -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    told = _explain(_judge(text.replace("heat_loss: 470 W", "heat_loss: 470 W\n    "
                                        "other_heat: 70 W")), "room", "bedroom")  # fmt: skip
    assert told[-1] == "- heat demand: 470 W, as given, less 70 W of other heaters: 400 W"


FABRIC = """fabric:
      inside: 20 degC
      outside: -10 degC
      surfaces:
        - {name: wall, area: 10 m2, u_value: 0.5 W/m2/K, beyond: outside}
        - {name: door, area: 2 m2, u_value: 1 W/m2/K, beyond: 15 degC}"""


def test_demand_out_of_the_fabric() -> None:
    text = (PLANS / "bedroom.yaml").read_text("utf-8")
    plain = _judge(text.replace("heat_loss: 470 W", FABRIC))
    # 10 x 0.5 x 30 K and 2 x 1 x 5 K.
    assert _explain(plain, "room", "bedroom")[-1].startswith("- heat demand: 160 W, of")
    # The room holds 11.39 m2 x 2.4 m; 0.34 x 0.5 x 27.33 x 30 K are 139 W more.
    aired = _judge(text.replace("heat_loss: 470 W", f"{FABRIC}\n      air_changes: 0.5 1/h"))
    assert _explain(aired, "room", "bedroom")[-1].startswith("- heat demand: 299 W, of")
    beyond = _judge(text.replace("heat_loss: 470 W", FABRIC.replace("15 degC", "unheated")))
    assert "not given in full" in _explain(beyond, "room", "bedroom")[-1]


@pytest.mark.parametrize(("kind", "name"), [("strip", "Z9"), ("film", "A5"), ("group", "R1")])
def test_nothing_is_known(bedroom: Judged, kind: str, name: str) -> None:
    assert bedroom.facts is not None
    assert explain(bedroom.facts, there(bedroom.bench).settings, kind, name) is None


def test_a_key() -> None:
    text = "supply: {voltage: 230 V, phases: 1}\nstatus: laid\n"
    pointed = there(find_pointed(text, (0, 10)))
    assert pointed.says.startswith("**`voltage`** of the supply\n\nVoltage of the supply")
    assert "- it is needed" in pointed.says
    assert "- unit: kept in V" in pointed.says
    phases = there(find_pointed(text, (0, 27)))
    assert "- left out, it is `1`" in phases.says
    assert "- written as: 1 or 3" in phases.says
    assert find_pointed(text, (0, 19)) is not None
    assert find_pointed("nothing: 1\n", (0, 3)) is None
    assert find_pointed("# remark\n", (0, 3)) is None


def test_settings_beside_the_plan_count(tmp_path: Path) -> None:
    settings = tmp_path / "underfoot.yaml"
    text = (PLANS / "bedroom.yaml").read_bytes()
    judge = Judge(rule_sets_to_use(), TODAY)
    place = str(tmp_path / "bedroom.yaml")
    assert judge.judge(place, text).told.findings == ()
    settings.write_text(
        "settings_format: 1\nlimits:\n  wall-clearance: {minimum: 100, because: the manual}\n"
    )
    judge.forget()
    assert {each.rule for each in judge.judge(place, text).told.findings} == {"wall-clearance"}
    settings.write_text("settings_format: 1\nlimtis: {}\n")
    judge.forget()
    (remark,) = judge.judge(place, text).told.remarks
    assert "limtis" in remark
