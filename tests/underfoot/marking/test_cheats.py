"""A class of cheats and of right plans drawn otherwise, marked as a trainer would."""

import copy
import json

import pytest
from msgspec.structs import replace

from tests.underfoot.marking.cheats import CHEATS, PERFECT, cheat
from tests.underfoot.marking.demo import FOLDER, desk_for, judge, scheme_from
from tests.underfoot.marking.right_ways import RIGHT, draw
from underfoot.marking.class_text import write_class_text
from underfoot.marking.mark_sheet import write_csv
from underfoot.marking.marks_json import write_marks
from underfoot.marking.pages import write_sheet
from underfoot.marking.results import gather_class

SCHEME = (FOLDER / "scheme.yaml").read_text("utf-8")


@pytest.mark.parametrize("by", CHEATS)
def test_a_cheat_earns_what_it_deserves(by: str) -> None:
    _, most, fails = CHEATS[by]
    plan = cheat(by)
    assert plan != PERFECT
    attempt = judge(plan)
    assert float(attempt.earned) <= most
    assert bool(attempt.failed_by) == fails


@pytest.mark.parametrize("way", RIGHT)
def test_a_right_plan_drawn_otherwise_earns_full_marks(way: str) -> None:
    plan = draw(way, PERFECT)
    assert json.dumps(plan) != json.dumps(PERFECT)
    attempt = judge(plan)
    assert [row for row in attempt.rows if not row.is_full] == []
    assert (attempt.earned, attempt.failed_by, attempt.changes) == (70, (), ())
    assert attempt.report.counts.error == attempt.report.counts.warning == 0


@pytest.mark.parametrize("fault", ["feed nothing", "a lead without size"])
def test_what_carries_no_marks_is_named_everywhere_whether_it_fails_or_not(fault: str) -> None:
    plan = cheat(fault)
    for text, outcome in (
        (SCHEME, "failed outright"),
        (f"{SCHEME}unmarked_errors: flag\n", "passed"),
    ):
        scheme = scheme_from(text)
        attempt = judge(plan, desk_for(scheme))
        marks = gather_class(scheme, [attempt], [])
        assert marks.sheets[0].outcome == outcome
        told = attempt.failed_by if outcome == "failed outright" else attempt.flagged
        begun = ("circuit-feed (", "conductor-size (not judged")
        assert any(one.startswith(begun) for one in told)
        rule = told[-1].split()[0]
        lines = " ".join(" ".join(write_class_text(marks, None)).split())
        for output in (lines, write_csv(marks), write_marks(marks, "1")):
            assert rule in output
        page = write_sheet(marks, marks.sheets[0], {})
        assert rule.replace("-", " ") in page
        assert "carries no marks" in page


def test_what_the_brief_itself_leaves_open_is_flagged_and_fails_nobody() -> None:
    scheme = scheme_from(SCHEME.replace("      cut-length: {marks: 3.5}\n", ""))
    desk = desk_for(scheme)
    materials = desk.brief.materials
    film = replace(materials.films["film-80"], cut_every=None)
    brief = replace(desk.brief, materials=replace(materials, films={"film-80": film}))
    plan = copy.deepcopy(PERFECT)
    del plan["materials"]["films"]["film-80"]["cut_every"]
    attempt = judge(plan, replace(desk, brief=brief))
    assert attempt.failed_by == ()
    assert any(one.startswith("cut-length (not judged, 7 points") for one in attempt.flagged)
