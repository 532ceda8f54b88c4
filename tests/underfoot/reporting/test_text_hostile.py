"""No sign of a plan reaches a terminal that would take it for an order."""

from msgspec.structs import replace

from tests.underfoot.reporting.reports import (
    ATTIC,
    CHANGED,
    KITCHEN,
    VERSION,
    WAIVED,
)
from tests.underfoot.reporting.test_text import ESCAPE
from underfoot.checking.report import Reason, Report, RuleFault
from underfoot.reading.problem import Problem
from underfoot.reporting.ink import COLOURED, PLAIN
from underfoot.reporting.text import write_text

HOSTILE = "Plan\x1b]0;owned\a\x1b[2J\u202eevil\u200b\x9b1m\rgone"


def test_nothing_from_a_plan_reaches_the_terminal_raw() -> None:
    finding = replace(
        WAIVED,
        message=HOSTILE,
        room=HOSTILE,
        items=(HOSTILE, HOSTILE),
        remedy=HOSTILE * 2,
        why=HOSTILE,
        basis=replace(WAIVED.basis, text=HOSTILE),
        waiver=replace(WAIVED.waiver, reason=HOSTILE, agreed_by=HOSTILE),
        details=((HOSTILE, HOSTILE),),
    )
    row = replace(
        KITCHEN.checks[0], why=HOSTILE, reasons=(Reason(why=HOSTILE, points=2, write=HOSTILE),)
    )
    change = replace(CHANGED[0], origin=replace(CHANGED[0].origin, file=HOSTILE, because=HOSTILE))
    plan = replace(
        KITCHEN,
        path=HOSTILE,
        title=HOSTILE,
        reference=HOSTILE,
        revision=HOSTILE,
        status=HOSTILE,
        checks=(row,),
        findings=(finding,),
        faults=(RuleFault(rule=HOSTILE, message=HOSTILE),),
        changed=(change,),
    )
    bad = replace(
        ATTIC,
        path=HOSTILE,
        problems=(Problem(message=HOSTILE, path=HOSTILE, line=2, column=2, file=HOSTILE),),
    )
    report = Report(
        version=VERSION,
        plans=(plan, bad),
        passed_over=0,
        problems=(Problem(message=HOSTILE, file=HOSTILE),),
    )
    for ink in (PLAIN, COLOURED):
        text = (
            ESCAPE.sub("", "".join(write_text(report, ink=ink)))
            if ink is COLOURED
            else ("".join(write_text(report, ink=ink)))
        )
        assert text.replace("\n", "").isprintable()
        assert "\\x1b]0;owned\\x07\\x1b[2J\\u202eevil\\u200b\\x9b1m\\x0dgone" in "".join(
            text.split()
        )
