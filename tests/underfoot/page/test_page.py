"""The review page as text: everything is said, each thing once."""

import re

import pytest
from msgspec.structs import replace

from tests.there import there
from tests.underfoot.page.pages import (
    PLANS,
    examine_demo,
    examine_text,
    hostile_plan,
    page_of,
    page_of_drawn,
    read_tags,
    read_words,
)
from tests.underfoot.reporting.reports import KITCHEN
from underfoot.checking.caution import CAUTION
from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import DecisionUsed, ReviewUsed, RuleFault
from underfoot.drawing import LAYERS
from underfoot.drawing.setting_out import find_wanted
from underfoot.page import DrawnPlan, draw_plan
from underfoot.page import drawn_plan as drawn_plan_module
from underfoot.page import page as page_module
from underfoot.reading.problem import Problem


def test_the_same_plan_gives_the_same_bytes(kitchen: str) -> None:
    assert page_of(examine_demo("kitchen")) == kitchen


def test_everything_found_is_said(kitchen: str) -> None:
    report = examine_demo("kitchen").report
    words = " ".join(read_words(kitchen).split())
    assert len(report.findings) == 6
    for finding in report.findings:
        for text in (finding.message, finding.remedy, finding.why, finding.basis.text):
            assert " ".join(text.replace("`", "").split()) in words
        assert f"plans/kitchen.yaml:{finding.line}:{finding.column}" in words
    for row in report.checks:
        assert row.rule in words
        for reason in row.reasons:
            assert reason.why.replace("`", "") in words
            assert (reason.write or "").replace("`", "") in words
    assert report.verdict in words
    for row in report.checks:
        points = row.found or row.undecided
        share = f"{row.rule} {points} of {row.checked}" if points else f"{row.rule} {row.checked}"
        assert (share if row.checked else row.rule) in words
        more = f"{share} ({row.undecided} not judged)"
        assert (more in words) == bool(row.found and row.undecided)
    # Once on the screen, and once on paper.
    assert words.count(CAUTION) == 2


def test_a_finding_with_a_place_has_a_balloon_and_a_button() -> None:
    page = page_of(examine_demo("hobby-room"))
    tags = read_tags(page)
    balloons = {
        tag.attributes["data-finding"] for tag in tags if tag.attributes.get("class") == "balloon"
    }
    with_button = {
        tag.attributes["data-number"]
        for tag in tags
        if (tag.attributes.get("class") or "").startswith("finding")
        and "data-number" in tag.attributes
        and "data-room" in tag.attributes
        and "data-circuits" not in tag.attributes
    }
    assert balloons == with_button
    # Where no script makes more of it, it is a link.
    links = re.findall(r'<a href="#plan-1-finding-([0-9]+)"><g data-finding="\1"', page)
    assert set(links) == balloons
    assert len(balloons) >= 3


def test_a_finding_of_a_circuit_leads_to_its_strips() -> None:
    kitchen = examine_demo("kitchen")
    of_circuit = {
        str(finding.number) for finding in kitchen.report.findings if finding.items[:1] == ("C1",)
    }
    assert of_circuit
    page = page_of(kitchen)
    tags = read_tags(page)
    lit = {
        tag.attributes["data-number"]: tag.attributes
        for tag in tags
        if "data-circuits" in tag.attributes
    }
    assert set(lit) == of_circuit
    assert all(each["data-circuits"] == '["C1"]' for each in lit.values())
    assert all(each["data-room"] == "1" for each in lit.values())
    # Nine strips lie in the kitchen's one row, all on C1. The drawing waits as text.
    assert page.count('data-circuit="C1"') == 9


def test_a_long_reckoning_is_folded() -> None:
    kitchen = examine_demo("kitchen")
    (long,) = [one for one in kitchen.report.findings if len(one.details) > 3]
    page = page_of(kitchen)
    assert page.count("<summary>How it was worked out</summary>") == 1
    folded = page.partition("<summary>How it was worked out</summary>")[2].partition("</details>")
    for name, _ in long.details:
        assert f"<dt>{name}</dt>" in folded[0]
        assert f"<dt>{name}</dt>" not in folded[2]


def test_the_legend_goes_with_the_layers() -> None:
    page = page_of(examine_demo("office"))
    # Insulation boards are not shown at first, so the legend must not show them either.
    assert '<g data-shows="boards">' in page
    hidden = re.search(r'<main [^>]*data-layers-off="([a-z ]+)"', page)
    assert "boards" in there(hidden)[1].split()
    assert (
        '[data-layers-off~="boards"] :is([data-layer="boards"], [data-shows="boards"]) '
        "{ display: none; }"
    ) in page


def test_limits_say_where_they_come_from() -> None:
    words = " ".join(read_words(page_of(examine_demo("annexe/day-room"))).split())
    assert "wall-clearance: minimum 100 mm, not 50 mm" in words
    assert "plans/annexe/underfoot.yaml:5: maker's manual, section 4" in words
    assert "cold-area: switched off" in words
    assert "(the rule's own: 50 mm)" in words


def test_waivers_are_listed_with_reason_name_and_date() -> None:
    text = (PLANS / "guest-room.yaml").read_text("utf-8")
    assert text.count("agreed_by: design lead}") == 1
    text = text.replace("agreed_by: design lead}", "agreed_by: design lead, until: 2027-03-01}")
    examined = examine_text(text)
    page = page_of(examined)
    words = " ".join(read_words(page).split())
    (waived,) = (each for each in examined.report.findings if each.waiver)
    # In the finding, and in the table of waivers.
    assert (
        "Waived within reach of a wheelchair user (agreed by design lead, until 2027-03-01)"
    ) in words
    assert (
        "thermostat-height thermostat within reach of a wheelchair user design lead 2027-03-01 "
        f"{waived.number} "
    ) in words
    assert 'data-kind="waived"' in page


def test_a_waiver_that_holds_for_nothing_says_so() -> None:
    words = " ".join(
        read_words(
            page_of(examine_text(hostile_plan().replace("item: C1", "item: hobby-room")))
        ).split()
    )
    assert "holds for none" in words


def test_decisions_stand_with_their_findings() -> None:
    examined = examine_demo("kitchen")
    decided = DecisionUsed(
        decision="to be mended", reason="agreed by <phone>", by="A. Reviewer", date="2026-10-02"
    )
    first, *others = examined.report.findings
    review = ReviewUsed(
        file="plans/kitchen.review.yaml",
        overall=replace(
            decided, decision="revise and resubmit", reason=None, lapsed="changed since: plan"
        ),
        changed=("plan",),
        no_longer_found=(("rcd", None, ("C9",)),),
    )
    report = replace(
        examined.report, findings=(replace(first, decision=decided), *others), review=review
    )
    page = page_of(replace(examined, report=report))
    words = " ".join(read_words(page).split())
    assert "to be mended: agreed by <phone> A. Reviewer, 2026-10-02" in words
    assert (
        "Decided revise and resubmit A. Reviewer, 2026-10-02 No longer applies: changed since: "
        "plan Decided, and no longer found: rcd C9 plans/kitchen.review.yaml"
    ) in words
    # The one that is decided leaves no boxes to tick by hand.
    assert page_of(examined).count("by-hand") - page.count("by-hand") == 1


def test_a_review_that_cannot_be_read_is_not_passed_over() -> None:
    examined = examine_demo("kitchen")
    review = ReviewUsed(
        file="plans/kitchen.review.yaml",
        problems=(Problem(message="no such date", path=3, line=1),),
    )
    report = replace(examined.report, review=review)
    words = " ".join(read_words(page_of(replace(examined, report=report))).split())
    assert "plans/kitchen.review.yaml: it cannot be read" in words


def test_a_plan_that_cannot_be_read_says_why() -> None:
    examined = examine_text("plan_format: 1\nrooms: {}\n")
    words = " ".join(read_words(page_of(examined)).split())
    assert examined.plan is None
    assert "What keeps the plan from being read" in words
    for problem in examined.report.problems:
        assert f"plans/plan.yaml:{problem.line}:{problem.column}" in words
    assert "the plan was not checked." in words


def test_a_fault_of_the_drawing_costs_no_finding(monkeypatch: pytest.MonkeyPatch) -> None:
    def fall(*args: object) -> None:
        raise ZeroDivisionError("nothing to divide by")

    monkeypatch.setattr(drawn_plan_module, "draw_rooms", fall)
    examined = examine_demo("kitchen")
    words = " ".join(read_words(page_of(examined)).split())
    assert "The plan could not be drawn: ZeroDivisionError" in words
    assert examined.report.findings[0].message.replace("`", "") in words


def test_what_was_not_checked_as_asked_is_said() -> None:
    page = page_of_drawn([], problems=(Problem(message="there is no such file", file="a<b.yaml"),))
    words = " ".join(read_words(page).split())
    assert "a<b.yaml: There is no such file." in words
    assert "No plan was checked." in words


def test_rules_that_crashed_are_shown_loudly() -> None:
    drawn = DrawnPlan(report=KITCHEN, settings=None)
    crashed = replace(
        KITCHEN, faults=(RuleFault(rule="rcd", message="KeyError at rules/rcd.py:1"),)
    )
    assert "crashed" not in read_words(page_of_drawn([drawn]))
    words = " ".join(read_words(page_of_drawn([replace(drawn, report=crashed)])).split())
    assert "rcd: KeyError at rules/rcd.py:1" in words
    assert "A crash is a fault of the tool" in words


def test_only_rules_that_found_something_are_explained_each_once(folder: str) -> None:
    ids = [tag.attributes.get("id") or "" for tag in read_tags(folder)]
    explained = [one.removeprefix("rule-") for one in ids if one.startswith("rule-")]
    plans = [examine_demo(name).report for name in ("kitchen", "flat", "annexe/day-room")]
    assert explained == sorted({each.rule for plan in plans for each in plan.findings})
    assert 0 < len(explained) < 20


def test_the_gravest_come_first() -> None:
    names = ("attic", "nursery", "hobby-room", "kitchen")
    drawn = [draw_plan(examine_demo(name)) for name in names]
    unread = examine_text("plan_format: 1\nrooms: {}\n")
    drawn.append(draw_plan(unread))
    page = page_of_drawn(drawn)
    rows = re.findall(r'<tr data-plan="(plan-[0-9])"', page)
    # What could not be read, 11 errors, 3, 1, and nothing.
    assert rows == ["plan-5", "plan-3", "plan-4", "plan-2", "plan-1"]
    assert re.findall(r'<article class="plan" id="(plan-[0-9])"', page) == rows
    start = page.partition("Start here</h3>")[2].partition("</section>")[0]
    assert re.findall(r'href="#(plan-[0-9])-sheet"', start) == rows[:4]
    # What can shock comes before what only spoils; a plan without findings asks for nothing.
    assert 'href="#plan-3-finding-5"' in start
    assert re.findall(r"<bdi>(.*?)</bdi>", start)[0] == "plans/plan.yaml"
    problem, count = unread.report.problems[0], len(unread.report.problems)
    told = f"line {problem.line}: {problem.message.replace('`', '')} {count} problem"
    assert told in " ".join(read_words(start).split())


def test_one_plan_begins_with_five_of_its_many_findings() -> None:
    page = page_of(examine_demo("hobby-room"))
    start = page.partition("Start here</h4>")[2].partition("</section>")[0]
    assert re.findall(r'href="#plan-1-finding-([0-9]+)"', start) == ["5", "6", "7", "8", "9"]
    # Of the three papers that are missing the first says why they are wanted.
    assert page.count("<dt>Why</dt><dd>Years later these papers") == 1
    assert "Start here" not in page_of(examine_demo("study"))  # four are seen at a glance


def test_the_verdict_stands_with_its_meaning_once() -> None:
    page = page_of(examine_demo("hobby-room"))
    head = page.partition('<span class="plan-head">')[2].partition("</summary>")[0]
    assert read_words(head).count("revise and resubmit") == 1
    assert "work must not start as drawn." in head
    assert page.count('class="verdict ') == 1


def test_a_page_holds_no_more_than_opens_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = [draw_plan(examine_demo(name)) for name in ("attic", "hobby-room", "nursery")]
    whole = page_of_drawn(drawn)
    lengths = {
        name: len(text.encode())
        for name, text in re.findall(
            r'(?s)(?=<article class="plan" id="(plan-[0-9])"(.*?)</article>)', whole
        )
    }
    assert len(lengths) == 3
    # Not even the gravest fits, and it is shown; with two to spare the third is left out.
    for most, shown in (
        (10, ["plan-2"]),
        (lengths["plan-2"] + lengths["plan-3"] + 300, ["plan-2", "plan-3"]),
    ):
        monkeypatch.setattr(page_module, "PAGE_BYTES", most)
        page = page_of_drawn(drawn)
        assert re.findall(r'<article class="plan" id="(plan-[0-9])"', page) == shown
        assert page.count("<tr data-plan=") == 3
        assert page.count('<th scope="row"><a href="#plan-') == len(shown)
        assert "the gravest, as many as fit on a page that still opens at once." in page
    assert "as many as fit" not in whole


def test_a_plan_is_let_go_once_drawn() -> None:
    examined: CheckedPlan = examine_demo("kitchen")
    drawn = draw_plan(examined)
    held = [getattr(drawn, name) for name in DrawnPlan.__slots__]
    assert all(each is not there(examined.plan) for each in held)


@pytest.mark.parametrize("name", ["living-room", "common-room", "hall"])
def test_what_has_no_place_in_a_drawing_stands_in_a_table_beside_it(name: str) -> None:
    examined = examine_demo(name)
    ((room, facts),) = (examined.facts.rooms if examined.facts is not None else {}).items()
    (table,) = re.findall('(?s)<table class="untold">.*?</table>', page_of(examined))
    rows = [" ".join(read_words(f"<tr{row}").split()) for row in table.split("<tr")[2:]]
    (drawn,) = draw_plan(examined).rooms
    assert rows == [f"{each.item} {each.words}" for each in drawn.untold]
    # Each dimension that is wanted stands in the drawing or there, and each strip's length.
    for wanted in find_wanted(facts, LAYERS):
        beside = f'data-dimension="{wanted.what}"' in drawn.svg
        assert beside or f"{wanted.what} {wanted.in_words}" in rows
    for element in facts.elements:
        labels = re.findall(f'(?s)<g class="label" data-of="{element.id}">.*?</g>', drawn.svg)
        listed = f"{element.id} {element.length:.0f} long, on {element.circuit}" in rows
        assert (f"{element.length:.0f} · " in "".join(labels)) != listed
    assert rows
    assert drawn.id == room


def test_what_cannot_be_read_is_told_with_its_line() -> None:
    text = (PLANS / "hobby-room.yaml").read_text("utf-8")
    page = page_of(examine_text(text.replace("230 V", "230 <W>\u202e", 1)))
    assert '<code class="quoted"><mark>voltage</mark>: 230 &lt;W&gt;\\u202e</code></li>' in page
    assert "\u202e" not in page
