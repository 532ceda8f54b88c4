"""The judgement on a plan's text, as the judging process hands it to the editor."""

from collections.abc import Mapping

from msgspec import Struct

from underfoot.checking.finding import Severity
from underfoot.checking.report import ReportedFinding, RuleFault
from underfoot.reading.problem import Problem


class Unjudged(Struct, frozen=True, kw_only=True):
    """A point that could not be judged: where, why, what to write, and the gravest it could be."""

    rule: str
    path: str
    line: int
    column: int
    why: str
    write: str | None
    worst: Severity


class RowSum(Struct, frozen=True, kw_only=True):
    """A row's strips together; lengths in mm."""

    strips: int
    length: float
    power_w: float


class Judgement(Struct, frozen=True, kw_only=True):
    """Everything found in a text.

    `held_back` are the rules whose findings are withheld, as they may hang on what could not be
    read. `pages` gives the place of a rule's page, `waivable` the rules that a plan may waive here.
    `remarks` belong to the whole file: settings or a review that cannot be used. `rows` are by
    their path.
    """

    verdict: str
    problems: tuple[Problem, ...] = ()
    findings: tuple[ReportedFinding, ...] = ()
    unjudged: tuple[Unjudged, ...] = ()
    held_back: tuple[str, ...] = ()
    faults: tuple[RuleFault, ...] = ()
    remarks: tuple[str, ...] = ()
    pages: Mapping[str, str] = {}
    waivable: frozenset[str] = frozenset()
    rows: Mapping[str, RowSum] = {}


def gave_up(why: str) -> Judgement:
    """Return the judgement on a text that could not be judged to the end."""
    return Judgement(verdict="unreadable", remarks=(why,))
