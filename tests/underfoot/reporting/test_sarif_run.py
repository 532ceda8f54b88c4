"""All that SARIF asks of a run, and what it tells besides findings: places, decisions, mends."""

import json
import re
from typing import Any

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    BEDROOM,
    KITCHEN,
    STUDY,
    VERSION,
    wall_finding,
)
from tests.underfoot.reporting.sarif_run import notices, run_of, values_of
from tests.underfoot.reporting.whole import hold_against
from underfoot.checking.caution import CAUTION
from underfoot.checking.earlier import EarlierFinding, EarlierPlan
from underfoot.checking.mend import Mend, Replacement
from underfoot.checking.report import DecisionUsed, Measure, Report, ReviewUsed
from underfoot.reporting.sarif_places import PathBase


def test_held_against_an_earlier_report() -> None:
    def then(number: int, value: float) -> EarlierFinding:
        now = KITCHEN.findings[number]
        return EarlierFinding(rule=now.rule, room=now.room, items=now.items, severity=now.severity,
                              measured=Measure(value=value, unit="mm"), limit=now.limit,
                              waived=False)  # fmt: skip

    earlier = {
        KITCHEN.path: EarlierPlan(findings=[then(0, 42.0), then(1, 45.0), then(3, 300.0)]),
        "gone.yaml": EarlierPlan(),
    }
    held = hold_against(
        Report(version=VERSION, plans=(KITCHEN,)), earlier, "old.json", {"gone.yaml"}
    )
    run = run_of(held)
    assert [result["baselineState"] for result in run["results"]] == [
        "unchanged",  # 42 mm then and now
        "updated",  # 45 mm, now 42: worse
        "new",
        "updated",  # 300 mm, now 310: better
        "new",
    ]
    said = [notice["message"]["text"] for notice in notices(run, "held-against")]
    assert said == [
        "Against old.json: 1 new, 1 worse, 2 known, 0 cleared.",
        "The plan gone.yaml is no longer there.",
    ]


def test_without_an_earlier_report_there_is_no_baseline(run: dict[str, Any]) -> None:
    assert list(values_of(run, "baselineState")) == []


def test_all_that_is_asked_of_a_run(run: dict[str, Any]) -> None:
    assert run["columnKind"] == "unicodeCodePoints"
    assert run["automationDetails"] == {"id": "underfoot/"}
    assert run["tool"]["driver"]["fullDescription"]["text"] == CAUTION
    assert run["properties"]["caution"] == CAUTION
    for place in values_of(run, "artifactLocation"):
        assert place["uriBaseId"] in run["originalUriBaseIds"]
    for key in ("startLine", "startColumn"):
        assert all(number >= 1 for number in values_of(run, key))


def test_no_clock_no_host_no_absolute_path(run: dict[str, Any]) -> None:
    text = json.dumps(run)
    assert not re.search(r"TimeUtc|machine|account|workingDirectory|file:", text)
    for uri in values_of(run, "uri"):
        assert not uri.startswith("/")
        assert ":" not in uri


def test_messages_are_sentences(run: dict[str, Any]) -> None:
    for message in values_of(run, "message"):
        assert message["text"].endswith((".", "?", "!")), message


@pytest.mark.parametrize(
    ("path", "uri"),
    [
        ("plans/kitchen.yaml", "plans/kitchen.yaml"),
        ("../kitchen.yaml", "../kitchen.yaml"),
        ("plans/Küche 2.yaml", "plans/K%C3%BCche%202.yaml"),
        ("c:odd#1?.yaml", "c%3Aodd%231%3F.yaml"),
        ("50%.yaml", "50%25.yaml"),
        ("-", "-"),
        ("/house/plans/kitchen.yaml", "plans/kitchen.yaml"),
        ("/other/kitchen.yaml", "../other/kitchen.yaml"),
    ],
)
def test_paths_become_relative_uris(path: str, uri: str) -> None:
    assert PathBase(here="/house", top="/house").uri(path) == uri


def test_a_message_is_no_link() -> None:
    odd = replace(STUDY.findings[0], message="See [here](1) and [there](http://x.example).")
    (result,) = run_of(Report(version=VERSION, plans=(replace(STUDY, findings=(odd,)),)))["results"]
    assert "](" not in result["message"]["text"]


def test_what_a_reviewer_decided_is_told() -> None:
    decision = DecisionUsed(
        decision="question", reason="seen on site", by="design lead", date="2026-10-01"
    )
    plan = replace(
        STUDY,
        findings=(replace(STUDY.findings[0], decision=decision),),
        review=ReviewUsed(file="plans/study.review.yaml", overall=decision),
    )
    run = run_of(Report(version=VERSION, plans=(plan,)))
    (result,) = run["results"]
    said = "question: seen on site (design lead, 2026-10-01)"
    assert result["properties"]["decision"] == said
    (reviewed,) = notices(run, "review-file")
    assert reviewed["level"] == "note"
    assert reviewed["message"]["text"].startswith(
        "The review plans/study.review.yaml: overall " + said
    )


def test_mends_are_fixes_with_their_regions() -> None:
    replacements = (
        Replacement(line=3, column=5, end_line=3, end_column=7, text="58"),
        Replacement(line=9, column=1, end_line=10, end_column=1, text=""),
    )
    mend = Mend(says="Move [A](1).", patch=(), replacements=replacements)
    finding = replace(wall_finding(1, "A1", 7), mends=(mend,))
    bare = replace(wall_finding(2, "A2", 9), mends=())
    run = run_of(Report(version=VERSION, plans=(replace(BEDROOM, findings=(finding, bare)),)))
    first, second = run["results"]
    artifact = first["locations"][0]["physicalLocation"]["artifactLocation"]
    assert first["fixes"] == [
        {
            "description": {"text": "Move [A]\\(1)."},
            "artifactChanges": [
                {
                    "artifactLocation": artifact,
                    "replacements": [
                        {
                            "deletedRegion": {
                                "startLine": 3,
                                "startColumn": 5,
                                "endLine": 3,
                                "endColumn": 7,
                            },
                            "insertedContent": {"text": "58"},
                        },
                        {
                            "deletedRegion": {
                                "startLine": 9,
                                "startColumn": 1,
                                "endLine": 10,
                                "endColumn": 1,
                            }
                        },
                    ],
                }
            ],
        }
    ]
    assert "fixes" not in second
