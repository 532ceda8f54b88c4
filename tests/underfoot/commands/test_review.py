"""`underfoot review`, run through its own front door."""

import json
from hashlib import sha256
from importlib.resources import files
from pathlib import Path

import pytest
import yaml
from jsonschema import Draft7Validator, Draft202012Validator

from tests.underfoot.asking import Ask
from underfoot.__main__ import main

pytestmark = pytest.mark.usefixtures("folder", "tiny")

Said = pytest.CaptureFixture[str]

DECIDED = ["--by", "design lead", "--reason", "agreed: <b> # on site", "--today", "2026-10-01"]


def put_plan(height: str = "2100", *, date: str = "", name: str = "hall.yaml") -> str:
    Path(name).write_text(
        f"plan_format: 1\njob: {{revision: P1{date}}}\nmaterials: {{}}\n"
        "supply: {voltage: 230 V}\nrooms:\n"
        f"  hall: {{outline: [[0, 0], [4000, 0], [4000, 3000], [0, 3000]], height: {height}}}\n",
        "utf-8",
    )
    return name


def record() -> dict[str, object]:
    found = yaml.safe_load(Path("hall.review.yaml").read_text("utf-8"))
    assert isinstance(found, dict)
    return found


def test_a_review_starts_with_every_finding_open(ask: Ask) -> None:
    said = ask("review", put_plan()).out
    assert "hall.review.yaml" in said
    assert "started" in said
    assert "2 findings: 2 open" in said
    assert "Isolate, lock\n" in said
    rows = record()["findings"]
    assert [(row["rule"], row["severity"], row.get("decision")) for row in rows] == [
        ("room-height", "warning", None),
        ("job-date", "note", None),
    ]


def test_the_file_is_as_its_schema_says(ask: Ask) -> None:
    main(["review", put_plan(), "--decide", "1=accepted", "--overall", "no objection", *DECIDED])
    schema = json.loads(files("underfoot.reading").joinpath("review.schema.json").read_text())
    Draft7Validator.check_schema(schema)
    Draft7Validator(schema).validate(record())
    assert ask("schema --of review").data == schema


def test_the_hash_is_that_of_the_plans_bytes() -> None:
    main(["review", put_plan()])
    digest = sha256(Path("hall.yaml").read_bytes()).hexdigest()
    assert record()["reviewed"]["plan"] == f"sha256:{digest}"


def test_a_second_run_changes_no_byte(capsys: Said) -> None:
    main(["review", put_plan(), "--decide", "room-height=accepted", *DECIDED])
    before = Path("hall.review.yaml").read_bytes()
    assert main(["review", "hall.yaml"]) == 0
    assert Path("hall.review.yaml").read_bytes() == before
    assert "as it was" in capsys.readouterr().out


def test_decisions_by_number_rule_room_and_items() -> None:
    plan = put_plan()
    main(["review", plan, "--decide", "1=question", *DECIDED])
    main(["review", plan, "--decide", "job-date:date=to be mended", *DECIDED])
    assert [row["decision"] for row in record()["findings"]] == ["question", "to be mended"]
    main(["review", plan, "--decide", "room-height@hall=accepted", *DECIDED])
    row = record()["findings"][0]
    assert (row["decision"], row["reason"], row["by"], row["date"]) == (
        "accepted",
        "agreed: <b> # on site",
        "design lead",
        "2026-10-01",
    )
    main(["review", plan, "--decide", "1=open"])
    assert "decision" not in record()["findings"][0]
    assert "reason" not in record()["findings"][0]


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (["--decide", "9=accepted", *DECIDED], "there is no finding 9; the report has 2"),
        (["--decide", "1=acepted", *DECIDED], "no decision 'acepted'; did you mean `accepted`?"),
        (["--decide", "room-hight=accepted", *DECIDED], "did you mean `room-height`?"),
        (["--decide", "1", *DECIDED], "write FINDING=DECISION"),
        (["--decide", "1=accepted", "--by", "x"], "a decision needs --reason"),
        (["--decide", "1=accepted", "--reason", "x"], "a decision needs --by"),
        (["--overall", "no objection"], "a decision needs --by"),
        (["--by", "x"], "go with --decide or --overall"),
        (["--overall", "no objection", "--by", " "], "--by is empty"),
        (["--overall", "no objection", "--by", "x"], "the check says 'no objection with comments'"),
        (["--verify", "--by", "x"], "--verify decides nothing"),
        (["--verify"], "there is no review to verify against"),
    ],
)
def test_misuse_is_said_and_writes_nothing(options: list[str], says: str, ask: Ask) -> None:
    assert says in ask("review", put_plan(), *options, status=2).err
    assert not Path("hall.review.yaml").exists()


def test_whoever_makes_less_of_a_plan_than_the_check_says_why(ask: Ask) -> None:
    by = ["--by", "design lead"]
    for height, decision, needs_reason in (
        ("2300", "no objection", False),
        ("2300", "insufficient information", False),
        ("2100", "no objection", True),
        ("2100", "no objection with comments", False),
        ("null", "no objection with comments", True),
        ("null", "insufficient information", False),
        ("1900", "insufficient information", True),
        ("1900", "revise and resubmit", False),
    ):
        wish = ["review", put_plan(height, date=', date: "2026-09-28"'), "--overall", decision, *by]
        ask(*wish, status=2 if needs_reason else 0)
        ask(*wish, "--reason", "seen on site")
    main(["review", put_plan("1900"), "--overall", "no objection", *by, "--reason", "seen on site"])
    said = " ".join(ask("check hall.yaml", status=1).out.split())
    assert "overall no objection: seen on site (design lead, " in said
    assert "; the check says revise and resubmit;" in said


def test_a_worse_measure_ends_an_acceptance_and_says_so(ask: Ask) -> None:
    main(["review", put_plan("2100"), "--decide", "1=accepted", "--overall", "no objection",
          *DECIDED])  # fmt: skip
    put_plan("2050")
    said = ask("review hall.yaml").out
    assert "it was 2100 mm then, and is 2050 mm now" in " ".join(said.split())
    now = record()
    assert "decision" not in now["findings"][0]
    assert now["past_findings"][0]["decision"] == "accepted"
    assert "overall" not in now
    assert now["past_overall"][0]["because"] == "changed since: plan"


def test_small_steps_add_up() -> None:
    # Accepted at 2100 mm; 2150 mm is better and stays accepted, and so does 2100 mm again: the
    # measure that was accepted is kept. 2090 mm is worse than that, though by little.
    main(["review", put_plan("2100"), "--decide", "1=accepted", *DECIDED])
    for height, decision in (("2150", "accepted"), ("2100", "accepted"), ("2090", None)):
        main(["review", put_plan(height)])
        assert record()["findings"][0].get("decision") == decision


def test_what_is_to_be_mended_still_is_when_worse() -> None:
    main(["review", put_plan("2100"), "--decide", "1=to be mended", *DECIDED])
    main(["review", put_plan("1900")])
    row = record()["findings"][0]
    assert (row["severity"], row["decision"]) == ("warning", "to be mended")


def test_a_finding_that_is_gone_takes_its_decision_to_the_past() -> None:
    main(["review", put_plan(), "--decide", "1=accepted", "--decide", "2=question", *DECIDED])
    main(["review", put_plan("2400", date=', date: "2026-09-28"')])
    now = record()
    assert now["findings"] == []
    assert [(row["rule"], row["because"]) for row in now["past_findings"]] == [
        ("room-height", "no longer found"),
        ("job-date", "no longer found"),
    ]


def test_moved_lines_are_no_change_of_a_decision() -> None:
    main(["review", put_plan(), "--decide", "1=accepted", *DECIDED])
    plan = Path("hall.yaml")
    plan.write_text("# a remark\n\n" + plan.read_text("utf-8"), "utf-8")
    main(["review", "hall.yaml"])
    assert record()["findings"][0]["decision"] == "accepted"


def test_notes_and_comments_are_kept() -> None:
    main(["review", put_plan(), "--decide", "1=accepted", *DECIDED])
    file = Path("hall.review.yaml")
    text = file.read_text("utf-8").replace(
        "    decision: accepted\n",
        "    # talked over with the client\n    decision: accepted  # by phone\n"
        "    note: see letter 4\n",
    )
    file.write_text(f"{text}# the end\n", "utf-8")
    put_plan("2110")
    main(["review", "hall.yaml"])
    after = file.read_text("utf-8")
    assert "    # talked over with the client\n    # by phone\n    decision: accepted\n" in after
    assert "    note: see letter 4\n" in after
    assert after.endswith("# the end\n")
    main(["review", "hall.yaml"])
    assert file.read_text("utf-8") == after


def test_verify_says_which_part_changed(ask: Ask) -> None:
    main(["review", put_plan()])
    assert "is the one that was reviewed" in ask("review hall.yaml --verify").out
    before = Path("hall.review.yaml").read_bytes()
    Path("underfoot.yaml").write_text(
        "settings_format: 1\nlimits: {room-height: {minimum: 2050, because: local code}}\n"
    )
    said = ask("review hall.yaml --verify --format json", status=1).data
    assert (said["is_the_one_reviewed"], said["changed"]) == (False, ["settings"])
    put_plan("2110")
    assert "is not the one that was reviewed" in ask("review hall.yaml --verify", status=1).out
    assert Path("hall.review.yaml").read_bytes() == before


def test_a_remark_in_the_settings_changes_nothing(capsys: Said) -> None:
    Path("underfoot.yaml").write_text("settings_format: 1\n")
    main(["review", put_plan()])
    Path("underfoot.yaml").write_text("# a remark\nsettings_format: 1\n")
    assert main(["review", "hall.yaml", "--verify"]) == 0


def test_a_catalogue_is_part_of_what_was_reviewed(ask: Ask) -> None:
    plan = put_plan()
    Path(plan).write_text(Path(plan).read_text() + "catalogue: shared.yaml\n")
    Path("shared.yaml").write_text("catalogue_format: 1\n")
    main(["review", plan])
    Path("shared.yaml").write_text("catalogue_format: 1\n# another remark\n")
    said = ask("review", plan, "--verify", "--format", "json", status=1).out
    assert json.loads(said)["changed"] == ["catalogue"]


def test_reports_show_decisions_and_severities_stay(ask: Ask) -> None:
    main(["review", put_plan("1900"), "--decide", "1=accepted", "--overall", "no objection",
          *DECIDED])  # fmt: skip
    said = " ".join(ask("check hall.yaml", status=1).out.split())
    assert "REVIEW hall.review.yaml: overall no objection" in said
    assert "Decided accepted: agreed: <b> # on site (design lead, 2026-10-01)" in said
    report = ask("check hall.yaml --format json", status=1).data
    schema = json.loads(files("underfoot.reporting").joinpath("report.schema.json").read_text())
    Draft202012Validator(schema).validate(report)
    (plan,) = report["plans"]
    assert plan["counts"]["error"] == 1
    assert plan["findings"][0]["decision"]["decision"] == "accepted"
    assert "decision" not in plan["findings"][1]
    assert plan["review"]["overall"]["decision"] == "no objection"


def test_reports_say_what_no_longer_applies(ask: Ask) -> None:
    main(["review", put_plan("2100"), "--decide", "1=accepted", "--overall", "no objection",
          *DECIDED])  # fmt: skip
    put_plan("2050", date=', date: "2026-09-28"')
    said = " ".join(ask("check hall.yaml").out.split())
    assert "NO LONGER APPLIES: it was 2100 mm then, and is 2050 mm now" in said
    assert said.count("changed since: plan") == 1
    assert "0 of 1 finding decided" in said


def test_a_plan_without_a_review_says_nothing_of_one(ask: Ask) -> None:
    assert "REVIEW" not in ask("check", put_plan()).out
    assert "review" not in ask("check hall.yaml --format json").data["plans"][0]


def test_a_broken_review_is_said_and_never_overwritten(ask: Ask) -> None:
    main(["review", put_plan()])
    file = Path("hall.review.yaml")
    broken = file.read_text().replace("severity: note", "severity: none")
    file.write_text(broken)
    assert "hall.review.yaml:" in ask("review hall.yaml", status=2).err
    assert file.read_text() == broken
    assert "it cannot be read" in " ".join(ask("check hall.yaml").out.split())


def test_a_decision_by_hand_needs_reason_name_and_date(ask: Ask) -> None:
    main(["review", put_plan()])
    file = Path("hall.review.yaml")
    by_hand = "severity: note\n    decision: accepted"
    file.write_text(file.read_text().replace("severity: note", by_hand))
    said = ask("review hall.yaml", status=2).err
    assert "needs `reason`" in said
    assert "needs `by`" in said


def test_the_review_of_another_plan_is_refused(ask: Ask) -> None:
    main(["review", put_plan()])
    Path("stair.review.yaml").write_text(Path("hall.review.yaml").read_text())
    said = ask("review", put_plan(name="stair.yaml"), status=2).err
    assert "the review of another plan, hall.yaml" in said


def test_a_plan_that_cannot_be_read_leaves_its_review_alone(capsys: Said) -> None:
    main(["review", put_plan(), "--decide", "1=accepted", *DECIDED])
    before = Path("hall.review.yaml").read_bytes()
    Path("hall.yaml").write_text("plan_format: 1\n")
    assert main(["review", "hall.yaml"]) == 2
    assert Path("hall.review.yaml").read_bytes() == before


def test_a_crashed_rule_leaves_the_review_alone(capsys: Said) -> None:
    main(["review", put_plan(), "--decide", "1=accepted", *DECIDED])
    before = Path("hall.review.yaml").read_bytes()
    plan = Path("hall.yaml")
    plan.write_text(plan.read_text().replace("revision: P1", "title: crash"))
    assert main(["review", "hall.yaml"]) == 2
    assert Path("hall.review.yaml").read_bytes() == before


def test_folders_pass_reviews_over(ask: Ask) -> None:
    main(["review", put_plan()])
    said = ask("check . --format json").data
    assert [plan["path"] for plan in said["plans"]] == ["hall.yaml"]
    assert said["passed_over"] == 1
