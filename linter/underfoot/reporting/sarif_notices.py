"""What a run has to say beside its findings, as SARIF 2.1.0 notifications.

What could not be read, what crashed, what was not judged, what settings changed.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from underfoot.checking.report import EVERY_RULE, Changed, PlanReport
from underfoot.checking.summing import Summary
from underfoot.reading.problem import Problem
from underfoot.reporting import host_limits
from underfoot.reporting.layout import count_of
from underfoot.reporting.phrases import (
    as_sentence,
    say_asked,
    say_change,
    say_held,
    say_may_be,
    say_review,
    say_verdict,
)
from underfoot.reporting.sarif_places import PathBase, locate

# Kind -> what it is, and what there is to do about it.
_KINDS = {
    "not-readable": (
        "A plan, its catalogue or its settings could not be read.",
        "Put right what the message says, at the line that it names; nothing of the plan was "
        "checked.",
    ),
    "not-found": (
        "What was named to be checked could not be found or opened.",
        "Name what is there, or bring back what is missing.",
    ),
    "rule-crashed": (
        "A rule crashed: a fault of the tool, not of the plan.",
        "Report it. What crashed has not judged this plan; all other rules have.",
    ),
    "not-judged": (
        "A rule applies, but the plan does not say enough to judge by it.",
        "Write into the plan what the message misses, or judge this point yourself.",
    ),
    "not-all-rules": (
        "Only some of the rules were asked.",
        "Run the check without --rule and --topic before anybody relies on it.",
    ),
    "plan-verdict": (
        "What the check of a plan comes to, and what that means for the work.",
        "Do as it says: how far the work is decides what it means.",
    ),
    "review-file": (
        "A review stands beside the plan.",
        "See what was decided, and whether it was decided about the plan as it is now.",
    ),
    "passed-over": (
        "Files in the folders checked are no plans.",
        "Nothing, unless one of them should be a plan: then name it, or begin it with plan_format.",
    ),
    "held-against": (
        "The run was held against an earlier report.",
        "Only what is new or worse counts for the exit status; what was known still stands.",
    ),
    "left-out": (
        "Results that are not in this report are counted.",
        "See them in the text or JSON report of the same run.",
    ),
    "settings-changed": (
        "Settings put something else in force than the defaults.",
        "See that the reason given is a good one.",
    ),
}
_PLACES = {kind: place for place, kind in enumerate(_KINDS)}


def describe_kinds() -> list[dict[str, Any]]:
    """Describe the kinds of notifications that there are."""
    return [
        {
            "id": kind,
            "name": "".join(part.capitalize() for part in kind.split("-")),
            "shortDescription": {"text": what},
            "fullDescription": {"text": what},
            "help": {"text": to_do},
        }
        for kind, (what, to_do) in _KINDS.items()
    ]


def list_of_run(run: Summary, told: PathBase) -> Iterator[dict[str, Any]]:
    """List what happened to no plan of its own."""
    for problem in run.problems:
        at = locate(told.uri(problem.file)) if problem.file else None
        yield _notice("not-found", "error", problem.message, at)
    if run.rules_asked is not None:
        yield _notice("not-all-rules", "warning", say_asked(run.rules_asked))
    if run.passed_over:
        yield _notice("passed-over", "note", f"{count_of(run.passed_over, 'file')} passed over.")
    if run.earlier is not None:
        held = run.earlier
        yield _notice("held-against", "note", f"Against {held.name}: {say_held(held)}.")
        for paths, what in (
            (held.gone, "is no longer there"),
            (held.left_out, "was not checked this time"),
        ):
            for path in paths:
                yield _notice("held-against", "note", f"The plan {path} {what}.")


def list_of_plan(plan: PlanReport, index: int, told: PathBase) -> Iterator[dict[str, Any]]:
    """List what happened while a plan was checked; it is the `index`-th among the artifacts."""
    uri = told.uri(plan.path)
    for problem in plan.problems:
        at = at_problem(problem, uri, index, told)
        yield _notice("not-readable", "error", problem.message, at)
    for fault in plan.faults:
        yield _notice("rule-crashed", "error", fault.message, locate(uri, index=index), fault.rule)
    said = f"{plan.verdict} – {say_verdict(plan)}"
    yield _notice("plan-verdict", "note", said, locate(uri, index=index))
    if plan.review is not None:
        said = f"the review {plan.review.file}: {say_review(plan, plan.review)}"
        yield _notice("review-file", "note", said, locate(uri, index=index))
    yield from _not_judged(plan, locate(uri, index=index))


def _not_judged(plan: PlanReport, at: Mapping[str, Any]) -> Iterator[dict[str, Any]]:
    for row in plan.checks:
        if row.undecided:
            said = f"{count_of(row.undecided, 'point')} could not be judged: {row.why}"
            if row.may_be_errors:
                said += f" ({say_may_be(row.may_be_errors)})"
            writes = dict.fromkeys(reason.write for reason in row.reasons if reason.write)
            text = " ".join([as_sentence(said), *writes])
            level = "warning" if row.may_be_errors else "note"
            yield _notice("not-judged", level, text, at, row.rule)


def say_known_left_out(known: Counter[str]) -> list[dict[str, Any]]:
    """Count the results that are left out since an earlier report had them."""
    if not known:
        return []
    said = f"{_say_kinds(known)} left out: they were known before, and only what is new is told."
    return [_notice("left-out", "note", said)]


def say_left_out(results: Counter[str], notices: Counter[str], runs: int) -> list[dict[str, Any]]:
    """Count the results and the notifications that are left out because hosts take no more."""
    listed = []
    if results.total():
        most = f"{host_limits.SARIF_RESULTS_A_RUN * runs:,} results"
        if runs > 1:
            most += f" in {runs} runs"
        size = f"{host_limits.SARIF_BYTES_GZIPPED / 1e6:g} MB gzipped"
        said = (
            f"{_say_kinds(results)} left out: code hosts take at most {most} and a file of {size}, "
            "and the gravest are kept. The text, JSON and one-line reports have them all"
        )
        said += "." if runs > 1 else f"; --split takes up to {host_limits.SARIF_RESULTS_IN_ALL:,}."
        listed.append(_notice("left-out", "warning", said))
    if notices.total():
        said = (
            f"{_say_kinds(notices, ' notification')} left out, so that the file stays small; the "
            "gravest are kept."
        )
        listed.append(_notice("left-out", "note", said))
    return listed


def _say_kinds(counts: Counter[str], thing: str = "") -> str:
    kinds = [kind for kind in ("error", "warning", "note", "waived") if counts[kind]]
    said = []
    for kind in kinds:
        if kind == "waived":
            said.append(f"{counts[kind]:,} waived")
        else:
            said.append(f"{counts[kind]:,} {kind}{thing}{'' if counts[kind] == 1 else 's'}")
    return ", ".join(said)


def list_configuring(
    changes: Iterable[Changed], rules: Mapping[str, int], told: PathBase
) -> list[dict[str, Any]]:
    """List what settings changed, each change once; `rules` has each rule's place."""
    return [
        _notice(
            "settings-changed",
            "note",
            f"for {change.rule}: {say_change(change)}, because: {change.origin.because}",
            locate(told.uri(change.origin.file), change.origin.line),
            None if change.rule == EVERY_RULE else change.rule,
            rules,
        )
        for change in changes
    ]


def at_problem(problem: Problem, uri: str, index: int, told: PathBase) -> dict[str, Any]:
    """Return the place of what keeps a plan from being read, in it or in another file."""
    if problem.file is None:
        return locate(uri, problem.line, problem.column, path=problem.path, index=index)
    return locate(told.uri(problem.file), problem.line, problem.column, path=problem.path)


def _notice(
    kind: str,
    level: str,
    text: str,
    at: Mapping[str, Any] | None = None,
    rule: str | None = None,
    rules: Mapping[str, int] | None = None,
) -> dict[str, Any]:
    notice: dict[str, Any] = {
        "descriptor": {"id": kind, "index": _PLACES[kind]},
        "level": level,
        "message": {"text": as_sentence(text)},
    }
    if at is not None:
        notice["locations"] = [at]
    if rule is not None:
        notice["associatedRule"] = {"id": rule}
        if rules is not None and rule in rules:
            notice["associatedRule"]["index"] = rules[rule]
    return notice
