"""The balance of ISO 11855-2 for the base plan's floor, by itself, and its reports.

Up (q - (inside - below) / Rd) / (1 + Ru / Rd), with Ru = 1 / 10.8 + what lies above the film. The
base plan has 0.010 / 0.033 m2 K/W of board below, oak 0.10, underlay 0.03 and a sheet of 0.0002 /
0.19 above, seven strips of 2.75 x 0.5 m: 9.625 m2.
"""

from typing import Any

from tests.underfoot_rules.plans import check, of_rule
from underfoot.checking.report import PlanReport, ReportedFinding

ABOVE = 1 / 10.8 + 0.10 + 0.03 + 0.0002 / 0.19
BOARD = 0.010 / 0.033
AREA = 7 * 2.75 * 0.5


def over_heated(resistance: float) -> dict[str, Any]:
    layer = {"thickness": 200, "resistance": f"{resistance} m2 K/W"}
    return {"kind": "timber", "below": "heated", "layers": [layer]}


def up_of(output: float, below: float, lost: float = 0.0) -> float:
    return (output - lost / below) / (1 + ABOVE / below)


def surface_of(up: float, room: float = 20.0) -> float:
    return room + (up / 8.92) ** (1 / 1.1)


def check_room(film: dict[str, Any] | None = None, **room: Any) -> PlanReport:
    materials = {"films": {"film-80": film or {}}}
    return check({"materials": materials, "rooms.room": room})


def one(report: PlanReport, rule: str) -> ReportedFinding:
    (finding,) = of_rule(report, rule)
    return finding


def detail(finding: ReportedFinding, name: str) -> str:
    return dict(finding.details)[name]
