"""A plan made ready for the page: its report, its rooms drawn, and no more of the plan than that.

So that the plans of a folder need not all be kept while the page is written.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from underfoot.checking.check import CheckedPlan
from underfoot.checking.crash import describe, is_lack_of_memory
from underfoot.checking.report import PlanReport
from underfoot.checking.settings import Settings
from underfoot.page.drawn_room import DrawnRoom, draw_rooms
from underfoot.plan import Job, Plan


class WaiverRow(Struct, frozen=True, kw_only=True):
    """A waiver as the plan states it, and the numbers of the findings that stand by it."""

    rule: str
    item: str | None
    reason: str | None
    agreed_by: str | None
    until: str | None
    note: str | None
    findings: tuple[int, ...]


class DrawnPlan(Struct, frozen=True, kw_only=True):
    """What the page shows of a plan.

    `fault` says why the drawing failed, where it did. `notes` are the plan's own. `review` is what
    decisions made at the page are written into; None where none can be made. `at_desk` is set where
    the page is kept true while the plan changes; `last` is then what could be drawn of a plan that
    cannot be read now.
    """

    report: PlanReport
    settings: Settings | None
    rooms: tuple[DrawnRoom, ...] = ()
    waivers: tuple[WaiverRow, ...] = ()
    job: Job | None = None
    notes: tuple[str, ...] = ()
    fault: str | None = None
    review: ReviewAtHand | None = None
    at_desk: AtDesk | None = None
    last: DrawnPlan | None = None


class AtDesk(Struct, frozen=True, kw_only=True):
    """A state of a plan at the desk, and the hashes of the files that it was made from.

    A hash is empty where there is no such file.
    """

    version: int
    plan_hash: str
    review_hash: str


class ReviewAtHand(Struct, frozen=True, kw_only=True):
    """The file that keeps what is decided about a plan, brought up to the plan as it is.

    `name` is its own, `plan` that of the plan's file. Nothing is decided in its `text` but what was
    before.
    """

    name: str
    plan: str
    text: str


def draw_plan(examined: CheckedPlan) -> DrawnPlan:
    """Draw a checked plan for the page; whatever goes wrong with the drawing is said on it."""
    report, facts, settings = examined.report, examined.facts, examined.settings
    drawn = DrawnPlan(report=report, settings=settings)
    if facts is None:
        return drawn
    plan = facts.plan
    drawn = replace(drawn, job=plan.job, waivers=_waivers(plan, report))
    try:
        rooms, notes = draw_rooms(facts, report, settings)
    except Exception as error:  # a fault of the drawing must not take the findings with it
        if is_lack_of_memory(error):
            raise MemoryError from None
        return replace(drawn, fault=describe(error))
    return replace(drawn, rooms=rooms, notes=notes)


def _waivers(plan: Plan, report: PlanReport) -> tuple[WaiverRow, ...]:
    return tuple(
        WaiverRow(
            rule=waiver.rule,
            item=waiver.item,
            reason=waiver.reason,
            agreed_by=waiver.agreed_by,
            until=waiver.until.isoformat() if waiver.until else None,
            note=waiver.note,
            findings=tuple(
                finding.number
                for finding in report.findings
                if finding.waiver is not None
                and finding.rule == waiver.rule
                and _names(waiver.item, finding.room, finding.items)
            ),
        )
        for waiver in plan.waivers
    )


def _names(item: str | None, room: str | None, items: Sequence[str]) -> bool:
    return item is None or item in items or item == room
