"""A plan that cannot be read as a whole earns by what can be read of it."""

import re

import pytest

from tests.underfoot.marking.demo import FOLDER, demo_desk
from underfoot.marking.judging import Attempt, judge_source
from underfoot.marking.submissions import Handed

PERFECT = (FOLDER / "submissions" / "apprentice-01.yaml").read_text("utf-8")
LEADS = {"lead-under-element": 6, "lead-outside-room": 2, "lead-recessed": 1}


def judged(text: str) -> Attempt:
    return judge_source(
        text.encode(), Handed(name="a", attempt=1, shown="a.yaml", place=None), demo_desk()
    )


def without(begin: str, end: str) -> str:
    return PERFECT[: PERFECT.index(begin)] + PERFECT[PERFECT.index(end) :]


CASES: dict[str, tuple[str, dict[str, float]]] = {
    # No box: the leads begin nowhere, and the sensor's way is not there to be measured.
    "no box": (re.sub(r"\n    junction_box.*", "", PERFECT), {**LEADS, "sensor-cable-reach": 1}),
    # No circuits: no RCD 3, no breaker 2, no cable of two 1, no thermostat 2 + 2 + 1.
    "no circuits": (
        without("circuits:\n", "method_statement"),
        {"rcd": 3, "breaker-rating": 2, "cable-capacity": 1, "floor-limit": 2,
         "thermostat-rating": 2, "thermostat-height": 1},
    ),
    "a lead without a way": (
        PERFECT.replace("[junction-box, [30, 1500], [30, 30], A]", "[]"), LEADS,
    ),
    # What the brief gives need not be written again.
    "no materials": (without("materials:\n", "supply:\n"), {}),
    "no supply": (without("supply:\n", "rooms:\n"), {}),
    "no outline": (re.sub(r"\n    outline.*", "", PERFECT), {}),
    "no film named": (PERFECT.replace("film: film-80, ", ""), {}),
    "a bracket left open": (PERFECT.replace("heat_loss: 470 W", "heat_loss: [470 W"), {}),
    "a thing twice": (
        PERFECT.replace("    height: 2400\n", "    height: 2400\n    height: 2300\n"), {},
    ),
    "a step that is none": (
        # 5.5 x 10/11 = 5; 2.5 x 10/11 = 2.27, to the half 2.5.
        PERFECT.replace("bare_conductor: 6", "bare_conductor: six"),
        {"method-statement": 0.5},
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", CASES)
def test_what_cannot_be_read_costs_what_it_is_worth(case: str) -> None:
    text, lost = CASES[case]
    assert text != PERFECT
    attempt = judged(text)
    assert attempt.is_read
    assert attempt.report.problems
    found = {row.what: float(row.marks - row.earned) for row in attempt.rows if not row.is_full}
    assert found == lost


def test_a_finding_still_says_the_line_of_the_file() -> None:
    text = PERFECT.replace("rcd: 30 mA", "rcd: 300 mA").replace("width: 500\n", "width: 500 mmm\n")
    attempt = judged(text)
    (finding,) = [one for one in attempt.report.findings if one.rule == "rcd"]
    assert (
        "C1" in text.splitlines()[finding.line - 1] or "rcd" in text.splitlines()[finding.line - 1]
    )


CIRCUITS = PERFECT[PERFECT.index("circuits:\n") : PERFECT.index("method_statement")]
# Two things of one name are a slip of naming, which costs nothing: strip A1, the room, a row.
CLASHES = {
    "a strip's": PERFECT.replace("C1", "A1"),
    "the room's": PERFECT.replace("circuit: C1", "circuit: bedroom").replace("  C1:", "  bedroom:"),
    "a row's": PERFECT.replace("C1", "A"),
    "a strip's, which comes later": (
        PERFECT.replace(CIRCUITS, "").replace("rooms:\n", f"{CIRCUITS}\nrooms:\n")
    ).replace("C1", "A1"),
    "the room's, which comes later": (
        PERFECT.replace(CIRCUITS, "").replace("rooms:\n", f"{CIRCUITS}\nrooms:\n")
    )
    .replace("circuit: C1", "circuit: bedroom")
    .replace("  C1:", "  bedroom:"),
    "a counted strip's": PERFECT.replace(
        "lengths: [2250, 2250, 2250, 2250, 3000, 3000, 3000]", "length: 2250, count: 7"
    ).replace("C1", "A3"),
    "a lead that has a strip's": PERFECT.replace("W1:", "A2:"),
}


@pytest.mark.parametrize("case", CLASHES)
def test_a_circuit_or_a_lead_of_another_s_name_is_judged_under_a_new_one(case: str) -> None:
    attempt = judged(CLASHES[case])
    assert [one for one in attempt.report.problems if "rename one" in one.message]
    # The seven strips of 2250 mm of one case leave less heated, and no other row is the worse.
    least = 70 if "counted" not in case else 67
    assert attempt.earned >= least, [row for row in attempt.rows if not row.is_full]
    assert attempt.failed_by == ()


@pytest.mark.parametrize(
    "text", ["", "rooms: [", "plan_format: 1\n", "- 1\n", "rooms: {bedroom: 3}\n", "rooms: {}\n"]
)
def test_where_no_room_is_drawn_nothing_is_earned_but_what_the_scheme_gives(text: str) -> None:
    attempt = judged(text)
    assert not attempt.is_read
    assert attempt.earned == 2
