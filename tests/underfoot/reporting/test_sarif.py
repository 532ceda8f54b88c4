"""The report as SARIF 2.1.0; its schema and the multitool are run by .ci/check_sarif."""

import re
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    ALL,
    ATTIC,
    BEDROOM,
    CRASHED,
    KITCHEN,
    SENSOR,
    STUDY,
    VERSION,
    wall_finding,
)
from tests.underfoot.reporting.sarif_run import notices, run_of, values_of
from underfoot.checking.caution import CAUTION
from underfoot.checking.report import Measure, Report
from underfoot.reporting.sarif_results import FINGERPRINT, HOST_FINGERPRINT, UNREADABLE_RULE
from underfoot_rules import STANDARD


def test_a_result_says_what_where_and_what_to_do(run: dict[str, Any]) -> None:
    first = next(each for each in run["results"] if each["ruleId"] != UNREADABLE_RULE)
    assert first["ruleId"] == "wall-clearance"
    assert first["level"] == "error"
    assert first["message"]["text"] == (
        "Strip A1 lies 42 mm from the wall; the least allowed is 50 mm. "
        "Move A1 by 16 mm to the right (+x)."
    )
    (place,) = first["locations"]
    assert place["physicalLocation"] == {
        "artifactLocation": {"uri": "plans/kitchen.yaml", "uriBaseId": "PLANS", "index": 1},
        "region": {"startLine": 58, "startColumn": 7},
    }
    assert place["logicalLocations"] == [
        {"fullyQualifiedName": "rooms.kitchen.rows.A.lengths.0", "kind": "member"}
    ]
    assert first["properties"]["measured"] == {"value": 42.0, "unit": "mm"}
    assert first["properties"]["limit"] == {"least": 50.0, "most": None, "unit": "mm"}
    assert first["properties"]["items"] == ["A1"]
    told = sum(len(plan.findings) + len(plan.problems) + len(plan.faults) for plan in ALL.plans)
    assert len(run["results"]) == told + len(ALL.problems)


def test_every_active_rule_is_listed_sorted_and_referred_to_by_its_place(
    run: dict[str, Any],
) -> None:
    listed = [rule["id"] for rule in run["tool"]["driver"]["rules"]]
    active = {row.rule for plan in ALL.plans for row in plan.checks}
    active.update(fault.rule for plan in ALL.plans for fault in plan.faults)
    assert listed == sorted({*active, UNREADABLE_RULE})
    for result in run["results"]:
        assert listed[result["ruleIndex"]] == result["ruleId"]


def test_where_no_plan_could_be_read_all_rules_are_listed() -> None:
    rules = run_of(Report(version=VERSION, plans=(ATTIC,)))["tool"]["driver"]["rules"]
    every = {rule.id for rule in STANDARD.rules} | {UNREADABLE_RULE}
    assert [rule["id"] for rule in rules] == sorted(every)


def test_every_rule_has_its_help_with_the_caution() -> None:
    for rule in run_of(Report(version=VERSION, plans=(ATTIC,)))["tool"]["driver"]["rules"]:
        for form in ("text", "markdown"):
            assert CAUTION in rule["help"][form]
            for part in ("Why", "Putting it right", "Basis"):
                assert re.search(rf"^(## )?{part}$", rule["help"][form], re.MULTILINE), rule["id"]
        assert rule["shortDescription"]["text"].startswith("Finds ")
        assert rule.get("name", "").lower() != rule["id"]


def test_the_related_location_is_the_other_thing(run: dict[str, Any]) -> None:
    (sensor,) = [each for each in run["results"] if "relatedLocations" in each]
    (related,) = sensor["relatedLocations"]
    assert related["physicalLocation"]["region"] == {"startLine": 58, "startColumn": 13}
    assert related["logicalLocations"][0]["fullyQualifiedName"] == SENSOR.related[0]


def test_suppressions_stand_on_all_results_or_none(run: dict[str, Any]) -> None:
    assert all("suppressions" in result for result in run["results"])
    waived = [result for result in run["results"] if result["suppressions"]]
    assert [result["suppressions"] for result in waived] == [
        [
            {
                "kind": "inSource",
                "status": "accepted",
                "justification": (
                    "boxed-in pipe agreed on site (agreed by design lead, until 2027-03-01)"
                ),
            }
        ]
    ]
    assert waived[0]["level"] == "error"
    unwaived = run_of(Report(version=VERSION, plans=(STUDY,)))["results"]
    assert unwaived
    assert not any("suppressions" in result for result in unwaived)


def fingerprints(report: Report) -> list[str]:
    return [result["partialFingerprints"][FINGERPRINT] for result in run_of(report)["results"]]


def test_fingerprints_survive_moved_lines_new_numbers_and_measures() -> None:
    moved = replace(KITCHEN, findings=tuple(
            replace(finding, number=finding.number + 3, line=finding.line + 40, column=2,
                    measured=Measure(value=1.0, unit="mm"), severity="note", message="Other words.")
            for finding in KITCHEN.findings
        ),
    )  # fmt: skip
    assert fingerprints(Report(version=VERSION, plans=(moved,))) == fingerprints(
        Report(version=VERSION, plans=(KITCHEN,))
    )


def test_fingerprints_tell_findings_apart() -> None:
    assert len(set(fingerprints(Report(version=VERSION, plans=(KITCHEN,))))) == len(
        KITCHEN.findings
    )
    twins = replace(KITCHEN, findings=(wall_finding(1, "A1", 7), wall_finding(2, "A1", 9)))
    first, second = fingerprints(Report(version=VERSION, plans=(twins,)))
    assert first != second
    assert first == fingerprints(Report(version=VERSION, plans=(KITCHEN,)))[0]


def test_fingerprints_hold_the_plan() -> None:
    other = replace(KITCHEN, path="plans/other.yaml")
    both = fingerprints(Report(version=VERSION, plans=(KITCHEN, other)))
    assert len(set(both)) == 2 * len(KITCHEN.findings)


def test_the_code_hosts_fingerprint_rests_on_the_same(run: dict[str, Any]) -> None:
    for result in run["results"]:
        prints = result["partialFingerprints"]
        assert prints[HOST_FINGERPRINT] == f"{prints[FINGERPRINT][:16]}:1"


def test_standards_are_taxonomies_that_rules_refer_to(run: dict[str, Any]) -> None:
    taxonomies = run["taxonomies"]
    names = [taxonomy["name"] for taxonomy in taxonomies]
    assert "IEC 60364-5-52" in names
    assert run["tool"]["driver"]["supportedTaxonomies"] == [
        {"name": name, "index": place} for place, name in enumerate(names)
    ]
    targets = list(values_of(run["tool"]["driver"]["rules"], "target"))
    assert targets
    for target in targets:
        taxonomy = taxonomies[target["toolComponent"]["index"]]
        assert taxonomy["name"] == target["toolComponent"]["name"]
        assert target["id"] in [taxon["id"] for taxon in taxonomy["taxa"]]


def test_a_crashed_rule_is_an_error_of_the_tool(run: dict[str, Any]) -> None:
    (crash,) = notices(run, "rule-crashed")
    assert crash["level"] == "error"
    assert crash["message"]["text"].startswith("KeyError at laying/wall_clearance.py:33")
    assert crash["associatedRule"]["id"] == "wall-clearance"
    listed = run["tool"]["driver"]["rules"]
    assert listed[crash["associatedRule"]["index"]]["id"] == "wall-clearance"
    location = crash["locations"][0]["physicalLocation"]["artifactLocation"]
    assert run["artifacts"][location["index"]]["location"]["uri"] == CRASHED.path
    assert run["invocations"][0]["executionSuccessful"] is False


@pytest.mark.parametrize(
    ("report", "successful"),
    [
        (Report(version=VERSION, plans=(KITCHEN, BEDROOM)), True),
        (Report(version=VERSION, plans=(CRASHED,)), False),
        (Report(version=VERSION, plans=(ATTIC,)), False),
        (replace(ALL, plans=(BEDROOM,)), False),
    ],
)
def test_the_run_succeeded_where_all_was_checked(report: Report, successful: bool) -> None:
    assert run_of(report)["invocations"][0]["executionSuccessful"] is successful


def test_what_could_not_be_read_is_a_result_at_its_line(run: dict[str, Any]) -> None:
    found = [each for each in run["results"] if each["ruleId"] == UNREADABLE_RULE]
    assert [each["level"] for each in found] == ["error"] * 3
    places = [each["locations"][0]["physicalLocation"] for each in found]
    assert [
        (place["artifactLocation"]["uri"], place["region"]["startLine"]) for place in places
    ] == [("plans/attik.yaml", 1), (ATTIC.path, 31), ("plans/catalogue.yaml", 14)]
    assert found[1]["message"]["text"].startswith("Unknown key `lenght`")
    (crash,) = [each for each in run["results"] if "fault of the tool" in each["message"]["text"]]
    assert (crash["ruleId"], crash["level"]) == ("wall-clearance", "error")


def test_right_plans_bring_no_rule_of_the_reader() -> None:
    rules = run_of(Report(version=VERSION, plans=(KITCHEN,)))["tool"]["driver"]["rules"]
    assert UNREADABLE_RULE not in [rule["id"] for rule in rules]


def test_an_unreadable_plan_is_told_with_line_and_column(run: dict[str, Any]) -> None:
    own, catalogue = notices(run, "not-readable")
    assert own["level"] == "error"
    assert own["locations"][0]["physicalLocation"]["region"] == {"startLine": 31, "startColumn": 7}
    assert own["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == ATTIC.path
    where = catalogue["locations"][0]["physicalLocation"]
    assert where["artifactLocation"]["uri"] == "plans/catalogue.yaml"
    assert where["region"] == {"startLine": 14, "startColumn": 5}
    (missing,) = notices(run, "not-found")
    assert missing["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == (
        "plans/attik.yaml"
    )


def test_what_was_not_judged_passed_over_or_changed_is_told(run: dict[str, Any]) -> None:
    said = [notice["message"]["text"] for notice in notices(run, "not-judged")]
    assert said == [
        "1 point could not be judged: no length of the cable is given. Write its `length`.",
        "2 points could not be judged: no length of the cable is given; lead W1 has no size (2 "
        "may be errors). Write its `length`. Write its `size`.",
        "1 point could not be judged: no length of the cable is given. Write its `length`.",
    ]
    levels = [notice["level"] for notice in notices(run, "not-judged")]
    assert levels == ["note", "warning", "note"]
    assert [notice["message"]["text"] for notice in notices(run, "plan-verdict")] == [
        "No objection – but 1 point could not be judged.",
        "Revise and resubmit – work must not start as drawn.",
        "No objection with comments – put them right, or have a reviewer agree.",
        "Unreadable – the plan was not checked.",
        "Insufficient information – 1 rule crashed and could not say anything.",
    ]
    (passed,) = notices(run, "passed-over")
    assert passed["message"]["text"].startswith("3 ")
    changed = notices(run, "settings-changed")
    assert len(changed) == len(KITCHEN.changed)
    assert changed[0]["message"]["text"] == (
        "For circuit-current: maximum 10 A, not 12 A, because: maker's manual, section 4."
    )
    assert changed[0]["locations"][0]["physicalLocation"]["region"]["startLine"] == 3
