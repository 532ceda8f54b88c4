"""Errors that carry no marks, and points that could be errors and were not judged, still count."""

import re
from collections.abc import Callable, Collection, Iterable, Mapping

from msgspec import Struct

from underfoot.checking.report import PlanReport, Reason, ReportedFinding
from underfoot.checking.rule import AnyRule
from underfoot.marking.scheme import Scheme
from underfoot.reporting.layout import count_of

_KEY = re.compile(r"`([a-z_]+)[^`]*`")
_OPEN = re.compile(r"(\S+) \(not judged, (\d+) points?: (.+)\)", re.DOTALL)
_CAUSE = re.compile(r"\(([a-z]+(?:-[a-z]+)+)\)")
# Which part of the brief says what is asked to be written.
_PART_OF: Mapping[str, str] = {
    **dict.fromkeys(
        ("boards", "cut_every", "fixing", "largest_current", "leakage", "lies", "longest_strip",
         "most_output", "standard", "suits", "warmest_surface"),
        "materials",
    ),
    **dict.fromkeys(("barrier", "method", "moisture", "subfloor"), "subfloor"),
    **dict.fromkeys(("covering", "coverings", "over"), "covering"),
    **dict.fromkeys(("clear", "fixtures", "outline"), "fixtures"),
    **dict.fromkeys(("available", "rating", "source", "supply"), "supply"),
    "overlay": "overlay",
    "use": "use",
}  # fmt: skip


class Unmarked(Struct, frozen=True, kw_only=True):
    """What carries no marks and would have to be right; `gaps` are what the brief leaves open."""

    faults: tuple[str, ...]
    gaps: tuple[str, ...]


def is_grave(rules: Mapping[str, AnyRule]) -> Callable[[ReportedFinding], bool]:
    """Return what tells an error, or a warning of a rule that finds no errors."""

    def tell(finding: ReportedFinding) -> bool:
        rule = rules.get(finding.rule)
        if rule is None or "error" in rule.severities:
            return finding.severity == "error"
        return finding.severity == "warning"

    return tell


def list_unmarked(scheme: Scheme, report: PlanReport) -> Unmarked:
    """List what no row, goal or ban of the scheme is about."""
    marked = {row.rule for topic in scheme.topics for row in topic.rules}
    marked |= {goal.rule for goal in scheme.all_goals if goal.rule is not None}
    marked |= set(scheme.fails)
    numbers: dict[str, list[str]] = {}
    for finding in report.findings:
        if finding.severity == "error" and finding.rule not in marked:
            numbers.setdefault(finding.rule, []).append(str(finding.number))
    faults = [
        f"{rule} (finding{'s' * (len(told) > 1)} {', '.join(told)}; carries no marks)"
        for rule, told in numbers.items()
    ]
    rules = {check.rule for check in report.checks} - marked
    open_ones = list_open(report, rules, scheme.may_not_change)
    said = [(f"{told.said.removesuffix(')')}; carries no marks)", told) for told in open_ones]
    return Unmarked(
        faults=(*faults, *(text for text, told in said if not told.is_the_briefs)),
        gaps=tuple(text for text, told in said if told.is_the_briefs),
    )


class Open(Struct, frozen=True, kw_only=True):
    """Points of a rule that could be errors and could not be judged, for one reason."""

    rule: str
    said: str
    is_the_briefs: bool


def list_open(
    report: PlanReport, rules: Collection[str], fixed: Collection[str]
) -> tuple[Open, ...]:
    """List what of these rules could be an error and was not judged; `fixed` is the brief's.

    What is open only because of something that was found is not told again.
    """
    points: dict[tuple[str, str, bool], int] = {}
    found = {finding.rule for finding in report.findings}
    for check in report.checks:
        if check.rule not in rules:
            continue
        for reason in check.reasons:
            if reason.worst != "error" or _follows(reason, found):
                continue
            told = check.rule, reason.why, _is_the_briefs(reason, fixed)
            points[told] = points.get(told, 0) + reason.points
    return tuple(
        Open(
            rule=rule,
            said=f"{rule} (not judged, {count_of(number, 'point')}: {why})",
            is_the_briefs=is_the_briefs,
        )
        for (rule, why, is_the_briefs), number in points.items()
    )


def join_open(said: Iterable[str]) -> tuple[str, ...]:
    """Say in one what is not judged of several rules for one and the same reason."""
    joined: dict[str, list[tuple[str, int]]] = {}
    for one in said:
        told = _OPEN.fullmatch(one)
        entry = (told[1], int(told[2])) if told is not None else (one, 0)
        joined.setdefault(one if told is None else told[3], []).append(entry)
    return tuple(
        f"{', '.join(rule for rule, _ in told)} "
        f"(not judged, {count_of(sum(points for _, points in told), 'point')}: {why})"
        if told[0][1]
        else why
        for why, told in joined.items()
    )


def _follows(reason: Reason, found: Collection[str]) -> bool:
    """Tell whether a point is open only because of what was found, which is told itself."""
    return any(cause in found for cause in _CAUSE.findall(reason.why))


def _is_the_briefs(reason: Reason, fixed: Collection[str]) -> bool:
    """Tell whether it is the brief that does not say what is asked for."""
    keys = _KEY.findall(reason.write or "") or _KEY.findall(reason.why)
    if "covering" in (reason.write or ""):
        keys = [key for key in keys if key not in ("thickness", "kind")] or ["covering"]
    return bool(keys) and all(_PART_OF.get(key) in fixed for key in keys)
