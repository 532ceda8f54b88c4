"""Finished reports made by hand, for the tests of every format."""

from msgspec.structs import replace

from underfoot.checking.finding import Basis
from underfoot.checking.origin import Origin
from underfoot.checking.report import (
    INSUFFICIENT,
    NO_OBJECTION,
    REVISE,
    UNREADABLE,
    WITH_COMMENTS,
    Changed,
    CheckRow,
    Counts,
    LimitUsed,
    Measure,
    PlanReport,
    Reason,
    Report,
    ReportedFinding,
    RuleFault,
    WaiverUsed,
)
from underfoot.reading.problem import Problem

VERSION = "0.0.0"

PRACTICE = Basis(
    kind="common practice",
    text="common practice in the trade, no source: what is planned wider stays wide enough on "
    "site; "
    "the maker's manual decides",
)
MANUAL = Basis(
    kind="settings",
    text="maker's manual, section 4 (plans/underfoot.yaml:3); the local wiring regulations and a "
    "licensed electrician decide",
)
TOO_NEAR = (
    "Skirting fixings, joints at the wall and site tolerances reach a strip that is too near."
)


def wall_finding(
    number: int, strip: str, column: int, waiver: WaiverUsed | None = None
) -> ReportedFinding:
    """A strip 42 mm from the wall, 8 mm less than the 50 mm of common practice."""
    return ReportedFinding(
        number=number,
        rule="wall-clearance",
        severity="error",
        message=f"Strip {strip} lies 42 mm from the wall; the least allowed is 50 mm.",
        room="kitchen",
        items=(strip,),
        measured=Measure(value=42.0, unit="mm"),
        limit=LimitUsed(least=50.0, most=None, unit="mm"),
        line=58,
        column=column,
        path=f"rooms.kitchen.rows.A.lengths.{int(strip[1:]) - 1}",
        shape={"type": "LineString", "coordinates": [[42.0, 60.0], [0.0, 60.0]]},
        remedy=f"Move {strip} by 16 mm to the right (+x).",
        why=TOO_NEAR,
        basis=PRACTICE,
        waiver=waiver,
    )


# 35 m of strip, 0.5 m wide, at 140 W/m2 and 230 V: 35 x 0.5 x 140 / 230 = 10.65 A.
CURRENT = ReportedFinding(
    number=3,
    rule="circuit-current",
    severity="error",
    message="Circuit C1 draws 10.65 A; one circuit may draw at most 10 A.",
    room=None,
    items=("C1",),
    measured=Measure(value=10.6521739, unit="A"),
    limit=LimitUsed(least=None, most=10.0, unit="A"),
    line=86,
    column=3,
    path="circuits.C1",
    shape=None,
    remedy="Divide it: A1 to A5 on one circuit (6.09 A), A6 to A9 on a second one (4.57 A).",
    why="Too much current heats connectors, leads and the thermostat's contact where none can see.",
    basis=MANUAL,
)
SENSOR = ReportedFinding(
    number=4,
    rule="sensor-depth",
    severity="warning",
    message=(
        "The sensor lies 310 mm from the edge of the heated floor; at least 500 mm is needed."
    ),
    room="kitchen",
    items=(),
    measured=Measure(value=310.0, unit="mm"),
    limit=LimitUsed(least=500.0, most=None, unit="mm"),
    line=70,
    column=5,
    path="rooms.kitchen.sensor",
    shape={"type": "Point", "coordinates": [810.0, 370.0]},
    remedy="Move the sensor to [1810, 1500], 1250 mm from the edge.",
    why="Near the edge the floor is colder, and the sensor lets the rest run too warm.",
    basis=PRACTICE,
    details=(
        ("surface", "28.4 °C"),
        ("the dial's setting", "31 °C, for the covering oak-14 and its underlay as drawn"),
    ),
    related=("rooms.kitchen.rows.A.lengths.1",),
    related_at=((58, 13),),
)
WAIVED = wall_finding(
    5,
    "A4",
    31,
    WaiverUsed(reason="boxed-in pipe agreed on site", agreed_by="design lead", until="2027-03-01"),
)
LENGTH = Reason(why="no length of the cable is given", points=1, write="Write its `length`.")
SIZE = Reason(why="lead W1 has no size", points=1, write="Write its `size`.")


def row(rule: str, checked: int, found: int = 0, *reasons: Reason) -> CheckRow:
    """What one rule checked and found, and why it cannot tell of a point for each reason."""
    why = "; ".join(reason.why for reason in reasons) or None
    return CheckRow(
        rule=rule, checked=checked, found=found, undecided=len(reasons), why=why, reasons=reasons
    )


CHECKS = (
    row("cable-capacity", 2, 0, LENGTH, SIZE),
    row("circuit-current", 1, 1),
    row("joint-crossing", 0),
    row("sensor-depth", 1, 1),
    row("voltage-drop", 1, 0, replace(LENGTH, worst="warning")),
    row("wall-clearance", 9, 3),
)
CHANGED = tuple(
    Changed(
        rule=rule,
        what=what,
        value=value,
        default=default,
        origin=Origin(file="plans/underfoot.yaml", line=line, because=because),
    )
    for rule, what, value, default, line, because in (
        ("circuit-current", "maximum", "10 A", "12 A", 3, "maker's manual, section 4"),
        ("cold-area", "off", "switched off", None, 7, "agreed with the client"),
        ("floor-coverage", "severity", "note", None, 6, "agreed with the client"),
        ("heat-demand", "undecided", "error", None, 8, "every plan here must show its heat loss"),
    )
)
KITCHEN = PlanReport(
    path="plans/kitchen.yaml",
    verdict=REVISE,
    title="Teasel Court, plot 2, kitchen",
    reference="TC2-FH-01",
    revision="P1",
    status="for review",
    counts=Counts(error=3, warning=1, note=0, waived=1, undecided=3, may_be_errors=2),
    checks=CHECKS,
    findings=(wall_finding(1, "A1", 7), wall_finding(2, "A2", 13), CURRENT, SENSOR, WAIVED),
    changed=CHANGED,
    today="2026-09-28",
)
BEDROOM = PlanReport(
    path="plans/bedroom.yaml",
    verdict=NO_OBJECTION,
    title="Teasel Court, plot 2, bedroom",
    reference="TC2-FH-02",
    revision="P1",
    status="draft",
    counts=Counts(undecided=1),
    checks=(CHECKS[2], CHECKS[4], row("wall-clearance", 9)),
)
STUDY = PlanReport(
    path="plans/study.yaml",
    verdict=WITH_COMMENTS,
    title="Teasel Court, plot 2, study",
    status="for review",
    counts=Counts(warning=1),
    checks=(CHECKS[3],),
    findings=(
        replace(
            SENSOR, number=1, room="study", path="rooms.study.sensor", related=(), related_at=()
        ),
    ),
)
LANDING = PlanReport(
    path="plans/landing.yaml",
    verdict=INSUFFICIENT,
    title="Teasel Court, plot 2, landing",
    status="laid",
    counts=Counts(undecided=3, may_be_errors=2),
    checks=(CHECKS[0], CHECKS[4]),
)
ATTIC = PlanReport(
    path="plans/attic.yaml",
    verdict=UNREADABLE,
    problems=(
        Problem(
            message="unknown key `lenght`; did you mean `length`? A row has: film, along, at, "
            "after, "
            "lengths, length, count, spacing",
            path="rooms.attic.rows.A.lenght",
            line=31,
            column=7,
        ),
        Problem(
            message="must be text with a unit such as `140 W/m2`, but is the number `140`",
            path="materials.films.film-140.output",
            line=14,
            column=5,
            file="plans/catalogue.yaml",
        ),
    ),
)
CRASHED = PlanReport(
    path="plans/hall.yaml",
    verdict=INSUFFICIENT,
    title="Teasel Court, plot 2, hall",
    status="for review",
    checks=(row("sensor-depth", 1),),
    faults=(
        RuleFault(rule="wall-clearance", message="KeyError at laying/wall_clearance.py:33: 'x'"),
    ),
)
ALL = Report(
    version=VERSION,
    plans=(BEDROOM, KITCHEN, STUDY, ATTIC, CRASHED),
    passed_over=3,
    problems=(Problem(message="there is no such file or folder", file="plans/attik.yaml"),),
)
