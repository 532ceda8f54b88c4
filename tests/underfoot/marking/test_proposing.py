"""A scheme proposed from a model answer, and one tried on it."""

import csv
import json
import re
import shutil
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from tests.underfoot.asking import Ask
from tests.underfoot.marking.demo import FOLDER, RULES, desk_for, judge, plan_of, scheme_from
from underfoot.__main__ import main
from underfoot.api.rules import Damaged, Mutation
from underfoot.commands.marking_desk import set_up_desk
from underfoot.marking.proposing import share_out
from underfoot.marking.trial import try_scheme
from underfoot_rules import STANDARD

pytestmark = pytest.mark.slow

Said = pytest.CaptureFixture[str]
TODAY = ["--today", "2026-10-01"]
MODEL = "apprentice-01.yaml"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the demo's brief, two right answers and one with faults."""
    for name in ("brief.yaml", "scheme.yaml"):
        shutil.copy(FOLDER / name, tmp_path / name)
    for name in (MODEL, "apprentice-08.yaml", "apprentice-05.yaml", "apprentice-10.yaml"):
        shutil.copy(FOLDER / "submissions" / name, tmp_path / name)
    monkeypatch.chdir(tmp_path)
    return tmp_path


# Each is right but for one strip of seven, one circuit of two, or one lead of two.
SMALL = {
    "wall-clearance": lambda plan: plan["rooms"]["bedroom"]["rows"]["A"].update(at=[40, 60]),
    "cut-length": lambda plan: plan["rooms"]["bedroom"]["rows"]["A"]["lengths"].__setitem__(
        1, 2240
    ),
    "nothing-heated": lambda plan: plan["circuits"].update(C2=dict(plan["circuits"]["C1"])),
}


@pytest.mark.parametrize("rule", SMALL)
def test_by_a_proposal_no_fault_is_so_small_that_it_costs_nothing(rule: str, desk: Path) -> None:
    assert main(["scheme", MODEL, "--output", "new.yaml", "--marks", "70", *TODAY]) == 0
    plan = plan_of("apprentice-01")
    SMALL[rule](plan)
    attempt = judge(plan, desk_for(scheme_from(Path("new.yaml").read_text("utf-8"))))
    assert rule in {one.rule for one in attempt.report.findings}
    (row,) = [row for row in attempt.rows if row.what == rule]
    assert 0 < row.earned < row.marks


@pytest.mark.parametrize("weights", [[1], [3, 2, 1], [1] * 30, [4, 1, 1, 1, 1, 1]])
def test_all_marks_are_shared_out_in_halves(weights: list[int]) -> None:
    given = share_out(weights, 100)
    assert sum(given) == 100
    assert all(one >= Fraction(1, 2) and one % Fraction(1, 2) == 0 for one in given)
    for more, weight in zip(given, weights, strict=True):
        assert abs(more - Fraction(100 * weight, sum(weights))) <= Fraction(1, 2)


def test_a_proposal_is_a_sound_scheme_that_the_model_earns_whole(
    desk: Path, capsys: Said, ask: Ask
) -> None:
    assert main(["scheme", MODEL, "--output", "new.yaml", *TODAY]) == 0
    text = Path("new.yaml").read_text("utf-8")
    scheme = scheme_from(text)
    assert scheme.title == "Osier Row, the back bedroom"
    assert (scheme.marks, scheme.pass_mark, scheme.brief) == (100, 70, "brief.yaml")
    rows = {row.rule for topic in scheme.topics for row in topic.rules}
    assert {"wall-clearance", "rcd", "lead-under-element", "membrane-taped"} <= rows
    # What the brief keeps by itself earns nothing, nor what only remarks.
    assert "drawn-outside-room" not in rows
    assert "cold-area" not in rows
    assert {goal.what for goal in scheme.goals} == {
        "heated share", "sensor", "thermostat", "fed strips", "insulation", "membrane",
        "method statement",
    }  # fmt: skip
    needed = {goal.what for goal in scheme.goals if goal.fails}
    assert needed == {"sensor", "thermostat", "insulation", "membrane", "method statement"}
    assert [goal.least for goal in scheme.goals if goal.what == "method statement"] == [6]
    asked = {goal.what: goal for topic in scheme.topics for goal in topic.asked}
    # The brief asks for 470 W; the model gives 720 W, and how many circuits is free.
    assert asked["output"].least == 470
    assert (asked["circuits"].least, asked["circuits"].most) == (1, None)
    assert {"rcd", "lead-under-element", "sensor-under-element"} <= set(scheme.fails)
    # A right floor of one strip shows nothing about strips that lie on each other.
    assert {"rcd"} <= set(scheme.must_show) <= set(scheme.fails) - {"element-overlap"}
    # Each line of what fails says what it would do to somebody.
    listed = text[text.index("\nfails:") : text.index("\nmust_show:")].splitlines()
    said = {line.split()[1]: line.partition("# ")[2] for line in listed if " - " in line[:5]}
    assert said == {name: RULES[name].why for name in scheme.fails}
    # Every line with marks says what it is for.
    assert all("# " in line for line in text.splitlines() if "{marks: " in line)
    assert main(["scheme", MODEL, "--try", "new.yaml", *TODAY]) == 0
    said = capsys.readouterr().out
    assert "earns 100 of 100, passed" in said
    assert "no model answer earns" not in said
    assert "Rows earned by handing in the brief" not in said
    assert "is there already" in ask("scheme", MODEL, "--output", "new.yaml", *TODAY, status=2).err


def test_a_proposal_fails_by_every_error_that_can_hurt_somebody(desk: Path) -> None:
    assert main(["scheme", MODEL, "--output", "new.yaml", *TODAY]) == 0
    scheme = scheme_from(Path("new.yaml").read_text("utf-8"))
    marked = {row.rule for topic in scheme.topics for row in topic.rules}
    wanted = {
        rule.id
        for rule in STANDARD.rules
        if rule.protects_life and "error" in rule.severities and rule.id in marked
    }
    assert set(scheme.fails) == wanted
    assert {"fixture-clearance", "covered-floor", "floor-limit", "covering-fixing"} <= wanted
    # What harms nobody costs marks alone.
    assert not wanted & {"wall-clearance", "insulation-overlap", "membrane-taped", "paperwork"}


def _cheats(right: str) -> dict[str, str]:
    """Return what lacks what no floor may be without, or turns it round, by what is then missed."""

    def without(begin: str, end: str) -> str:
        return right[: right.index(begin)] + right[right.index(end) :]

    said, below = right.index("method_statement:"), "method_statement: {floor_cleaned: false}\n"
    return {
        "sensor": without("    sensor:", "    leads:"),
        "thermostat": without("    thermostat: {", "    sensor:").replace(
            "    thermostat: bedroom\n", ""
        ),
        "insulation": without("    insulation:", "    rows:"),
        "membrane": without("    membrane:", "    junction_box:"),
        "method statement": right[:said] + below,
        "sensor-under-element": right.replace("at: [810, 1500]", "at: [25, 1500]"),
        "circuit-feed": right.replace("[30, 30], A]}", "[30, 60]]}"),
        "lead-under-element": right.replace("[30, 30], A]}", "[1800, 1500], [1800, 30], A]}"),
        "element-outside-room": right.replace("at: [60, 60]", "at: [90060, 60]"),
        # Three strips of seven lie under the wardrobe that stands flat on the floor.
        "fixture-clearance": right.replace("2250, 2250, 2250, 2250,", "2250, 3000, 3000, 3000,"),
        "floor-limit": right.replace("floor_limit: 27", "floor_limit: 45"),
        # Nobody can tell what the sensor's cable runs through.
        "sensor-way": right.replace("      route: [junction-box]\n", ""),
        "membrane-overlap": right.replace("overlap: 150", "overlap: 0"),
    }


def test_a_proposal_as_it_stands_passes_no_cheat_and_every_right_plan(desk: Path) -> None:
    assert main(["scheme", MODEL, "--output", "new.yaml", *TODAY]) == 0
    right = Path(MODEL).read_text("utf-8")
    cheats = _cheats(right)
    handed = Path("handed")
    handed.mkdir()
    for name, text in cheats.items():
        assert text != right
        (handed / f"{name.replace(' ', '-')}.yaml").write_text(text, "utf-8")
    split = right.replace("lengths: [2250, 2250, 2250, 2250, 3000, 3000, 3000]}", (
        "lengths: [2250, 2250, 2250, 2250]}\n"
        "      B: {film: film-80, after: A, along: y, circuit: C2, lengths: [3000, 3000, 3000]}"
    )).replace("[30, 30], A]}", (
        "[45, 1500], [45, 45], A]}\n"
        "      W2: {circuit: C2, size: 1.5 mm2, recessed: true,"
        " route: [junction-box, [20, 1500], [20, 20], [2060, 20], B]}"
    ).replace("[45, 1500], ", "", 1)).replace(
        "\nmethod_statement:", "  C2: {thermostat: bedroom, shares: C1}\n\nmethod_statement:"
    )  # fmt: skip
    split = split.replace("[30, 1500], [45, 45]", "[45, 1500], [45, 45]")
    (handed / "split.yaml").write_text(split, "utf-8")
    arguments = ["--scheme", "new.yaml", "--output", "marked", "--jobs", "1", *TODAY]
    assert main(["mark", "handed", *arguments]) == 0
    marked = json.loads(Path("marked/marks.json").read_text("utf-8"))
    by_name = {one["name"]: one for one in marked["submissions"]}
    for name in cheats:
        one = by_name[name.replace(" ", "-")]
        assert one["outcome"] == "failed outright", name
        assert any(said.startswith(name) for said in one["attempts"][0]["failed_by"]), name
    assert (by_name["split"]["outcome"], by_name["split"]["final_mark"]) == ("passed", 100)


def test_marks_and_the_pass_can_be_named(desk: Path, ask: Ask) -> None:
    scheme = scheme_from(ask("scheme", MODEL, "--marks", "70", "--pass", "51", *TODAY).out)
    assert (scheme.marks, scheme.pass_mark) == (70, 36)


def test_hidden_marks_are_written_out_and_read_as_they_were(desk: Path, ask: Ask) -> None:
    title = "##\u200b[error]\u202eTeasel \U0001f600"
    lines = (desk / "brief.yaml").read_text("utf-8").splitlines()
    (place,) = [n for n, line in enumerate(lines) if line.startswith("  title: ")]
    lines[place] = f"  title: {json.dumps(title)}"
    (desk / "brief.yaml").write_text("\n".join(lines), "utf-8")
    said = ask("scheme", MODEL, *TODAY).out
    assert not set(said) & set("\u200b\u202e")
    assert scheme_from(said).title == title


@pytest.mark.long
def test_without_a_brief_the_model_stands_for_it(desk: Path, ask: Ask) -> None:
    Path("brief.yaml").unlink()
    ask("scheme", MODEL, "--output", "new.yaml", *TODAY)
    scheme = scheme_from(Path("new.yaml").read_text("utf-8"))
    assert scheme.brief == MODEL
    assert "insulation" not in scheme.may_not_change
    assert "earns 100 of 100, passed" in ask("scheme apprentice-08.yaml --try new.yaml", *TODAY).out


def test_what_a_faulty_model_breaks_has_no_row(desk: Path, ask: Ask) -> None:
    said = ask("scheme apprentice-05.yaml", *TODAY)
    rows = {row.rule for topic in scheme_from(said.out).topics for row in topic.rules}
    assert "rcd" not in rows
    assert "#   rcd: wrong: " in said.out
    assert re.search(r"apprentice-05.yaml does not keep, or does not show, .*rcd", said.err)
    assert "apprentice-10.yaml:20" in ask("scheme apprentice-10.yaml", *TODAY, status=2).err


def test_of_several_models_all_must_keep_a_rule(desk: Path, ask: Ask) -> None:
    text = ask("scheme", MODEL, "apprentice-05.yaml", *TODAY).out
    rows = {row.rule for topic in scheme_from(text).topics for row in topic.rules}
    assert "rcd" not in rows
    assert "wall-clearance" in rows
    assert "rcd" in text.partition("Shown by some of the model answers")[2]


def test_a_fault_that_no_rule_finds_does_not_fit_the_plan(desk: Path) -> None:
    bench = set_up_desk("scheme.yaml", [STANDARD], date(2026, 10, 1), draws=False)
    assert bench is not None
    model, brief = (yaml.safe_load(Path(one).read_text("utf-8")) for one in (MODEL, "brief.yaml"))
    harmless = Mutation(
        rule="rcd",
        name="harmless",
        says="Nothing was done.",
        apply=lambda plan, _: Damaged(data=plan),
    )
    trial = try_scheme([(MODEL, model)], brief, bench, [harmless])
    assert (trial.costs, trial.unfit) == ((), (harmless,))


@pytest.mark.long
def test_a_trial_tells_what_faults_cost_and_what_nobody_earns(desk: Path, ask: Ask) -> None:
    arguments = ["scheme", "apprentice-05.yaml", MODEL, "--try", "scheme.yaml"]
    text = Path("scheme.yaml").read_text("utf-8")
    hopeless = text.replace("least: 75 %, marks: 3", "least: 99 %, marks: 3")
    hopeless = hopeless.replace(
        "      rcd: {marks: 3}", "      rcd: {marks: 3}\n      socket-near: {marks: 1}"
    )
    Path("scheme.yaml").write_text(hopeless.replace("socket-near", "bath-zone"), "utf-8")
    said = " ".join(ask(*arguments, "--output", "faults.csv", *TODAY).out.split())
    # The better of the two is named first, and counts.
    assert "apprentice-01.yaml earns 67 of 71, passed (the best fit)" in said
    assert "strips / heated share, bedroom 0 of 3" in said
    assert "circuit / bath-zone 0 of 1: Nothing in the plan shows it." in said
    assert "In fails or must_show in vain bath-zone" in said
    head, *rows = list(csv.reader(Path("faults.csv").read_text("utf-8-sig").splitlines()))
    by_rule = {row[1]: dict(zip(head, row, strict=True)) for row in rows}
    assert by_rule["rcd"]["outcome"] == "failed outright"
    assert by_rule["rcd"]["marks lost"] == "3"
    assert "rcd" in by_rule["rcd"]["failed by"]
    lost = [float(row[2]) for row in rows]
    assert lost == sorted(lost, reverse=True)
    assert len(rows) > 50
    ask("scheme", MODEL, "--try", "scheme.yaml", *TODAY)


def test_names_that_match_nothing_are_told_with_their_line(desk: Path, ask: Ask) -> None:
    text = Path("scheme.yaml").read_text("utf-8")
    Path("scheme.yaml").write_text(text.replace("rcd: {marks: 3}", "rdc: {marks: 3}"), "utf-8")
    said = ask("scheme", MODEL, "--try", "scheme.yaml", *TODAY, status=2).err
    assert re.search(
        r"\n 2  scheme.yaml:\d+:\d+\n.* rdc: .*\n(?:.*\n)+ +There is no rule `rdc`", said
    )
    Path("scheme.yaml").write_text(
        text.replace("room: bedroom, least: 75", "room: attic, least: 75"), "utf-8"
    )
    said = ask("scheme", MODEL, "--try", "scheme.yaml", *TODAY, status=2).err
    assert "the brief has no room `attic`" in said


def test_the_same_proposal_and_trial_each_time(desk: Path, capsys: Said) -> None:
    outs = []
    for _ in range(2):
        assert main(["scheme", MODEL, *TODAY]) == 0
        outs.append(capsys.readouterr().out)
    assert outs[0] == outs[1]
