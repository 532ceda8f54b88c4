"""What a rule gives on its examples or on a plan of one's own, for its author."""

from collections.abc import Sequence
from difflib import get_close_matches
from pathlib import Path

from msgspec.structs import replace

from underfoot.checking.check import check_source, make_checker
from underfoot.checking.page import Example, page_of
from underfoot.checking.report import PlanReport
from underfoot.checking.rule import RuleSet
from underfoot.checking.rule_sets import replace_mistaken
from underfoot.checking.settings import default_settings
from underfoot.testing.examples import A_DAY, expected_of, found_in, report_on


def show(rule_set: RuleSet, rule: str, beside: Sequence[RuleSet] = ()) -> str:
    """Write what the examples of one rule really give, in the words of a page's ``expect``.

    For authors: ``python -m underfoot.testing RULE`` prints it, and what of it the page does not
    name. ValueError where the set has no such rule, with the nearest one, or where the rule itself
    has a mistake.
    """
    owner = _find_owner([rule_set], rule)
    lines = []
    (own,) = (each for each in owner.rules if each.id == rule)
    if own.module == replace_mistaken.__module__:  # what stands in the place of a mistaken rule
        raise ValueError(f"{rule} cannot be used: {own.finds.removeprefix('nothing: ')}")
    for example in page_of(own).examples:
        report = report_on(example, rule_set, beside)
        lines.append(f"== {example}")
        lines += _show_report(report)
        lines += _show_difference(example, report)
    return "\n".join(lines)


def _show_difference(example: Example, report: PlanReport) -> list[str]:
    """Say which findings the page does not name, and which it names that were not made."""
    if report.problems:
        return []
    found, named = found_in(report), expected_of(example)
    lines = [f"  found, but not named: {each}" for each in found if each not in named]
    return lines + [f"  named, but not found: {each}" for each in named if each not in found]


def show_plan(sets: Sequence[RuleSet], rule: str, place: Path) -> str:
    """Write what one rule gives on a plan of one's own; a crash with all that led to it."""
    settings = default_settings(each for one in sets for each in one.rules)
    bench = make_checker(sets, settings, A_DAY)
    report = check_source(place.read_bytes(), bench, path=str(place), folder=place.parent)
    report = replace(
        report,
        findings=tuple(each for each in report.findings if each.rule == rule),
        faults=tuple(each for each in report.faults if each.rule == rule),
        checks=tuple(each for each in report.checks if each.rule == rule),
    )
    return "\n".join([f"== {place}", *_show_report(report)])


def _show_report(report: PlanReport) -> list[str]:
    lines = [f"  cannot be read: {each.message} ({each.path})" for each in report.problems]
    for fault in report.faults:
        lines.append(f"  crashed: {fault.rule}: {fault.message}")
        lines += [f"    {line}" for line in fault.trace.splitlines()]
    for finding in report.findings:
        items = ", ".join(finding.items)
        lines.append(
            f"  - {{rule: {finding.rule}, severity: {finding.severity}, "
            f"room: {finding.room or 'null'}, items: [{items}], "
            f"path: {finding.path}}}"
        )
        lines.append(f"    {finding.message}\n    -> {finding.remedy}")
    undecided = [f"{row.rule}: {row.why}" for row in report.checks if row.undecided]
    return lines + [f"  could not be judged: {why}" for why in undecided]


def show_all(sets: Sequence[RuleSet], rule: str, plans: Sequence[Path] = ()) -> str:
    """Write what `show` does of the set that has the rule, or what it gives on `plans`.

    ValueError where no set has a rule of that name, with the nearest one.
    """
    owner = _find_owner(sets, rule)
    if plans:
        return "\n".join(show_plan(sets, rule, place) for place in plans)
    return show(owner, rule)


def _find_owner(sets: Sequence[RuleSet], rule: str) -> RuleSet:
    for one in sets:
        if any(each.id == rule for each in one.rules):
            return one
    near = get_close_matches(rule, [each.id for one in sets for each in one.rules], 1)
    hint = f"; did you mean {near[0]}?" if near else ""
    raise ValueError(
        f"no installed set has a rule {rule}{hint}\n"
        "A set of your own is found once it is installed: python -m pip install -e ."
    )
