"""The page of a list of answers to an exercise: each fault, whether found, and why it is one."""

from collections.abc import Mapping, Sequence

from markupsafe import Markup
from msgspec import Struct

from underfoot.checking.facts import Facts
from underfoot.checking.finding import Basis
from underfoot.checking.report import REVISE, PlanReport, ReportedFinding
from underfoot.checking.rule import AnyRule
from underfoot.drawing import SheetOptions, choose_layers, draw_body
from underfoot.marking.answer_judging import FOUND, PARTLY, WRONG, AnswerMarks, Judged
from underfoot.marking.answer_results import list_accused, measure_faults, spread
from underfoot.marking.answers import AnswerKey, KeyFault
from underfoot.marking.pages import explain_rule, fill_page
from underfoot.plan import Plan

_WIDTH = 170.0
MISSED = "not found"


class _ToldFault(Struct, frozen=True, kw_only=True):
    """A fault of the key as its page tells it; `number` is that of its balloon."""

    number: int
    fault: KeyFault
    state: str
    why: Markup
    remedy: Markup


def draw_faults(plan: Plan, key: AnswerKey) -> tuple[tuple[str, str], ...]:
    """Draw every room of an exercise with the faults of its key by number, as (room, SVG)."""
    facts = Facts(plan, {})
    report = PlanReport(path="", verdict=REVISE, findings=_as_findings(key))
    drawn = []
    for place, (name, room) in enumerate(facts.rooms.items(), 1):
        options = SheetOptions(layers=choose_layers(room, report))
        svg = draw_body(room, plan, report, prefix=f"r{place}-", width=_WIDTH, options=options)
        drawn.append((name, svg))
    return tuple(drawn)


def _as_findings(key: AnswerKey) -> tuple[ReportedFinding, ...]:
    return tuple(
        ReportedFinding(
            number=number,
            rule=fault.rule,
            severity="error",
            message=fault.message or fault.says,
            room=fault.room,
            items=fault.items,
            measured=None,
            limit=None,
            line=1,
            column=1,
            path="",
            shape=None,
            remedy=fault.remedy,
            why="",
            basis=Basis(kind="common practice", text=""),
        )
        for number, fault in enumerate(key.faults, 1)
    )


def write_answer_page(
    marked: AnswerMarks,
    key: AnswerKey,
    rules: Mapping[str, AnyRule],
    drawings: tuple[tuple[str, str], ...] = (),
) -> str:
    """Write the page of one list of answers; `drawings` are those of the faults."""
    return fill_page(
        "answers.html",
        marked=marked,
        key=key,
        found=marked.count(FOUND),
        faults=[
            _ToldFault(
                number=number,
                fault=fault,
                state=_state(marked.state_of(fault)),
                why=why,
                remedy=remedy,
            )
            for number, fault in enumerate(key.faults, 1)
            for why, remedy in (explain_rule(rules.get(fault.rule), fault.says),)
        ],
        drawings=[(room, Markup(svg)) for room, svg in drawings],
    )


def _state(met: Judged | None) -> str:
    return MISSED if met is None else "found" if met.verdict == FOUND else "found in part"


def write_answers_class(
    marked: Sequence[AnswerMarks],
    key: AnswerKey,
    rules: Mapping[str, AnyRule],
    pages: Mapping[str, str],
    title: str,
) -> str:
    """Write the class's page: who found what, how hard each fault was, and who was accused."""
    read = sorted(one.earned for one in marked if one.is_read)
    half = len(read) // 2
    faults = measure_faults(marked, key)
    return fill_page(
        "answers_class.html",
        title=title,
        marked=marked,
        key=key,
        pages=pages,
        middle=(read[half] + read[~half]) / 2 if read else None,
        faults=faults,
        rows=[
            (
                one,
                one.count(FOUND),
                one.count(*PARTLY),
                one.count(WRONG),
                [_cell(one.state_of(fault)) for fault in key.faults],
            )
            for one in marked
        ],
        bands=spread(marked, key),
        tallest=max([len(who) for _, who in spread(marked, key)] or [1]) or 1,
        accused=list_accused(marked),
        lessons=[
            (one, *explain_rule(rules.get(one.fault.rule), one.fault.says))
            for one in sorted(faults, key=lambda each: (-len(each.missed), each.number))
            if one.missed
        ],
    )


def _cell(met: Judged | None) -> tuple[str, str]:
    """Return the sign of a fault in the class's table, and its class."""
    if met is None:
        return "–", "low"
    return ("✓", "") if met.verdict == FOUND else ("½", "part")
