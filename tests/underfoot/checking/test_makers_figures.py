"""Makers' figures that a plan gives itself: always told, and errors where the settings own them."""

import json
import os
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.underfoot.asking import Ask
from tests.underfoot.commands.tiny_plans import data_of
from underfoot.__main__ import main
from underfoot.checking.makers_figures import MAKERS_FIGURES
from underfoot.checking.page import Example, page_of
from underfoot.testing import check_example
from underfoot_rules import STANDARD

Said = pytest.CaptureFixture[str]
BASE = yaml.safe_load(STANDARD.base_plan)
MATERIALS = BASE["materials"]
FILM = MATERIALS["films"]["film-80"]
OWNING = {"materials_from": {"catalogues": ["shared/catalogue.yaml"], "because": "kept there"}}


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A repository with the base plan's materials in a catalogue."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / ".git").mkdir()
    put("shared/catalogue.yaml", {"catalogue_format": 1, "materials": MATERIALS})


def put(place: str, data: Any) -> None:
    Path(place).parent.mkdir(parents=True, exist_ok=True)
    plain = json.loads(json.dumps(data))  # without what would be written as an anchor
    Path(place).write_text(yaml.safe_dump(plain, sort_keys=False), "utf-8")


def settle(**settings: Any) -> None:
    put("underfoot.yaml", {"settings_format": 1, **settings})


def put_plan(materials: Any, **more: Any) -> None:
    plan = {**BASE, "materials": materials, "catalogue": "../shared/catalogue.yaml", **more}
    put("plans/a.yaml", {key: value for key, value in plan.items() if value is not None})


def found(capsys: Said, *options: str) -> list[dict[str, Any]]:
    main(["check", "plans", "--format", "json", *options])
    (plan,) = data_of(capsys)["plans"]
    assert not plan["problems"]
    assert not plan["faults"]
    return [each for each in plan["findings"] if each["rule"] == "makers-figures"]


@pytest.mark.parametrize("example", page_of(MAKERS_FIGURES).examples, ids=str)
def test_the_examples_of_its_page(example: Example) -> None:
    check_example(example, STANDARD)


def test_a_plan_that_takes_all_from_its_catalogue_is_left_alone(house: None, capsys: Said) -> None:
    put_plan({})
    assert found(capsys) == []
    settle(**OWNING)
    assert found(capsys) == []


def test_an_entry_of_its_own_beside_the_catalogue_hides_nothing(house: None, capsys: Said) -> None:
    put_plan({"films": {"film-90": FILM}})
    assert found(capsys) == []


def test_both_values_are_told_with_units_and_places(house: None, capsys: Said) -> None:
    # Without `sort_keys` the file has the keys in this order, one a line.
    own = {**FILM, "output": "120 W/m2", "width": 600, "tolerance": [-5, 5]}
    del own["longest_strip"]
    put_plan({"films": {"film-80": own}})
    lines = Path("plans/a.yaml").read_text("utf-8").splitlines()
    there = Path("shared/catalogue.yaml").read_text("utf-8").splitlines()

    def line(of: list[str], key: str) -> int:
        return next(number for number, text in enumerate(of, 1) if text.strip().startswith(key))

    (finding,) = found(capsys)
    assert (finding["severity"], finding["items"]) == ("warning", ["film-80"])
    assert finding["path"] == "materials.films.film-80"
    assert finding["line"] == line(lines, "film-80:")
    assert finding["message"] == (
        "Film film-80 is the plan's own and hides that of the catalogue "
        f"(shared/catalogue.yaml:{line(there, 'film-80:')}): "
        f"`width` 600 mm (line {line(lines, 'width:')}), in the catalogue 500 mm (line "
        f"{line(there, 'width:')}); "
        f"`output` 120 W/m2 (line {line(lines, 'output:')}), in the catalogue 80 W/m2 (line "
        f"{line(there, 'output:')}); "
        f"`tolerance` -5 % to 5 % (line {line(lines, 'tolerance:')}), in the catalogue -10 % to "
        f"5 % (line {line(there, 'tolerance:')}); and 1 more."
    )
    assert finding["details"][3] == {
        "name": "longest_strip",
        "text": f"not given, in the catalogue 9 m (line {line(there, 'longest_strip:')})",
    }


@pytest.mark.parametrize(
    "change",
    [
        {"width": "0.5 m", "longest_strip": 9000},
        {"output": "0.08 kW/m2"},
        {"suits": ["engineered wood", "laminate"]},
        {"note": "as ordered"},
        {"tolerance": ["-10 %", "5 %"]},
    ],
)
def test_the_same_figure_in_other_words_is_the_same(
    house: None, capsys: Said, change: dict[str, Any]
) -> None:
    put_plan({"films": {"film-80": {**FILM, **change}}})
    (finding,) = found(capsys)
    assert finding["severity"] == "note"
    assert finding["message"].endswith("though all its figures are the same.")


@pytest.mark.parametrize(
    ("kind", "name", "change", "severity"),
    [
        ("boards", "board-10", {"thickness": 12}, "note"),
        ("boards", "board-10", {"size": [600, 1200]}, "note"),
        ("sheets", "pe-02", {"width": "3 m"}, "note"),
        ("coverings", "oak-14", {"thickness": 15}, "note"),
        ("coverings", "oak-14", {"warmest_surface": "29 degC"}, "warning"),
        ("coverings", "oak-14", {"resistance": "0.11 m2 K/W"}, "warning"),
        ("films", "film-80", {"voltage": "240 V"}, "warning"),
    ],
)
def test_how_grave_it_is_follows_what_it_touches(
    house: None, capsys: Said, kind: str, name: str, change: dict[str, Any], severity: str
) -> None:
    put_plan({kind: {name: {**MATERIALS[kind][name], **change}}})
    (finding,) = found(capsys)
    assert (finding["severity"], finding["items"]) == (severity, [name])
    assert next(iter(change)) in finding["message"]


def test_steps_of_the_method_that_differ_are_told(house: None, capsys: Said) -> None:
    method = {"busbars": "down", "elements_taped": True, "bare_conductor": 6}
    catalogue = {"catalogue_format": 1, "materials": MATERIALS, "method_statement": method}
    put("shared/catalogue.yaml", catalogue)
    put_plan({}, method_statement={"busbars": "down", "connector_tool": "ratchet"})
    assert found(capsys) == []
    put_plan({}, method_statement={"bare_conductor": 8})
    for owned in ({}, OWNING):
        settle(**owned)
        (finding,) = found(capsys)
        assert finding["severity"] == "note"
        assert "`bare_conductor` 8 mm (line" in finding["message"]
        assert "in the catalogue 6 mm (line" in finding["message"]


def test_what_the_settings_own_is_no_plan_s(house: None, capsys: Said, ask: Ask) -> None:
    settle(locked=True, **OWNING)
    waiver = {"rule": "makers-figures", "reason": "x", "agreed_by": "y"}
    put_plan({"films": {"film-80": FILM, "film-90": FILM}}, waivers=[waiver])
    findings = found(capsys)
    assert [(each["severity"], each["items"]) for each in findings] == [
        ("error", ["film-80"]),
        ("error", ["film-90"]),
    ]
    for each in findings:
        assert "come from shared/catalogue.yaml alone" in each["message"]
        assert each["basis"] == {"kind": "settings", "text": "kept there (underfoot.yaml:3)"}
        assert each["waiver"] is None
    (plan,) = ask("check plans --format json", status=1).data["plans"]
    (lapsed,) = [each for each in plan["findings"] if each["rule"] == "waiver-lapsed"]
    assert "makers-figures is told always, and no plan may waive it" in lapsed["message"]
    assert plan["verdict"] == "revise and resubmit"


def test_another_catalogue_is_an_error_by_whatever_name(house: None, capsys: Said) -> None:
    settle(**OWNING)
    put("plans/own.yaml", {"catalogue_format": 1, "materials": MATERIALS})
    put_plan({}, catalogue="own.yaml")
    (finding,) = found(capsys)
    assert (finding["severity"], finding["path"]) == ("error", "catalogue")
    assert "The plan takes its materials from own.yaml" in finding["message"]
    # Another way to the same file is that file; a link of its name to another one is not.
    put_plan({}, catalogue="../plans/../shared/catalogue.yaml")
    assert found(capsys) == []
    os.remove("shared/catalogue.yaml")
    os.symlink("../plans/own.yaml", "shared/catalogue.yaml")
    put_plan({}, catalogue="own.yaml")
    assert found(capsys) == []


def test_a_plan_without_a_catalogue_has_only_its_own(house: None, capsys: Said) -> None:
    put_plan(MATERIALS, catalogue=None)
    assert found(capsys) == []
    settle(**OWNING)
    assert {each["severity"] for each in found(capsys)} == {"error"}
    assert len(found(capsys)) == 4


@pytest.mark.parametrize(
    ("nearer", "refused"),
    [
        ({"materials_from": {"catalogues": ["own.yaml"], "because": "x"}}, True),
        ({"materials_from": {"catalogues": ["../shared/catalogue.yaml", "own.yaml"],
                             "because": "x"}}, True),
        ({"materials_from": {"catalogues": ["../shared/catalogue.yaml"], "because": "x"}}, False),
        ({"rules": {"makers-figures": {"off": True, "because": "x"}}}, True),
    ],
)  # fmt: skip
def test_below_a_lock_no_catalogue_is_added(
    house: None, capsys: Said, nearer: dict[str, Any], refused: bool
) -> None:
    settle(locked=True, **OWNING)
    put("plans/underfoot.yaml", {"settings_format": 1, **nearer})
    put_plan({})
    status = main(["check", "plans"])
    said = " ".join(capsys.readouterr().out.split())
    assert (status == 2) == refused
    assert ("UNREADABLE" in said) == refused


@pytest.mark.parametrize("what", [{"off": True}, {"severity": "note"}])
def test_nothing_switches_it_off(house: None, ask: Ask, what: dict[str, Any]) -> None:
    settle(rules={"makers-figures": {**what, "because": "x"}})
    put_plan({})
    said = ask("check plans", status=2).out
    assert "is told always and cannot be waived" in " ".join(said.split())


@pytest.mark.parametrize("form", ["text", "sarif", "junit", "html", "lines", "annotations",
                                  "code-quality"])  # fmt: skip
def test_every_format_tells_it(house: None, ask: Ask, form: str) -> None:
    put_plan({"films": {"film-80": {**FILM, "output": "120 W/m2"}}})
    out = " ".join(ask("check plans --format", form).out.split())
    assert "makers-figures" in out
    assert "120 W/m2" in out
    if form == "sarif":
        (run,) = json.loads(out)["runs"]
        result = next(each for each in run["results"] if each["ruleId"] == "makers-figures")
        assert run["tool"]["driver"]["rules"][result["ruleIndex"]]["id"] == "makers-figures"


def test_it_explains_itself(ask: Ask) -> None:
    assert "materials_from" in ask("why makers-figures").out


def test_the_settings_list_it(house: None, ask: Ask) -> None:
    settle(**OWNING)
    assert "materials may come from shared/catalogue.yaml alone" in ask("settings shared").out


def test_a_catalogue_of_boards_alone_hides_no_film(house: None, capsys: Said) -> None:
    boards = {"boards": MATERIALS["boards"]}
    put("shared/catalogue.yaml", {"catalogue_format": 1, "materials": boards})
    put_plan({key: value for key, value in MATERIALS.items() if key != "boards"})
    assert found(capsys) == []


def test_braces_in_a_plan_are_no_marks_of_ours(house: None, capsys: Said) -> None:
    put("{limit}/catalogue.yaml", {"catalogue_format": 1, "materials": MATERIALS})
    sheet = {**MATERIALS["sheets"]["pe-02"], "material": "{measured}"}
    put_plan({"sheets": {"pe-02": sheet}}, catalogue="../{limit}/catalogue.yaml")
    (finding,) = found(capsys)
    assert "`material` (measured) (line" in finding["message"]
    assert "((limit)/catalogue.yaml:" in finding["message"]
