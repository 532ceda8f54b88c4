"""The report for a person."""

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    ALL,
    ATTIC,
    BEDROOM,
    CHANGED,
    CRASHED,
    CURRENT,
    KITCHEN,
    LANDING,
    STUDY,
    VERSION,
    WAIVED,
    wall_finding,
)
from underfoot.checking.caution import CAUTION
from underfoot.checking.mend import Mend
from underfoot.checking.report import PlanReport, Report, RuleFault
from underfoot.reporting.text import write_text

GOLDEN = Path(__file__).with_name("golden")
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


def written(*plans: PlanReport, width: int = 80) -> str:
    return "".join(write_text(Report(version=VERSION, plans=plans), width=width))


def flat(text: str) -> str:
    return " ".join(text.split())


def test_all_of_a_run_reads_as_agreed() -> None:
    assert "".join(write_text(ALL)) == (GOLDEN / "all.txt").read_text("utf-8")


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_is_wider_than_asked(width: int) -> None:
    for line in "".join(write_text(ALL, width=width)).splitlines():
        assert len(line) <= width, line


def test_no_line_ends_in_spaces() -> None:
    assert not [line for line in "".join(write_text(ALL)).splitlines() if line != line.rstrip()]


def test_what_matters_comes_first() -> None:
    text = written(KITCHEN)
    order = [
        "REVISE AND RESUBMIT",
        "ROOM kitchen: 2 errors, 1 warning, 1 waived",
        " 1  plans/kitchen.yaml:58:7   ERROR",
        " 4  plans/kitchen.yaml:70:5   WARNING",
        " 5  plans/kitchen.yaml:58:31  waived",
        "THE WHOLE PLAN: 1 error",
        " 3  plans/kitchen.yaml:86:3   ERROR",
        "NOT JUDGED",
        "WHY, AND ON WHAT BASIS",
        "SETTINGS",
        "CHECKED",
        "CAUTION",
    ]
    places = [text.index(mark) for mark in order]
    assert places == sorted(places)


def test_a_finding_says_all_that_it_must() -> None:
    text = flat(written(KITCHEN))
    for part in (
        "3 plans/kitchen.yaml:86:3 ERROR C1 circuit-current",
        CURRENT.message,
        "To do " + CURRENT.remedy,
        "Why " + CURRENT.why,
        "Basis settings: " + CURRENT.basis.text,
    ):
        assert part in text


def test_mends_stand_below_what_is_to_be_done() -> None:
    finding = KITCHEN.findings[0]
    mends = (Mend(says=finding.remedy, patch=()), Mend(says="Or move the\x1b wall.", patch=()))
    plan = replace(KITCHEN, findings=(replace(finding, mends=mends),))
    said = "".join(write_text(Report(version=VERSION, plans=(plan,))))
    assert "    Mend    As it says under to do: this was tried, and brings nothing else.\n" in said
    assert "    Mend    Or move the\\x1b wall.\n" in said
    bare = replace(plan, findings=(replace(finding, mends=()),))
    assert "Mend" not in "".join(write_text(Report(version=VERSION, plans=(bare,))))


def test_severity_and_verdict_need_no_colour() -> None:
    text = written(KITCHEN)
    assert "  ERROR  " in text
    assert "  WARNING  " in text
    assert "REVISE AND RESUBMIT – work must not start as drawn." in text


def test_no_objection_says_what_could_not_be_judged() -> None:
    assert "NO OBJECTION – but 1 point could not be judged." in written(BEDROOM)
    decided = replace(BEDROOM, counts=replace(BEDROOM.counts, undecided=0))
    assert "could not be judged" not in written(decided)


def test_reasons_are_grouped() -> None:
    text = written(KITCHEN)
    assert "NOT JUDGED, AND MAY BE AN ERROR: 2 points\n" in text
    assert " 1  no length of the cable is given – cable-capacity\n" in text
    assert "    To do   Write its `length`.\n" in text
    assert " 1  lead W1 has no size – cable-capacity\n" in text
    assert "NOT JUDGED: 1 point\n 1  no length of the cable is given – voltage-drop\n" in text
    row = KITCHEN.checks[0]
    also = replace(row, rule="breaker-rating", reasons=row.reasons[1:])
    both = written(replace(KITCHEN, checks=(also, row)))
    assert " 2  lead W1 has no size – breaker-rating, cable-capacity\n" in both
    assert both.count("Write its `size`.") == 1


@pytest.mark.parametrize(
    ("plan", "status", "means"),
    [
        (KITCHEN, "draft", "work must not start as drawn."),
        (KITCHEN, "for review", "work must not start as drawn."),
        (KITCHEN, None, "work must not start as drawn."),
        (KITCHEN, "laid", "isolate; do not energise until put right."),
        (KITCHEN, "covered", "isolate; do not energise until put right."),
        (KITCHEN, "handed over", "isolate; do not energise until put right."),
        (LANDING, "draft", "work must not start before what is missing is written down and judged"),
        (LANDING, "laid", "isolate; do not energise until what is missing is written down and"),
        (LANDING, "covered", "isolate; do not energise until what is missing is written"),
        (LANDING, "handed over", "isolate; do not energise until what is missing is written"),
        (STUDY, "laid", "put them right, or have a reviewer agree."),
    ],
)
def test_the_headline_fits_how_far_the_work_is(
    plan: PlanReport, status: str | None, means: str
) -> None:
    text = flat(written(replace(plan, status=status)))
    assert f"{plan.verdict.upper()} – {means}" in text


def test_what_may_be_an_error_is_counted_first_of_all() -> None:
    text = flat(written(LANDING))
    assert "INSUFFICIENT INFORMATION" in text
    assert "no findings · 3 points not judged (2 may be errors)" in text
    one = replace(LANDING, counts=replace(LANDING.counts, may_be_errors=1))
    assert "3 points not judged (1 may be an error)" in flat(written(one))


def test_a_waived_finding_shows_who_agreed_to_what() -> None:
    text = flat(written(KITCHEN))
    assert "plans/kitchen.yaml:58:31 waived error A4 wall-clearance" in text
    assert "boxed-in pipe agreed on site (agreed by design lead, until 2027-03-01)" in text
    assert WAIVED.waiver is not None
    endless = replace(WAIVED, waiver=replace(WAIVED.waiver, until=None))
    assert "with no end date" in flat(written(replace(KITCHEN, findings=(endless,))))


def test_reasons_stand_once_a_rule_and_say_where_is_more() -> None:
    findings = tuple(wall_finding(number, f"A{number}", 7) for number in range(1, 41))
    text = written(replace(KITCHEN, findings=findings))
    assert text.count("Skirting fixings") == text.count("    Basis   ") == 1
    assert "  wall-clearance · 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12 and 28 more\n" in text
    assert text.count("To do   Move A") == 40
    assert text.count("a right and a wrong example: underfoot why RULE\n") == 1


def test_a_rule_with_two_bases_says_which_findings_rest_on_which() -> None:
    first, second = wall_finding(1, "A1", 7), wall_finding(2, "A2", 9)
    other = replace(second, basis=replace(second.basis, text="the common manual"))
    text = flat(written(replace(KITCHEN, findings=(first, other))))
    assert "Basis 1: common practice in the trade" in text
    assert "Basis 2: common practice: the common manual" in text
    assert text.count("Skirting fixings") == 1


def test_the_findings_of_a_room_stand_together_under_their_numbers() -> None:
    one, two, three = (wall_finding(number, "A1", 7) for number in (1, 2, 3))
    text = written(replace(KITCHEN, findings=(one, replace(two, room="hall"), three)))
    order = ["ROOM kitchen: 2 errors\n", "\n 1  ", "\n 3  ", "ROOM hall: 1 error\n", "\n 2  "]
    assert sorted(order, key=text.index) == order


def test_a_long_remedy_that_stood_above_is_only_pointed_to() -> None:
    remedy = "Lay the whole floor anew with the courses turned by ninety degrees."
    findings = tuple(replace((wall_finding(n, f"A{n}", 7)), remedy=remedy) for n in (1, 2))
    text = written(replace(KITCHEN, findings=findings))
    assert text.count("To do   Lay the whole floor anew") == 1
    assert text.count("To do   as under 1\n") == 1


def test_a_working_that_stood_above_is_only_pointed_to() -> None:
    layers = tuple((name, f"{name} of the floor") for name in ("inside", "board", "slab", "below"))
    first, second, third = (wall_finding(number, "A1", 7) for number in (1, 2, 3))
    findings = (
        replace(first, details=(*layers, ("up", "30 W/m2"))),
        replace(second, details=(("film", "90 W"), *layers, ("up", "20 W/m2"))),
        # Three rows are as soon read as looked up, and one that differs is told.
        replace(third, details=(*layers[:3], ("below", "another floor"))),
    )
    text = written(replace(KITCHEN, findings=findings))
    assert text.count("inside to below  as under 1\n") == 1
    assert re.findall(r"^ +(film|up) +([0-9].*)$", text, re.M) == [
        ("up", "30 W/m2"), ("film", "90 W"), ("up", "20 W/m2"),
    ]  # fmt: skip
    assert text.count("slab of the floor") == 2
    assert "another floor" in text


def test_numbers_stay_in_line() -> None:
    findings = tuple(wall_finding(number, f"A{number}", 7) for number in range(1, 101))
    lines = written(replace(KITCHEN, findings=findings)).splitlines()
    heads = [line for line in lines if "  ERROR  " in line]
    assert len(heads) == 100
    assert {line.index("ERROR") for line in heads} == {6 + len("plans/kitchen.yaml:58:7  ")}


def test_a_changed_limit_says_from_where() -> None:
    text = flat(written(KITCHEN))
    assert "circuit-current: maximum 10 A, not 12 A" in text
    assert "plans/underfoot.yaml:3: maker's manual, section 4" in text
    assert "cold-area: switched off" in text
    assert "floor-coverage: counts as a note" in text
    assert "heat-demand: what it cannot judge counts as an error" in text


def test_the_same_settings_are_not_told_twice() -> None:
    text = written(KITCHEN, replace(STUDY, changed=CHANGED))
    assert text.count("cold-area: switched off") == 1
    assert "SETTINGS THAT ARE NOT THE DEFAULTS: the same as for the plan above" in text


def test_every_problem_of_an_unreadable_plan_has_its_place() -> None:
    text = written(ATTIC)
    assert "UNREADABLE – the plan was not checked." in text
    assert " 1  plans/attic.yaml:31:7\n    rooms.attic.rows.A.lenght\n" in text
    assert " 2  plans/catalogue.yaml:14:5\n    materials.films.film-140.output\n" in text
    assert "did you mean `length`?" in text
    assert "CHECKED" not in text


def test_a_crashed_rule_is_loud() -> None:
    text = flat(written(CRASHED))
    assert "INSUFFICIENT INFORMATION – 1 rule crashed and could not say anything." in text
    assert "!!! RULE CRASHED: wall-clearance" in text
    assert "A crash is a fault of the tool, not of the plan: please report it." in text
    worse = replace(
        KITCHEN,
        faults=(
            RuleFault(rule="rcd", message="KeyError"),
            RuleFault(rule="sensor", message="OSError"),
        ),
    )
    assert (
        "REVISE AND RESUBMIT – work must not start as drawn. 2 rules crashed and could not say "
        "anything." in flat(written(worse))
    )


def test_the_day_is_printed_where_it_mattered() -> None:
    assert "Dates were judged as of 2026-09-28." in flat(written(KITCHEN))
    assert "as of" not in written(BEDROOM)


def test_the_caution_stands_once_at_the_end() -> None:
    text = flat("".join(write_text(ALL)))
    assert text.count(CAUTION) == 1
    assert text.endswith(CAUTION)


def test_the_summary_counts_every_verdict() -> None:
    text = "".join(write_text(ALL))
    summary = text[text.index("5 PLANS") :]
    assert " 1  revise and resubmit\n" in summary
    assert " 1  no objection with comments\n" in summary
    assert " 1  no objection\n" in summary
    assert " 1  insufficient information\n" in summary
    assert " 1  unreadable\n" in summary
    assert "rules crashed on 1 plan" in summary
    assert "4 points could not be judged." in summary
    assert "3 passed over in the folders" in flat(summary)
    assert "plans/attik.yaml: there is no such file or folder" in text
    assert "1 PLAN" not in written(BEDROOM)


def test_a_plan_from_standard_input_has_a_name() -> None:
    assert "standard input" in written(replace(BEDROOM, path="-", title=None))


def test_a_title_of_two_lines_is_one_title() -> None:
    assert "North wing, hall  " in written(replace(BEDROOM, title="North wing,\nhall"))


def test_a_finding_without_room_and_items_is_about_the_whole_plan() -> None:
    supply = replace(CURRENT, items=())
    text = written(replace(KITCHEN, findings=(supply,)))
    assert "THE WHOLE PLAN: 1 error\n" in text
    assert " 3  plans/kitchen.yaml:86:3  ERROR  " in text


def test_a_long_name_moves_the_rule_to_the_next_line() -> None:
    strip = "strip-" + "x" * 69
    text = written(replace(KITCHEN, findings=(replace(CURRENT, items=(strip,)),)))
    assert f" 3  plans/kitchen.yaml:86:3\n    ERROR\n    {strip}\n    circuit-current\n" in text
