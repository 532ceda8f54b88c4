"""What the page shows of one plan: its rooms, each finding with its room, what was checked."""

import re
from typing import Any

from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.finding import Basis
from underfoot.checking.report import CheckRow, PlanReport, ReportedFinding
from underfoot.page.drawn_plan import DrawnPlan
from underfoot.page.drawn_room import PREFIX, DrawnRoom
from underfoot.page.linked_signs import link_signs
from underfoot.page.pens_once import PensOnce
from underfoot.page.slim_drawing import slim
from underfoot.reading.hidden import escape_invisible
from underfoot.reading.problem import Problem
from underfoot.reporting.quoted_lines import excerpts_of
from underfoot.reporting.workings import shorten_working

# Only where an id is defined or pointed at: lettering may say what it likes.
_PLACEHOLDER = re.compile(rf'( id="|"url\(#){re.escape(PREFIX)}')


class _Row(Struct, frozen=True, kw_only=True):
    """A finding on its way to the list, and the room in whose drawing it is shown.

    It has its place there or, with no place of its own, names `circuits` whose strips lie there.
    Where it `is_first` of its rule it says why the rule is there, for all. `details` are how it was
    worked out, as far as no finding above says the same.
    """

    finding: ReportedFinding
    room: int | None
    circuits: tuple[str, ...] = ()
    is_first: bool = True
    details: tuple[tuple[str, str], ...] = ()


def _rows(each: DrawnPlan) -> list[_Row]:
    room_of = {found: at for at, room in enumerate(each.rooms, 1) for found in room.numbers}
    first_of: dict[str, int] = {}
    for at, room in enumerate(each.rooms, 1):
        for circuit in room.circuits:
            first_of.setdefault(circuit.name, at)
    rows = []
    told: set[tuple[str, str, Basis]] = set()
    workings: list[ReportedFinding] = []
    for finding in each.report.findings:
        shown_in = room_of.get(finding.number)
        circuits: tuple[str, ...] = ()
        if shown_in is None and finding.room is None:
            circuits = tuple(item for item in finding.items if item in first_of)
            shown_in = min((first_of[circuit] for circuit in circuits), default=None)
        reasons = (finding.rule, finding.why, finding.basis)
        rows.append(
            _Row(
                finding=finding,
                room=shown_in,
                circuits=circuits,
                is_first=reasons not in told,
                details=tuple(shorten_working(finding, workings)),
            )
        )
        told.add(reasons)
    return rows


def plan_parts(
    place: int, each: DrawnPlan, limits: int | None, pens: PensOnce | None
) -> dict[str, Any]:
    """Return what the template of a plan needs: the `place`-th, with the number of its limits.

    Its drawings say themselves how they are drawn where there are no `pens` that say it once.
    """
    return {
        "plan": each.report,
        "drawn": each,
        "id": f"plan-{place}",
        "rooms": [
            (at, room, _svg_of(room, place, at, pens)) for at, room in enumerate(each.rooms, 1)
        ],
        "rows": _rows(each),
        "limits_number": limits,
        "last": None if each.last is None else plan_parts(place, each.last, limits, pens),
    }


class _RoomSvg(Struct, frozen=True, kw_only=True):
    body: Markup
    legend: Markup
    section: Markup
    swatches: tuple[Markup, ...]


def _svg_of(room: DrawnRoom, plan: int, at: int, pens: PensOnce | None) -> _RoomSvg:
    """Return a room's SVG with ids that no other drawing on the page has, its signs as links."""

    def own(svg: str) -> Markup:
        svg = with_own_ids(slim(svg, has_script=True), f"p{plan}r{at}-")
        return Markup(svg if pens is None else pens.take_out(svg))

    swatches = tuple(own(circuit.swatch) for circuit in room.circuits)
    return _RoomSvg(
        body=Markup(link_signs(own(room.svg), lambda number: f"plan-{plan}-finding-{number}")),
        legend=own(room.legend),
        section=own(room.section),
        swatches=swatches,
    )


def with_own_ids(svg: str, beginning: str) -> str:
    """Begin the ids of a room's drawing so that no other on the page has them."""
    return _PLACEHOLDER.sub(lambda found: f"{found[1]}{beginning}", svg)


def line_of(plan: PlanReport, problem: Problem) -> tuple[str, str, str] | None:
    """Return the line in which something cannot be read: what is meant, and what is round it."""
    found = excerpts_of(plan).get((problem.file, problem.line, problem.column))
    if found is None:
        return None
    begin, end = found.before, found.before + found.meant
    before, meant, after = found.text[:begin], found.text[begin:end], found.text[end:]
    return (
        escape_invisible(f"{'…' * found.is_begun}{before.lstrip()}"),
        escape_invisible(meant),
        escape_invisible(f"{after}{'…' * found.is_cut}"),
    )


def list_checked(plan: PlanReport) -> list[tuple[str, list[tuple[CheckRow, str]]]]:
    """Group the rules by what came of them, each with how many points it was about."""
    found = [row for row in plan.checks if row.found]
    unjudged = [row for row in plan.checks if row.undecided and not row.found]
    fine = [row for row in plan.checks if row.checked and not row.found and not row.undecided]
    idle = [row for row in plan.checks if not row.checked]
    return [
        ("With findings, of how many points", [(row, _share(row, row.found)) for row in found]),
        ("Not judged, of how many points", [(row, _share(row, row.undecided)) for row in unjudged]),
        ("In order, points", [(row, str(row.checked)) for row in fine]),
        ("Nothing in the plan to look at", [(row, "") for row in idle]),
    ]


def _share(row: CheckRow, points: int) -> str:
    return f"{points} of {row.checked}" + (
        f" ({row.undecided} not judged)" if row.found and row.undecided else ""
    )
