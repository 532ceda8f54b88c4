"""Checks plans for other programs."""

import os
from datetime import date

from msgspec import Struct

from underfoot import __version__
from underfoot.checking.check import CheckedPlan
from underfoot.checking.report import PlanReport, Report
from underfoot.running.checking import Terms, check_apart, examiner, rule_sets_to_use
from underfoot.running.copies import can_copy
from underfoot.running.errors import CommandError
from underfoot.running.links import where_it_lies
from underfoot.running.plan_files import PlanFile, collect_plans, display_path


class CannotCheckError(Exception):
    """Nothing can be checked: the settings named cannot be used, or no rule set is installed."""


class PlanText(Struct, frozen=True):
    """A plan that is no file: its YAML text, and the path at which it is taken to lie.

    The settings, the catalogue and the review beside that path count; nothing need lie there.
    """

    text: str | bytes
    path: str = "plan.yaml"


def check(
    *plans: str | os.PathLike[str] | PlanText,
    settings: str | os.PathLike[str] | None = None,
    root: str | os.PathLike[str] | None = None,
    today: date | None = None,
    waivers: bool = True,
    mends: bool = False,
    jobs: int = 1,
    plan_seconds: float | None = None,
) -> Report:
    """Check plans by the installed rule sets and return the report of all of them.

    `plans` are files, folders with all below them, and `PlanText`; files come first in the report,
    then texts, each in the order given. `settings` is a file that goes before all that lie beside
    the plans; `root` is the topmost folder whose settings and catalogues count. `today` is the day
    that dates are held against, by default this one. Without `waivers` none holds. With `mends`
    findings have changes of the plan's own text that clear them, tried by all rules. `plan_seconds`
    is the most processor time that one plan may take; left out, 10 s for each 300 kB of it.

    A plan that cannot be read, or costs too much, is in the report with the verdict ``unreadable``
    and its `problems`, each with line and column, and costs no other plan anything; a path at which
    nothing can be found is among the report's own `problems`. On Linux plans are checked in
    `jobs` processes apart from this one, which limits their memory, too; elsewhere they are checked
    in this process, and only their time is limited, and that in the main thread alone.

    CannotCheckError where the settings named cannot be used or no rule set is installed, ValueError
    for a number that cannot be meant.
    """
    if jobs < 1:
        raise ValueError(f"jobs is {jobs}, but at least 1 process is needed")
    if plan_seconds is not None and not plan_seconds > 0:
        raise ValueError(f"plan_seconds is {plan_seconds}, but must be more than 0")
    settings_file = None if settings is None else os.fspath(settings)
    places = [os.fspath(each) for each in plans if not isinstance(each, PlanText)]
    top = None if root is None else os.fspath(root)
    found = collect_plans(places, settings_file, root=top)
    texts = (_file_of(each) for each in plans if isinstance(each, PlanText))
    files = [*found.files, *texts]
    terms = Terms(
        today=date.today() if today is None else today,
        settings=settings_file,
        with_waivers=waivers,
        mends=mends,
        plan_seconds=plan_seconds,
        root=top,
    )
    try:
        sets = rule_sets_to_use()
        if can_copy() and files:
            processes = min(jobs, len(files))
            reports = tuple(check_apart(files, sets, terms, keep_report, jobs=processes))
        else:
            reports = tuple(map(examiner(sets, terms, keep_report), files))
    except CommandError as error:
        raise CannotCheckError(str(error)) from None
    return Report(
        version=__version__, plans=reports, passed_over=found.passed_over, problems=found.problems
    )


def keep_report(examined: CheckedPlan) -> PlanReport:
    """Keep a plan's report alone."""
    return examined.report


def _file_of(plan: PlanText) -> PlanFile:
    """Name a text as a file at its path; what UTF-8 cannot hold is left for the reader to tell."""
    text = plan.text
    source = text if isinstance(text, bytes) else text.encode("utf-8", "surrogatepass")
    lies = where_it_lies(plan.path)
    return PlanFile(place=lies, path=display_path(lies), lies_at=lies, source=source)
