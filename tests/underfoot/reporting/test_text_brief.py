"""The report of many plans: a line a finding, sums, and where to begin."""

import re

import pytest
from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    ALL,
    ATTIC,
    BEDROOM,
    CRASHED,
    CURRENT,
    KITCHEN,
    LANDING,
    STUDY,
    VERSION,
    wall_finding,
)
from tests.underfoot.reporting.test_text import ESCAPE, GOLDEN
from tests.underfoot.reporting.test_text_hostile import HOSTILE
from underfoot.checking.caution import CAUTION_IN_BRIEF
from underfoot.checking.exit_status import REFUSE_AT, RefuseAt, plan_status
from underfoot.checking.report import (
    Counts,
    DecisionUsed,
    PlanReport,
    Report,
    ReviewUsed,
    RuleFault,
)
from underfoot.reading.problem import Problem
from underfoot.reporting import one_line
from underfoot.reporting.ink import COLOURED, PLAIN, Ink
from underfoot.reporting.quiet import QuietWriter
from underfoot.reporting.text import TextWriter
from underfoot.reporting.text_brief import BriefWriter
from underfoot.reporting.writer import write_whole

FAULTLESS = replace(BEDROOM, counts=Counts(), checks=())


def written(*plans: PlanReport, width: int = 80, fits: bool = False, ink: Ink = PLAIN) -> str:
    report = Report(version=VERSION, plans=plans)
    return "".join(write_whole(BriefWriter(width, ink, fits=fits), report))


def test_a_run_in_brief_reads_as_agreed() -> None:
    writer = BriefWriter(electrical=frozenset({"circuit-current"}))
    text = "".join(write_whole(writer, ALL))
    assert text == (GOLDEN / "brief.txt").read_text("utf-8")


def test_each_finding_has_one_line_under_its_plan() -> None:
    text = written(KITCHEN, STUDY)
    rows = [line for line in text.splitlines() if re.match(r" +[0-9]+  [0-9]+:[0-9]+  ", line)]
    assert len(rows) == len(KITCHEN.findings) + len(STUDY.findings)
    assert [row.split()[0] for row in rows] == ["1", "2", "3", "4", "5", "1"]
    for row, finding in zip(rows, KITCHEN.findings, strict=False):
        assert finding.rule in row
        assert finding.message in row
    assert "waived " in rows[4]
    assert "To do" not in text
    assert text.index("plans/kitchen.yaml  revise and") < text.index(rows[0])
    assert text.index(rows[4]) < text.index("plans/study.yaml  no objection with comments")


def test_plans_with_nothing_to_tell_share_a_line() -> None:
    many = [replace(FAULTLESS, path=f"p{number}.yaml") for number in range(1, 12)]
    text = written(KITCHEN, *many)
    assert (
        "11 plans with nothing to tell: p1.yaml, p2.yaml, p3.yaml, p4.yaml, p5.yaml, p6.yaml, "
        "p7.yaml, p8.yaml and 3 more\n" in text
    )
    assert text.count("p1.yaml") == 1
    assert "nothing to tell" not in written(KITCHEN, BEDROOM)


def test_what_was_not_judged_has_one_line_a_plan() -> None:
    text = written(KITCHEN, BEDROOM, LANDING)
    assert "    not judged: 2 may be errors (cable-capacity), 1 less grave (voltage-drop)\n" in text
    assert (
        "plans/bedroom.yaml  no objection: no findings\n    not judged: 1 (voltage-drop)\n" in text
    )
    assert text.count("not judged:") == 3
    assert "\nNOT JUDGED  7 points, of which 4 may be errors\n" in text


def test_what_could_not_be_read_or_crashed_is_loud() -> None:
    text = written(ATTIC, CRASHED)
    assert "plans/attic.yaml  unreadable: 2 problems\n" in text
    assert "  1  31:7  error  unreadable  unknown key `lenght`" in text
    assert "  2  14:5  error  unreadable  in plans/catalogue.yaml: must be text" in text
    assert "plans/hall.yaml  insufficient information: no findings, 1 rule crashed\n" in text
    assert "!!!    crashed  wall-clearance  a fault of the tool, not of the plan: KeyError" in text
    assert "CRASHED     !!! rules crashed on 1 plan\n" in text
    assert "FOUND       0 errors, 0 warnings, 0 notes, 2 problems of reading\n" in text


def test_sums_come_last_and_then_what_to_look_at_first() -> None:
    text = written(KITCHEN, STUDY, BEDROOM, ATTIC, CRASHED, LANDING)
    order = ["nothing to tell", "PLANS       6: 1 revise", "FOUND       3 errors, 2 warnings,",
             "BY RULE     2 sensor-depth, 2 wall-clearance, 1 circuit-current", "LOOK AT FIRST",
             "One plan in full", "CAUTION"]  # fmt: skip
    places = [text.index(each) for each in order[1:]]
    assert places == sorted(places)
    first = text[text.index("LOOK AT FIRST") :]
    assert re.findall(r"^ [1-9]  (\S+)", first, re.MULTILINE) == [
        "plans/attic.yaml:31:7", "plans/hall.yaml", "plans/kitchen.yaml:58:7", "plans/landing.yaml",
        "plans/study.yaml:70:5",
    ]  # fmt: skip
    assert "rule crashed: wall-clearance" in first
    assert "no findings · 3 points not judged (2 may be errors)" in first


@pytest.mark.parametrize("width", [40, 60, 80])
def test_a_number_and_its_rule_are_never_parted_and_what_is_found_once_has_no_number(
    width: int,
) -> None:
    (one, *_) = KITCHEN.findings
    rules = ["strip-gap"] * 12 + ["rcd"] * 2 + ["box-place", "sensor-way", "lead-on-lead"]
    findings = tuple(replace(one, rule=rule, waiver=None) for rule in rules)
    text = written(replace(KITCHEN, findings=findings), STUDY, width=width)
    sums = re.search(r"^BY RULE (?:.*\n)+?(?=NOT JUDGED)", text, re.M)
    assert sums is not None
    assert "12 strip-gap," in sums[0]
    assert all(len(line) <= width for line in sums[0].splitlines())
    assert not re.search(r"\b[0-9]+$", sums[0], re.M)
    often, once = sums[0].split("ONCE EACH")
    assert "box-place," in once
    assert not re.search(r"[0-9]", once)
    assert re.findall(r"[0-9]+ (?=rcd|sensor-depth)", often) == ["2 "]


def test_no_more_than_five_are_to_be_looked_at_first_and_equals_stay_in_order() -> None:
    plans = [replace(STUDY, path=f"p{number}.yaml") for number in range(9)]
    first = written(*plans, KITCHEN).partition("LOOK AT FIRST\n")[2]
    named = re.findall(r"^ [1-9]  ([^:]+):", first, re.MULTILINE)
    assert named == ["plans/kitchen.yaml", "p0.yaml", "p1.yaml", "p2.yaml", "p3.yaml"]
    assert "LOOK AT FIRST" not in written(BEDROOM)


def test_settings_and_the_review_are_told_in_short() -> None:
    decision = DecisionUsed(decision="no objection", reason=None, by="me", date="2026-11-01")
    reviewed = replace(KITCHEN, review=ReviewUsed(file="r.yaml", overall=decision))
    text = written(reviewed, STUDY)
    assert "    review: overall no objection (me, 2026-11-01); the check says revise" in text
    told = " ".join(text.split())
    assert "SETTINGS not the defaults: plans/underfoot.yaml (1 plan); switched off: cold" in told
    assert "SETTINGS" not in written(STUDY)


def test_strips_of_several_rooms_are_told_apart() -> None:
    hall = replace(wall_finding(1, "A1", 7), room="hall")
    text = written(replace(KITCHEN, findings=(hall, wall_finding(2, "A1", 9), CURRENT)))
    assert "wall-clearance   hall: Strip A1 lies" in text
    assert "wall-clearance   kitchen: Strip A1 lies" in text
    assert "circuit-current  Circuit C1 draws" in text
    assert "kitchen: Strip" not in written(KITCHEN)


def test_the_caution_is_there_once_and_short() -> None:
    text = " ".join(written(KITCHEN, BEDROOM).split())
    assert text.count(CAUTION_IN_BRIEF) == 1
    assert text.endswith(CAUTION_IN_BRIEF)


@pytest.mark.parametrize("width", [24, 40, 60, 80, 120])
def test_on_a_terminal_nothing_is_wider_than_it(width: int) -> None:
    long = replace(STUDY, findings=(replace(STUDY.findings[0], message="very long " * 40),))
    for line in written(
        KITCHEN, long, ATTIC, CRASHED, LANDING, width=width, fits=True
    ).splitlines():
        # A path stays whole, and so do the first columns of a line.
        assert width < 40 or len(line) <= width or "plans/" in line, line
        assert len(line) <= max(width, 40), line


def test_where_a_sentence_does_not_fit_its_figures_are_told() -> None:
    (first, *_) = KITCHEN.findings
    bare = replace(first, measured=None, limit=None)
    told = written(
        replace(KITCHEN, findings=(first, replace(bare, number=2))), STUDY, width=80, fits=True
    )
    assert "wall-clearance  A1: 42 mm, at least 50 mm\n" in told
    assert "wall-clearance  Strip A1 lies 42 mm from the wall; the least…\n" in told
    assert "kitchen.yaml:58:7  wall-clearance A1: 42 mm, at least 50 mm\n" in told
    hall = replace(first, room="hall", message="very long " * 9)
    assert "hall A1: 42 mm, at least 50 mm\n" in written(
        replace(KITCHEN, findings=(hall, first)), width=80, fits=True
    )
    assert first.message in written(KITCHEN, width=200, fits=True)
    assert "warning  sensor-depth  310 mm, at least 500 mm\n" in written(
        KITCHEN, width=60, fits=True
    )


def test_what_keeps_a_plan_from_being_read_has_the_whole_line() -> None:
    text = written(ATTIC, KITCHEN, width=60, fits=True)
    assert "  1  31:7  error  unknown key `lenght`; did you mean…\n" in text
    # Where lines are as long as they like all of them have the same columns.
    assert "  1  31:7  error  unreadable  unknown key `lenght`" in written(ATTIC, KITCHEN)
    assert re.search(r"^  1  31:7  error  unknown key", written(ATTIC, width=40, fits=True), re.M)


def test_what_is_cut_of_a_plan_not_judged_is_only_the_names_of_rules() -> None:
    text = written(KITCHEN, BEDROOM, width=70, fits=True)
    assert "    not judged: 2 may be errors, 1 less grave: cable-capacity…\n" in text
    many = [replace(FAULTLESS, path=f"plans/p{number}.yaml") for number in range(1, 12)]
    assert "11 plans with nothing to tell: plans/p1.yaml and 10 more\n" in written(
        *many, width=60, fits=True
    )
    assert "\n11 plans with nothing to tell\n" in f"\n{written(*many, width=45, fits=True)}"


def test_with_little_room_rule_and_items_are_told() -> None:
    text = written(KITCHEN, width=40, fits=True)
    assert "  1  58:7   error    wall-clearance  A1\n" in text
    assert "  4  70:5   warning  sensor-depth…\n" in text


def test_nothing_of_a_plan_reaches_the_terminal_raw() -> None:
    finding = replace(CURRENT, message=HOSTILE, rule=HOSTILE, items=(HOSTILE,), room=HOSTILE)
    plan = replace(
        KITCHEN, path=HOSTILE, findings=(finding, CURRENT), review=ReviewUsed(file=HOSTILE),
        faults=(RuleFault(rule=HOSTILE, message=HOSTILE),),
    )  # fmt: skip
    bad = replace(
        ATTIC, path=HOSTILE, problems=(Problem(message=HOSTILE, line=2, column=2, file=HOSTILE),)
    )
    for fits in (False, True):
        for ink in (PLAIN, COLOURED):
            text = written(plan, bad, replace(FAULTLESS, path=HOSTILE), fits=fits, ink=ink)
            text = ESCAPE.sub("", text) if ink is COLOURED else text
            assert text.replace("\n", "").isprintable()


def quietly(refuse_at: RefuseAt, *plans: PlanReport, lines: bool = False) -> str:
    inner = one_line.RowWriter(one_line.write_line) if lines else BriefWriter()
    writer = QuietWriter(inner, refuse_at, with_caution=not lines)
    problems = (Problem(message="gone", file="gone.yaml"),)
    return "".join(write_whole(writer, Report(version=VERSION, plans=plans, problems=problems)))


@pytest.mark.parametrize("refuse_at", REFUSE_AT)
def test_quietly_only_what_refuses_is_told(refuse_at: RefuseAt) -> None:
    for plan in (KITCHEN, STUDY, BEDROOM, ATTIC, CRASHED, LANDING):
        text = quietly(refuse_at, plan)
        assert bool(text) == (plan_status(plan, refuse_at) != 0)
        assert text == "" or " ".join(text.split()).endswith(CAUTION_IN_BRIEF)


def test_quietly_a_refused_plan_keeps_to_what_refuses_it() -> None:
    text = quietly("error", KITCHEN, STUDY)
    assert "plans/study.yaml" not in text
    assert "plans/kitchen.yaml  revise and resubmit: 3 errors" in text
    assert text.count("  error  ") == 3
    assert "warning " not in text
    assert "not judged" not in text
    assert "PLANS" not in text
    assert "not judged: 2 may be errors" in quietly("unjudged", KITCHEN)
    full = "".join(QuietWriter(TextWriter(), "error", with_caution=True).add(KITCHEN))
    assert " 3  plans/kitchen.yaml:86:3" in full
    assert "NOT JUDGED" not in full
    assert quietly("error", BEDROOM, lines=True) == ""
    rows = quietly("warning", KITCHEN, STUDY, lines=True).splitlines()
    # Three errors, what may be errors for two reasons, and a warning in each.
    assert len(rows) == 3 + 2 + 2
