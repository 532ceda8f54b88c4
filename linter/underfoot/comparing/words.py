"""What a comparison says in the same words in every format."""

import re
from collections.abc import Iterable, Sequence

from msgspec import Struct

from underfoot.checking.numbers import format_quantity
from underfoot.checking.report import PlanReport, ReportedFinding
from underfoot.checking.words import with_article
from underfoot.comparing import Change, Comparison, Left, Side, Unjudged
from underfoot.reporting.layout import count_of
from underfoot.reporting.phrases import say_change, say_counts, say_verdict

# So many ids that are counted up are told by the first and the last.
_SHORTEST_RUN = 5
_NUMBERED = re.compile(r"(.*?)([0-9]{1,9})")
_STEPS = {"same": "as it was", "better": "better", "worse": "worse", "other": "changed"}


class Together(Struct, frozen=True, kw_only=True):
    """Things of one kind that changed in the same way."""

    room: str | None
    kind: str
    items: tuple[str, ...]
    change: Change

    @property
    def name(self) -> str:
        """Name them: ``strips A1, A2``; of one that has no id its kind."""
        if self.items == ("",):
            return self.kind
        kind = self.kind if len(self.items) == 1 else _several(self.kind)
        return f"{kind} {', '.join(_in_runs(self.items))}"


def _in_runs(items: Sequence[str]) -> list[str]:
    """Put ids that are counted up together: ``A1 to A9``."""
    runs: list[list[str]] = []
    for item in items:
        if runs and _follows(runs[-1][-1], item):
            runs[-1].append(item)
        else:
            runs.append([item])
    return [
        name
        for run in runs
        for name in ([f"{run[0]} to {run[-1]}"] if len(run) >= _SHORTEST_RUN else run)
    ]


def _follows(one: str, other: str) -> bool:
    first, second = _NUMBERED.fullmatch(one), _NUMBERED.fullmatch(other)
    return (
        first is not None
        and second is not None
        and first[1] == second[1]
        and int(second[2]) == int(first[2]) + 1
    )


def _several(kind: str) -> str:
    first, of, rest = kind.partition(" of ")
    return f"{first}s{of}{rest}"


def gather(changes: Iterable[Change]) -> list[Together]:
    """Put together what changed in the same way, in the order in which it is first told."""
    gathered: dict[tuple[str | None, str, str], list[Change]] = {}
    for change in changes:
        gathered.setdefault((change.room, change.kind, change.text), []).append(change)
    return [
        Together(
            room=room, kind=kind, items=tuple(change.item for change in several), change=several[0]
        )
        for (room, kind, _), several in gathered.items()
    ]


def by_room(comparison: Comparison) -> list[tuple[str, list[Together]]]:
    """Gather changes under their rooms, in the order told; what is of no room comes last."""
    rooms: dict[str | None, list[Together]] = {}
    for together in gather(comparison.changes):
        rooms.setdefault(together.room, []).append(together)
    whole = rooms.pop(None, [])
    named = [(name_room(comparison, room or ""), several) for room, several in rooms.items()]
    return [*named, *([("the whole plan", whole)] if whole else [])]


def name_room(comparison: Comparison, room: str) -> str:
    """Return a room's name, the new one where there is one, with its id beside it."""
    sides = (comparison.new, comparison.old)
    named = (side.report.name_room(room) for side in sides if side is not None)
    return next((name for name in named if name != room), room)


def say_side(side: Side) -> str:
    """Say which revision a side is, and how it was judged."""
    report = side.report
    counts = say_counts(report.in_brief)
    return f"{say_revision(side)} · {report.verdict} ({say_means(report)}) · {counts}"


def say_means(report: PlanReport) -> str:
    """Say what a verdict means for the work, without the stop."""
    return say_verdict(report).rstrip(".")


def say_revision(side: Side) -> str:
    """Say which revision a side is, and how far the work is."""
    report = side.report
    revision = f"revision {report.revision}" if report.revision else "no revision"
    return f"{revision} · {report.status}" if report.status else revision


def say_outcome(comparison: Comparison) -> str:
    """Count what was cleared, left and brought in, and what changed in the plan."""
    if comparison.new is None:
        return "the plan is gone"
    if comparison.old is None:
        return f"a new plan: {len(comparison.brought_in)} brought in"
    worse = sum(each.is_worse for each in comparison.left)
    better = sum(not each.is_as_it_was and not each.is_worse for each in comparison.left)
    left = f"{len(comparison.left)} left"
    told = ((worse, "worse"), (better, "better"))
    steps = [f"{number} {word}" for number, word in told if number]
    if steps:
        left += f" ({', '.join(steps)})"
    return " · ".join(
        (
            f"{len(comparison.brought_in)} brought in",
            left,
            f"{len(comparison.cleared)} cleared",
            count_of(len(comparison.changes), "change") + " in the plan",
        )
    )


def say_step(left: Left) -> str:
    """Say how a finding that is in both revisions changed."""
    said = []
    old, new = left.old, left.new
    if left.step != "same":
        said.append(_say_measure(left))
    if old.severity != new.severity:
        said.append(f"was {with_article(old.severity)}, is {with_article(new.severity)}")
    if old.waiver is not None and new.waiver is None:
        said.append("its waiver holds no longer")
    if old.waiver is None and new.waiver is not None:
        said.append("it is waived now")
    return "; ".join(said) or _STEPS["same"]


def _say_measure(left: Left) -> str:
    was, now = left.old.measured, left.new.measured
    word = _STEPS[left.step]
    if was is None or now is None or was.unit != now.unit:
        return f"{word}: what it measures is not the same"
    return (
        f"{word}: {format_quantity(now.value, now.unit, was.value)} now, "
        f"{format_quantity(was.value, was.unit, now.value)} before"
    )


def say_unjudged(lost: Unjudged) -> str:
    """Say how many points more than before could not be judged, and why."""
    return f"{count_of(lost.points, 'point')} more than before: {lost.why}"


def say_severity(finding: ReportedFinding) -> str:
    """Say how grave a finding is, and whether it is waived."""
    return f"waived {finding.severity}" if finding.waiver else finding.severity.upper()


def say_settings(comparison: Comparison) -> list[str]:
    """Say where the settings of the two sides differ, so that not the plan made the difference."""
    sides = (("before", comparison.settings_then), ("now", comparison.settings_now))
    return [
        f"{when}: {change.rule}: {say_change(change)} ({change.origin.file})"
        for when, changes in sides
        for change in changes
    ]
