"""The finished report as values: findings in order and numbered, the verdict, what was checked."""

from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any, Literal

import msgspec
from msgspec import Struct

from underfoot.checking.caution import CAUTION
from underfoot.checking.finding import Basis, Severity
from underfoot.checking.mend import Mend
from underfoot.checking.origin import Origin
from underfoot.reading.problem import Problem


class Measure(Struct, frozen=True, kw_only=True):
    """A value in the unit of its rule."""

    value: int | float
    unit: str


class LimitUsed(Struct, frozen=True, kw_only=True):
    """The limit that a finding was held against."""

    least: int | float | None
    most: int | float | None
    unit: str


class WaiverUsed(Struct, frozen=True, kw_only=True):
    """The agreement under which a finding stands."""

    reason: str
    agreed_by: str
    until: str | None


class Earlier(Struct, frozen=True, kw_only=True):
    """How a finding stands against an earlier report; `was` is what was measured then."""

    state: Literal["known", "worse", "new"]
    was: Measure | None = None


class DecisionUsed(Struct, frozen=True, kw_only=True):
    """What a reviewer decided, as the review beside the plan has it.

    `lapsed` says why it does not hold for the finding, or the plan, as it is now.
    """

    decision: str
    reason: str | None
    by: str
    date: str
    note: str | None = None
    lapsed: str | None = None


class ReviewUsed(Struct, frozen=True, kw_only=True):
    """The review beside a plan: what was decided overall, and what differs from what was reviewed.

    `problems` are what keeps it from being read. `no_longer_found` are rule, room and items of
    what was decided about and is not there any more.
    """

    file: str
    overall: DecisionUsed | None = None
    changed: tuple[str, ...] = ()
    no_longer_found: tuple[tuple[str, str | None, tuple[str, ...]], ...] = ()
    problems: tuple[Problem, ...] = ()


class ReportedFinding(Struct, frozen=True, kw_only=True):
    """One finding as every format prints it. `shape` is a GeoJSON geometry in millimetres, and
    so is `offer`, what its remedy offers.

    `related_at` are line and column of each of `related`. `earlier` is set where the run was held
    against an earlier report. `mark` is of what it is about, whatever that is called. `mends` is
    None where none were looked for.
    """

    number: int
    rule: str
    severity: Severity
    message: str
    room: str | None
    items: tuple[str, ...]
    measured: Measure | None
    limit: LimitUsed | None
    line: int
    column: int
    path: str
    shape: Mapping[str, Any] | None
    remedy: str
    why: str
    basis: Basis
    waiver: WaiverUsed | None = None
    details: tuple[tuple[str, str], ...] = ()
    related: tuple[str, ...] = ()
    related_at: tuple[tuple[int, int], ...] = ()
    earlier: Earlier | None = None
    decision: DecisionUsed | None = None
    mark: str | None = None
    mends: tuple[Mend, ...] | None = None
    offer: Mapping[str, Any] | None = None
    is_cold: bool = False


class Reason(Struct, frozen=True, kw_only=True):
    """Why so many points could not be judged, what to write into the plan to have them judged.

    `worst` is the gravest that could come of one.
    """

    why: str
    points: int
    write: str | None = None
    worst: Severity = "error"


class CheckRow(Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What one rule was about in this plan; `reasons` says of how many points what was missing.

    `may_be_errors_then` are those that an earlier report, where there is one, had already.
    """

    rule: str
    checked: int
    found: int = 0
    undecided: int = 0
    why: str | None = None
    reasons: tuple[Reason, ...] = ()
    may_be_errors_then: int = 0

    @property
    def may_be_errors(self) -> int:
        """Of the points that could not be judged, those of which an error could come."""
        return sum(reason.points for reason in self.reasons if reason.worst == "error")


# Stands for a rule where settings change something of all.
EVERY_RULE = "every rule"


class Changed(Struct, frozen=True, kw_only=True):
    """Something that settings changed: a limit, a severity, a rule switched off."""

    rule: str
    what: str
    value: str
    default: str | None
    origin: Origin


class Counts(Struct, frozen=True, kw_only=True):
    """Findings by severity without the waived ones, which stand under `waived` alone.

    `may_be_errors` are those of the undecided points of which an error could come.
    """

    error: int = 0
    warning: int = 0
    note: int = 0
    waived: int = 0
    undecided: int = 0
    may_be_errors: int = 0


class RuleFault(Struct, frozen=True, kw_only=True):
    """A rule that crashed while this plan was checked.

    `trace` is for its author (``python -m underfoot.testing``) and stands in no report.
    """

    rule: str
    message: str
    trace: str = ""


class PlanContent(Struct, frozen=True, kw_only=True):
    """What a plan with findings is known again by: its bytes, its ids by room, its outlines.

    The ids of circuits stand under no room (``""``); outlines are marks, by room.
    """

    source: str
    ids: Mapping[str, tuple[str, ...]]
    outlines: Mapping[str, str]


class Excerpt(Struct, frozen=True, kw_only=True):
    """A line that the report points at, as it is written: what stands round the place.

    The place is `line` and `column` of `file`, None for the plan itself. In `text`, `before` marks
    stand before it and `meant` are what is meant. `is_begun` and `is_cut` tell that the line has
    more before and behind.
    """

    line: int
    column: int
    text: str
    before: int
    meant: int
    file: str | None = None
    is_begun: bool = False
    is_cut: bool = False


class Brief(Struct, frozen=True, kw_only=True):
    """A plan in one line; `problems` and `faults` are how many it has."""

    path: str
    verdict: str
    title: str | None
    counts: Counts
    problems: int
    faults: int


class RulesAsked(Struct, frozen=True, kw_only=True):
    """The only rules that were asked of a plan, and how many there are in all."""

    rules: tuple[str, ...]
    of: int


class PlanReport(Struct, frozen=True, kw_only=True):
    """All that is said of one plan.

    `today` is set where the date mattered, `asked` where not all rules were asked. `excerpts` are
    the lines that it points at, as far as they are at hand. `names` are those of rooms that have
    one, by their ids.
    """

    path: str
    verdict: str
    title: str | None = None
    reference: str | None = None
    revision: str | None = None
    status: str | None = None
    counts: Counts = Counts()
    checks: tuple[CheckRow, ...] = ()
    problems: tuple[Problem, ...] = ()
    findings: tuple[ReportedFinding, ...] = ()
    faults: tuple[RuleFault, ...] = ()
    changed: tuple[Changed, ...] = ()
    today: str | None = None
    review: ReviewUsed | None = None
    asked: RulesAsked | None = None
    content: PlanContent | None = None
    excerpts: tuple[Excerpt, ...] = ()
    names: Mapping[str, str] = {}

    def __reduce__(self) -> str | tuple[Any, ...]:
        # Between processes as MessagePack: a tenth of what its hundred rows cost one by one.
        try:
            return _unpack, (msgspec.msgpack.encode(self),)
        except (TypeError, ValueError, OverflowError):  # a name that is no text, a foreign number
            return super().__reduce__()

    def name_room(self, room: str) -> str:
        """Return a room's name with its id beside it; its id where it has no name."""
        name = self.names.get(room, room)
        return room if name == room else f"{name} ({room})"

    @property
    def in_brief(self) -> Brief:
        """What a register has of it."""
        return Brief(
            path=self.path,
            verdict=self.verdict,
            title=self.title,
            counts=self.counts,
            problems=len(self.problems),
            faults=len(self.faults),
        )


@cache
def _decoder() -> msgspec.msgpack.Decoder[PlanReport]:
    return msgspec.msgpack.Decoder(PlanReport)


def _unpack(packed: bytes) -> PlanReport:
    return _decoder().decode(packed)


class HeldAgainst(Struct, frozen=True, kw_only=True):
    """The earlier report that a run was held against, by the name of its file.

    `gone` are its plans that are no longer there, `left_out` those that this run was not about;
    `cleared` counts the findings that no longer stand in the plans checked, `new`, `worse` and
    `known` those that stand and that no waiver covers.
    """

    name: str
    gone: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    cleared: int = 0
    new: int = 0
    worse: int = 0
    known: int = 0


class Report(Struct, frozen=True, kw_only=True):
    """The plans checked in one run, and how many files were passed over.

    `asked` is set where not all rules were asked.
    """

    version: str
    plans: tuple[PlanReport, ...]
    passed_over: int = 0
    problems: tuple[Problem, ...] = ()
    caution: str = CAUTION
    earlier: HeldAgainst | None = None
    asked: RulesAsked | None = None


NO_OBJECTION = "no objection"
WITH_COMMENTS = "no objection with comments"
INSUFFICIENT = "insufficient information"
REVISE = "revise and resubmit"
UNREADABLE = "unreadable"
# From the best to the worst.
GRAVITY = (NO_OBJECTION, WITH_COMMENTS, INSUFFICIENT, REVISE, UNREADABLE)


def is_laxer(decision: str, verdict: str) -> bool:
    """Tell whether an overall decision makes less of a plan than the check's verdict does."""
    return decision in GRAVITY and GRAVITY.index(decision) < GRAVITY.index(verdict)


def unreadable(
    path: str, problems: Sequence[Problem], excerpts: Iterable[Excerpt] = ()
) -> PlanReport:
    """Report a plan, or another file, that could not be read."""
    return PlanReport(
        path=path, verdict=UNREADABLE, problems=tuple(problems), excerpts=tuple(excerpts)
    )
